"""
How many slips of the hand are named: `python3 tests/bench.py slips [--count 10000] [--from 0] [--misses 40]`.

Each is one slip in a small workbook cut out of a demo or a template: a mistyped number, a wrong unit, cells that were
swapped, filled down, shifted or sorted, a heading that was changed, rows that were pasted. The generator knows what is
in the workbook and what a kitchen can have, and nothing of what the reader accepts. It says of each slip, before the
reader sees it, whether it is *detectable*, so that `check` has to name the cells, or *plausible*, so that it may only
be listed as changed since the last plan. A case is known by its number.
"""

from __future__ import annotations

import argparse
import datetime
import io
import multiprocessing
import random
import re
import sys
import tempfile
import time
import traceback
import zipfile
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from openpyxl import Workbook, load_workbook
from openpyxl.utils import get_column_letter, range_boundaries
from openpyxl.utils.datetime import to_excel
from openpyxl.worksheet.table import Table

from stillroom.app.plan import read_book
from stillroom.app.write_plan import changed_lines
from stillroom.household.journal.typed_cells import packed
from stillroom.reports.terminal.plan import check_text
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader.tables import typed_tables
from stillroom.workbook.writer.plan import in_pieces, write_notes

ROOT = Path(__file__).resolve().parents[2]
SOURCES = (
    *("demo/tomato_glut.xlsx", "demo/jar_shortage.xlsx", "demo/freezer_against_canning.xlsx", "demo/shared_plan.xlsx"),
    *("workbook_templates/starting_us.xlsx", "workbook_templates/starting_metric.xlsx"),
)
FRIDAY = datetime.date(2026, 8, 14)
MOST_LINES = 24
HEAD, SPARE = 3, 3
"""The row of the headings, and how many blank rows a table has at its end."""

TABLES = (
    *("Kitchen", "Hours", "Equipment", "Crops", "Harvest", "Containers", "Lids", "Pantry", "Shelf", "Preserves"),
    *("Ingredients", "Winter list", "Counts toward"),
)
NAMES = {
    ("Harvest", "Crop"): ("Crops",),
    ("Containers", "Lid"): ("Lids",),
    ("Shelf", "Preserve"): ("Preserves",),
    ("Preserves", "Container"): ("Containers",),
    ("Ingredients", "Preserve"): ("Preserves",),
    ("Ingredients", "Item"): ("Crops", "Pantry", "Preserves"),
    ("Counts toward", "Target"): ("Winter list",),
    ("Counts toward", "Preserve"): ("Preserves",),
}
"""Columns that name a row of another table."""
LISTED = (
    *(("Kitchen", "Setting"), ("Hours", "What"), ("Preserves", "Method"), ("Preserves", "Handbook line")),
    *(
        ("Preserves", "Kept in"),
        ("Harvest", "Weighed or expected"),
        ("Crops", "Handbook food"),
        ("Pantry", "Handbook item"),
    ),
)
"""Columns of words that are none of one's own choice."""
FREE = ("Note", "Source", "Where")
"""Columns in which anything may be typed."""
MOST: Mapping[str, float] = {
    "Keeps days": 2000, "Bushel weighs": 500, "Eaten fresh each week": 2000, "Minutes to freeze": 600,
    "Frozen keeps weeks": 300, "Trimmings share": 0.95, "Amount": 100_000, "Holds": 2000, "On hand": 100_000,
    "Empties returned per week": 2000, "Price": 2000, "Minutes": 5000, "Smallest batch": 2000, "Hands-on min each": 600,
    "Hands-on min a load": 1500, "Stove min each": 600, "Stove min a load": 1500, "Keeps months": 120,
    "Amount each": 3000, "Wanted": 20_000, "Importance": 3, "Relative priority": 1000, "Meals each": 1000,
    "Shop price": 2000, "Each counts": 1000, "Load": 2000, "How many": 100, "Burners": 20, "Heat-up min": 600,
    "Cool-down min": 600, "Each later week": 2000,
} | dict.fromkeys(("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"), 300)  # fmt: skip
"""More than any household has: common sense, no source."""
ABOVE_ZERO = ("Holds", "Load", "Amount each", "Bushel weighs")
NEEDED = {
    "Kitchen": (), "Hours": ("What",), "Equipment": ("Equipment",), "Crops": ("Crop",), "Harvest": ("Crop", "Amount"),
    "Containers": ("Container", "Holds"), "Lids": ("Lid",), "Pantry": ("Ingredient",), "Shelf": ("Preserve",),
    "Preserves": ("Preserve", "Method", "Container"), "Ingredients": ("Preserve", "Item", "Amount each"),
    "Winter list": ("Target", "Wanted"), "Counts toward": ("Target", "Preserve"),
}  # fmt: skip
"""Without these a row says nothing."""
WORDS = ("some", "?", "a few", "12-15", "ten-ish", "n/a", "lots", "see note", "tbd", "1 or 2")
NO_UNITS = ("min", "hours", "ft", "miles", "lbz", "qrt", "kgs.x", "%", "pounnds", "deg", "inch")
NO_DATES = ("Agu 14", "14th", "2026-13-45", "31 Feb 2026", "next week", "2026-8", "15.15.2026")


