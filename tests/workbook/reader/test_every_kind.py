"""Each kind of problem of reading, checks and ledger is brought about by one change to a sound workbook."""

import re
import tempfile
from functools import cache
from pathlib import Path

import pytest
from tests.workbook.reader.making import D, opened, sound
from tests.workbook.reader.test_problems import ONE_CELL

from stillroom.errors import KINDS
from stillroom.household import checks
from stillroom.household.journal import stocks
from stillroom.workbook.reader import household as read
from stillroom.workbook.schema import tables

UNITS = ("amounts", "units")
ROOT = Path(__file__).parents[3] / "src" / "stillroom"


def cell(table, row, heading, value):
    """Type one value."""
    return lambda content, book: None if book else content[table][row].__setitem__(heading, value)


def row(table, **values):
    """Add one row."""
    named = {heading.replace("_", " "): value for heading, value in values.items()}
    return lambda content, book: None if book else content[table].append(named)


def no_row(table, number):
    """Take one row out."""
    return lambda content, book: None if book else content[table].pop(number)


def sheet(change):
    """Change the finished workbook."""
    return lambda content, book: change(book) if book else None


def again(book):
    book.copy_worksheet(book["Crops"]).title = "Crops too"
    for name in ("Crops",):
        book[name].tables.clear()


def renamed(book):
    book["Harvest"]["D3"] = "Pile"
    book["Harvest"].tables["Harvest"].tableColumns[2].name = "Pile"


def no_amounts(book):
    renamed(book)
    for row in range(4, 10):
        book["Harvest"][f"D{row}"] = None


def where_renamed(book):
    number = [column.heading for column in tables()["Shelf"].columns].index("Where")
    book["Shelf"].cell(3, number + 2, "Spot")
    book["Shelf"].cell(4, number + 2, "attic")
    book["Shelf"].tables["Shelf"].tableColumns[number].name = "Spot"


def below(book):
    sheet = book["Harvest"]
    last = int(sheet.tables["Harvest"].ref.rpartition("J")[2])
    for column, value in zip("BCD", (D(2026, 8, 14), "carrot", 5), strict=True):
        sheet[f"{column}{last + 1}"] = value


def below_behind_a_gap(book):
    below(book)
    book["Harvest"].move_range("B10:D10", rows=1)


def odd_below(book):
    below(book)
    book["Harvest"]["D10"] = "plenty"


def misspelt(book):
    book["Harvest"]["D3"] = "Amounts"
    book["Harvest"].tables["Harvest"].tableColumns[2].name = "Amounts"


def spaced_elsewhere(book):
    book["Harvest"]["B3"] = "Pick edon"
    book["Harvest"].tables["Harvest"].tableColumns[0].name = "Pick edon"


def below_blank(book):
    book["Harvest"].tables.clear()
    for column, value in zip("BCD", (D(2026, 8, 14), "carrot", 5), strict=True):
        book["Harvest"][f"{column}12"] = value


def in_metric(content):
    for crop in content["Crops"]:
        crop["Unit"] = "kg"


def metric_without_unit(content, book):
    if not book:
        in_metric(content)
        content["Kitchen"][0].update({"Value": 450, "Unit": None})


def metric_comma(content, book):
    if not book:
        in_metric(content)
        content["Harvest"][0]["Amount"] = "1,250 kg"


def metric_pint(content, book):
    if not book:
        in_metric(content)
        content["Containers"][1]["Unit"] = "pint"


def named(book, name, other):
    table = book[name].tables.pop(name)
    table.name = table.displayName = other
    book[name].add_table(table)


def error(book):
    book["Harvest"]["D4"] = "#REF!"
    book["Harvest"]["D4"].data_type = "e"


