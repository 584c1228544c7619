"""How long things keep: the table's months on the shelf, and what stands in oil."""

from __future__ import annotations

import dataclasses
import datetime

import pytest
from tests.handbook.kitchens import DAY, PANTRY, crop, group, household, juice, pantry

from stillroom.handbook.settle import settle
from stillroom.household.journal import stocks
from stillroom.household.plan import best_by
from stillroom.household.records import Crop, Ingredient, Lot, PantryItem, Preserve, RecordRow, ShelfRow
from stillroom.reports.problems import sentences

OIL = (*PANTRY, PantryItem("olive oil", "litre"), PantryItem("fresh basil", "litre"))


def in_oil(*ingredients: Ingredient, months: float | None = 6.0, **changes: object) -> Preserve:
    """Something of the household's own under oil, kept in the refrigerator."""
    facts: dict[str, object] = {"source": "aunt", "kept_in": "refrigerator", "keeps_months": months}
    return Preserve("in oil", "refrigerated", "pint", ingredients=ingredients, **{**facts, **changes})


def test_months_that_the_table_does_not_allow_make_no_best_by_date():
    """Five years typed for canned juice are twelve months on the shelf too: the date they gave is drawn back."""
    old = juice(keeps_months=60.0)
    home = household(old, record=(RecordRow(datetime.date(2025, 3, 1), old.name, made=7.0),))
    counted = stocks.settle(home)[0]
    assert counted.shelf[0].best_by == datetime.date(2030, 3, 1)
    assert settle(counted)[0].shelf[0].best_by == datetime.date(2026, 3, 1)


def test_fewer_months_than_the_table_stay_as_typed():
    short = juice(keeps_months=3.0)
    home = household(short, record=(RecordRow(datetime.date(2026, 3, 1), short.name, made=7.0),))
    assert settle(stocks.settle(home)[0])[0].shelf[0].best_by == datetime.date(2026, 6, 1)


def test_a_best_by_date_of_their_own_stays_where_nothing_is_kept_cold():
    typed = datetime.date(2027, 5, 5)
    row = ShelfRow(juice().name, 2, datetime.date(2025, 8, 1), typed)
    assert settle(household(juice(keeps_months=60.0), shelf=(row,)))[0].shelf[0].best_by == typed


def test_months_are_counted_by_the_calendar_whoever_counts_them():
    """29 February: the same day of the month where there is one, its last day where there is none."""
    made = datetime.date(2028, 2, 29)
    answer = settle(household(juice(), shelf=(ShelfRow(juice().name, 1, made),)))[0]
    assert answer.shelf[0].best_by == best_by(made, 12) == datetime.date(2029, 2, 28)


def test_garlic_in_oil_keeps_four_days_in_the_refrigerator():
    """Garlic in oil: refrigerated for no more than 4 days (National Center for Home Food Preservation, 2015)."""
    preserve = in_oil(crop("garlic", 0.2), pantry("olive oil", 0.3))
    answer, problems = settle(household(preserve, pantry=OIL, shelf=(ShelfRow("in oil", 1, DAY),)))
    assert answer.shelf[0].best_by == DAY + datetime.timedelta(days=4)
    said = next(problem for problem in problems if group(problem) == "longer than it keeps")
    what, what_to_do = sentences(said)
    assert "Keeps months is 6 months, but the published limit is 4 days (National Center" in what
    assert what_to_do == "Type 0.13 or less under Keeps months."


def test_what_stands_in_oil_keeps_days_where_nothing_is_typed():
    for ingredients, days in (
        ((crop("sweet peppers"), pantry("olive oil", 0.3)), 4),
        ((pantry("fresh basil", 0.1), pantry("olive oil", 0.3)), 3),
    ):
        found = settle(household(in_oil(*ingredients, months=None), pantry=OIL))[0].preserves[0]
        assert round(found.keeps_months * 365.25 / 12, 6) == days


def months_of(preserve: Preserve, *crops: Crop) -> tuple[float | None, bool]:
    """The months a preserve keeps, and whether that is said to be less than was typed."""
    answer, problems = settle(household(preserve, pantry=OIL, **({"crops": crops} if crops else {})))
    return answer.preserves[0].keeps_months, any(group(problem) == "longer than it keeps" for problem in problems)


def test_the_freezer_keeps_garlic_in_oil_for_a_few_months():
    """Garlic in oil may be frozen for several months (National Center for Home Food Preservation, 2015)."""
    frozen = in_oil(crop("garlic", 0.2), pantry("olive oil", 0.3), kept_in="freezer")
    assert months_of(frozen) == (3, True)
    assert months_of(dataclasses.replace(frozen, method="frozen", container="tub")) == (3, True)


