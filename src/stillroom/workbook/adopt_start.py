"""The first sheet of a starting workbook, as it is added to a household's own: what to do, the colours, the checks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from stillroom.workbook.contents import NewFormula
from stillroom.workbook.lines import text_points
from stillroom.workbook.looks import Look
from stillroom.workbook.marks import Mark
from stillroom.workbook.sheets import NewCell, NewSheet
from stillroom.workbook.starting import look
from stillroom.workbook.starting.checks import has
from stillroom.workbook.starting.sheets import SHEETS, Place
from stillroom.workbook.starting.words import COLOURS, NOT_A_RECIPE, SUBTITLE, TEN_LINES

NAME = "Start"
FIRST_LINE, COLOUR_ROW, CHECK_ROW = 4, 15, 20
NAME_WIDTH, WORDS_WIDTH = 24.0, 100.0
TITLE = Look(look.TITLE, bold=True, size=20, colour=look.GREEN)
CAPTION = Look(look.CAPTION, bold=True, size=12, colour=look.GREEN)
NOTE = Look(look.NOTE, italic=True, size=10, colour=look.QUIET)
NUMBER = replace(CAPTION, across="center", upright="top")
SHEET = Look("stillroom sheet", bold=True, colour=look.GREEN, wrap=True)
WORDS = Look("stillroom words", colour=look.INK, across="left", wrap=True, indent=1)
COUNT = Look(look.WORKING, "0", colour=look.INK, fill=look.SAND, line=look.LINE, across="center")
GROUNDS = {look.INPUT: (look.CREAM, look.STRAW), look.WORKING: (look.SAND, look.LINE)}
GROUNDS |= {look.OUTPUT: (look.PALE_GREEN, look.LINE)}
UNMATCHED = (
    ("Needs that no preserve counts toward", ("Needs", "Need"), ("Counts", "Need")),
    ("Lots of a crop that is not in Crops", ("Harvest", "Crop"), ("Crops", "Crop")),
    ("Preserves without ingredients", ("Preserves", "Preserve"), ("Ingredients", "Preserve")),
    ("Preserves in a container that is not listed", ("Preserves", "Container"), ("Containers", "Container")),
)
"""What is counted, the column of the names, and the column that should know them."""


def start_sheet(places: Mapping[str, Place]) -> NewSheet:
    """Give the sheet; `places` are those of all tables, theirs and the new ones: each line names the sheet it is on."""
    cells = {(1, 2): NewCell("Start", TITLE), (2, 2): NewCell(SUBTITLE, NOTE)}
    heights = {1: 32.0}
    for number, (sheet, text) in enumerate(TEN_LINES, 1):
        row = FIRST_LINE + number - 1
        name = sheet_of(sheet, places)
        cells |= {(row, 1): NewCell(number, NUMBER), (row, 2): NewCell(name, SHEET), (row, 3): NewCell(text, WORDS)}
        heights[row] = max(32.0, text_points(text, WORDS_WIDTH, indent=1), text_points(name, NAME_WIDTH))
    cells[COLOUR_ROW, 2] = NewCell("Colours", CAPTION)
    for row, (style, meaning) in enumerate(COLOURS, COLOUR_ROW + 1):
        fill, line = GROUNDS[style]
        ground = Look(style, colour=look.INK, fill=fill, line=line, locked=style != look.INPUT)
        cells |= {(row, 2): NewCell(None, ground), (row, 3): NewCell(meaning, WORDS)}
    counted = list(checks(places))
    if counted:
        cells[CHECK_ROW, 2] = NewCell("Checks", CAPTION)
    for row, (words, formula) in enumerate(counted, CHECK_ROW + 1):
        cells |= {(row, 2): NewCell(NewFormula(formula), COUNT), (row, 3): NewCell(words, WORDS)}
    last = CHECK_ROW + len(counted)
    cells[last + 2, 2] = NewCell(NOT_A_RECIPE, NOTE)
    amiss = Mark(f"B{CHECK_ROW + 1}:B{last}", f"$B{CHECK_ROW + 1}>0", look.AMISS)
    return NewSheet(
        cells=cells,
        widths={1: 4.0, 2: NAME_WIDTH, 3: WORDS_WIDTH},
        heights=heights,
        marks=(amiss,) if counted else (),
        landscape=True,
        pages_high=1,
        tab_colour=look.STRAW,
        grid_lines=False,
    )


def sheet_of(sheet: str, places: Mapping[str, Place]) -> str:
    """What the sheet of a starting workbook is called here: that of its first table."""
    place = places.get(SHEETS[sheet][0])
    return sheet if place is None else place.sheet.replace("''", "'")


def checks(places: Mapping[str, Place]) -> Iterator[tuple[str, str]]:
    """
    What is counted, and its formula; a check is left out where a table or a column that it looks at is not there.

    The formulas give the cells of the tables and not their names, which theirs need not have.
    """
    kitchen = places.get("Kitchen")
    if kitchen is not None and has(kitchen, "Setting", "Value"):
        value, setting = kitchen.fixed("Value"), kitchen.fixed("Setting")
        yield "Altitude is missing", f'IF(LEN(INDEX({value},MATCH("altitude",{setting},0)))=0,1,0)'
    for words, (table, heading), (other, known) in UNMATCHED:
        here, there = places.get(table), places.get(other)
        if here is not None and there is not None and has(here, heading) and has(there, known):
            names = here.fixed(heading)
            yield words, f"SUMPRODUCT((LEN({names})>0)*(COUNTIF({there.fixed(known)},{names})=0))"
