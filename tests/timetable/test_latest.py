"""How late a line may begin: worked by hand, held to every order of a small day, and audited on random days."""

import datetime
import itertools
from dataclasses import replace

import pytest
from tests.benches.timetable import random_day
from tests.timetable.kitchens import apples, beans, home, juice, on

from stillroom.household.results.clock import FOLLOWS
from stillroom.timetable.audit import broken_promises
from stillroom.timetable.clock import begin, scheduled
from stillroom.timetable.latest import QUARTER, latest_start, may_begin, needed_again
from stillroom.timetable.listing import at, steps_of
from stillroom.timetable.place import place
from stillroom.timetable.schedule import minutes_between


def day_of(household, sessions):
    """The one day of these sessions as it was put on the clock."""
    (one,) = scheduled(household, sessions)
    return one


def test_a_line_alone_may_begin_as_late_as_its_own_minutes_allow():
    household, sessions = home(juice()), [on("juice", 7)]
    one = day_of(household, sessions)
    takes = max(load.ends for load in place(begin(household, one.found.kitchen, one.before), one.loads))
    latest = (one.found.kitchen.filled_minutes - takes) // QUARTER * QUARTER
    assert latest_start(household, sessions, one.found.day, "juice") == at(one.found.kitchen, latest)
    assert latest > 0


def test_of_a_small_day_no_order_begins_a_line_a_quarter_of_an_hour_later():
    household = home(juice(hands_minutes_each=7.0), beans(hands_minutes_each=11.0), apples(), kitchen={"burners": 1.0})
    sessions = [on("juice", 14), on("beans", 7), on("apples", 6)]
    one = day_of(household, sessions)
    day = one.found.kitchen
    kitchen = begin(household, day, one.before)
    for name in ("juice", "beans"):
        hour = latest_start(household, sessions, day.day, name)
        assert hour > one.found.starts_of(name, 1)
        later = minutes_between(day.starts, hour) + QUARTER
        loads = [replace(load, earliest=later) if load.name == name else load for load in one.loads]
        ends = [max(load.ends for load in place(kitchen, order)) for order in itertools.permutations(loads)]
        assert min(ends) > day.filled_minutes


@pytest.mark.parametrize("seed", range(8))
def test_a_day_with_a_line_begun_at_its_latest_hour_can_be_kept(seed):
    """By the audit of timetables; nothing of the line begins before."""
    household, sessions = random_day(seed)
    one = day_of(household, sessions)
    until = {load.name: needed_again((), load) for load in one.loads}
    for name in sorted({load.name for load in one.loads}):
        hour = latest_start(household, sessions, one.found.day, name)
        if hour is None:
            continue
        minutes = minutes_between(one.found.kitchen.starts, hour)
        placed = may_begin(household, one, sessions, name, minutes, until)
        steps = steps_of(household, one.found.kitchen, placed, sessions, {})
        ends = max((load.ends for load in placed if not load.load.evening), default=0)
        clock = replace(one.found, steps=steps, ends=at(one.found.kitchen, ends))
        assert broken_promises(household, sessions, [clock]) == ()
        assert all(step.start >= hour for step in steps if step.name == name and step.kind not in FOLLOWS)


def test_a_dryer_is_free_again_when_the_next_day_needs_it():
    """A run of 12 hours may begin late in the day, but not so late that tomorrow's could not."""
    household = home(apples())
    today, tomorrow = on("apples", 6), on("apples", 6)
    tomorrow = replace(tomorrow, day=today.day + datetime.timedelta(days=1))
    alone = latest_start(household, [today], today.day, "apples")
    both = latest_start(household, [today, tomorrow], today.day, "apples")
    assert both is None or alone is None or both <= alone
    second = next(one for one in scheduled(household, [today, tomorrow]) if one.found.day == tomorrow.day)
    assert needed_again([second], second.loads[0]) == second.found.starts_of("apples", 1)
