"""A household with nothing to plan has a plan of nothing, and nothing is bought that no need asks for."""

from __future__ import annotations

import pytest
from tests.worked_examples import PLENTY, TUESDAY, bag, home, target

from stillroom.household.audit import violated_constraints
from stillroom.household.records import Container, Household, Kitchen, Lot
from stillroom.planning.solve import plan


@pytest.mark.parametrize(("days", "weeks"), [(1, 0), (14, 0), (0, 1), (7, 8)])
def test_a_household_that_has_only_its_kitchen_typed_has_a_plan_of_nothing(days: int, weeks: int) -> None:
    household = Household(Kitchen(TUESDAY, days_planned_singly=days, weeks_after_that=weeks))
    found = plan(household)
    assert dict(found.make) == {}
    assert violated_constraints(household, found) == ()


@pytest.mark.parametrize("price", [None, 0.03])
def test_a_bag_is_not_bought_for_what_no_need_asks_for(price: float | None) -> None:
    """Five bags are there for the five wanted; more could be filled, up to ten, but a sixth would have to be bought."""
    bags = (Container("bag", "bag", 1.0, None, 5.0, price=price, can_buy=PLENTY),)
    household = home(
        (bag("beans", "bean", 1.0),),
        (Lot("bean", TUESDAY, 10.0),),
        (target("beans", 5, 10, importance=1),),
        containers=bags,
    )
    found = plan(household)
    assert sum(found.buy_containers.values()) == 0
    assert found.made("beans") == 5
