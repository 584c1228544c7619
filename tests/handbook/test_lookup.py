"""The handbook as a reference to look things up in."""

from __future__ import annotations

import re

import pytest

from stillroom.handbook.lookup import WORD_TABLES, jar_named, nearest_food, other_rows, practice, rows
from stillroom.handbook.tables import TABLES, table


def test_everything_is_shown_when_nothing_is_asked():
    found = rows()
    assert len(found) > 1_000
    assert all(row.source and row.status for row in found)


def test_an_altitude_picks_one_row_of_each():
    found = [row for row in rows("tomatoes", 2_300, "dial", "quart") if row.key == "tomato juice, hot pack, quart"]
    assert [(row.process, row.altitude) for row in found] == [("45 min", "1,001 to 3,000 ft")]


def test_a_gauge_picks_its_rows():
    found = [row for row in rows("sweet corn", 1_500, "weighted", "pint") if row.key.startswith("sweet corn")]
    assert {row.process for row in found} == {"55 min at 15 lb, weighted"}


def test_both_gauges_are_shown_when_none_is_asked():
    found = [row.process for row in rows("green beans", 500, jar="pint") if row.key == "green beans, raw pack, pint"]
    assert found == ["20 min at 11 lb, dial", "20 min at 10 lb, weighted"]


def test_above_the_tables_there_is_nothing_canned():
    assert {row.method for row in rows("tomatoes", 10_001)} == {"frozen", "dried", "root cellar", "refrigerated"}


def test_what_is_from_memory_can_be_listed():
    found = rows(status="memory")
    assert found
    assert all(row.status == "memory" for row in found)
    assert any("sauerkraut" in row.key for row in found)


@pytest.mark.parametrize("food", ["Courgettes", "kraut", "salsa", "moon cheese"])
def test_any_food_may_be_asked_for(food):
    assert isinstance(rows(food), tuple)


def test_jars_may_be_named_in_other_words():
    assert [jar_named(text) for text in ("quarts", "QT", "litre", "half pint", "half-gallons", "tub")] == [
        "quart", "quart", "quart", "half-pint", "half-gallon", None,
    ]  # fmt: skip


def test_what_other_tables_remember_is_listed_too():
    """With the process rows and the lines, every row from memory is shown by one of the two."""
    lists = {row.table for row in other_rows(status="memory")}
    assert {"facts", "proportions", "foods"} <= lists
    figures = [name for name in TABLES if name not in WORD_TABLES]
    counted = sum(row["status"] == "memory" for name in figures for row in table(name))
    products = sum(row["status"] == "memory" for row in table("products"))
    shown = len(rows(status="memory")) + len(other_rows(status="memory"))
    assert shown == counted - products


def test_habits_of_the_trade_are_told_and_never_planned_by():
    """No process, line, acid or recipe has the status *practice*."""
    assert {row["source"] for row in practice()} == {"common practice, no source"}
    assert [row["key"] for row in practice("tomato")] == [
        "tomato juice, 45 minutes a quart", "lemon juice, a cup to eight quarts",
    ]  # fmt: skip
    for name in TABLES:
        assert name in ("practice", "cautions") or not [row for row in table(name) if row["status"] == "practice"]
    assert not rows(status="practice")


def test_the_page_of_a_cook_shows_no_remark_about_copies_of_the_tables():
    """How a figure was read is kept beside it, and shown as JSON only."""
    found = rows()
    assert not [row.note for row in found if re.search(r"\b(cop(y|ies)|printed|read in)\b", row.note)]
    assert any("printed without an end" in row.data_note for row in found)


def test_headspace_and_short_times_are_in_kitchen_words():
    assert {row.headspace for row in rows("tomato", jar="quart")} >= {"1/2 inch", "1/4 inch"}
    assert {row.keeps for row in rows("tomato") if row.method == "refrigerated"} == {"3 days", "4 to 7 days"}


def test_a_misspelled_food_gets_a_suggestion():
    assert (nearest_food("tomatto"), nearest_food("moonstones")) == ("tomato", None)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("spinnach", "spinach"),
        ("choclate", "chocolate"),
        ("elderberies", "elderberries"),
        ("sauerkrout", "sauerkraut"),
        ("tomatto ketchup", "tomato ketchup"),
        ("ketchupp", "ketchup"),
        ("asian paers", "Asian pears"),
    ],
)
def test_a_misspelled_word_of_a_food_or_product_gets_a_suggestion(typed, meant):
    assert nearest_food(typed) == meant


@pytest.mark.parametrize("known", ["tomato", "Tomatoes", "avocado", "Sauerkraut", "plum tomatos"])
def test_a_food_that_is_known_gets_no_suggestion(known):
    """Nothing was found for another reason, such as a jar that is not published."""
    assert nearest_food(known) is None
