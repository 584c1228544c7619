"""What surrounds the tables of a sheet: title, captions, column widths, frozen rows and how it prints."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from openpyxl.styles import Alignment
from openpyxl.styles.colors import Color
from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.lines import text_points
from stillroom.workbook.starting import look
from stillroom.workbook.starting.contents import Contents, Formula
from stillroom.workbook.starting.heights import set_heights
from stillroom.workbook.starting.pictures import last_picture_row
from stillroom.workbook.starting.place import stands
from stillroom.workbook.starting.season_pictures import SEASON_COLUMNS, last_season_row
from stillroom.workbook.starting.sheets import CAPTION_ROW, CHART_COLUMNS, FIRST_ROW, HEADING_ROW, SHEETS, Place
from stillroom.workbook.starting.widths import (
    HEADING_WIDTHS,
    LEAST_NOTE,
    NARROWEST,
    SMALL_LETTERS,
    TABLE_WIDTHS,
    WIDEST,
    WIDEST_NOTE,
    WIDTHS,
    folded_words,
    is_folded,
    least_width,
)
from stillroom.workbook.starting.words import CAPTIONS, SHEET_WORDS

PAPER_LETTER, PAPER_A4 = 1, 9
WHOLE_SHEET = ("Timetable", "Shopping", "Record")
"""Tables alone on their sheet: the whole sheet is printed."""
CAPTION_POINTS = 24.0
"""Height of the row of captions, with air above them."""
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
            worksheet.print_area = ",".join(one for place in tables for one in print_ranges(place, pictures))
        worksheet.sheet_properties.tabColor = Color(look.GREEN if tables[0].written else look.STRAW)
    for each in workbook.worksheets:
        set_page(each, a4=a4)
    workbook["Cautions"].page_setup.fitToHeight = 1


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
    away = folded_words([place.table.name for place in tables])
    pieces = [piece for piece in (label, f"Further right: {right}." if right else "", away) if piece]
    worksheet["A3"], worksheet["A3"].style = "  ".join(pieces) or None, look.NOTE
    for row in (2, 3):
        last = tables[0].last_column
        wide = sum(shown_width(worksheet, column) for column in range(1, last + 1))
        points = text_points(str(worksheet.cell(row, 1).value or ""), wide * SMALL_LETTERS)
        worksheet.merge_cells(start_row=row, end_row=row, start_column=1, end_column=last)
        worksheet.cell(row, 1).alignment = Alignment(vertical="top", wrap_text=True)
        worksheet.row_dimensions[row].height = points
    worksheet.row_dimensions[CAPTION_ROW].height = CAPTION_POINTS
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
            sentence = heading in {"Note", "Source"}
            least = LEAST_NOTE if sentence else WIDTHS.get(kinds.get(heading, ""), NARROWEST)
            width = max(least, min(longest * 1.02 + 3, WIDEST_NOTE if sentence else WIDEST))
        dimension = worksheet.column_dimensions[get_column_letter(place.first_column + offset)]
        dimension.width = round(max(width, least_width(heading, stands(place, heading)[1])), 1)
        if is_folded(place.table.name, heading):
            dimension.hidden, dimension.outlineLevel = True, 1
            worksheet.column_dimensions.max_outline = 1
            after = place.headings[offset + 1 : offset + 2]
            sign = worksheet.column_dimensions[get_column_letter(place.first_column + offset + 1)]
            sign.collapsed = not any(is_folded(place.table.name, one) for one in after)
    gap = worksheet.column_dimensions[get_column_letter(place.last_column + 1)]
    gap.width = 3.0


def shown_width(worksheet: Worksheet, column: int) -> float:
    """The width of a column that is not folded away."""
    dimension = worksheet.column_dimensions[get_column_letter(column)]
    return 0.0 if dimension.hidden else dimension.width


def print_ranges(place: Place, pictures: int) -> list[str]:
    """
    What of the sheet belongs to this table on paper: its columns, as far down as something stands in them.

    Whole columns from the first row, so that rows added later are printed too and blank ones are not; one program
    prints columns that begin further down a hundred times more slowly. Coverage takes its `pictures`, down to this
    row, along; that of Season so far has a page of its own, because its table is wide. Both end where the table or
    the picture does.
    """
    first, last = get_column_letter(place.first_column), place.last_column
    if place.table.name == "Coverage":
        return [f"{first}1:{get_column_letter(last + 1 + CHART_COLUMNS)}{max(place.last_row, pictures)}"]
    table = f"{first}1:{get_column_letter(last)}"
    if place.table.name != "Season so far":
        return [f"{table}{LAST_ROW}"]
    picture = f"{get_column_letter(last + 2)}1:{get_column_letter(last + 1 + SEASON_COLUMNS)}"
    return [f"{table}{place.last_row}", f"{picture}{last_season_row(place)}"]


def set_page(worksheet: Worksheet, *, a4: bool) -> None:
    """Landscape, narrow margins, page numbers, one page wide."""
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
