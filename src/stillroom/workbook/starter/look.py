"""The look of a starting workbook: a quiet palette of paper, ink and green, and the named cell styles made of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stillroom.household.text import spreadsheet_format
from stillroom.workbook.ooxml.named_styles import Look
from stillroom.workbook.ooxml.styles import EDGES, INDENT, Paint, word_width
from stillroom.workbook.schema import Column
from stillroom.workbook.starter.positions import GIVEN, Place

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
