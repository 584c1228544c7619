"""Days worked by hand: the sums stand in each docstring."""

import dataclasses

import pytest
from tests.timetable.kitchens import (
    CANNER,
    DAY,
    NEXT,
    PRESSURE,
    STEAM,
    WATER,
    apples,
    at,
    beans,
    home,
    juice,
    on,
)

from stillroom.household.records import Preserve
from stillroom.timetable.audit import broken_promises
from stillroom.timetable.clock import on_the_clock
from stillroom.timetable.text import clock_messages, timetable_rows


def clock_of(household, *sessions):
    """The clock, audited."""
    clock = on_the_clock(household, sessions)
    assert broken_promises(household, sorted(sessions), clock) == ()
    return clock


def step(day, kind, name, load=1):
    """The one step of a kind."""
    return next(one for one in day.steps if (one.kind, one.name, one.load) == (kind, name, load))


def test_two_canners_on_one_stove_work_side_by_side():
    """Beans first, 130 min; the juice is filled from minute 10 on and out by 10 + 95 = 105. The day ends at 10:10."""
    (day,) = clock_of(home(juice(), beans()), on("juice", 7), on("beans", 7))
    assert (day.ends, day.could_end) == (at(10, 10), at(10, 10))
    assert step(day, "fill", "juice").start == at(8, 10)
    assert step(day, "take out", "beans").end == at(10, 10)


def test_with_one_burner_what_cools_longest_goes_first():
    """
    Beans: filled by 8:10, on the burner until 9:05, out at 10:10. The juice is filled 8:55 to 9:05 and takes the burner
    from there: 9:05 + 75 + 5 + 5 = 10:30. The other way round: juice off at 9:25, beans 9:25 + 55 + 60 + 5 = 11:25.
    """
    (day,) = clock_of(home(juice(), beans(), kitchen={"burners": 1.0}), on("juice", 7), on("beans", 7))
    assert day.ends == at(10, 30)
    assert step(day, "heat", "juice").start == at(9, 5)


def test_the_next_load_waits_until_the_canner_is_empty():
    """
    Two loads of 95 min in one canner: 190 min, 11:10. With two canners and two burners the second is 10 min behind.
    """
    (day,) = clock_of(home(juice()), on("juice", 14))
    assert day.ends == at(11, 10)
    two = home(juice(), equipment=(dataclasses.replace(CANNER, how_many=2),))
    (day,) = clock_of(two, on("juice", 14))
    assert day.ends == at(9, 45)
    assert {one.equipment for one in day.steps if one.kind == "process"} == {("canner 1",), ("canner 2",)}


def test_a_sauce_holds_the_pot_until_the_jars_are_filled():
    """
    Two loads, 60 min of cooking each in one pot and one canner. The first: cooked by 9:00, out of the canner at 10:35.
    The pot is free from 9:10 on, but hot food does not stand: the second is cooked to be ready at 10:35, out at 12:10.
    """
    sauce = juice(equipment=("pot", "canner"), stove_minutes_load=60.0)
    (day,) = clock_of(home(sauce), on("juice", 14))
    assert [one.start for one in day.steps if one.kind == "cook"] == [at(8), at(9, 35)]
    assert day.ends == at(12, 10)


def test_hands_prepare_one_load_while_the_other_cooks():
    """
    70 min of peeling a load. First load: 8:00 to 9:10, then its chain to 10:45. The second could be peeled from 9:20
    on, but waits to be done by 10:40, when the first is taken out; its chain: 10:45 + 95 = 12:20.
    """
    (day,) = clock_of(home(juice(hands_minutes_each=10.0)), on("juice", 14))
    assert day.ends == at(12, 20)
    assert max(one.end for one in day.steps if one.kind == "prepare" and one.load == 2) == at(10, 40)


def test_two_pairs_of_hands_share_the_peeling():
    """8 h of hands and a stove free for 4 h in one stretch: two pairs. 70 min of peeling take 35."""
    household = home(juice(hands_minutes_each=10.0), hands=8.0, stove=4.0, kitchen={"people": 3.0})
    (day,) = clock_of(household, on("juice", 7))
    assert day.kitchen.persons == 2
    assert step(day, "prepare", "juice").persons == ("A", "B")
    assert day.ends == at(8, 35) + (at(9, 35) - at(8))


