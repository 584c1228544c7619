"""The sentences of a starting workbook: the ten lines of the first sheet, and the caption of each sheet and table."""

from __future__ import annotations

from stillroom.workbook.starter import look

TEN_LINES = (
    (
        "Kitchen",
        (
            "Type your altitude and the gauge of your pressure canner (dial or weighted). "
            "Nothing is canned without the altitude; nothing is pressure canned without the gauge."
        ),
    ),
    (
        "Kitchen",
        (
            "Further down on the same sheet: type your hands-on hours and the hours the stove is free, "
            "and list your canners, kettles and dryers."
        ),
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
    "Kitchen": "Altitude, space, hours and equipment. Type over the examples; leave blank what you do not know.",
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
