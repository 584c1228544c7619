"""
What else a day has to share: setting up, a burner for the jars, the counter, people by name, a dryer filled twice.
"""

import dataclasses

import pytest
from tests.benches.timetable import next_days, random_day
from tests.timetable.kitchens import CANNER, DAY, DRYER, NEXT, PRESSURE, apples, at, beans, home, juice, on

from stillroom.household.records import Container, Equipment, Hours, Load
from stillroom.timetable.audit import broken_promises
from stillroom.timetable.clock import on_the_clock
from stillroom.timetable.text import clock_messages, prepare_words


def clock_of(household, *sessions):
    """The clock, audited."""
    clock = on_the_clock(household, sessions)
    assert broken_promises(household, sorted(sessions), clock) == ()
    return clock


def steps(day, kind, name):
    """All steps of a kind, by time."""
    return [one for one in day.steps if (one.kind, one.name) == (kind, name)]


def table(jars, unit="jars"):
    """A counter for so many jars, invented."""
    return Equipment("table", "counter", 1, (Load(jars, unit),))


def named(**hours):
    """Hours of hands by name, the same every day, with their sum as the plan has it; the stove free for two hours."""
    rows = [Hours(f"hands: {name}", (figure,) * 7, 0.0) for name, figure in hours.items()]
    total = Hours("hands", (sum(hours.values()),) * 7, 0.0)
    return (*rows, total, Hours("stove free", (2.0,) * 7, 0.0))


def test_a_kind_is_set_up_once_a_day_before_its_first_load():
    """15 min of setting up, then two loads of 95 min in one canner: 8:15 + 190 min = 11:25."""
    household = home(juice(), kitchen={"setup_hours_a_kind": 0.25})
    (day,) = clock_of(household, on("juice", 14))
    (setting_up,) = steps(day, "prepare", "juice")
    assert (setting_up.words, setting_up.start, setting_up.end) == ("set up; wash and prepare", at(8), at(8, 15))
    assert day.ends == at(11, 25)


def test_setting_up_left_out_is_caught():
    household = home(juice(), kitchen={"setup_hours_a_kind": 0.25})
    (day,) = clock_of(household, on("juice", 7))
    without = dataclasses.replace(day, steps=tuple(one for one in day.steps if one.kind != "prepare"))
    assert "minutes of labor" in " ".join(broken_promises(household, [on("juice", 7)], [without]))


@pytest.mark.parametrize(("burners", "held"), [(1.0, 0), (2.0, 1), (4.0, 1)])
def test_heating_jars_holds_a_burner_where_there_is_more_than_one(burners, held):
    (day,) = clock_of(home(juice(hands_minutes_each=5.0), kitchen={"burners": burners}), on("juice", 7))
    (jars,) = steps(day, "jars", "juice")
    assert (jars.minutes, jars.burners) == (10, held)


def test_jars_wait_for_a_burner_while_both_are_in_use():
    """
    Two burners, one of them under a sauce of 120 min in the pot: beans cook alone on the other, and no jars beside
    them.

    The sauce, cooked 8:00 to 10:00 on one burner, heats its jars 9:50 to 10:00 on the other.
    """
    sauce = juice(equipment=("pot", "canner"), stove_minutes_load=120.0)
    long = beans(stove_minutes_load=120.0)
    (day,) = clock_of(home(sauce, long), on("juice", 7), on("beans", 7))
    uses = [(one.start, one.end, one.burners) for one in day.steps if one.burners]
    for moment in {start for start, _, _ in uses}:
        assert sum(burners for start, end, burners in uses if start <= moment < end) <= 2


def test_jars_stand_on_the_counter_for_twelve_hours():
    """
    Room for ten jars, two loads of seven: the first is out at 9:35 and stands until 21:35. The second comes out then.

    With room for fourteen it comes out at 11:10 (jars cool 12 to 24 h undisturbed: Guide 1 of the guide of 1994).
    """
    kitchen = (CANNER, PRESSURE, DRYER)
    (day,) = clock_of(home(juice(), equipment=(*kitchen, table(10))), on("juice", 14))
    assert day.ends == at(21, 35)
    (day,) = clock_of(home(juice(), equipment=(*kitchen, table(14))), on("juice", 14))
    assert day.ends == at(11, 10)
    (day,) = clock_of(home(juice()), on("juice", 14))
    assert day.ends == at(11, 10)


