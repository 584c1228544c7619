"""The two native charts: how far each need is covered, and how full the freezer is."""

from __future__ import annotations

from openpyxl.chart import AreaChart, BarChart, Reference
from openpyxl.chart.axis import ChartLines
from openpyxl.chart.data_source import NumFmt
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.legend import Legend
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText, Text
from openpyxl.chart.title import Title
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.text import CharacterProperties, Font, Paragraph, ParagraphProperties, RegularTextRun
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.starting import look
from stillroom.workbook.starting.sheets import Place

CHART_WIDTH_CM = 13
ROW_CM = 0.53
FREEZER_ROWS_HIGH = 15


def small_text(size: int = 900, colour: str = look.INK) -> RichText:
    """Letters of a chart; the size is in hundredths of a point."""
    letters = CharacterProperties(sz=size, solidFill=colour, latin=Font(typeface=look.TEXT_FONT))
    return RichText(p=[Paragraph(pPr=ParagraphProperties(defRPr=letters), endParaRPr=letters)])


def heading(words: str) -> Title:
    """The title of a chart."""
    letters = CharacterProperties(sz=1200, b=True, solidFill=look.GREEN, latin=Font(typeface=look.TITLE_FONT))
    line = Paragraph(pPr=ParagraphProperties(defRPr=letters), r=[RegularTextRun(rPr=letters, t=words)])
    return Title(tx=Text(rich=RichText(p=[line])), overlay=False)


def style_chart(chart: BarChart | AreaChart, words: str) -> None:
    """Title, paper, letters and grid shared by both charts."""
    chart.title = heading(words)
    chart.graphical_properties = GraphicalProperties(solidFill=look.PAPER, ln=LineProperties(solidFill=look.LINE))
    chart.width = CHART_WIDTH_CM
    for axis in (chart.x_axis, chart.y_axis):
        axis.delete = False
        axis.txPr = small_text()
        axis.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill=look.LINE))
    chart.y_axis.majorGridlines = ChartLines(spPr=GraphicalProperties(ln=LineProperties(solidFill=look.LINE)))


def coverage_rows_high(needs: int) -> int:
    """How many sheet rows the coverage chart is high."""
    return max(14, round(needs * 1.35) + 4)


def last_picture_row(needs: int, heading_row: int) -> int:
    """The last sheet row that the pictures cover."""
    return heading_row + coverage_rows_high(max(needs, 4)) + 1 + FREEZER_ROWS_HIGH


def coverage_chart(worksheet: Worksheet, coverage: Place, needs: int) -> BarChart:
    """One bar a need, filled as far as the plan and the shelf cover it."""
    chart = BarChart()
    chart.type = "bar"
    style_chart(chart, "How far the winter list is filled")
    chart.height = coverage_rows_high(needs) * ROW_CM
    covered = coverage.first_column + coverage.headings.index("Covered")
    last = coverage.first_row + needs - 1
    data = Reference(worksheet, min_col=covered, min_row=coverage.heading_row, max_row=last)
    chart.add_data(data, titles_from_data=True)
    chart.set_categories(Reference(worksheet, min_col=coverage.first_column, min_row=coverage.first_row, max_row=last))
    chart.series[0].graphicalProperties = GraphicalProperties(solidFill=look.GREEN)
    chart.gapWidth = 45
    chart.legend = None
    chart.x_axis.scaling.orientation = "maxMin"
    chart.x_axis.tickLblSkip = 1
    chart.x_axis.txPr = small_text(900)
    chart.y_axis.scaling.min, chart.y_axis.scaling.max = 0, 1
    chart.y_axis.majorUnit = 0.25
    chart.y_axis.numFmt = NumFmt(formatCode="0%", sourceLinked=False)
    chart.y_axis.crosses = "max"
    return chart


def freezer_chart(worksheet: Worksheet, space: Place, periods: int, volume_unit: str) -> AreaChart:
    """Freezer room used and free at the end of each day and week."""
    chart = AreaChart(grouping="stacked")
    style_chart(chart, f"Freezer: filled and free ({volume_unit})")
    chart.height = FREEZER_ROWS_HIGH * ROW_CM
    last = space.first_row + periods - 1
    for heading, colour in (("Freezer used", look.SKY), ("Freezer free", look.PALE_GREEN)):
        column = space.first_column + space.headings.index(heading)
        data = Reference(worksheet, min_col=column, min_row=space.heading_row, max_row=last)
        chart.add_data(data, titles_from_data=True)
        chart.series[-1].graphicalProperties = GraphicalProperties(
            solidFill=colour, ln=LineProperties(solidFill=look.LINE)
        )
    chart.set_categories(Reference(worksheet, min_col=space.first_column, min_row=space.first_row, max_row=last))
    chart.x_axis.numFmt = NumFmt(formatCode="d mmm", sourceLinked=False)
    chart.y_axis.numFmt = NumFmt(formatCode="0", sourceLinked=False)
    chart.legend = Legend(legendPos="b")
    chart.layout = Layout(manualLayout=ManualLayout(x=0.08, y=0.16, w=0.88, h=0.6))
    return chart
