"""How high each row must be for its sentences: some programs do not work it out when they open a file."""

from __future__ import annotations

import math
from collections.abc import Sequence

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.starting.place import wraps
from stillroom.workbook.starting.sheets import Place

LINE_POINTS = 15.5
LETTERS_A_WIDTH = 0.92
"""Letters that fit on one unit of column width, for a wide letter such as DejaVu Sans; Calibri takes less."""
WRITTEN_LINES = {"Plan": 2, "Shopping": 2}
"""Lines a row of these output sheets is given beforehand, for what the planner will write."""


def set_heights(worksheet: Worksheet, tables: Sequence[Place]) -> None:
    """Give every row that holds a sentence the height it needs; rows of one line are left to the program."""
    first = min(place.first_row for place in tables)
    last = max(place.last_row for place in tables)
    for row in range(first, last + 1):
        lines = max((lines_of(worksheet, place, row) for place in tables), default=1)
        if lines > 1:
            worksheet.row_dimensions[row].height = lines * LINE_POINTS


def lines_of(worksheet: Worksheet, place: Place, row: int) -> int:
    """How many lines the longest sentence of a table takes in one row."""
    if row > place.last_row:
        return 1
    lines = WRITTEN_LINES.get(place.sheet, 1)
    for offset, heading in enumerate(place.headings):
        if place.written and wraps(heading):
            column = place.first_column + offset
            width = worksheet.column_dimensions[get_column_letter(column)].width
            lines = max(lines, text_lines(str(worksheet.cell(row, column).value or ""), width))
    return lines


def text_lines(text: str, width: float) -> int:
    """
    Lines a text takes in a column of this width.

    >>> text_lines("x" * 100, 46)
    3
    """
    return max(1, math.ceil(len(text) / (width * LETTERS_A_WIDTH)))
