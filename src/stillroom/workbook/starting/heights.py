"""How high each row must be for its sentences: some programs do not work it out when they open a file."""

from __future__ import annotations

import math
from collections.abc import Sequence

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.starting import look
from stillroom.workbook.starting.place import small, wraps
from stillroom.workbook.starting.sheets import Place

LINE_POINTS = 15.5
INDENT = 1.5
LETTERS_A_WIDTH = 1.05
"""Letters that fit on one unit of column width, for a wide letter such as DejaVu Sans; Calibri takes less."""
WRITTEN_POINTS = {"Plan": 34.0, "Messages": 34.0, "Shopping": 2 * LINE_POINTS}
"""
Height a row of these output tables is given beforehand, for the two lines that the planner will write in some.

A program that opens a file and works out no heights keeps to it; the others make it what the text needs once a cell
of the row is edited.
"""


def set_heights(worksheet: Worksheet, tables: Sequence[Place]) -> None:
    """Give every row that holds a sentence the height it needs; rows of one line are left to the program."""
    for row in range(min(place.first_row for place in tables), max(place.last_row for place in tables) + 1):
        points = max(points_of(worksheet, place, row) for place in tables)
        if points > LINE_POINTS:
            worksheet.row_dimensions[row].height = points


def points_of(worksheet: Worksheet, place: Place, row: int) -> float:
    """How high a row must be for one table."""
    if row > place.last_row:
        return 0.0
    points = WRITTEN_POINTS.get(place.table.name, 0.0)
    for offset, heading in enumerate(place.headings):
        if wraps(place, heading):
            column = place.first_column + offset
            width = worksheet.column_dimensions[get_column_letter(column)].width - INDENT
            share = look.SMALL / look.USUAL if small(place, heading) else 1.0
            lines = text_lines(str(worksheet.cell(row, column).value or ""), width / share)
            points = max(points, lines * LINE_POINTS * share)
    return points


def text_lines(text: str, width: float) -> int:
    """
    Lines a text takes in a column of this width.

    >>> text_lines("x" * 100, 46)
    3
    """
    return max(1, math.ceil(len(text) / (width * LETTERS_A_WIDTH)))
