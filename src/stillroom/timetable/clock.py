"""The timetable of a plan's days, one after the other; what runs overnight continues on the next."""

from __future__ import annotations

import datetime
import itertools
import math
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from stillroom.household.records import Household, Preserve
from stillroom.household.results.clock import FOLLOWS, DayOnClock, KitchenDay, Step
from stillroom.timetable.listing import Free, at, steps_of
from stillroom.timetable.loads import BURNERS, HANDS, RUN, Load, loads_of, piece_key
from stillroom.timetable.place import Kitchen, Occupied, Placed, stretch
from stillroom.timetable.schedule import (
    ALMOST,
    COUNTER,
    COUNTER_SHARES,
    ROUNDED_MINUTES,
    Session,
    kitchen_day,
    next_start,
)
from stillroom.timetable.search import best_day


@dataclass
class Carried:
    """What continues from day to day: occupied resources with their times, and when each piece is free again."""

    held: list[tuple[str, datetime.datetime, datetime.datetime, int]] = field(default_factory=list)
    free: dict[str, list[datetime.datetime]] = field(default_factory=dict)

    def copy(self) -> Carried:
        """Return an independent copy."""
        return Carried(list(self.held), {key: list(moments) for key, moments in self.free.items()})


def on_the_clock(household: Household, sessions: Iterable[Session]) -> tuple[DayOnClock, ...]:
    """
    Return the timetable of each day with sessions.

    The same sessions give the same timetable, in any order. Everything is scheduled, even past the day's hours
    (`over_minutes`), except loads that need more at once than there is (`left_off`). The last answer is cached, since a
    plan is asked first whether it fits and then for its times.
    """
    return tuple(one.found for one in scheduled(household, sessions))


@dataclass(frozen=True)
class Scheduled:
    """A day as it was put on the clock: its loads, and what was still occupied from the days before."""

    found: DayOnClock
    loads: tuple[Load, ...]
    before: Carried


def scheduled(household: Household, sessions: Iterable[Session]) -> tuple[Scheduled, ...]:
    """Return the days of `on_the_clock` with what they were made of."""
    return _scheduled(Asked(household, tuple(sorted(sessions))))


@dataclass(frozen=True, eq=False)
class Asked:
    """The cache key: the sessions, and the household by identity."""

    household: Household
    sessions: tuple[Session, ...]

    def __eq__(self, other: object) -> bool:
        """Compare the household by identity: comparing all its records would take long."""
        return isinstance(other, Asked) and self.household is other.household and self.sessions == other.sessions

    def __hash__(self) -> int:
        """Hash as `__eq__` compares; the cache keeps the household alive, so its identity is unique."""
        return hash((id(self.household), self.sessions))


@lru_cache(maxsize=1)
def _scheduled(asked: Asked) -> tuple[Scheduled, ...]:
    household, ordered = asked.household, asked.sessions
    carried = Carried()
    found: list[Scheduled] = []
    days = [
        (kitchen_day(household, day), list(several))
        for day, several in itertools.groupby(ordered, key=lambda one: one.day)
    ]
    loads = [[load for session in several for load in loads_of(household, session)] for _, several in days]
    for place, (day, several) in enumerate(days):
        later = [(days[other][0], loads[other]) for other in range(place + 1, len(days))]
        marked = marked_runs(begin(household, day, carried), day, loads[place], later)
        before = carried.copy()
        found.append(Scheduled(one_day(household, day, several, marked, carried), tuple(marked), before))
    return tuple(found)


Later = Sequence[tuple[KitchenDay, Sequence[Load]]]
"""The days that come after with their loads."""


def next_day(household: Household, sessions: Sequence[Session], carried: Carried, later: Later = ()) -> DayOnClock:
    """Schedule one more day and update what continues from it."""
    day = kitchen_day(household, sessions[0].day)
    loads = [load for session in sorted(sessions) for load in loads_of(household, session)]
    marked = marked_runs(begin(household, day, carried), day, loads, later)
    return one_day(household, day, sorted(sessions), marked, carried)


def marked_runs(
    kitchen: Kitchen, day: KitchenDay, loads: Sequence[Load], later: Sequence[tuple[KitchenDay, Sequence[Load]]]
) -> list[Load]:
    """
    Return the loads marked as urgent or for the evening.

    Of several runs in one dryer the short ones come first, and the last is for the evening; so is one whose dryer is
    busy from the day before until the day is over.
    """
    found = []
    for load in loads:
        evening = False
        for run in (part for part in load.parts if part.kind == RUN):
            alike = sorted(
                (part.minutes, one.name, one.number)
                for one in loads
                for part in one.parts
                if part.kind == RUN and part.takes == run.takes
            )
            there = min((len(kitchen[key].levels) for key, _ in run.takes), default=len(alike))
            mine = alike.index((run.minutes, load.name, load.number))
            if len(alike) > there:
                evening = mine >= there and sum(minutes for minutes, _, _ in alike[: mine + 1 - there]) > 0
            evening = evening or any(kitchen[key].blocked(units) >> day.open_minutes & 1 for key, units in run.takes)
        found.append(replace(load, urgent=wanted_again(day, load, later), evening=evening and load.only_runs))
    return found


