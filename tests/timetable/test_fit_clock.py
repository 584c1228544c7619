"""Plan and clock brought together, on households small enough for a pencil: afterwards every planned day fits."""

import dataclasses
import datetime
import multiprocessing
from concurrent.futures import ProcessPoolExecutor

import pytest
from tests.worked_examples import TUESDAY, day, home, jar, target

from stillroom.app.fit_day import plan_that_fits
from stillroom.app.plan import add_clock
from stillroom.app.questions.bottlenecks import bottlenecks_found
from stillroom.errors import NoPlanInTime
from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Plan
from stillroom.household.records import Container, Hours, Lot, PlanLine, Tighter
from stillroom.household.results.bottlenecks import Range
from stillroom.planning.bottlenecks import find_bottlenecks
from stillroom.planning.parameters import Parameters
from stillroom.planning.solve import plan
from stillroom.timetable.clock import most_alone, on_the_clock
from stillroom.timetable.schedule import sessions_of_plan

FOUR_BURNERS = {"kitchen": {"burners": 4.0}}


def silent(_):
    """Tell nobody."""


def hours(hands=0.5, stove=1.0, canner=24.0):
    """The same every day: half an hour of hands, the stove free for an hour; the canner may always run."""
    return tuple(
        Hours(what, (figure,) * 7, 0.0)
        for what, figure in (("hands", hands), ("stove free", stove), ("canner", canner))
    )


def three_loads(**more):
    """
    Three loads of juice, 21 jars of 1.5 kg, and three days, in a household that has time for one a day.

    A load takes the one canner for an hour (20 + 40 min) after 15 min of setting up. A day is open for a stretch of
    1 h and 30 min of hands before or after: 8:00 to 9:30. One load: 8:15 to 9:15. Two: until 10:15. As sums all
    three fit in a day: 3 burner-hours of 1 x 4, 3 canner-hours of 24.
    """
    return home(
        (jar("juice", "tomato", 1.5),), (Lot("tomato", TUESDAY, 31.5),), (target("juice", 21, importance=1),), days=3,
        hours=hours(), **(FOUR_BURNERS | more),
    )  # fmt: skip


def made(found, name="juice"):
    """What is made of it, by the number of the day."""
    return {number: amount for (item, number), amount in found.make.items() if item == name}


def test_three_loads_in_a_day_become_one_a_day():
    """All of it is still made, and no constraint of the household as it is is broken."""
    household = three_loads()
    first = plan(household)
    assert not all(one.fits for one in on_the_clock(household, sessions_of_plan(first)))
    tighter, found = plan_that_fits(household, plan, silent)
    assert made(found) == {0: 7.0, 1: 7.0, 2: 7.0}
    clock = on_the_clock(household, sessions_of_plan(found))
    assert [(one.fits, one.ends.time()) for one in clock] == [(True, datetime.time(9, 15))] * 3
    assert violated_constraints(dataclasses.replace(tighter, tighter=Tighter()), found) == ()


def test_what_was_planned_again_is_said_and_what_it_would_have_been():
    """21 jars on Tuesday: three loads until 11:15, 1 h 45 min past 9:30; and never a word of a day that fitted."""
    tighter, found = plan_that_fits(three_loads(), plan, silent)
    tables = {"Messages": [{"Severity": "Warning"}, {"Severity": "Note"}, {"Severity": "Caution"}]}
    add_clock(tables, tighter, sessions_of_plan(found))
    told = [row for row in tables["Messages"] if str(row.get("Where", "")).startswith("Timetable")]
    assert told[0]["Where"] == "Timetable, Tue Aug 18"
    assert told[0]["What"] == (
        "the day's loads were within its hours as a sum, but not one after the other: it would have run until 11:15 AM, "
        "1 h 45 min past its hours; the day was planned again and fits now"
    )
    assert [row["Severity"] for row in tables["Messages"]] == ["Warning", *["Note"] * (1 + len(told)), "Caution"]


def test_a_plan_that_fits_is_not_made_again():
    """One plan, and the household as it was."""
    household = dataclasses.replace(three_loads(), lots=(Lot("tomato", TUESDAY, 10.5),))
    plans = []
    tighter, _ = plan_that_fits(household, lambda one: plans.append(one) or plan(one), silent)
    assert plans == [household]
    assert tighter is household


