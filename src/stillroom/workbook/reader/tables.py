"""Finding the input tables of a workbook, their columns by heading, and the rows that have something in them."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import chain
from typing import TYPE_CHECKING

from stillroom.household.cells import address, letters
from stillroom.household.journal.typed_cells import MOMENT, Typed, TypedTable
from stillroom.household.names import key, tidy_text
from stillroom.household.text import format_number
from stillroom.workbook.ooxml.tables import key_of
from stillroom.workbook.ooxml.values import LAST_ROW, Cell, Rectangle, parse_range
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.headings import as_text, could_be, first_heading, is_empty, match_columns, say_former
from stillroom.workbook.schema import FORMER_TABLES, Column, Table, output_tables, tables

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


# A table that has the headings of one of ours under another name, as a copied sheet leaves it.


def renamed(book: Book, table: Table) -> tuple[str, str] | None:
    """
    Give the name and the first cell of a table that has all the headings of a missing one; None without one.

    Tables that have the name of another of ours are none.
    """
    ours = {key_of(name) for name in tables()}
    wanted = {key_of(column.heading) for column in table.columns if column.field != "note"}
    for part in book.table_parts:
        known = {key_of(part.name), key_of(part.display_name)} & ours
        if not known and wanted <= {key_of(heading) for heading in part.headings}:
            return (
                part.display_name or part.name,
                f"{part.sheet}!{address(part.area.first_row, part.area.first_column)}",
            )
    return None


@dataclass(frozen=True)
class Row:
    """One row of a table: its cells by field; a column that is not there has no cell."""

    sheet: str
    heading_cell: str
    cells: Mapping[str, Cell]
    columns: Mapping[str, Column]

    def where(self, name: str) -> str:
        """Give the place of a cell, `Sheet!B7`; of a missing column, the table's first heading cell."""
        cell = self.cells.get(name)
        return f"{self.sheet}!{cell.address}" if cell is not None else self.heading_cell


@dataclass(frozen=True)
class Rows:
    """An input table as it stands in the workbook; without rows when it is not there."""

    table: Table
    heading_cell: str = ""
    rows: tuple[Row, ...] = ()
    fields: frozenset[str] = field(default_factory=frozenset)


def read_tables() -> tuple[Table, ...]:
    """Every table that is read: the input tables and the plan."""
    return tuple(
        table for table in tables().values() if (table.role == "input" and not table.optional) or table.name == "Plan"
    )


def find_rows(book: Book, reading: Reading) -> dict[str, Rows]:
    """Find each table that is read; what is missing or there twice is a problem."""
    wanted = read_tables()
    named = {table.name: book.tables_named(table.name) for table in wanted}
    lost = [table for table in wanted if not named[table.name]]
    by_headings = blocks_by_headings(book, lost) if lost else {}
    result: dict[str, Rows] = {}
    for table in wanted:
        if named[table.name]:
            found: FoundTable | None = _the_named(table, named[table.name], reading)
        else:
            found = _the_one(book, table, by_headings.get(table.name, []), reading)
        result[table.name] = _rows_of(book, found, table, reading) if found is not None else Rows(table)
        if found is not None and table.required and not result[table.name].rows:
            _say_empty(found, table, reading)
    for table in output_tables():
        if table not in wanted:
            for filled in book.tables_named(table.name):
                say_former(filled, table, reading)
    return result


def blocks_by_headings(book: Book, lost: list[Table]) -> dict[str, list[FoundTable]]:
    """
    Look for rows of headings for the tables that are not there by name.

    A row with all headings of several tables belongs to the table with the most; only then are rows with just the
    headings a table cannot do without looked at, if no other table has them.
    """
    written = [table for table in tables().values() if table.role == "output" and book.table(table.name) is None]
    several = {table.name: table for table in (*lost, *written)}
    taken: set[tuple[str, int, int]] = set()
    found: dict[str, list[FoundTable]] = {}
    for table in sorted(several.values(), key=lambda table: -len(table.columns)):
        whole = [column.heading for column in table.columns if column.field != "note" and not column.asked]
        found[table.name] = [one for one in book.tables_by_headings(whole, table.name) if _place(one) not in taken]
        taken.update(_place(one) for one in found[table.name])
    for table in lost:
        if not found[table.name]:
            least = book.tables_by_headings(least_headings(table), table.name)
            found[table.name] = [one for one in least if _place(one) not in taken]
    return found


