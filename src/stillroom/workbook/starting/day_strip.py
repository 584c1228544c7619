"""The picture beside the Timetable: for every step a bar on the hours of the day, by conditional formats alone."""

from __future__ import annotations

from collections.abc import Iterator

from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.paints import Paint
from stillroom.workbook.starting import look
from stillroom.workbook.starting.brush import painted
from stillroom.workbook.starting.checks import Check
from stillroom.workbook.starting.sheets import CAPTION_ROW, GAP_COLUMNS, Place

FIRST_HOUR, LAST_HOUR = 5, 24
SLOTS = (LAST_HOUR - FIRST_HOUR) * 2
ROWS_DRAWN = 400
SLOT_WIDTH = 1.3
WORDS = "On the clock: dark hands, striped an ear, pale nobody"
NOBODY = ("off the heat", "cool", ", until ")
"""What the words of a step hold when it goes on by itself."""
HANDS = Paint(fill=look.GREEN)
EAR = Paint(fill=look.STRAW, stripes=look.QUIET)
ALONE = Paint(fill=look.PALE_GREEN, line=look.QUIET, sides=("top", "bottom"))


def add_day_strip(worksheet: Worksheet, timetable: Place) -> None:
    """
    Put half hours beside the Timetable, and colour those that a step takes.

    No cell of it has a formula, so nothing has to be worked out anew when the planner writes the Timetable.
    """
    first = first_slot(timetable)
    caption = worksheet.cell(CAPTION_ROW, first, WORDS)
    caption.style = look.NOTE
    for slot in range(SLOTS):
        worksheet.column_dimensions[get_column_letter(first + slot)].width = SLOT_WIDTH
    for hour, column in hours(timetable):
        cell = worksheet.cell(timetable.heading_row, column, hour)
        cell.font = Font(name=look.TEXT_FONT, size=8, color=look.QUIET)
        cell.alignment = Alignment(horizontal="left", vertical="bottom")
        worksheet.merge_cells(start_row=cell.row, end_row=cell.row, start_column=column, end_column=column + 1)
    for check in strip(timetable):
        worksheet.conditional_formatting.add(check.area, painted(check.formula, check.paint))


def first_slot(timetable: Place) -> int:
    """The column of the first half hour."""
    return timetable.last_column + 1 + GAP_COLUMNS


def hours(timetable: Place) -> Iterator[tuple[int, int]]:
    """Every hour that is drawn, and the first of its two columns."""
    for hour in range(FIRST_HOUR, LAST_HOUR):
        yield hour, first_slot(timetable) + (hour - FIRST_HOUR) * 2


def strip(timetable: Place) -> Iterator[Check]:
    """How the half hours are coloured that a step takes; the first that holds."""
    first, row = first_slot(timetable), timetable.first_row
    last = get_column_letter(first + SLOTS - 1)
    area = f"{get_column_letter(first)}{row}:{last}{row + ROWS_DRAWN - 1}"
    hands, step = (f"${timetable.letter(heading)}{row}" for heading in ("Hands", "Step"))
    alone = ",".join(f'ISNUMBER(SEARCH("{words}",{step}))' for words in NOBODY)
    for paint, condition in ((HANDS, f'{hands}<>""'), (ALONE, f"OR({alone})"), (EAR, "TRUE")):
        yield Check(timetable, area, f"AND({taken(timetable, get_column_letter(first))},{condition})", paint)


def taken(timetable: Place, first: str) -> str:
    """Write when a half hour is taken by a step, which may end on another day; `first` is the column of the first."""
    row = timetable.first_row
    start, end, step = (f"${timetable.letter(heading)}{row}" for heading in ("Start", "End", "Step"))
    slot = f"{FIRST_HOUR}/24+(COLUMN()-COLUMN(${first}${timetable.heading_row}))/48"
    another_day = f'OR({end}<{start},ISNUMBER(SEARCH(", until ",{step})))'
    return f"ISNUMBER({start}),{slot}+1/48-{start}>1/2880,OR(AND({end}>{start},{end}-({slot})>1/2880),{another_day})"
