"""The periods of a plan: days planned singly, then whole weeks."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from functools import cached_property

from stillroom.household.records import Kitchen


@dataclass(frozen=True)
class Period:
    """
    One stretch of the plan: a single day, or a week planned as one.

    `number` counts from 0; `days` is 1 or 7; whole numbers are asked for only in single days.
    """

    number: int
    first_day: datetime.date
    days: int

    @cached_property
    def last_day(self) -> datetime.date:
        """The last day that belongs to the period."""
        return self.first_day + datetime.timedelta(days=self.days - 1)

    @property
    def single(self) -> bool:
        """Whether the period is one day, so that its containers and loads are whole."""
        return self.days == 1

    @cached_property
    def label(self) -> str:
        """
        How the period is named in solver names and printed rules.

        >>> Period(0, datetime.date(2026, 8, 14), 1).label, Period(7, datetime.date(2026, 8, 21), 7).label
        ('08-14', 'week_08-21')
        """
        day = self.first_day.strftime("%m-%d")
        return day if self.single else f"week_{day}"


def periods(kitchen: Kitchen) -> tuple[Period, ...]:
    """
    The days planned singly from the first day on, then the weeks after that.

    >>> [p.label for p in periods(Kitchen(datetime.date(2026, 8, 14), days_planned_singly=2, weeks_after_that=1))]
    ['08-14', '08-15', 'week_08-16']
    """
    found = []
    day = kitchen.first_day
    lengths = [1] * kitchen.days_planned_singly + [7] * kitchen.weeks_after_that
    for number, days in enumerate(lengths):
        found.append(Period(number, day, days))
        day += datetime.timedelta(days=days)
    return tuple(found)
