"""Small workbooks for the reader's tests: a sound household, and ways to break one cell of it."""

import copy
import datetime
import itertools
from pathlib import Path

from openpyxl import load_workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.table import Table, TableColumn, TableFormula  # noqa: F401 - used by tests that build by hand
from xlsxwriter import Workbook as XlsxWriter

from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.schema import tables

FRIDAY = datetime.date(2026, 8, 14)
D = datetime.date

SOUND = {
    "Kitchen": [
        {"Setting": "altitude", "Value": 1450, "Unit": "ft"},
        {"Setting": "gauge", "Value": "dial"},
        {"Setting": "first day", "Value": FRIDAY},
        {"Setting": "days planned in detail", "Value": 7},
        {"Setting": "weeks planned roughly", "Value": 8},
        {"Setting": "people", "Value": 4},
        {"Setting": "freezer space free", "Value": 60, "Unit": "L"},
        {"Setting": "freezer size", "Value": 7, "Unit": "cubic feet"},
        {"Setting": "plan for", "Value": "likely harvest"},
    ],
    "Hours": [
        {
            "What": "hands",
            **dict.fromkeys(("Mon", "Tue", "Wed", "Thu", "Fri"), 3),
            "Sat": 8,
            "Sun": 0,
            "Each later week": 20,
        },
        {"What": "Stove free", **dict.fromkeys(("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"), 3)},
    ],
    "Equipment": [
        {"Equipment": "canner", "Kind": "boiling-water canner", "Load": 7, "Load unit": "quart jars"},
        {"Equipment": "canner", "Load": 9, "Load unit": "pint jars"},
        {"Equipment": "kettle", "Kind": "Kettle", "Load": 8, "Load unit": "qt"},
        {"Equipment": "dryer", "Kind": "dryer", "Load": 12, "Load unit": "lb"},
    ],
    "Crops": [
        {
            "Crop": "plum tomato",
            "Handbook food": "tomatoes",
            "Keeps days": 5,
            "Bushel weighs": 53,
            "Unit": "lb",
            "Eaten fresh each week": 2,
            "May be frozen whole": "yes",
            "Trimmings share": 0.25,
        },
        {"Crop": "sweet corn", "Keeps days": 2, "Unit": "lb"},
        {"Crop": "carrot", "Keeps days": 21},
    ],
    "Harvest": [
        {"Picked on": D(2026, 8, 12), "Crop": "Plum Tomato", "Amount": 53},
        {"Picked on": D(2026, 8, 13), "Crop": "plum tomato", "Amount": "2 bu"},
        {
            "Picked on": D(2026, 8, 18),
            "Crop": "sweet corn",
            "Amount": 40,
            "Weighed or expected": "expected",
            "Least": 30,
            "Most": 60,
        },
        {"Picked on": D(2026, 8, 1), "Crop": "plum tomato", "Amount": 10, "Frozen on": D(2026, 8, 2)},
    ],
    "Containers": [
        {
            "Container": "quart jar",
            "Kind": "jar",
            "Holds": 1,
            "Unit": "quart",
            "On hand": 24,
            "Lid": "wide lid",
            "Price": 1.5,
            "Can buy": 12,
        },
        {"Container": "pint jar", "Kind": "jar", "Holds": 0.5, "Unit": "qt", "On hand": 36, "Lid": "regular lid"},
        {
            "Container": "freezer bag",
            "Kind": "bag",
            "Holds": 1,
            "Unit": "L",
            "On hand": 50,
            "Can buy": "yes",
            "Price": 0.2,
        },
        {"Container": "box", "Kind": "box", "Holds": 20, "Unit": "lb", "On hand": 4},
    ],
    "Lids": [
        {"Lid": "wide lid", "On hand": 30, "Price": 0.4, "Can buy": "yes"},
        {"Lid": "regular lid", "On hand": 40},
    ],
    "Pantry": [
        {
            "Ingredient": "bottled lemon juice",
            "On hand": 2,
            "Unit": "cup",
            "Price": 4,
            "Per unit": "qt",
            "Can buy": "yes",
        },
        {"Ingredient": "salt", "On hand": 3, "Unit": "lb"},
    ],
    "Shelf": [{"Preserve": "tomato juice, quart", "On hand": 3, "Made on": D(2026, 7, 20)}],
    "Preserves": [
        {
            "Preserve": "tomato juice, quart",
            "Method": "boiling-water canned",
            "Container": "quart jar",
            "Minutes": 40,
            "Source": "a published table",
            "Hands-on min each": 5,
            "Hands-on min a load": 30,
            "Equipment": "kettle, canner",
            "Keeps months": 12,
        },
        {
            "Preserve": "tomato slices, dried",
            "Method": "dried",
            "Container": "pint jar",
            "Minutes": 600,
            "Equipment": "dryer",
            "Keeps months": 10,
        },
        {
            "Preserve": "corn, frozen",
            "Method": "frozen",
            "Container": "freezer bag",
            "Hands-on min each": 12,
            "Keeps months": 8,
        },
        {
            "Preserve": "carrots in sand",
            "Method": "root cellar",
            "Container": "box",
            "Hands-on min each": 15,
            "Keeps months": 5,
            "Include": "no",
        },
        {
            "Preserve": "corn and tomato soup",
            "Method": "Frozen",
            "Container": "freezer bag",
            "Hands-on min each": 20,
            "Keeps months": 6,
        },
    ],
    "Ingredients": [
        {
            "Preserve": "tomato juice, quart",
            "Item": "plum tomato",
            "Amount each": 3.25,
            "Unit": "lb",
            "May be from frozen": "yes",
        },
        {"Preserve": "tomato juice, quart", "Item": "bottled lemon juice", "Amount each": 2, "Unit": "tbsp"},
        {"Preserve": "tomato slices, dried", "Item": "plum tomato", "Amount each": 5},
        {"Preserve": "corn, frozen", "Item": "sweet corn", "Amount each": "4 1/2 lb"},
        {"Preserve": "carrots in sand", "Item": "carrot", "Amount each": 20},
        {"Preserve": "corn and tomato soup", "Item": "sweet corn", "Amount each": 2},
        {"Preserve": "corn and tomato soup", "Item": "tomato juice, quart", "Amount each": 0.5},
    ],
    "Winter list": [
        {"Target": "tomatoes for cooking", "Wanted": 40, "At most": 60, "Unit": "quarts", "Importance": 1},
        {"Target": "corn", "Wanted": 12, "Unit": "bags"},
        {"Target": "dried tomatoes", "Wanted": 4, "Importance": 3},
        {"Target": "carrots", "Wanted": 2},
    ],
    "Counts toward": [
        {"Target": "tomatoes for cooking", "Preserve": "tomato juice, quart"},
        {"Target": "corn", "Preserve": "corn, frozen", "Each counts": 1},
        {"Target": "corn", "Preserve": "corn and tomato soup", "Each counts": 0.5},
        {"Target": "dried tomatoes", "Preserve": "tomato slices, dried"},
        {"Target": "carrots", "Preserve": "carrots in sand"},
    ],
    "Record": [],
    "Plan": [],
}