CHANGES = {
    "table missing": sheet(lambda book: book.remove(book["Counts toward"])),
    "headings twice": sheet(again),
    "table renamed": sheet(lambda book: named(book, "Shelf", "Shelf_2")),
    "table empty": lambda content, book: None if book else content["Harvest"].clear(),
    "table found by headings": sheet(lambda book: book["Crops"].tables.clear()),
    "column missing": sheet(no_amounts),
    "column not known": sheet(renamed),
    "name changed": cell("Containers", 2, "Container", "quart freezer bag"),
    "name filled down": lambda content, book: None if book else [one.__setitem__("Crop", "carrot") for one in content["Crops"]],
    "cells moved": lambda content, book: None if book else [one.update({"Keeps days": "lb", "Unit": "yes"}) for one in content["Crops"]],
    "date for a name": cell("Lids", 1, "Lid", D(2026, 8, 14)),
    "load unit twice": row("Equipment", Equipment="canner", Load=6, Load_unit="Quart jars"),
    "stray cell": row("Harvest", Amount="x"),
    "column perhaps ours": sheet(where_renamed),
    "column twice": lambda content, book: None if book else content["Crops"][0].__setitem__("crop ", "x"),
    "former table name": sheet(lambda book: named(book, "Pantry", "Larder")),
    "required table renamed": sheet(lambda book: named(book, "Harvest", "Harvest_2")),
    "column misspelt": sheet(misspelt),
    "heading read as": sheet(spaced_elsewhere),
    "kitchen empty": lambda content, book: None if book else content["Kitchen"].clear(),
    "blank name": cell("Preserves", 0, "Container", None),
    "blank choice": cell("Preserves", 0, "Method", None),
    "blank text": cell("Equipment", 0, "Kind", None),
    "unit of length blank": metric_without_unit,
    "division by zero": cell("Harvest", 0, "Amount", "3/0 lb"),
    "number too large": cell("Harvest", 0, "Amount", "9" * 400 + " lb"),
    "comma of two meanings": metric_comma,
    "point of two meanings": cell("Kitchen", 0, "Value", "1.450 ft"),
    "no weight of a unit": cell("Harvest", 0, "Amount", "2 flats"),
    "no bushel weight": cell("Crops", 0, "Bushel weighs", None),
    "unit of two sizes": metric_pint,
    "unit not used here": cell("Kitchen", 0, "Unit", "inch"),
    "amount without unit": cell("Pantry", 0, "Per unit", "5"),
    "unreadable time": row("Kitchen", Setting="day starts at", Value="soon"),
    "unknown hours row": row("Hours", What="attic", **dict.fromkeys(("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"), 1)),
    "hands counted twice": row("Hours", What="hands: Ann", **dict.fromkeys(("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"), 1)),
    "name of two things": cell("Pantry", 1, "Ingredient", "Carrot"),
    "ingredient twice": row("Ingredients", Preserve="corn, frozen", Item="sweet corn", Amount_each=1),
    "unit of an acid": row("Ingredients", Preserve="corn, frozen", Item="bottled lemon juice", Amount_each="1 gallon"),
    "weighed after the first day": cell("Harvest", 0, "Picked on", D(2026, 8, 25)),
    "row below a blank row": sheet(below_blank),
    "record row without a name": row("Record", Date=D(2026, 8, 13), Made=5),
    "amount moved blank": row("Record", Date=D(2026, 8, 13), Preserve="freeze whole: plum tomato"),
    "crop of another row": row("Record", Date=D(2026, 8, 13), Preserve="thaw: plum tomato", Crop="carrot", Crop_used=2),
    "which crop": lambda content, book: None if book else (content["Ingredients"].append({"Preserve": "corn, frozen", "Item": "carrot", "Amount each": 1}), content["Record"].append({"Date": D(2026, 8, 13), "Preserve": "corn, frozen", "Made": 1, "Crop used": 2})),
    "bought in another unit": row("Record", Date=D(2026, 8, 13), Preserve="bought: bottled lemon juice", Made=1, Unit="lb"),
    "days of a line": row("Plan", Day=D(2026, 8, 14), Days=3, Preserve="corn, frozen", Keep_at=7),
    "line not counted": row("Plan", Day=D(2026, 8, 14), Preserve="corn, frozen", Keep_at="7 lb"),
    "blank required": cell("Harvest", 0, "Amount", None),
    "not a number": cell("Winter list", 0, "Wanted", "plenty"),
    "unreadable hours": cell("Hours", 0, "Mon", "4 lb"),
    "other money": cell("Containers", 0, "Price", "€2"),
    "name read as": cell("Harvest", 0, "Crop", "tomatoes"),
    "two readings": cell("Harvest", 0, "Amount", "10-12 lb"),
    "date that moves": cell("Harvest", 0, "Picked on", "Sat"),
    "below the least": cell("Hours", 0, "Mon", -4),
    "out of range": cell("Winter list", 0, "Importance", 4),
    "not whole": cell("Winter list", 0, "Importance", 1.5),
    "unreadable amount": cell("Harvest", 0, "Amount", "plenty"),
    "unknown unit": cell("Harvest", 0, "Unit", "crate"),
    "not a weight": cell("Harvest", 0, "Unit", "L"),
    "unreadable text": cell("Winter list", 0, "Target", "juice _x001B_[31m"),
    "unreadable date": cell("Harvest", 0, "Picked on", "soon"),
    "not yes or no": cell("Preserves", 0, "Include", "perhaps"),
    "unreadable choice": cell("Preserves", 0, "Kept in", "attic"),
    "unknown setting": cell("Kitchen", 5, "Setting", "poeple"),
    "same setting twice": cell("Kitchen", 5, "Setting", "altitude"),
    "unknown name": cell("Harvest", 0, "Crop", "quince"),
    "same name twice": cell("Containers", 1, "Container", "Quart Jar"),
    "conflicting rows": cell("Equipment", 1, "Kind", "dryer"),
    "formula never calculated": sheet(lambda book: book["Winter list"].__setitem__("C4", "=1+1")),
    "error value": sheet(error),
    "merged cells": sheet(lambda book: book["Harvest"].merge_cells("B4:B5")),
    "row below the table": sheet(below_behind_a_gap),
    "row below is read": sheet(below),
    "cell below the table": sheet(odd_below),
    "hidden rows": sheet(lambda book: book["Harvest"].row_dimensions[4].__setattr__("hidden", True)),
    "unusual number": cell("Kitchen", 5, "Value", 400),
    "number as text": cell("Hours", 0, "Mon", "4"),
    "planned for likely harvest": cell("Kitchen", 8, "Value", None),
    "bare pint": cell("Containers", 1, "Unit", "pint"),
    "hours unlimited": no_row("Hours", 0),
    "no periods": lambda content, book: None if book else [content["Kitchen"][n].__setitem__("Value", 0) for n in (3, 4)],
    "too many rows": lambda content, book: None if book else content["Crops"].extend({"Crop": f"kind {n}", "Keeps days": 1} for n in range(98)),
    "least above most": cell("Harvest", 2, "Least", 90),
    "bounds of a weighed lot": cell("Harvest", 0, "Least", 9),
    "date far away": cell("Harvest", 0, "Picked on", D(2027, 8, 12)),
    "unknown method": cell("Preserves", 2, "Method", "tinned"),
    "load too small": cell("Equipment", 3, "Load", 4),
    "no load for container": cell("Equipment", 3, "Load unit", "trays"),
    "pot full before it boils down": cell("Ingredients", 0, "Amount each", 5),
    "no density for the pot": cell("Crops", 0, "Handbook food", "grapes"),
    "no ingredients": no_row("Ingredients", 3),
    "ingredient loop": row("Ingredients", Preserve="tomato juice, quart", Item="corn and tomato soup", Amount_each=1),
    "target without preserve": no_row("Counts toward", 0),
    "at most below wanted": cell("Winter list", 0, "At most", 39),
    "no included preserve": cell("Preserves", 1, "Include", "no"),
    "counts toward no target": no_row("Counts toward", 1),
    "no container to be had": cell("Containers", 1, "On hand", 0),
    "hours of a day above people": cell("Hours", 0, "Sat", 97),
    "latest end before start": row("Kitchen", Setting="latest end", Value="7:30 AM"),
    "price missing": lambda content, book: None if book else (content["Kitchen"].append({"Setting": "spending limit", "Value": 9}), content["Containers"][0].__setitem__("Price", None)),
    "minutes spread": cell("Preserves", 2, "Hands-on min a load", 30),
    "fixed line unknown": row("Plan", Day=D(2026, 8, 14), Preserve="jam", Keep_at=3),
    "fixed line past": row("Plan", Day=D(2026, 8, 13), Preserve="corn, frozen", Keep_at=3),
    "fixed line twice": lambda content, book: None if book else content["Plan"].extend([{"Day": D(2026, 8, 14), "Preserve": "corn, frozen", "Keep at": 3}] * 2),
    "fixed line not frozen": row("Plan", Day=D(2026, 8, 14), Preserve="freeze whole: carrot", Keep_at=3),
    "lot past keeping": cell("Harvest", 0, "Picked on", D(2026, 8, 2)),
    "expected lot not weighed": cell("Harvest", 2, "Picked on", D(2026, 8, 12)),
    "lot below zero": row("Record", Date=D(2026, 8, 12), Crop="carrot", Crop_used=3),
    "stock below zero": row("Record", Date=D(2026, 8, 13), Preserve="corn, frozen", Made=60),
    "counted on blank": row("Record", Date=D(2026, 8, 13), Preserve="corn, frozen", Made=1),
    "made twice": lambda content, book: None if book else [content[table].append({name: D(2026, 8, 13), "Preserve": "corn, frozen", "Made": 1}) for table, name in (("Record", "Date"), ("Plan", "Day"))],
}  # fmt: skip


