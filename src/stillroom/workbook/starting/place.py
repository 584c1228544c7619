"""Write one table onto a sheet: headings, rows, cell styles, number formats and the table itself."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count

from openpyxl.styles import Alignment, Border, Font, PatternFill
from openpyxl.workbook import Workbook
from openpyxl.worksheet.table import Table, TableColumn, TableFormula, TableStyleInfo
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.starting import look
from stillroom.workbook.starting.contents import Entry, Formula, Row
from stillroom.workbook.starting.sheets import Place

SavedValues = dict[tuple[str, str], float | str]
"""Sheet and cell of every formula, with the value it has now."""


def write_table(workbook: Workbook, place: Place, rows: Sequence[Row], saved: SavedValues) -> None:
    """Write headings, rows and blank rows of one table in our styles, and make it a spreadsheet table."""
    worksheet = workbook[place.sheet]
    for offset, heading in enumerate(place.headings):
        column = place.first_column + offset
        cell = worksheet.cell(place.heading_row, column, heading)
        cell.style = heading_style(place, heading)
        across, indent = stands(place, heading)
        cell.alignment = Alignment(horizontal=across, vertical="center", wrap_text=True, indent=indent)
        style, shown = body_style(place, heading)
        alignment = Alignment(horizontal=across, vertical="top", wrap_text=wraps(place, heading), indent=indent)
        for index in range(place.last_row - place.first_row + 1):
            body = worksheet.cell(place.first_row + index, column)
            body.style = style
            body.fill, body.border = PatternFill(), Border()  # the rows in use are drawn by `bands`
            if small(place, heading):
                body.font = Font(name=look.TEXT_FONT, size=look.SMALL, color=look.INK)
            if shown:
                body.number_format = shown
            body.alignment = alignment
            if index < len(rows):
                put(worksheet, place.first_row + index, column, rows[index].get(heading), saved)
    define_table(workbook, place, rows)


def put(worksheet: Worksheet, row: int, column: int, entry: Entry, saved: SavedValues) -> None:
    """Put one entry into a cell; of a formula the value is kept aside, to be saved with it."""
    cell = worksheet.cell(row, column)
    if isinstance(entry, Formula):
        cell.value = "=" + entry.text
        saved[worksheet.title, cell.coordinate] = entry.value
    elif isinstance(entry, bool):
        cell.value = "yes" if entry else "no"
    elif entry is not None:
        cell.value = entry
        if isinstance(entry, str) and entry[:1] in "=+-@":
            cell.data_type = "s"


def define_table(workbook: Workbook, place: Place, rows: Sequence[Row] = ()) -> None:
    """
    Make the cells of a place a spreadsheet table (ECMA-376 part 1, 18.5.1 `table`).

    Tables that share a sheet get no filter buttons: a filter hides whole rows, and with them the neighbour's.
    A column whose every row is one formula is a calculated column, so that rows added below get it too.
    """
    number = next(number for number in count(1) if all(number != table.id for table in tables_of(workbook)))
    columns = [TableColumn(id=index, name=heading) for index, heading in enumerate(place.headings, start=1)]
    for column in columns:
        entries = [row.get(column.name) for row in rows]
        texts = {entry.text if isinstance(entry, Formula) else None for entry in entries}
        if len(texts) == 1 and (text := texts.pop()) is not None:
            column.calculatedColumnFormula = TableFormula(attr_text=text)
    table = Table(
        id=number,
        name=place.part_name,
        displayName=place.part_name,
        ref=place.reference,
        tableColumns=columns,
        tableStyleInfo=TableStyleInfo(showRowStripes=False, showColumnStripes=False),
    )
    workbook[place.sheet].add_table(table)


def tables_of(workbook: Workbook) -> list[Table]:
    """Every table of a workbook."""
    return [table for worksheet in workbook.worksheets for table in worksheet.tables.values()]


def heading_style(place: Place, heading: str) -> str:
    """The planner's columns have green headings, the household's have straw ones."""
    ours = place.written and not belongs_to_household(place, heading)
    return look.HEADING_OURS if ours else look.HEADING


def belongs_to_household(place: Place, heading: str) -> bool:
    """Whether the household types this column; columns beside ours are always theirs."""
    owners = {column.heading: column.owner for column in place.table.columns}
    return not place.written or owners.get(heading, "household") == "household"


def body_style(place: Place, heading: str) -> tuple[str, str | None]:
    """The named style and number format of a column's body."""
    column = next((column for column in place.table.columns if column.heading == heading), None)
    if column is None:
        return look.WORKING, None
    shown = look.number_format(place.table.name, heading, column.kind, place.written)
    return (look.INPUT if belongs_to_household(place, heading) else look.OUTPUT), shown


def holds_numbers(place: Place, heading: str) -> bool:
    """Whether a column's values stand at the right, so that its heading should too."""
    kinds = {column.heading: column.kind for column in place.table.columns}
    return kinds.get(heading, "number") in {"number", "whole", "amount", "volume"}


def stands(place: Place, heading: str) -> tuple[str, int]:
    """Where a column's words stand, and how far in, so that a number does not run into the words beside it."""
    return ("right", 0) if holds_numbers(place, heading) else ("left", 1)


WRAPPED = {
    "Preserves": {"Way", "Container", "Handbook line", "Source", "Equipment", "Kept in"},
    "Plan": {"Uses", "Change"},
    "Messages": {"Where", "What", "What to do"},
    "Shopping": {"Item", "For"},
    "Timetable": {"Step", "Equipment"},
}
WRAPPED_IN_ALL = {"Note", "Preserve", "Need"}
"""Columns that wrap, by table, and those that do in every table."""


def wraps(place: Place, heading: str) -> bool:
    """Whether a column holds sentences, or names that may be too long for its width."""
    return heading in WRAPPED_IN_ALL or heading in WRAPPED.get(place.table.name, ())


SMALL_COLUMNS = {
    "Crops": {"Note"},
    "Equipment": {"Note"},
    "Preserves": {"Handbook line", "Source", "Equipment", "Kept in", "Note"},
    "Ingredients": {"Note"},
    "Messages": {"Where"},
}
"""Columns in smaller letters, by table: where the figures come from."""


def small(place: Place, heading: str) -> bool:
    """Whether a column's letters are smaller than the rest."""
    return heading in SMALL_COLUMNS.get(place.table.name, ())