def test_a_counter_too_small_for_a_load_is_said():
    (day,) = clock_of(home(juice(), equipment=(CANNER, table(5))), on("juice", 7))
    (said,) = clock_messages([day])
    assert "a load of it does not fit on the table to cool" in said["What"]


def test_too_many_jars_on_the_counter_are_caught():
    """A clock made without a counter, judged with one."""
    clock = clock_of(home(juice()), on("juice", 14))
    small = home(juice(), equipment=(CANNER, PRESSURE, DRYER, table(10)))
    assert "percent of the table are in use" in " ".join(broken_promises(small, [on("juice", 14)], clock))


@pytest.mark.parametrize("seed", range(3))
def test_a_random_week_with_a_counter_and_people_by_name_can_be_kept(seed):
    """Jars of the day before still stand there in the morning."""
    household, _ = random_day(seed)
    people = [Hours(f"hands: {name}", (4.0,) * 7, 0.0) for name in ("Adult", "Teen")]
    counter = Equipment("table", "counter", 1, (Load(18.0, "quart jars"),))
    household = dataclasses.replace(
        household, equipment=(*household.equipment, counter), hours=(*household.hours, *people)
    )
    sessions = next_days(household, 4, seed)
    clock = on_the_clock(household, sessions)
    assert broken_promises(household, sessions, clock) == ()
    assert {person for day in clock for step in day.steps for person in step.persons} == {"Adult", "Teen"}


def test_people_by_name_are_on_the_clock_with_their_names():
    """Two people, 1 h each; 70 min of peeling take 35, and Adult who comes first fills."""
    household = home(juice(hands_minutes_each=10.0))
    (day,) = clock_of(dataclasses.replace(household, hours=named(Adult=1.0, Teen=1.0)), on("juice", 7))
    assert steps(day, "prepare", "juice")[0].persons == ("Adult", "Teen")
    assert day.kitchen.persons == 2
    assert day.overworked == ()


def test_whoever_has_hours_left_does_it():
    """Teen has 30 min, Adult 2 h: of 35 min of peeling side by side there are at most 30 for Teen, and Adult fills."""
    household = home(juice(hands_minutes_each=8.0))
    (day,) = clock_of(dataclasses.replace(household, hours=named(Adult=2.0, Teen=0.5)), on("juice", 7))
    assert steps(day, "fill", "juice")[0].persons == ("Adult",)
    assert steps(day, "take out", "juice")[0].persons == ("Adult",)
    assert day.overworked == ()


def test_somebody_who_would_work_too_long_is_said_and_the_day_does_not_fit():
    """Adult alone has an hour, and 70 min of peeling with 15 of filling and taking out."""
    household = dataclasses.replace(home(juice(hands_minutes_each=10.0)), hours=named(Adult=1.0))
    (day,) = clock_of(household, on("juice", 7))
    assert day.overworked == (("Adult", 25.0),)
    assert not day.fits
    said = " ".join(row["What"] for row in clock_messages([day]))
    assert "too long for Adult: 25 min more than the hours typed" in said


def test_work_past_ones_own_hours_that_is_not_said_is_caught():
    household = dataclasses.replace(home(juice(hands_minutes_each=10.0)), hours=named(Adult=1.0))
    (day,) = clock_of(household, on("juice", 7))
    silent = dataclasses.replace(day, overworked=())
    assert "Adult works 85 minutes, and has 60" in " ".join(broken_promises(household, [on("juice", 7)], [silent]))


def test_a_dryer_is_filled_again_in_the_evening():
    """
    12 h of apples twice, 60 min of slicing each; the kitchen is open until 12:00 (2 h of stove, 2 h of hands).

    In at 9:00, out and in again at 21:00, out at 9:00 next morning. Sliced from 20:00 on; the day still fits.
    """
    household = home(apples(720.0), hands=2.0, stove=2.0)
    (day,) = clock_of(household, on("apples", 12))
    assert [one.start for one in steps(day, "run", "apples")] == [at(9), at(21)]
    assert [one.start for one in steps(day, "prepare", "apples")] == [at(8), at(20)]
    assert [one.start for one in steps(day, "empty", "apples")] == [at(21), at(9, day=NEXT)]
    assert (day.closes, day.ends, day.evening_ends) == (at(12), at(9), at(21))
    assert day.fits