def _place(found: FoundTable) -> tuple[str, int, int]:
    """Where a table stands: sheet, row of headings, first column."""
    return found.sheet, found.header_row, found.first_column


def least_headings(table: Table) -> list[str]:
    """Give the headings that a table cannot do without, two at least."""
    if table.name == "Plan":
        return ["Day", "Preserve", "Make", "Keep at"]
    least = [column.heading for column in table.columns if column.required]
    return least if len(least) > 1 else [column.heading for column in table.columns[:2]]


def _the_named(table: Table, found: list[FoundTable], reading: Reading) -> FoundTable:
    """Take the table of that name; a second one of the same name is a problem."""
    if len(found) > 1:
        places = [first_heading(one) for one in found]
        reading.note(places[1], "table twice", table.name, " and ".join(places))
    return found[0]


def _the_one(book: Book, table: Table, candidates: list[FoundTable], reading: Reading) -> FoundTable | None:
    """Take the only candidate, and say so; none or several are problems."""
    if not candidates:
        _note_missing_table(book, table, reading)
        return None
    places = [first_heading(one) for one in candidates]
    if len(candidates) > 1:
        reading.note(places[0], "headings twice", table.name, " and ".join(places), table.name.replace(" ", "_"))
        return None
    reading.note(places[0], "table found by headings", table.name, table.name.replace(" ", "_"))
    return candidates[0]


def _note_missing_table(book: Book, table: Table, reading: Reading) -> None:
    """Note a table that is not there, or not under its name; one that must be there stops the plan."""
    own_name = table.name.replace(" ", "_")
    for part in book.table_parts:
        if FORMER_TABLES.get(key(part.display_name)) == table.name:
            place = f"{part.sheet}!{address(part.area.first_row, part.area.first_column)}"
            reading.note(place, "former table name", part.display_name, own_name, suggestion=table.name)
            reading.missing.add(table.name)
            return
    if (other := renamed(book, table)) is not None:
        name, place = other
        kind = "required table renamed" if table.required else "table renamed"
        reading.note(place, kind, table.name, name, own_name)
    elif table.required:
        reading.note("", "table missing", table.name)
    if table.required:
        reading.missing.add(table.name)


def _rows_of(book: Book, found: FoundTable, table: Table, reading: Reading) -> Rows:
    """Match the columns by heading and keep the rows that are not blank."""
    heading_cell = first_heading(found)
    columns = match_columns(found, table, reading)
    _say_merged(found, set(columns.values()), reading)
    below = rows_below(book, found, table, columns, reading)
    wanted = {column.field: column for column in table.columns}
    rows = []
    hidden = []
    for cells in chain((cells for _, cells in found.rows.filled()), below):
        mine = {name: cells[number] for name, number in columns.items()}
        if all(is_empty(cell) for name, cell in mine.items() if name != "note" or table.name == "Plan"):
            continue
        if (stray := _stray(mine, table)) is not None:
            needed = " and ".join([column.heading for column in table.columns if column.required][:2])
            reading.note(f"{found.sheet}!{mine[stray].address}", "stray cell", as_text(mine[stray])[:40], needed)
            continue
        row = Row(found.sheet, heading_cell, mine, wanted)
        rows.append(row)
        number = next(iter(mine.values())).row
        if number in found.hidden_rows:
            hidden.append(number)
    if hidden:
        _say_hidden(found, hidden, reading)
    if table.limit is not None and len(rows) > table.limit:
        reading.note(heading_cell, "too many rows", table.name, format_number(len(rows)), format_number(table.limit))
        reading.cut_short = True
        rows = rows[: table.limit]
    return Rows(table, heading_cell, tuple(rows), frozenset(columns))


