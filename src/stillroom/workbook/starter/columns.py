"""How the columns of a table look: whose they are, how wide, where the words stand, how numbers are shown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from stillroom.household.text import spreadsheet_format
from stillroom.workbook.ooxml.named_styles import Look
from stillroom.workbook.ooxml.styles import EDGES, INDENT, word_width
from stillroom.workbook.schema.schema import Column
from stillroom.workbook.starter import look
from stillroom.workbook.starter.positions import Place

# Which columns are folded away, and how wide a heading is, so that every sheet can be read on paper.

SMALL_LETTERS = 1.05
"""How many more letters of a sentence under the title fit than of the tables'."""
FOLDED: Mapping[str, tuple[str, ...]] = {
    "Crops": ("Minutes to freeze", "Frozen keeps weeks", "Freezer space per weight", "Trimmings share"),
    "Preserves": (
        "Hands-on min each",
        "Hands-on min a load",
        "Stove min each",
        "Stove min a load",
        "Equipment",
        "Smallest batch",
        "Keeps months",
        "Kept in",
        "Space each",
    ),
}
"""Neighbouring columns that are seldom typed in: folded away, under a plus sign above the sheet, and not printed."""
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
    names = [name for table in tables for name in FOLDED.get(table, ())]
    return f"Folded away, under the + above the columns: {', '.join(names)}." if names else ""


def is_folded(table: str, heading: str) -> bool:
    """Whether a column is folded away."""
    return heading in FOLDED.get(table, ())


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
        return look.WORKING, "General"
    style = look.INPUT if belongs_to_household(place, heading) else look.OUTPUT
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
    return replace(look.HEADING_OURS if ours else look.HEADING, across=across, indent=indent)


def body_look(place: Place, heading: str) -> Look:
    """The look of a column's cells; the ground and lines of rows in use are drawn by `bands`."""
    style, shown = body_style(place, heading)
    across, indent = stands(place, heading)
    return replace(
        look.GROUNDS[style],
        number_format=shown,
        size=look.SMALL if small(place, heading) else None,
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
