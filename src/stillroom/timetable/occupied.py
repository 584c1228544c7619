"""
Minutes in which a thing is in use, kept as the bits of whole numbers: bit 37 is minute 37 of the day.

Of burners, hands and canners there may be several, all alike. `levels[k]` has a bit for each minute in which more than
`k` of them are in use; whoever holds which one is settled afterwards, and can be: intervals of which never more than
so many overlap can always be shared out among so many.
"""

from __future__ import annotations


def stretch(start: int, length: int) -> int:
    """
    Give the minutes from `start` on, so many of them.

    >>> bin(stretch(2, 3))
    '0b11100'
    """
    return ((1 << length) - 1) << start if length > 0 else 0


def starts_barred(blocked: int, length: int) -> int:
    """
    Give the minutes at which something of this length cannot begin, because it would run into a blocked minute.

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
    Give the first minute from `earliest` on that is not barred.

    >>> first_free(0b10110, 1), first_free(0, 5)
    (3, 5)
    """
    after = ~(barred >> earliest)
    return earliest + (after & -after).bit_length() - 1


def runs(minutes: int) -> list[tuple[int, int]]:
    """
    Give the stretches of minutes that hang together, each with its first minute and the one after its last.

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
    Leave out stretches that are shorter than `shortest`.

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
    """So many of a thing, and the minutes in which each further one is in use."""

    def __init__(self, how_many: int) -> None:
        """Begin with all of them free."""
        self.levels = [0] * how_many

    def copy(self) -> Occupied:
        """Give the same, to be filled further apart from this one."""
        other = Occupied(0)
        other.levels = list(self.levels)
        return other

    def blocked(self, units: int) -> int:
        """Give the minutes in which so many are not to be had."""
        spare = len(self.levels) - units
        return -1 if spare < 0 else self.levels[spare]

    def take(self, minutes: int, units: int = 1) -> None:
        """Take so many for these minutes; nothing checks that they are free: that is asked before."""
        for _ in range(units):
            carry = minutes
            for place, level in enumerate(self.levels):
                self.levels[place], carry = level | carry, level & carry
