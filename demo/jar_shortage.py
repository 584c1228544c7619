"""The jar shortage: time and produce enough, few jars, fewer lids and none to be had. Everything here is invented."""

from __future__ import annotations

import datetime

from household_facts import Parameters

FACTS = Parameters(
    file="jar_shortage.xlsx",
    title="Not enough jars",
    first_day=datetime.date(2026, 8, 17),
    people=4,
    altitude="2350 ft",
    gauge="weighted",
    settings={
        "freezer space free": 4.94,
        "freezer size": 12.36,
        "refrigerator space free": 1.06,
        "shelf space free": 7.77,
        "cellar space free": 14.83,
        "spending limit": 60,
    },
    hours={"hands": "5 5 5 5 5 16 10 / 52", "stove free": "4 4 4 4 4 11 7.5 / 37.5"},
    picks={
        "plum tomato": "-1 34, 0 40, 3 46, 5 38, 8 60, 12 64, 17 58, 22 50, 29 44, 36 26",
        "slicing tomato": "-1 22, 1 26, 4 30, 8 34, 13 38, 19 32, 26 26, 34 14",
        "snap beans": "-1 11, 1 12, 4 14, 8 15, 12 12, 18 9",
        "sweet corn": "0 30, 5 36, 9 34, 13 28",
        "cucumbers": "-1 9, 0 12, 2 12, 5 14, 9 14, 13 10, 18 6",
        "sweet peppers": "0 9, 6 12, 12 16, 19 18, 26 16, 34 12",
        "hot peppers": "1 4, 8 6, 15 6, 23 6, 32 4",
        "onions": "-6 90",
        "carrots": "8 20, 22 40, 36 70, 48 60",
        "beets": "2 18, 15 24, 29 26",
        "cabbage": "10 40, 24 50, 38 60",
        "potatoes": "14 90, 33 120",
        "apples": "14 60, 23 90, 31 110, 39 120, 47 80",
        "pears": "12 40, 20 50, 28 30",
        "plums": "3 26, 9 30, 15 18",
    },
    keeps={"plum tomato": 4, "slicing tomato": 3, "sweet corn": 1, "cucumbers": 2},
    eaten={
        "slicing tomato": 7,
        "snap beans": 3,
        "sweet corn": 5,
        "cucumbers": 3,
        "apples": 6,
        "pears": 4,
        "potatoes": 6,
    },
    stocks={
        "quart jar": (38, 1, 1.5, 12),
        "pint jar": (62, 2, 1.25, "no"),
        "freezer pint": (90, 0, 0.6, 20),
        "dry bag": (90, 0, 0.1, "yes"),
        "box": (24, 0, None, "no"),
    },
    lids={"regular lid": (84, 0.35, 24)},
    pantry={
        "bottled lemon juice": (4, "cup", 0.9, "yes"),
        "vinegar (5%)": (18, "cup", 0.35, "yes"),
        "salt": (6, "cup", 0.4, "yes"),
    },
    wishes={
        "tomato juice": (3, 0.4, 2.9, 1),
        "tomato sauce": (1, 0.8, 3.4, 2),
        "tomatoes for cooking": (1, 0.7, 2.6, 2),
        "salsa": (2, 0.4, 3.2, 1),
        "green beans": (1, 0.7, 2.5, 2),
        "sweet corn": (1, 0.5, 1.6, 1),
        "carrots": (2, 0.4, 1.9, 2),
        "beets": (3, 0.3, 1.8, 1),
        "cucumber pickles": (2, 0.4, 2.8, 1),
        "pickled vegetables": (3, 0.2, 3.1, 1),
        "peppers for cooking": (2, 0.3, 2.2, 1),
        "sauerkraut": (2, 0.25, 3.0, 2),
        "applesauce": (1, 0.7, 2.7, 2),
        "apple slices": (3, 0.3, 3.3, 2),
        "peaches and pears": (2, 0.3, 3.6, 2),
        "plums and cherries": (3, 0.3, 3.4, 2),
        "dried tomatoes and peppers": (3, 0.05, 14.0, 6),
        "dried fruit": (2, 0.2, 9.0, 6),
        "roots and cabbage in the cellar": (1, 2.5, 0.9, 0.5),
        "apples in the cellar": (3, 1.0, 1.2, 0.5),
    },
    make="""
        tomato juice, quart; tomato juice, pint; crushed tomatoes, quart; crushed tomatoes, pint;
        tomato sauce, pint; tomato sauce, quart; whole tomatoes in water, quart; chile salsa, pint;
        tomatoes, frozen whole or in pieces; tomatoes, frozen juice; tomatoes, dried; green beans, pint;
        green beans, quart; snap beans, frozen cut; snap beans, dried; sweet corn, pint;
        sweet corn, frozen whole kernel; quick dill pickles, quart; bread-and-butter pickles, pint;
        bread-and-butter pickles, quart; pickled bell peppers, pint; pickled hot peppers, pint;
        sweet peppers, frozen; sweet peppers, dried; carrots, pint; carrots, frozen; carrots, root cellar;
        pickled beets, pint; beets, frozen cooked; beets, root cellar; sauerkraut, fermented; cabbage, root cellar;
        onions, root cellar; potatoes, root cellar; applesauce, quart; applesauce, pint; apples, frozen sliced;
        apples, dried; apples, root cellar; pears, quart; pears, dried; plums, quart; plums, dried
    """,
    shelf=(
        ("applesauce, pint", 9, "2025-10-04"),
        ("sauerkraut, fermented", 2, "2026-06-20"),
        ("plums, quart", 3, "2026-08-09"),
    ),
)
