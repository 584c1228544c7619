"""What surrounds the tables of a sheet: title, captions, column widths, frozen rows and how it prints."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from openpyxl.styles import Alignment
from openpyxl.styles.colors import Color
from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.starting import look
from stillroom.workbook.starting.contents import Contents, Formula
from stillroom.workbook.starting.heights import LINE_POINTS, set_heights, text_lines
from stillroom.workbook.starting.pictures import last_picture_row
from stillroom.workbook.starting.season_pictures import last_season_row
from stillroom.workbook.starting.sheets import CAPTION_ROW, CHART_COLUMNS, FIRST_ROW, HEADING_ROW, SHEETS, Place
from stillroom.workbook.starting.words import CAPTIONS, SHEET_WORDS

PAPER_LETTER, PAPER_A4 = 1, 9
WIDTHS = {"date": 16.0, "time": 8.0, "yes_no": 10.0, "whole": 9.0, "number": 10.0, "unit": 10.0, "can_buy": 8.0}
HEADING_WIDTHS = {
    "Uses": 62.0,
    "What to do": 60.0,
    "Handbook line": 28.0,
    "Each later week": 11.0,
    "Weighed or expected": 12.0,
    "Coming back each week": 12.0,
    "Freezer space per weight": 12.0,
    "Eaten fresh each week": 10.0,
    "Importance": 12.0,
    "Mon": 6.5,
    "Tue": 6.5,
    "Wed": 6.5,
    "Thu": 6.5,
    "Fri": 6.5,
    "Sat": 6.5,
    "Sun": 6.5,
    "Days": 7.0,
    "Severity": 11.0,
    "Planned": 10.0,
    "Change": 22.0,
    "Unit": 11.0,
    "Hands min each": 7.5,
    "Hands min a load": 7.5,
    "Stove min each": 7.5,
    "Stove min a load": 7.5,
}
TABLE_WIDTHS = {
    ("Plan", "Preserve"): 38.0,
    ("Plan", "Unit"): 14.0,
    ("Plan", "Make"): 8.0,
    ("Plan", "Loads"): 8.0,
    ("Plan", "Hands h"): 9.5,
    ("Plan", "Stove h"): 9.5,
    ("Plan", "Fix"): 8.0,
    ("Plan", "Made"): 8.0,
    ("Plan", "Note"): 20.0,
    ("Preserves", "Preserve"): 32.5,
    ("Preserves", "Way"): 19.5,
    ("Preserves", "Container"): 13.0,
    ("Preserves", "Source"): 26.0,
    ("Preserves", "Make"): 7.0,
    ("Preserves", "Minutes"): 9.0,
    ("Preserves", "Smallest batch"): 9.5,
    ("Preserves", "Keeps months"): 8.5,
    ("Preserves", "Equipment"): 16.0,
    ("Preserves", "Kept in"): 10.0,
    ("Preserves", "Space each"): 8.0,
    ("Preserves", "Note"): 33.0,
    ("Equipment", "Note"): 76.0,
    ("Equipment", "Kind"): 23.5,
    ("Crops", "Note"): 100.0,
    ("Kitchen", "Note"): 96.0,
    ("Timetable", "Step"): 90.0,
    ("Timetable", "Preserve"): 41.0,
    ("Timetable", "Equipment"): 22.0,
    ("Messages", "Where"): 52.0,
    ("Messages", "What"): 98.0,
    ("Coverage", "Need"): 40.0,
    ("Crop use", "Crop"): 24.0,
    ("Season so far", "Crop"): 24.0,
    ("Shopping", "Item"): 30.0,
    ("Shopping", "For"): 60.0,
    ("Space", "Period"): 17.0,
    ("Kitchen", "Value"): 16.0,
    ("Record", "Preserve"): 34.0,
    ("Record", "Crop"): 22.0,
    ("Harvest", "Crop"): 22.0,
    ("Shelf", "Where"): 18.0,
}
WHOLE_SHEET = ("Timetable", "Shopping", "Record")
"""Tables alone on their sheet: the whole sheet is printed."""
NARROWEST, WIDEST, WIDEST_NOTE = 9.0, 48.0, 60.0
LEAST_NOTE = 30.0
SMALL_LETTERS = 1.05
"""How many more letters of a sentence under the title fit than of the tables'."""
LETTERS_A_PAGE = 220.0
"""Widths of a landscape page that can still be read without glasses."""
PICTURED = ("Coverage", "Season so far")
"""Tables with a picture beside them."""
LAST_ROW = 1_048_576
"""The last row of a sheet (ECMA-376 part 1, 18.3.1.73, as spreadsheet programs keep it)."""


