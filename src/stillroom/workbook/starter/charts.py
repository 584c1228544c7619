"""The native charts: how much of each target is filled, how full the freezer is, where each crop went."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stillroom.household.cells import letters
from stillroom.household.text import space_unit, spreadsheet_format
from stillroom.workbook.ooxml.new_sheet import Fill, Frame, NewChart, Series
from stillroom.workbook.starter import layout
from stillroom.workbook.starter.layout import Place

CHART_WIDTH_CM = 13
ROW_CM = 0.53
FREEZER_ROWS_HIGH = 15


def chart_xml(frame: Frame, series: Sequence[Series]) -> bytes:
    """Return the XML of a chart; openpyxl is imported only here, because a plan seldom needs it (0.2 s)."""
    from stillroom.workbook.starter.draw_chart import draw

    return draw(frame, tuple(series), spreadsheet_format("month day") if frame.dates else "")


def series_of(place: Place, fills: Mapping[str, Fill], rows: int) -> list[Series]:
    """Return one series for each heading, with the first rows of the table."""
    found = []
    for heading, fill in fills.items():
        column = place.first_column + place.headings.index(heading)
        name = f"'{place.sheet}'!${letters(column)}${place.heading_row}"
        found.append(Series(name, block(place, column, rows), fill))
    return found


def block(place: Place, column: int, rows: int) -> str:
    """Return the cells of the first rows of one column, as 'Coverage'!$A$6:$A$30."""
    letter = letters(column)
    return f"'{place.sheet}'!${letter}${place.first_row}:${letter}${place.first_row + rows - 1}"


def coverage_rows_high(targets: int) -> int:
    """Return the height of the coverage chart in sheet rows."""
    return max(14, round(targets * 1.35) + 4)


def last_picture_row(targets: int, heading_row: int) -> int:
    """Return the last sheet row under the charts."""
    return heading_row + coverage_rows_high(max(targets, 4)) + 1 + FREEZER_ROWS_HIGH


def coverage_chart(coverage: Place, targets: int, row: int, column: int) -> NewChart:
    """Draw one bar for each target: the share that the plan and the shelf fill."""
    categories = block(coverage, coverage.first_column, targets)
    frame = Frame("How much of the winter list is filled", "bar", "0%", categories, most=1, step=0.25)
    xml = chart_xml(frame, series_of(coverage, {"Covered": Fill(layout.GREEN)}, targets))
    height = coverage_rows_high(targets) * ROW_CM
    return NewChart(xml, "Coverage of the winter list", row, column, CHART_WIDTH_CM, height)


def freezer_chart(space: Place, periods: int, row: int, column: int) -> NewChart:
    """Draw the freezer space added and left at the end of each day and week."""
    title = f"Freezer: added and left ({space_unit()})"
    categories = block(space, space.first_column, periods)
    frame = Frame(title, "area", "0.#", categories, stacked=True, layout=(0.08, 0.16, 0.88, 0.6), dates=True)
    fills = {
        "Freezer change": Fill(layout.SKY, edge=layout.LINE),
        "Freezer left": Fill(layout.PALE_GREEN, edge=layout.LINE),
    }
    xml = chart_xml(frame, series_of(space, fills, periods))
    return NewChart(xml, "Freezer", row, column, CHART_WIDTH_CM, FREEZER_ROWS_HIGH * ROW_CM)


# The chart of the season: where each crop went, by method and by what else became of it.

CROPS_SHOWN = 15
ROWS_HIGH = 24
SEASON_COLUMNS = 11
"""Columns the chart is wide."""
WIDTH_CM = 18
WENT = (
    ("Boiling-water canned", layout.GREEN, "", layout.PAPER),
    ("Pressure canned", layout.BRICK, "wdUpDiag", layout.PAPER),
    ("Frozen", layout.SKY, "", layout.PAPER),
    ("Dried", layout.STRAW, "dkHorz", layout.QUIET),
    ("Fermented", layout.PALE_GREEN, "diagCross", layout.GREEN),
    ("Root cellar", layout.QUIET, "wdDnDiag", layout.PAPER),
    ("Refrigerated", layout.LINE, "", layout.PAPER),
    ("Eaten or given", layout.ROSE, "smGrid", layout.QUIET),
    ("Surplus", layout.OCHRE, "dkVert", layout.INK),
    ("Lost", layout.INK, "", layout.PAPER),
    ("On hand", "FFFFFF", "", layout.INK),
)
"""Heading, color, pattern and its color; as in the pictures."""


def last_season_row(season: Place) -> int:
    """Return the last sheet row under the chart."""
    return season.heading_row + ROWS_HIGH + 1


def season_chart(season: Place, row: int, column: int) -> NewChart:
    """Draw one bar for each crop, its parts one after the other, in the crop's own unit."""
    categories = block(season, season.first_column, CROPS_SHOWN)
    frame = Frame("Where each crop went", "bar", "0", categories, stacked=True, layout=(0.2, 0.09, 0.76, 0.72))
    fills = {heading: Fill(color, pattern, over, layout.QUIET, 3175) for heading, color, pattern, over in WENT}
    xml = chart_xml(frame, series_of(season, fills, CROPS_SHOWN))
    return NewChart(xml, "Where each crop went", row, column, WIDTH_CM, ROWS_HIGH * ROW_CM)
