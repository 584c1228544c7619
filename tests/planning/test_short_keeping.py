"""What does not keep to the last day of the plan counts toward no target; it only saves surplus, and that is said."""

from __future__ import annotations

import dataclasses

import pytest
from tests.worked_examples import TUESDAY, bag, home, target

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Plan
from stillroom.household.records import Household, Ingredient, Lot, Preserve
from stillroom.household.results.coverage import coverage_rows
from stillroom.household.results.sums import Sums
from stillroom.household.results.tables import short_keeping
from stillroom.household.simulation.seasons import filled_by_plan
from stillroom.planning.solve import plan

THREE_DAYS = 3 * 12 / 365.25


def kitchen_of(months: float | None, *more: Preserve, days: int = 2, weeks: int = 1) -> Household:
    """Soup of ten pounds of tomatoes that spoil at once, wanted ten times, keeping so many months."""
    soup = bag("soup", "tomato", 1.0, method="refrigerated", kept_in="refrigerator", keeps_months=months)
    return home((soup, *more), (Lot("tomato", TUESDAY, 10.0),), (target("soup", 10),), days=days, weeks=weeks)


def filled(household: Household, found: Plan) -> float:
    """How far the target of soup is filled: by the model, by Coverage and by the replay, which agree."""
    assert violated_constraints(household, found) == ()
    amount = sum(found.bands.values())
    row = next(row for row in coverage_rows(Sums(household, found)) if row["Target"] == "soup")
    assert row["Planned"] == pytest.approx(amount)
    assert filled_by_plan(household, found)["soup"] == pytest.approx(amount)
    return amount


@pytest.mark.parametrize(("months", "reached"), [(None, 10.0), (12.0, 10.0), (THREE_DAYS, 0.0), (0.0, 0.0)])
def test_only_what_keeps_to_the_last_day_fills_a_target(months: float | None, reached: float) -> None:
    household = kitchen_of(months)
    assert filled(household, plan(household)) == pytest.approx(reached)


def test_what_keeps_as_long_as_the_plan_counts() -> None:
    """Three days from the first day on are its four days."""
    household = kitchen_of(THREE_DAYS, days=4, weeks=0)
    assert filled(household, plan(household)) == pytest.approx(10.0)
    household = kitchen_of(THREE_DAYS, days=5, weeks=0)
    assert 0 < filled(household, plan(household)) <= 10.0  # begun on the second day, as far as the crop keeps


def test_it_still_saves_surplus_and_the_plan_says_why() -> None:
    household = kitchen_of(THREE_DAYS)
    found = plan(household)
    assert sum(found.surplus_kg.values()) == pytest.approx(0.0, abs=1e-6)
    assert sum(amount for (name, _), amount in found.make.items() if name == "soup") == pytest.approx(10.0)
    sums = Sums(household, found)
    said = short_keeping(sums, household.preserve("soup"), sums.periods[0])
    assert said == "keeps to Fri Aug 21, not to the end of the plan, so it counts toward no target"


def test_others_use_first_what_does_not_keep() -> None:
    """Of ten soups made at once none counts, and a stew that uses five of them is no debt of the target."""
    stew = bag("stew", "tomato", 0.0, keeps_months=12.0)
    stew = dataclasses.replace(stew, ingredients=(Ingredient("soup", "preserve", 1.0),))
    household = kitchen_of(THREE_DAYS, stew)
    targets = (*household.targets, target("stew", 5))
    household = dataclasses.replace(household, targets=targets)
    found = plan(household)
    assert violated_constraints(household, found) == ()
    assert filled_by_plan(household, found) == pytest.approx({"soup": 0.0, "stew": 5.0})


def test_the_audit_refuses_what_is_stated_as_filled_by_food_past_its_date() -> None:
    household = kitchen_of(THREE_DAYS)
    found = plan(household)
    stated = dataclasses.replace(found, bands={("soup", 0): 2.0})
    assert any("but only 0 are available" in fault for fault in violated_constraints(household, stated))
