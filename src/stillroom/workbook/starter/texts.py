"""The sentences of a starting workbook: the ten lines of the first sheet, and the caption of each sheet and table."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from stillroom.handbook.cautions import all_cautions
from stillroom.workbook.ooxml.named_styles import Look
from stillroom.workbook.ooxml.new_sheet import Mark, NewCell, NewSheet
from stillroom.workbook.ooxml.styles import text_points
from stillroom.workbook.ooxml.write_cells import NewFormula
from stillroom.workbook.starter import look
from stillroom.workbook.starter.highlighting import has
from stillroom.workbook.starter.positions import SHEETS, Contents, Place

TEN_LINES = (
    (
        "Kitchen",
        (
            "Type your altitude and the gauge of your pressure canner (dial or weighted). "
            "Nothing is canned without the altitude; nothing is pressure canned without the gauge. "
            "Further down: type your hands-on hours and the hours the stove is free."
        ),
    ),
    (
        "Equipment",
        "List your canners, kettles, dryers and crocks, with what one load of each holds.",
    ),
    (
        "Harvest",
        (
            "Add a row for every weighing: the day, the crop, the amount. Add lots you expect too, "
            "with expected under Weighed or expected."
        ),
    ),
    (
        "On hand",
        "Count your jars, bags, lids and pantry, and the preserves on your shelf. Type the date under Counted on.",
    ),
    (
        "Preserves",
        (
            "Choose yes or no under Include. Process times, pressures and acid come from the published tables. "
            "Pressure-canned products are set to no until you type the gauge."
        ),
    ),
    (
        "Winter list",
        "Type the servings a week for one person; Wanted is calculated. Importance: 1 must, 2 should, 3 nice.",
    ),
    (
        "Plan",
        (
            "Save and close this file, then run:   stillroom check FILE.xlsx   Fix any errors, then run:   "
            "stillroom plan FILE.xlsx"
        ),
    ),
    (
        "Plan",
        "Start with today's lines. A number in Keep at keeps a line; 0 leaves it out. Type what you made under Made.",
    ),
    (
        "Coverage",
        (
            "See which targets fall short, how full the freezer gets and where each crop goes. "
            "The Shopping sheet lists what to buy and when."
        ),
    ),
    (
        "Record",
        "Write down what you really made, and plan again every few days. Each plan starts from what you have.",
    ),
)
"""Ten lines: the sheet each one links to, and what to do there."""

COLORS = (
    (look.INPUT, "you fill in"),
    (look.WORKING, "helps you fill in other cells; not used in the plan"),
    (look.OUTPUT, "written by each plan; do not type here"),
)
NOT_A_RECIPE = (
    "This workbook plans amounts and time. It is not a recipe: follow the current published guide for every jar, "
    "and ask your extension service when in doubt."
)
SUBTITLE = "Plan what to make from your harvest, on which day and in which jars."

SHEET_WORDS = {
    "Kitchen": "Altitude, space and hours. Type over the examples; leave blank what you do not know.",
    "Equipment": "A row for each container or unit that a load is counted in. Type over the examples; leave blank what "
    "you do not know.",
    "Harvest": "Add a row for every weighing and for every lot you expect.",
    "On hand": "Count once and type the date under Counted on. Later uses are subtracted from your records.",
    "Preserves": "Choose yes or no under Include. Hands-on and stove minutes are common practice without a source: "
    "type your own.",
    "Winter list": "What you want on the shelf by winter, and which preserves count toward it. Wanted is a formula: "
    "people x servings a week x weeks / servings each.",
    "Messages": "Written by `stillroom plan`: warnings, notes and cautions.",
    "Plan": "Written by `stillroom plan`. Keep at, Made and Note are yours: a number in Keep at keeps a line, "
    "0 leaves it out.",
    "Coverage": "Written by `stillroom plan`: targets filled, space and time left, where each crop goes.",
    "Days": "Written by `stillroom plan`: each day's steps by the clock. A, B = people; ear = stay within earshot.",
    "Shopping": "Written by `stillroom plan`: what to buy, by when, and for which preserves.",
    "Record": "What you made, ate, bought or lost. Fill it in the same day: the next plan starts from here.",
    "Season": "Written by `stillroom plan`: where every pound went, from your weighings and records.",
}
CAUTIONS_WORDS = "Preserving done wrong can make people very ill. Follow the current published guide for every jar."

CAPTIONS = {
    "Kitchen": "Settings",
    "Hours": "Hours for hands, stove and equipment",
    "Equipment": "Canners, kettles, dryers, crocks",
    "Harvest": "Weighed and expected lots",
    "Crops": "Kinds of produce",
    "Containers": "Jars, bags, tubs and boxes",
    "Lids": "Lids",
    "Pantry": "Pantry: bought ingredients",
    "Shelf": "Shelf: finished preserves",
    "Preserves": "What we make",
    "Ingredients": "Ingredients of one container",
    "Winter list": "Targets",
    "Counts toward": "Which preserves count toward which target",
    "Plan": "What to make, day by day",
    "Messages": "Warnings, notes and cautions",
    "Timetable": "Steps of each day",
    "Coverage": "Targets filled",
    "Space": "Space, jars and hours left",
    "Crop use": "Where each crop goes",
    "Shopping": "What to buy",
    "Record": "What was made",
    "Season so far": "Where every pound went",
}
"""The caption above each table."""


# Short names of the publications, so that a source fits in a narrow column, and their full names.

PUBLICATIONS = (
    ("AIB 539", "USDA Complete Guide to Home Canning, Agriculture Information Bulletin 539; the year is the edition"),
    (
        "MSU",
        "Michigan State University Extension: Preserving Food Safely (1997), Michigan Fresh sheets (HNI) and others",
    ),
    ("NCHFP", "National Center for Home Food Preservation"),
    ("USDA SR", "USDA National Nutrient Database for Standard Reference"),
    ("HG 10", "USDA Home and Garden Bulletin 10"),
    ("AH 66", "USDA Agriculture Handbook 66 (1954), as tabulated in vegetable and fruit guides"),
    ("UGA, UF/IFAS, K-State, Purdue", "extension services of Georgia, Florida, Kansas and Indiana"),
)
"""The full names of the short names in Note and Source."""

_SHORTER = (
    ("USDA Complete Guide to Home Canning, ", ""),
    ("USDA AIB 539", "AIB 539"),
    ("(rev. 1994)", "(1994)"),
    ("(2009/2015 wording)", "(2009/2015)"),
    ("Michigan State Univ. Extension, Preserving Food Safely (10/1997)", "MSU (1997)"),
    ("MSU Extension, Preserving Food Safely database no. ", "MSU "),
    ("MSU Extension, Michigan Fresh ", "MSU "),
    ("MSU Extension Home Horticulture ", "MSU "),
    ("MSU Extension", "MSU"),
    ("; months: National Center for Home Food Preservation, freezer shelf life", "; months: NCHFP"),
    ("National Center for Home Food Preservation", "NCHFP"),
    ("USDA National Nutrient Database for Standard Reference", "USDA SR"),
    ("USDA Home and Garden Bulletin 10", "HG 10"),
    ("USDA Agriculture Handbook 66 (1954) as tabulated in a Florida vegetable guide", "AH 66"),
    ("Table L3.3 commercial storage of fresh fruits (AH 66 values)", "AH 66"),
    ("New England Vegetable Guide Table 16 (adapted from USDA AH 66)", "AH 66, New England guide"),
    (
        "Extension sheet Preserving Tomatoes and Tomato Products (Let's Preserve series)",
        "extension sheet Let's Preserve",
    ),
    (", Packaging and Storing Dried Foods, at 80 F", ", at 80 F"),
)


def short(source: str) -> str:
    """
    The source with its publications shortened.

    >>> short("USDA Complete Guide to Home Canning, AIB 539 (rev. 1994), Guide 3")
    'AIB 539 (1994), Guide 3'
    """
    for long_name, short_name in _SHORTER:
        source = source.replace(long_name, short_name)
    return source


# The first sheet of a starting workbook: what to do, the colors, the checks that turn red.

START_NAME = "Start"
FIRST_LINE, COLOR_ROW, CHECK_ROW = 4, 15, 20
NAME_WIDTH, START_WORDS_WIDTH = 24.0, 100.0
START_NUMBER = replace(look.CAPTION, across="center", upright="top")
SHEET = Look("stillroom sheet", bold=True, underline=True, colour=look.GREEN, wrap=True)
COUNT = replace(look.GROUNDS[look.WORKING], number_format="0", across="center")
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
    cells = {(1, 2): NewCell(contents.title, look.TITLE), (2, 2): NewCell(contents.label or SUBTITLE, look.NOTE)}
    heights, links = {1: 32.0}, {}
    for row, (sheet, text) in enumerate(TEN_LINES, FIRST_LINE):
        name = sheet_of(sheet, places)
        cells |= {
            (row, 1): NewCell(row - FIRST_LINE + 1, START_NUMBER),
            (row, 2): NewCell(name, SHEET),
            (row, 3): NewCell(text, look.WORDS),
        }
        quoted = name.replace("'", "''")
        links[row, 2] = f"'{quoted}'!A1"
        heights[row] = max(32.0, text_points(text, START_WORDS_WIDTH, indent=1), text_points(name, NAME_WIDTH))
    cells[COLOR_ROW, 2] = NewCell("Colors", look.CAPTION)
    for row, (style, meaning) in enumerate(COLORS, COLOR_ROW + 1):
        cells |= {(row, 2): NewCell(None, look.GROUNDS[style]), (row, 3): NewCell(meaning, look.WORDS)}
    counted = list(checks(places, columns))
    if counted:
        cells[CHECK_ROW, 2] = NewCell("Checks", look.CAPTION)
    for row, (words, formula) in enumerate(counted, CHECK_ROW + 1):
        cells |= {(row, 2): NewCell(formula, COUNT), (row, 3): NewCell(words, look.WORDS)}
    last = CHECK_ROW + len(counted)
    cells[last + 2, 2] = NewCell(NOT_A_RECIPE, look.NOTE)
    amiss = Mark(f"B{CHECK_ROW + 1}:B{last}", f"$B{CHECK_ROW + 1}>0", look.AMISS)
    return NewSheet(
        cells=cells,
        widths={1: 4.0, 2: NAME_WIDTH, 3: START_WORDS_WIDTH},
        heights=heights,
        links=links,
        marks=(amiss,) if counted else (),
        landscape=True,
        paper=paper,
        pages_high=1,
        tab_colour=look.STRAW,
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
CAUTIONS_WORDS_WIDTH, SOURCE_WIDTH = 96.0, 48.0
HEADING_ROW = 4
LINE = replace(look.GROUNDS[look.WORKING], wrap=True)
CAUTIONS_NUMBER, WORDS = replace(LINE, across="center"), replace(LINE, across="left", indent=1)
HEADING = replace(look.HEADING, across="left", indent=1)


def cautions_sheet(paper: int | None) -> NewSheet:
    """Give the sheet: the cautions of the handbook as published, and the full names of publications."""
    cells = {
        (1, 1): NewCell(CAUTIONS_NAME, look.TITLE),
        (2, 1): NewCell(CAUTIONS_WORDS, look.NOTE),
        (HEADING_ROW, 1): NewCell(None, HEADING),
        (HEADING_ROW, 2): NewCell("Caution", HEADING),
        (HEADING_ROW, 3): NewCell("Source", HEADING),
    }
    heights = {1: 32.0}
    row = HEADING_ROW
    for number, caution in enumerate(all_cautions(), 1):
        row = HEADING_ROW + number
        cells |= {
            (row, 1): NewCell(number, CAUTIONS_NUMBER),
            (row, 2): NewCell(caution.text, WORDS),
            (row, 3): NewCell(caution.source, WORDS),
        }
        heights[row] = max(
            text_points(caution.text, CAUTIONS_WORDS_WIDTH, indent=1),
            text_points(caution.source, SOURCE_WIDTH, indent=1),
        )
    cells[row + 2, 2] = NewCell("Short names of publications in Note and Source", look.CAPTION)
    for number, (name, meaning) in enumerate(PUBLICATIONS, row + 3):
        cells[number, 2] = NewCell(f"{name}: {meaning}", replace(look.WORDS, wrap=False))
    return NewSheet(
        cells=cells,
        widths={1: 4.0, 2: CAUTIONS_WORDS_WIDTH, 3: SOURCE_WIDTH},
        heights=heights,
        frozen_rows=HEADING_ROW,
        title_rows=(HEADING_ROW, HEADING_ROW),
        landscape=True,
        paper=paper,
        pages_high=1,
        grid_lines=False,
    )
