"""The two native charts beside Coverage: how far each need is covered, and how full the freezer is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.workbook.ooxml.charts import NewChart
from stillroom.workbook.ooxml.values import escape_text, letters
from stillroom.workbook.ooxml.xml import escape_attribute
from stillroom.workbook.starter import look
from stillroom.workbook.starter.positions import Place

CHART_WIDTH_CM = 13
ROW_CM = 0.53
FREEZER_ROWS_HIGH = 15
DRAW = "http://schemas.openxmlformats.org/drawingml/2006/main"
CHART = "http://schemas.openxmlformats.org/drawingml/2006/chart"
AXES = '<c:axId val="10"/><c:axId val="100"/>'
"""Numbers of the axis of categories and of that of values."""


@dataclass(frozen=True)
class Frame:
    """
    What a chart is like around its series.

    `kind` is a bar or an area, `stacked` lays its series one on the other. `layout` gives the place of the plot as
    shares of the chart (x, y, width, height), `most` the end of the axis of values, `step` its marks; `dates` shows
    the categories as days. A chart of several series has a legend.
    """

    words: str
    kind: str
    shown: str
    stacked: bool = False
    layout: tuple[float, float, float, float] | None = None
    most: float | None = None
    step: float | None = None
    dates: bool = False


def solid(colour: str) -> str:
    """A plain fill (ECMA-376 part 1, 20.1.8.54 solidFill)."""
    return f'<a:solidFill><a:srgbClr val="{colour}"/></a:solidFill>'


def edge(colour: str, width: int | None = None) -> str:
    """A line round something; the width in 12,700ths of a point (20.1.2.2.24 ln)."""
    wide = "" if width is None else f' w="{width}"'
    return f"<a:ln{wide}>{solid(colour)}</a:ln>"


def series(place: Place, headings: Sequence[str], shapes: Sequence[str], rows: int) -> str:
    """
    Write one series a heading (21.2.2.170 ser), read from the first rows of a table.

    The categories stand in its first column; `shapes` are fills with their edges.
    """
    text = ""
    categories = block(place, place.first_column, rows)
    for number, (heading, shape) in enumerate(zip(headings, shapes, strict=True)):
        column = place.first_column + place.headings.index(heading)
        name = f"'{place.sheet}'!${letters(column)}${place.heading_row}"
        text += (
            f'<c:ser><c:idx val="{number}"/><c:order val="{number}"/>'
            f"<c:tx><c:strRef><c:f>{escape_text(name)}</c:f></c:strRef></c:tx><c:spPr>{shape}</c:spPr>"
            f"<c:cat><c:numRef><c:f>{escape_text(categories)}</c:f></c:numRef></c:cat>"
            f"<c:val><c:numRef><c:f>{escape_text(block(place, column, rows))}</c:f></c:numRef></c:val></c:ser>"
        )
    return text


def block(place: Place, column: int, rows: int) -> str:
    """The first rows of one column of a table, as 'Coverage'!$A$6:$A$30."""
    letter = letters(column)
    return f"'{place.sheet}'!${letter}${place.first_row}:${letter}${place.first_row + rows - 1}"


def chart_xml(frame: Frame, drawn: str) -> bytes:
    """Write the part of a chart (21.2.2.27 chartSpace) with our paper, letters and grid; `drawn` are its series."""
    grouping = "stacked" if frame.stacked else "clustered"
    if frame.kind == "bar":
        overlap = '<c:overlap val="100"/>' if frame.stacked else ""
        plot = (
            f'<c:barChart><c:barDir val="bar"/><c:grouping val="{grouping}"/>{drawn}<c:gapWidth val="45"/>{overlap}'
            f"{AXES}</c:barChart>"
        )
    else:
        plot = f'<c:areaChart><c:grouping val="{grouping}"/>{drawn}{AXES}</c:areaChart>'
    legend = '<c:legend><c:legendPos val="b"/></c:legend>' if frame.stacked else ""
    paper = f"<c:spPr>{solid(look.PAPER)}{edge(look.LINE)}</c:spPr>"
    text = (
        f'<c:chartSpace xmlns:a="{DRAW}" xmlns:c="{CHART}"><c:chart>{title(frame.words)}<c:plotArea>'
        f"{layout(frame)}{plot}{category_axis(frame)}{value_axis(frame)}</c:plotArea>{legend}"
        f'<c:plotVisOnly val="1"/><c:dispBlanksAs val="gap"/></c:chart>{paper}</c:chartSpace>'
    )
    return text.encode()


def title(words: str) -> str:
    """The title of a chart (21.2.2.210 title)."""
    inside = f'{solid(look.GREEN)}<a:latin typeface="{look.TITLE_FONT}"/>'
    return (
        f'<c:title><c:tx><c:rich><a:bodyPr/><a:p><a:pPr><a:defRPr sz="1200" b="1">{inside}</a:defRPr></a:pPr>'
        f'<a:r><a:rPr sz="1200" b="1">{inside}</a:rPr><a:t>{escape_text(words)}</a:t></a:r></a:p></c:rich></c:tx>'
        '<c:overlay val="0"/></c:title>'
    )


def layout(frame: Frame) -> str:
    """Where the plot stands (21.2.2.88 layout); without it the program chooses."""
    if frame.layout is None:
        return ""
    places = "".join(f'<c:{name} val="{share:g}"/>' for name, share in zip("xywh", frame.layout, strict=True))
    modes = '<c:wMode val="factor"/><c:hMode val="factor"/>'
    return f"<c:layout><c:manualLayout>{modes}{places}</c:manualLayout></c:layout>"


def axis_letters() -> str:
    """The line and the letters of an axis; the size is in hundredths of a point."""
    inside = f'{solid(look.INK)}<a:latin typeface="{look.TEXT_FONT}"/>'
    return (
        f"<c:spPr>{edge(look.LINE)}</c:spPr><c:txPr><a:bodyPr/><a:p><a:pPr>"
        f'<a:defRPr sz="900">{inside}</a:defRPr></a:pPr><a:endParaRPr sz="900"/></a:p></c:txPr>'
    )


def category_axis(frame: Frame) -> str:
    """The axis of needs, crops or days (21.2.2.25 catAx); the first bar stands at the top."""
    turned = "maxMin" if frame.kind == "bar" else "minMax"
    side = "l" if frame.kind == "bar" else "b"
    dates = '<c:numFmt formatCode="d mmm" sourceLinked="0"/>' if frame.dates else ""
    every = '<c:tickLblSkip val="1"/>' if frame.kind == "bar" else ""
    return (
        f'<c:catAx><c:axId val="10"/><c:scaling><c:orientation val="{turned}"/></c:scaling><c:delete val="0"/>'
        f'<c:axPos val="{side}"/>{dates}<c:majorTickMark val="none"/><c:minorTickMark val="none"/>{axis_letters()}'
        f'<c:crossAx val="100"/><c:lblOffset val="100"/>{every}</c:catAx>'
    )


def value_axis(frame: Frame) -> str:
    """The axis of numbers (21.2.2.226 valAx), below the bars or to the left of the area."""
    most = "" if frame.most is None else f'<c:max val="{frame.most:g}"/>'
    least = '<c:min val="0"/>' if frame.kind == "bar" else ""
    step = "" if frame.step is None else f'<c:majorUnit val="{frame.step:g}"/>'
    side, crosses = ("b", '<c:crosses val="max"/>') if frame.kind == "bar" else ("l", "")
    return (
        f'<c:valAx><c:axId val="100"/><c:scaling><c:orientation val="minMax"/>{most}{least}</c:scaling>'
        f'<c:delete val="0"/><c:axPos val="{side}"/><c:majorGridlines><c:spPr>{edge(look.LINE)}</c:spPr>'
        f'</c:majorGridlines><c:numFmt formatCode="{escape_attribute(frame.shown)}" sourceLinked="0"/>'
        f'<c:majorTickMark val="none"/><c:minorTickMark val="none"/>{axis_letters()}<c:crossAx val="10"/>'
        f"{crosses}{step}</c:valAx>"
    )


def coverage_rows_high(targets: int) -> int:
    """How many sheet rows the coverage chart is high."""
    return max(14, round(targets * 1.35) + 4)


def last_picture_row(targets: int, heading_row: int) -> int:
    """The last sheet row that the pictures cover."""
    return heading_row + coverage_rows_high(max(targets, 4)) + 1 + FREEZER_ROWS_HIGH


def coverage_chart(coverage: Place, targets: int, row: int, column: int) -> NewChart:
    """One bar a need, filled as far as the plan and the shelf cover it."""
    frame = Frame("How far the winter list is filled", "bar", "0%", most=1, step=0.25)
    drawn = series(coverage, ["Covered"], [solid(look.GREEN)], targets)
    height = coverage_rows_high(targets) * ROW_CM
    return NewChart(chart_xml(frame, drawn), "Coverage of the winter list", row, column, CHART_WIDTH_CM, height)


def freezer_chart(space: Place, periods: int, volume_unit: str, row: int, column: int) -> NewChart:
    """Freezer room used and free at the end of each day and week."""
    words = f"Freezer: filled and free ({volume_unit})"
    frame = Frame(words, "area", "0", stacked=True, layout=(0.08, 0.16, 0.88, 0.6), dates=True)
    shapes = [solid(colour) + edge(look.LINE) for colour in (look.SKY, look.PALE_GREEN)]
    drawn = series(space, ["Freezer change", "Freezer left"], shapes, periods)
    return NewChart(chart_xml(frame, drawn), "Freezer", row, column, CHART_WIDTH_CM, FREEZER_ROWS_HIGH * ROW_CM)


# The chart of the season: where each crop went, by the ways it was put up and what else became of it.

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