@pytest.mark.parametrize(
    ("name", "item", "days"),
    [
        ("stew", "beef", 3),
        ("cold fish", "salmon", 2),
        ("broth", "chicken broth", 3),
        ("gravlax", "smoked salmon", 3),
        ("pickled herring", "herring", 2),
        ("ham", "ham", 3),
        ("roots", "carrots", 3),
        ("moonstones", "glorp", 3),
        ("strawberries", "strawberries", 2),
    ],
)
def test_what_has_no_line_keeps_three_days_in_the_refrigerator(name, item, days):
    """Cold Food Storage Chart: leftovers and cooked food 3 to 4 days; raw fish and strawberries 1 to 2."""
    made = Preserve(
        name, "refrigerated", "pint", source="aunt", kept_in="refrigerator", keeps_months=240.0,
        ingredients=(crop(item),)
    )  # fmt: skip
    blank = dataclasses.replace(made, name="blank", keeps_months=None)
    home = household(made, blank, crops=(Crop(item, 3),), shelf=(ShelfRow(name, 1, DAY), ShelfRow("blank", 1, DAY)))
    answer, problems = settle(home)
    assert [row.best_by for row in answer.shelf] == [DAY + datetime.timedelta(days=days)] * 2
    assert "longer than it keeps" in [group(problem) for problem in problems]


def test_a_line_says_how_long_its_food_keeps_in_the_refrigerator():
    peppers = Preserve(
        "peppers", "refrigerated", "tub", kept_in="refrigerator", keeps_months=2.0, ingredients=(crop("sweet peppers"),)
    )  # fmt: skip
    line = "sweet peppers, refrigerated"
    assert months_of(dataclasses.replace(peppers, handbook_line=line)) == (0.2, True)
    assert months_of(dataclasses.replace(peppers, source="aunt"))[0] == pytest.approx(3 * 12 / 365.25)


@pytest.mark.parametrize(
    ("items", "most"),
    [
        (("sweet corn",), 12),
        (("onions",), 6),
        (("sweet corn", "onions"), 6),
        (("asparagus", "figs"), 8),
        (("sweet corn", "garlic"), 12),
        (("garlic",), 1),
        (("chicken",), 4),
        (("salmon",), 2),
        (("ham",), 1),
        (("beef",), 2),
        (("chicken", "carrots"), 2),
        (("glorp",), 2),
        (("sweet corn", "glorp"), 2),
    ],
)
def test_an_own_frozen_recipe_keeps_as_long_as_the_shortest_of_its_foods(items, most):
    """Freezer shelf life (National Center for Home Food Preservation, 2005); dishes by the cold storage chart."""
    made = Preserve(
        "from the freezer", "frozen", "tub", source="aunt", kept_in="freezer", keeps_months=24.0,
        ingredients=tuple(crop(item, 0.2) for item in items),
    )  # fmt: skip
    assert months_of(made, *(Crop(item, 3) for item in items)) == (most, True)
    assert months_of(dataclasses.replace(made, keeps_months=None), *(Crop(item, 3) for item in items)) == (most, False)


def test_a_crop_frozen_whole_keeps_no_longer_than_published():
    """Tomatoes keep 8 months in the freezer, whatever is typed under Frozen keeps weeks."""
    long = Crop("plum tomato", 3, may_be_frozen_whole=True, frozen_keeps_weeks=106.0, where="Crops!A4")
    answer, problems = settle(household(crops=(long, Crop("onions", 30, may_be_frozen_whole=True))))
    assert [crop.frozen_keeps_weeks for crop in answer.crops] == [34.7, 4]
    said = next(problem for problem in problems if group(problem) == "longer than it keeps")
    assert "Frozen keeps weeks is 106, but the published limit is 8 months" in sentences(said)[0]


def test_a_lot_frozen_for_longer_than_published_is_not_planned():
    """744 days are more than the 8 months of tomatoes, whatever is typed; 200 days are fewer."""
    crops = (Crop("plum tomato", 3, may_be_frozen_whole=True, frozen_keeps_weeks=520.0),)
    lots = tuple(
        Lot("plum tomato", day, 5.0, frozen_on=day, where="Crops!A9")
        for day in (DAY - datetime.timedelta(days=744), DAY - datetime.timedelta(days=200))
    )
    answer, problems = settle(household(crops=crops, lots=lots))
    assert answer.lots == lots[1:]
    said = next(problem for problem in problems if problem.kind == "longer than it keeps: frozen lot")
    assert "keeps 8 months" in sentences(said)[0]
