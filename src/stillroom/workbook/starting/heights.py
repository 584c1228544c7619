"""How high each row must be for its sentences: some programs do not work it out when they open a file."""

from __future__ import annotations

from collections.abc import Sequence

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.lines import LINE_POINTS, text_points
from stillroom.workbook.starting import look
from stillroom.workbook.starting.place import small, stands, wraps
from stillroom.workbook.starting.sheets import Place


def set_heights(worksheet: Worksheet, tables: Sequence[Place]) -> None:
    """
    Give every row that holds a sentence the height it needs; rows of one line are left to the program.

    The rows of the planner's tables are blank, and get their heights when they are written.
    """
    for row in range(min(place.first_row for place in tables), max(place.last_row for place in tables) + 1):
        points = max(points_of(worksheet, place, row) for place in tables)
        if points > LINE_POINTS:
            worksheet.row_dimensions[row].height = points


def points_of(worksheet: Worksheet, place: Place, row: int) -> float:
    """How high a row must be for one table."""
    if row > place.last_row:
        return 0.0
    points = 0.0
    for offset, heading in enumerate(place.headings):
        text = worksheet.cell(row, place.first_column + offset).value
        if text and wraps(place, heading):
            width = worksheet.column_dimensions[get_column_letter(place.first_column + offset)].width
            letters = look.SMALL if small(place, heading) else look.USUAL
            points = max(points, text_points(str(text), width, letters, stands(place, heading)[1]))
    return points