def test_a_dryer_runs_overnight_and_is_emptied_in_the_morning():
    """In at 9:00, 18 h: done at 3:00, taken out when the next day begins. That day's apples go in at 9:00 again."""
    days = clock_of(home(apples()), on("apples", 6), on("apples", 6, NEXT))
    assert step(days[0], "run", "apples").start == at(9)
    assert step(days[0], "run", "apples").end == at(3, day=NEXT)
    assert step(days[0], "empty", "apples").start == at(8, day=NEXT)
    assert step(days[1], "run", "apples").start == at(9, day=NEXT)
    assert days[0].ends == at(9)


def test_a_dryer_still_going_holds_up_the_next_day():
    """36 h from 9:00 on end at 21:00 the next day: only then do that day's apples go in, sliced from 20:00 on."""
    days = clock_of(home(apples(2160.0)), on("apples", 6), on("apples", 6, NEXT))
    assert step(days[1], "run", "apples").start == at(21, day=NEXT)
    assert min(one.start for one in days[1].steps if one.kind == "prepare") == at(20, day=NEXT)


def test_what_dries_for_long_goes_first_only_when_the_dryer_is_wanted_again():
    """Alone, the apples wait for the juice; with 36 h of them and more apples next day, they are sliced first."""
    peeled = juice(hands_minutes_each=10.0)
    (day,) = clock_of(home(peeled, apples(2160.0)), on("juice", 7), on("apples", 6))
    assert step(day, "run", "apples").start > step(day, "fill", "juice").start
    days = clock_of(home(peeled, apples(2160.0)), on("juice", 7), on("apples", 6), on("apples", 6, NEXT))
    assert step(days[0], "run", "apples").start == at(9)


def test_a_pressure_load_of_quarts_takes_70_to_115_minutes_all_in():
    """
    Published for short processes: heat-up, 10 min vent, process and cool-down together (home canning guide of 1994).
    """
    (day,) = clock_of(home(beans()), on("beans", 7))
    kinds = ("heat", "vent", "process", "cool")
    assert 70 <= sum(step(day, kind, "beans").minutes for kind in kinds) <= 115
    assert step(day, "vent", "beans").minutes == 10


def test_one_jar_more_than_the_load_needs_is_heated():
    """Common practice, no source."""
    (day,) = clock_of(home(juice()), on("juice", 7))
    assert step(day, "jars", "juice").words == "heat 8 jars (one spare); keep them hot"


@pytest.mark.parametrize(("altitude", "minutes"), [(None, 10), (0.0, 10), (1500.0, 12), (2000.0, 12)])
def test_jars_are_boiled_first_when_the_process_is_under_ten_minutes(altitude, minutes):
    """10 min and one more for each 1,000 ft, never fewer than published (Michigan State Univ. Extension, 10/1997)."""
    short = juice(process_minutes=5.0, process_text="5 min")
    (day,) = clock_of(home(short, kitchen={"altitude_ft": altitude}), on("juice", 7))
    boiled = step(day, "boil jars", "juice")
    assert boiled.minutes == minutes
    assert boiled.burners == 1
    assert boiled.end == step(day, "fill", "juice").start


def test_blanching_is_in_portions_with_somebody_at_it():
    """
    20 bags, 6 min of hands and 3 of the stove each: 60 of the 120 min are prepared first, 60 are beside the stove.
    """
    lines = {"ingredients": beans().ingredients}
    bags = Preserve("bags", "frozen", "bag", hands_minutes_each=6.0, stove_minutes_each=3.0, smallest_batch=4, **lines)
    (day,) = clock_of(home(bags), on("bags", 20))
    assert (step(day, "prepare", "bags").minutes, step(day, "cook", "bags").minutes) == (60, 60)
    assert (step(day, "pack", "bags").minutes, day.ends) == (60, at(10))


