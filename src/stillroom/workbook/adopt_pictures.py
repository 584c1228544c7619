"""The charts of a starting workbook beside an adopted Coverage table, reading the tables where they stand."""

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

    from stillroom.workbook.book import Book

NEEDS_SHOWN, PERIODS_SHOWN = 15, 15


def pictures(group: Sequence[Place], places: Mapping[str, Place], book: Book, volume_unit: str) -> Iterator[NewChart]:
    """Give the charts of a new sheet: two beside Coverage, one beside Season so far, none on any other sheet."""
    here = {place.table.name: place for place in group}
    if "Coverage" in here:
        yield from beside_coverage(here["Coverage"], places, book, volume_unit)
    if "Season so far" in here:
        season = here["Season so far"]
        chart = season_chart(sheet_called(season.sheet), season)
        yield new_chart(chart, "Where each crop went", season.heading_row, season.last_column + 1 + GAP_COLUMNS)


def beside_coverage(coverage: Place, places: Mapping[str, Place], book: Book, volume_unit: str) -> Iterator[NewChart]:
    """How far the winter list is filled, and the freezer where its table has the columns."""
    rows = needs_shown(coverage, book)
    column = coverage.last_column + 1 + GAP_COLUMNS
    chart = starting.coverage_chart(sheet_called(coverage.sheet), coverage, rows)
    yield new_chart(chart, "Coverage of the winter list", coverage.heading_row, column)
    space = places.get("Space")
    if space is None or not {"Freezer used", "Freezer free"} <= set(space.headings):
        return
    try:
        sheet = sheet_called(space.sheet.replace("''", "'"))
    except ValueError:  # a name of theirs that the maker of charts does not take: there is one chart less
        return
    below = coverage.heading_row + starting.coverage_rows_high(rows) + 1
    yield new_chart(starting.freezer_chart(sheet, space, PERIODS_SHOWN, volume_unit), "Freezer", below, column)


def needs_shown(coverage: Place, book: Book) -> int:
    """How many bars the winter list has: one for each need that is typed already, or some to begin with."""
    needs = book.table("Needs")
    typed = 0 if needs is None else sum(any(cell.value is not None for cell in row) for _, row in needs.rows.filled())
    return min(max(typed or NEEDS_SHOWN, 4), coverage.last_row - coverage.first_row + 1)


def sheet_called(name: str) -> Worksheet:
    """An empty sheet of that name, for a chart to refer to; raises ValueError for a name that cannot be one."""
    return cast("Worksheet", Workbook().create_sheet(name))


def new_chart(chart: BarChart | AreaChart, name: str, row: int, column: int) -> NewChart:
    """The chart as the XML of its part, with its place."""
    made: Any = chart
    xml = tostring(made._write())  # noqa: SLF001 - the only way to a chart's own XML
    return NewChart(xml, name, row, column, chart.width, chart.height)
