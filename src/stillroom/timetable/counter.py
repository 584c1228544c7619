"""Cooling on the counter: how much of it a load takes."""

from __future__ import annotations

import math

from stillroom.household.checks import containers_held, size_and_kind
from stillroom.household.records import Container, Equipment, Household, Preserve

COUNTER = "counter"
"""The kind of equipment that jars cool on; without one there is no limit."""
COUNTER_SHARES = 24
"""Equal shares of a counter; a load takes whole ones."""
COOLING_MINUTES = 12 * 60
"""Jars cool undisturbed 12 to 24 hours (USDA Complete Guide to Home Canning, rev. 1994, Guide 1)."""


def counter_of(household: Household) -> Equipment | None:
    """Return the counter, the first if several are typed; None without one."""
    return next((piece for piece in household.equipment if piece.kind == COUNTER), None)


def counter_part(household: Household, preserve: Preserve, count: float) -> float:
    """
    Return the fraction of the counter that so many containers take; 0 without a counter or when its loads do not tell.

    A jar size that no load of the counter names takes room in proportion to what it holds.

    >>> import datetime
    >>> from stillroom.household.records import Kitchen, Load
    >>> top = Equipment("table", "counter", loads=(Load(20, "quart jars"),))
    >>> jars = tuple(Container(f"{size} jar", "jar", litres) for size, litres in (("quart", 0.946), ("pint", 0.473)))
    >>> home = Household(Kitchen(datetime.date(2026, 8, 14)), equipment=(top,), containers=jars)
    >>> [round(counter_part(home, Preserve("juice", "canned", jar.name), 7), 3) for jar in jars]
    [0.35, 0.175]
    """
    counter = counter_of(household)
    if counter is None:
        return 0.0
    container = next((one for one in household.containers if one.name == preserve.container), None)
    container = container or Container(preserve.container, preserve.container)
    held = containers_held(counter, preserve, container, household.crops)
    if held is not None:
        return count / (held[0] * counter.how_many)
    litres = [load.number * named[0] for load in counter.loads if (named := size_and_kind(load.unit)) is not None]
    if not litres or container.holds_litres is None:
        return 0.0
    return count * container.holds_litres / (max(litres) * counter.how_many)


def counter_shares(household: Household, preserve: Preserve, count: float) -> int:
    """Return the counter's shares that so many containers take, rounded up."""
    return math.ceil(counter_part(household, preserve, count) * COUNTER_SHARES - 1e-9)
