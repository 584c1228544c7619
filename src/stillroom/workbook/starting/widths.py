"""Which columns are folded away, and how wide a heading is, so that every sheet can be read on paper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stillroom.workbook.lines import EDGES, INDENT, word_width

SMALL_LETTERS = 1.05
"""How many more letters of a sentence under the title fit than of the tables'."""
FOLDED: Mapping[str, tuple[str, ...]] = {
    "Crops": ("Minutes to freeze", "Frozen keeps weeks", "Freezer space per weight", "Trimmings share"),
    "Preserves": (
        "Hands min each",
        "Hands min a load",
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

    >>> round(least_width("Boiling-water canned", 0), 1), round(least_width("Fed", 0), 1)
    (14.0, 5.5)
    """
    return BOLD * max(word_width(word) for word in heading.split()) + 2 * EDGES + INDENT * indent


def folded_words(tables: Sequence[str]) -> str:
    """
    Say which columns of a sheet's tables are folded away; empty when none is.

    >>> folded_words(["Harvest", "Shopping"]), folded_words(["Crops"])[:58]
    ('', 'Folded away, under the + above the columns: Minutes to free')
    """
    names = [name for table in tables for name in FOLDED.get(table, ())]
    return f"Folded away, under the + above the columns: {', '.join(names)}." if names else ""


def is_folded(table: str, heading: str) -> bool:
    """Whether a column is folded away."""
    return heading in FOLDED.get(table, ())
