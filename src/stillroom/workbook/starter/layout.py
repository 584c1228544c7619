"""How new sheets are laid out: which tables stand where, their room to grow, colors, styles and widths."""

from __future__ import annotations

import datetime
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from importlib.resources import files
from typing import Any

from stillroom.household.cells import letters
from stillroom.household.text import spreadsheet_format
from stillroom.workbook.ooxml.named_styles import Look
from stillroom.workbook.ooxml.styles import EDGES, INDENT, Paint, word_width
from stillroom.workbook.schema import Column, Table

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


# The look of a starting workbook: a quiet palette of paper, ink and green, and the named cell styles made of it.

PAPER = "FCF9F1"
INK = "33312B"
GREEN = "4C6848"
PALE_GREEN = "EDF2E7"
CREAM = "FFF6DA"
STRAW = "E6D9B0"
SAND = "F1ECE1"
LINE = "DDD6C6"
QUIET = "756D5F"
BRICK = "A43E2E"
PALE_BRICK = "F7DDD5"
SKY = "9DB6BE"
OCHRE = "C69A3C"
ROSE = "F3E3D3"

AMISS = Paint(BRICK, bold=True, fill=PALE_BRICK, line=LINE)
SHORT = Paint(BRICK, bold=True, fill=PALE_GREEN, line=LINE)
FILLED = Paint(GREEN, bold=True, fill=PALE_GREEN, line=LINE)
"""What is to be mended, a need that falls short, a need that is filled."""

INPUT = "stillroom input"
WORKING = "stillroom working"
OUTPUT = "stillroom output"

TEXT_FONT = "Calibri"
TITLE_FONT = "Georgia"
USUAL, SMALL = 11, 10
"""Sizes of the letters in tables, in points."""

HEADING = Look("stillroom heading", bold=True, colour=INK, fill=STRAW, line=STRAW, wrap=True, upright="center")
HEADING_OURS = Look(
    "stillroom heading output", bold=True, colour=PAPER, fill=GREEN, line=GREEN, wrap=True, upright="center"
)
TITLE = Look("stillroom title", bold=True, size=20, font=TITLE_FONT, colour=GREEN, upright="top")
CAPTION = Look("stillroom caption", bold=True, size=12, font=TITLE_FONT, colour=GREEN)
NOTE = Look("stillroom note", italic=True, size=10, colour=QUIET, upright="top", locked=False)
WORDS = Look("stillroom words", colour=INK, across="left", wrap=True, indent=1)
GROUNDS = {
    INPUT: Look(INPUT, colour=INK, fill=CREAM, line=STRAW, upright="top", locked=False),
    WORKING: Look(WORKING, colour=INK, fill=SAND, line=LINE, upright="top"),
    OUTPUT: Look(OUTPUT, colour=INK, fill=PALE_GREEN, line=LINE, upright="top"),
}
"""Cells that the household types, that help to type, that the planner writes: these are locked, yet no sheet is."""


# Which columns are folded away, and how wide a heading is, so that every sheet can be read on paper.

SMALL_LETTERS = 1.05
"""How many more letters of a sentence under the title fit than of the tables'."""
BOLD = 1.12
"""How much wider than usual the letters of a heading are."""


def least_width(heading: str, indent: int) -> float:
    """
    The width that the longest word of a heading needs, not to touch the one beside it.

    >>> round(least_width("Boiling-water canned", 0), 1), round(least_width("Surplus", 0), 1)
    (14.0, 8.9)
    """
    return BOLD * max(word_width(word) for word in heading.split()) + 2 * EDGES + INDENT * indent


def folded_words(tables: Sequence[str]) -> str:
    """
    Say which columns of a sheet's tables are folded away; empty when none is.

    >>> folded_words(["Harvest", "Shopping"]), folded_words(["Crops"])[:59]
    ('', 'Folded away, under the + above the columns: Minutes to free')
    """
    names = [name for table in tables for name in GIVEN["folded"].get(table, ())]
    return f"Folded away, under the + above the columns: {', '.join(names)}." if names else ""


