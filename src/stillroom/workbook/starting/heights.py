"""How high each row must be for its sentences: some programs do not work it out when they open a file."""

from __future__ import annotations

import math
from collections.abc import Sequence

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.starting.place import wraps
from stillroom.workbook.starting.sheets import Place

LINE_POINTS = 15.5
INDENT = 1.5
LETTERS_A_WIDTH = 0.92
"""Letters that fit on one unit of column width, for a wide letter such as DejaVu Sans; Calibri takes less."""


def set_heights(worksheet: Worksheet, tables: Sequence[Place]) -> None:
    """
    Give every row that holds a sentence the height it needs.

    Rows of one line, and those the planner will write, are left to the program, which then makes room for what is
    there.
    """
    typed = [place for place in tables if not place.written]
    for row in range(min(place.first_row for place in tables), max(place.last_row for place in tables) + 1):
        lines = max((lines_of(worksheet, place, row) for place in typed), default=1)
        if lines > 1:
            worksheet.row_dimensions[row].height = lines * LINE_POINTS


def lines_of(worksheet: Worksheet, place: Place, row: int) -> int:
    """How many lines the longest sentence of a table takes in one row."""
    if row > place.last_row:
        return 1
    lines = 1
    for offset, heading in enumerate(place.headings):
        if wraps(place, heading):
            column = place.first_column + offset
            width = worksheet.column_dimensions[get_column_letter(column)].width - INDENT
            lines = max(lines, text_lines(str(worksheet.cell(row, column).value or ""), width))
    return lines


def text_lines(text: str, width: float) -> int:
    """
    Lines a text takes in a column of this width.

    >>> text_lines("x" * 100, 46)
    3
    """
    return max(1, math.ceil(len(text) / (width * LETTERS_A_WIDTH)))
