"""Rows put at the end of the household's own tables: what was made, weighed, eaten; nothing that stands there moves."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from stillroom.errors import Problem, WorkbookRefused
from stillroom.household.cells import address
from stillroom.household.journal.events import MadeLine
from stillroom.workbook.ooxml.book import Book, FoundTable, Value
from stillroom.workbook.ooxml.tables import key_of
from stillroom.workbook.ooxml.values import parse_address
from stillroom.workbook.reader.tables import blocks_by_headings, read_tables
from stillroom.workbook.schema import tables
from stillroom.workbook.starter.sheets import add_tables

Row = Mapping[str, Value]
_KEY = re.compile(r"\[plan ([0-9a-f]{8})\]")


def input_table(book: Book, name: str) -> FoundTable | None:
    """
    Give the table of the household's that is read under this name; None when there is none.

    Raises WorkbookRefused when two might be meant.
    """
    named = book.tables_named(name)
    found = named or blocks_by_headings(book, [t for t in read_tables() if not book.tables_named(t.name)]).get(name, [])
    if len(found) > 1:
        places = " and ".join(one.heading_place(one.headings[0]) for one in found)
        names = (name, places, name.replace(" ", "_"))
        raise WorkbookRefused([Problem(found[0].heading_place(found[0].headings[0]), "headings twice", names)])
    return found[0] if found else None


def add_rows(book: Book, name: str, rows: Sequence[Row]) -> tuple[str, ...]:
    """
    Queue rows, by heading, below the last one that has anything in it; gives the place of each, `Record!A12`.

    A table that is full grows; one that is not there is added on a new sheet. A column that the household has taken
    out is passed over, unless the row makes no sense without it.

    Raises WorkbookRefused, with the cells, when the table cannot grow or lacks a column.
    """
    found = input_table(book, name)
    if found is None:
        add_tables(book, [tables()[name]], {name: len(rows)})
        found = book.table(name)
    if found is None or not rows:
        return ()
    refuse_without_columns(found, name, rows)
    first = first_free(found)
    book.fill_table(found, {}, max(first + len(rows), found.last_row + 1) - found.first_row)
    for number, row in enumerate(rows):
        set_cells(book, found, first + number, {heading: value for heading, value in row.items() if value is not None})
    return tuple(f"{found.sheet}!{address(first + number, found.first_column)}" for number in range(len(rows)))


def first_free(table: FoundTable) -> int:
    """The sheet row below the last row that holds anything but formulas."""
    filled = [
        table.first_row + place
        for place, cells in table.rows.filled()
        if any(cell.value is not None and cell.formula is None for cell in cells)
    ]
    return max(filled, default=table.first_row - 1) + 1


def set_cells(book: Book, table: FoundTable, row: int, values: Row) -> None:
    """Queue the cells of one row that have a column."""
    for heading, value in values.items():
        column = table.column(heading)
        if column is not None:
            book.set(table.sheet, row, column, value)


def refuse_without_columns(table: FoundTable, name: str, rows: Sequence[Row]) -> None:
    """Refuse a table that lacks a column without which a row would say something else; raises WorkbookRefused."""
    there = {key_of(heading) for heading in table.headings}
    filled = {heading for row in rows for heading, value in row.items() if value is not None}
    lacking = [heading for heading in filled - {"Note"} if key_of(heading) not in there]
    if lacking:
        where = table.heading_place(table.headings[0])
        raise WorkbookRefused([Problem(where, "column missing", (name,), field=", ".join(sorted(lacking)))])


def places_of_keys(book: Book) -> dict[str, list[str]]:
    """The keys of plan lines that stand in the notes of the record, with the place of each row that has one."""
    table = input_table(book, "Record") if any(key_of(t) == "record" for t in book.table_names) else None
    found: dict[str, list[str]] = {}
    for place, cells in table.rows.filled() if table is not None else ():
        texts = [str(cell.value) for cell in cells if cell.kind == "text"]
        for key in dict.fromkeys(key for text in texts for key in _KEY.findall(text)):
            where = f"{table.sheet}!{address(table.first_row + place, table.first_column)}" if table is not None else ""
            found.setdefault(key, []).append(where)
    return found


def record_made(book: Book, moves: Sequence[MadeLine]) -> tuple[str, ...]:
    """Queue the rows of the record for plan lines that say what was made; those that stand there already are not."""
    return add_rows(book, "Record", [row_of(move) for move in moves if not move.known])


def row_of(move: MadeLine) -> Row:
    """One row of the record by heading."""
    crop = move.row.crop is not None
    return {
        "Date": move.row.date,
        "Preserve": move.row.preserve,
        "Made": None if crop else move.row.made,
        "Crop": move.row.crop,
        "Crop used": move.crop_used,
        "Unit": move.unit,
        "Note": move.note,
    }


def row_number(where: str) -> int:
    """
    The sheet row of a place.

    >>> row_number("On hand!B12")
    12
    """
    return parse_address(where.rpartition("!")[2])[0]


def formulas_replaced(book: Book, name: str, where: str, values: Row) -> tuple[str, ...]:
    """The cells of a table's row, as it stands in the file, in which a formula stands where a value is to go."""
    table = input_table(book, name)
    place = row_number(where) - table.first_row if table is not None else -1
    if table is None or not 0 <= place < len(table.rows):
        return ()
    columns = [table.column(heading) for heading, value in values.items() if value is not None]
    cells = [table.rows[place][column - table.first_column] for column in columns if column is not None]
    return tuple(f"{table.sheet}!{cell.address}" for cell in cells if cell.formula is not None)


def has_column(book: Book, name: str, heading: str) -> bool:
    """Whether a table of the household's has a column; yes for a table that is still to be added."""
    table = input_table(book, name)
    return table is None or table.column(heading) is not None


def change_row(book: Book, name: str, where: str, values: Row, note: str) -> None:
    """
    Queue other values in one row of a table, and a note added to the one there; `where` is any cell of that row.

    A note is left out where it has no column, or a formula stands. Raises WorkbookRefused where a formula stands in a
    cell to be changed.
    """
    table = input_table(book, name)
    if table is None:
        return
    row = row_number(where)
    cells = {cell.column: cell for cell in table.rows[row - table.first_row]}
    problems = []
    for heading in values:
        column = table.column(heading)
        if column is not None and cells[column].formula is not None:
            problems.append(Problem(f"{table.sheet}!{cells[column].address}", "formula in the record", field=heading))
    if problems:
        raise WorkbookRefused(problems)
    set_cells(book, table, row, values)
    noted = table.column("Note")
    if note and noted is not None and cells[noted].formula is None:
        book.set(table.sheet, row, noted, noted_after(cells[noted].value, note))


def noted_after(before: Value, note: str) -> str:
    """
    Return a note added to the one there.

    >>> noted_after(None, "late"), noted_after("windfall", "late")
    ('late', 'windfall; late')
    """
    return note if before is None else f"{before}; {note}"
