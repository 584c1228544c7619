"""A household of records put into a real workbook, and the one way back: read, checked, settled."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.table import Table

from stillroom.handbook.settle import settle
from stillroom.household.checks import problems
from stillroom.household.journal import stocks
from stillroom.household.records import Household
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader.household import household as read

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")

Rows = Sequence[Sequence[Any]]


def write(household: Household, path: Path) -> None:
    """Write the tables that a household of crops, hours, containers and targets takes, in kilograms and liters."""
    book = Workbook()
    book.remove(book.active)
    for name, (headings, rows) in tables(household).items():
        sheet = book.create_sheet(name)
        sheet.append(list(headings))
        for row in rows:
            sheet.append(list(row))
        last = f"{get_column_letter(len(headings))}{max(2, len(rows) + 1)}"
        sheet.add_table(Table(displayName=name.replace(" ", "_"), ref=f"A1:{last}"))
    book.save(path)


def tables(household: Household) -> dict[str, tuple[tuple[str, ...], Rows]]:
    """Headings and rows of every table, by the table's name."""
    kitchen, pieces = household.kitchen, household.equipment
    settings = [
        ("first day", kitchen.first_day, None),
        ("days planned in detail", kitchen.days_planned_singly, None),
        ("weeks planned roughly", kitchen.weeks_after_that, None),
        ("burners", kitchen.burners, None),
        ("fill targets evenly", "yes" if kitchen.fill_targets_evenly else "no", None),
        *([("altitude", kitchen.altitude_ft, "ft")] if kitchen.altitude_ft is not None else []),
        *(
            [("refrigerator space free", kitchen.refrigerator_free_litres, "L")]
            if math.isfinite(kitchen.refrigerator_free_litres)
            else []
        ),
    ]
    lines = [(item.name, line) for item in household.preserves for line in item.ingredients]
    return {
        "Kitchen": (("Setting", "Value", "Unit"), settings),
        "Hours": (
            ("What", *WEEKDAYS, "Each later week"),
            [(row.what, *row.by_weekday, row.each_later_week) for row in household.hours],
        ),
        "Equipment": (
            ("Equipment", "Kind", "How many", "Load", "Load unit", "Burners", "Heat-up min"),
            [
                (piece.name, piece.kind, piece.how_many, load.number, load.unit, piece.burners, piece.heat_up_hours * 60)
                for piece in pieces
                for load in piece.loads
            ],
        ),
        "Crops": (
            ("Crop", "Handbook food", "Keeps days", "Unit"),
            [(crop.name, crop.handbook_food, crop.keeps_days, "kg") for crop in household.crops],
        ),
        "Harvest": (
            ("Picked on", "Crop", "Amount", "Unit"),
            [(lot.picked_on, lot.crop, lot.kg, "kg") for lot in household.lots],
        ),
        "Containers": (
            ("Container", "Kind", "Holds", "Unit", "On hand"),
            [(row.name, row.kind, row.holds_litres, "L", row.on_hand) for row in household.containers],
        ),
        "Pantry": (
            ("Ingredient", "On hand", "Unit"),
            [(row.name, row.on_hand, row.base_unit) for row in household.pantry],
        ),
        "Preserves": (
            (
                "Preserve", "Method", "Container", "Handbook line", "Minutes", "Source", "Hands-on min each", "Stove min each",
                "Equipment", "Smallest batch", "Keeps months", "Kept in",
            ),
            [
                (
                    item.name, item.method, item.container, item.handbook_line, item.process_minutes or None, item.source,
                    item.hands_minutes_each, item.stove_minutes_each, ", ".join(item.equipment), item.smallest_batch,
                    item.keeps_months, item.kept_in,
                )
                for item in household.preserves
            ],
        ),
        "Ingredients": (
            ("Preserve", "Item", "Amount each", "Unit"),
            [(name, line.item, line.amount_each, line.unit or ("kg" if line.source == "crop" else None)) for name, line in lines],
        ),
        "Winter list": (
            ("Target", "Wanted", "At most", "Importance", "Relative priority"),
            [(target.name, target.wanted, target.at_most, target.importance, target.weight) for target in household.targets],
        ),
        "Counts toward": (
            ("Target", "Preserve", "Each counts"),
            [(target.name, name, each) for target in household.targets for name, each in target.counts.items()],
        ),
    }  # fmt: skip


def read_back(path: Path, today: datetime.date) -> Household:
    """The one way in: read, check, take off the record, fill from the handbook; no problem on the way may stop it."""
    typed, found = read(Book.open(path), today)
    counted, of_ledger = stocks.settle(typed)
    settled, of_handbook = settle(counted)
    stopping = [problem for problem in (*found, *problems(typed), *of_ledger, *of_handbook) if problem.is_error]
    assert not stopping, "\n".join(f"{problem.kind}: {problem}" for problem in stopping)
    return settled
