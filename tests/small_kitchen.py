"""A small kitchen as a workbook, for tests that need a whole one: a crop, a canner and a preserve; every table can be another."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Mapping, Sequence
from io import BytesIO
from pathlib import Path
from typing import Any

from xlsxwriter import Workbook

from stillroom.workbook.schema import tables

FRIDAY = datetime.date(2026, 8, 14)
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")

Rows = Sequence[Mapping[str, Any]]

KITCHEN: dict[str, list[dict[str, Any]]] = {
    "Kitchen": [
        {"Setting": "altitude", "Value": 500, "Unit": "ft"},
        {"Setting": "first day", "Value": FRIDAY},
        {"Setting": "days planned in detail", "Value": 3},
        {"Setting": "weeks planned roughly", "Value": 1},
    ],
    "Hours": [{"What": "hands"} | dict.fromkeys(WEEKDAYS, 4), {"What": "stove free"} | dict.fromkeys(WEEKDAYS, 2)],
    "Equipment": [{"Equipment": "canner", "Kind": "boiling-water canner", "Load": 7, "Load unit": "quart jars"}],
    "Crops": [{"Crop": "plum tomato", "Keeps days": 4, "Unit": "lb"}],
    "Harvest": [{"Picked on": FRIDAY, "Crop": "plum tomato", "Amount": 60}],
    "Containers": [{"Container": "quart jar", "Kind": "jar", "Holds": 1, "Unit": "quart", "On hand": 24, "Lid": "lid"}],
    "Lids": [{"Lid": "lid", "On hand": 24}],
    "Pantry": [{"Ingredient": "bottled lemon juice", "On hand": 4, "Unit": "cup"}],
    "Preserves": [
        {
            "Preserve": "tomato juice, quart",
            "Method": "boiling-water canned",
            "Container": "quart jar",
            "Handbook line": "tomato juice, hot pack, quart",
            "Hands-on min each": 5,
            "Hands-on min a load": 30,
            "Equipment": "canner",
        }
    ],
    "Ingredients": [
        {"Preserve": "tomato juice, quart", "Item": "plum tomato", "Amount each": 3.25, "Unit": "lb"},
        {"Preserve": "tomato juice, quart", "Item": "bottled lemon juice", "Amount each": 2, "Unit": "tbsp"},
    ],
    "Winter list": [{"Target": "juice", "Wanted": 14, "Unit": "quarts"}],
    "Counts toward": [{"Target": "juice", "Preserve": "tomato juice, quart"}],
}


def build(path: Path, *, without: Collection[tuple[str, str]] = (), **others: Rows) -> Path:
    """Write the small kitchen, with `others` in place of its tables; cells in `without` (table, heading) are blank."""
    return write_tables(path, KITCHEN | others, without=without)


def write_tables(
    path: Path,
    content: Mapping[str, Rows],
    *,
    without: Collection[tuple[str, str]] = (),
    own_columns: Mapping[str, Sequence[str]] | None = None,
    spare_rows: Mapping[str, int] | None = None,
) -> Path:
    """
    Write a workbook with one table a sheet, its headings in the first row.

    A table may have columns of the household's own at its end, and rows to spare.
    """
    key = repr((content, sorted(without), own_columns, spare_rows))
    if key not in _WRITTEN:
        _WRITTEN[key] = _written(content, without, own_columns, spare_rows)
    path.write_bytes(_WRITTEN[key])
    return path


_WRITTEN: dict[str, bytes] = {}
"""Workbooks that were written before, by what is in them."""


def _written(
    content: Mapping[str, Rows],
    without: Collection[tuple[str, str]],
    own_columns: Mapping[str, Sequence[str]] | None,
    spare_rows: Mapping[str, int] | None,
) -> bytes:
    """The bytes of a workbook, by XlsxWriter: it takes a third of openpyxl's time."""
    file = BytesIO()
    with Workbook(file, {"default_date_format": "yyyy-mm-dd", "in_memory": True}) as book:
        book.add_worksheet("Sheet").write(0, 0, "invented data")
        for name, rows in content.items():
            headings = [*tables()[name].headings, *(own_columns or {}).get(name, ())]
            sheet = book.add_worksheet(name)
            last = max(1, len(rows) + (spare_rows or {}).get(name, 0))
            columns = [{"header": heading} for heading in headings]
            options = {"name": name.replace(" ", "_"), "columns": columns, "style": None, "autofilter": False}
            sheet.add_table(0, 0, last, len(headings) - 1, options)
            for down, row in enumerate(rows, start=1):
                for across, heading in enumerate(headings):
                    if (name, heading) not in without and row.get(heading) is not None:
                        sheet.write(down, across, row[heading])
    return file.getvalue()
