"""Charts on a new sheet: their parts, the drawing that places them, and the lines that tie these together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.workbook.ooxml.package import Package
from stillroom.workbook.ooxml.xml import RELATIONS

_HEAD = b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_PLACE = "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing"
_DRAW = "http://schemas.openxmlformats.org/drawingml/2006/main"
_CHART = "http://schemas.openxmlformats.org/drawingml/2006/chart"
_CHART_TYPE = "application/vnd.openxmlformats-officedocument.drawingml.chart+xml"
_DRAWING_TYPE = "application/vnd.openxmlformats-officedocument.drawing+xml"
_EMU_A_CM = 360_000


@dataclass(frozen=True)
class NewChart:
    """
    One chart: the XML of its part (ECMA-376 Part 1, 21.2.2.27 chartSpace), its name, and where it stands.

    Row and column of its upper left cell count from 1.
    """

    xml: bytes
    name: str
    row: int
    column: int
    width_cm: float
    height_cm: float


def add_charts(package: Package, sheet_part: str, charts: Sequence[NewChart]) -> str:
    """Add the charts of one new sheet with their drawing (20.5.2.35 wsDr); gives the drawing's relationship id."""
    drawing = package.free_name("xl/drawings/drawing{}.xml")
    package.add(drawing, b"", _DRAWING_TYPE)
    anchors = []
    for number, chart in enumerate(charts, 1):
        part = package.free_name("xl/charts/chart{}.xml")
        package.add(part, chart.xml if chart.xml.startswith(b"<?xml") else _HEAD + chart.xml, _CHART_TYPE)
        anchors.append(_anchor(chart, number, package.relate(drawing, f"{RELATIONS}/chart", part)))
    text = f'<xdr:wsDr xmlns:xdr="{_PLACE}" xmlns:a="{_DRAW}">{"".join(anchors)}</xdr:wsDr>'
    package.replace(drawing, _HEAD + text.encode())
    return package.relate(sheet_part, f"{RELATIONS}/drawing", drawing)


def _anchor(chart: NewChart, number: int, relation: str) -> str:
    """Place one chart by its corner and size (20.5.2.24 oneCellAnchor)."""
    width, height = round(chart.width_cm * _EMU_A_CM), round(chart.height_cm * _EMU_A_CM)
    return (
        f"<xdr:oneCellAnchor><xdr:from><xdr:col>{chart.column - 1}</xdr:col><xdr:colOff>0</xdr:colOff>"
        f"<xdr:row>{chart.row - 1}</xdr:row><xdr:rowOff>0</xdr:rowOff></xdr:from>"
        f'<xdr:ext cx="{width}" cy="{height}"/><xdr:graphicFrame macro=""><xdr:nvGraphicFramePr>'
        f'<xdr:cNvPr id="{number + 1}" name="{chart.name}"/><xdr:cNvGraphicFramePr/></xdr:nvGraphicFramePr>'
        f'<xdr:xfrm><a:off x="0" y="0"/><a:ext cx="0" cy="0"/></xdr:xfrm><a:graphic><a:graphicData uri="{_CHART}">'
        f'<c:chart xmlns:c="{_CHART}" xmlns:r="{RELATIONS}" r:id="{relation}"/></a:graphicData></a:graphic>'
        f"</xdr:graphicFrame><xdr:clientData/></xdr:oneCellAnchor>"
    )


@dataclass(frozen=True)
class Fill:
    """The color of a series, a pattern over it (ECMA-376 part 1, 20.1.10.51), and its edge; width in EMU."""

    color: str
    pattern: str = ""
    over: str = ""
    edge: str = ""
    edge_width: int | None = None


@dataclass(frozen=True)
class Series:
    """One series of a chart: the cell with its name, the cells with its values, and its fill."""

    name: str
    values: str
    fill: Fill


@dataclass(frozen=True)
class Frame:
    """
    A chart without its series.

    `kind` is bar or area; `stacked` adds the series up and shows a legend. `categories` are the cells of the names or
    days, `layout` the plot's place as shares of the chart (x, y, width, height), `most` and `step` the end and the
    marks of the axis of values. `dates` shows the categories as days.
    """

    title: str
    kind: str
    number_format: str
    categories: str
    stacked: bool = False
    layout: tuple[float, float, float, float] | None = None
    most: float | None = None
    step: float | None = None
    dates: bool = False
