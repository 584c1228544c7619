"""Cells as people type them: what is plain is read, and what safety rests on keeps its strict reading."""

from __future__ import annotations

import datetime

import pytest
from tests import small_kitchen
from tests.small_kitchen import FRIDAY, KITCHEN, WEEKDAYS

from stillroom.household.units import POUND_KG
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader import household as read

TYPED = {
    "Kitchen": [
        *KITCHEN["Kitchen"],
        {"Setting": "day starts at", "Value": "7am"},
        {"Setting": "latest end", "Value": "9 PM"},
        {"Setting": "spending limit", "Value": "60 dollars"},
    ],
    "Hours": [
        {"What": "hands"}
        | dict(zip(WEEKDAYS, ("3h", "2h15m", "2:15", "half an hour", 4, "1 1/2", "90 min"), strict=True)),
        {"What": "stove free"} | dict.fromkeys(WEEKDAYS, datetime.time(2, 30)),
    ],
    "Crops": [{"Crop": "plum tomato", "Handbook food": "tomato", "Keeps days": 4, "Unit": "lb", "Bushel weighs": 53}],
    "Harvest": [
        {"Picked on": "8/13", "Crop": "tomatoes", "Amount": "1 1/2 bu"},
        {"Picked on": "Aug 14", "Crop": "romas", "Amount": "3 dozen"},
        {"Picked on": "Fri 8/14/26", "Crop": "plum tomatoes", "Amount": "about 12 lb of tomatoes"},
    ],
    "Containers": [
        KITCHEN["Containers"][0]
        | {"On hand": "2 dozen", "Counted on": "8/1", "Price": "$1.50", "Lid": "lids", "Can buy": "A DOZEN"}
    ],
    "Lids": [{"Lid": "lid", "On hand": "six dozen", "Price": "25 cents"}],
    "Pantry": [{"Ingredient": "bottled lemon juice", "On hand": "half a gallon", "Unit": "cup"}],
    "Plan": [{"Day": "8/15", "Preserve": "juice quarts", "Keep at": "a dozen"}],
    "Record": [{"Date": "8/13", "Preserve": "tomato juice", "Made": "half a dozen", "Hands-on hours": "2h15m"}],
}


@pytest.fixture(scope="module")
def kitchen(tmp_path_factory):
    """The household of a workbook in which everything is typed as people talk."""
    path = small_kitchen.build(tmp_path_factory.mktemp("typed") / "kitchen.xlsx", **TYPED)
    household, problems = read.household(Book.open(path), FRIDAY)
    assert [problem for problem in problems if problem.is_error] == []
    return household, problems


def test_hours_times_and_money_are_read(kitchen):
    home = kitchen[0]
    hands, stove = home.hours
    assert hands.by_weekday == (3, 2.25, 2.25, 0.5, 4, 1.5, 1.5)
    assert stove.by_weekday == (2.5,) * 7
    assert home.kitchen.day_starts_at == datetime.time(7)
    assert home.kitchen.latest_end == datetime.time(21)
    assert home.kitchen.spending_limit == 60
    assert (home.containers[0].price, home.lids[0].price) == (1.5, 0.25)


def test_amounts_dates_and_names_are_read(kitchen):
    home = kitchen[0]
    weights = [lot.kg / POUND_KG for lot in home.lots]
    assert weights == pytest.approx([79.5, 36 * 0.062 / 0.91 / POUND_KG, 12])
    assert [lot.picked_on.day for lot in home.lots] == [13, 14, 14]
    assert {lot.crop for lot in home.lots} == {"plum tomato"}
    assert (home.containers[0].on_hand, home.containers[0].can_buy, home.lids[0].on_hand) == (24, 12, 72)
    assert home.containers[0].lid == "lid"
    assert home.pantry[0].on_hand == pytest.approx(8 * 0.2365882365)
    assert [(row.preserve, row.made, row.hands_hours) for row in home.record] == [("tomato juice, quart", 6, 2.25)]


