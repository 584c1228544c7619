"""Rows of the planner's tables that are hidden, so that a part of the plan does not show."""

from __future__ import annotations

from stillroom.errors import Problem
from stillroom.workbook.book import Book
from stillroom.workbook.inputs import output_tables
from stillroom.workbook.values import address

TOLD_BY_THE_READER = "Plan"
MOST_ROWS = 5


def hidden_answers(book: Book) -> tuple[Problem, ...]:
    """Tables of the planner's with hidden rows in which something stands, as a filter leaves them."""
    problems = []
    for table in output_tables():
        found = None if table.name == TOLD_BY_THE_READER else book.table(table.name)
        if found is None or not found.hidden_rows:
            continue
        rows = [
            found.first_row + place
            for place, cells in found.rows.filled()
            if found.first_row + place in found.hidden_rows and any(cell.value is not None for cell in cells)
        ]
        if rows:
            named = ", ".join(map(str, rows[:MOST_ROWS])) + (", ..." if len(rows) > MOST_ROWS else "")
            what = f"row{'s' if len(rows) > 1 else ''} {named} of *{table.name}* do not show, and a plan goes there too"
            where = f"{found.sheet}!{address(rows[0], found.first_column)}"
            fix = "take the filter off, or show the rows again, to see all of it"
            problems.append(Problem(where, what, fix, "hidden rows"))
    return tuple(problems)
