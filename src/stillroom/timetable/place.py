"""Scheduling loads in a given order, each as early as people, burners and equipment allow."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.timetable.loads import HANDS, Load

# Minutes in which a thing is in use, kept as the bits of whole numbers: bit 37 is minute 37 of the day. Of
# burners, hands and canners there may be several, all equal. `levels[k]` has a bit for each minute in which more
# than `k` of them are in use; whoever holds which one is settled afterwards, and can be: intervals of which never
# more than so many overlap can always be shared out among so many.


def stretch(start: int, length: int) -> int:
    """
    Return a bit mask of `length` minutes from `start` on.

    >>> bin(stretch(2, 3))
    '0b11100'
    """
    return ((1 << length) - 1) << start if length > 0 else 0


def starts_barred(blocked: int, length: int) -> int:
    """
    Return the minutes at which something of this length cannot begin, since it would meet a blocked minute.

    >>> bin(starts_barred(0b10000, 3))
    '0b11100'
    """
    barred, reach = blocked, 1
    while reach < length:
        step = min(reach, length - reach)
        barred |= barred >> step
        reach += step
    return barred


def first_free(barred: int, earliest: int) -> int:
    """
    Return the first minute from `earliest` on that is not barred.

    >>> first_free(0b10110, 1), first_free(0, 5)
    (3, 5)
    """
    after = ~(barred >> earliest)
    return earliest + (after & -after).bit_length() - 1


def runs(minutes: int) -> list[tuple[int, int]]:
    """
    Return the runs of consecutive minutes as (first, one after the last).

    >>> runs(0b1100111)
    [(0, 3), (5, 7)]
    """
    found = []
    at = 0
    while minutes >> at:
        at += ((minutes >> at) & -(minutes >> at)).bit_length() - 1
        end = first_free(minutes, at)
        found.append((at, end))
        at = end
    return found


def without_crumbs(free: int, shortest: int) -> int:
    """
    Return the minutes without runs shorter than `shortest`.

    >>> bin(without_crumbs(0b1110110, 3))
    '0b1110000'
    """
    begins = free & ~starts_barred(~free & stretch(0, free.bit_length() + 1), shortest)
    reach = 1
    while reach < shortest:
        step = min(reach, shortest - reach)
        begins |= begins << step
        reach += step
    return begins


class Occupied:
    """A number of equal resources, with the minutes in which one, two ... of them are in use."""

    def __init__(self, how_many: int) -> None:
        """Begin with all of them free."""
        self.levels = [0] * how_many

    def copy(self) -> Occupied:
        """Return an independent copy."""
        other = Occupied(0)
        other.levels = list(self.levels)
        return other

    def blocked(self, units: int) -> int:
        """Return the minutes in which this many are not free."""
        spare = len(self.levels) - units
        return -1 if spare < 0 else self.levels[spare]

    def take(self, minutes: int, units: int = 1) -> None:
        """Occupy this many for these minutes; the caller has checked that they are free."""
        for _ in range(units):
            carry = minutes
            for place, level in enumerate(self.levels):
                self.levels[place], carry = level | carry, level & carry


CRUMB_MINUTES = 5
"""Shortest stretch of preparing, in minutes."""


Kitchen = Mapping[str, Occupied]
"""What there is of hands, burners and each piece of equipment by its key, with the minutes in which it is in use."""


@dataclass(frozen=True)
class Placed:
    """One scheduled load, in minutes from the start of the day: who prepares it when, and when its chain starts."""

    load: Load
    hands: tuple[int, ...]
    starts: int

    @property
    def prepare(self) -> tuple[tuple[int, int, int], ...]:
        """The preparing as (start, end, people)."""
        return as_stretches(self.hands)

    @property
    def prepared(self) -> int:
        """When the preparing ends."""
        return end_of(self.hands)

    @property
    def ends(self) -> int:
        """When its last attended step ends."""
        return max(self.prepared, self.starts + self.load.chain_minutes if self.load.parts else 0)


def place(kitchen: Kitchen, loads: Sequence[Load]) -> list[Placed]:
    """Schedule each load in this order, as early as those before it allow."""
    occupied = {key: one.copy() for key, one in kitchen.items()}
    return [place_one(occupied, load) for load in loads]


def place_one(occupied: Kitchen, load: Load) -> Placed:
    """Schedule one load and occupy its resources."""
    minutes = forward(occupied[HANDS], load.prepare_minutes, load.earliest)
    for one in minutes:
        occupied[HANDS].take(one)
    ready = max(end_of(minutes), load.earliest) + load.standing_minutes
    starts = first_free(barred(occupied, load), ready) if load.parts else ready
    take_chain(occupied, load, starts)
    return Placed(load, tuple(minutes), starts)


def barred(occupied: Kitchen, load: Load) -> int:
    """Return the minutes at which the chain of a load cannot begin."""
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
    """Occupy the resources of a load's chain."""
    for key, units, start, minutes in load.demand:
        first = max(0, starts + start)
        occupied[key].take(stretch(first, starts + start + minutes - first), units)


def free_hands(hands: Occupied, shortest: int, until: int) -> list[int]:
    """Return the minutes before `until` in which a first, second, third ... person is free."""
    whole = stretch(0, until)
    return [without_crumbs(whole & ~level, shortest) for level in reversed(hands.levels)]


def forward(hands: Occupied, needed: int, earliest: int) -> list[int]:
    """
    Return the minutes of the earliest way to do this much labor, one entry per person and minute.

    Labor may be interrupted and shared. All who work at the end stop together, so it may be a few minutes more.

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
    Return the minutes of the latest way to do this much labor before `latest`; None if impossible.

    All who work begin together, so it may be a few minutes more.

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
    """Return the minute after the last."""
    return max((one.bit_length() for one in minutes), default=0)


def as_stretches(minutes: Sequence[int]) -> tuple[tuple[int, int, int], ...]:
    """
    Return the minutes as (start, end, people).

    >>> as_stretches([stretch(0, 15), stretch(0, 10)])
    ((0, 10, 2), (10, 15, 1))
    """
    edges = sorted({edge for one in minutes for run in runs(one) for edge in run})
    counted = ((start, end, sum(one >> start & 1 for one in minutes)) for start, end in itertools.pairwise(edges))
    return tuple(found for found in counted if found[2])