# The workbooks: cut out of the demos and the templates, a dozen preserves and all that belongs to them.

Rows = list[list[Any]]


@dataclass(frozen=True)
class Kitchen:
    """
    A small workbook that was planned before: its tables, headings first, and its parts.

    `styles` are the numbers of formats by cell and by kind of moment; `lines` is what `check` prints before any slip.
    """

    name: str
    tables: dict[str, Rows]
    parts: Mapping[str, bytes]
    styles: Mapping[Any, str]
    lines: tuple[str, ...]


@cache
def grids(path: Path) -> dict[str, Rows]:
    """Return the input tables of a workbook, blank rows left out."""
    book = load_workbook(path, data_only=True)
    found = {}
    for sheet in book:
        for table in sheet.tables.values():
            rows = [[cell.value for cell in row] for row in sheet[table.ref]]
            name = table.name.replace("_", " ")
            if name in TABLES:
                found[name] = [rows[0], *(row for row in rows[1:] if any(value not in (None, "") for value in row))]
    return found


def cut(tables: dict[str, Rows], chance: random.Random) -> dict[str, Rows]:
    """Return the tables with a dozen preserves, and of the other rows what belongs to those."""

    def kept(table: str, heading: str, names: set[Any], most: int = 99) -> Rows:
        head, *rows = tables[table]
        at = head.index(heading)
        return [head, *[row for row in rows if row[at] in names][:most]]

    def column(rows: Rows, heading: str) -> set[Any]:
        return {row[rows[0].index(heading)] for row in rows[1:]} - {None}

    head, *preserves = tables["Preserves"]
    include = head.index("Include")
    wanted = [row for row in preserves if row[include] == "yes"]
    some = [head, *chance.sample(wanted, min(7, len(wanted)))]
    found = tables | {"Preserves": some}
    names = column(some, "Preserve")
    for _ in range(3):
        found["Ingredients"] = kept("Ingredients", "Preserve", names)
        names |= column(found["Ingredients"], "Item") & column(tables["Preserves"], "Preserve")
        found["Preserves"] = kept("Preserves", "Preserve", names)
    items = column(found["Ingredients"], "Item")
    found["Crops"] = kept("Crops", "Crop", items)
    found["Pantry"] = kept("Pantry", "Ingredient", items)
    found["Harvest"] = kept("Harvest", "Crop", items, 12)
    found["Containers"] = kept("Containers", "Container", column(found["Preserves"], "Container"))
    found["Lids"] = kept("Lids", "Lid", column(found["Containers"], "Lid"))
    found["Shelf"] = kept("Shelf", "Preserve", names, 6)
    counts = kept("Counts toward", "Preserve", names)
    found["Winter list"] = kept("Winter list", "Target", column(counts, "Target"))
    found["Counts toward"] = counts
    if len(found["Harvest"]) == 1:
        crops = sorted(column(found["Crops"], "Crop"))
        head = found["Harvest"][0]
        for number, crop in enumerate((crops * 4)[:8]):
            row = {"Picked on": FRIDAY + datetime.timedelta(days=number), "Crop": crop, "Amount": 12 + 5 * number}
            found["Harvest"].append([row.get(heading) for heading in head])
    for row in found["Kitchen"]:
        row[1] = (
            {"altitude": 440, "gauge": "dial", "first day": FRIDAY}.get(row[0], row[1]) if row[1] is None else row[1]
        )
    return found


