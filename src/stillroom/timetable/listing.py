"""Scheduled loads as steps: who does what, in which piece of equipment, and what follows the next morning."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import replace

from stillroom.household.records import THAW, Household
from stillroom.household.results.clock import KINDS, KitchenDay, Step
from stillroom.timetable.loads import BURNERS, CANNED, HANDS, RUN, STAND, Part
from stillroom.timetable.place import Placed
from stillroom.timetable.schedule import COOLING_MINUTES, Session, evening_before, kitchen_day, next_start
from stillroom.timetable.text import SEALS_WORDS, ahead_words, continued

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
COOLING = datetime.timedelta(minutes=COOLING_MINUTES)
Free = dict[str, list[datetime.datetime]]


def steps_of(
    household: Household, day: KitchenDay, placed: Sequence[Placed], sessions: Sequence[Session], free: Free
) -> tuple[Step, ...]:
    """Return the steps of one day in order of time; updates `free`, when each of several pieces is free again."""
    people = persons_of(day, placed)
    pieces = pieces_of(household, day, placed, free)
    found = [step for session in sessions if session.name.startswith(THAW) for step in thawing(household, day, session)]
    for one in placed:
        found += steps_of_load(household, day, one, people, pieces)
    found += started_ahead(household, day, placed)
    found = [*(step for step in found if step.kind != "seals"), *together(found)]
    return tuple(sorted(found, key=lambda step: (step.start, KINDS.index(step.kind), step.name, step.load)))


def together(steps: Sequence[Step]) -> Iterator[Step]:
    """Yield one check of seals for all loads of a preserve, when the last of them may be checked."""
    seals: dict[tuple[datetime.date, str], Step] = {}
    for step in steps:
        if step.kind == "seals":
            key = step.start.date(), step.name
            other = seals.get(key, step)
            moment = max(step.start, other.start)
            count = step.containers + (other.containers if key in seals else 0.0)
            seals[key] = replace(step, start=moment, end=moment, load=0, of=0, containers=count)
    yield from seals.values()


def thawing(household: Household, day: KitchenDay, session: Session) -> Iterator[Step]:
    """Yield the step of taking a crop out of the freezer: the evening before, or at once if that is past."""
    past = day.day <= household.kitchen.first_day
    moment = day.starts if past else evening_before(household, day.day)
    words = "take out of the freezer now (best done the evening before)" if past else "take out of the freezer to thaw"
    yield Step(moment, moment, "thaw", words, session.name.removeprefix(THAW), containers=session.amount)


def started_ahead(household: Household, day: KitchenDay, placed: Sequence[Placed]) -> Iterator[Step]:
    """
    Yield the start of each wait longer than a part of a day, once for all loads of a preserve.

    It is on the day itself where there is time, else the evening before, or earlier where that is not enough. When that
    is before the first day of the plan, the line is at the start of the day and says so.
    """
    for preserve in household.preserves:
        mine = [one for one in placed if one.load.name == preserve.name]
        for wait in preserve.standing if mine else ():
            if not wait.ahead:
                continue
            latest = at(day, min(one.starts for one in mine)) - datetime.timedelta(hours=wait.hours_low)
            moment = latest if latest >= day.starts else min(latest, evening_before(household, day.day))
            late = moment.date() < household.kitchen.first_day
            words = ahead_words(wait, late=late, prepare=preserve.steps.prepare)
            moment = day.starts if late else moment
            yield Step(moment, moment, "ahead", words, preserve.name, containers=sum(one.load.count for one in mine))


def steps_of_load(
    household: Household,
    day: KitchenDay,
    one: Placed,
    people: dict[tuple[int, int, int], tuple[str, ...]],
    pieces: dict[tuple[int, str], tuple[str, ...]],
) -> Iterator[Step]:
    """Yield the steps of one load: preparing, its chain, and what follows on another day."""
    load = one.load
    if not one.prepare and not load.parts:
        moment = at(day, one.starts)
        yield Step(
            moment, moment, "prepare", load.prepare_words, load.name, load.number, load.of, containers=load.count
        )
    setting_up = load.setup_minutes
    for start, end, hands in one.prepare:
        setup = min(setting_up, (end - start) * hands)
        setting_up -= setup
        first = start == one.prepare[0][0]
        words = load.prepare_words if first else continued(load.prepare_words)
        yield Step(
            at(day, start), at(day, end), "prepare", words, load.name, load.number, load.of, (), 0,
            people[id(one), start, end], load.count, setup,
        )  # fmt: skip
    if load.standing_minutes:
        yield Step(
            at(day, one.prepared), at(day, one.starts), "standing", load.standing_words, load.name, load.number,
            load.of, (), 0, (), load.count,
        )  # fmt: skip
    for part in (part for part in load.parts if part.kind != STAND):
        start, end = max(0, one.starts + part.start), one.starts + part.end
        inside = tuple(name for key, _ in part.takes if key not in (HANDS, BURNERS) for name in pieces[id(one), key])
        held = sum(units for key, units in part.takes if key == BURNERS)
        yield Step(
            at(day, start), at(day, end), part.kind, part.words, load.name, load.number, load.of, inside, held,
            people.get((id(one), start, end), ()) if (HANDS, 1) in part.takes else (), load.count,
        )  # fmt: skip
        yield from next_morning(household, day, one, part, inside)


def next_morning(
    household: Household, day: KitchenDay, one: Placed, part: Part, inside: tuple[str, ...]
) -> Iterator[Step]:
    """Yield the check of a canned load's seals the next morning, and emptying a dryer when somebody is up."""
    load, end = one.load, at(day, one.starts + part.end)
    if part.kind == RUN and part.minutes <= 2 * 24 * 60:
        moment = max(when_somebody_is_up(household, end), end)
        yield Step(
            moment, moment, "empty", "take out, if done", load.name, load.number, load.of, inside, 0, (), load.count
        )
    preserve = next((item for item in household.preserves if item.name == load.name), None)
    last = max((other.end for other in load.parts if other.takes and other.kind != STAND), default=0)
    if preserve is not None and preserve.method in CANNED and part.takes and part.end == last:
        moment = max(end + COOLING, next_start(household, day.day))
        yield Step(moment, moment, "seals", SEALS_WORDS, load.name, load.number, load.of, (), 0, (), load.count)


