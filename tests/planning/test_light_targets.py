"""Weights far apart within an importance: the light target has all that the heavy one leaves it."""

from __future__ import annotations

import math

import pytest
from tests.worked_examples import PLENTY, TUESDAY, bag, home, jar, target

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Plan
from stillroom.household.records import Container, Household, Lot
from stillroom.planning.solve import plan


def bags_to_buy(juice_weight: float, plums_weight: float = 1.0) -> Household:
    """
    Build a household where the light target costs money, which is saved as far as the points held allow.

    20 juices of the heavy target, weight 1000, are 2500 points, of which a ten-thousandth, 0.25, may be lost: five bags
    of the light one, at 0.05 points each. A third target is lighter still.
    """
    return home(
        (jar("juice", "tomato", 1.0), bag("plums", "plum", 1.0), bag("beans", "bean", 1.0)),
        tuple(Lot(crop, TUESDAY, 30.0) for crop in ("tomato", "plum", "bean")),
        (
            target("juice", 20, importance=1, weight=juice_weight),
            target("plums", 20, importance=1, weight=plums_weight),
            target("beans", 20, importance=1, weight=plums_weight / 1000),
        ),
        containers=(
            Container("jar", "jar", 1.0, None, PLENTY),
            Container("bag", "bag", 1.0, None, 0.0, price=0.5, can_buy=math.inf),
        ),
    )


def made(found: Plan) -> dict[str, float]:
    """How many of each preserve."""
    return {name: found.made(name) for name in ("juice", "plums", "beans")}


@pytest.mark.parametrize(("heavy", "light"), [(1.0, 1.0), (1000.0, 1.0), (100_000.0, 1.0), (1.0, 0.001)])
def test_a_light_target_loses_no_jar_to_the_tolerance_of_a_heavy_one(heavy: float, light: float) -> None:
    household = bags_to_buy(heavy, light)
    found = plan(household)
    assert violated_constraints(household, found) == ()
    assert made(found) == {"juice": 20.0, "plums": 20.0, "beans": 20.0}


def test_a_light_target_takes_nothing_from_a_heavy_one() -> None:
    """Of 30 kg of one crop the heavy target takes its 20, and the light one the 10 that are left."""
    household = home(
        (jar("juice", "tomato", 1.0), bag("soup", "tomato", 1.0)),
        (Lot("tomato", TUESDAY, 30.0),),
        (target("juice", 20, importance=1, weight=1000.0), target("soup", 20, importance=1)),
    )
    found = plan(household)
    assert violated_constraints(household, found) == ()
    assert (found.made("juice"), found.made("soup")) == (20.0, 10.0)
