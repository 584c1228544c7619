"""How hard a household works, as *Effort* says: what is saved from surplus, and what the last sum comes to."""

from __future__ import annotations

import dataclasses

import pytest
from tests.worked_examples import TUESDAY, home, jar, target

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import EFFORT_PRICES, Plan
from stillroom.household.records import Effort, Household, Lot, Target

KG = {"light work": 40.0, "work": 40.0, "hard work": 40.0}


def preserve_of(crop: str, hours_a_kg: float) -> tuple:
    """A preserve of 1 kg of a crop with so many hours of work, and a target that wants none but allows 40."""
    item = jar(f"{crop} jar", crop, 1.0, equipment=(), load=None, hands_minutes_each=60 * hours_a_kg)
    return item, Target(item.name, 0.0, 40.0, counts={item.name: 1.0})