def wanted_again(day: KitchenDay, load: Load, later: Sequence[tuple[KitchenDay, Sequence[Load]]]) -> bool:
    """Return whether a run begun at closing time would still run when a later day that uses its piece closes."""
    for run in (part for part in load.parts if part.kind == RUN):
        done = at(day, day.open_minutes + run.minutes)
        for other, loads in later:
            wanted = any(set(run.takes) & set(part.takes) for one in loads for part in one.parts)
            if wanted and done > at(other, other.open_minutes):
                return True
    return False


def one_day(
    household: Household, day: KitchenDay, sessions: Sequence[Session], loads: Sequence[Load], carried: Carried
) -> DayOnClock:
    """Schedule one day and update what continues from it."""
    kitchen = begin(household, day, carried)
    reasons = {id(load): why_not(kitchen, load) for load in loads}
    fitting = [load for load in loads if not reasons[id(load)]]
    choices, bound = best_day(kitchen, fitting, day.filled_minutes, day.latest_minutes)
    placed, steps, carried.free = within_hours(household, day, choices, sessions, carried)
    carry(carried, day, placed, next_start(household, day.day))
    by_day = [one for one in placed if not one.load.evening]
    last = max(by_day or placed, key=lambda one: (one.ends, one.load.name), default=None)
    ends = max((one.ends for one in by_day), default=0)
    evening = max((at(day, one.ends) for one in placed if one.load.evening), default=None)
    off = tuple(dict.fromkeys(f"{load.name}: {reasons[id(load)]}" for load in loads if reasons[id(load)]))
    last_to_end = last.load.name if last is not None else ""
    over = tuple(overworked(day, steps))
    return DayOnClock(day, steps, at(day, ends), at(day, bound), last_to_end, off, len(fitting), evening, over)


def within_hours(
    household: Household,
    day: KitchenDay,
    choices: Sequence[list[Placed]],
    sessions: Sequence[Session],
    carried: Carried,
) -> tuple[list[Placed], tuple[Step, ...], Free]:
    """Return the first schedule in which nobody works past their own hours, else the last; when pieces are free."""
    for placed in choices:
        free = carried.copy().free
        steps = steps_of(household, day, placed, sessions, free)
        if not any(overworked(day, steps)):
            break
    return placed, steps, free


def overworked(day: KitchenDay, steps: Sequence[Step]) -> Iterator[tuple[str, float]]:
    """
    Return who works how many minutes more than their own hours; only people whose hours are typed by name.

    Setup minutes do not count, as in the plan.
    """
    for name, minutes in zip(day.names, day.minutes_of_each, strict=True):
        worked = sum(step.minutes for step in steps if name in step.persons and step.start >= day.starts)
        worked -= sum(step.setup_minutes / step.hands for step in steps if name in step.persons and step.setup_minutes)
        if worked > minutes + ROUNDED_MINUTES:
            yield name, worked - minutes


def minutes_after(day: KitchenDay, moment: datetime.datetime) -> int:
    """Return the minutes from the start of a day to a time, at least 0."""
    return max(0, -int(-(moment - day.starts).total_seconds() // 60))


def begin(household: Household, day: KitchenDay, carried: Carried) -> Kitchen:
    """Return the resources at the start of a day, with what is occupied from earlier days."""
    occupied = {HANDS: Occupied(day.persons), BURNERS: Occupied(day.burners)}
    for piece in household.equipment:
        there = 0 if piece.free_from is not None and piece.free_from > day.day else piece.how_many
        occupied[piece_key(piece.name)] = Occupied(COUNTER_SHARES if piece.kind == COUNTER and there else there)
    for key, start, end, units in carried.held:
        first, last = minutes_after(day, start), minutes_after(day, end)
        occupied[key].take(stretch(first, last - first), units)
    return occupied


def why_not(kitchen: Kitchen, load: Load) -> str:
    """Return why a load can never be scheduled on this day; empty when it can."""
    for key, units, _, minutes in load.demand:
        there = len(kitchen[key].levels)
        if units > there and minutes:
            thing = key.removeprefix("piece: ")
            if there == COUNTER_SHARES:
                return f"a load of it does not fit on the {thing} to cool"
            verb = "is" if there == 1 else "are"
            return f"it takes {units} {thing} at once, and there {verb} {there or 'none'} that day"
    return ""


def carry(carried: Carried, day: KitchenDay, placed: Sequence[Placed], tomorrow: datetime.datetime) -> None:
    """Record what was begun today and continues past the next day's start, `tomorrow`."""
    held = [(HANDS, start, end, hands) for one in placed for start, end, hands in one.prepare]
    held += [
        (key, one.starts + part.start, one.starts + part.end, units)
        for one in placed
        for part in one.load.parts
        for key, units in part.takes
    ]
    carried.held = [one for one in carried.held if one[2] > tomorrow]
    carried.held += [
        (key, at(day, start), at(day, end), units) for key, start, end, units in held if at(day, end) > tomorrow
    ]


def by_day(clock: Sequence[DayOnClock]) -> Mapping[datetime.date, tuple[Step, ...]]:
    """Return every step by the day it begins on, in order of time."""
    found: dict[datetime.date, list[Step]] = {}
    for day in clock:
        for step in day.steps:
            found.setdefault(step.start.date(), []).append(step)
    return {
        day: tuple(sorted(steps, key=lambda one: (one.start, one.end, one.name)))
        for day, steps in sorted(found.items())
    }


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
