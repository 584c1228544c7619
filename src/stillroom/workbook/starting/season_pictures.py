"""The chart of the season: where each crop went, by the ways it was put up and what else became of it."""

from __future__ import annotations

from stillroom.workbook.charts import NewChart
from stillroom.workbook.starting import look
from stillroom.workbook.starting.pictures import ROW_CM, Frame, chart_xml, edge, series, solid
from stillroom.workbook.starting.sheets import Place

CROPS_SHOWN = 15
ROWS_HIGH = 24
SEASON_COLUMNS = 11
"""Columns the chart is wide."""
WIDTH_CM = 18
WENT = (
    ("Boiling-water canned", look.GREEN, "", look.PAPER),
    ("Pressure canned", look.BRICK, "wdUpDiag", look.PAPER),
    ("Frozen", look.SKY, "", look.PAPER),
    ("Dried", look.STRAW, "dkHorz", look.QUIET),
    ("Fermented", look.PALE_GREEN, "diagCross", look.GREEN),
    ("Cellared", look.QUIET, "wdDnDiag", look.PAPER),
    ("Refrigerated", look.LINE, "", look.PAPER),
    ("Eaten or given", look.ROSE, "smGrid", look.QUIET),
    ("Fed", look.OCHRE, "dkVert", look.INK),
    ("Lost", look.INK, "", look.PAPER),
    ("In hand", "FFFFFF", "", look.INK),
)
"""Heading, colour, pattern over it (ECMA-376 part 1, 20.1.10.51) and that one's colour; as in the pictures."""


def last_season_row(season: Place) -> int:
    """The last sheet row that the picture covers."""
    return season.heading_row + ROWS_HIGH + 1


def season_chart(season: Place, row: int, column: int) -> NewChart:
    """One bar a crop, its parts one after the other, in the crop's own unit."""
    frame = Frame("Where each crop went", "bar", "0", stacked=True, layout=(0.2, 0.09, 0.76, 0.72))
    shapes = [filled(colour, pattern, over) for _, colour, pattern, over in WENT]
    drawn = series(season, [heading for heading, *_ in WENT], shapes, CROPS_SHOWN)
    return NewChart(chart_xml(frame, drawn), "Where each crop went", row, column, WIDTH_CM, ROWS_HIGH * ROW_CM)


def filled(colour: str, pattern: str, over: str) -> str:
    """A fill with a thin edge; with a pattern where there is one, so that it is told apart in black and white."""
    ground = solid(colour)
    if pattern:
        ground = (
            f'<a:pattFill prst="{pattern}"><a:fgClr><a:srgbClr val="{over}"/></a:fgClr>'
            f'<a:bgClr><a:srgbClr val="{colour}"/></a:bgClr></a:pattFill>'
        )
    return ground + edge(look.QUIET, 3175)
