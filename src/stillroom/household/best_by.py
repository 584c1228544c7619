"""Until which day something that was made is good."""

from __future__ import annotations

import calendar
import datetime

from stillroom.household.records import Preserve


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
