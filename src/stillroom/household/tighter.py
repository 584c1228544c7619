"""What single days have less than their hours add up to, once their loads were put on the clock one after the other."""

from __future__ import annotations

import datetime
from dataclasses import dataclass


@dataclass(frozen=True)
class Tighter:
    """
    Tighter limits of single days; nothing that a household types, and no part of what a plan is judged by.

    `less_hours` are (hands, stove or a piece of equipment; day; hours that the day has less, burner-hours for the
    stove), `most` (preserve; day; containers at most), neither of them twice. A line that the household fixed is not
    held to its `most`. `told` says of which days it was found, and how they would have been.
    """

    less_hours: tuple[tuple[str, datetime.date, float], ...] = ()
    most: tuple[tuple[str, datetime.date, int], ...] = ()
    told: tuple[tuple[datetime.date, str], ...] = ()

    def with_less(self, what: str, day: datetime.date, hours: float) -> Tighter:
        """
        Give the same with so many hours less of a thing on a day, in all.

        >>> day = datetime.date(2026, 8, 14)
        >>> Tighter().with_less("stove", day, 1.0).with_less("stove", day, 2.0).less_hours[0][2]
        2.0
        """
        others = tuple(one for one in self.less_hours if one[:2] != (what, day))
        return Tighter((*others, (what, day, hours)), self.most, self.told)

    def with_most(self, name: str, day: datetime.date, most: int) -> Tighter:
        """
        Give the same with no more than so many containers of a preserve on a day.

        >>> day = datetime.date(2026, 8, 14)
        >>> Tighter().with_most("juice", day, 7).with_most("juice", day, 9).most[0][2]
        7
        """
        before = [one[2] for one in self.most if one[:2] == (name, day)]
        others = tuple(one for one in self.most if one[:2] != (name, day))
        return Tighter(self.less_hours, (*others, (name, day, min([most, *before]))), self.told)