def test_what_no_day_could_hold_alone_is_never_planned_on_it():
    """
    A sauce that cooks for an hour and a half is not ready on a short day; on Thursday the stove is free for 3 hours.

    Thursday: 3 h and half an hour: until 11:30. Sauce: 15 + 90 + 60 = 165 min, 10:45. Canner 1 h, stove 2.5.
    """
    sauce = jar("sauce", "tomato", 1.5, stove_minutes_load=90.0)
    stove = [1.0] * 7
    stove[day(2).weekday()] = 3.0
    household = home(
        (sauce,), (Lot("tomato", TUESDAY, 10.5),), (target("sauce", 7, importance=1),), days=3,
        hours=(*hours()[::2], Hours("stove free", tuple(stove), 0.0)), **FOUR_BURNERS,
    )  # fmt: skip
    assert made(plan(household), "sauce") == {0: 7.0}
    tighter, found = plan_that_fits(household, plan, silent)
    assert made(found, "sauce") == {2: 7.0}
    assert set(tighter.tighter.most) == {("sauce", TUESDAY, 0), ("sauce", day(1), 0)}


@pytest.mark.parametrize(
    ("minutes_each", "batch", "most"),
    [
        (20.0, {"smallest_batch": 1}, 2),
        (20.0, {"batch_typed": False}, 0),
        (12.0, {"batch_typed": False}, 3),
        (12.0, {"smallest_batch": 5}, 0),
    ],
)
def test_of_a_day_that_is_too_short_no_few_jars_are_left(minutes_each, batch, most):
    """Half an hour of hands, stretched by the hours of the stove: jars for less than a third of a load are none."""
    household = three_loads()
    juice = dataclasses.replace(household.preserves[0], hands_minutes_each=minutes_each, **batch)
    household = dataclasses.replace(household, preserves=(juice,), hours=hours(stove=1.5))
    assert most_alone(household, juice, TUESDAY) == most


def test_what_is_fixed_by_hand_stays_and_is_said_to_run_over():
    """Fourteen jars fixed on Wednesday: two loads until 10:15. The rest goes to the other days."""
    household = three_loads(plan_lines=(PlanLine(day(1), 1, "juice", fix=14.0, where="Plan!J2"),))
    tighter, found = plan_that_fits(household, plan, silent)
    assert made(found)[1] == 14.0
    assert max(amount for number, amount in made(found).items() if number != 1) == 7.0
    clock = on_the_clock(household, sessions_of_plan(found))
    assert [one.day for one in clock if not one.fits] == [day(1)]
    tables = {"Messages": []}
    add_clock(tables, tighter, sessions_of_plan(found))
    about = [row for row in tables["Messages"] if row["Where"] == "Timetable, Wed Aug 19"]
    assert [row["Severity"] for row in about] == ["Warning"]
    assert "the day ends at 10:15 AM, 45 min past its hours" in about[0]["What"]


def test_beside_what_is_fixed_nothing_makes_the_day_longer_still():
    """Fourteen of juice are fixed on Tuesday, two loads until 10:15; relish would need the same canner after them."""
    relish = jar("relish", "pepper", 1.0)
    household = dataclasses.replace(
        three_loads(plan_lines=(PlanLine(TUESDAY, 1, "juice", fix=14.0, where="Plan!J2"),)),
        lots=(Lot("tomato", TUESDAY, 21.0), Lot("pepper", TUESDAY, 7.0)),
    )
    household = dataclasses.replace(
        household,
        preserves=(*household.preserves, relish),
        targets=(target("juice", 14, importance=1), target("relish", 7, importance=1)),
        crops=(*household.crops, dataclasses.replace(household.crops[0], name="pepper")),
    )
    assert made(plan(household), "relish") == {0: 7.0}
    _, found = plan_that_fits(household, plan, silent)
    assert (made(found), made(found, "relish")) == ({0: 14.0}, {1: 7.0})
    assert on_the_clock(household, sessions_of_plan(found))[0].ends.time() == datetime.time(10, 15)


def test_when_no_second_plan_is_found_in_time_the_first_stays_and_is_said_to_run_over():
    plans = []

    def hurried(household):
        """The first in time, the second not."""
        plans.append(household)
        if len(plans) > 1:
            raise NoPlanInTime("no plan was found within the time limit")
        return plan(household)

    tighter, found = plan_that_fits(three_loads(), hurried, silent)
    assert found == plan(three_loads())
    tables = {"Messages": []}
    add_clock(tables, tighter, sessions_of_plan(found))
    assert {row["Severity"] for row in tables["Messages"]} == {"Warning"}


