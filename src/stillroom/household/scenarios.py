"""Harvest scenarios: a poor season, a likely one and a good one."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace

from stillroom.household.plan import periods
from stillroom.household.records import Household, Lot

POOR, LIKELY, GOOD = "poor", "likely", "good"

LIKELY_HARVEST = "likely harvest"
"""The default of the setting *plan for*; the others plan for several scenarios together."""

WEIGHTS = {POOR: 0.25, LIKELY: 0.5, GOOD: 0.25}
"""
How much each season counts: a choice of this project, without a source.

Where *Least* and *Most* lie as far below as above *Amount*, the expectation over the seasons is *Amount* itself.
"""

DAYS_DECIDED_NOW = 2
"""First-stage days: today and tomorrow, decided before the harvest is known."""

NEAR_KG = 1e-9


@dataclass(frozen=True)
class HarvestCase:
    """One scenario: its name (poor, likely or good), its weight (they add up to 1), and its household."""

    name: str
    weight: float
    household: Household


def days_decided_now(household: Household) -> int:
    """
    Return how many detailed days are first-stage: today and tomorrow, if they are planned in detail.

    >>> from stillroom.household.examples import tiny_household
    >>> days_decided_now(tiny_household())
    2
    """
    return min(DAYS_DECIDED_NOW, household.kitchen.days_planned_singly)


def range_kg(lot: Lot) -> tuple[float, float]:
    """
    Return the least and the most of a lot; both its amount where nothing else is typed, or it was weighed.

    >>> range_kg(Lot("plum", datetime.date(2026, 8, 20), 10.0, expected=True, least_kg=7.0))
    (7.0, 10.0)
    """
    if not lot.expected or lot.frozen_on is not None:
        return lot.kg, lot.kg
    least = lot.kg if lot.least_kg is None else min(lot.least_kg, lot.kg)
    most = lot.kg if lot.most_kg is None else max(lot.most_kg, lot.kg)
    return least, most


def uncertain(household: Household) -> tuple[Lot, ...]:
    """
    Return the uncertain lots: expected within the plan, with a least or a most, after tomorrow.

    Lots of today and tomorrow count with their amount: a first-stage variable that had to be feasible for a poor
    picking tomorrow would let food spoil in every other scenario.
    """
    after = household.kitchen.first_day + datetime.timedelta(days=days_decided_now(household) - 1)
    last = periods(household.kitchen)[-1].last_day
    crops = {crop.name for crop in household.crops}
    return tuple(
        lot
        for lot in household.lots
        if after < lot.picked_on <= last
        and lot.crop in crops
        and (range_kg(lot)[0] < lot.kg - NEAR_KG or range_kg(lot)[1] > lot.kg + NEAR_KG)
    )


def in_season(household: Household, name: str) -> Household:
    """Return the household in a scenario: every uncertain lot has its least, its amount or its most."""
    doubtful = uncertain(household)

    def turned_out(lot: Lot) -> Lot:
        if lot not in doubtful or name == LIKELY:
            return lot
        return replace(lot, kg=range_kg(lot)[0 if name == POOR else 1])

    return replace(household, lots=tuple(turned_out(lot) for lot in household.lots))


def planned_for_several(household: Household) -> bool:
    """
    Return whether a household plans for several scenarios and has an uncertain lot.

    >>> from stillroom.household.examples import tiny_household
    >>> planned_for_several(tiny_household())
    False
    """
    return household.kitchen.plan_for != LIKELY_HARVEST and len(harvest_cases(household)) > 1


def harvest_cases(household: Household) -> tuple[HarvestCase, ...]:
    """
    Return the seasons to plan for, the poor one first; the likely one alone where there is nothing to be unsure of.

    The lots go together: in a poor season all have their least, in a good one all their most. It is the weather that
    makes them so, and it is the harder case to be ready for. A season that is like the likely one adds its weight to
    it. Without a day planned in detail nothing is decided before the season is known, so there is one case too.
    """
    if not days_decided_now(household) or not uncertain(household):
        return (HarvestCase(LIKELY, 1.0, household),)
    found = []
    weight = WEIGHTS[LIKELY]
    for name in (POOR, GOOD):
        case = in_season(household, name)
        if case.lots == household.lots:
            weight += WEIGHTS[name]
        else:
            found.append(HarvestCase(name, WEIGHTS[name], case))
    place = 1 if found[0].name == POOR else 0
    return (*found[:place], HarvestCase(LIKELY, weight, household), *found[place:])
