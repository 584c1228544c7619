"""A day as it is typed behind --on, read alike by every command."""

from __future__ import annotations

import datetime

from stillroom.errors import CommandWrong
from stillroom.household.units import MeasureWrong
from stillroom.workbook.reader.cells import date_from


def asked_day(words: str) -> datetime.date:
    """
    Read the day of `--on`. Raises CommandWrong, with the day that may be meant.

    >>> asked_day("2026-8-15")
    datetime.date(2026, 8, 15)
    >>> asked_day("8/15/2026")
    Traceback (most recent call last):
    stillroom.errors.CommandWrong: --on "8/15/2026" may be 2026-08-15; type the day you mean as 2026-08-15
    """
    try:
        return date_from(words)
    except MeasureWrong as wrong:
        raise CommandWrong(f"--on {wrong}") from None
