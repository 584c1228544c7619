"""Tables that a workbook does not have yet, put on new sheets after the household's own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Sized

from stillroom.workbook.book import Book, NewSheet
from stillroom.workbook.inputs import Column, Table
from stillroom.workbook.looks import Look
from stillroom.workbook.sheets import NewCell, NewTable, Validation
from stillroom.workbook.starting.widths import HEADING_WIDTHS, NARROWEST, TABLE_WIDTHS, WIDTHS, least_width
from stillroom.workbook.values import letters

INK, GREEN, PAPER = "33312B", "4C6848", "FCF9F1"
HEADING = Look("stillroom heading output", bold=True, colour=PAPER, fill=GREEN, wrap=True, upright="center")
HEADING_THEIRS = Look("stillroom heading", bold=True, colour=INK, fill="E6D9B0", wrap=True, upright="center")
OUTPUT = "stillroom output"
INPUT = "stillroom input"
SPARE_ROWS = 10

FORMATS = {
    ("Plan", "Make"): "0",
    ("Coverage", "Wanted"): "General",
    ("Coverage", "Covered"): "0%",
    ("Coverage", "Saves"): "#,##0.00",
    ("Shopping", "Buy"): "General",
    ("Shopping", "Cost"): "#,##0.00",
}
KIND_FORMATS = {"date": "ddd yyyy-mm-dd", "time": "hh:mm", "whole": "0", "number": "0.0"}
WRAPPED = frozenset(
    {"Uses", "Note", "Change", "Where", "What", "What to do", "For", "Step", "Preserve", "Need", "Item"}
)
"""Columns whose sentences, or names too long for their width, go on in a second line."""


def add_missing(book: Book, tables: Sequence[Table], rows: Mapping[str, Sized]) -> tuple[str, ...]:
    """
    Add output tables that are missing, each on a sheet of its own that prints well, blank and ready.

    Gives the names of the sheets added. A name that is taken is made unique; no cell of another sheet is touched.
    """
    return tuple(book.add_sheet(table.name, new_sheet(table, len(rows.get(table.name, ())))) for table in tables)


def new_sheet(table: Table, needed: int) -> NewSheet:
    """A sheet with one table, pre-sized, so that formulas and charts of the household need not be moved later."""
    length = max(table.rows or 0, needed + SPARE_ROWS)
    widths, validations, headings = {}, [], {}
    for place, one in enumerate(table.columns, start=1):
        widths[place] = width_of(table, one)
        headings[1, place] = NewCell(one.heading, HEADING if one.owner == "ours" else HEADING_THEIRS)
        if one.owner == "household" and one.kind == "number":
            validations.append(not_negative(one, letters(place), length))
    return NewSheet(
        cells=headings,
        tables=(new_table(table, length),),
        widths=widths,
        frozen_rows=1,
        validations=tuple(validations),
        title_rows=(1, 1),
        landscape=True,
    )


def width_of(table: Table, column: Column) -> float:
    """The width of a column in characters, as in a starting workbook."""
    width = TABLE_WIDTHS.get((table.name, column.heading)) or HEADING_WIDTHS.get(column.heading)
    kinds = WIDTHS | {"text": 16.0, "name": 30.0}
    return max(width or kinds.get(column.kind, NARROWEST), least_width(column.heading, 0))


def new_table(table: Table, length: int) -> NewTable:
    """The table from the first cell on, with the look of each of its columns."""
    return NewTable(
        name=table.name.replace(" ", "_"),
        row=1,
        column=1,
        headings=table.headings,
        rows=length,
        heading_look=HEADING,
        looks={one.heading: look_of(table, one) for one in table.columns},
    )


def look_of(table: Table, column: Column) -> Look:
    """The look of a column's cells: the household's own ones plainly apart from ours."""
    code = FORMATS.get((table.name, column.heading), KIND_FORMATS.get(column.kind, "General"))
    wrap = column.heading in WRAPPED
    if column.owner != "ours":
        code = "General" if column.kind == "number" else code
        return Look(INPUT, code, colour=INK, fill="FFF6DA", line="E6D9B0", wrap=wrap, locked=False, upright="top")
    return Look(OUTPUT, code, colour=INK, fill="EDF2E7", line="DDD6C6", wrap=wrap, upright="top")


def not_negative(column: Column, letter: str, length: int) -> Validation:
    """Only a number of 0 or more may be typed."""
    return Validation(
        area=f"{letter}2:{letter}{length + 1}",
        kind="decimal",
        first="0",
        operator="greaterThanOrEqual",
        title=column.heading,
        message=column.about,
    )
