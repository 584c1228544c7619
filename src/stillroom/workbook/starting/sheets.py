"""Which tables stand on which sheet of a starting workbook, their room to grow, and where each cell lies."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from openpyxl.utils import get_column_letter

from stillroom.workbook.inputs import Table, tables
from stillroom.workbook.starting.contents import Contents

CAPTION_ROW = 4
HEADING_ROW = 5
FIRST_ROW = 6
GAP_COLUMNS = 1


SHEETS: Mapping[str, tuple[str, ...]] = {
    "Kitchen": ("Kitchen", "Hours", "Equipment"),
    "Harvest": ("Harvest", "Crops"),
    "On hand": ("Containers", "Lids", "Larder", "Shelf"),
    "Preserves": ("Preserves", "Ingredients"),
    "Winter needs": ("Needs", "Counts"),
    "Plan": ("Plan", "Messages"),
    "Days": ("Timetable",),
    "Coverage": ("Coverage", "Space", "Crop use"),
    "Shopping": ("Shopping",),
    "Record": ("Record",),
    "Season": ("Season so far",),
}
"""The sheets that hold tables, and the tables from left to right."""

SPARE_ROWS = {
    "Kitchen": 2,
    "Hours": 6,
    "Equipment": 12,
    "Harvest": 80,
    "Crops": 12,
    "Containers": 10,
    "Lids": 8,
    "Larder": 12,
    "Shelf": 40,
    "Preserves": 20,
    "Ingredients": 60,
    "Needs": 10,
    "Counts": 24,
    "Record": 120,
}
"""Blank rows left at the end of each input table; the output tables are as long as `inputs.toml` says."""

CHART_COLUMNS = 8
"""Columns kept free beside Coverage for the two pictures."""


@dataclass(frozen=True)
class Place:
    """Where one table stands: sheet, first column and row, last body row, and the headings in order, ours first."""

    table: Table
    sheet: str
    first_column: int
    heading_row: int
    first_row: int
    last_row: int
    headings: tuple[str, ...]

    @property
    def written(self) -> bool:
        """Whether the planner writes this table."""
        return self.table.role == "output"

    @property
    def part_name(self) -> str:
        """The name of the spreadsheet table: such names hold no spaces (ECMA-376 part 1, 18.5.1.2 `table`)."""
        return self.table.name.replace(" ", "_")

    @property
    def last_column(self) -> int:
        """Number of the last column."""
        return self.first_column + len(self.headings) - 1

    @property
    def reference(self) -> str:
        """The whole table, headings included, as A1:C9."""
        first, last = get_column_letter(self.first_column), get_column_letter(self.last_column)
        return f"{first}{self.heading_row}:{last}{self.last_row}"

    def letter(self, heading: str) -> str:
        """The letter of a column."""
        return get_column_letter(self.first_column + self.headings.index(heading))

    def body(self, heading: str) -> str:
        """The body of one column on its own sheet, as C6:C40."""
        letter = self.letter(heading)
        return f"{letter}{self.first_row}:{letter}{self.last_row}"

    def fixed(self, heading: str) -> str:
        """The body of one column from anywhere, as 'On hand'!$C$6:$C$40."""
        letter = self.letter(heading)
        return f"'{self.sheet}'!${letter}${self.first_row}:${letter}${self.last_row}"


def places(contents: Contents) -> Mapping[str, Place]:
    """
    Where every table stands, side by side on its sheet from left to right.

    >>> found = places(Contents({"Hours": [{"What": "hands"}]}))
    >>> found["Hours"].reference, found["Crop use"].sheet
    ('F5:O12', 'Coverage')
    """
    found: dict[str, Place] = {}
    for sheet, names in SHEETS.items():
        column = 1
        for name in names:
            table = tables()[name]
            rows = table.rows or len(contents.rows.get(name, ())) + SPARE_ROWS[name]
            headings = (*table.headings, *contents.extra.get(name, ()))
            found[name] = Place(table, sheet, column, HEADING_ROW, FIRST_ROW, FIRST_ROW + max(rows, 1) - 1, headings)
            column += len(headings) + GAP_COLUMNS
            if name == "Coverage":
                column += CHART_COLUMNS + GAP_COLUMNS
    return found
