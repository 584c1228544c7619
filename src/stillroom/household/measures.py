"""Amounts of bought ingredients, rounded up to what cups and spoons measure."""

from __future__ import annotations

import math

from stillroom.household.text import format_amount, format_fraction, plural

TABLESPOONS = {"tsp": 1 / 3, "tbsp": 1.0, "cup": 16.0}
STEPS = {"tsp": 0.25, "tbsp": 0.5, "cup": 0.25}
SMALL = {"g": 1.0, "ml": 1.0, "kg": 0.05, "L": 0.05}
"""The smallest steps measured in these units; a quarter in any other."""


def measured(amount: float, unit: str) -> str:
    """
    Return an amount of something bought, rounded up so that it is never less acid than the recipe takes.

    >>> measured(14, "tbsp"), measured(1.35, "cup"), measured(0.375, "tsp"), measured(2, "cup")
    ('¾ cup and 2 tbsp', '1¼ cups and 2 tbsp', '½ tsp', '2 cups')
    >>> measured(210.2, "ml"), measured(1.03, "lb"), measured(0.4, "L")
    ('211 ml', '1¼ lb', '0.4 L')
    """
    if unit in TABLESPOONS:
        return in_cups_and_spoons(amount * TABLESPOONS[unit])
    step = SMALL.get(unit, 0.25)
    up = math.ceil(amount / step - 1e-6) * step
    figures = format_amount(up, unit) if unit in SMALL else format_fraction(up, step)
    return f"{figures} {plural(up, unit)}".strip()


def in_cups_and_spoons(tablespoons: float) -> str:
    """
    Return a small volume in the largest measures it fills, the rest rounded up.

    >>> in_cups_and_spoons(4), in_cups_and_spoons(2.6), in_cups_and_spoons(0.5), in_cups_and_spoons(15.9)
    ('¼ cup', '3 tbsp', '1½ tsp', '1 cup')
    """
    if tablespoons < 1 - 1e-6:
        return part(tablespoons * 3, "tsp")
    if tablespoons < 4 - 1e-6:
        return part(tablespoons, "tbsp")
    cups = math.floor(tablespoons / 4 + 1e-6) / 4
    rest = math.ceil((tablespoons - 16 * cups) / STEPS["tbsp"] - 1e-6) * STEPS["tbsp"]
    if rest >= 4:
        return part(cups + 0.25, "cup")
    return part(cups, "cup") + (f" and {part(rest, 'tbsp')}" if rest > 0 else "")


def part(amount: float, unit: str) -> str:
    """Return an amount of one measure, rounded up to its marks."""
    up = math.ceil(amount / STEPS[unit] - 1e-6) * STEPS[unit]
    return f"{format_fraction(up, STEPS[unit])} {plural(up, unit)}"
