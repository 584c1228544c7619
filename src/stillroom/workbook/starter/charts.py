"""Charts drawn with openpyxl: title, paper, axes and series as the XML of a chart part."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any
from xml.etree.ElementTree import tostring

from openpyxl.chart import AreaChart, BarChart
from openpyxl.chart.axis import ChartLines
from openpyxl.chart.data_source import AxDataSource, NumDataSource, NumFmt, NumRef, StrRef
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.legend import Legend
from openpyxl.chart.series import Series as ChartSeries
from openpyxl.chart.series import SeriesLabel
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText, Text
from openpyxl.chart.title import Title
from openpyxl.drawing.colors import ColorChoice
from openpyxl.drawing.fill import PatternFillProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.text import CharacterProperties, Font, Paragraph, ParagraphProperties, RegularTextRun

from stillroom.household.cells import letters
from stillroom.household.text import space_unit, spreadsheet_format
from stillroom.workbook.ooxml.new_sheet import Fill, Frame, NewChart, Series
from stillroom.workbook.starter import look
from stillroom.workbook.starter.layout import Place


@cache
def draw(frame: Frame, series: tuple[Series, ...], day_format: str) -> bytes:
    """
    Return the XML of a chart part (ECMA-376 part 1, 21.2.2.27 chartSpace); `day_format` is that of days on the axis.

    Drawn once for all workbooks of a folder that are laid out alike.
    """
    chart: Any = bar_chart(frame) if frame.kind == "bar" else AreaChart(grouping="stacked")
    chart.title = title(frame.title)
    chart.graphical_properties = GraphicalProperties(solidFill=look.PAPER, ln=LineProperties(solidFill=look.LINE))
    for axis in (chart.x_axis, chart.y_axis):
        axis.delete = False
        axis.txPr = axis_text()
        axis.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill=look.LINE))
    chart.y_axis.majorGridlines = ChartLines(spPr=GraphicalProperties(ln=LineProperties(solidFill=look.LINE)))
    chart.y_axis.numFmt = NumFmt(formatCode=frame.number_format, sourceLinked=False)
    if day_format:
        chart.x_axis.numFmt = NumFmt(formatCode=day_format, sourceLinked=False)
    chart.legend = Legend(legendPos="b") if frame.stacked else None
    if frame.layout is not None:
        x, y, width, height = frame.layout
        chart.layout = Layout(manualLayout=ManualLayout(x=x, y=y, w=width, h=height))
    chart.series = [drawn_series(number, one, frame.categories) for number, one in enumerate(series)]
    return bytes(tostring(chart._write()))  # noqa: SLF001 - the only way to a chart's own XML


def bar_chart(frame: Frame) -> BarChart:
    """Return a chart of horizontal bars, the first category at the top."""
    chart: Any = BarChart(grouping="stacked", overlap=100) if frame.stacked else BarChart()
    chart.type = "bar"
    chart.gapWidth = 45
    chart.x_axis.scaling.orientation = "maxMin"
    chart.x_axis.tickLblSkip = 1
    chart.y_axis.scaling.min, chart.y_axis.scaling.max = 0, frame.most
    chart.y_axis.majorUnit = frame.step
    chart.y_axis.crosses = "max"
    made: BarChart = chart
    return made


def drawn_series(number: int, series: Series, categories: str) -> ChartSeries:
    """Return one series with its fill."""
    return ChartSeries(
        idx=number,
        order=number,
        tx=SeriesLabel(strRef=StrRef(f=series.name)),
        cat=AxDataSource(numRef=NumRef(f=categories)),
        val=NumDataSource(numRef=NumRef(f=series.values)),
        spPr=filled(series.fill),
    )


def filled(fill: Fill) -> GraphicalProperties:
    """Return a fill with its edge; the pattern shows the difference in black and white."""
    edge = LineProperties(solidFill=fill.edge, w=fill.edge_width) if fill.edge else None
    if not fill.pattern:
        return GraphicalProperties(solidFill=fill.color, ln=edge)
    pattern: Any = PatternFillProperties  # openpyxl types neither patterns nor their colors
    color: Any = ColorChoice
    return GraphicalProperties(
        pattFill=pattern(prst=fill.pattern, fgClr=color(srgbClr=fill.over), bgClr=color(srgbClr=fill.color)), ln=edge
    )


def title(words: str) -> Title:
    """Return the title of a chart."""
    style = CharacterProperties(sz=1200, b=True, solidFill=look.GREEN, latin=Font(typeface=look.TITLE_FONT))
    line = Paragraph(pPr=ParagraphProperties(defRPr=style), r=[RegularTextRun(rPr=style, t=words)])
    return Title(tx=Text(rich=RichText(p=[line])), overlay=False)


def axis_text() -> RichText:
    """Return the letters of an axis, 9 points."""
    style = CharacterProperties(sz=900, solidFill=look.INK, latin=Font(typeface=look.TEXT_FONT))
    return RichText(p=[Paragraph(pPr=ParagraphProperties(defRPr=style), endParaRPr=style)])


# The native charts: how much of each target is filled, how full the freezer is, where each crop went.

CHART_WIDTH_CM = 13
ROW_CM = 0.53
FREEZER_ROWS_HIGH = 15


def chart_xml(frame: Frame, series: Sequence[Series]) -> bytes:
    """Return the XML of a chart; openpyxl is imported only here, because a plan seldom needs it (0.2 s)."""
    from stillroom.workbook.starter.charts import draw

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
    xml = chart_xml(frame, series_of(coverage, {"Covered": Fill(look.GREEN)}, targets))
    height = coverage_rows_high(targets) * ROW_CM
    return NewChart(xml, "Coverage of the winter list", row, column, CHART_WIDTH_CM, height)


def freezer_chart(space: Place, periods: int, row: int, column: int) -> NewChart:
    """Draw the freezer space added and left at the end of each day and week."""
    title = f"Freezer: added and left ({space_unit()})"
    categories = block(space, space.first_column, periods)
    frame = Frame(title, "area", "0.#", categories, stacked=True, layout=(0.08, 0.16, 0.88, 0.6), dates=True)
    fills = {
        "Freezer change": Fill(look.SKY, edge=look.LINE),
        "Freezer left": Fill(look.PALE_GREEN, edge=look.LINE),
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
    ("Boiling-water canned", look.GREEN, "", look.PAPER),
    ("Pressure canned", look.BRICK, "wdUpDiag", look.PAPER),
    ("Frozen", look.SKY, "", look.PAPER),
    ("Dried", look.STRAW, "dkHorz", look.QUIET),
    ("Fermented", look.PALE_GREEN, "diagCross", look.GREEN),
    ("Root cellar", look.QUIET, "wdDnDiag", look.PAPER),
    ("Refrigerated", look.LINE, "", look.PAPER),
    ("Eaten or given", look.ROSE, "smGrid", look.QUIET),
    ("Surplus", look.OCHRE, "dkVert", look.INK),
    ("Lost", look.INK, "", look.PAPER),
    ("On hand", "FFFFFF", "", look.INK),
)
"""Heading, color, pattern and its color; as in the pictures."""


def last_season_row(season: Place) -> int:
    """Return the last sheet row under the chart."""
    return season.heading_row + ROWS_HIGH + 1


def season_chart(season: Place, row: int, column: int) -> NewChart:
    """Draw one bar for each crop, its parts one after the other, in the crop's own unit."""
    categories = block(season, season.first_column, CROPS_SHOWN)
    frame = Frame("Where each crop went", "bar", "0", categories, stacked=True, layout=(0.2, 0.09, 0.76, 0.72))
    fills = {heading: Fill(color, pattern, over, look.QUIET, 3175) for heading, color, pattern, over in WENT}
    xml = chart_xml(frame, series_of(season, fills, CROPS_SHOWN))
    return NewChart(xml, "Where each crop went", row, column, WIDTH_CM, ROWS_HIGH * ROW_CM)
