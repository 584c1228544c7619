"""What of a day's sessions fits the clock: the day with its last sessions made smaller, and what fits all alone."""

from __future__ import annotations

import datetime
import itertools
import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from stillroom.household.records import Household, Preserve
from stillroom.household.results.clock import DayOnClock
from stillroom.timetable.clock import Carried, Later, next_day, on_the_clock
from stillroom.timetable.loads import loads_of
from stillroom.timetable.schedule import kitchen_day
from stillroom.timetable.sessions import ALMOST, Session

FOLLOWS = ("thaw", "seals", "empty")


def that_fit(
    household: Household, sessions: Sequence[Session], kept: Collection[tuple[str, datetime.date]] = ()
) -> tuple[Session, ...]:
    """
    Give the sessions with those of each day that does not fit made smaller, the one that ends last first.

    What is `kept`, by name and day, stays as it is, and so does a crop frozen whole. A day that does not fit for the
    sake of what is kept still does not, but is no later than that needs alone.
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
    """Give the days on the clock with nothing but what is kept on them."""
    return {day.day: day for day in on_the_clock(household, [one for one in sessions if (one.name, one.day) in kept])}


def holds(clock: DayOnClock, alone: DayOnClock | None) -> bool:
    """Whether a day fits, or else is no later and asks no more of anybody than what is kept on it does alone."""
    if clock.fits or alone is None:
        return clock.fits
    asked = dict(alone.overworked)
    return (
        clock.over_minutes <= alone.over_minutes
        and set(clock.left_off) <= set(alone.left_off)
        and all(minutes <= asked.get(name, 0.0) for name, minutes in clock.overworked)
    )


def ends_last(clock: DayOnClock, free: Collection[str]) -> str | None:
    """Give which of these is left off the clock, or else ends last on it; None when none of them is there."""
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
    """What a day is seen against: what runs on into it, what comes after, and the day with what is kept alone."""

    household: Household
    carried: Carried
    later: Later
    alone: DayOnClock | None = None


def days_after(household: Household, sessions: Sequence[Session], day: datetime.date) -> Later:
    """Give the days after one, with the loads that are to be done on them."""
    return [
        (kitchen_day(household, other), [load for one in several for load in loads_of(household, one)])
        for other, several in itertools.groupby(sorted(sessions), key=lambda one: one.day)
        if other > day
    ]


def shrunk(day: Day, todays: Sequence[Session], preserve: Preserve) -> list[Session]:
    """Give the day with as much of one preserve as still fits beside the rest; without it when none does."""

    def with_only(count: int) -> list[Session]:
        changed = [replace(one, amount=float(count)) if one.name == preserve.name else one for one in todays]
        return [one for one in changed if one.amount > ALMOST]

    def fits(count: int) -> bool:
        rest = with_only(count)
        return not rest or holds(next_day(day.household, rest, day.carried.copy(), day.later), day.alone)

    amount = next(one.amount for one in todays if one.name == preserve.name)
    least = max(1, preserve.smallest_batch)
    if not fits(0) or least >= amount or not fits(least):
        return with_only(0)
    low, high = least, math.ceil(amount - ALMOST)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return with_only(low)


def most_alone(household: Household, preserve: Preserve, day: datetime.date) -> int | None:
    """
    Give how many containers of a preserve a day can hold that has nothing else; None when a whole load finds room.

    0 when not even the smallest batch does.

    >>> from stillroom.household.examples import juice_by_the_load
    >>> from stillroom.household.records import Hours
    >>> home = juice_by_the_load()
    >>> juice, day = home.preserves[0], home.kitchen.first_day
    >>> hours = [Hours(what, (0.5,) * 7, 7.0) for what in ("hands", "stove free")]
    >>> most_alone(home, juice, day), most_alone(replace(home, hours=tuple(hours)), juice, day)
    (None, 0)
    """
    least = max(1, preserve.smallest_batch)
    whole = least if preserve.load is None else max(least, preserve.load)

    def fits(count: int) -> bool:
        return on_the_clock(household, [Session(day, preserve.name, float(count))])[0].fits

    if fits(whole):
        return None
    if whole == least or not fits(least):
        return 0
    low, high = least, whole
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def days_alike(household: Household, days: Sequence[datetime.date]) -> dict[datetime.date, datetime.date]:
    """Give for each day the first that has the same hours, hands, burners and equipment."""
    first: dict[tuple[object, ...], datetime.date] = {}
    found = {}
    for day in days:
        there = kitchen_day(household, day)
        free = tuple(piece.free_from is None or piece.free_from <= day for piece in household.equipment)
        like = (there.open_minutes, there.latest_minutes, there.persons, there.burners, there.minutes_of_each, free)
        found[day] = first.setdefault(like, day)
    return found
