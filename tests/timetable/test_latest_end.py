"""The clock keeps to the latest end, and a plan leaves the share of a day free that is to be kept free."""

import dataclasses
import datetime

import pytest
from tests.timetable.kitchens import DAY, NEXT, apples, at, juice, on
from tests.timetable.kitchens import home as kitchen_home
from tests.timetable.test_fit_clock import hours, made, silent
from tests.worked_examples import TUESDAY, home, jar, target

from stillroom.app.fit_day import plan_that_fits
from stillroom.app.plan import add_clock
from stillroom.household.audit import violated_constraints
from stillroom.household.records import Lot, PlanLine
from stillroom.planning.solve import plan
from stillroom.timetable.audit import broken_promises
from stillroom.timetable.clock import on_the_clock
from stillroom.timetable.schedule import evening_before, kitchen_day, sessions_of_plan
from stillroom.timetable.text import clock_messages


def time(hour, minute=0):
    """A time of day."""
    return datetime.time(hour, minute)


def until(hour, minute=0, *preserves, **more):
    """A kitchen without rows of hours that is done at a time."""
    return kitchen_home(*preserves, kitchen={"latest_end": time(hour, minute)}, **more)


def test_a_day_is_over_at_the_latest_end_or_when_its_hours_are():
    """Six hours of hands and as many of stove are until 20:00; the latest end cuts them, and the hours not typed."""
    assert kitchen_day(until(19, hands=6.0, stove=6.0), DAY).open_minutes == 11 * 60
    assert kitchen_day(until(21, hands=6.0, stove=6.0), DAY).open_minutes == 12 * 60
    assert kitchen_day(until(21), DAY).open_minutes == 13 * 60
    assert kitchen_day(kitchen_home(), DAY).open_minutes == 16 * 60


@pytest.mark.parametrize(("end", "fits"), [((11, 10), True), ((11, 9), False)])
def test_nothing_that_takes_hands_is_after_the_latest_end_of_a_day_that_fits(end, fits):
    """Two loads of 95 min in one canner: 11:10."""
    household = until(*end, juice())
    (day,) = clock = on_the_clock(household, [on("juice", 14)])
    assert (day.fits, day.ends) == (fits, at(11, 10))
    assert broken_promises(household, [on("juice", 14)], clock) == ()


def test_a_day_past_the_latest_end_is_said_with_the_setting():
    (row,) = clock_messages(on_the_clock(until(11, 0, juice()), [on("juice", 14)]))
    assert row["What"] == (
        "the day ends at 11:10 AM, 10 min past its hours (8:00 AM to 11:00 AM, from the setting latest end, for "
        "1 person); juice ends last"
    )
    assert row["What to do"].endswith("start earlier, or type a later end")


def test_a_step_after_the_latest_end_that_is_not_said_is_caught():
    """The clock of a kitchen without a latest end, judged by one that is done at 11:00."""
    clock = on_the_clock(kitchen_home(juice()), [on("juice", 14)])
    said = broken_promises(until(11, 0, juice()), [on("juice", 14)], clock)
    assert said == ("Aug 18: take out 7 jars with a jar lifter (juice) ends after 11:00 AM",)


@pytest.mark.parametrize(("end", "fits"), [((21, 0), True), ((20, 30), False)])
def test_a_dryer_is_filled_by_the_latest_end_and_runs_on(end, fits):
    """In at 9:00 and again at 21:00, out at 9:00 next morning: the fill takes somebody, the night nobody."""
    household = until(*end, apples(720.0), hands=2.0, stove=2.0)
    (day,) = clock = on_the_clock(household, [on("apples", 12)])
    assert (day.fits, day.evening_ends) == (fits, at(21))
    assert broken_promises(household, [on("apples", 12)], clock) == ()
    assert max(step.end for step in day.steps if step.kind == "run") == at(9, day=NEXT)


def test_what_is_done_when_the_evening_is_over_waits_for_the_morning():
    """Twelve hours from 9:00: out at 21:00 where somebody is up, else when the next day starts."""
    emptied = {
        hour: next(
            step.start for step in on_the_clock(until(hour, 0, apples(720.0)), [on("apples", 6)])[0].steps
            if step.kind == "empty"
        )
        for hour in (21, 20)
    }  # fmt: skip
    assert emptied == {21: at(21), 20: at(8, day=NEXT)}


def test_the_evening_before_is_no_later_than_the_latest_end():
    assert evening_before(until(19), NEXT) == at(19)
    assert evening_before(until(23), NEXT) == at(20)


def three_loads(**kitchen):
    """Three loads of juice in three days; each takes 15 min of setting up and the one canner for an hour."""
    return home(
        (jar("juice", "tomato", 1.5),), (Lot("tomato", TUESDAY, 31.5),), (target("juice", 21, importance=1),), days=3,
        hours=hours(stove=2.0), kitchen={"burners": 4.0, **kitchen},
    )  # fmt: skip


@pytest.mark.parametrize(
    ("kitchen", "most"),
    [
        ({}, 14.0),
        ({"latest_end": time(10, 15)}, 14.0),
        ({"latest_end": time(10)}, 7.0),
        ({"kept_free": 0.1}, 14.0),
        ({"kept_free": 0.2}, 7.0),
    ],
)
def test_days_are_planned_again_until_they_hold(kitchen, most):
    """
    Open 8:00 to 10:30, two loads until 10:15, which a tenth kept free leaves room for and a fifth (10:00) does not.
    """
    household = three_loads(**kitchen)
    _, found = plan_that_fits(household, plan, silent)
    assert sum(made(found).values()) == 21.0
    assert max(made(found).values()) == most
    clock = on_the_clock(household, sessions_of_plan(found))
    assert all(day.fits_a_plan for day in clock)
    assert broken_promises(household, sessions_of_plan(found), clock) == ()
    assert violated_constraints(household, found) == ()


def test_hours_kept_free_are_no_warning_and_are_named_where_a_day_was_planned_again():
    """
    Two loads until 10:15 are within the typed hours, so a clock of them alone brings no message.

    One day alone is planned: with a second the two loads might as well move there, and that day be planned again too.
    """
    household = three_loads(kept_free=0.2)
    clock = on_the_clock(household, [on("juice", 14)])
    assert [(day.fits, day.fits_a_plan) for day in clock] == [(True, False)]
    assert list(clock_messages(clock)) == []
    one_day = dataclasses.replace(household.kitchen, days_planned_singly=1)
    slack = dataclasses.replace(household, kitchen=one_day, lots=(Lot("tomato", TUESDAY, 21.0),))
    tighter, found = plan_that_fits(slack, plan, silent)
    assert made(found) == {0: 7.0}
    assert tighter.tighter.told == ((TUESDAY, "it would have run until 10:15 AM, 15 min into the hours kept free"),)


def test_what_is_fixed_may_use_the_hours_kept_free():
    """Fourteen jars are typed for Tuesday, two loads until 10:15: they stay, and nothing is added."""
    household = three_loads(kept_free=0.2)
    household = dataclasses.replace(household, plan_lines=(PlanLine(TUESDAY, 1, "juice", fix=14.0),))
    tighter, found = plan_that_fits(household, plan, silent)
    assert made(found)[0] == 14.0
    assert tighter is household
    tables = {"Messages": []}
    add_clock(tables, tighter, sessions_of_plan(found))
    assert tables["Messages"] == []
