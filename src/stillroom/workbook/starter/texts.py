"""The sentences of a starting workbook: the ten lines of the first sheet, and what each sheet and table is called."""

from __future__ import annotations

from stillroom.workbook.starter import look

TEN_LINES = (
    (
        "Kitchen",
        (
            "Type your altitude, and the gauge of your pressure canner (dial or weighted). "
            "Nothing is canned without the altitude, nothing pressure canned without the gauge."
        ),
    ),
    (
        "Kitchen",
        (
            "Further down on that sheet: the hours of hands, and the hours the stove is free, on each weekday, "
            "and the canners, kettles and dryers you own."
        ),
    ),
    (
        "Harvest",
        (
            "Write down every weighing: the day it was picked, the crop, the amount. Lots you expect count too: "
            "say so in Weighed or expected."
        ),
    ),
    (
        "On hand",
        "Count jars, bags, lids and larder, and what is left on the shelf. Write the day in Counted on.",
    ),
    (
        "Preserves",
        (
            "Say yes or no in Make. Minutes, pounds of pressure and acid come from the published tables, not from you. "
            "What is pressure canned stands at no until the gauge is typed."
        ),
    ),
    (
        "Winter list",
        "Type the servings a week for one person: Wanted works itself out. Importance: 1 must, 2 should, 3 nice.",
    ),
    (
        "Plan",
        (
            "Save and close this file, then run:   stillroom check FILE.xlsx   and, when nothing is left to mend,   "
            "stillroom plan FILE.xlsx"
        ),
    ),
    (
        "Plan",
        "Read today's lines first. A number in Keep at keeps a line as it is, 0 keeps it out; Made is what came out.",
    ),
    (
        "Coverage",
        (
            "See what falls short, how full the freezer gets and where each crop goes. "
            "The Shopping sheet says what to buy by when."
        ),
    ),
    (
        "Record",
        "Write down what was really made, then plan again every few days. The next plan starts from what is there.",
    ),
)
"""Ten lines: the sheet they send the reader to, and what to do there."""

COLOURS = (
    (look.INPUT, "yours to fill in"),
    (look.WORKING, "a working: helps to fill in, the planner does not read it"),
    (look.OUTPUT, "written by the planner, anew at every plan"),
)
NOT_A_RECIPE = (
    "This workbook plans amounts and time. It is not a recipe: follow the current published guide for every jar, "
    "and ask your extension service when in doubt."
)
SUBTITLE = "What the harvest becomes, on which day, in which jars, with whose hands."

SHEET_WORDS = {
    "Kitchen": "Altitude, room, time and equipment. Type over the examples; leave blank what you do not know.",
    "Harvest": "Every weighing goes in the table on the left. Add the lots you expect: the plan counts on them.",
    "On hand": "Count once and write the day in Counted on. From then on the Record takes off what is used.",
    "Preserves": "Make says yes or no. Minutes of hands and stove are common practice, no source: type your own.",
    "Winter list": "What should stand on the shelf by winter, and which preserves count toward it.",
    "Messages": "Written by `stillroom plan`: what to look at, what could not be kept, cautions.",
    "Plan": "Written by `stillroom plan`. Keep at, Made and Note are yours: Keep at keeps a line, 0 keeps it out.",
    "Coverage": "Written by `stillroom plan`: the list, room and time left, where each crop goes.",
    "Days": "Written by `stillroom plan`: each day's loads on the clock. Letters are pairs of hands.",
    "Shopping": "Written by `stillroom plan`: what to buy, by when, and what for.",
    "Record": "What was really made. The next plan starts from here, so write it down the same day.",
    "Season": "Written by `stillroom plan`: where every pound went, by the weighings and the Record alone.",
}
CAUTIONS_WORDS = "Preserving done wrong can make people very ill. Follow the current published guide for every jar."

CAPTIONS = {
    "Kitchen": "Settings",
    "Hours": "Hours of hands, stove and equipment",
    "Equipment": "Canners, kettles, dryers, crocks",
    "Harvest": "Weighed and expected lots",
    "Crops": "Kinds of produce",
    "Containers": "Jars, bags, tubs and boxes",
    "Lids": "Lids",
    "Pantry": "Bought ingredients",
    "Shelf": "Finished preserves on hand",
    "Preserves": "What we make",
    "Ingredients": "What one container takes",
    "Winter list": "The winter list",
    "Counts toward": "Which preserve counts toward which need",
    "Plan": "What to make, day by day",
    "Messages": "What the planner has to say",
    "Timetable": "The days on the clock",
    "Coverage": "The winter list, filled",
    "Space": "Room, jars and hours left",
    "Crop use": "Where each crop goes",
    "Shopping": "What to buy",
    "Record": "What was really made",
    "Season so far": "Where every pound went",
}
"""What stands above each table."""


# Short names of the publications, so that a source fits beside its figure, and what each stands for.

PUBLICATIONS = (
    ("AIB 539", "USDA Complete Guide to Home Canning, Agriculture Information Bulletin 539; the year says which print"),
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
"""What the short names in Note and Source stand for."""

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
