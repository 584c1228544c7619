"""The charts beside the tables Coverage and Season so far, reading the tables where they stand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from stillroom.workbook.charts import NewChart
from stillroom.workbook.starting.pictures import coverage_chart, coverage_rows_high, freezer_chart
from stillroom.workbook.starting.season_pictures import season_chart
from stillroom.workbook.starting.sheets import GAP_COLUMNS, Place

PERIODS_SHOWN = 15
VOLUME_UNIT = "L"


def pictures(group: Sequence[Place], places: Mapping[str, Place], bars: int) -> Iterator[NewChart]:
    """
    Give the charts of a new sheet: two beside Coverage, one beside Season so far, none on any other sheet.

    The chart of the freezer is left out where the table Space has not its columns.
    """
    for place in group:
        column = place.last_column + 1 + GAP_COLUMNS
        if place.table.name == "Season so far":
            yield season_chart(place, place.heading_row, column)
        if place.table.name == "Coverage":
            yield coverage_chart(place, bars, place.heading_row, column)
            space = places.get("Space")
            if space is not None and {"Freezer used", "Freezer free"} <= set(space.headings):
                below = place.heading_row + coverage_rows_high(bars) + 1
                yield freezer_chart(space, PERIODS_SHOWN, VOLUME_UNIT, below, column)