def test_a_line_the_household_keeps_at_a_number_is_read(kitchen):
    lines = [(line.day.day, line.name, line.fix) for line in kitchen[0].plan_lines]
    assert lines == [(15, "tomato juice, quart", 12)]


def test_equipment_is_found_by_its_own_name_only(tmp_path):
    """A part of a name gave no problem, and no equipment."""
    preserves = [KITCHEN["Preserves"][0] | {"Equipment": "big canner"}]
    equipment = [KITCHEN["Equipment"][0] | {"Equipment": "our big canner"}]
    path = small_kitchen.build(tmp_path / "kitchen.xlsx", Preserves=preserves, Equipment=equipment)
    _, problems = read.household(Book.open(path), FRIDAY)
    assert "unknown name" in {problem.kind for problem in problems}


def test_what_an_everyday_name_was_read_as_is_noted_once_and_a_plural_is_not(kitchen):
    noted = [problem.names[:2] for problem in kitchen[1] if problem.kind == "name read as"]
    assert noted == [("tomatoes", "plum tomato"), ("romas", "plum tomato"), ("tomato juice", "tomato juice, quart")]


def test_one_word_that_was_read_as_two_things_is_noted_for_each(tmp_path):
    harvest = [{"Picked on": FRIDAY, "Crop": "tomatoes", "Amount": 60}]
    counts = [{"Target": "juice", "Preserve": "tomatoes"}]
    path = small_kitchen.build(tmp_path / "kitchen.xlsx", Harvest=harvest, **{"Counts toward": counts})
    noted = [one.names[:2] for one in read.household(Book.open(path), FRIDAY)[1] if one.kind == "name read as"]
    assert sorted(noted) == [("tomatoes", "plum tomato"), ("tomatoes", "tomato juice, quart")]


@pytest.mark.parametrize(
    ("table", "heading", "typed", "kind"),
    [
        ("Kitchen", "Value", "about 500 ft", "unreadable amount"),
        ("Kitchen", "Value", "five hundred ft", "unreadable amount"),
        ("Preserves", "Minutes", "an hour", "not a number"),
        ("Preserves", "Minutes", "1:25", "not a number"),
        ("Preserves", "Container", "quart jars", "unknown name"),
        ("Preserves", "Container", "jars", "unknown name"),
        ("Containers", "Holds", "a quart", "unreadable amount"),
        ("Ingredients", "Item", "tomatoes", "unknown name"),
        ("Ingredients", "Amount each", "half a cup", "unreadable amount"),
        ("Ingredients", "Amount each", "12 each", "not a weight"),
    ],
)
def test_what_safety_rests_on_keeps_its_strict_reading(tmp_path, table, heading, typed, kind):
    """Altitude, minutes, jars, acid and what a food is are never guessed."""
    first, *others = KITCHEN[table]
    unit = {"Unit": None} if heading in ("Value", "Holds", "Amount each") else {}
    path = small_kitchen.build(tmp_path / "kitchen.xlsx", **{table: [first | {heading: typed} | unit, *others]})
    _, problems = read.household(Book.open(path), FRIDAY)
    assert kind in {problem.kind for problem in problems if problem.is_error}


def test_an_acid_keeps_its_strict_reading_by_name_and_amount(tmp_path):
    """Vinegar of unknown strength is not the vinegar of 5% in the pantry."""
    pantry = [{"Ingredient": "vinegar (5%)", "On hand": 4, "Unit": "cup"}]
    lines = [KITCHEN["Ingredients"][0], KITCHEN["Ingredients"][1] | {"Item": "vinegar"}]
    path = small_kitchen.build(tmp_path / "kitchen.xlsx", Pantry=pantry, Ingredients=lines)
    _, problems = read.household(Book.open(path), FRIDAY)
    assert "unknown name" in {problem.kind for problem in problems if problem.is_error}
