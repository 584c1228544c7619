"""A short mark of everything a plan rests on, the same whatever the order of rows."""

from __future__ import annotations

import dataclasses
import datetime
import hashlib
from collections.abc import Mapping

from stillroom.household.records import Household

_NOT_INPUT = frozenset({"where", "gauge_where", "first_day_typed", "plan_lines", "tighter", "kg_per_litre"})
_IN_ORDER = frozenset({"equipment", "by_weekday"})
"""Fields whose order means something: a preserve's pieces of equipment, and the hours of Monday to Sunday."""


def digest(household: Household) -> str:
    """
    Give the SHA-256 mark of a household as typed: all inputs, *Fix* and *Made* of the plan's lines, and the first day.

    Where a row stands, notes, and what the last plan said do not matter. Take it before the record is taken off.

    >>> from stillroom.household.tiny import tiny_household
    >>> digest(tiny_household()) == digest(tiny_household()), len(digest(tiny_household()))
    (True, 64)
    """
    lines = sorted(
        written((line.day, line.days, line.name, line.fix, line.made))
        for line in household.plan_lines
        if line.fix is not None or line.made is not None
    )
    whole = written(household) + "\n" + "\n".join(lines)
    return hashlib.sha256(whole.encode()).hexdigest()


def written(value: object, *, in_order: bool = True) -> str:
    """Write a value in one way only: rows sorted, numbers as their shortest figures, places left out."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        top = isinstance(value, Household)
        parts = []
        for field in dataclasses.fields(value):
            if field.name not in _NOT_INPUT:
                ordered = field.name in _IN_ORDER and not top
                parts.append(f"{field.name}={written(getattr(value, field.name), in_order=ordered)}")
        return f"{type(value).__name__}({','.join(parts)})"
    if isinstance(value, Mapping):
        return "{" + ",".join(sorted(f"{written(name)}:{written(each)}" for name, each in value.items())) + "}"
    if isinstance(value, tuple):
        texts = [written(each) for each in value]
        return "[" + ",".join(texts if in_order else sorted(texts)) + "]"
    if isinstance(value, bool) or value is None:
        return str(value)
    if isinstance(value, int | float):
        return repr(float(value))
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return repr(value)
