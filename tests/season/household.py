"""A small invented household as a workbook: four crops, five preserves, all tables, a column of its own beside the plan."""

from __future__ import annotations

import datetime

from tests.small_kitchen import WEEKDAYS, write_tables

START = datetime.date(2026, 7, 6)
JUICE, SAUCE, BEANS, DRIED, FROZEN = (
    "tomato juice, quart", "tomato juice, pint", "green beans, pint", "apples, dried", "corn, frozen",
)  # fmt: skip

CONTENT = {
    "Kitchen": [
        {"Setting": "altitude", "Value": 500, "Unit": "ft"},
        {"Setting": "days planned in detail", "Value": 3},
        {"Setting": "weeks planned roughly", "Value": 1},
        {"Setting": "gauge", "Value": "dial"},
        {"Setting": "freezer space free", "Value": 200, "Unit": "L"},
    ],
    "Hours": [
        {"What": "hands"} | dict.fromkeys(WEEKDAYS, 8),
        {"What": "stove free"} | dict.fromkeys(WEEKDAYS, 6),
    ],
    "Equipment": [
        {"Equipment": "canner", "Kind": "boiling-water canner", "Load": 7, "Load unit": "quart jars"},
        {"Equipment": "canner", "Load": 9, "Load unit": "pint jars"},
        {"Equipment": "pressure canner", "Kind": "pressure canner", "Load": 9, "Load unit": "pint jars"},
        {"Equipment": "pressure canner", "Load": 7, "Load unit": "quart jars"},
        {"Equipment": "dryer", "Kind": "dryer", "How many": 1, "Load": 8, "Load unit": "lb"},
    ],
    "Crops": [
        {"Crop": "plum tomato", "Keeps days": 5, "Unit": "lb", "May be frozen whole": "yes"},
        {"Crop": "snap beans", "Keeps days": 3, "Unit": "lb"},
        {"Crop": "apples", "Keeps days": 14, "Unit": "lb"},
        {"Crop": "sweet corn", "Keeps days": 2, "Unit": "lb"},
    ],
    "Harvest": [],
    "Containers": [
        {"Container": "quart jar", "Kind": "jar", "Holds": 1, "Unit": "quart", "On hand": 60, "Counted on": START, "Lid": "lid", "Price": 1.5, "Can buy": "no"},
        {"Container": "pint jar", "Kind": "jar", "Holds": 0.5, "Unit": "quart", "On hand": 70, "Counted on": START, "Lid": "lid", "Price": 1.2},
        {"Container": "bag", "Kind": "bag", "Holds": 0.5, "Unit": "quart", "On hand": 120, "Counted on": START},
    ],
    "Lids": [{"Lid": "lid", "On hand": 160, "Counted on": START, "Price": 0.25}],
    "Pantry": [{"Ingredient": "bottled lemon juice", "On hand": 20, "Unit": "cup", "Counted on": START, "Price": 1.0}],
    "Shelf": [{"Preserve": JUICE, "On hand": 4, "Made on": datetime.date(2025, 9, 1)}],
    "Preserves": [
        {"Preserve": JUICE, "Method": "boiling-water canned", "Container": "quart jar", "Handbook line": "tomato juice, hot pack, quart", "Hands-on min each": 5, "Hands-on min a load": 30, "Equipment": "canner"},
        {"Preserve": SAUCE, "Method": "boiling-water canned", "Container": "pint jar", "Handbook line": "tomato juice, hot pack, pint", "Hands-on min each": 4, "Hands-on min a load": 30, "Equipment": "canner"},
        {"Preserve": BEANS, "Method": "pressure canned", "Container": "pint jar", "Handbook line": "green beans, hot pack, pint", "Hands-on min each": 5, "Hands-on min a load": 20, "Equipment": "pressure canner"},
        {"Preserve": DRIED, "Method": "dried", "Container": "bag", "Handbook line": "apples, dried", "Hands-on min each": 10, "Equipment": "dryer"},
        {"Preserve": FROZEN, "Method": "frozen", "Container": "bag", "Handbook line": "sweet corn, frozen whole kernel", "Hands-on min each": 5},
    ],
    "Ingredients": [
        {"Preserve": JUICE, "Item": "plum tomato", "Amount each": 3.25, "Unit": "lb", "May be from frozen": "yes"},
        {"Preserve": JUICE, "Item": "bottled lemon juice", "Amount each": 2, "Unit": "tbsp"},
        {"Preserve": SAUCE, "Item": "plum tomato", "Amount each": 1.6, "Unit": "lb", "May be from frozen": "yes"},
        {"Preserve": SAUCE, "Item": "bottled lemon juice", "Amount each": 1, "Unit": "tbsp"},
        {"Preserve": BEANS, "Item": "snap beans", "Amount each": 1, "Unit": "lb"},
        {"Preserve": DRIED, "Item": "apples", "Amount each": 2, "Unit": "lb"},
        {"Preserve": FROZEN, "Item": "sweet corn", "Amount each": 2, "Unit": "lb"},
    ],
    "Winter list": [
        {"Target": "juice", "Wanted": 50, "At most": 60, "Importance": 1, "Shop price": 2},
        {"Target": "beans", "Wanted": 40, "Importance": 2, "Shop price": 1.5},
        {"Target": "dried apples", "Wanted": 30, "Importance": 3},
        {"Target": "corn", "Wanted": 30, "Importance": 2},
    ],
    "Counts toward": [
        {"Target": "juice", "Preserve": JUICE, "Each counts": 1},
        {"Target": "juice", "Preserve": SAUCE, "Each counts": 0.5},
        {"Target": "beans", "Preserve": BEANS},
        {"Target": "dried apples", "Preserve": DRIED},
        {"Target": "corn", "Preserve": FROZEN},
    ],
    "Record": [],
    "Plan": [],
}  # fmt: skip
SPARE = {"Harvest": 4, "Record": 2, "Plan": 3}
THEIRS = "Who"


def build(path, **others):
    """Write the workbook, with `others` in place of its tables; Plan has a column of the household's own at its end."""
    return write_tables(path, CONTENT | others, own_columns={"Plan": [THEIRS]}, spare_rows=SPARE)


def with_first_day():
    """The settings with the first day typed, so that no clock matters."""
    return [*CONTENT["Kitchen"], {"Setting": "first day", "Value": START}]
