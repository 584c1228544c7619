"""
The shared plan: two families cook from one garden and keep their own workbook. Everything here is invented.

The workbook is theirs: their sheets, colours, formulas and chart. Some of our tables stand on their sheets, in their
order of columns and with columns of their own. The others were added by moving in (`stillroom adopt`) and then filled
in; nothing of theirs was changed by that.
"""

from __future__ import annotations

import datetime

from household_facts import Parameters

FACTS = Parameters(
    file="shared_plan.xlsx",
    title="Two houses, one garden",
    first_day=datetime.date(2026, 8, 22),
    people=7,
    altitude="820 ft",
    gauge="weighted",
    settings={
        "freezer space free": 4.59,
        "freezer size": 17.66,
        "refrigerator space free": 1.413,
        "shelf space free": 11.3,
        "cellar space free": 17.66,
        "spending limit": 120,
    },
    hours={
        "hands": "5 3 5 3 5 22 12 / 55",
        "stove free": "3.5 2 3.5 2 3.5 13 7.5 / 35",
        "dryer": "24 24 24 24 24 0 24 / 140",
    },
    picks={
        "plum tomato": "-1 60, 0 48, 3 52, 6 60, 9 78, 14 82, 20 70, 27 54, 34 30",
        "slicing tomato": "0 44, 2 30, 5 38, 9 44, 15 40, 22 30, 30 16",
        "snap beans": "-1 12, 1 13, 4 12, 8 12, 14 9",
        "sweet corn": "0 44, 4 46, 8 40, 12 26",
        "cucumbers": "0 14, 2 12, 5 12, 9 10, 14 7",
        "sweet peppers": "0 14, 6 18, 12 22, 19 22, 27 18",
        "hot peppers": "2 5, 9 7, 17 7, 26 6",
        "onions": "-12 120",
        "carrots": "5 26, 20 44, 36 90, 50 60",
        "beets": "1 22, 14 26, 30 34",
        "cabbage": "6 44, 20 60, 36 80",
        "potatoes": "9 140, 24 160",
        "apples": "7 60, 15 110, 23 150, 31 150, 40 120, 50 80",
        "winter squash": "34 110, 48 80",
    },
    keeps={"plum tomato": 4, "slicing tomato": 3, "sweet corn": 1, "cucumbers": 2},
    eaten={"slicing tomato": 10, "snap beans": 4, "sweet corn": 9, "cucumbers": 4, "apples": 10, "potatoes": 8},
    stocks={
        "quart jar": (96, 2, 1.4, 24),
        "pint jar": (110, 3, 1.15, 24),
        "freezer pint": (130, 0, 0.6, 40),
        "dry bag": (80, 0, 0.1, "yes"),
        "box": (40, 0, None, "no"),
    },
    lids={"regular lid": (160, 0.3, 120)},
    pantry={
        "bottled lemon juice": (5, "cup", 0.9, "yes"),
        "vinegar (5%)": (20, "cup", 0.35, "yes"),
        "salt": (8, "cup", 0.4, "yes"),
    },
    wishes={
        "tomato juice": (2, 0.5, 2.9, 1),
        "tomato sauce": (1, 0.8, 3.4, 2),
        "tomatoes for cooking": (1, 0.8, 2.6, 2),
        "salsa": (2, 0.3, 3.2, 1),
        "green beans": (1, 0.4, 2.5, 2),
        "sweet corn": (1, 0.4, 1.6, 1),
        "carrots": (2, 0.3, 1.9, 2),
        "beets": (3, 0.2, 1.8, 1),
        "cucumber pickles": (2, 0.2, 2.8, 1),
        "pickled vegetables": (3, 0.15, 3.1, 1),
        "peppers for cooking": (2, 0.3, 2.2, 1),
        "sauerkraut": (2, 0.2, 3.0, 2),
        "applesauce": (1, 0.7, 2.7, 2),
        "apple slices": (3, 0.2, 3.3, 2),
        "dried tomatoes and peppers": (3, 0.04, 14.0, 6),
        "dried fruit": (3, 0.15, 9.0, 6),
        "roots and cabbage in the cellar": (1, 2.5, 0.9, 0.5),
        "apples in the cellar": (3, 1.0, 1.2, 0.5),
        "winter squash in the cellar": (2, 0.8, 1.1, 0.5),
    },
    make="""
        tomato juice, quart; crushed tomatoes, quart; crushed tomatoes, pint; tomato sauce, pint;
        tomato sauce, quart; whole tomatoes in water, quart; chile salsa, pint;
        spaghetti sauce without meat, quart; tomatoes, frozen whole or in pieces; tomatoes, dried;
        green beans, pint; green beans, quart; snap beans, frozen cut; sweet corn, pint;
        sweet corn, frozen whole kernel; quick dill pickles, quart; bread-and-butter pickles, pint;
        pickled bell peppers, pint; sweet peppers, frozen; sweet peppers, dried; pickled hot peppers, pint;
        carrots, pint; carrots, frozen; carrots, root cellar; pickled beets, pint; beets, pint; beets, root cellar;
        sauerkraut, fermented; cabbage, root cellar; onions, root cellar; potatoes, root cellar; applesauce, quart;
        applesauce, pint; sliced apples, quart; apples, dried; apples, root cellar; winter squash, frozen cooked;
        winter squash, root cellar
    """,
    shelf=(
        ("tomato juice, quart", 6, "2026-08-08"),
        ("quick dill pickles, quart", 5, "2026-07-31"),
        ("applesauce, quart", 4, "2025-10-18"),
    ),
    how_many={"canner": 2},
)


def build() -> bytes:
    """The bytes of their workbook."""
    import shared_layout

    return shared_layout.build(FACTS)