def sound() -> dict:
    """A copy of the sound household, free to be changed."""
    return copy.deepcopy(SOUND)


def write(path: Path, content: dict, *, change=None, as_tables: bool = True, leave_out: tuple = ()) -> Path:
    """
    Write tables into a workbook: each on a sheet of its own name, headings in row 3, from column B.

    XlsxWriter takes a quarter of openpyxl's time; only what `change` does to a workbook needs the other.
    """
    with XlsxWriter(path, {"default_date_format": "yyyy-mm-dd", "in_memory": True}) as book:
        for name, rows in content.items():
            if name in leave_out:
                continue
            headings = list(dict.fromkeys([*tables()[name].headings, *itertools.chain.from_iterable(rows)]))
            sheet = book.add_worksheet(name)
            if as_tables:
                columns = [{"header": heading} for heading in headings]
                last, options = 2 + max(len(rows), 1) + 2, {"name": name.replace(" ", "_"), "columns": columns}
                sheet.add_table(2, 1, last, len(headings), options | {"style": None, "autofilter": False})
            else:
                sheet.write_row(2, 1, headings)
            for down, row in enumerate(rows, start=3):
                for heading, value in row.items():
                    sheet.write(down, headings.index(heading) + 1, value)
    if change is not None:
        changed = load_workbook(path)
        change(changed)
        changed.save(path)
    return path


def place(table: str, row: int, heading: str) -> str:
    """Where a cell of the sound household stands: rows count from 0."""
    headings = [column.heading for column in tables()[table].columns]
    return f"{table}!{get_column_letter(headings.index(heading) + 2)}{4 + row}"


def opened(tmp_path: Path, content: dict, **more) -> Book:
    """Write a workbook and open it."""
    return Book.open(write(tmp_path / "kitchen.xlsx", content, **more))
