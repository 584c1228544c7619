"""The two charts of the season: where each crop went, and by which way it was put up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from openpyxl.chart import BarChart, Reference
from openpyxl.chart.data_source import NumFmt
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.legend import Legend
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.starting import look
from stillroom.workbook.starting.pictures import ROW_CM, small_text, style_chart
from stillroom.workbook.starting.sheets import GAP_COLUMNS, Place

CROPS_SHOWN = 12
ROWS_HIGH = 18
WENT = (
    ("Put up", look.GREEN),
    ("Eaten or given", look.QUIET),
    ("Fed", look.STRAW),
    ("Lost", look.BRICK),
    ("In hand", look.SKY),
)
WAYS = (
    ("Boiling-water canned", look.GREEN),
    ("Pressure canned", look.BRICK),
    ("Frozen", look.SKY),
    ("Dried", look.STRAW),
    ("Fermented", look.PALE_GREEN),
    ("Cellared", look.QUIET),
    ("Refrigerated", look.LINE),
)


def add_season_pictures(worksheet: Worksheet, found: Mapping[str, Place]) -> None:
    """Put both charts beside the table Season so far, reading the cells the planner will fill."""
    season = found["Season so far"]
    column = get_column_letter(season.last_column + 1 + GAP_COLUMNS)
    worksheet.add_chart(stacked(worksheet, season, "Where each crop went", WENT), f"{column}{season.heading_row}")
    below = season.heading_row + ROWS_HIGH + 1
    worksheet.add_chart(stacked(worksheet, season, "Put up, by way", WAYS), f"{column}{below}")


def last_season_row(season: Place) -> int:
    """The last sheet row that the pictures cover."""
    return season.heading_row + 2 * ROWS_HIGH + 2


def stacked(worksheet: Worksheet, season: Place, words: str, series: Sequence[tuple[str, str]]) -> BarChart:
    """One bar a crop, its parts one after the other, in the crop's own unit."""
    chart = BarChart(grouping="stacked", overlap=100)
    chart.type = "bar"
    style_chart(chart, words)
    chart.height = ROWS_HIGH * ROW_CM
    last = season.first_row + CROPS_SHOWN - 1
    for heading, colour in series:
        column = season.first_column + season.headings.index(heading)
        data = Reference(worksheet, min_col=column, min_row=season.heading_row, max_row=last)
        chart.add_data(data, titles_from_data=True)
        chart.series[-1].graphicalProperties = GraphicalProperties(solidFill=colour)
    chart.set_categories(Reference(worksheet, min_col=season.first_column, min_row=season.first_row, max_row=last))
    chart.gapWidth = 45
    chart.x_axis.scaling.orientation = "maxMin"
    chart.x_axis.tickLblSkip = 1
    chart.x_axis.txPr = small_text(700)
    chart.y_axis.scaling.min = 0
    chart.y_axis.numFmt = NumFmt(formatCode="0", sourceLinked=False)
    chart.y_axis.crosses = "max"
    chart.legend = Legend(legendPos="b")
    chart.layout = Layout(manualLayout=ManualLayout(x=0.2, y=0.13, w=0.76, h=0.66))
    return chart
