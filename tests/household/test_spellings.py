"""What people type, read: two lists of spellings, written down before the code that reads them."""

from __future__ import annotations

import csv
import datetime
import re
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.handbook import foods as foods_module
from stillroom.handbook.crop_figures import kg_each
from stillroom.handbook.foods import meaning
from stillroom.household import amounts, names
from stillroom.household.records import (
    Container,
    Crop,
    Household,
    Kitchen,
    Lid,
    PantryItem,
    Preserve,
)
from stillroom.household.text import with_plain_dates
from stillroom.household.units import MeasureWrong

LISTS = Path(__file__).with_name("spellings")
EVERYDAY = Path(names.__file__).with_name("everyday_names.csv")
FRIDAY = datetime.date(2026, 8, 14)

US_CROPS = (
    *("plum tomato", "slicing tomato", "snap beans", "sweet corn", "cucumbers", "sweet peppers", "hot peppers"),
    *("onions", "carrots", "beets", "cabbage", "potatoes", "apples", "peaches", "summer squash", "winter squash"),
    *("green peas", "strawberries", "berries", "leafy greens"),
)
US_PRESERVES = (
    *("applesauce, pint", "applesauce, quart", "bread-and-butter pickles, pint", "quick dill pickles, pint"),
    *("quick dill pickles, quart", "chile salsa, pint", "crushed tomatoes, quart", "tomato juice, pint"),
    *("tomato juice, quart", "tomato ketchup, pint", "sauerkraut, fermented", "sweet corn, frozen whole kernel"),
    *("sweet corn, pint", "green beans, pint", "green beans, quart", "peaches, quart", "apples, dried"),
    *("strawberry jam, half pint", "pickled beets, pint", "spaghetti sauce without meat, quart"),
    *("snap beans, frozen cut",),
)
METRIC_CROPS = {
    "tomatoes": "tomato",
    "courgettes": "summer squash",
    "French beans": "snap beans",
    "runner beans": None,
    "sweetcorn": "sweet corn",
    "cucumbers": None,
    "peppers": "sweet peppers",
    "chillies": "hot peppers",
    "beetroot": "beets",
    "peas": "green peas",
    "pumpkin": "winter squash",
    **dict.fromkeys(("onions", "carrots", "cabbage", "potatoes", "apples", "pears", "plums", "cherries")),
}
METRIC_PRESERVES = (
    *("tomato passata, 500 ml", "tomato passata, 1 L", "apple puree, 500 ml", "plum chutney, 250 ml"),
    *("dill gherkins, 1 L", "pickled beetroot, 500 ml", "frozen peas", "frozen French beans", "dried apple rings"),
    *("cherry compote, 500 ml", "pear halves, 1 L", "sauerkraut, crock", "onion relish, 250 ml"),
    *("tomato relish, 250 ml",),
)