def test_no_time_for_the_first_plan_is_raised():
    def never(_):
        raise NoPlanInTime("no plan was found within the time limit")

    with pytest.raises(NoPlanInTime):
        plan_that_fits(three_loads(), never, silent)


def test_a_planner_that_looks_at_no_hours_comes_to_an_end_too():
    """
    It makes all it may on the first days; once each day keeps to what was found to fit, there is nothing left to do.
    """
    household = three_loads()
    periods = plan(household).periods
    plans = []

    def stubborn(one):
        """All on the first days that may have any."""
        plans.append(one)
        most = {day: most for _, day, most in one.tighter.most}
        left, make = 21.0, {}
        for period in periods:
            amount = min(left, most.get(period.first_day, 21))
            if amount:
                make["juice", period.number] = amount
            left -= amount
        return Plan(periods, make=make, loads={key: -(-amount // 7) for key, amount in make.items()})

    _, found = plan_that_fits(household, stubborn, silent)
    assert all(one.fits for one in on_the_clock(household, sessions_of_plan(found)))
    assert len(plans) == 5


def test_tighter_limits_are_those_of_the_programme_and_not_of_the_audit():
    """A burner-hour less on Wednesday: 3 of 4, and the canner without hours of its own still has its hour."""
    household = dataclasses.replace(three_loads(), hours=hours()[:2])
    less = dataclasses.replace(
        household, tighter=Tighter().with_less("stove", day(1), 1.0).with_most("juice", day(2), 3)
    )
    facts = Parameters(less)
    assert [facts.stove_hours(period) for period in facts.periods] == [4.0, 3.0, 4.0]
    assert [facts.equipment_hours(facts.equipment[0], period) for period in facts.periods] == [1.0, 1.0, 1.0]
    assert [facts.upper_bound["juice", number] for number in range(3)] == [7, 7, 3]


def test_a_day_held_by_the_clock_is_not_filled_up_by_moving_sessions_forward():
    """Nothing may be made on Tuesday: what is made on Wednesday stays there."""
    household = dataclasses.replace(three_loads(), lots=(Lot("tomato", TUESDAY, 10.5),))
    held = dataclasses.replace(household, tighter=Tighter().with_most("juice", TUESDAY, 0))
    assert made(plan(household)) == {0: 7.0}
    assert made(plan(held)) == {1: 7.0}


@pytest.mark.parametrize(("days", "more"), [(1, 0.0), (2, 7.0), (3, 12.0)])
def test_a_dozen_jars_more_give_what_fits_the_clock(days, more):
    """
    7 jars for 21 quarts, in a household that has time for one load a day: a dozen jars are filled as days allow.

    As sums, 19 quarts fit the first day. On the clock they are 7 and 7 and 5.
    """
    household = three_loads(containers=(Container("jar", "jar", 1.0, None, 7.0),))
    household = household.with_kitchen(days_planned_singly=days)
    tighter, found = plan_that_fits(household, plan, silent)
    assert made(found) == {0: 7.0}
    jars = next(one for one in bottlenecks_found(tighter, found, None, silent).held if one.bottleneck.words == "jars")
    assert jars.one_more.targets.get("juice", 0.0) == more
    assert jars.one_more.helps == (more > 0)
    by_hours = next(one for one in find_bottlenecks(tighter, found).held if one.bottleneck.words == "jars")
    assert by_hours.one_more.targets == {"juice": 12.0}


def test_jars_that_do_not_fit_the_clock_do_not_help_further():
    """One dozen gives 7 on the second of two days; the second dozen fills none."""
    household = three_loads(containers=(Container("jar", "jar", 1.0, None, 7.0),)).with_kitchen(days_planned_singly=2)
    tighter, found = plan_that_fits(household, plan, silent)
    jars = next(one for one in bottlenecks_found(tighter, found, None, silent).held if one.bottleneck.words == "jars")
    assert jars.range == Range(helps_to=1, seen_end=True, least=0, most=1)


def test_two_processes_fit_gains_to_the_clock_as_one_does():
    household = three_loads(containers=(Container("jar", "jar", 1.0, None, 7.0),)).with_kitchen(days_planned_singly=2)
    tighter, found = plan_that_fits(household, plan, silent)
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as executor:
        spread = bottlenecks_found(tighter, found, executor, silent)
    alone = bottlenecks_found(tighter, found, None, silent)
    assert [(one.one_more, one.range) for one in spread.held] == [(one.one_more, one.range) for one in alone.held]