def test_a_crop_is_taken_out_of_the_freezer_the_evening_before():
    """On the first day of all it can only be taken out first thing."""
    days = clock_of(home(juice()), on("thaw: tomato", 5.0), on("juice", 7), on("thaw: tomato", 5.0, NEXT))
    assert [one.start for day in days for one in day.steps if one.kind == "thaw"] == [at(8), at(20)]


def test_seals_are_checked_when_the_jars_have_cooled_twelve_hours():
    """Out at 9:35: 12 h later is in the evening, so the next morning, when one looks at the jars anyway."""
    (day,) = clock_of(home(juice()), on("juice", 7))
    assert step(day, "seals", "juice", 0).start == at(8, day=NEXT)
    (day,) = clock_of(home(juice(), hands=2.0, stove=4.0), on("juice", 7))
    assert step(day, "seals", "juice", 0).start == at(8, day=NEXT)


def test_a_day_past_its_hours_says_by_how_much_and_what_to_move():
    """The stove is free for one stretch of 1 h; hands half an hour: open until 9:30. Juice ends at 9:35."""
    (day,) = clock_of(home(juice(), hands=0.5, stove=1.0), on("juice", 7))
    assert (day.closes, day.over_minutes) == (at(9, 30), 5)
    (said,) = clock_messages([day])
    assert said["Where"] == "Timetable, Tue Aug 18"
    assert said["What"] == (
        'the day ends at 9:35 AM, 5 min past its hours (8:00 AM to 9:30 AM, from the rows "hands" and "stove free" of '
        "the table Hours, for 1 person); juice ends last"
    )
    assert said["What to do"] == "move juice to another day (put 0 under Keep at), start earlier, or type more hours"


def test_what_needs_more_than_there_is_is_left_off_and_said():
    """A canner over two burners on a stove with one; a canner that is not free until tomorrow."""
    wide = dataclasses.replace(CANNER, burners=2.0)
    household = home(
        juice(), beans(), equipment=(wide, dataclasses.replace(PRESSURE, free_from=NEXT)), kitchen={"burners": 1.0}
    )
    (day,) = clock_of(household, on("juice", 7), on("beans", 7))
    assert day.loads == 0
    assert [row["What"] for row in clock_messages([day])] == [
        "the day cannot be scheduled: beans: it takes 1 pressure canner at once, and there are none that day",
        "the day cannot be scheduled: juice: it takes 2 burners at once, and there is 1 that day",
    ]


def test_the_rows_of_the_table_follow_the_clock():
    """Day, times, step with its load, preserve, equipment and people."""
    (day,) = clock_of(home(juice()), on("juice", 14))
    rows = timetable_rows([day])
    assert rows == sorted(rows, key=lambda row: (row["Day"], row["Start"]))
    first = next(row for row in rows if row["Step"].startswith("load 2 of 2: process"))
    assert first == {
        "Day": DAY, "Start": at(10, 15).time(), "End": at(11).time(),
        "Step": "load 2 of 2: process 45 min; start timing when the water is at a full boil", "Preserve": "juice", "Equipment": "canner",
        "People": None,
    }  # fmt: skip


def test_a_part_load_is_shared_evenly():
    """Nine jars in a canner for seven are five and four."""
    (day,) = clock_of(home(juice()), on("juice", 9))
    assert [one.containers for one in day.steps if one.kind == "fill"] == [5, 4]


@pytest.mark.parametrize("method", [WATER, STEAM])
def test_the_words_never_hurry_a_canner(method):
    """Pressure falls by itself; time counts from the boil or the pressure, not before."""
    item = juice() if method == WATER else beans()
    (day,) = clock_of(home(item), on(item.name, 7))
    said = {one.kind: one.words for one in day.steps}
    assert "start timing" in said["process"]
    assert ("depressurize on its own" in said["cool"]) == (method == STEAM)


def test_the_clock_of_the_same_sessions_is_worked_out_once_and_of_another_household_anew():
    household, sessions = home(juice()), [on("juice", 7.0)]
    first = on_the_clock(household, sessions)
    assert on_the_clock(household, list(sessions))[0] is first[0]
    assert on_the_clock(dataclasses.replace(household), sessions)[0] is not first[0]
    assert on_the_clock(household, sessions) == first
