"""Living from the shelf: the workbook read, its shelf divided over the winter, shown and written."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stillroom.app.day import asked_day
from stillroom.app.plan import Reading
from stillroom.app.questions.bottlenecks import written_words
from stillroom.errors import CommandWrong
from stillroom.household.results.winter import Winter, winter, winter_rows
from stillroom.household.text import format_date_and_year, format_number
from stillroom.reports.json import as_json, errors_object, text
from stillroom.reports.terminal.plan import with_errors
from stillroom.reports.terminal.year import winter_object, winter_page
from stillroom.workbook.writer.notices import count_writing
from stillroom.workbook.writer.plan import write_table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from stillroom.household.results.commands import Receipt
    from stillroom.household.results.rows import Row

LEAST_MONTHS, MOST_MONTHS = 0.25, 36.0


def winter_of(reading: Reading, months: float, first: str | None) -> Winter:
    """
    Work out how the shelf carries through so many months, from the first day of the workbook or a later one as typed.

    Raises CommandWrong for months or a day that cannot be.
    """
    if not (math.isfinite(months) and LEAST_MONTHS <= months <= MOST_MONTHS):
        limits = f"from {format_number(LEAST_MONTHS)} to {format_number(MOST_MONTHS)}"
        msg = f"--months takes a number {limits}, such as 4."
        raise CommandWrong(msg)
    today = reading.household.kitchen.first_day
    day = today if first is None else asked_day(first, reading.household, ahead=True, option="--from")
    if day < today:
        msg = f"--from is before the first day of the workbook, {format_date_and_year(today)}; write a later day."
        raise CommandWrong(msg)
    return winter(reading.typed, reading.household, day, months)


def write_winter(reading: Reading, found: Winter) -> Receipt:
    """
    Fill the table Winter of the workbook, on a new sheet when it has none.

    Raises CouldNotWrite or WorkbookRefused; nothing is changed then.
    """
    write_table(reading.book, "Winter", winter_rows(found.covers))
    if reading.book.changed():
        count_writing(reading.book)
    return reading.book.save()


def winter_view(reading: Reading, found: Winter, receipt: Receipt | None = None) -> RenderableType:
    """How the shelf carries, for the terminal, and what was written."""
    end = () if receipt is None else written_words(receipt, "Winter")
    return with_errors(reading.household, winter_page(reading.household, found, end))


def winter_tables(found: Winter) -> dict[str, list[Row]]:
    """The table Winter, for CSV."""
    return {"Winter": winter_rows(found.covers)}


def winter_json(reading: Reading, found: Winter, receipt: Receipt | None = None) -> str:
    """The same for other programs; `receipt` where the table Winter was to be filled."""
    whole = winter_object(found) | errors_object(reading.household)
    return text(whole if receipt is None else whole | {"receipt": as_json(receipt)})
