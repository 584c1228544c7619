"""How hard a household works, as *Effort* says: what is saved from surplus, and what the last sum comes to."""

from __future__ import annotations

import dataclasses

import pytest
from tests.worked_examples import TUESDAY, bag, home, target

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import EFFORT_PRICES, Plan
from stillroom.household.records import Crop, Effort, Household, Lot, PlanLine
from stillroom.household.suppose import changed
from stillroom.planning.solve import plan

HOURS_A_KG = {"bean": 0.2, "corn": 0.9, "pea": 3.5, "okra": 4.5}
"""Crops by the work it takes to put up a kilogram; each setting reaches one crop further, none the last."""


def garden(effort: Effort) -> Household:
    """Ten kg of each crop that must be put up today, in bags of a kg; a bag of each is wanted, ten are welcome."""
    bags = tuple(bag(crop, crop, 1.0, hands_minutes_each=60 * hours) for crop, hours in HOURS_A_KG.items())
    lots = tuple(Lot(crop, TUESDAY, 10.0) for crop in HOURS_A_KG)
    targets = tuple(target(crop, 1, 10, importance=1) for crop in HOURS_A_KG)
    crops = tuple(Crop(crop, 0.0) for crop in HOURS_A_KG)
    return home(bags, lots, targets, days=1, crops=crops, kitchen={"effort": effort, "setup_hours_a_kind": 0.0})


def surplus(household: Household) -> tuple[float, Plan]:
    """Return the surplus in kg of the plan, which must pass its audit, and the plan."""
    found = plan(household)
    assert violated_constraints(household, found) == ()
    return sum(found.surplus_kg.values()), found


@pytest.mark.parametrize(("effort", "left"), [("light", 27.0), ("normal", 18.0), ("all out", 9.0)])
def test_more_effort_leaves_less_surplus(effort: Effort, left: float) -> None:
    """
    Of each crop a kg fills its target; the other nine are put up where that takes less work than the setting's price.

    In no case does it cost the winter list anything: every target is filled.
    """
    kg, found = surplus(garden(effort))
    assert kg == pytest.approx(left, abs=0.01)
    assert [found.made(crop) >= 1 for crop in HOURS_A_KG] == [True] * len(HOURS_A_KG)


@pytest.mark.parametrize("effort", EFFORT_PRICES)
def test_the_sum_and_its_audit_go_by_the_price_of_the_setting(effort: Effort) -> None:
    """Surplus and the change from the last plan at their prices, and the work; the audit of another setting refuses it."""
    lines = (PlanLine(TUESDAY, 1, "okra", make=10),)
    household = dataclasses.replace(garden(effort), plan_lines=lines)
    _, found = surplus(household)
    (stated,) = (objective for objective in found.objectives if objective.kind == "effort")
    parts = {part.kind: part.value for part in stated.parts}
    price = EFFORT_PRICES[effort]
    assert stated.value == pytest.approx(
        price.surplus_kg * parts["surplus"] + price.change * parts["stability"] + parts["labor"], abs=1e-6
    )
    assert [part.price for part in stated.parts] == [price.surplus_kg, price.change, 1.0]
    for other in set(EFFORT_PRICES) - {effort}:
        said = violated_constraints(changed(household, f"effort {other}")[0], found)
        assert [words.split(" is given as ")[0] for words in said] == ["effort"], other


@pytest.mark.parametrize("effort", EFFORT_PRICES)
def test_crop_that_keeps_is_not_given_away_before_it_must_be(effort: Effort) -> None:
    """100 kg keep three days and are too much work at any price: given away next week, not today."""
    okra = bag("okra", "okra", 1.0, hands_minutes_each=60 * 5.0)
    lots, targets = (Lot("okra", TUESDAY, 100.0),), (target("okra", 1, 100, importance=1),)
    household = home((okra,), lots, targets, days=1, weeks=8, crops=(Crop("okra", 3.0),), kitchen={"effort": effort})
    _, found = surplus(household)
    assert found.surplus_kg.get(("okra", 0), 0.0) == pytest.approx(0.0, abs=0.01)
    assert found.surplus_kg["okra", 1] == pytest.approx(99.0, abs=0.01)