def _stray(cells: Mapping[str, Cell], table: Table) -> str | None:
    """Return the field of the only filled cell of a row, if it is no beginning of one; None for any other row."""
    filled = [name for name, cell in cells.items() if name != "note" and not is_empty(cell)]
    needed = [column.field for column in table.columns if column.required]
    if len(filled) != 1 or table.name == "Plan" or not set(needed) - set(filled):
        return None
    cell = cells[filled[0]]
    begins = filled[0] == table.columns[0].field and len(tidy_text(as_text(cell))) > 1
    return None if begins or cell.kind == "error" or not cell.calculated else filled[0]


def _say_merged(found: FoundTable, columns: set[int], reading: Reading) -> None:
    """Tell of merged cells that cover a column of ours."""
    for merged in found.merged:
        block = parse_range(merged)
        touched = range(block.first_column - found.first_column, block.last_column - found.first_column + 1)
        if columns.intersection(touched) and block.last_row >= found.header_row and block.first_row <= found.last_row:
            place = f"{found.sheet}!{letters(block.first_column)}{block.first_row}"
            reading.note(place, "merged cells", str(merged))


def _say_empty(found: FoundTable, table: Table, reading: Reading) -> None:
    """Tell of a table that every plan rests on and that nothing is typed in yet."""
    about = re.split(r"[.:] ?", table.about)[0]
    reading.note(first_heading(found), "table empty", table.name, f"{about[:1].lower()}{about[1:]}")


def _say_hidden(found: FoundTable, hidden: list[int], reading: Reading) -> None:
    """Note once for a table that hidden rows are read too."""
    place = f"{found.sheet}!{letters(found.first_column)}{hidden[0]}"
    named = ", ".join(str(number) for number in hidden[:5]) + (", ..." if len(hidden) > 5 else "")
    reading.note(place, "hidden rows", named, found.name)


# The cells as typed, for the next plan to compare with.


def typed_tables(book: Book) -> list[TypedTable]:
    """Return the input tables as they are typed in the workbook when it was opened, notes left out."""
    found = [(table, book.table(table.name)) for table in read_tables() if table.role == "input"]
    return [_typed_table(table, one) for table, one in found if one is not None]


def _typed_table(table: Table, found: FoundTable) -> TypedTable:
    """Return the columns of ours in a table, and its filled rows."""
    keys = {key_of(column.heading) for column in table.columns if column.field != "note"}
    places = [place for place, heading in enumerate(found.headings) if key_of(heading) in keys]
    lines = ((found.first_row + row, tuple(_typed(cells[at]) for at in places)) for row, cells in found.rows.filled())
    both = len(table.columns) > 1 and table.columns[1].required and table.columns[1].kind == "name"
    names = {key_of(column.heading) for column in table.columns[: 2 if both else 1]}
    return TypedTable(
        table.name,
        found.sheet,
        tuple(found.headings[place] for place in places),
        tuple(found.first_column + place for place in places),
        tuple((row, cells) for row, cells in lines if any(cell is not None for cell in cells)),
        tuple(places.index(place) for place in places if key_of(found.headings[place]) in names),
    )


def _typed(cell: Cell) -> Typed:
    """Return a cell's value as it is kept: text, a number, or a moment."""
    if is_empty(cell):
        return None
    value = cell.value
    if isinstance(value, int | float) and not isinstance(value, bool):
        return float(value)
    if isinstance(value, datetime.datetime) and value.time() == datetime.time():
        value = value.date()
    if isinstance(value, datetime.date | datetime.time):
        return MOMENT + value.isoformat()
    return tidy_text(as_text(cell))
