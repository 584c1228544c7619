"""Whether a date lies where it may be expected; it is judged against the first day, never the clock."""

from __future__ import annotations

import datetime

from stillroom.errors import Problem
from stillroom.workbook.reader.entry import Entry

MORE_FAR = "so are {} more dates far from it"

USUAL_DAYS: dict[str, tuple[int, int]] = {
    "picked_on": (300, 300),
    "frozen_on": (730, 30),
    "counted_on": (1500, 31),
    "made_on": (3650, 31),
    "best_by": (3650, 3650),
    "free_from": (1500, 400),
    "date": (1500, 31),
    "day": (400, 400),
}
"""Days before and after the first day within which a date is nothing to wonder at."""


def near_date(entry: Entry, field: str) -> datetime.date | None:
    """Give a date; one far from the first day is said, for its year may be wrong."""
    day = entry.date(field)
    if day is None:
        return None
    first_day = entry.reading.first_day
    before, after = USUAL_DAYS[field]
    away = (day - first_day).days
    if away < -before or away > after:
        side = "after" if away > 0 else "before"
        what = f"*{entry.row.columns[field].heading}* {day} is {abs(away):,} days {side} the first day, {first_day}"
        far = Problem(entry.where(field), what, "check the year", "date far away")
        entry.reading.say_once_of_many(far, MORE_FAR, "check the *first day* in Kitchen, or the years")
    return day
