"""
The constraints, in reading order. Each yields (label, row); only `solve.build` adds them to the model.

A constraint has one name in this list, in its golden file and in the audit (`household.audit.AUDITS`).
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator

from stillroom.household.records import Household
from stillroom.planning.constraints.crops import (
    crop_balance,
    frozen_balance,
    frozen_due_date,
    keeping_time,
    thaw_after_freezing,
    thawed_crop_use,
)
from stillroom.planning.constraints.stocks import (
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
from stillroom.planning.constraints.targets import (
    enough,
    fixed_lines,
    freezing_setup,
    last_plan,
    no_purpose,
    preserve_balance,
    smallest_batch,
    smallest_freeze,
    target_filling,
)
from stillroom.planning.constraints.work import (
    equipment_hours,
    hands_hours,
    most_preserves,
    stove_hours,
    whole_loads,
    worthwhile_loads,
)
from stillroom.planning.model import Model, Row
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables, define_variables

Constraint = Callable[[Parameters, Variables], Iterator[tuple[str, Row]]]

CONSTRAINTS: dict[str, Constraint] = {
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
    "at_most": enough,
    "no_purpose": no_purpose,
    "fixed_lines": fixed_lines,
    "smallest_batch": smallest_batch,
    "smallest_freeze": smallest_freeze,
    "freezing_setup": freezing_setup,
    "last_plan": last_plan,
}
"""Constraint by name, in reading order. The last three are helpers of the late objectives."""


# Constraints printed for people: one line each, with the names that the solver uses.


def row_text(row: Row) -> str:
    """
    Return one constraint as plain arithmetic, figures to six digits.

    >>> programme = Model("tiny")
    >>> jam = programme.variable("jam")
    >>> row_text(Row(((1.0, jam), (-0.5, programme.variable("salsa"))), "<=", 7.0))
    'jam - 0.5 salsa <= 7'
    """
    words: list[str] = []
    for coefficient, variable in row.terms:
        sign = "-" if coefficient < 0 else "+"
        size = abs(coefficient)
        term = variable.name if abs(size - 1.0) < 1e-12 else f"{size:.6g} {variable.name}"
        words.append(f"{sign} {term}" if words else (f"-{term}" if sign == "-" else term))
    return f"{' '.join(words) or '0'} {row.sense} {row.bound:.6g}"


def show(constraint: Constraint, household: Household, only: str = "") -> None:
    """Print the constraints of one kind for a household, those whose name contains `only`; for doctests."""
    parameters = Parameters(household)
    variables = define_variables(parameters, Model("show"))
    for label, row in constraint(parameters, variables):
        if only.replace("-", "_") in label:
            line = f"{label}: {row_text(row)}"
            print(textwrap.fill(line, 112, subsequent_indent="    ", break_on_hyphens=False))  # noqa: T201 - read by doctests