@cache
def kitchens(sources: tuple[str, ...] = SOURCES, cuts: int = 2) -> tuple[Kitchen, ...]:
    """Return the small workbooks, each with the note of a last plan that was made from what is typed in it."""
    found = []
    with tempfile.TemporaryDirectory() as folder:
        for source in sources:
            whole = grids(ROOT / source)
            for number in range(cuts):
                tables = cut({name: [list(row) for row in rows] for name, rows in whole.items()}, random.Random(number))
                path = Path(folder) / "kitchen.xlsx"
                _laid_out(tables).save(path)
                book = Book.open(path)
                write_notes(book, in_pieces("cells", packed(typed_tables(book))))
                book.save()
                lines = check_text(read_book(Book.open(path), FRIDAY).problems, path.name).splitlines()
                with zipfile.ZipFile(path) as package:
                    parts = {name: package.read(name) for name in package.namelist()}
                found.append(
                    Kitchen(f"{Path(source).stem} {number}", tables, parts, styles_of(tables, parts), tuple(lines))
                )
    return tuple(found)


def _laid_out(tables: Mapping[str, Rows]) -> Workbook:
    """Return a workbook with a sheet for each table."""
    book = Workbook()
    book.remove(book.active)
    for name in TABLES:
        sheet = book.create_sheet(name)
        for down, row in enumerate(tables[name]):
            for across, value in enumerate(row):
                sheet.cell(HEAD + down, 1 + across, value)
        last = HEAD + len(tables[name]) - 1 + SPARE
        area = f"A{HEAD}:{get_column_letter(len(tables[name][0]))}{last}"
        sheet.add_table(Table(displayName=name.replace(" ", "_"), ref=area))
    return book


# The slips.


@dataclass
class Slip:
    """
    One slip: what it is, whether it is detectable, and the cells that are typed over, by row and column from 1.

    `only_values` marks a detectable slip of which each cell alone would be right: only the last plan can tell.
    """

    what: str
    detectable: bool
    table: str
    typed: dict[tuple[int, int], Any] = field(default_factory=dict)
    only_values: bool = False


@dataclass(frozen=True)
class Place:
    """A column of a table that is looked at, and the kind of thing in it."""

    kitchen: Kitchen
    table: str
    column: int
    kind: str

    @property
    def heading(self) -> str:
        """The heading of the column."""
        return str(self.kitchen.tables[self.table][0][self.column - 1])

    @property
    def values(self) -> list[Any]:
        """The cells under it."""
        return [row[self.column - 1] for row in self.kitchen.tables[self.table][1:]]

    def filled(self) -> list[int]:
        """The rows of the sheet in which something stands."""
        return [HEAD + 1 + at for at, value in enumerate(self.values) if value not in (None, "")]

    def at(self, row: int) -> Any:
        """The value in a row of the sheet."""
        return self.values[row - HEAD - 1]


def places(kitchen: Kitchen) -> list[Place]:
    """Return the columns in which something is typed and that are no notes, with the kind of what is in them."""
    found = []
    for table in TABLES:
        head, *rows = kitchen.tables[table]
        for number, heading in enumerate(head, start=1):
            values = [row[number - 1] for row in rows if row[number - 1] not in (None, "")]
            if values and heading in headings() and heading not in FREE:
                found.append(Place(kitchen, table, number, kind_of(table, str(heading), values)))
    return found


@cache
def headings() -> frozenset[str]:
    """Return the headings of a starting workbook; any other column is the household's own, and so are sums of it."""
    tables = grids(ROOT / "workbook_templates" / "starting_us.xlsx")
    return frozenset(heading for rows in tables.values() for heading in rows[0]) - set(SUMS)


SUMS = ("Servings a week", "Weeks", "Servings each")
"""Columns of a starting workbook that are only added up in another."""


def kind_of(table: str, heading: str, values: Sequence[Any]) -> str:
    """Return what a column holds, by what is in it."""
    if (table, heading) in NAMES:
        return "name"
    if (table, heading) in LISTED:
        return "listed"
    if heading in ("Unit", "Per unit"):
        return "text" if table == "Winter list" else "unit"
    if all(isinstance(value, datetime.datetime | datetime.date) for value in values):
        return "date"
    if heading in ("Include", "May be frozen whole", "May be from frozen", "Runs overnight"):
        return "yes_no"
    if all(isinstance(value, int | float) for value in values):
        return "number"
    return "value" if heading == "Value" else "text"


Maker = Callable[[random.Random, Kitchen], Slip | None]


def cell_of(chance: random.Random, kitchen: Kitchen, *kinds: str) -> tuple[Place, int] | None:
    """Return a filled cell of one of these kinds."""
    found = [place for place in places(kitchen) if place.kind in kinds and place.filled()]
    if not found:
        return None
    place = chance.choice(found)
    return place, chance.choice(place.filled())


