"""
Random workbooks: a small sound kitchen with anything typed anywhere, rows and columns mixed, left out and doubled.

The same number gives the same workbook. What was typed where a figure, a date or a word of a list belongs and cannot be
read as one is remembered with its cell: whoever reads the workbook has to name that cell, and may not go on with some
value of its own.
"""

from __future__ import annotations

import copy
import datetime
import random
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.table import Table
from tests.small_kitchen import FRIDAY, KITCHEN

from stillroom.workbook.schema import tables

Content = dict[str, list[dict[str, Any]]]

HOSTILE = (
    '=HYPERLINK("http://example.invalid","click")',
    "+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(A1:A9)",
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "& < > \" ' &amp; ]]>",
    "\N{RIGHT-TO-LEFT OVERRIDE}txet\N{POP DIRECTIONAL FORMATTING}",
    "../../etc/passwd",
    "C:\\kitchen\\*?.xlsx",
    "tomato \N{TOMATO}\N{VARIATION SELECTOR-16}",
    "a\ttab and\na new line",
    "_x0041_ _x001B_",
    "½ Ω жито 酢 é",
    "{{7*7}} %s {0} $(ls) `ls`",
    "x" * 300,
)
"""Text that some program or other would take for more than text."""

NO_FIGURE = ("soon", "a few", "12 handfuls", "1/0", "NaN", "--", "=", "lots of lb", "½½", "1e999")
"""What nobody can read as an amount, in any unit."""

FIGURES = ("number", "amount", "date", "whole", "time", "volume", "weight", "length", "minutes", "choice")

LONGEST = "y" * 32767
"""The longest text that a cell can hold."""


@dataclass
class Made:
    """A workbook on disk, and the cells that hold what cannot be read."""

    path: Path
    unreadable: list[str] = field(default_factory=list)
    hostile: list[str] = field(default_factory=list)


def make(path: Path, number: int) -> Made:
    """Write the workbook of this number; small numbers are changed little, every seventh a great deal."""
    chance = random.Random(f"workbook {number}")
    content = sound(chance)
    made = Made(path)
    changes = chance.choice((0, 1, 1, 2, 3)) if number % 7 else chance.randint(4, 30)
    if chance.random() < 0.35:
        rename(content, chance, made)
    garbage = [change(content, chance) for _ in range(changes)]
    shuffle(content, chance)
    write(content, chance, made, [spot for spot in garbage if spot is not None])
    return made


def sound(chance: random.Random) -> Content:
    """The kitchen with its figures varied, sometimes with a second crop and preserve."""
    content: Content = copy.deepcopy(KITCHEN)
    content["Harvest"][0]["Amount"] = chance.choice((0.5, 12, 60, 140, "53 lb", "1 1/2 lb"))
    content["Hours"][0] |= dict.fromkeys(("Mon", "Fri", "Sat"), chance.choice((0, 2, 6)))
    content["Containers"][0]["On hand"] = chance.choice((0, 7, 24))
    content["Lids"][0]["On hand"] = chance.choice((0, 5, 24))
    if chance.random() < 0.5:
        content["Crops"].append({"Crop": "green bean", "Keeps days": 3, "Unit": "lb"})
        content["Harvest"].append({"Picked on": FRIDAY, "Crop": "green bean", "Amount": chance.choice((4, 20))})
        content["Containers"].append(
            {"Container": "pint bag", "Kind": "bag", "Holds": 1, "Unit": "pint", "On hand": 20}
        )
        content["Preserves"].append({"Preserve": "frozen beans", "Method": "frozen", "Container": "pint bag", "Hands-on min each": 4, "Kept in": "freezer", "Source": "the extension leaflet on our wall"})  # fmt: skip
        content["Ingredients"].append(
            {"Preserve": "frozen beans", "Item": "green bean", "Amount each": 0.75, "Unit": "lb"}
        )
        content["Winter list"].append({"Target": "beans", "Wanted": chance.choice((0, 6, 30)), "Unit": "pints", "Importance": chance.choice((1, 2, 3))})  # fmt: skip
        content["Counts toward"].append({"Target": "beans", "Preserve": "frozen beans"})
    if chance.random() < 0.3:
        content["Record"] = [{"Date": FRIDAY - datetime.timedelta(days=chance.randint(0, 5)), "Preserve": "tomato juice, quart", "Made": chance.randint(0, 7), "Crop": "plum tomato", "Crop used": 20, "Unit": "lb"}]  # fmt: skip
    return content


