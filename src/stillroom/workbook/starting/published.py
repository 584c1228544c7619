"""The list of handbook lines beside Preserves: what *Handbook line* may say, and the source of its drop-down."""

from __future__ import annotations

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.starting import look
from stillroom.workbook.starting.contents import Contents
from stillroom.workbook.starting.place import SavedValues, put
from stillroom.workbook.starting.sheets import CAPTION_ROW, FIRST_ROW, GAP_COLUMNS, HEADING_ROW, Place

HEADINGS = (("Handbook line", 46.0), ("Way", 22.0), ("From", 60.0))
CAPTION = "Lines that Handbook line may name"


def add_published(worksheet: Worksheet, beside: Place, preserves: Place, contents: Contents) -> None:
    """Write the list to the right of a table, and let the column *Handbook line* of Preserves choose from it."""
    if not contents.lines:
        return
    first = beside.last_column + 1 + GAP_COLUMNS
    worksheet.cell(CAPTION_ROW, first, CAPTION).style = look.CAPTION
    saved: SavedValues = {}
    for offset, (heading, width) in enumerate(HEADINGS):
        worksheet.cell(HEADING_ROW, first + offset, heading).style = look.HEADING
        worksheet.column_dimensions[get_column_letter(first + offset)].width = width
        for index, row in enumerate(contents.lines):
            put(worksheet, FIRST_ROW + index, first + offset, row.get(heading), saved)
            worksheet.cell(FIRST_ROW + index, first + offset).style = look.WORKING
    letter = get_column_letter(first)
    last = FIRST_ROW + len(contents.lines) - 1
    rule = DataValidation("list", formula1=f"${letter}${FIRST_ROW}:${letter}${last}", allow_blank=True)
    rule.showErrorMessage = False
    worksheet.add_data_validation(rule)
    rule.add(preserves.body("Handbook line"))
