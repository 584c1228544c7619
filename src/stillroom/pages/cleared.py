"""Which formulas of the household's a save leaves to be worked out anew, in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stillroom.workbook.book import Receipt

MOST_CELLS = 4


def cleared_words(receipt: Receipt) -> list[str]:
    """Name the cells whose saved result was taken out because it rested on what changed, if there are any."""
    if not receipt.results_cleared:
        return []
    lines = [f"Formulas to be worked out anew when you open it: {some(receipt.results_cleared)}"]
    if receipt.cleared_to_be_safe:
        cells = some(receipt.cleared_to_be_safe)
        lines.append(
            f"Among them, since nobody can see beforehand what OFFSET, INDIRECT or INDEX will look at: {cells}"
        )
    return lines


def some(cells: Sequence[str]) -> str:
    """
    The first few cells, and whether there are others.

    >>> some(["Mine!A1", "Mine!A2"]), some(["A!A1", "A!A2", "A!A3", "A!A4", "A!A5"])
    ('Mine!A1, Mine!A2', 'A!A1, A!A2, A!A3, A!A4 and others')
    """
    return ", ".join(cells[:MOST_CELLS]) + (" and others" if len(cells) > MOST_CELLS else "")
