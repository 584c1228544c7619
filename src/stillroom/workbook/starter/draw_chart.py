"""Charts drawn with openpyxl: title, paper, axes and series as the XML of a chart part."""

from __future__ import annotations

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

from stillroom.workbook.ooxml.new_sheet import Fill, Frame, Series
from stillroom.workbook.starter import layout


@cache
def draw(frame: Frame, series: tuple[Series, ...], day_format: str) -> bytes:
    """
    Return the XML of a chart part (ECMA-376 part 1, 21.2.2.27 chartSpace); `day_format` is that of days on the axis.

    Drawn once for all workbooks of a folder that are laid out alike.
    """
    chart: Any = bar_chart(frame) if frame.kind == "bar" else AreaChart(grouping="stacked")
    chart.title = title(frame.title)
    chart.graphical_properties = GraphicalProperties(solidFill=layout.PAPER, ln=LineProperties(solidFill=layout.LINE))
    for axis in (chart.x_axis, chart.y_axis):
        axis.delete = False
        axis.txPr = axis_text()
        axis.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill=layout.LINE))
    chart.y_axis.majorGridlines = ChartLines(spPr=GraphicalProperties(ln=LineProperties(solidFill=layout.LINE)))
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
    style = CharacterProperties(sz=1200, b=True, solidFill=layout.GREEN, latin=Font(typeface=layout.TITLE_FONT))
    line = Paragraph(pPr=ParagraphProperties(defRPr=style), r=[RegularTextRun(rPr=style, t=words)])
    return Title(tx=Text(rich=RichText(p=[line])), overlay=False)


def axis_text() -> RichText:
    """Return the letters of an axis, 9 points."""
    style = CharacterProperties(sz=900, solidFill=layout.INK, latin=Font(typeface=layout.TEXT_FONT))
    return RichText(p=[Paragraph(pPr=ParagraphProperties(defRPr=style), endParaRPr=style)])
