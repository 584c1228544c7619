"""The sentences of a starting workbook: the ten lines of the first sheet, and what each sheet and table is called."""

from __future__ import annotations

from stillroom.workbook.starting import look

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
        "Winter needs",
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
        "Read today's lines first. A number in Fix keeps a line as you want it, 0 keeps it out; Made is what came out.",
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
    "Winter needs": "What should stand on the shelf by winter, and which preserves count toward it.",
    "Messages": "Written by `stillroom plan`: what to look at, what could not be kept, cautions.",
    "Plan": "Written by `stillroom plan`. Fix, Made and Note are yours: Fix keeps a line, 0 keeps it out.",
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
    "Larder": "Bought ingredients",
    "Shelf": "Finished preserves on hand",
    "Preserves": "What we make",
    "Ingredients": "What one container takes",
    "Needs": "The winter list",
    "Counts": "Which preserve counts toward which need",
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
