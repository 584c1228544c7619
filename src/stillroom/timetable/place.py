"""Loads put on a day in a given order, each as early as hands, burners and equipment allow."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.timetable.loads import HANDS, Load
from stillroom.timetable.occupied import Occupied, first_free, runs, starts_barred, stretch, without_crumbs

CRUMB_MINUTES = 5
"""Nobody goes back to the peeling for less than this."""


Kitchen = Mapping[str, Occupied]
"""What there is of hands, burners and each piece of equipment by its key, with the minutes in which it is in use."""


@dataclass(frozen=True)
class Placed:
    """
    One load on the clock, in minutes from the start of the day.

    `hands` are the minutes in which a first, a second ... pair of hands prepares it; `starts` is when its chain begins.
    """

    load: Load
    hands: tuple[int, ...]
    starts: int

    @property
    def prepare(self) -> tuple[tuple[int, int, int], ...]:
        """The preparing, in stretches (start, end, pairs of hands)."""
        return as_stretches(self.hands)

    @property
    def prepared(self) -> int:
        """When the preparing is done."""
        return end_of(self.hands)

    @property
    def ends(self) -> int:
        """When nothing of it is waited for any more that day, and what runs by itself is running."""
        return max(self.prepared, self.starts + self.load.chain_minutes if self.load.parts else 0)


def place(kitchen: Kitchen, loads: Sequence[Load]) -> list[Placed]:
    """Put each load on the day in this order; each as early as those before it allow."""
    occupied = {key: one.copy() for key, one in kitchen.items()}
    return [place_one(occupied, load) for load in loads]


def place_one(occupied: Kitchen, load: Load) -> Placed:
    """Put one load on the day, and note what it takes."""
    minutes = forward(occupied[HANDS], load.prepare_minutes, 0)
    for one in minutes:
        occupied[HANDS].take(one)
    starts = first_free(barred(occupied, load), end_of(minutes)) if load.parts else end_of(minutes)
    take_chain(occupied, load, starts)
    return Placed(load, tuple(minutes), starts)


def barred(occupied: Kitchen, load: Load) -> int:
    """Give the minutes at which the chain of a load cannot begin."""
    found = 0
    for key, units, start, minutes in load.demand:
        blocked = occupied[key].blocked(units)
        if start >= 0:
            found |= starts_barred(blocked, minutes) >> start
        elif blocked:
            found |= starts_barred(blocked, minutes) << -start
            for early in range(-start):
                if blocked & stretch(0, early + start + minutes):
                    found |= 1 << early
    return found


def take_chain(occupied: Kitchen, load: Load, starts: int) -> None:
    """Note what the chain of a load takes."""
    for key, units, start, minutes in load.demand:
        first = max(0, starts + start)
        occupied[key].take(stretch(first, starts + start + minutes - first), units)


def free_hands(hands: Occupied, shortest: int, until: int) -> list[int]:
    """Give the minutes before `until` in which a first, a second, a third ... pair of hands is free."""
    whole = stretch(0, until)
    return [without_crumbs(whole & ~level, shortest) for level in reversed(hands.levels)]


def forward(hands: Occupied, needed: int, earliest: int) -> list[int]:
    """
    Give the minutes in which so many minutes of work are done soonest, one entry for each pair of hands that shares it.

    Work may be interrupted and shared. All who are at it in the end stop together, so it may be a few minutes more,
    less than one for each: nobody turns to something else for a single minute.

    >>> two = Occupied(2)
    >>> two.take(stretch(10, 10))
    >>> [runs(one) for one in forward(two, 25, 0)]
    [[(0, 15)], [(0, 10)]]
    """
    if needed <= 0:
        return []
    until = max(earliest, hands.levels[0].bit_length()) + needed + CRUMB_MINUTES
    free = [one >> earliest << earliest for one in free_hands(hands, min(CRUMB_MINUTES, needed), until)]
    low, high = earliest, until
    while low < high:
        middle = (low + high) // 2
        if sum((one & stretch(0, middle)).bit_count() for one in free) >= needed:
            high = middle
        else:
            low = middle + 1
    early = [one & stretch(0, low) for one in free]
    return [one for one in early if one]


def backward(hands: Occupied, needed: int, latest: int) -> list[int] | None:
    """
    Give the minutes in which so many minutes of work are done as late as can be, before `latest`; None if they cannot.

    All who are at it begin together, so it may be a few minutes more, less than one for each.

    >>> [runs(one) for one in backward(Occupied(1), 25, 60)]
    [[(35, 60)]]
    """
    if needed <= 0:
        return []
    free = free_hands(hands, min(CRUMB_MINUTES, needed), latest)
    if sum(one.bit_count() for one in free) < needed:
        return None
    low, high = 0, latest
    while low < high:
        middle = (low + high + 1) // 2
        if sum((one >> middle).bit_count() for one in free) >= needed:
            low = middle
        else:
            high = middle - 1
    late = [one >> low << low for one in free]
    return [one for one in late if one]


def end_of(minutes: Sequence[int]) -> int:
    """Give the minute after the last."""
    return max((one.bit_length() for one in minutes), default=0)


def as_stretches(minutes: Sequence[int]) -> tuple[tuple[int, int, int], ...]:
    """
    Give stretches with the number of hands in each.

    >>> as_stretches([stretch(0, 15), stretch(0, 10)])
    ((0, 10, 2), (10, 15, 1))
    """
    edges = sorted({edge for one in minutes for run in runs(one) for edge in run})
    counted = ((start, end, sum(one >> start & 1 for one in minutes)) for start, end in itertools.pairwise(edges))
    return tuple(found for found in counted if found[2])