NAMED = {"Crop": "Crops", "Preserve": "Preserves", "Target": "Winter list", "Container": "Containers"}
POINTS = {"Item", "Lid", "Equipment"} | set(NAMED)


def rename(content: Content, chance: random.Random, made: Made) -> None:
    """Call a crop, a need, a container or a preserve by a hostile name, wherever it stands."""
    heading = chance.choice(sorted(NAMED))
    row = chance.choice(content[NAMED[heading]])
    new, old = chance.choice(HOSTILE), row[heading]
    made.hostile.append(new)
    if heading == "Crop":
        row["Handbook food"] = "tomato" if "tomato" in old else "snap beans"
    for rows in content.values():
        for each in rows:
            for place in POINTS & set(each):
                if each[place] == old:
                    each[place] = new


def change(content: Content, chance: random.Random) -> tuple[dict[str, Any], str] | None:
    """Do one thing to the content; gives the row and heading of a cell that nobody can read, if that was it."""
    name = chance.choice(sorted(content))
    rows = content[name]
    row = chance.choice(rows) if rows else {}
    columns = tables()[name].columns
    column = chance.choice(columns)
    kind = chance.randrange(10)
    if kind == 0:
        rows.append(dict(row))
    elif kind == 1 and rows:
        rows.remove(row)
    elif kind == 2:
        row[column.heading] = None
    elif kind == 3:
        row[column.heading] = chance.choice((0, -1, 1e9, 3.5, 1e-12, True, datetime.date(1900, 1, 5), "#DIV/0!"))
    elif kind == 4:
        row[column.heading] = chance.choice((*HOSTILE, LONGEST) if chance.random() < 0.1 else HOSTILE)
    elif kind == 5 and len(content) > 1 and chance.random() < 0.2:
        del content[name]
    elif kind >= 6 and column.kind in FIGURES and rows:
        row[column.heading] = chance.choice(NO_FIGURE)
        return row, column.heading
    return None


def shuffle(content: Content, chance: random.Random) -> None:
    """Mix the rows of some tables."""
    for rows in content.values():
        if chance.random() < 0.3:
            chance.shuffle(rows)


def write(content: Content, chance: random.Random, made: Made, garbage: list[tuple[dict[str, Any], str]]) -> None:
    """Write the workbook: each table on a sheet, its columns mixed now and then, with columns of the household's own."""
    book = Workbook()
    book.active["A1"] = "our kitchen"
    for name, rows in content.items():
        headings = list(tables()[name].headings)
        if chance.random() < 0.2:
            chance.shuffle(headings)
        if chance.random() < 0.2:
            headings.insert(chance.randrange(len(headings) + 1), "Ours")
        sheet = book.create_sheet(name)
        sheet.append(headings)
        for number, row in enumerate(rows, 2):
            for place, heading in enumerate(headings, 1):
                value = row.get(heading, "ours" if heading == "Ours" else None)
                if value is not None:
                    cell = sheet.cell(number, place)
                    cell.value = value
                    if isinstance(value, str) and not value.startswith("#"):
                        cell.data_type = "s"
                if any(row is spot and heading == where for spot, where in garbage) and value in NO_FIGURE:
                    made.unreadable.append(f"{name}!{get_column_letter(place)}{number}")
        sheet.add_table(
            Table(
                displayName=name.replace(" ", "_"), ref=f"A1:{get_column_letter(len(headings))}{max(len(rows), 1) + 1}"
            )
        )
    book.save(made.path)