def one(what: str, detectable: bool, place: Place, row: int, value: Any) -> Slip:
    """Return the slip of one cell."""
    return Slip(
        f"{what}: {place.table}, {place.heading}: {place.at(row)!r} -> {value!r}",
        detectable,
        place.table,
        {(row, place.column): value},
    )


def letter_in_number(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "number") or (None, 0)
    if place is None:
        return None
    figures = f"{place.at(row):g}"
    at = chance.randrange(len(figures))
    return one("a letter in a number", True, place, row, figures[:at] + chance.choice("oOlIqx;#ü") + figures[at:])


def word_for_number(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "number") or (None, 0)
    return None if place is None else one("a word for a number", True, place, row, chance.choice(WORDS))


def date_for_number(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "number") or (None, 0)
    return (
        None
        if place is None
        else one("a date for a number", True, place, row, FRIDAY + datetime.timedelta(days=chance.randrange(60)))
    )


def number_for_date(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "date") or (None, 0)
    return (
        None
        if place is None
        else one("no date", True, place, row, chance.choice([*NO_DATES, 14, 8.14, 20260814, True]))
    )


def far_date(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "date") or (None, 0)
    if place is None:
        return None
    year = chance.choice([1926, 1899, 2126, 2062, 2206, 1062, 2006])
    return one(
        "the wrong century", True, place, row, place.at(row).replace(year=year) if year > 1899 else f"{year}-08-14"
    )


def number_for_name(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "name", "listed", "yes_no") or (None, 0)
    value = chance.choice([12, 0.5, 300, FRIDAY])
    return None if place is None else one("a number for a name", True, place, row, value)


def no_yes(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "yes_no") or (None, 0)
    return (
        None
        if place is None
        else one(
            "neither yes nor no", True, place, row, chance.choice(["maybe", "yss", "noo", "?", "yes no", "2", "some"])
        )
    )


def misspelt(text: str, chance: random.Random) -> str:
    """Return a word with one slip of the finger: two letters swapped, one left out, doubled or beside the right one."""
    letters = [at for at, sign in enumerate(text) if sign.isalpha()]
    at = chance.choice(letters or [0])
    way = chance.randrange(4)
    if way == 0 and at + 1 < len(text):
        return text[:at] + text[at + 1] + text[at] + text[at + 2 :]
    if way == 1:
        return text[:at] + text[at + 1 :]
    if way == 2:
        return text[:at] + text[at] + text[at:]
    return text[:at] + chance.choice("aeiostrnqz") + text[at + 1 :]


def like(text: Any) -> str:
    """Return what two spellings have in common that nobody would call different."""
    return "".join(word.removesuffix("s") for word in re.findall(r"\w+|\W", str(text).casefold()) if word.strip())


def unknown_name(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "name", "listed") or (None, 0)
    if place is None:
        return None
    text = str(place.at(row))
    now = (
        misspelt(text, chance)
        if chance.random() < 0.8
        else chance.choice(["moonstones", "my recipe", "abc", "that one"])
    )
    known = {
        like(value) for other in places(kitchen) if other.kind in ("name", "listed", "text") for value in other.values
    }
    return None if like(now) in known or not now.strip() else one("an unknown name", True, place, row, now)


