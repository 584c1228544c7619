"""What of a day's sessions fits its timetable."""

from __future__ import annotations

import datetime
import itertools
import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

from stillroom.household.records import Household, Preserve
from stillroom.household.results.clock import FOLLOWS, DayOnClock
from stillroom.timetable.clock import Carried, Later, next_day, on_the_clock
from stillroom.timetable.loads import loads_of
from stillroom.timetable.schedule import ALMOST, Session, kitchen_day


def that_fit(
    household: Household, sessions: Sequence[Session], kept: Collection[tuple[str, datetime.date]] = ()
) -> tuple[Session, ...]:
    """
    Return the sessions, those of each day that does not fit reduced, the one that ends last first.

    What is `kept`, by name and day, stays, and so does crop frozen whole. A day that does not fit because of what is
    kept ends no later than that requires alone.
    """
    preserves = {item.name: item for item in household.preserves}
    alone = alone_on_their_days(household, sessions, kept)
    found: list[Session] = []
    carried = Carried()
    for day in sorted({session.day for session in sessions}):
        todays = [session for session in sessions if session.day == day]
        later = days_after(household, sessions, day)
        free = {one.name for one in todays if one.name in preserves and (one.name, day) not in kept}
        while todays and not holds(clock := next_day(household, todays, carried.copy(), later), alone.get(day)):
            name = ends_last(clock, free)
            if name is None:
                break
            free.discard(name)
            todays = shrunk(Day(household, carried, later, alone.get(day)), todays, preserves[name])
        if todays:
            next_day(household, todays, carried, later)
        found += todays
    return tuple(sorted(found))


def alone_on_their_days(
    household: Household, sessions: Sequence[Session], kept: Collection[tuple[str, datetime.date]]
) -> dict[datetime.date, DayOnClock]:
    """Return the timetable of the kept sessions alone, by day."""
    return {day.day: day for day in on_the_clock(household, [one for one in sessions if (one.name, one.day) in kept])}


def holds(clock: DayOnClock, alone: DayOnClock | None) -> bool:
    """Return whether a day fits, or else is no worse than its kept sessions alone."""
    if clock.fits_a_plan or alone is None:
        return clock.fits_a_plan
    asked = dict(alone.overworked)
    return (
        clock.late_minutes <= alone.late_minutes
        and set(clock.left_off) <= set(alone.left_off)
        and all(minutes <= asked.get(name, 0.0) for name, minutes in clock.overworked)
    )


def ends_last(clock: DayOnClock, free: Collection[str]) -> str | None:
    """Return which of these is left off, or else ends last; None when none of them is scheduled."""
    off = [name for name in sorted(free) if any(words.startswith(f"{name}: ") for words in clock.left_off)]
    if off:
        return off[0]
    ends = {
        step.name: step.start if step.kind == "run" else step.end
        for step in sorted(clock.steps, key=lambda step: step.start if step.kind == "run" else step.end)
        if step.name in free and step.kind not in FOLLOWS
    }
    return max(ends, key=lambda name: (ends[name], name), default=None)


@dataclass(frozen=True)
class Day:
    """The context of a day: what continues into it, what comes after, and its kept sessions alone."""

    household: Household
    carried: Carried
    later: Later
    alone: DayOnClock | None = None


def days_after(household: Household, sessions: Sequence[Session], day: datetime.date) -> Later:
    """Return the days after one, with their loads."""
    return [
        (kitchen_day(household, other), [load for one in several for load in loads_of(household, one)])
        for other, several in itertools.groupby(sorted(sessions), key=lambda one: one.day)
        if other > day
    ]


def shrunk(day: Day, todays: Sequence[Session], preserve: Preserve) -> list[Session]:
    """Return the day's sessions with as much of one preserve as still fits; without it when none does."""

    def with_only(count: int) -> list[Session]:
        changed = [replace(one, amount=float(count)) if one.name == preserve.name else one for one in todays]
        return [one for one in changed if one.amount > ALMOST]

    def fits(count: int) -> bool:
        rest = with_only(count)
        return not rest or holds(next_day(day.household, rest, day.carried.copy(), day.later), day.alone)

    amount = next(one.amount for one in todays if one.name == preserve.name)
    least = preserve.fewest
    if not fits(0) or least >= amount or not fits(least):
        return with_only(0)
    return with_only(largest(fits, least, math.ceil(amount - ALMOST)))


def largest(fits: Callable[[int], bool], low: int, high: int) -> int:
    """Return the largest number from `low`, which fits, to below `high`, which does not, by bisection."""
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def most_alone(household: Household, preserve: Preserve, day: datetime.date) -> int | None:
    """
    Return how many containers fit a day with nothing else; None when a whole load does, 0 when no batch does.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.household.records import Hours
    >>> home = tiny_household()
    >>> juice, day = home.preserve("juice"), home.kitchen.first_day
    >>> hours = [Hours(what, (0.5,) * 7, 7.0) for what in ("hands", "stove free")]
    >>> most_alone(home, juice, day), most_alone(replace(home, hours=tuple(hours)), juice, day)
    (None, 0)
    """
    least = preserve.fewest
    whole = least if preserve.load is None else max(least, preserve.load)

    def fits(count: int) -> bool:
        return on_the_clock(household, [Session(day, preserve.name, float(count))])[0].fits_a_plan

    if fits(whole):
        return None
    if whole == least or not fits(least):
        return 0
    return largest(fits, least, whole)


def days_alike(household: Household, days: Sequence[datetime.date]) -> dict[datetime.date, datetime.date]:
    """Return for each day the first with the same hours, people, burners and equipment."""
    first: dict[tuple[object, ...], datetime.date] = {}
    found = {}
    for day in days:
        there = kitchen_day(household, day)
        free = tuple(piece.free_from is None or piece.free_from <= day for piece in household.equipment)
        times = (there.open_minutes, there.filled_minutes, there.latest_minutes)
        like = (*times, there.persons, there.burners, there.minutes_of_each, free)
        found[day] = first.setdefault(like, day)
    return found