def frame_sheets(workbook: Workbook, found: Mapping[str, Place], contents: Contents, *, a4: bool) -> None:
    """Put title, captions, widths and print settings on every sheet that holds tables."""
    pictures = last_picture_row(len(contents.rows.get("Needs", ())), HEADING_ROW)
    for sheet, names in SHEETS.items():
        worksheet = workbook[sheet]
        tables = [found[name] for name in names]
        for place in tables:
            set_widths(worksheet, place, contents)
        add_titles(worksheet, tables, contents.label)
        set_heights(worksheet, tables)
        worksheet.freeze_panes = f"A{FIRST_ROW}"
        worksheet.row_dimensions[HEADING_ROW].height = 46
        worksheet.print_title_rows = f"{HEADING_ROW}:{HEADING_ROW}"
        if tables[0].table.name not in WHOLE_SHEET:
            worksheet.print_area = ",".join(print_range(place, pictures) for place in tables)
        worksheet.sheet_properties.tabColor = Color(look.GREEN if tables[0].written else look.STRAW)
        worksheet.page_setup.fitToWidth = pages_wide(worksheet, tables)
    for each in workbook.worksheets:
        set_page(each, a4=a4)


def add_titles(worksheet: Worksheet, tables: Sequence[Place], label: str) -> None:
    """
    Title, one sentence, what stands further right, and a caption above each table.

    The sentences keep to the columns of the first table, so that they do not run on over the page of the next one.
    """
    worksheet["A1"], worksheet["A1"].style = worksheet.title, look.TITLE
    worksheet.row_dimensions[1].height = 32
    worksheet["A2"], worksheet["A2"].style = SHEET_WORDS[worksheet.title], look.NOTE
    right = "; ".join(
        f"{CAPTIONS[place.table.name]} (from column {get_column_letter(place.first_column)})" for place in tables[1:]
    )
    pieces = [piece for piece in (label, f"Further right: {right}." if right else "") if piece]
    worksheet["A3"], worksheet["A3"].style = "  ".join(pieces) or None, look.NOTE
    for row in (2, 3):
        last = tables[0].last_column
        wide = sum(worksheet.column_dimensions[get_column_letter(column)].width for column in range(1, last + 1))
        lines = text_lines(str(worksheet.cell(row, 1).value or ""), wide * SMALL_LETTERS)
        worksheet.merge_cells(start_row=row, end_row=row, start_column=1, end_column=last)
        worksheet.cell(row, 1).alignment = Alignment(vertical="top", wrap_text=True)
        worksheet.row_dimensions[row].height = lines * LINE_POINTS
    for place in tables:
        worksheet.cell(CAPTION_ROW, place.first_column, CAPTIONS[place.table.name]).style = look.CAPTION


def set_widths(worksheet: Worksheet, place: Place, contents: Contents) -> None:
    """As wide as its words: names by their longest, sentences by a fixed width, numbers narrow."""
    kinds = {column.heading: column.kind for column in place.table.columns}
    for offset, heading in enumerate(place.headings):
        width = TABLE_WIDTHS.get((place.table.name, heading)) or HEADING_WIDTHS.get(heading)
        if width is None:
            entries = contents.column(place.table.name, heading)
            longest = max((len(str(entry)) for entry in entries if not isinstance(entry, Formula)), default=0)
            longest_word = max(len(word) for word in heading.split()) + 3
            sentence = heading in {"Note", "Source"}
            least = LEAST_NOTE if sentence else WIDTHS.get(kinds.get(heading, ""), NARROWEST)
            width = max(least, min(longest * 1.02 + 3, WIDEST_NOTE if sentence else WIDEST), longest_word)
        worksheet.column_dimensions[get_column_letter(place.first_column + offset)].width = round(width, 1)
    gap = worksheet.column_dimensions[get_column_letter(place.last_column + 1)]
    gap.width = 3.0


def print_range(place: Place, pictures: int) -> str:
    """
    What of the sheet belongs to this table on paper: its columns, as far down as something stands in them.

    Whole columns, so that rows added later are printed too and blank ones are not. Coverage takes its `pictures`, down
    to this row, along, and Season so far its own: these end where the table or the picture does.
    """
    first = get_column_letter(place.first_column)
    if place.table.name not in PICTURED:
        return f"{first}1:{get_column_letter(place.last_column)}{LAST_ROW}"
    bottom = last_season_row(place) if place.table.name == "Season so far" else pictures
    return f"{first}1:{get_column_letter(place.last_column + 1 + CHART_COLUMNS)}{max(place.last_row, bottom)}"


def pages_wide(worksheet: Worksheet, tables: Sequence[Place]) -> int:
    """How many sheets of paper the widest table needs side by side, so that it can still be read."""
    widest = max(
        sum(
            worksheet.column_dimensions[get_column_letter(column)].width
            for column in range(place.first_column, place.last_column + 1)
        )
        for place in tables
    )
    return max(1, round(widest / LETTERS_A_PAGE))


def set_page(worksheet: Worksheet, *, a4: bool) -> None:
    """Landscape, narrow margins, page numbers, as many pages wide as set."""
    worksheet.sheet_view.showGridLines = False
    worksheet.sheet_view.zoomScale = 100
    worksheet.page_setup.orientation = "landscape"
    worksheet.page_setup.paperSize = PAPER_A4 if a4 else PAPER_LETTER
    worksheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    worksheet.page_setup.fitToHeight = 0
    worksheet.page_margins.left = worksheet.page_margins.right = 0.4
    worksheet.page_margins.top = worksheet.page_margins.bottom = 0.5
    footer = worksheet.oddFooter
    if footer is not None and footer.left is not None and footer.right is not None:
        footer.left.text, footer.right.text = "&A", "&P / &N"
