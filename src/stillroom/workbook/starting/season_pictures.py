"""The chart of the season: where each crop went, by the ways it was put up and what else became of it."""

from __future__ import annotations

from typing import Any

from openpyxl.chart import BarChart, Reference
from openpyxl.chart.data_source import NumFmt
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.legend import Legend
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.drawing.colors import ColorChoice
from openpyxl.drawing.fill import PatternFillProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.starting import look
from stillroom.workbook.starting.pictures import ROW_CM, small_text, style_chart
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


def season_chart(worksheet: Worksheet, season: Place) -> BarChart:
    """One bar a crop, its parts one after the other, in the crop's own unit."""
    chart = BarChart(grouping="stacked", overlap=100)
    chart.type = "bar"
    style_chart(chart, "Where each crop went")
    chart.height = ROWS_HIGH * ROW_CM
    chart.width = WIDTH_CM
    last = season.first_row + CROPS_SHOWN - 1
    for heading, colour, pattern, over in WENT:
        column = season.first_column + season.headings.index(heading)
        data = Reference(worksheet, min_col=column, min_row=season.heading_row, max_row=last)
        chart.add_data(data, titles_from_data=True)
        chart.series[-1].graphicalProperties = filled(colour, pattern, over)
    chart.set_categories(Reference(worksheet, min_col=season.first_column, min_row=season.first_row, max_row=last))
    chart.gapWidth = 45
    chart.x_axis.scaling.orientation = "maxMin"
    chart.x_axis.tickLblSkip = 1
    chart.x_axis.txPr = small_text(900)
    chart.y_axis.scaling.min = 0
    chart.y_axis.numFmt = NumFmt(formatCode="0", sourceLinked=False)
    chart.y_axis.crosses = "max"
    chart.legend = Legend(legendPos="b")
    chart.layout = Layout(manualLayout=ManualLayout(x=0.2, y=0.09, w=0.76, h=0.72))
    return chart


def filled(colour: str, pattern: str, over: str) -> GraphicalProperties:
    """A fill with a thin edge; with a pattern where there is one, so that it is told apart in black and white."""
    edge = LineProperties(solidFill=look.QUIET, w=3175)
    if not pattern:
        return GraphicalProperties(solidFill=colour, ln=edge)
    made: Any = PatternFillProperties  # the types of these two know neither patterns nor colours by their words
    tint: Any = ColorChoice
    fill = made(prst=pattern, fgClr=tint(srgbClr=over), bgClr=tint(srgbClr=colour))
    return GraphicalProperties(pattFill=fill, ln=edge)
