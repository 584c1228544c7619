"""A first day that a formula reckons from the clock: in the file stands the day on which it was last worked out."""

from __future__ import annotations

import datetime
import re

from stillroom.errors import Problem
from stillroom.household.names import key
from stillroom.workbook.book import Book
from stillroom.workbook.record_rows import input_table

FIRST_DAY = "first day"
_CLOCK = re.compile(r"\b(?:TODAY|NOW)\s*\(", re.IGNORECASE)


def saved_day(book: Book, first_day: datetime.date, today: datetime.date) -> tuple[Problem, ...]:
    """
    Say that the first day is a formula such as `=TODAY()`, and that what was saved of it is not this day.

    `first_day` is the one that was read. Raises WorkbookRefused when two tables may be Kitchen.
    """
    if first_day == today:
        return ()
    table = input_table(book, "Kitchen") if book.table("Kitchen") is not None else None
    setting, value = (table.column("Setting"), table.column("Value")) if table is not None else (None, None)
    if table is None or setting is None or value is None:
        return ()
    for _, cells in table.rows.filled():
        name, cell = cells[setting - table.first_column], cells[value - table.first_column]
        if key(str(name.value)) == key(FIRST_DAY) and _CLOCK.search(cell.formula or ""):
            what = f"the first day is a formula, and when it was last worked out it was {first_day}; today is {today}"
            fix = "empty the cell: a blank first day is always today; or type the day"
            return (Problem(f"{table.sheet}!{cell.address}", what, fix, "first day saved before"),)
    return ()
