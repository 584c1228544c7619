"""A change may ask for nothing that a workbook could not hold: no negative money, no kitchen below the sea floor."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import stillroom.workbook.schema
from stillroom.household.amounts import number_from
from stillroom.household.examples import tiny_household
from stillroom.household.suppose import ChangeWrong, changed
from stillroom.household.suppose.lookup import MOST
from stillroom.household.suppose.stocks import MOST_PIECES
from stillroom.household.suppose.targets import ALTITUDES_FT, BURNERS, MOST_BEGUN, MOST_DAYS_KEPT, MOST_KEPT_FREE
from stillroom.household.units import MeasureWrong


@pytest.mark.parametrize(
    "text",
    [
        "spending limit -5",
        "most to freeze in a day -3 lb",
        "setup minutes -10",
        "most preserves in a day 0",
        "most preserves in a day 101",
        "share of hours kept free 95%",
        "altitude -20000 ft",
        "altitude 31000",
        "altitude 10000 m",
        "tomato juice wanted -4",
        "tomato keeps -3 days",
        "tomato keeps 100000000 days",
        "quart jar price -3",
        "quart jar can buy -5",
        "burners 0",
        "burners 1000000",
        "spending limit 9999999999999",
        "juice: keep at 99999999999999 on Sat",
        "dryer +2000",
    ],
)
def test_a_figure_that_no_workbook_holds_is_refused_with_its_range(text):
    with pytest.raises(ChangeWrong, match=r"is too (little|much); write a number from"):
        changed(tiny_household(), text)


@pytest.mark.parametrize("text", ["stove Sat 25", "stove free Sat +23", "stove x13", "stove later weeks 168.5"])
def test_a_stove_is_not_free_for_longer_than_a_day_or_a_week(text):
    with pytest.raises(ChangeWrong, match="write hours the stove is free, not burner-hours"):
        changed(tiny_household(), text)


@pytest.mark.parametrize("text", ["stove Sat 24", "stove later weeks 168", "altitude -50 ft", "altitude 0", "spending limit 0", "tomato keeps 0 days", "tomato keeps 1000 days"])  # fmt: skip
def test_the_ends_of_the_range_are_in_it(text):
    assert changed(tiny_household(), text)


def test_the_ranges_are_those_of_the_workbook():
    path = Path(stillroom.workbook.schema.__file__).with_name("schema.toml")
    tables = {table["name"]: table for table in tomllib.loads(path.read_text(encoding="utf-8"))["table"]}
    settings = {one["name"]: one for one in tables["Kitchen"]["setting"]}
    columns = {(name, one["field"]): one for name, table in tables.items() for one in table["columns"]}
    assert (settings["altitude"]["least"], settings["altitude"]["most"]) == ALTITUDES_FT
    assert (settings["burners"]["least"], settings["burners"]["most"]) == BURNERS
    assert settings["most preserves in a day"]["most"] == MOST_BEGUN
    assert settings["share of hours kept free"]["most"] == MOST_KEPT_FREE
    assert columns["Crops", "keeps_days"]["most"] == MOST_DAYS_KEPT
    assert columns["Equipment", "how_many"]["most"] == MOST_PIECES
    assert columns["Winter list", "wanted"]["most"] == MOST


@pytest.mark.parametrize("text", ["9" * 400 + "/1", "1 " + "9" * 400 + "/3", "9" * 5000 + "/3", "1/" + "9" * 5000])
def test_a_fraction_of_more_figures_than_a_number_has_is_a_problem(text):
    with pytest.raises(MeasureWrong, match=r'\.\.\." is too large; type a smaller number'):
        number_from(text)


@pytest.mark.parametrize("text", ["hands Sat 1/0", "stove Sat 1/0", "quart jars 1/0"])
def test_a_wrong_figure_is_not_blamed_on_a_name_that_was_found(text):
    with pytest.raises(ChangeWrong, match="divides by zero"):
        changed(tiny_household(), text)