def test_the_evening_ends_when_the_last_of_two_dryers_is_filled_again():
    """12 h of apples from 9:00, 10 h of pears from 10:00: pears in again at 20:00, apples at 21:00."""
    rack = dataclasses.replace(DRYER, name="rack")
    pears = dataclasses.replace(apples(600.0), name="pears", equipment=("rack",))
    household = home(apples(720.0), pears, hands=4.0, stove=4.0, equipment=(DRYER, rack))
    (day,) = clock_of(household, on("apples", 12), on("pears", 12))
    assert [steps(day, "run", name)[1].start for name in ("pears", "apples")] == [at(20), at(21)]
    assert day.evening_ends == at(21)


def test_nobody_stays_up_past_the_evening_for_a_dryer():
    """14 h: the second could go in at 23:00, an hour after the evening is over at 22:00 (14 h after the start)."""
    household = home(apples(840.0), hands=2.0, stove=2.0)
    (day,) = clock_of(household, on("apples", 12))
    assert day.over_minutes == 60
    (said,) = clock_messages([day])
    assert said["What"] == "the day has a dryer load of apples to start at 11:00 PM, and nobody is up after 10:00 PM"


def test_a_short_run_goes_first_of_two_and_waits_for_nothing():
    """
    Beans in the pressure canner beside: the apples are sliced in time for both, and the canner is not held up more.
    """
    household = home(apples(720.0), beans(), hands=6.0, stove=4.0, kitchen={"people": 2.0})
    (day,) = clock_of(household, on("apples", 12), on("beans", 7))
    assert day.fits
    assert day.ends <= at(10, 10) + (at(9) - at(8))


def test_seals_are_checked_next_morning_and_never_before_twelve_hours():
    (day,) = clock_of(home(juice(), kitchen={"day_starts_at": at(16).time()}), on("juice", 7))
    (seals,) = steps(day, "seals", "juice")
    assert seals.start == at(16, day=NEXT)
    assert DAY < NEXT


def test_the_mark_of_an_own_recipe_stands_at_its_first_step() -> None:
    own = dataclasses.replace(apples(), own_recipe=True)
    assert prepare_words(own, alone=False) == "wash and prepare; own recipe, not from the handbook"
    assert prepare_words(apples(), alone=False) == "wash and prepare"


def two_pots(how_many=2):
    """A sauce whose seven jars begin as fourteen in pots of eight, on four burners, with 120 burner minutes a load."""
    jars = (Container("jar", "jar", holds_litres=1.0),)
    pot = Equipment("pot", "kettle", how_many, (Load(8.0, "jar"),), 1.0)
    sauce = juice(equipment=("pot", "canner"), stove_minutes_load=120.0, load=7 if how_many > 1 else 4)
    household = home(sauce, equipment=(CANNER, pot), containers=jars, kitchen={"burners": 4.0})
    return household.changed("crops", "tomato", pot_litres_per_kg=2.0)


def test_pots_that_share_a_load_cook_at_once_and_in_half_the_time():
    """120 burner minutes in two pots: 8:00 to 9:00 on two burners; then 95 minutes as ever, out at 10:35."""
    household = two_pots()
    (day,) = clock_of(household, on("juice", 7))
    (cook,) = steps(day, "cook", "juice")
    assert (cook.start, cook.end, cook.burners, cook.equipment) == (at(8), at(9), 2, ("pot 1", "pot 2"))
    assert day.ends == at(10, 35)
    assert broken_promises(household, [on("juice", 7)], [day]) == ()


def test_one_pot_cooks_four_jars_in_its_own_time():
    (day,) = clock_of(two_pots(how_many=1), on("juice", 4))
    (cook,) = steps(day, "cook", "juice")
    assert (cook.start, cook.end, cook.burners, cook.equipment) == (at(8), at(10), 1, ("pot",))