def is_folded(table: str, heading: str) -> bool:
    """Whether a column is folded away."""
    return heading in GIVEN["folded"].get(table, ())


LEAST_WIDTH = 9.0
"""Of a column that `schema.toml` does not know, in digits."""


def belongs_to_household(place: Place, heading: str) -> bool:
    """Whether the household types this column; columns beside ours are always theirs."""
    owners = {column.heading: column.owner for column in place.table.columns}
    return not place.written or owners.get(heading, "household") == "household"


def body_style(place: Place, heading: str) -> tuple[str, str]:
    """The named style and number format of a column's body."""
    column = described(place, heading)
    if column is None:
        return WORKING, "General"
    style = INPUT if belongs_to_household(place, heading) else OUTPUT
    return style, spreadsheet_format(column.format)


def described(place: Place, heading: str) -> Column | None:
    """What `schema.toml` says of a column; None of one beside ours."""
    return next((column for column in place.table.columns if column.heading == heading), None)


def width_of(place: Place, heading: str) -> float:
    """The width of a column in digits."""
    column = described(place, heading)
    return column.width if column is not None else round(max(LEAST_WIDTH, least_width(heading, 1)), 1)


def heading_look(place: Place, heading: str) -> Look:
    """The look of a heading: green over the planner's columns, straw over the household's; it stands as they do."""
    across, indent = stands(place, heading)
    ours = place.written and not belongs_to_household(place, heading)
    return replace(HEADING_OURS if ours else HEADING, across=across, indent=indent)


def body_look(place: Place, heading: str) -> Look:
    """The look of a column's cells; the ground and lines of rows in use are drawn by `bands`."""
    style, shown = body_style(place, heading)
    across, indent = stands(place, heading)
    return replace(
        GROUNDS[style],
        number_format=shown,
        size=SMALL if small(place, heading) else None,
        across=across,
        wrap=wraps(place, heading),
        indent=indent,
        bare=True,
    )


def holds_numbers(place: Place, heading: str) -> bool:
    """Whether a column's values stand at the right, so that its heading should too."""
    kinds = {column.heading: column.kind for column in place.table.columns}
    return kinds.get(heading, "number") in {"number", "whole", "amount", "volume"}


def stands(place: Place, heading: str) -> tuple[str, int]:
    """Where a column's words stand, and how far in, so that a number does not run into the words beside it."""
    return ("right", 0) if holds_numbers(place, heading) else ("left", 1)


WRAPPED = {
    "Preserves": {"Method", "Container", "Handbook line", "Source", "Equipment", "Kept in"},
    "Plan": {"Uses", "Change"},
    "Messages": {"Where", "What", "What to do"},
    "Shopping": {"Item", "For"},
    "Timetable": {"Step", "Equipment"},
    "Can wait": {"Else"},
    "If things go wrong": {"If", "What changes", "Lost"},
    "Review targets": {"Why"},
    "Review crops": {"Verdict"},
    "Review preserves": {"Days"},
    "Review equipment": {"Days", "Verdict"},
}
WRAPPED_IN_ALL = {"Note", "Preserve", "Target"}
"""Columns that wrap, by table, and those that do in every table."""


def wraps(place: Place, heading: str) -> bool:
    """Whether a column holds sentences, or names that may be too long for its width; notes may run on instead."""
    if heading == "Note" and place.notes_to > place.last_column:
        return False
    return heading in WRAPPED_IN_ALL or heading in WRAPPED.get(place.table.name, ())


SMALL_COLUMNS = {
    "Crops": {"Note"},
    "Preserves": {"Handbook line", "Source", "Equipment", "Kept in", "Note"},
    "Ingredients": {"Note"},
    "Messages": {"Where"},
}
"""Columns in smaller letters, by table: where the figures come from."""


def small(place: Place, heading: str) -> bool:
    """Whether a column's letters are smaller than the rest."""
    return heading in SMALL_COLUMNS.get(place.table.name, ())
