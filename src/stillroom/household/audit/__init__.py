"""
The audit: a finished plan checked by plain arithmetic, one function for each constraint, without a solver.

A plan is written only if `violated_constraints` is empty. Each function of `AUDITS` is the twin of the constraint of
the same name; it is written from its sentence and shares no code with the package that makes the plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from stillroom.household.audit.crops import (
    crop_balance,
    frozen_balance,
    frozen_due_date,
    keeping_time,
    thaw_after_freezing,
    thawed_crop_use,
)
from stillroom.household.audit.hours import (
    equipment_hours,
    hands_hours,
    most_preserves,
    stove_hours,
    whole_loads,
    whole_numbers,
)
from stillroom.household.audit.objectives import objectives
from stillroom.household.audit.sessions import smallest_batch, smallest_freeze, worthwhile_loads
from stillroom.household.audit.stocks import (
    buying,
    cellar_space,
    container_stock,
    freezer_space,
    freezing_per_day,
    lid_stock,
    pantry_stock,
    refrigerator_space,
    shelf_space,
    spending_limit,
)
from stillroom.household.audit.tally import Tally
from stillroom.household.audit.targets import at_most, fixed_lines, no_purpose, preserve_balance, target_filling
from stillroom.household.plan import Plan
from stillroom.household.records import Household

AUDITS: dict[str, Callable[[Tally], Iterator[str]]] = {
    "crop_balance": crop_balance,
    "keeping_time": keeping_time,
    "frozen_balance": frozen_balance,
    "thaw_after_freezing": thaw_after_freezing,
    "frozen_due_date": frozen_due_date,
    "thawed_crop_use": thawed_crop_use,
    "whole_loads": whole_loads,
    "worthwhile_loads": worthwhile_loads,
    "hands_hours": hands_hours,
    "stove_hours": stove_hours,
    "equipment_hours": equipment_hours,
    "most_preserves": most_preserves,
    "container_stock": container_stock,
    "lid_stock": lid_stock,
    "pantry_stock": pantry_stock,
    "spending_limit": spending_limit,
    "freezer_space": freezer_space,
    "freezing_per_day": freezing_per_day,
    "refrigerator_space": refrigerator_space,
    "shelf_space": shelf_space,
    "cellar_space": cellar_space,
    "preserve_balance": preserve_balance,
    "target_filling": target_filling,
    "at_most": at_most,
    "no_purpose": no_purpose,
    "fixed_lines": fixed_lines,
    "smallest_batch": smallest_batch,
    "smallest_freeze": smallest_freeze,
    "whole_numbers": whole_numbers,
    "buying": buying,
}
"""The audit of each constraint, by its name, in reading order."""


def violated_constraints(household: Household, plan: Plan) -> tuple[str, ...]:
    """
    Return a sentence for every violated constraint and every objective stated wrongly; empty when valid.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.household.plan import periods
    >>> household = tiny_household()
    >>> too_much = Plan(periods(household.kitchen), make={("juice", 0): 14.0}, loads={("juice", 0): 1.0})
    >>> for sentence in violated_constraints(household, too_much)[:2]:
    ...     print(sentence)
    Fri Aug 14, tomato: 22 lb come in, but 46.7 lb go out
    Sat Aug 15, tomato: 26.5 lb come in, but 0.4 lb go out
    """
    tally = Tally(household, plan)
    if mismatch := tally.unknown_names():
        return mismatch
    found = [sentence for audit in AUDITS.values() for sentence in audit(tally)]
    return tuple(found) + tuple(objectives(tally))


def broken(constraint: str, household: Household, plan: Plan) -> tuple[str, ...]:
    """Return the violations of one constraint. Raises KeyError when there is no such constraint."""
    return tuple(AUDITS[constraint](Tally(household, plan)))
