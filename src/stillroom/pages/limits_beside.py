"""The table Limits beside a new plan: filled when that was asked for, else emptied of what an older plan left there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from stillroom.household.answer.units import Row
from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.household.tighter import Tighter
from stillroom.workbook.book import Book
from stillroom.workbook.inputs import output_tables
from stillroom.workbook.mark import found_table
from stillroom.workbook.write import write_table

Tell = Callable[[str], None]

NOT_YET = "Not worked out for this plan; `stillroom plan --limits` or `stillroom limits --write` fills this table."


def fill_limits(book: Book, household: Household, plan: Plan, tell: Tell) -> list[Row]:
    """
    Queue the table Limits for a plan, on a new sheet when the workbook has none; gives its rows.

    A household planned for several harvests is planned again for the likely one, and a last row says so.
    """
    from stillroom.pages.likely_harvest import for_the_likely, likely_words
    from stillroom.pages.limits_way import limits_found
    from stillroom.pages.limits_words import limit_rows
    from stillroom.pages.suppose_way import planned_on_the_clock
    from stillroom.pages.workers import two_workers

    words = likely_words(household)
    if words:
        tell("planning for the likely harvest alone")
        household, plan = planned_on_the_clock(for_the_likely(replace(household, tighter=Tighter())))
    with two_workers() as executor:
        found = limits_found(household, plan, executor, tell)
    rows = list(limit_rows(household, found, words))
    write_table(book, "Limits", rows)
    return rows


def empty_limits(book: Book) -> tuple[str, ...]:
    """
    Queue the table Limits, if there is one, with a line that says how it is filled; what stood there is out of date.

    Gives what is to be said of it: nothing where there is no such table, or where nothing stood in it.
    """
    headings = next(table.headings for table in output_tables() if table.name == "Limits")
    found = found_table(book, "Limits", headings)
    if found is None:
        return ()
    words = [cell.value for _, cells in found.rows.filled() for cell in cells if cell.value is not None]
    row: Row = dict.fromkeys(headings) | {"Limit": NOT_YET}
    write_table(book, "Limits", [row])
    if not words or NOT_YET in words:
        return ()
    return ("The table Limits was of an older plan and has been emptied; --limits fills it anew.",)