def kinds_of(tmp_path, change=None):
    """Every kind of problem a workbook brings on its way to the handbook."""
    content = sound()
    content["Ingredients"].append({"Preserve": "carrots in sand", "Item": "salt", "Amount each": "1 oz"})
    if change is not None:
        change(content, None)
    book = opened(tmp_path, content, change=None if change is None else lambda made: change(content, made))
    household, problems = read.household(book, D(2026, 8, 14))
    told = problems + checks.problems(household) + stocks.settle(household)[1]
    return [problem.kind for problem in told]


@cache
def kinds_of_the_sound_workbook():
    """The same for all changes, so read once."""
    with tempfile.TemporaryDirectory() as folder:
        return kinds_of(Path(folder))


@pytest.mark.parametrize("kind", CHANGES)
def test_the_change_brings_this_kind_and_the_sound_workbook_does_not(tmp_path, kind):
    before = kinds_of_the_sound_workbook()
    assert kinds_of(tmp_path, CHANGES[kind]).count(kind) > before.count(kind)


def test_every_kind_that_reading_uses_is_brought_about_by_a_test():
    rooms = [*(ROOT / "workbook" / "reader").glob("*.py"), *(ROOT / "household" / f"{name}.py" for name in UNITS)]
    used = {kind for path in rooms for kind in re.findall(r'"([a-z][A-Za-z -]+)"', path.read_text()) if kind in KINDS}
    elsewhere = {"table twice", "not more than nothing", "past rows left out"}  # in test_finding; test_next_year
    assert used - set(CHANGES) - {case[4] for case in ONE_CELL} == elsewhere
