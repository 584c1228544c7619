"""The lanes of a day on the clock: for each pair of hands, piece of equipment and the stove, what is in it when."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from stillroom.timetable.steps import DayOnClock, Step

HANDS, EAR, NOBODY = "hands", "an ear", "nobody"
LEFT_ALONE = ("run", "cool", "stand")
"""Kinds of step that go on by themselves: a dryer or crock that runs, a canner that cools unforced."""
STOVE = "stove"
LETTERS = "abcdefghijklmnopqrstuvwxyz"
MOMENTS = ("thaw", "empty", "seals")

Load = tuple[str, int, int]
"""Name, number and how many there are."""


@dataclass(frozen=True)
class Bar:
    """A step in a lane; `load` is its letter, empty for what began on a day before."""

    start: datetime.datetime
    end: datetime.datetime
    needs: str
    letter: str
    name: str


@dataclass(frozen=True)
class Lane:
    """What one pair of hands, one piece of equipment or one place on the stove does in a day."""

    name: str
    bars: tuple[Bar, ...]


@dataclass(frozen=True)
class DayLanes:
    """
    A day ready to be drawn.

    `letters` are by load, `moments` what takes no time: when, and what to do. `first` and `last` are full hours around
    everything that is not left alone beyond the day.
    """

    lanes: tuple[Lane, ...]
    letters: dict[Load, str]
    moments: tuple[tuple[datetime.datetime, str], ...]
    first: datetime.datetime
    last: datetime.datetime


def needs_of(step: Step) -> str:
    """Whether a step needs hands, only an ear, or nobody."""
    if step.persons:
        return HANDS
    return NOBODY if step.kind in LEFT_ALONE else EAR


def lanes_of(day: DayOnClock, steps: Sequence[Step], running: Sequence[Step]) -> DayLanes:
    """
    Sort the steps of a day into lanes: hands first, then the stove, then equipment by its first use.

    `steps` are those that begin on the day, whatever day they belong to; `running` began before and are not over.
    """
    lasting = [step for step in steps if step.end > step.start]
    loads = list(dict.fromkeys((step.name, step.load, step.of) for step in lasting))
    letters = {load: letter_of(place) for place, load in enumerate(loads)}
    hands = sorted({person for step in lasting for person in step.persons})
    lanes = [Lane(lane_name(hand), bars_of(letters, [one for one in lasting if hand in one.persons])) for hand in hands]
    stove = [step for step in lasting if not step.equipment and not step.persons]
    lanes += [Lane(STOVE, bars_of(letters, row)) for row in rows_of(stove)]
    pieces = list(dict.fromkeys(piece for step in [*running, *lasting] for piece in step.equipment))
    for piece in pieces:
        before = [Bar(one.start, one.end, NOBODY, "", one.name) for one in running if piece in one.equipment]
        inside = bars_of(letters, [one for one in lasting if piece in one.equipment])
        lanes.append(Lane(piece, (*before, *inside)))
    moments = tuple((step.start, moment_said(step)) for step in steps if step.end == step.start)
    first, last = hours_around(day, steps)
    return DayLanes(tuple(lanes), letters, moments, first, last)


def lane_name(hands: str) -> str:
    """
    A pair of hands by its letter, or by its name where people have names.

    >>> lane_name("A"), lane_name("Ida")
    ('hands A', 'Ida')
    """
    return f"hands {hands}" if len(hands) == 1 else hands


def letter_of(place: int) -> str:
    """
    A letter for a load, two of them beyond the alphabet.

    >>> letter_of(0), letter_of(25), letter_of(26)
    ('a', 'z', 'aa')
    """
    more, place = divmod(place, len(LETTERS))
    return (LETTERS[more - 1] if more else "") + LETTERS[place]


def moment_said(step: Step) -> str:
    """Say what takes no time of the clock: its first words, up to a semicolon."""
    return f"{step.words.split(';')[0]}: {step.name}"


def bars_of(letters: dict[Load, str], steps: Sequence[Step]) -> tuple[Bar, ...]:
    """Give the bars of some steps; what follows at once for the same load and needs the same is one bar."""
    bars: list[Bar] = []
    for step in sorted(steps, key=lambda one: (one.start, one.end)):
        bar = Bar(step.start, step.end, needs_of(step), letters[step.name, step.load, step.of], step.name)
        last = bars[-1] if bars else None
        if last is not None and (last.end, last.needs, last.letter) == (bar.start, bar.needs, bar.letter):
            bar = replace(bar, start=bars.pop().start)
        bars.append(bar)
    return tuple(bars)


def rows_of(steps: Sequence[Step]) -> Iterator[list[Step]]:
    """Lay steps out in as few rows as they need, so that none lies over another."""
    rows: list[list[Step]] = []
    for step in sorted(steps, key=lambda one: (one.start, one.end, one.name, one.load)):
        free = next((row for row in rows if row[-1].end <= step.start), None)
        if free is None:
            rows.append([step])
        else:
            free.append(step)
    yield from rows


def hours_around(day: DayOnClock, steps: Sequence[Step]) -> tuple[datetime.datetime, datetime.datetime]:
    """The full hours between which the day is drawn: its start, all its steps but for runs, and its end."""
    ends = [step.end for step in steps if step.kind != "run"] + [day.ends]
    ends += [step.start + datetime.timedelta(hours=1) for step in steps]
    first = min([day.kitchen.starts, *(step.start for step in steps)])
    last = max(ends)
    first = first.replace(minute=0, second=0)
    if last.minute or last.second:
        last = last.replace(minute=0, second=0) + datetime.timedelta(hours=1)
    return first, max(last, first + datetime.timedelta(hours=2))
