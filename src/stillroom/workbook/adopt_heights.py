"""How high the rows of a filled table are on an adopted sheet: some programs leave them at one line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stillroom.workbook.lines import LINE_POINTS, text_points
from stillroom.workbook.starting import look
from stillroom.workbook.starting.contents import Row, Rows
from stillroom.workbook.starting.place import small, stands, wraps
from stillroom.workbook.starting.sheets import Place


def body_heights(group: Sequence[Place], rows: Rows, widths: Mapping[int, float]) -> dict[int, float]:
    """Points of every row of a sheet that needs more than a line; `widths` are in characters by column."""
    heights: dict[int, float] = {}
    for place in group:
        for number, row in enumerate(rows.get(place.table.name, ()), place.first_row):
            points = points_of(place, row, widths)
            if points > LINE_POINTS:
                heights[number] = max(points, heights.get(number, 0.0))
    return heights


def points_of(place: Place, row: Row, widths: Mapping[int, float]) -> float:
    """How high one row of a table must be for its longest sentence."""
    points = 0.0
    for offset, heading in enumerate(place.headings):
        text = row.get(heading)
        if text and wraps(place, heading):
            letters = look.SMALL if small(place, heading) else look.USUAL
            indent = stands(place, heading)[1]
            points = max(points, text_points(str(text), widths[place.first_column + offset], letters, indent))
    return points
