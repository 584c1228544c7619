"""The examples of a starting workbook: a cook can work by them, and nothing in them is laughed at."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest

from stillroom.handbook import settle
from stillroom.handbook.tables import table
from stillroom.household.journal import stocks
from stillroom.planning.solve import plan
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader import household as read
from stillroom.workbook.schema import tables
from stillroom.workbook.starter import catalogue, start
from stillroom.workbook.starter import examples as targets
from stillroom.workbook.starter.examples import POTS, SETTING_EXAMPLES, hours_rows
from stillroom.workbook.starter.first_rows import EQUIPMENT, starting_contents

WORKDAY = "Mon"
FRIDAY = datetime.date(2026, 8, 14)
MADE = [row for row in starting_contents(gauge="dial").rows["Preserves"] if row["Include"] == "yes"]


def hours(what):
    """The example hours of an evening in the week."""
    return next(row for row in hours_rows() if row["What"] == what)[WORKDAY]


def test_the_kitchen_of_the_examples_has_burners():
    assert {"burners"} <= {setting.heading for setting in tables()["Kitchen"].settings}
    assert SETTING_EXAMPLES["burners"] == 4


def test_a_new_kitchen_has_days_that_can_be_kept():
    said = [SETTING_EXAMPLES[name] for name in ("most preserves in a day", "latest end", "share of hours kept free")]
    assert said == [4, datetime.time(21), 0.1]


@pytest.mark.parametrize("row", MADE, ids=lambda row: row["Preserve"])
def test_whatever_is_to_be_made_can_be_cooked_on_an_evening_in_the_week(row):
    """Pots cook while the stove is free: 4 hours, a tenth kept free, and sauce cooks for 3 in two that share a load."""
    free = hours("stove free") * (1 - SETTING_EXAMPLES["share of hours kept free"])
    assert (row["Stove min a load"] or 0) / 60 / POTS <= free


@pytest.mark.parametrize("metric", [False, True])
def test_the_example_pots_take_what_a_canner_load_is_before_it_boils_down(tmp_path, metric):
    """Also 46.7 lb of tomatoes for seven quarts of spaghetti sauce, which are 14.9 quarts in two pots of 8."""
    contents = starting_contents(metric=metric, gauge="dial", altitude="300m")
    path = tmp_path / "kitchen.xlsx"
    path.write_bytes(start.build(contents))
    household, problems = read.household(Book.open(path), FRIDAY)
    cooked = [item for item in household.planned() if "big pot" in item.equipment]
    assert len(cooked) > 5
    assert all(item.load in (7, 9) for item in cooked)
    assert not [one for one in problems if "pot" in one.kind.split()]


def test_sauce_is_planned_though_nobody_cooks_at_the_weekend(tmp_path):
    """Forty pounds of tomatoes, picked on a Friday and kept to the Tuesday: sauce is made on an evening."""
    contents = starting_contents(altitude="300ft")
    sauces = [row for row in contents.rows["Preserves"] if str(row["Preserve"]).startswith("tomato sauce")]
    rows = {
        **contents.rows,
        "Hours": [{**row, "Sat": 0, "Sun": 0} for row in contents.rows["Hours"]],
        "Preserves": sauces,
        "Ingredients": [
            row for row in contents.rows["Ingredients"] if row["Preserve"] in {one["Preserve"] for one in sauces}
        ],
        "Counts toward": [
            row for row in contents.rows["Counts toward"] if row["Preserve"] in {one["Preserve"] for one in sauces}
        ],
        "Winter list": [row for row in contents.rows["Winter list"] if row["Target"] == "tomato sauce"],
        "Crops": [
            {**row, "Keeps days": 5, "May be frozen whole": "no"} if row["Crop"] == "tomato" else row
            for row in contents.rows["Crops"]
        ],
        "Harvest": [{"Picked on": FRIDAY, "Crop": "tomato", "Amount": 40, "Unit": "lb"}],
    }
    path = tmp_path / "typed.xlsx"
    path.write_bytes(start.build(replace(contents, rows=rows)))
    household, _ = read.household(Book.open(path), FRIDAY)
    household, _ = settle.settle(stocks.settle(household)[0])
    made = plan(household)
    assert sum(amount for (name, _), amount in made.make.items() if name.startswith("tomato sauce")) >= 7


def test_the_stove_s_hours_say_that_they_are_an_example_and_how_they_are_counted():
    note = next(row for row in hours_rows() if row["What"] == "stove free")["Note"]
    assert note == "example: type your own. Hours the stove is free, however many burners it has"


@pytest.mark.parametrize(
    ("crop", "days"),
    [("garlic", 90), ("sweet potatoes", 60), ("turnips", 14), ("celery", 10), ("brussels sprouts", 9),
     ("cauliflower", 7), ("rhubarb", 7), ("apricots", 2)],
)  # fmt: skip
def test_what_keeps_long_is_not_said_to_keep_a_day(crop, days):
    """
    The published store, and the share of it that is counted on, stand in the table of keeping times.

    Half of it: garlic 6 months (Wisconsin Extension), sweet potatoes 4 (Iowa State Extension). A third: celery 1 month
    (MSU Extension), cauliflower 3 weeks and Brussels sprouts 4, apricots 1 (USDA Agriculture Handbook 66), in whole
    days. Turnips as beets; rhubarb the low end of its 1 to 2 weeks.
    """
    row = next(row for row in catalogue.crop_rows(metric=False) if row["Crop"] == crop)
    assert row["Keeps days"] == days
    assert str(row["Note"]).startswith("keeps: ")
    assert next(one for one in table("fresh") if one["food"] == crop)["status"] in ("verified", "derived")


def test_what_the_winter_list_counts_in_quarts_is_made_in_quarts_wherever_it_is_made_in_pints():
    """Two pints take two lids for one quart."""
    chosen = {preserve.line: preserve for preserve in catalogue.chosen()}
    found = 0
    for wish in targets.WISHES:
        for line, preserve in chosen.items():
            quart = chosen.get(line.replace(", pint", ", quart"))
            if wish.unit == "quart" and line.startswith(wish.products) and ", pint" in line and preserve.make:
                assert quart is None or quart.make, line
                found += quart is not None
    assert found >= 3  # sauce, green beans and carrots
    rows = {row["Preserve"]: row for row in catalogue.preserve_rows(EQUIPMENT, metric=False)}
    assert rows["tomato sauce, quart"]["Include"] == rows["tomato sauce, pint"]["Include"] == "yes"
