"""Dates and times as they stand in a cell; text that could mean two days is asked about."""

from __future__ import annotations

import datetime
import re

from stillroom.household.names import tidy_text
from stillroom.household.units import MeasureWrong
from stillroom.workbook.values import Value

_ISO = re.compile(r"\d{4}-\d{1,2}-\d{1,2}")
_SLASHED = re.compile(r"(\d{1,2})[/.](\d{1,2})[/.](\d{4})")
_CLOCK = re.compile(r"(\d{1,2})[:.h](\d{2})(?::\d{2})?\s*(am|pm)?", re.IGNORECASE)
FIRST_YEAR, LAST_YEAR = 1990, 2199
_WRITE = "write a date such as 2026-08-14"


def date_from(value: Value) -> datetime.date:
    """
    Read a date from a date cell or ISO text. Raises MeasureWrong ("unreadable date", "out of range").

    >>> date_from("2026-08-14")
    datetime.date(2026, 8, 14)
    >>> date_from("8/9/2026")
    Traceback (most recent call last):
    stillroom.household.units.MeasureWrong: *8/9/2026* may be 2026-08-09 or 2026-09-08; write the one that is meant
    """
    if isinstance(value, datetime.datetime):
        return _within_years(value.date())
    if isinstance(value, datetime.date):
        return _within_years(value)
    if isinstance(value, str):
        return _date_from_text(tidy_text(value))
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise MeasureWrong(
            f"is the number {value:.15g}, not a date", "give the cell a date format, or " + _WRITE, "unreadable date"
        )
    raise MeasureWrong(f"is {value}, not a date", _WRITE, "unreadable date")


def _date_from_text(text: str) -> datetime.date:
    """Read ISO text; say what a slashed date may mean."""
    if _ISO.fullmatch(text):
        year, month, day = (int(part) for part in text.split("-"))
        try:
            return _within_years(datetime.date(year, month, day))
        except ValueError:
            raise MeasureWrong(f"*{text}* is no day of the calendar", _WRITE, "unreadable date") from None
    if slashed := _SLASHED.fullmatch(text):
        one, two, year = (int(part) for part in slashed.groups())
        days = sorted(
            {
                f"{year}-{month:02}-{day:02}"
                for month, day in ((one, two), (two, one))
                if 1 <= month <= 12 and 1 <= day <= 31
            }
        )
        if days:
            fix = "write the one that is meant" if len(days) > 1 else "write it so"
            raise MeasureWrong(f"*{text}* may be {' or '.join(days)}", fix, "unreadable date")
    raise MeasureWrong(f"*{text[:40]}* is not a date", _WRITE, "unreadable date")


def _within_years(day: datetime.date) -> datetime.date:
    """Refuse a year that no workbook of ours can mean."""
    if FIRST_YEAR <= day.year <= LAST_YEAR:
        return day
    raise MeasureWrong(f"is {day.isoformat()}", f"write a date from {FIRST_YEAR} to {LAST_YEAR}", "out of range")


def time_from(value: Value) -> datetime.time:
    """
    Read a time of day from a time cell, a part of a day, or text. Raises MeasureWrong ("unreadable date").

    >>> time_from("8:30"), time_from("1:15 pm"), time_from(0.375)
    (datetime.time(8, 30), datetime.time(13, 15), datetime.time(9, 0))
    """
    if isinstance(value, datetime.datetime):
        return value.time().replace(microsecond=0)
    if isinstance(value, datetime.time):
        return value.replace(microsecond=0)
    if isinstance(value, datetime.timedelta):  # [hh]:mm, as some office programs format any time
        value = value / datetime.timedelta(days=1)
    if isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value < 1:
        minutes = round(value * 1440) % 1440
        return datetime.time(minutes // 60, minutes % 60)
    if isinstance(value, str) and (found := _CLOCK.fullmatch(tidy_text(value))):
        hour, minute = int(found[1]), int(found[2])
        if found[3]:
            hour = hour % 12 + (12 if found[3].casefold() == "pm" else 0) if 1 <= hour <= 12 else 99
        if hour < 24 and minute < 60:
            return datetime.time(hour, minute)
    raise MeasureWrong(f"is *{value}*, not a time of day", "write a time such as 8:30", "unreadable date")
