"""Rows typed under the end of a table: no table takes them in, so they are told rather than passed over."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING

from stillroom.household.names import key, tidy_text
from stillroom.workbook.inputs import Table, tables
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.values import LAST_ROW, Cell, Rectangle

if TYPE_CHECKING:
    from stillroom.workbook.book import Book
    from stillroom.workbook.tables import FoundTable

UNDER_A_TABLE = 2
UNDER_A_BLANK_ROW = 60
"""How many rows under a table are looked at: a defined one, and one that only a blank row ends."""

_MEANT: Mapping[str, tuple[str, ...]] = {
    "Equipment": ("name", "load", "load_unit"),
    "Record": ("date", "preserve"),
    "Plan": ("day", "preserve"),
}
"""The fields that make a row one of the table's, where these are not its required ones."""


def say_below(book: Book, found: FoundTable, table: Table, columns: Mapping[str, int], reading: Reading) -> None:
    """
    Tell of the first row under a table that is filled in like one of its own, and is not read.

    `columns` are the places of the table's fields in it. A sum under a table is none, nor is another table.
    """
    fields = _MEANT.get(table.name) or tuple(column.field for column in table.columns if column.required)
    if not fields or not set(fields) <= set(columns):
        return
    first = found.last_row + found.totals_rows + 1
    rows = UNDER_A_TABLE if found.table_part is not None else UNDER_A_BLANK_ROW
    others = [part.area for part in book.table_parts if part.sheet == found.sheet]
    for row in range(first, min(first + rows, LAST_ROW + 1)):
        line = Rectangle(row, found.first_column, row, found.last_column)
        name = book.cell(found.sheet, row, found.first_column + columns[fields[0]])
        if any(area.meets(line) for area in others) or _is_heading(name):
            return
        if not _says_something(name, table):
            continue
        cells = [book.cell(found.sheet, row, found.first_column + columns[field]) for field in fields]
        if all(_says_something(cell, None) for cell in cells):
            _say(found, name, reading)
            return


def _say(found: FoundTable, cell: Cell, reading: Reading) -> None:
    where = f"{found.sheet}!{cell.address}"
    if found.table_part is None:
        what = f"this row is not read: the empty row above it ends the table *{found.name}*"
        fix = "take the empty row out; rows below it may not be read either"
    else:
        what = f"this row is not read: it stands under the table *{found.name}*, not in it"
        fix = "make the table longer by pulling its lower right corner down, or type the row into an empty one inside"
    reading.say(where, what, fix, "row below the table")


def _is_heading(cell: Cell) -> bool:
    """Whether a cell holds a heading of one of the tables, so that another table begins here."""
    return isinstance(cell.value, str) and key(cell.value) in _headings()


@cache
def _headings() -> frozenset[str]:
    return frozenset(key(heading) for table in tables().values() for heading in table.headings)


def _says_something(cell: Cell, table: Table | None) -> bool:
    """Whether a cell holds something typed; in the first cell of a row of settings, the name of one."""
    if cell.kind in ("blank", "error") or (cell.formula is not None and "(" in cell.formula):
        return False
    text = tidy_text(str(cell.value))
    if table is not None and table.settings:
        return key(text) in {key(setting.heading) for setting in table.settings}
    return bool(text)
