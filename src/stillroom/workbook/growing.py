"""Making a table longer: what may stand in the way, and what its new rows begin with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from stillroom.errors import Problem, WorkbookRefused
from stillroom.workbook.contents import Edit, NewFormula
from stillroom.workbook.forbidden import merged_ranges
from stillroom.workbook.formulas import shifted
from stillroom.workbook.markup import attribute
from stillroom.workbook.opened import Opened
from stillroom.workbook.tables import FoundTable, TablePart
from stillroom.workbook.values import LAST_ROW, Cell, Rectangle, letters, whole


def grown_edits(opened: Opened, table: FoundTable, last_row: int) -> tuple[dict[tuple[int, int], Edit], dict[int, int]]:
    """
    Give the first edits of a longer table: formats, and formulas of calculated columns, for every new row.

    Gives also the format of the last row for each column. Raises WorkbookRefused, naming every cell, when something
    stands below.
    """
    if last_row > LAST_ROW:
        raise WorkbookRefused.because(
            f"{table.sheet}!{letters(table.first_column)}{table.header_row}",
            "the table would run off the sheet",
            "make the plan shorter",
        )
    text = opened.text(table.sheet_part)
    first = table.last_row + 1
    others = [
        (f"the table {part.name}", part.area)
        for part in opened.tables()
        if part.sheet_part == table.sheet_part and part.part != table.table_part
    ]
    others += [("a merged block", block) for block in merged_ranges(text)]
    problems = in_the_way(table, last_row, opened.reader.rows(text, first, last_row), others)
    if problems:
        raise WorkbookRefused(problems)
    styles = _styles(opened, table)
    part = next((one for one in opened.tables() if one.part == table.table_part), None)
    edits = {}
    for column in range(table.first_column, table.last_column + 1):
        formula = _column_formula(part, table, column) if part else None
        for row in range(first, last_row + 1):
            value = NewFormula(shifted(formula, row - table.last_row)) if formula is not None else None
            edits[row, column] = Edit(value, styles.get(column))
    return edits, styles


def _column_formula(part: TablePart, table: FoundTable, column: int) -> str | None:
    """Give the formula of a calculated column as it reads in the last row, or None."""
    number = column - table.first_column
    if part.formulas[number] is None:
        return None
    above = table.rows[-1][number].formula if table.rows else None
    return above or part.formulas[number]


def _styles(opened: Opened, table: FoundTable) -> dict[int, int]:
    """Give the cell formats of a table's last row by column."""
    text = opened.text(table.sheet_part)
    row = text.row(table.last_row) if table.last_row >= table.first_row else None
    if row is None:
        return {}
    styles = {}
    for span in text.cells(row):
        if table.first_column <= span.column <= table.last_column and (style := attribute(span.tag, "s")):
            styles[span.column] = whole(style, 0)
    return styles


def in_the_way(
    table: FoundTable, last_row: int, rows: Mapping[int, Mapping[int, Cell]], others: Iterable[tuple[str, Rectangle]]
) -> list[Problem]:
    """
    Say what stands where a table has to grow: cells with something in them, other tables, merged cells.

    ``rows`` are the written cells below the table, ``others`` the blocks of the same sheet with what they are.
    """
    block = Rectangle(table.last_row + 1, table.first_column, last_row, table.last_column)
    cure = f"move it, or add rows to the table {table.name} first"
    if table.totals_rows:
        return [
            _stands(
                f"{table.sheet}!{letters(table.first_column)}{table.last_row + 1}",
                f"the totals row of {table.name} is in the way",
                cure,
            )
        ]
    problems = []
    for row in sorted(rows):
        for column, cell in sorted(rows[row].items()):
            if block.holds(row, column) and (cell.kind != "blank" or cell.formula is not None):
                what = f"stands where the table {table.name} has to grow"
                problems.append(_stands(f"{table.sheet}!{cell.address}", what, cure))
    for what, other in others:
        if block.meets(other):
            problems.append(
                _stands(f"{table.sheet}!{other}", f"{what} stands where the table {table.name} has to grow", cure)
            )
    return problems


def _stands(where: str, what: str, cure: str) -> Problem:
    return Problem(where, what, cure, "workbook refused")
