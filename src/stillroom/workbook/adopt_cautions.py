"""The sheet of cautions of a starting workbook, each with its source."""

from __future__ import annotations

from dataclasses import replace

from stillroom.handbook.cautions import all_cautions
from stillroom.workbook.lines import text_points
from stillroom.workbook.sheets import NewCell, NewSheet
from stillroom.workbook.starting import look
from stillroom.workbook.starting.sources import PUBLICATIONS
from stillroom.workbook.starting.words import CAUTIONS_WORDS

NAME = "Cautions"
WORDS_WIDTH, SOURCE_WIDTH = 96.0, 48.0
HEADING_ROW = 4
LINE = replace(look.GROUNDS[look.WORKING], wrap=True)
NUMBER, WORDS = replace(LINE, across="center"), replace(LINE, across="left", indent=1)
HEADING = replace(look.HEADING, across="left", indent=1)


def cautions_sheet(paper: int | None) -> NewSheet:
    """Give the sheet: the cautions of the handbook as published, and what the short names of publications stand for."""
    cells = {
        (1, 1): NewCell(NAME, look.TITLE),
        (2, 1): NewCell(CAUTIONS_WORDS, look.NOTE),
        (HEADING_ROW, 1): NewCell(None, HEADING),
        (HEADING_ROW, 2): NewCell("Caution", HEADING),
        (HEADING_ROW, 3): NewCell("Read in", HEADING),
    }
    heights = {1: 32.0}
    row = HEADING_ROW
    for number, caution in enumerate(all_cautions(), 1):
        row = HEADING_ROW + number
        cells |= {
            (row, 1): NewCell(number, NUMBER),
            (row, 2): NewCell(caution.text, WORDS),
            (row, 3): NewCell(caution.source, WORDS),
        }
        heights[row] = max(
            text_points(caution.text, WORDS_WIDTH, indent=1), text_points(caution.source, SOURCE_WIDTH, indent=1)
        )
    cells[row + 2, 2] = NewCell("Short names of publications in Note and Source", look.CAPTION)
    for number, (name, meaning) in enumerate(PUBLICATIONS, row + 3):
        cells[number, 2] = NewCell(f"{name}: {meaning}", replace(look.WORDS, wrap=False))
    return NewSheet(
        cells=cells,
        widths={1: 4.0, 2: WORDS_WIDTH, 3: SOURCE_WIDTH},
        heights=heights,
        frozen_rows=HEADING_ROW,
        title_rows=(HEADING_ROW, HEADING_ROW),
        landscape=True,
        paper=paper,
        pages_high=1,
        grid_lines=False,
    )
