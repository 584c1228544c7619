"""Freezer against canning: a freezer that is nearly full, few stove hours. Everything is invented."""

from __future__ import annotations

import datetime

from household_facts import Parameters

FACTS = Parameters(
    file="freezer_against_canning.xlsx",
    title="The freezer or the canner",
    first_day=datetime.date(2026, 8, 10),
    people=4,
    altitude="640 ft",
    gauge="dial",
    settings={
        "burners": 4,
        "freezer space free": 0.918,
        "freezer size": 7.06,
        "refrigerator space free": 0.565,
        "shelf space free": 5.65,
        "cellar space free": 7.06,
        "spending limit": 70,
    },
    hours={"hands": "3 3 3 3 3 10 8 / 34", "stove free": "1 0.75 1 0.75 1 2.5 2 / 7"},
    picks={
        "plum tomato": "0 24, 3 28, 6 30, 9 36, 14 40, 19 38, 25 32, 32 24, 40 12",
        "slicing tomato": "-1 16, 2 20, 6 24, 11 26, 17 22, 24 18, 33 10",
        "snap beans": "-1 10, 1 11, 3 12, 6 12, 9 12, 13 10, 18 8",
        "sweet corn": "0 28, 3 30, 7 34, 11 30, 15 22",
        "summer squash": "-1 12, 1 12, 4 14, 8 14, 12 12, 17 9",
        "broccoli": "2 7, 18 9, 34 12, 46 10",
        "cucumbers": "-1 8, 1 10, 4 12, 7 12, 11 9, 16 6",
        "sweet peppers": "4 8, 11 12, 18 15, 25 15, 33 12",
        "onions": "-3 50",
        "carrots": "12 16, 26 28, 41 40",
        "beets": "5 14, 19 18, 33 16",
        "cabbage": "16 30, 30 36, 44 40",
        "apples": "19 40, 28 60, 37 70, 46 60",
        "peaches": "2 34, 6 42, 10 30",
        "winter squash": "42 60, 52 40",
    },
    keeps={"plum tomato": 4, "slicing tomato": 3, "sweet corn": 1, "cucumbers": 2, "peaches": 4},
    eaten={"slicing tomato": 5, "snap beans": 2, "sweet corn": 4, "summer squash": 5, "broccoli": 2, "peaches": 5},
    stocks={
        "quart jar": (64, 0, 1.35, 12),
        "pint jar": (90, 0, 1.1, 12),
        "freezer pint": (120, 0, 0.6, "yes"),
        "dry bag": (40, 0, 0.1, "yes"),
        "box": (12, 0, None, "no"),
    },
    lids={"regular lid": (140, 0.28, 48)},
    pantry={
        "bottled lemon juice": (3, "cup", 0.9, "yes"),
        "vinegar (5%)": (10, "cup", 0.35, "yes"),
        "salt": (4, "cup", 0.4, "yes"),
    },
    wishes={
        "tomato juice": (3, 0.4, 2.9, 1),
        "tomato sauce": (1, 0.8, 3.4, 2),
        "tomatoes for cooking": (1, 0.8, 2.6, 2),
        "green beans": (1, 0.9, 2.5, 2),
        "sweet corn": (1, 0.7, 1.6, 1),
        "carrots": (2, 0.5, 1.9, 2),
        "beets": (3, 0.3, 1.8, 1),
        "greens and peas": (2, 0.4, 2.4, 1),
        "squash": (3, 0.4, 1.7, 1),
        "cucumber pickles": (2, 0.4, 2.8, 1),
        "pickled vegetables": (3, 0.2, 3.1, 1),
        "peppers for cooking": (2, 0.4, 2.2, 1),
        "sauerkraut": (3, 0.2, 3.0, 2),
        "applesauce": (1, 0.7, 2.7, 2),
        "apple slices": (3, 0.3, 3.3, 2),
        "peaches and pears": (2, 0.6, 3.6, 2),
        "dried tomatoes and peppers": (3, 0.05, 14.0, 6),
        "dried fruit": (3, 0.15, 9.0, 6),
        "roots and cabbage in the cellar": (2, 1.5, 0.9, 0.5),
        "winter squash in the cellar": (2, 1.0, 1.1, 0.5),
    },
    make="""
        tomato juice, quart; crushed tomatoes, quart; crushed tomatoes, pint; tomato sauce, pint;
        tomato sauce, quart; whole tomatoes in water, quart; spaghetti sauce without meat, pint;
        tomatoes, frozen whole or in pieces; tomatoes, frozen juice; tomatoes, dried; green beans, pint;
        green beans, quart; snap beans, frozen cut; sweet corn, frozen whole kernel;
        summer squash, frozen slices; broccoli, frozen; quick dill pickles, quart; quick dill pickles, pint;
        bread-and-butter pickles, pint; pickled bell peppers, pint; sweet peppers, frozen;
        sweet peppers, dried; carrots, pint; carrots, frozen; carrots, root cellar; pickled beets, pint;
        beets, pint; beets, frozen cooked; sauerkraut, fermented; cabbage, root cellar; onions, root cellar;
        applesauce, quart; apples, frozen sliced; sliced apples, quart; apples, dried; peaches, quart;
        peaches, frozen sliced; peaches, dried; winter squash, frozen cooked; winter squash, root cellar
    """,
    shelf=(("green beans, pint", 5, "2026-07-25"), ("snap beans, frozen cut", 6, "2026-07-21")),
    frozen=(("slicing tomato", 9, 4),),
)
