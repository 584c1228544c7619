"""The first sheet, which says in ten lines what to do, and the last, which holds the cautions with their sources."""

from __future__ import annotations

from openpyxl.styles import Alignment, Font
from openpyxl.workbook import Workbook
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.lines import text_points
from stillroom.workbook.starting import look
from stillroom.workbook.starting.checks import counted_checks, red
from stillroom.workbook.starting.contents import Contents
from stillroom.workbook.starting.place import SavedValues, put
from stillroom.workbook.starting.sources import PUBLICATIONS
from stillroom.workbook.starting.words import CAUTIONS_WORDS, COLOURS, NOT_A_RECIPE, SUBTITLE, TEN_LINES


def add_start(workbook: Workbook, contents: Contents, saved: SavedValues) -> None:
    """Title, ten lines with a link to their sheet, the colours, and the checks that turn red."""
    worksheet = workbook["Start"]
    for letter, width in (("A", 4), ("B", 17), ("C", 104), ("D", 11)):
        worksheet.column_dimensions[letter].width = width
    worksheet["B1"], worksheet["B1"].style = contents.title, look.TITLE
    worksheet.row_dimensions[1].height = 32
    worksheet["B2"], worksheet["B2"].style = contents.label or SUBTITLE, look.NOTE
    for number, (sheet, text) in enumerate(TEN_LINES, start=1):
        row = 3 + number
        worksheet.cell(row, 1, number).style = look.CAPTION
        link = worksheet.cell(row, 2, sheet)
        link.hyperlink = Hyperlink(ref=link.coordinate, location=f"'{sheet}'!A1", display=sheet)
        link.font = Font(name=look.TEXT_FONT, size=11, bold=True, underline="single", color=look.GREEN)
        words = worksheet.cell(row, 3, text)
        words.font = Font(name=look.TEXT_FONT, size=11, color=look.INK)
        for column, across in ((1, "center"), (2, "left"), (3, "left")):
            worksheet.cell(row, column).alignment = Alignment(
                horizontal=across, vertical="top", wrap_text=column == 3, indent=int(column == 3)
            )
        worksheet.row_dimensions[row].height = 32
    add_colours(worksheet, 15)
    add_counted_checks(worksheet, 20, contents, saved)
    worksheet["B27"], worksheet["B27"].style = NOT_A_RECIPE, look.NOTE


def add_colours(worksheet: Worksheet, row: int) -> None:
    """Say which colour means what."""
    worksheet.cell(row, 2, "Colours").style = look.CAPTION
    for offset, (style, meaning) in enumerate(COLOURS, start=1):
        worksheet.cell(row + offset, 2).style = style
        words = worksheet.cell(row + offset, 3, meaning)
        words.font = Font(name=look.TEXT_FONT, size=11, color=look.INK)
        words.alignment = Alignment(horizontal="left", indent=1)


def add_counted_checks(worksheet: Worksheet, row: int, contents: Contents, saved: SavedValues) -> None:
    """Count what is amiss; a count above zero turns red."""
    worksheet.cell(row, 2, "Checks").style = look.CAPTION
    checks = counted_checks(contents)
    for offset, (words, formula) in enumerate(checks, start=1):
        worksheet.cell(row + offset, 3, words).font = Font(name=look.TEXT_FONT, size=11, color=look.INK)
        worksheet.cell(row + offset, 3).alignment = Alignment(horizontal="left", indent=1)
        worksheet.cell(row + offset, 2).style = look.WORKING
        worksheet.cell(row + offset, 2).alignment = Alignment(horizontal="center")
        put(worksheet, row + offset, 2, formula, saved)
    worksheet.conditional_formatting.add(f"B{row + 1}:B{row + len(checks)}", red(f"$B{row + 1}>0"))


def add_cautions(workbook: Workbook, contents: Contents) -> None:
    """The usual cautions, each with the publication it was read in."""
    worksheet = workbook["Cautions"]
    for letter, width in (("A", 4), ("B", 96), ("C", 48)):
        worksheet.column_dimensions[letter].width = width
    worksheet["A1"], worksheet["A1"].style = "Cautions", look.TITLE
    worksheet.row_dimensions[1].height = 32
    worksheet["A2"], worksheet["A2"].style = CAUTIONS_WORDS, look.NOTE
    for column, heading in ((1, ""), (2, "Caution"), (3, "Read in")):
        worksheet.cell(4, column, heading or None).style = look.HEADING
        worksheet.cell(4, column).alignment = Alignment(horizontal="left", vertical="center", indent=1)
    for number, (words, source) in enumerate(contents.cautions, start=1):
        for column, value in ((1, number), (2, words), (3, source)):
            cell = worksheet.cell(4 + number, column, value)
            cell.style = look.WORKING
            across, indent = ("center", 0) if column == 1 else ("left", 1)
            cell.alignment = Alignment(horizontal=across, vertical="top", wrap_text=True, indent=indent)
        worksheet.row_dimensions[4 + number].height = max(
            text_points(words, 96, indent=1), text_points(source, 48, indent=1)
        )
    add_publications(worksheet, 6 + len(contents.cautions))
    worksheet.freeze_panes = "A5"
    worksheet.print_title_rows = "4:4"


def add_publications(worksheet: Worksheet, row: int) -> None:
    """Say what the short names of publications stand for."""
    worksheet.cell(row, 2, "Short names of publications in Note and Source").style = look.CAPTION
    for offset, (name, meaning) in enumerate(PUBLICATIONS, start=1):
        cell = worksheet.cell(row + offset, 2, f"{name}: {meaning}")
        cell.font = Font(name=look.TEXT_FONT, size=11, color=look.INK)
