"""The list of handbook lines beside Preserves: what *Handbook line* may say, and the source of its drop-down."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.workbook.sheets import NewCell
from stillroom.workbook.starting import look
from stillroom.workbook.starting.contents import Row
from stillroom.workbook.starting.sheets import CAPTION_ROW, FIRST_ROW, HEADING_ROW
from stillroom.workbook.values import letters

COLUMNS = (("Handbook line", 46.0), ("Way", 22.0), ("From", 60.0))
CAPTION = "Lines that Handbook line may name"


def published(lines: Sequence[Row], first: int) -> dict[tuple[int, int], NewCell]:
    """The cells of the list, from a column on."""
    cells = {(CAPTION_ROW, first): NewCell(CAPTION, look.CAPTION)}
    for column, (heading, _) in enumerate(COLUMNS, first):
        cells[HEADING_ROW, column] = NewCell(heading, look.HEADING)
        for row, line in enumerate(lines, FIRST_ROW):
            cells[row, column] = NewCell(str(line[heading]), look.GROUNDS[look.WORKING])
    return cells


def published_widths(first: int) -> dict[int, float]:
    """The widths of its columns."""
    return {column: width for column, (_, width) in enumerate(COLUMNS, first)}


def source_of(lines: Sequence[Row], first: int) -> str:
    """Where the lines stand, for a drop-down on the same sheet."""
    letter = letters(first)
    return f"${letter}${FIRST_ROW}:${letter}${FIRST_ROW + len(lines) - 1}"
