"""Read the cells of a row of an output table."""

from __future__ import annotations

import datetime

from stillroom.household.results.values import Row
from stillroom.household.text import plural
from stillroom.household.units import find_unit

FILLED = 0.995
"""A target with this share of what is wanted counts as filled: the rest is less than anybody counts."""


def number_in(row: Row, heading: str) -> float:
    """Return the number in a cell, 0 for a blank one."""
    value = row.get(heading)
    return float(value) if isinstance(value, int | float) else 0.0


def text_in(row: Row, heading: str) -> str:
    """Return the text in a cell, empty for a blank one."""
    value = row.get(heading)
    return "" if value is None else str(value)


def day_in(row: Row, heading: str = "Day") -> datetime.date:
    """Return the day in a cell; the first of all days for a blank one, so that it sorts first."""
    value = row.get(heading)
    if isinstance(value, datetime.datetime):
        return value.date()
    return value if isinstance(value, datetime.date) else datetime.date.min


def is_filled(row: Row) -> bool:
    """Return whether the target of a row of Coverage is filled."""
    return number_in(row, "Covered") >= FILLED


def item_in(row: Row) -> str:
    """
    Return the item of a row of Shopping with its unit, to follow its amount.

    >>> item_in({"Item": "lemon juice", "Unit": "cup", "Buy": 4}), item_in({"Item": "quart jar", "Buy": 9})
    ('cups lemon juice', 'quart jars')
    >>> item_in({"Item": "garlic", "Unit": "head", "Buy": 2})
    'garlic (heads)'
    """
    item, unit, amount = text_in(row, "Item"), text_in(row, "Unit"), number_in(row, "Buy")
    measure = find_unit(unit)
    if measure is not None and measure.measures in ("weight", "volume", "bushel"):
        return f"{plural(amount, unit)} {item}"
    if unit in ("", "each") or unit.casefold() in item.casefold().replace(",", " ").split():
        return plural(amount, item)
    return f"{item} ({plural(amount, unit)})"
