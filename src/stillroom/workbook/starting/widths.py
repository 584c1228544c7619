"""How wide each column is, and which ones are folded away, so that every sheet can be read on paper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stillroom.workbook.lines import EDGES, INDENT, word_width

WIDTHS = {"date": 16.0, "time": 7.5, "yes_no": 10.0, "whole": 9.0, "number": 10.0, "unit": 10.0, "can_buy": 8.0}
"""By the kind of a column, in digits of the usual letters."""
HEADING_WIDTHS = {
    "Uses": 40.0,
    "What to do": 52.0,
    "Handbook line": 27.0,
    "Each later week": 11.0,
    "Weighed or expected": 12.0,
    "Coming back each week": 12.0,
    "Eaten fresh each week": 10.5,
    "Importance": 12.0,
    "Mon": 6.5,
    "Tue": 6.5,
    "Wed": 6.5,
    "Thu": 6.5,
    "Fri": 6.5,
    "Sat": 6.5,
    "Sun": 6.5,
    "Days": 6.5,
    "Severity": 11.0,
    "Planned": 10.0,
    "Change": 13.0,
    "Unit": 11.0,
    "Hands min each": 7.5,
    "Hands min a load": 7.5,
    "Stove min each": 7.5,
    "Stove min a load": 7.5,
}
TABLE_WIDTHS = {
    ("Plan", "Preserve"): 28.0,
    ("Plan", "Unit"): 14.0,
    ("Plan", "Make"): 7.5,
    ("Plan", "Loads"): 7.5,
    ("Plan", "Hands h"): 9.5,
    ("Plan", "Stove h"): 9.5,
    ("Plan", "Fix"): 6.5,
    ("Plan", "Made"): 8.0,
    ("Plan", "Note"): 13.0,
    ("Preserves", "Preserve"): 31.0,
    ("Preserves", "Way"): 20.0,
    ("Preserves", "Container"): 13.0,
    ("Preserves", "Source"): 25.0,
    ("Preserves", "Make"): 8.0,
    ("Preserves", "Minutes"): 9.5,
    ("Preserves", "Smallest batch"): 10.0,
    ("Preserves", "Keeps months"): 9.0,
    ("Preserves", "Equipment"): 25.0,
    ("Preserves", "Kept in"): 13.0,
    ("Preserves", "Space each"): 8.0,
    ("Preserves", "Note"): 30.0,
    ("Equipment", "Equipment"): 17.0,
    ("Equipment", "Kind"): 21.0,
    ("Equipment", "How many"): 7.5,
    ("Equipment", "Load"): 7.0,
    ("Equipment", "Load unit"): 15.0,
    ("Equipment", "Heat-up min"): 10.0,
    ("Equipment", "Note"): 60.0,
    ("Crops", "Crop"): 15.5,
    ("Crops", "Handbook food"): 15.5,
    ("Crops", "Keeps days"): 8.0,
    ("Crops", "Bushel weighs"): 9.0,
    ("Crops", "Unit"): 8.0,
    ("Crops", "May be frozen whole"): 10.0,
    ("Crops", "Minutes to freeze"): 9.5,
    ("Crops", "Frozen keeps weeks"): 9.0,
    ("Crops", "Freezer space per weight"): 12.0,
    ("Crops", "Note"): 96.0,
    ("Kitchen", "Note"): 80.0,
    ("Timetable", "Step"): 49.0,
    ("Timetable", "Preserve"): 30.0,
    ("Timetable", "Equipment"): 17.0,
    ("Messages", "Where"): 36.0,
    ("Messages", "What"): 75.0,
    ("Coverage", "Need"): 32.0,
    ("Crop use", "Crop"): 24.0,
    ("Season so far", "Crop"): 16.0,
    ("Season so far", "Unit"): 8.0,
    ("Season so far", "Boiling-water canned"): 14.0,
    ("Shopping", "Item"): 30.0,
    ("Shopping", "For"): 60.0,
    ("Space", "Period"): 17.0,
    ("Space", "Hands used"): 9.0,
    ("Space", "Hands free"): 9.0,
    ("Space", "Stove used"): 9.0,
    ("Space", "Stove free"): 9.0,
    ("Kitchen", "Value"): 16.0,
    ("Record", "Preserve"): 34.0,
    ("Record", "Crop"): 22.0,
    ("Harvest", "Crop"): 22.0,
    ("Shelf", "Where"): 18.0,
}
NARROWEST, WIDEST, WIDEST_NOTE = 9.0, 48.0, 60.0
LEAST_NOTE = 30.0
SMALL_LETTERS = 1.05
"""How many more letters of a sentence under the title fit than of the tables'."""
DIGITS_A_PAGE = 175.0
"""
Width of a table that fills a landscape page of letter paper with letters of 8 points, where it has smaller ones.

A digit of the usual letters (11 points) is 5.25 points wide and the page 734 between its margins: 175 digits are
printed at 80 %, and letters of 10 points become letters of 8.
"""
FOLDED: Mapping[str, tuple[str, ...]] = {
    "Equipment": ("Free from",),
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

    >>> folded_words(["Kitchen", "Hours", "Equipment"]), folded_words(["Shopping"])
    ('Folded away, under the + above the columns: Free from.', '')
    """
    names = [name for table in tables for name in FOLDED.get(table, ())]
    return f"Folded away, under the + above the columns: {', '.join(names)}." if names else ""


def is_folded(table: str, heading: str) -> bool:
    """Whether a column is folded away."""
    return heading in FOLDED.get(table, ())
