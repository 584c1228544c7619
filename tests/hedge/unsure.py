"""Households made unsure of their harvest, and what must hold of the value of hedging."""

from __future__ import annotations

import dataclasses

from stillroom.household.records import Household
from stillroom.planning.stochastic.value import HedgeValue, ObjectiveValue

SHARE, LEAST = 3e-4, {"money": 0.03}
"""
What an objective may differ by: its gap to the bound and what is given up for later objectives, both 1e-4, twice over.
"""


def with_an_unsure_harvest(
    household: Household, plan_for: str = "all harvests", least: float = 0.4, most: float = 1.6
) -> Household:
    """
    The same household with three detailed days at least, whose later lots may be far less or more than their amount.
    """
    days = max(3, household.kitchen.days_planned_singly)
    kitchen = dataclasses.replace(household.kitchen, days_planned_singly=days, plan_for=plan_for)
    lots = tuple(
        dataclasses.replace(lot, least_kg=lot.kg * least, most_kg=lot.kg * most) if lot.expected else lot
        for lot in household.lots
    )
    return dataclasses.replace(household, kitchen=kitchen, lots=lots)


def near(objective: ObjectiveValue) -> float:
    """How far the objective may be off."""
    return max(SHARE * abs(objective.hedged), LEAST.get(objective.name, 3e-4))


def at_least_as_good(value: HedgeValue) -> bool:
    """
    Whether hedging is worth nothing less than nothing, in the order of the objectives, up to the surplus crop.

    The plan for one harvest is one that the hedged search could have found. So the first objective is never worse. A
    later one is compared only while every earlier objective of the plan for one harvest is no worse than the hedged
    one: then it keeps all that was held. Crop fed is decided season by season and is left out.
    """
    for objective in value.objectives:
        if objective.name == "surplus":
            break
        if objective.of_hedging < -near(objective):
            return False
        if objective.of_hedging > 0:
            break
    return True


def no_better_than_knowing(value: HedgeValue) -> bool:
    """Whether knowing the season is worth nothing less than nothing in the first objective that is to be had at all."""
    first = next((objective for objective in value.objectives if objective.name.startswith("targets")), None)
    return first is None or first.of_knowing >= -near(first)
