"""
The picture beside the Timetable: for every step a bar on the hours of the day, by conditional formats alone.

No cell of it has a formula, so nothing has to be worked out anew when the planner writes the Timetable.
"""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.workbook.paints import Paint
from stillroom.workbook.starting import look
from stillroom.workbook.starting.checks import Check
from stillroom.workbook.starting.sheets import GAP_COLUMNS, Place
from stillroom.workbook.values import letters

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
    last = letters(first + SLOTS - 1)
    area = f"{letters(first)}{row}:{last}{row + ROWS_DRAWN - 1}"
    hands, step = (f"${timetable.letter(heading)}{row}" for heading in ("Hands", "Step"))
    alone = ",".join(f'ISNUMBER(SEARCH("{words}",{step}))' for words in NOBODY)
    for paint, condition in ((HANDS, f'{hands}<>""'), (ALONE, f"OR({alone})"), (EAR, "TRUE")):
        yield Check(timetable, area, f"AND({taken(timetable, letters(first))},{condition})", paint)


def taken(timetable: Place, first: str) -> str:
    """Write when a half hour is taken by a step, which may end on another day; `first` is the column of the first."""
    row = timetable.first_row
    start, end, step = (f"${timetable.letter(heading)}{row}" for heading in ("Start", "End", "Step"))
    slot = f"{FIRST_HOUR}/24+(COLUMN()-COLUMN(${first}${timetable.heading_row}))/48"
    another_day = f'OR({end}<{start},ISNUMBER(SEARCH(", until ",{step})))'
    return f"ISNUMBER({start}),{slot}+1/48-{start}>1/2880,OR(AND({end}>{start},{end}-({slot})>1/2880),{another_day})"
