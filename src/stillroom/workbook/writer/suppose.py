"""The table Suppose of a workbook read, and a comparison of cases put on a sheet of its own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from stillroom.errors import Problem, WorkbookRefused
from stillroom.household.cells import address
from stillroom.workbook.ooxml.book import Book, Value
from stillroom.workbook.ooxml.values import parse_address
from stillroom.workbook.schema import Column, Table
from stillroom.workbook.starter.sheets import add_tables
from stillroom.workbook.writer.record import input_table

ANSWER = "Would give"


@dataclass(frozen=True)
class SupposeRow:
    """One row of the table Suppose; `where` is the place of its change."""

    case: str
    change: str
    where: str


def suppose_rows(book: Book) -> tuple[SupposeRow, ...]:
    """
    The rows of the table Suppose in their order; a blank Case belongs to the case above it. Empty without the table.

    Raises WorkbookRefused when two tables might be meant, or it lacks a column.
    """
    table = input_table(book, "Suppose")
    if table is None:
        return ()
    columns = [table.column(heading) for heading in ("Case", "Change")]
    if None in columns:
        place = table.heading_place(table.headings[0])
        raise WorkbookRefused([Problem(place, "column missing", ("Suppose",), field="Case or Change")])
    found = []
    case = "as typed"
    for number, cells in enumerate(table.rows):
        texts = [cells[(column or 1) - table.first_column].value for column in columns]
        case = str(texts[0]).strip() if texts[0] not in (None, "") else case
        if texts[1] not in (None, ""):
            where = f"{table.sheet}!{address(table.first_row + number, columns[1] or 1)}"
            found.append(SupposeRow(case, str(texts[1]).strip(), where))
    return tuple(found)


def typed_disruptions(book: Book) -> tuple[tuple[str, str], ...]:
    """
    The rows of the table Disruptions in their order, each with the place of its cell; empty without the table.

    Raises WorkbookRefused when two tables might be meant, or it lacks its column.
    """
    table = input_table(book, "Disruptions")
    if table is None:
        return ()
    column = table.column("Disruption")
    if column is None:
        place = table.heading_place(table.headings[0])
        raise WorkbookRefused([Problem(place, "column missing", ("Disruptions",), field="Disruption")])
    return tuple(
        (str(cells[column - table.first_column].value), f"{table.sheet}!{address(table.first_row + number, column)}")
        for number, cells in table.rows.filled()
        if cells[column - table.first_column].value not in (None, "")
    )


def has_answers(book: Book) -> bool:
    """Whether the workbook has a table Suppose with rows and a column for what each case would give."""
    table = input_table(book, "Suppose")
    return table is not None and table.column(ANSWER) is not None and bool(suppose_rows(book))


def write_answers(book: Book, answers: Mapping[str, str]) -> None:
    """
    Queue what each case would give, by the place of its first change; what stood in the column before goes.

    A cell with a formula is left as it is.
    """
    table = input_table(book, "Suppose")
    column = None if table is None else table.column(ANSWER)
    if table is None or column is None:
        return
    by_row = {parse_address(where.rpartition("!")[2])[0]: answer for where, answer in answers.items()}
    for place, cells in table.rows.filled():
        row, cell = table.first_row + place, cells[column - table.first_column]
        answer = by_row.get(row)
        if cell.formula is None and (cell.value or None) != answer:
            book.set(table.sheet, row, column, answer)


COMPARED: Mapping[str, Mapping[str, Any]] = {
    "date": {"width": 16.0, "format": "date"},
    "number": {"width": 12.0, "format": "0.0"},
    "text": {"width": 30.0},
}
"""Width and number format of the columns of a comparison, by what they hold."""


def compared_kinds(headings: Sequence[str]) -> list[str]:
    """
    What each column of a comparison holds: from the sixth on the numbers of the cases.

    >>> compared_kinds(["Day", "Preserve", "Unit", "a", "b", "c"])
    ['date', 'text', 'text', 'text', 'text', 'number']
    """
    return ["date" if name == "Day" else "number" if place > 4 else "text" for place, name in enumerate(headings)]


def add_comparison(book: Book, headings: Sequence[str], rows: Sequence[Mapping[str, Value]]) -> str:
    """Queue a new sheet with the comparison as a table; gives the sheet's name. For a copy, never for the file."""
    name = "Suppose side by side"
    columns = tuple(
        Column(heading, heading, kind, owner="ours", **COMPARED[kind])
        for heading, kind in zip(headings, compared_kinds(headings), strict=True)
    )
    table = Table(name, "Suppose", "output", "Plans side by side.", columns, rows=len(rows) + 1)
    taken = {one.casefold() for one in book.table_names}
    number = 1
    while table.name.replace(" ", "_").casefold() in taken:
        number += 1
        table = Table(f"{name} {number}", "Suppose", "output", table.about, columns, rows=len(rows) + 1)
    (sheet,) = add_tables(book, [table], {table.name: len(rows)})
    found = book.table(table.name)
    if found is not None:
        book.fill_table(found, {heading: [row.get(heading) for row in rows] for heading in headings}, len(rows))
    return sheet
