"""
The constraints, in reading order. Each yields (label, row); only `solve.build` adds them to the model.

A constraint has one name in this list, in its golden file and in the audit (`household.audit.AUDITS`).
"""

from __future__ import annotations

from stillroom.planning.constraints.crops import (
    crop_balance,
    frozen_balance,
    frozen_due_date,
    keeping_time,
    thaw_after_freezing,
    thawed_crop_use,
)
from stillroom.planning.constraints.fixed import fixed_lines, last_plan
from stillroom.planning.constraints.space import (
    cellar_space,
    freezer_space,
    freezing_per_day,
    refrigerator_space,
    shelf_space,
)
from stillroom.planning.constraints.stocks import container_stock, lid_stock, pantry_stock, spending_limit
from stillroom.planning.constraints.targets import (
    enough,
    freezing_setup,
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
from stillroom.planning.show import Constraint

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
