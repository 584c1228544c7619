"""Which tables stand on which of our sheets, their room to grow, and where each cell lies."""

from __future__ import annotations

import datetime
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from importlib.resources import files
from typing import Any

from stillroom.household.cells import letters
from stillroom.workbook.schema import Table

GIVEN: dict[str, Any] = tomllib.loads(files("stillroom.workbook.starter").joinpath("starter.toml").read_text("utf-8"))


# What goes into a new workbook: rows by table and heading, before any spreadsheet is known.


@dataclass(frozen=True)
class Formula:
    """A formula as a spreadsheet file holds it (without the equals sign) and the value it has now."""

    text: str
    value: float | str


Entry = str | int | float | bool | datetime.date | datetime.time | Formula | None
Row = Mapping[str, Entry]
Rows = Mapping[str, Sequence[Row]]


@dataclass(frozen=True)
class Contents:
    """
    The rows of every input table, and what the sheets say about themselves.

    `rows` goes by table name, then heading; a heading that the table does not have is a column of the household's
    own, set to the right. `extra` names those columns by table. `label` stands under the title of every sheet. `lines`
    are what *Handbook line* may say. Without `examples` nothing in the rows is to be typed over.
    """

    rows: Rows
    title: str = "Our winter pantry"
    label: str = ""
    extra: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    lines: Sequence[Mapping[str, Entry]] = ()
    examples: bool = True

    def column(self, table: str, heading: str) -> list[Entry]:
        """
        What stands in one column of a table, top to bottom.

        >>> Contents({"Lids": [{"Lid": "wide"}, {"Lid": "regular"}]}).column("Lids", "Lid")
        ['wide', 'regular']
        """
        return [row.get(heading) for row in self.rows.get(table, ())]


CAPTION_ROW = 4
HEADING_ROW = 5
FIRST_ROW = 6
GAP_COLUMNS = 1
GAP_ROWS = 2
ROWS_DRAWN = 1_000
"""Rows that are drawn as they fill: more than any table begins with, because tables grow."""


SHEETS: Mapping[str, tuple[str, ...]] = {
    "Kitchen": ("Kitchen", "Hours"),
    "Equipment": ("Equipment",),
    "Harvest": ("Harvest", "Crops"),
    "On hand": ("Containers", "Lids", "Pantry", "Shelf"),
    "Preserves": ("Preserves", "Ingredients"),
    "Winter list": ("Winter list", "Counts toward"),
    "Plan": ("Plan",),
    "Messages": ("Messages",),
    "Days": ("Timetable",),
    "Coverage": ("Coverage", "Space", "Crop use"),
    "Shopping": ("Shopping",),
    "Record": ("Record",),
    "Season": ("Season so far",),
}
"""The sheets that hold tables, and the tables from left to right, or from the top down."""
STACKED: Mapping[str, int] = {"Kitchen": 10}
"""The sheet whose tables stand one below the other, and the column that the notes in them run on to."""

SPARE_ELSEWHERE = 40
SPARE_OUTPUT_ROWS = 10

CHART_COLUMNS = 8
"""Columns kept free beside Coverage for the two pictures."""


@dataclass(frozen=True)
class Place:
    """
    Where one table stands: sheet, first column and row, last body row, and the headings in order, ours first.

    `called` is the name that formulas know a new table by, empty for a table of the household's: those are pointed to
    by their cells. `drawn_to` is the last row that is drawn as it fills, `notes_to` the column to which notes run on.
    """

    table: Table
    sheet: str
    first_column: int
    heading_row: int
    first_row: int
    last_row: int
    headings: tuple[str, ...]
    called: str = ""
    drawn_to: int = ROWS_DRAWN
    notes_to: int = 0

    @property
    def written(self) -> bool:
        """Whether the planner writes this table."""
        return self.table.role == "output"

    @property
    def last_column(self) -> int:
        """Number of the last column."""
        return self.first_column + len(self.headings) - 1

    @property
    def reference(self) -> str:
        """The whole table, headings included, as A1:C9."""
        first, last = letters(self.first_column), letters(self.last_column)
        return f"{first}{self.heading_row}:{last}{self.last_row}"

    def letter(self, heading: str) -> str:
        """The letter of a column."""
        return letters(self.first_column + self.headings.index(heading))

    def body(self, heading: str) -> str:
        """The body of one column on its own sheet, as C6:C40."""
        letter = self.letter(heading)
        return f"{letter}{self.first_row}:{letter}{self.last_row}"

    def fixed(self, heading: str) -> str:
        """The body of one column from anywhere, as 'On hand'!$C$6:$C$40."""
        letter = self.letter(heading)
        return f"'{self.sheet}'!${letter}${self.first_row}:${letter}${self.last_row}"

    def named(self, heading: str) -> str:
        """The body of one column as a formula calls it: Kitchen[Value], or its cells in a table of theirs."""
        return f"{self.called}[{heading}]" if self.called else self.fixed(heading)


def laid_out(
    sheet: str,
    group: Sequence[Table],
    contents: Contents,
    needed: Mapping[str, int],
    free_name: Callable[[str], str],
    stacked_to: int | None = None,
) -> Iterator[Place]:
    """
    Give the places of the tables of one new sheet, side by side, with blank rows after those they begin with.

    With `stacked_to`, a column, they stand one below the other. `needed` are the rows that an output table is to hold
    soon, `free_name` gives the name that a new table gets.
    """
    column, heading_row = 1, HEADING_ROW
    for place, table in enumerate(group):
        rows, headings = length(table, contents, needed), (*table.headings, *contents.extra.get(table.name, ()))
        last_row = heading_row + rows
        below = stacked_to is not None and place < len(group) - 1
        yield Place(
            table,
            sheet,
            column,
            heading_row,
            heading_row + 1,
            last_row,
            headings,
            free_name(table.name),
            last_row if below else max(ROWS_DRAWN, last_row),
            stacked_to or 0,
        )
        if stacked_to is not None:
            heading_row = last_row + GAP_ROWS + 1
            continue
        column += len(headings) + GAP_COLUMNS
        if table.name == "Coverage":
            column += CHART_COLUMNS + GAP_COLUMNS


def length(table: Table, contents: Contents, needed: Mapping[str, int]) -> int:
    """How many rows a new table has, so that formulas and charts of the household need not be moved later."""
    if table.role == "output":
        return max(table.rows or 0, needed.get(table.name, -SPARE_OUTPUT_ROWS) + SPARE_OUTPUT_ROWS, 1)
    begun = max(len(contents.rows.get(table.name, ())), needed.get(table.name, 0))
    spare: int = GIVEN["spare_rows"].get(table.name, SPARE_ELSEWHERE)
    return max(begun + spare, 1)