@cache
def kitchen(units: str) -> Household:
    """One of the two households of the lists."""
    if units == "us":
        crops = tuple(Crop(name, 5, bushel_kg=20.0, each_kg=0.2) for name in US_CROPS)
        preserves, stocks = US_PRESERVES, ("quart jar", "pint jar", "half-pint jar", "dry bag", "box")
        lids, pantry = ("regular lid",), ("vinegar (5%)", "salt", "bottled lemon juice", "sugar")
        home = Kitchen(FRIDAY)
    else:
        crops = tuple(Crop(name, 5, food, each_kg=0.2, unit="kg") for name, food in METRIC_CROPS.items())
        preserves, stocks = METRIC_PRESERVES, ("500 ml jar", "1 L jar", "250 ml jar", "freezer box")
        lids, pantry = ("63 mm lid", "82 mm lid"), ("vinegar 5%", "sugar", "salt")
        home = Kitchen(FRIDAY, weight_unit="kg", volume_unit="L", currency="")
    return Household(
        home,
        crops=crops,
        preserves=tuple(Preserve(name, "frozen", "box") for name in preserves),
        containers=tuple(Container(name, "jar", 1.0) for name in stocks),
        lids=tuple(Lid(name, 1.0) for name in lids),
        pantry=tuple(PantryItem(name, "kg") for name in pantry),
    )


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of one list."""
    with (LISTS / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def reading(row: dict[str, str]) -> str:
    """What is read of one row, in the words of the list."""
    home, typed, of = kitchen(row["units"]), row["typed"], row["of"]
    if row["kind"] == "amount":
        amount = amounts.parse_amount(typed, home.crop(of), home)
        return f"{amount.number:g} {amount.unit.name}"
    if row["kind"] == "date":
        today = datetime.date.fromisoformat(of.removeprefix("today ")) if of.startswith("today") else FRIDAY
        return amounts.parse_date(typed, home, today, ahead=of == "ahead").isoformat()
    if row["kind"] == "hours":
        return f"{amounts.parse_hours(typed, home):g}"
    if row["kind"] == "time":
        return f"{amounts.clock_from(typed, metric=amounts.is_metric(home)):%H:%M}"
    if row["kind"] == "money":
        return f"{amounts.money_from(typed, home.kitchen.currency, metric=amounts.is_metric(home)):g}"
    find = {"crop": names.find_crop, "preserve": names.find_preserve, "stock": names.find_stock}[row["kind"]]
    return " | ".join(find(typed, home)) or "unknown"


def found_in(row: dict[str, str]) -> tuple[str, str]:
    """What was read of one row, and why nothing was."""
    try:
        return reading(row), ""
    except MeasureWrong as wrong:
        return "", str(wrong)


def test_what_has_one_meaning_is_read():
    """In one test, so that eight hundred spellings take a second."""
    wrong = [(row, found) for row in rows("read") if (found := found_in(row))[0] != row["reading"]]
    assert wrong == []


def test_what_has_two_meanings_is_refused_with_both():
    wrong = []
    for row in rows("two_readings"):
        found, refused = found_in(row)
        several = found.split(" | ") if row["kind"] in ("crop", "preserve", "stock") else []
        shown = several if len(several) > 1 else refused
        both = [with_plain_dates(row[heading]) for heading in ("reading", "other reading")]
        if not all(reading in shown for reading in both):
            wrong.append((row, found, refused))
    assert wrong == []


WORDS = sorted({word for name in ("read", "two_readings") for row in rows(name) for word in row["typed"].split()})


@given(
    st.lists(st.sampled_from(WORDS), max_size=5).map(" ".join) | st.text(max_size=12), st.sampled_from(["us", "metric"])
)
@settings(max_examples=200, deadline=None)
def test_no_text_whatever_brings_a_traceback(text, units):
    home = kitchen(units)
    for kind in ("amount", "date", "hours", "time", "money", "crop", "preserve", "stock"):
        found_in({"units": units, "kind": kind, "of": home.crops[0].name if kind == "amount" else "", "typed": text})
    name, amount = amounts.parse_entry(text, lambda words: names.find_crop(words, home))
    assert len(name) + len(amount) <= len(text)


def test_the_lists_are_as_long_as_they_should_be():
    read, two = rows("read"), rows("two_readings")
    assert len(read) >= 500
    assert len(two) >= 200
    for many in (read, two):
        us = sum(one["units"] == "us" for one in many)
        assert 0.45 < us / len(many) < 0.55


def test_an_everyday_name_of_a_crop_is_the_same_kind_of_food():
    """The list finds rows, and must never find that of another food; words for preserves name no crop."""
    for typed, means in csv.reader(EVERYDAY.read_text(encoding="utf-8").splitlines()[1:]):
        if meaning(means).kinds and meaning(typed).kinds:
            assert meaning(typed).kinds == meaning(means).kinds, typed


def test_nothing_that_decides_about_safety_reads_the_everyday_names():
    """The handbook's package, the fence in it, imports only how names are compared."""
    for path in Path(foods_module.__file__).parent.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert "everyday" not in text, path.name
        assert set(re.findall(r"from stillroom.household.names import (.*)", text)) <= {"key", "key as name_key"}, (
            path.name
        )


def test_a_dozen_weighs_what_the_table_of_weights_says():
    """36 medium ears: 102 g of kernels each, 64% of the ear thrown away."""
    assert kg_each("sweet corn", None) == pytest.approx(0.102 / 0.36)
    assert kg_each("San Marzano", "plum tomato") == pytest.approx(0.062 / 0.91)
    assert kg_each("cucumbers", None) is None
