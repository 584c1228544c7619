"""
What a pot takes: it is filled before the food boils down, so its starting volume counts and not the finished jars.

A pot is a piece of kind *kettle*, or whatever else a canned preserve goes through before its canner. Its load may be
typed as a volume, or as jars, which stand for their volume: 8 quart jars are a pot of 8 quarts. A load typed as a
weight is as typed.
"""

from __future__ import annotations

import math

from stillroom.errors import Problem
from stillroom.household.records import Equipment, Household, Ingredient, Load, Preserve
from stillroom.household.text import format_number
from stillroom.household.units import UNITS, find_unit

KETTLE = "kettle"
ROUNDED = 0.005
"""How far a starting volume may be above the pot's: the weight of crop a jar is typed in few figures."""


def cooks_down_in(piece: Equipment, preserve: Preserve) -> bool:
    """
    Return whether a preserve cooks down in a piece of equipment: a kettle, or what comes before its canner.

    >>> sauce = Preserve("sauce", "boiling-water canned", "quart jar", equipment=("stockpot", "canner"))
    >>> [cooks_down_in(Equipment(name, kind), sauce) for name, kind in (("stockpot", "pot"), ("canner", "canner"))]
    [True, False]
    """
    before_its_canner = preserve.method.endswith("canned") and piece.name in preserve.equipment[:-1]
    return piece.kind == KETTLE or before_its_canner


def starting_litres(preserve: Preserve, household: Household) -> float | None:
    """
    Return the liters in the pot before it boils down, for one container; None where a crop has no known density.

        starting liters = sum over crops of weight * pot_litres_per_kg + liquids and preserves that go in

    but at least what the container holds. What is weighed or counted of the pantry (salt, sugar) takes no room, nor
    does what is measured into each jar. 46 lb of tomatoes for 7 quarts of thick sauce:

    >>> import datetime
    >>> from stillroom.household.records import Container, Crop, Kitchen
    >>> quart, pulp = 0.946352946, 7 * 0.946352946 / (23 * 0.45359237)
    >>> sauce = Preserve("sauce", "boiling-water canned", "quart jar",
    ...     ingredients=(Ingredient("tomato", "crop", 46 * 0.45359237 / 7),))
    >>> home = Household(Kitchen(datetime.date(2026, 8, 14)), crops=(Crop("tomato", 3, pot_litres_per_kg=pulp),),
    ...     containers=(Container("quart jar", "jar", quart),))
    >>> round(starting_litres(sauce, home) / quart, 3)
    2.0
    """
    container = household.container(preserve.container)
    each = [_litres(line, household) for line in preserve.ingredients if line.amount_each > 0]
    known = [litres for litres in each if litres is not None]
    if container.holds_litres is None or len(known) < len(each):
        return None
    return max(container.holds_litres, sum(known))


def _litres(line: Ingredient, household: Household) -> float | None:
    """Return the liters that an ingredient fills in the pot; None where that is not known."""
    if line.source == "crop":
        room = household.crop(line.item).pot_litres_per_kg
        return None if room is None else room * line.amount_each
    if line.source == "preserve":
        holds = household.container(household.preserve(line.item).container).holds_litres
        return None if holds is None else holds * line.amount_each
    item = next((one for one in household.pantry if one.name == line.item), None)
    if item is None or item.into_jars:
        return 0.0
    return line.amount_each if item.base_unit == "litre" else line.litres_each or 0.0


def no_density(preserve: Preserve, household: Household) -> tuple[str, ...]:
    """Return the ingredients of a preserve whose room in the pot is not known."""
    return tuple(
        line.item for line in preserve.ingredients if line.amount_each > 0 and _litres(line, household) is None
    )


def counts_jars(load: Load) -> bool:
    """
    Return whether a load gives the room in a piece, by jars or as a volume, and not a weight or bushels.

    >>> [counts_jars(Load(8, unit)) for unit in ("quart jars", "jar", "qt", "lb", "bushel")]
    [True, True, True, False, False]
    """
    unit = find_unit(load.unit)
    return unit is None or unit.measures in ("volume", "count")


def most_pots(piece: Equipment, preserve: Preserve, household: Household) -> int:
    """
    Return how many equal pots may cook one load together before its canner.

    One burner is kept to heat the jars and the canner. The burner minutes of a load stay the same: two pots need half
    the time each.

    >>> import datetime
    >>> from stillroom.household.records import Kitchen
    >>> sauce = Preserve("sauce", "boiling-water canned", "quart jar", equipment=("pot", "canner"))
    >>> home = Household(Kitchen(datetime.date(2026, 8, 14), burners=4))
    >>> [most_pots(Equipment("pot", "kettle", number), sauce, home) for number in (0, 1, 2, 9)]
    [1, 1, 2, 3]
    """
    if len(preserve.equipment) != 2 or piece.name != preserve.equipment[0] or piece.name == preserve.equipment[1]:
        return 1
    return max(1, min(piece.how_many, math.floor(household.kitchen.burners) - 1))


def in_pots(held: float, load: Load, piece: Equipment, preserve: Preserve, household: Household) -> tuple[float, int]:
    """
    Return the containers that one pot takes of those whose finished jars it would hold, and how many pots may share.

        containers = held * what a container holds / its starting liters

    Other equipment, a load typed as a weight, and a crop without a known density leave them as they are.
    """
    start = starting_litres(preserve, household) if cooks_down_in(piece, preserve) and counts_jars(load) else None
    holds = household.container(preserve.container).holds_litres
    if start is None or holds is None:
        return held, 1
    return held * min(1.0, holds / start * (1 + ROUNDED)), most_pots(piece, preserve, household)


def pot_is_full(
    preserve: Preserve, piece: Equipment, held: float, loads: tuple[int, int], household: Household
) -> Problem:
    """
    Return the note that a load is smaller than its finished jars would have it: `loads` are those two, in containers.

    `held` are the finished containers that the pots of a load would hold.
    """
    weight = UNITS[household.kitchen.weight_unit]
    volume, word = (UNITS["quart"], "quarts") if weight.name == "lb" else (UNITS["L"], "L")
    crop_kg = sum(line.amount_each for line in preserve.ingredients if line.source == "crop")
    litres = household.container(preserve.container).holds_litres or 0.0
    weights = [f"{format_number(load * crop_kg / weight.factor, 0)} {weight.name}" for load in loads]
    starts = loads[1] * (starting_litres(preserve, household) or 0.0) / volume.factor
    load = f"{weights[0]} for {preserve.name}, not {weights[1]} ({format_number(starts, 1)} {word})"
    room = f"{format_number(held * litres / volume.factor, 1)} {word}"
    return Problem(preserve.where, "pot full before it boils down", (load, piece.name, room))
