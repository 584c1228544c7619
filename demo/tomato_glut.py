"""The tomato glut: far more tomatoes than evenings, and jars enough for most of them. Everything here is invented."""

from __future__ import annotations

import datetime

from household_facts import Parameters

FACTS = Parameters(
    file="tomato_glut.xlsx",
    title="The tomato year",
    first_day=datetime.date(2026, 8, 15),
    people=5,
    altitude="1180 ft",
    gauge="dial",
    settings={
        "freezer space free": 3,
        "freezer size": 14.13,
        "refrigerator space free": 0.848,
        "shelf space free": 9.18,
        "cellar space free": 11.3,
        "spending limit": 140,
    },
    hours={"hands": "4 4 3 4 5 14 8 / 40", "stove free": "3 3 2.5 3 3 9 5 / 27.5"},
    picks={
        "plum tomato": "-1 52, 0 64, 2 38, 4 71, 7 84, 11 95, 14 88, 18 76, 21 70, 28 58, 35 40, 42 22",
        "slicing tomato": "-1 41, 0 37, 3 44, 5 48, 9 62, 13 66, 17 54, 23 48, 30 36, 37 20",
        "snap beans": "-1 9, 2 12, 5 10, 9 14, 14 12, 20 8",
        "sweet corn": "0 36, 4 42, 8 40, 12 34, 16 20",
        "cucumbers": "0 14, 3 16, 6 12, 10 15, 14 10, 19 8",
        "sweet peppers": "0 10, 5 14, 10 18, 16 20, 23 22, 30 18, 38 14",
        "hot peppers": "0 4, 7 6, 14 7, 21 6, 30 5",
        "onions": "-5 70",
        "carrots": "6 18, 20 30, 34 60, 48 80",
        "beets": "3 16, 17 20, 31 24",
        "cabbage": "12 36, 26 48, 40 60",
        "apples": "16 50, 24 80, 32 110, 40 120, 48 90",
    },
    keeps={"plum tomato": 4, "slicing tomato": 3, "sweet corn": 1, "cucumbers": 2},
    eaten={"slicing tomato": 9, "snap beans": 3, "sweet corn": 6, "cucumbers": 4, "sweet peppers": 2, "apples": 8},
    stocks={
        "quart jar": (96, 0, 1.35, 24),
        "pint jar": (84, 0, 1.1, 24),
        "freezer pint": (70, 0, 0.6, 30),
        "dry bag": (60, 0, 0.1, "yes"),
        "box": (18, 0, None, "no"),
    },
    lids={"regular lid": (150, 0.28, 96)},
    pantry={
        "bottled lemon juice": (3, "cup", 0.9, "yes"),
        "vinegar (5%)": (14, "cup", 0.35, "yes"),
        "salt": (6, "cup", 0.4, "yes"),
    },
    wishes={
        "tomato juice": (1, 0.6, 2.9, 1),
        "tomato sauce": (1, 0.8, 3.4, 2),
        "tomatoes for cooking": (1, 0.8, 2.6, 2),
        "salsa": (2, 0.4, 3.2, 1),
        "ketchup": (3, 0.15, 2.4, 1),
        "green beans": (1, 0.5, 2.5, 2),
        "sweet corn": (1, 0.5, 1.6, 1),
        "carrots": (2, 0.3, 1.9, 2),
        "beets": (3, 0.2, 1.8, 1),
        "cucumber pickles": (2, 0.3, 2.8, 1),
        "pickled vegetables": (3, 0.2, 3.1, 1),
        "peppers for cooking": (2, 0.3, 2.2, 1),
        "sauerkraut": (2, 0.2, 3.0, 2),
        "applesauce": (1, 0.6, 2.7, 2),
        "apple slices": (3, 0.2, 3.3, 2),
        "dried tomatoes and peppers": (3, 0.04, 14.0, 6),
        "dried fruit": (3, 0.1, 9.0, 6),
        "roots and cabbage in the cellar": (2, 1.2, 0.9, 0.5),
        "apples in the cellar": (3, 1.0, 1.2, 0.5),
    },
    make="""
        tomato juice, quart; tomato juice, pint; crushed tomatoes, quart; crushed tomatoes, pint;
        tomato sauce, pint; tomato sauce, quart; whole tomatoes in water, quart; whole tomatoes in water, pint;
        tomato ketchup, pint; chile salsa, pint; spaghetti sauce without meat, quart;
        spaghetti sauce without meat, pint; tomatoes, frozen whole or in pieces; tomatoes, dried;
        green beans, pint; green beans, quart; snap beans, frozen cut; sweet corn, pint;
        sweet corn, frozen whole kernel; quick dill pickles, quart; quick dill pickles, pint;
        bread-and-butter pickles, pint; pickled bell peppers, pint; sweet peppers, frozen;
        sweet peppers, dried; pickled hot peppers, pint; carrots, pint; carrots, frozen; carrots, root cellar;
        pickled beets, pint; beets, pint; beets, root cellar; sauerkraut, fermented; cabbage, root cellar;
        onions, root cellar; applesauce, quart; applesauce, pint; sliced apples, quart; apples, dried;
        apples, root cellar
    """,
    shelf=(
        ("tomato juice, quart", 3, "2025-09-06"),
        ("applesauce, quart", 5, "2025-10-11"),
        ("quick dill pickles, quart", 4, "2026-07-29"),
        ("green beans, quart", 6, "2026-08-02"),
    ),
    frozen=(("slicing tomato", 12, 6),),
)
