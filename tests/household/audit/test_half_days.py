"""Crops that keep for part of a day: neither the planner nor its audit gives them the rest of it."""

from __future__ import annotations

import pytest
from tests import worked_examples as examples

from stillroom.household.audit import broken, violated_constraints
from stillroom.household.plan import Plan, periods
from stillroom.planning.solve import plan


def carried(keeps_days: float) -> tuple[str, ...]:
    """What the audit says of a kilogram and a half that is carried over one night."""
    household = examples.tomatoes_that_keep(keeps_days)
    held = Plan(
        periods(household.kitchen), make={("juice", 0): 7.0}, loads={("juice", 0): 1.0},
        fresh_kg={("tomato", 0): 1.5}, surplus_kg={("tomato", 1): 1.5},
    )  # fmt: skip
    return broken("keeping_time", household, held)


@pytest.mark.parametrize("keeps_days", [0.0, 0.5, 0.999])
def test_what_keeps_for_less_than_a_day_is_not_carried_over_night(keeps_days):
    assert carried(keeps_days) == ("Tue Aug 18: 3.3 lb of tomato are carried over, but only 0 lb keep so long",)


@pytest.mark.parametrize("keeps_days", [1.0, 1.5, 2.0])
def test_what_keeps_for_a_day_is(keeps_days):
    assert carried(keeps_days) == ()


@pytest.mark.parametrize("keeps_days", [0.5, 1.5])
def test_the_planner_keeps_to_the_stricter_audit(keeps_days):
    household = examples.tomatoes_that_keep(keeps_days)
    found = plan(household)
    assert violated_constraints(household, found) == ()
    assert found.made("juice") == 7
