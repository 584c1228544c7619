"""Until which day something that was made is good."""

from __future__ import annotations

import calendar
import datetime
from collections.abc import Iterable, Sequence

from stillroom.household.plan import Period
from stillroom.household.records import Preserve, ShelfRow


def best_by(made_on: datetime.date, keeps_months: float) -> datetime.date:
    """
    Give the day until which something made on a day is good; part of a month counts thirty days a month.

    >>> best_by(datetime.date(2026, 8, 31), 6), best_by(datetime.date(2026, 8, 14), 0.5)
    (datetime.date(2027, 2, 28), datetime.date(2026, 8, 29))
    """
    months = made_on.month - 1 + int(keeps_months)
    year, month = made_on.year + months // 12, months % 12 + 1
    day = min(made_on.day, calendar.monthrange(year, month)[1])
    return datetime.date(year, month, day) + datetime.timedelta(days=round(keeps_months % 1 * 30))


def lasts(preserve: Preserve, made_on: datetime.date, until: datetime.date) -> bool:
    """Return whether a preserve made on a day is still good on another; one without keeping months always is."""
    return preserve.keeps_months is None or best_by(made_on, preserve.keeps_months) >= until


def used_in_time(shelf: Iterable[ShelfRow], used: Sequence[float], periods: Sequence[Period]) -> tuple[float, ...]:
    """
    Return how many containers used in each period may be jars that go out of date before the plan ends.

    `shelf` are the rows of one preserve; the earliest date goes first, and a week counts by its last day.

    >>> days = [Period(number, datetime.date(2026, 8, 14 + number), 1) for number in range(4)]
    >>> shelf = [ShelfRow("broth", 3, best_by=datetime.date(2026, 8, day)) for day in (14, 15)]
    >>> used_in_time(shelf, [1.0, 4.0, 1.0, 0.0], days)
    (1.0, 3.0, 0.0, 0.0)
    """
    last_day = periods[-1].last_day
    dated = [(row.best_by, row.count) for row in shelf if row.best_by is not None and row.best_by < last_day]
    left = sorted(dated)
    found = []
    for period, wanted in zip(periods, used, strict=True):
        left = [(day, count) for day, count in left if day >= period.last_day]
        taken = min(wanted, sum((count for _, count in left), 0.0))
        found.append(taken)
        left = _less(left, taken)
    return tuple(found)


def _less(dated: Sequence[tuple[datetime.date, float]], taken: float) -> list[tuple[datetime.date, float]]:
    """Return what is left by date once so many were taken, the earliest first."""
    left = []
    for day, count in dated:
        bite = min(count, taken)
        taken -= bite
        left.append((day, count - bite))
    return left
