"""The charts beside the tables Coverage and Season so far, reading the tables where they stand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, cast
from xml.etree.ElementTree import tostring

from openpyxl.workbook import Workbook

from stillroom.workbook.charts import NewChart
from stillroom.workbook.starting import pictures as starting
from stillroom.workbook.starting.season_pictures import season_chart
from stillroom.workbook.starting.sheets import GAP_COLUMNS, Place

if TYPE_CHECKING:
    from openpyxl.chart import AreaChart, BarChart
    from openpyxl.worksheet.worksheet import Worksheet

PERIODS_SHOWN = 15
VOLUME_UNIT = "L"


def pictures(group: Sequence[Place], places: Mapping[str, Place], bars: int) -> Iterator[NewChart]:
    """Give the charts of a new sheet: two beside Coverage, one beside Season so far, none on any other sheet."""
    here = {place.table.name: place for place in group}
    if "Coverage" in here:
        yield from beside_coverage(here["Coverage"], places, bars)
    if "Season so far" in here:
        season = here["Season so far"]
        chart = season_chart(sheet_called(season.sheet), season)
        yield new_chart(chart, "Where each crop went", season.heading_row, season.last_column + 1 + GAP_COLUMNS)


def beside_coverage(coverage: Place, places: Mapping[str, Place], bars: int) -> Iterator[NewChart]:
    """How far the winter list is filled, and the freezer where its table has the columns."""
    column = coverage.last_column + 1 + GAP_COLUMNS
    chart = starting.coverage_chart(sheet_called(coverage.sheet), coverage, bars)
    yield new_chart(chart, "Coverage of the winter list", coverage.heading_row, column)
    space = places.get("Space")
    if space is None or not {"Freezer used", "Freezer free"} <= set(space.headings):
        return
    try:
        sheet = sheet_called(space.sheet.replace("''", "'"))
    except ValueError:  # a name of theirs that the maker of charts does not take: there is one chart less
        return
    below = coverage.heading_row + starting.coverage_rows_high(bars) + 1
    yield new_chart(starting.freezer_chart(sheet, space, PERIODS_SHOWN, VOLUME_UNIT), "Freezer", below, column)


def sheet_called(name: str) -> Worksheet:
    """An empty sheet of that name, for a chart to refer to; raises ValueError for a name that cannot be one."""
    return cast("Worksheet", Workbook().create_sheet(name))


def new_chart(chart: BarChart | AreaChart, name: str, row: int, column: int) -> NewChart:
    """The chart as the XML of its part, with its place."""
    made: Any = chart
    xml = tostring(made._write())  # noqa: SLF001 - the only way to a chart's own XML
    return NewChart(xml, name, row, column, chart.width, chart.height)
