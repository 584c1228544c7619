"""Trying the tables that were filled for a household: which of the new preserves would stop its check."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from stillroom.handbook.settle import settle as settle_by_handbook
from stillroom.household import ledger
from stillroom.workbook.adopt_filled import ANY_DAY
from stillroom.workbook.values import Unreadable, parse_address

if TYPE_CHECKING:
    from stillroom.workbook.adopt import Adopted
    from stillroom.workbook.book import Book

TRIAL_FT = 0.0
"""Where no altitude is typed yet, the tables are tried at the sea: the check asks for it before anything is planned."""


def stopped(book: Book, adopted: Adopted) -> Mapping[str, str]:
    """
    Give the new preserves that the check would stop at, each with what it would say.

    `book` holds the new sheets already, saved or not. The problems of the household's own rows are not among them.
    """
    from stillroom.workbook import read

    typed, problems = read.household(book, ANY_DAY)
    if typed.kitchen.altitude_ft is None:
        typed = replace(typed, kitchen=replace(typed.kitchen, altitude_ft=TRIAL_FT))
    counted, said = ledger.settle(typed)
    _, refused = settle_by_handbook(counted)
    found: dict[str, str] = {}
    for problem in (*problems, *said, *refused):
        name = preserve_at(problem.where, adopted) if problem.stops else None
        if name is not None:
            found.setdefault(name, problem.what)
    return found


def preserve_at(where: str, adopted: Adopted) -> str | None:
    """The new preserve that a place speaks of: a cell of its row in Preserves, or of one of its ingredients."""
    sheet, _, cell = where.rpartition("!")
    try:
        row, column = parse_address(cell)
    except Unreadable:
        return None
    for place in adopted.places:
        rows = adopted.filled.rows.get(place.table.name, ())
        number = row - place.first_row
        inside = place.first_column <= column <= place.last_column and 0 <= number < len(rows)
        if place.table.name in ("Preserves", "Ingredients") and place.sheet == sheet.strip("'") and inside:
            return str(rows[number]["Preserve"])
    return None
