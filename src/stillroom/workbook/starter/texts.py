"""The sentences of a starting workbook: the ten lines of the first sheet, and the caption of each sheet and table."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from stillroom.handbook.cautions import handbook_blocks
from stillroom.workbook.ooxml.named_styles import Look
from stillroom.workbook.ooxml.new_sheet import Mark, NewCell, NewSheet
from stillroom.workbook.ooxml.styles import text_points
from stillroom.workbook.ooxml.write_cells import NewFormula
from stillroom.workbook.starter import layout
from stillroom.workbook.starter.highlighting import has
from stillroom.workbook.starter.layout import GIVEN, SHEETS, Contents, Place

COLORS = (
    (layout.INPUT, "you fill in"),
    (layout.WORKING, "helps you fill in other cells; not used in the plan"),
    (layout.OUTPUT, "written by each plan; do not type here"),
)
NOT_A_RECIPE = (
    "This workbook plans amounts and time. It is not a recipe: follow the current published guide for every jar, "
    "and ask your extension service when in doubt."
)
SUBTITLE = "Plan what to make from your harvest, on which day and in which jars."

CAUTIONS_WORDS = "Preserving done wrong can make people very ill. Follow the current published guide for every jar."


def short(source: str) -> str:
    """
    The source with its publications shortened.

    >>> short("USDA Complete Guide to Home Canning, AIB 539 (rev. 1994), Guide 3")
    'AIB 539 (1994), Guide 3'
    """
    for long_name, short_name in GIVEN["shorter"]:
        source = source.replace(long_name, short_name)
    return source


# The first sheet of a starting workbook: what to do, the colors, the checks that turn red.

START_NAME = "Start"
FIRST_LINE, COLOR_ROW, CHECK_ROW = 4, 15, 20
NAME_WIDTH, START_WORDS_WIDTH = 24.0, 100.0
START_NUMBER = replace(layout.CAPTION, across="center", upright="top")
SHEET = Look("stillroom sheet", bold=True, underline=True, colour=layout.GREEN, wrap=True)
COUNT = replace(layout.GROUNDS[layout.WORKING], number_format="0", across="center")
UNMATCHED = (
    ("Targets without a preserve", ("Winter list", "Target"), ("Counts toward", "Target")),
    ("Harvest rows with a crop missing from Crops", ("Harvest", "Crop"), ("Crops", "Crop")),
    ("Preserves without ingredients", ("Preserves", "Preserve"), ("Ingredients", "Preserve")),
    ("Preserves with a container missing from Containers", ("Preserves", "Container"), ("Containers", "Container")),
)
"""What is counted, the column of the names, and the column that should list them."""
SETTING, VALUE = ("Kitchen", "Setting"), ("Kitchen", "Value")
LOOKED_AT = (SETTING, VALUE, *(column for _, *pair in UNMATCHED for column in pair))
"""The columns whose cells the checks count."""
Columns = Mapping[tuple[str, str], Sequence[object]]


def start_sheet(places: Mapping[str, Place], contents: Contents, columns: Columns, paper: int | None) -> NewSheet:
    """
    Give the sheet; `places` are those of all tables, theirs and the new ones: each line leads to the sheet it is on.

    `columns` hold what stands in the columns that are looked at.
    """
    cells = {(1, 2): NewCell(contents.title, layout.TITLE), (2, 2): NewCell(contents.label or SUBTITLE, layout.NOTE)}
    heights, links = {1: 32.0}, {}
    for row, (sheet, text) in enumerate(GIVEN["ten_lines"], FIRST_LINE):
        name = sheet_of(sheet, places)
        cells |= {
            (row, 1): NewCell(row - FIRST_LINE + 1, START_NUMBER),
            (row, 2): NewCell(name, SHEET),
            (row, 3): NewCell(text, layout.WORDS),
        }
        quoted = name.replace("'", "''")
        links[row, 2] = f"'{quoted}'!A1"
        heights[row] = max(32.0, text_points(text, START_WORDS_WIDTH, indent=1), text_points(name, NAME_WIDTH))
    cells[COLOR_ROW, 2] = NewCell("Colors", layout.CAPTION)
    for row, (style, meaning) in enumerate(COLORS, COLOR_ROW + 1):
        cells |= {(row, 2): NewCell(None, layout.GROUNDS[style]), (row, 3): NewCell(meaning, layout.WORDS)}
    counted = list(checks(places, columns))
    if counted:
        cells[CHECK_ROW, 2] = NewCell("Checks", layout.CAPTION)
    for row, (words, formula) in enumerate(counted, CHECK_ROW + 1):
        cells |= {(row, 2): NewCell(formula, COUNT), (row, 3): NewCell(words, layout.WORDS)}
    last = CHECK_ROW + len(counted)
    cells[last + 2, 2] = NewCell(NOT_A_RECIPE, layout.NOTE)
    amiss = Mark(f"B{CHECK_ROW + 1}:B{last}", f"$B{CHECK_ROW + 1}>0", layout.AMISS)
    return NewSheet(
        cells=cells,
        widths={1: 4.0, 2: NAME_WIDTH, 3: START_WORDS_WIDTH},
        heights=heights,
        links=links,
        marks=(amiss,) if counted else (),
        landscape=True,
        paper=paper,
        pages_high=1,
        tab_colour=layout.STRAW,
        grid_lines=False,
    )


def sheet_of(sheet: str, places: Mapping[str, Place]) -> str:
    """What the sheet of a starting workbook is called here: that of its first table."""
    place = places.get(SHEETS[sheet][0])
    return sheet if place is None else place.sheet.replace("''", "'")


def checks(places: Mapping[str, Place], columns: Columns) -> Iterator[tuple[str, NewFormula]]:
    """
    What is counted, and its formula with its value; a check is left out where a table or column is not there.

    The formulas give the cells of tables that are theirs, and the names of ours.
    """
    kitchen = places.get("Kitchen")
    if kitchen is not None and has(kitchen, "Setting", "Value"):
        text = f'IF(LEN(INDEX({kitchen.named("Value")},MATCH("altitude",{kitchen.named("Setting")},0)))=0,1,0)'
        settings = dict(zip(map(folded, columns[SETTING]), columns[VALUE], strict=False))
        yield "Altitude is missing", NewFormula(text, int(not folded(settings.get("altitude"))))
    for words, (table, heading), (other, known) in UNMATCHED:
        here, there = places.get(table), places.get(other)
        if here is not None and there is not None and has(here, heading) and has(there, known):
            names = here.named(heading)
            text = f"SUMPRODUCT((LEN({names})>0)*(COUNTIF({there.named(known)},{names})=0))"
            listed = {folded(name) for name in columns[other, known]}
            missing = [name for name in map(folded, columns[table, heading]) if name and name not in listed]
            yield words, NewFormula(text, len(missing))


def folded(value: object) -> str:
    """What stands in a cell as the checks compare it: text, whatever its capitals; blank is empty."""
    return "" if value is None else str(value).casefold()


# The sheet of cautions of a starting workbook, each with its source.

CAUTIONS_NAME = "Cautions"
CAUTIONS_WORDS_WIDTH, SOURCE_WIDTH = 84.0, 60.0
HEADING_ROW = 4
LINE = replace(layout.GROUNDS[layout.WORKING], wrap=True)
CAUTIONS_NUMBER, WORDS = replace(LINE, across="center"), replace(LINE, across="left", indent=1)
HEADING = replace(layout.HEADING, across="left", indent=1)


def cautions_sheet(paper: int | None) -> NewSheet:
    """Give the sheet: the fixed block, hands and kitchen, every other caution, and the full names of publications."""
    cells = {
        (1, 1): NewCell(CAUTIONS_NAME, layout.TITLE),
        (2, 1): NewCell(CAUTIONS_WORDS, layout.NOTE),
        (HEADING_ROW, 1): NewCell(None, HEADING),
        (HEADING_ROW, 2): NewCell("Caution", HEADING),
        (HEADING_ROW, 3): NewCell("Source", HEADING),
    }
    heights = {1: 32.0}
    row = HEADING_ROW
    number = 0
    for name, cautions in handbook_blocks().named:
        row += 1
        cells |= {(row, 1): NewCell(None, HEADING), (row, 2): NewCell(name, HEADING), (row, 3): NewCell(None, HEADING)}
        for caution in cautions:
            row, number = row + 1, number + 1
            cells |= {
                (row, 1): NewCell(number, CAUTIONS_NUMBER),
                (row, 2): NewCell(caution.text, WORDS),
                (row, 3): NewCell(caution.source, WORDS),
            }
            heights[row] = max(
                text_points(caution.text, CAUTIONS_WORDS_WIDTH, indent=1),
                text_points(caution.source, SOURCE_WIDTH, indent=1),
            )
    cells[row + 2, 2] = NewCell("Short names of publications in Note and Source", layout.CAPTION)
    for number, (name, meaning) in enumerate(GIVEN["publications"], row + 3):
        cells[number, 2] = NewCell(f"{name}: {meaning}", replace(layout.WORDS, wrap=False))
    return NewSheet(
        cells=cells,
        widths={1: 4.0, 2: CAUTIONS_WORDS_WIDTH, 3: SOURCE_WIDTH},
        heights=heights,
        frozen_rows=HEADING_ROW,
        title_rows=(HEADING_ROW, HEADING_ROW),
        landscape=True,
        paper=paper,
        grid_lines=False,
    )
