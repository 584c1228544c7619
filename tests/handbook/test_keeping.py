"""How long things keep: the table's months on the shelf, and what stands in oil."""

from __future__ import annotations

import dataclasses
import datetime

import pytest
from tests.handbook.kitchens import DAY, PANTRY, crop, group, household, juice, pantry

from stillroom.handbook.settle import settle
from stillroom.household.journal import stocks
from stillroom.household.journal.stocks import best_by
from stillroom.household.records import Crop, Ingredient, PantryItem, Preserve, RecordRow, ShelfRow
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
    assert what.startswith("In oil: Keeps months is 6 months, but the published limit is 4 days (National Center")
    assert what_to_do == "Type 0.13 or less under Keeps months."


def test_what_stands_in_oil_keeps_days_where_nothing_is_typed():
    for ingredients in ((crop("sweet peppers"), pantry("olive oil", 0.3)), (pantry("fresh basil", 0.1), pantry("olive oil", 0.3))):  # fmt: skip
        found = settle(household(in_oil(*ingredients, months=None), pantry=OIL))[0].preserves[0]
        assert round(found.keeps_months * 365.25 / 12, 6) == 4


def test_the_freezer_keeps_garlic_in_oil_for_months_and_oil_alone_is_not_meant():
    frozen = in_oil(crop("garlic", 0.2), pantry("olive oil", 0.3), kept_in="freezer")
    assert (
        settle(household(dataclasses.replace(frozen, method="frozen", container="tub"), pantry=OIL))[0]
        .preserves[0]
        .keeps_months
        == 6
    )
    assert settle(household(in_oil(pantry("olive oil", 0.3)), pantry=OIL))[0].preserves[0].keeps_months == 6


@pytest.mark.parametrize(
    ("name", "item", "days"),
    [
        ("stew", "beef", 4),
        ("cold fish", "salmon", 4),
        ("broth", "chicken broth", 4),
        ("gravlax", "smoked salmon", None),
        ("pickled herring", "herring", None),
        ("ham", "ham", None),
        ("roots", "carrots", None),
    ],
)
def test_meat_and_fish_keep_four_days_in_the_refrigerator(name, item, days):
    """Cold Food Storage Chart (USDA Food Safety and Inspection Service): cooked meat, fish, soups 3 to 4 days."""
    made = Preserve(
        name, "refrigerated", "pint", source="aunt", kept_in="refrigerator", keeps_months=6.0, ingredients=(crop(item),)
    )
    home = household(made, crops=(Crop(item, 3),), shelf=(ShelfRow(name, 1, DAY),))
    answer, problems = settle(home)
    assert answer.shelf[0].best_by == (best_by(DAY, 6) if days is None else DAY + datetime.timedelta(days=days))
    assert ("longer than it keeps" in [group(problem) for problem in problems]) == (days is not None)


def test_meat_in_vinegar_keeps_as_its_directions_say():
    made = Preserve(
        "sour fish", "refrigerated", "pint", source="aunt", kept_in="refrigerator", keeps_months=1.0,
        ingredients=(crop("salmon", 0.2), pantry("vinegar of 5 %", 0.2)),
    )  # fmt: skip
    answer = settle(household(made, crops=(Crop("salmon", 3),)))[0]
    assert answer.preserves[0].keeps_months == 1