def when_somebody_is_up(household: Household, moment: datetime.datetime) -> datetime.datetime:
    """Return the time itself if it is within a day's hours, else the start of the next day."""
    day = kitchen_day(household, moment.date())
    if moment <= day.starts:
        return day.starts
    return moment if moment <= day.latest else next_start(household, day.day)


def at(day: KitchenDay, minutes: int) -> datetime.datetime:
    """Return the time so many minutes after the start of a day."""
    return day.starts + datetime.timedelta(minutes=minutes)


def persons_of(day: KitchenDay, placed: Sequence[Placed]) -> dict[tuple[int, int, int], tuple[str, ...]]:
    """
    Return who does each piece of labor, by letter or name; whoever began a load continues it.

    Of people with hours of their own, those with enough of them left come first. There is never more work at once than
    people, so the first who is free takes it.
    """
    work = [(start, end, hands, one) for one in placed for start, end, hands in one.prepare]
    work += [
        (one.starts + part.start, one.starts + part.end, units, one)
        for one in placed
        for part in one.load.parts
        for key, units in part.takes
        if key == HANDS
    ]
    free = [0] * day.persons
    left = list(day.minutes_of_each) or [0] * day.persons
    names = day.names or [letters_of(person) for person in range(day.persons)]
    before: dict[int, tuple[int, ...]] = {}
    found = {}
    for start, end, hands, one in sorted(work, key=lambda job: (job[0], job[1], job[3].load.name, job[3].load.number)):
        mine = before.get(id(one), ())
        idle = [person for person in range(len(free)) if free[person] <= start]
        if day.names:
            idle.sort(key=lambda person: (left[person] < end - start, person not in mine, -left[person], person))
        else:
            idle.sort(key=lambda person: (person not in mine, person))
        chosen = sorted(idle[:hands])
        for person in chosen:
            free[person] = end
            left[person] -= end - start
        before[id(one)] = tuple(chosen)
        found[id(one), start, end] = tuple(names[person] for person in chosen)
    return found


def letters_of(person: int) -> str:
    """
    Return the letters of a person; no two have the same.

    >>> [letters_of(person) for person in (0, 25, 26, 27, 52)]
    ['A', 'Z', 'AA', 'AB', 'BA']
    """
    before, letter = divmod(person, len(LETTERS))
    return (letters_of(before - 1) if before else "") + LETTERS[letter]


def pieces_of(
    household: Household, day: KitchenDay, placed: Sequence[Placed], free: Free
) -> dict[tuple[int, str], tuple[str, ...]]:
    """Return which of several equal pieces each load is in; a load stays in its pieces."""
    named = {f"piece: {piece.name}": piece for piece in household.equipment}
    work = []
    for one in placed:
        parts = [part for part in one.load.parts if part.kind != STAND]
        for key in dict.fromkeys(key for part in parts for key, _ in part.takes if key in named):
            inside = [part for part in parts for other, _ in part.takes if other == key]
            start, end = min(part.start for part in inside), max(part.end for part in inside)
            units = max(units for part in inside for other, units in part.takes if other == key)
            work.append((at(day, one.starts + start), at(day, one.starts + end), key, one, units))
    found = {}
    for begins, ends, key, one, units in sorted(
        work, key=lambda job: (job[0], job[1], job[2], job[3].load.name, job[3].load.number)
    ):
        piece = named[key]
        until = free.setdefault(key, [datetime.datetime.min] * piece.how_many)
        free_now = [number for number, moment in enumerate(until) if moment <= begins][:units] or [0]
        for number in free_now:
            until[number] = ends
        found[id(one), key] = tuple(
            piece.name if piece.how_many == 1 else f"{piece.name} {number + 1}" for number in free_now
        )
    return found
