"""The picture beside the Timetable: for every step a bar on the hours of the day, by conditional formats alone."""

from __future__ import annotations

from openpyxl.formatting.rule import Rule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.styles.differential import DifferentialStyle
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.starting import look
from stillroom.workbook.starting.sheets import CAPTION_ROW, GAP_COLUMNS, Place

FIRST_HOUR, LAST_HOUR = 5, 24
ROWS_DRAWN = 400
SLOT_WIDTH = 1.7
WORDS = "On the clock: dark needs hands, striped needs an ear, pale needs nobody"
NOBODY = ("off the heat", "cool", ", until ")
"""What the words of a step hold when it goes on by itself."""


def add_day_strip(worksheet: Worksheet, timetable: Place) -> None:
    """
    Put half hours beside the Timetable, and colour those that a step takes.

    No cell of it has a formula, so nothing has to be worked out anew when the planner writes the Timetable.
    """
    first = timetable.last_column + 1 + GAP_COLUMNS
    slots = (LAST_HOUR - FIRST_HOUR) * 2
    caption = worksheet.cell(CAPTION_ROW, first, WORDS)
    caption.style = look.CAPTION
    for slot in range(slots):
        worksheet.column_dimensions[get_column_letter(first + slot)].width = SLOT_WIDTH
    for hour in range(FIRST_HOUR, LAST_HOUR):
        column = first + (hour - FIRST_HOUR) * 2
        cell = worksheet.cell(timetable.heading_row, column, hour)
        cell.font = Font(name=look.TEXT_FONT, size=8, color=look.QUIET)
        cell.alignment = Alignment(horizontal="left", vertical="bottom")
        worksheet.merge_cells(start_row=cell.row, end_row=cell.row, start_column=column, end_column=column + 1)
    last_row = timetable.first_row + ROWS_DRAWN - 1
    area = f"{get_column_letter(first)}{timetable.first_row}:{get_column_letter(first + slots - 1)}{last_row}"
    for style, condition in conditions(timetable):
        formula = f"AND({taken(timetable, get_column_letter(first))},{condition})"
        worksheet.conditional_formatting.add(
            area, Rule(type="expression", dxf=style, formula=[formula], stopIfTrue=True)
        )


def taken(timetable: Place, first: str) -> str:
    """Write when a half hour is taken by a step, which may end on another day; `first` is the column of the first."""
    row = timetable.first_row
    start, end, step = (f"${timetable.letter(heading)}{row}" for heading in ("Start", "End", "Step"))
    slot = f"{FIRST_HOUR}/24+(COLUMN()-COLUMN(${first}${timetable.heading_row}))/48"
    another_day = f'OR({end}<{start},ISNUMBER(SEARCH(", until ",{step})))'
    return f"ISNUMBER({start}),{slot}+1/48-{start}>1/2880,OR(AND({end}>{start},{end}-({slot})>1/2880),{another_day})"


def conditions(timetable: Place) -> tuple[tuple[DifferentialStyle, str], ...]:
    """How a step is coloured, and when; the first that holds."""
    row = timetable.first_row
    hands, step = (f"${timetable.letter(heading)}{row}" for heading in ("Hands", "Step"))
    alone = ",".join(f'ISNUMBER(SEARCH("{words}",{step}))' for words in NOBODY)
    return (
        (solid(look.GREEN), f'{hands}<>""'),
        (outlined(), f"OR({alone})"),
        (striped(), "TRUE"),
    )


def solid(colour: str) -> DifferentialStyle:
    """A plain fill."""
    return DifferentialStyle(fill=PatternFill("solid", start_color=colour, end_color=colour))


def striped() -> DifferentialStyle:
    """Straw with stripes; a program without patterns shows it plain."""
    return DifferentialStyle(fill=PatternFill("lightUp", start_color=look.QUIET, end_color=look.STRAW))


def outlined() -> DifferentialStyle:
    """Pale between two thin lines."""
    side = Side(style="thin", color=look.QUIET)
    return DifferentialStyle(
        fill=PatternFill("solid", start_color=look.PALE_GREEN, end_color=look.PALE_GREEN),
        border=Border(top=side, bottom=side),
    )