def name_changed(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    """A name misspelt where it is given; detectable where another table names it."""
    table = chance.choice(["Crops", "Pantry", "Containers", "Lids", "Preserves", "Winter list"])
    place = next(one for one in places(kitchen) if one.table == table and one.heading == FIRST[table])
    row = chance.choice(place.filled())
    now = misspelt(str(place.at(row)), chance)
    if like(now) in {like(value) for value in place.values} or not now.strip():
        return None
    users = [other for other in places(kitchen) if table in NAMES.get((other.table, other.heading), ())]
    used = any(like(value) == like(place.at(row)) for other in users for value in other.values)
    return one("a name changed where it is given", used, place, row, now)


FIRST = {
    "Crops": "Crop",
    "Pantry": "Ingredient",
    "Containers": "Container",
    "Lids": "Lid",
    "Preserves": "Preserve",
    "Winter list": "Target",
}


def wrong_unit(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "unit") or (None, 0)
    if place is None:
        return None
    if place.table == "Kitchen":
        number = str(kitchen.tables["Kitchen"][row - HEAD][1])
        return (
            one("a wrong unit", True, place, row, chance.choice(["lbz", "dozen", "qrt", "%"]))
            if number != "None"
            else None
        )
    return one("a wrong unit", True, place, row, chance.choice(NO_UNITS))


def unit_in_amount(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "number") or (None, 0)
    return (
        None
        if place is None
        else one(
            "a wrong unit in the cell",
            True,
            place,
            row,
            f"{place.at(row):g} {chance.choice(['ft', 'lbz', 'miles', 'xx', '%%'])}",
        )
    )


def out_of_range(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "number") or (None, 0)
    if place is None or place.heading not in MOST:
        return None
    most, number = MOST[place.heading], float(place.at(row))
    low = [-1, -abs(number) or -5] + ([0] if place.heading in ABOVE_ZERO else [])
    high = [most * 10, most * 1000, 10.0 * number if 10 * number > most else most * 20]
    return one("outside what any kitchen has", True, place, row, chance.choice(low + high))


def other_number(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "number") or (None, 0)
    if place is None:
        return None
    number = float(place.at(row))
    now = chance.choice([number + 1, number * 2, round(number * 0.7, 2), number + 10, abs(number - 1)])
    return None if now == number else one("another number", False, place, row, now)


def two_figures_swapped(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "number") or (None, 0)
    if place is None:
        return None
    figures = f"{place.at(row):g}"
    now = float(figures[::-1]) if figures.isdecimal() else float(place.at(row)) / 10
    return None if now == place.at(row) else one("figures swapped", False, place, row, now)


def number_as_text(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "number") or (None, 0)
    return None if place is None else one("a number as text", False, place, row, f"{place.at(row):g}")


def other_day(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "date") or (None, 0)
    return (
        None
        if place is None
        else one(
            "another day",
            False,
            place,
            row,
            place.at(row) + datetime.timedelta(days=chance.choice([-2, -1, 1, 2, 7, 10])),
        )
    )


def other_name(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "name", "yes_no", "unit") or (None, 0)
    if place is None:
        return None
    others = sorted({str(value) for value in place.values if value not in (None, "", place.at(row))})
    if place.kind == "yes_no":
        others = ["no" if place.at(row) == "yes" else "yes"]
    return one("another name", False, place, row, chance.choice(others)) if others else None


def cleared(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "number", "date", "name", "listed", "yes_no", "unit", "text", "value") or (
        None,
        0,
    )
    if place is None:
        return None
    return one("a cell cleared", place.heading in NEEDED[place.table], place, row, None)


def stray(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    """A letter typed into a blank row at the end of a table."""
    place = chance.choice(places(kitchen))
    row = HEAD + len(kitchen.tables[place.table]) + chance.randrange(SPARE - 1)
    sign = chance.choice("xqaü.1`")
    return Slip(
        f"a stray sign: {place.table}, {place.heading}: {sign!r}", True, place.table, {(row, place.column): sign}
    )


def stray_in_row(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    """A letter typed into a blank cell of a column of numbers or dates."""
    found = [one for one in places(kitchen) if one.kind in ("number", "date") and len(one.filled()) < len(one.values)]
    if not found:
        return None
    place = chance.choice(found)
    row = chance.choice([HEAD + 1 + at for at in range(len(place.values)) if HEAD + 1 + at not in place.filled()])
    return one("a stray sign", True, place, row, chance.choice("xqaü`"))


def swapped_across(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    """Two cells of a row swapped, of which one holds a number and the other a name."""
    table = chance.choice(TABLES)
    mine = [place for place in places(kitchen) if place.table == table]
    pairs = [
        (a, b)
        for a in mine
        for b in mine
        if a.kind == "number" and b.kind in ("name", "listed", "unit", "date") and set(a.filled()) & set(b.filled())
    ]
    if not pairs:
        return None
    first, second = chance.choice(pairs)
    row = chance.choice(sorted(set(first.filled()) & set(second.filled())))
    typed = {(row, first.column): second.at(row), (row, second.column): first.at(row)}
    return Slip(f"swapped across: {table}, {first.heading} and {second.heading}", True, table, typed)


def swapped_down(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "number", "name", "date", "unit") or (None, 0)
    if place is None:
        return None
    others = [other for other in place.filled() if place.at(other) != place.at(row)]
    if not others:
        return None
    other = chance.choice(others)
    typed = {(row, place.column): place.at(other), (other, place.column): place.at(row)}
    return Slip(f"swapped down: {place.table}, {place.heading}", False, place.table, typed)


def filled_down(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place, row = cell_of(chance, kitchen, "number", "name", "date", "unit", "text", "listed") or (None, 0)
    if place is None:
        return None
    below = [other for other in range(row + 1, HEAD + 1 + len(place.values)) if place.at(other) != place.at(row)]
    typed = {(other, place.column): place.at(row) for other in below}
    what = f"filled down: {place.table}, {place.heading} from row {row}"
    return Slip(what, True, place.table, typed, only_values=True) if len(below) >= 3 else None


def shifted_down(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    """A cell put into a column, which pushes those below it down by one."""
    place, row = cell_of(chance, kitchen, "number", "name", "date", "unit", "text", "listed") or (None, 0)
    if place is None:
        return None
    end = HEAD + 1 + len(place.values)
    below = range(row, end)
    typed = {(row, place.column): None} | {(other + 1, place.column): place.at(other) for other in below}
    old = {(other, place.column): place.at(other) for other in below} | {(end, place.column): None}
    typed = {at: value for at, value in typed.items() if value != old[at]}
    what = f"shifted down: {place.table}, {place.heading} from row {row}"
    return Slip(what, True, place.table, typed, only_values=True) if len(typed) >= 4 else None


def shifted_right(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    """Cells put into several rows, which push the rest of these rows to the right."""
    table = chance.choice([one for one in TABLES if one != "Kitchen"])
    head, *rows = kitchen.tables[table]
    width = len([heading for heading in head if heading in headings()])
    numbers = [
        place.column for place in places(kitchen) if place.table == table and place.kind in ("number", "name", "date")
    ]
    if len(rows) < 3 or not numbers:
        return None
    column, top = chance.choice(numbers), chance.randrange(len(rows) - 2)
    typed = {}
    for at in range(top, min(top + 8, len(rows))):
        now = [*rows[at][: column - 1], None, *rows[at][column - 1 : width - 1]]
        typed |= {
            (HEAD + 1 + at, number): value
            for number, value in enumerate(now, start=1)
            if value != rows[at][number - 1] and head[number - 1] not in FREE
        }
    return (
        Slip(f"shifted right: {table} from {head[column - 1]}", True, table, typed, only_values=True)
        if len(typed) >= 3
        else None
    )


def sorted_alone(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    """One column sorted without the rest of its table."""
    place, _ = cell_of(chance, kitchen, "number", "name", "date", "text") or (None, 0)
    if place is None:
        return None
    rows = place.filled()
    values = sorted(
        (place.at(row) for row in rows), key=lambda value: (str(type(value)), value), reverse=chance.random() < 0.5
    )
    typed = {(row, place.column): value for row, value in zip(rows, values, strict=True) if value != place.at(row)}
    what = f"sorted alone: {place.table}, {place.heading}"
    return Slip(what, True, place.table, typed, only_values=True) if len(typed) >= 3 else None


def heading_changed(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    place = chance.choice(places(kitchen))
    heads = {like(heading) for heading in kitchen.tables[place.table][0]}
    now = (
        misspelt(place.heading, chance)
        if chance.random() < 0.6
        else chance.choice(["Column7", "things", "mine", "12", "Total"])
    )
    if like(now) in heads or not now.strip():
        return None
    return Slip(
        f"a heading changed: {place.table}, {place.heading} -> {now}", True, place.table, {(HEAD, place.column): now}
    )


def rows_pasted(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    """Rows of the table pasted once more under it."""
    table = chance.choice([one for one in TABLES if len(kitchen.tables[one]) > 3])
    rows = kitchen.tables[table][1:]
    top = chance.randrange(len(rows) - 1)
    end = HEAD + 1 + len(rows)
    typed = {
        (end + down, number): value
        for down, row in enumerate(rows[top : top + 2])
        for number, value in enumerate(row, start=1)
        if value not in (None, "")
    }
    return Slip(f"rows pasted again: {table}", table not in ("Harvest", "Shelf"), table, typed)


def rows_of_another(chance: random.Random, kitchen: Kitchen) -> Slip | None:
    """Rows of another table pasted under this one: names where numbers belong."""
    table, other = chance.sample(
        ["Crops", "Harvest", "Containers", "Preserves", "Ingredients", "Winter list", "Pantry"], 2
    )
    end, wide = HEAD + len(kitchen.tables[table]), len(kitchen.tables[table][0])
    typed = {
        (end + down, number): value
        for down, row in enumerate(kitchen.tables[other][1:3])
        for number, value in enumerate(row[:wide], start=1)
        if value not in (None, "")
    }
    return Slip(f"rows of {other} pasted into {table}", True, table, typed)


MAKERS: Mapping[Maker, int] = {
    letter_in_number: 6, word_for_number: 5, date_for_number: 3, number_for_date: 4, far_date: 2, number_for_name: 4,
    no_yes: 2, unknown_name: 8, name_changed: 5, wrong_unit: 5, unit_in_amount: 3, out_of_range: 7, other_number: 5,
    two_figures_swapped: 3, number_as_text: 3, other_day: 3, other_name: 4, cleared: 5, stray: 4, stray_in_row: 3,
    swapped_across: 4, swapped_down: 3, filled_down: 5, shifted_down: 4, shifted_right: 4, sorted_alone: 4,
    heading_changed: 7, rows_pasted: 3, rows_of_another: 2,
}  # fmt: skip


def slip_of(number: int, among: Sequence[Kitchen] = ()) -> tuple[Kitchen, Slip]:
    """Return the slip of a number, and the workbook it is made in."""
    chance = random.Random(f"slip {number}")
    while True:
        kitchen = chance.choice(among or kitchens())
        maker = chance.choices(list(MAKERS), weights=list(MAKERS.values()))[0]
        slip = maker(chance, kitchen)
        if slip is not None and slip.typed:
            return kitchen, slip


# What the reader makes of it.


def lines_of(kitchen: Kitchen, slip: Slip, path: Path) -> tuple[list[str], list[str]]:
    """Write the workbook with the slip, and return the lines of `check` and those on what changed."""
    path.write_bytes(bent(kitchen, slip))
    reading = read_book(Book.open(path), FRIDAY)
    changed = changed_lines(reading)
    return check_text(reading.problems, path.name).splitlines(), changed


def bent(kitchen: Kitchen, slip: Slip) -> bytes:
    """Return the workbook with the slip: its sheet written anew, and a changed heading in the table as well."""
    number = TABLES.index(slip.table) + 1
    sheet, table = f"xl/worksheets/sheet{number}.xml", f"xl/tables/table{number}.xml"
    cells = {
        (HEAD + down, across): value
        for down, row in enumerate(kitchen.tables[slip.table])
        for across, value in enumerate(row, start=1)
    }
    cells |= slip.typed
    rows: dict[int, list[str]] = {}
    for (row, column), value in sorted(cells.items()):
        if value is not None:
            rows.setdefault(row, []).append(cell_text(kitchen, slip.table, row, column, value))
    data = "".join(f'<row r="{row}">{"".join(several)}</row>' for row, several in rows.items())
    start, _, rest = kitchen.parts[sheet].partition(b"<sheetData>")
    parts = {
        **kitchen.parts,
        sheet: b"<sheetData>".join((start, data.encode() + b"</sheetData>" + rest.partition(b"</sheetData>")[2])),
    }
    for (row, column), value in slip.typed.items():
        if row == HEAD:
            old, new = (
                f'name="{escape(str(name))}"'.encode() for name in (kitchen.tables[slip.table][0][column - 1], value)
            )
            before, beginning, after = parts[table].partition(b'<tableColumn id="%d"' % column)
            parts[table] = before + beginning + after.replace(old, new, 1)
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as package:
        for name, content in parts.items():
            package.writestr(name, content)
    return file.getvalue()


def cell_text(kitchen: Kitchen, table: str, row: int, column: int, value: Any) -> str:
    """Return a cell as it is stored: a date typed anywhere looks like one, anything else keeps the look of its cell."""
    look = kitchen.styles.get(kind_of_moment(value) or (table, row, column), "0")
    start = f'<c r="{get_column_letter(column)}{row}" s="{look}"'
    if isinstance(value, bool):
        return f'{start} t="b"><v>{value:d}</v></c>'
    if kind_of_moment(value):
        value = to_excel(value)
    if isinstance(value, int | float):
        return f"{start}><v>{value!r}</v></c>"
    return f'{start} t="inlineStr"><is><t xml:space="preserve">{escape(str(value))}</t></is></c>'


def kind_of_moment(value: Any) -> str:
    """Return "date" or "time"; blank for anything else."""
    return "date" if isinstance(value, datetime.date) else "time" if isinstance(value, datetime.time) else ""


def styles_of(tables: Mapping[str, Rows], parts: Mapping[str, bytes]) -> dict[Any, str]:
    """Return the number of the format of each cell with a date or a time, and of dates and times as such."""
    found: dict[Any, str] = {}
    for number, name in enumerate(TABLES, start=1):
        part = parts[f"xl/worksheets/sheet{number}.xml"].decode()
        looks = dict(re.findall(r'<c r="([A-Z]+\d+)"[^>]*? s="(\d+)"', part))
        for down, row in enumerate(tables[name]):
            for across, value in enumerate(row, start=1):
                if kind := kind_of_moment(value):
                    look = looks[f"{get_column_letter(across)}{HEAD + down}"]
                    found[name, HEAD + down, across] = found[kind] = look
    return found


PLACE = re.compile(r"\(([^(),]+), cells? ([A-Z0-9:, ]+?)(?:,? and \d+ more)?\)")
CHANGED = re.compile(r"([^:]+?) ([A-Z]+\d+(?::[A-Z]+\d+)?): ")
WITHIN = re.compile(r"([A-Z][a-z]+(?: [a-z]+)*)!([A-Z]+\d+(?::[A-Z]+\d+)?)")


def names_a_cell(lines: Sequence[str], slip: Slip) -> bool:
    """Whether a line names one of the cells of a slip, or cells among which one of them is."""
    for line in lines:
        found = [*PLACE.findall(line), *WITHIN.findall(line)]
        if (start := CHANGED.match(line)) is not None:
            found.append(start.groups())
        for sheet, cells in found:
            if sheet == slip.table and any(_meets(cell, slip) for cell in cells.split(", ") if cell):
                return True
    return False


def _meets(cells: str, slip: Slip) -> bool:
    """Whether a range has a cell of a slip; of cells that were moved against others of their rows, one of the rows."""
    left, top, right, bottom = range_boundaries(cells)
    return any(top <= row <= bottom and (left <= column <= right or slip.only_values) for row, column in slip.typed)


def outcome(number: int, among: Sequence[Kitchen] = ()) -> tuple[int, str, str, float]:
    """Return the number of a slip, what became of it, what it was, and the seconds it took."""
    kitchen, slip = slip_of(number, among)
    began = time.process_time()
    with tempfile.TemporaryDirectory() as folder:
        try:
            lines, changed = lines_of(kitchen, slip, Path(folder) / "kitchen.xlsx")
        except Exception:
            return number, "traceback", f"{kitchen.name}: {slip.what}: {traceback.format_exc().splitlines()[-1]}", 0.0
    return (
        number,
        judged(slip, kitchen.lines, lines, changed),
        f"{kitchen.name}: {slip.what}",
        time.process_time() - began,
    )


def judged(slip: Slip, before: Sequence[str], lines: Sequence[str], changed: Sequence[str]) -> str:
    """Return in a word what the reader made of a slip; what it printed `before` the slip names nothing."""
    if len(lines) + len(changed) > MOST_LINES:
        return "too many lines"
    new = [line for line in lines if line not in before]
    named, listed = names_a_cell(new, slip), names_a_cell(changed, slip)
    if slip.detectable:
        return "named" if named else "listed" if listed and slip.only_values else "silent"
    return "plausible, listed" if named or listed else "plausible, not listed"


GOOD = ("named", "listed", "plausible, listed")


def main(words: Sequence[str] | None = None) -> int:
    """Make the slips on every core; 1 when one came out wrong, else 0."""
    parser = argparse.ArgumentParser(description="Make slips in workbooks.")
    parser.add_argument("--count", type=int, default=10_000, help="how many slips (10,000)")
    parser.add_argument("--from", type=int, default=0, dest="first", help="the number of the first (0)")
    parser.add_argument("--misses", type=int, default=40, help="how many of those that came out wrong are listed (40)")
    parser.add_argument("--workers", type=int, default=None, help="how many processes (one for each core)")
    chosen = parser.parse_args(words)
    began, counts, seconds, shown = time.monotonic(), Counter[str](), 0.0, 0
    kitchens()  # built once, before the processes part
    with multiprocessing.get_context("fork").Pool(chosen.workers) as pool:
        for number, found, what, took in pool.imap(outcome, range(chosen.first, chosen.first + chosen.count), 20):
            counts[found] += 1
            seconds += took
            if found not in GOOD and shown < chosen.misses:
                shown += 1
                print(f"slip {number}: {found}: {what}", flush=True)
    wrong = chosen.count - sum(counts[one] for one in GOOD)
    detectable = counts["named"] + counts["listed"] + counts["silent"]
    print(
        f"{chosen.count:,} slips in {time.monotonic() - began:.0f} s, {seconds / chosen.count:.3f} s of work each. "
        f"{detectable:,} detectable: {counts['named']:,} named with what is wrong, {counts['listed']:,} listed as filled "
        f"down, moved or sorted since the last plan, {counts['silent']} silent. {counts['plausible, listed']:,} plausible "
        f"listed as changed, {counts['plausible, not listed']} not. {counts['too many lines']} over {MOST_LINES} lines, "
        f"{counts['traceback']} tracebacks."
    )  # fmt: skip
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
