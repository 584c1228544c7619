"""Rows typed under the end of a table: read as its own where they fit, told where they do not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING

from stillroom.household.names import key, tidy_text
from stillroom.workbook.ooxml.values import LAST_ROW, Cell, Rectangle
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.headings import could_be, is_empty
from stillroom.workbook.schema import Table, tables

if TYPE_CHECKING:
    from stillroom.workbook.ooxml.book import Book
    from stillroom.workbook.ooxml.tables import FoundTable

UNDER_A_TABLE = 2
UNDER_A_BLANK_ROW = 60
"""How many rows under a table are looked at: a defined one, and one that only a blank row ends."""

_MEANT: Mapping[str, tuple[str, ...]] = {
    "Equipment": ("name", "load", "load_unit"),
    "Record": ("date", "preserve"),
    "Plan": ("day", "preserve"),
}
"""The fields that make a row one of the table's, where these are not its required ones."""
_OF_SUMS = ("total", "totals", "sum", "subtotal", "together", "all")
"""What stands in front of a sum under a table."""


def rows_below(
    book: Book, found: FoundTable, table: Table, columns: Mapping[str, int], reading: Reading
) -> list[tuple[Cell, ...]]:
    """
    Return the rows right under a table that are filled in like its own, all of whose cells fit their columns.

    `columns` are the places of the table's fields in it. Each row is told; so is a cell that fits no such row, and the
    first row behind a gap or a row of totals. A sum under a table is none of them, nor is another table. The plan's
    own rows are only told, because the planner writes that table anew.
    """
    fields = _MEANT.get(table.name) or tuple(column.field for column in table.columns if column.required)
    if not fields or not set(fields) <= set(columns):
        return []
    rows = []
    row = found.last_row + found.totals_rows + 1
    if found.table_part is not None and not found.totals_rows and table.name != "Plan":
        while (cells := _row_of_its_own(book, found, row, table, columns, fields)) is not None:
            if _fits(cells, found, table, columns, reading):
                reading.note(f"{found.sheet}!{cells[0].address}", "row below is read", found.name)
                rows.append(cells)
            row += 1
    _say_below(book, found, table, columns, fields, row, reading)
    return rows


def _cells(book: Book, found: FoundTable, row: int) -> tuple[Cell, ...]:
    return tuple(book.cell(found.sheet, row, column) for column in range(found.first_column, found.last_column + 1))


def _row_of_its_own(
    book: Book, found: FoundTable, row: int, table: Table, columns: Mapping[str, int], fields: Sequence[str]
) -> tuple[Cell, ...] | None:
    """Return the cells of a row in which most of what a row of the table needs is typed; None for any other."""
    if row > LAST_ROW or _is_of_another(book, found, row):
        return None
    cells = _cells(book, found, row)
    typed = [_says_something(cells[columns[field]], None) for field in fields]
    name = cells[columns[fields[0]]]
    if not _says_something(name, table) or sum(typed) < min(2, len(fields)) or _is_heading(name):
        return None
    words = {key(str(cell.value)) for cell in cells if cell.kind == "text"}
    sums = any(cell.formula is not None and "(" in cell.formula for cell in cells)
    return None if sums or words.intersection(_OF_SUMS) or not could_be(name, table.column(fields[0])) else cells


def _fits(cells: Sequence[Cell], found: FoundTable, table: Table, columns: Mapping[str, int], reading: Reading) -> bool:
    """Whether every filled cell of a row is of the kind its column takes; tell of each that is not."""
    odd = [
        (cells[number], table.column(field))
        for field, number in columns.items()
        if not is_empty(cells[number]) and not could_be(cells[number], table.column(field))
    ]
    for cell, column in odd:
        reading.note(f"{found.sheet}!{cell.address}", "cell below the table", found.name, field=column.heading)
    return not odd


def _say_below(
    book: Book,
    found: FoundTable,
    table: Table,
    columns: Mapping[str, int],
    fields: Sequence[str],
    first: int,
    reading: Reading,
) -> None:
    """Tell of the first row from there on that is filled in like one of the table's own, and is not read."""
    rows = UNDER_A_TABLE if found.table_part is not None else UNDER_A_BLANK_ROW
    for row in range(first, min(first + rows, LAST_ROW + 1)):
        name = book.cell(found.sheet, row, found.first_column + columns[fields[0]])
        if _is_of_another(book, found, row) or _is_heading(name):
            return
        if not _says_something(name, table):
            continue
        cells = [book.cell(found.sheet, row, found.first_column + columns[field]) for field in fields]
        if all(_says_something(cell, None) for cell in cells) and key(str(name.value)) not in _OF_SUMS:
            kind = "row below a blank row" if found.table_part is None else "row below the table"
            reading.note(f"{found.sheet}!{name.address}", kind, found.name)
            return


def _is_of_another(book: Book, found: FoundTable, row: int) -> bool:
    """Whether another table lies in this row under a table."""
    line = Rectangle(row, found.first_column, row, found.last_column)
    return any(part.area.meets(line) for part in book.table_parts if part.sheet == found.sheet)


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
