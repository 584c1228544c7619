"""A gain on the winter list in a cook's words: so many quarts of what, how many meals, what it is worth."""

from __future__ import annotations

from collections.abc import Mapping

from stillroom.household.answer.words import amount_words, listed, unit_words
from stillroom.household.records import Household, Need
from stillroom.household.units import POUND_KG

KG_A_LB = POUND_KG


def need_words(need: Need, amount: float) -> str:
    """
    So much of a need, with the meals it makes.

    >>> need_words(Need("tomato sauce", 28, 28, unit="quart", meals_each=2.0), 7.0)
    '7 quarts tomato sauce (14 meals)'
    """
    unit = unit_words(amount if amount >= 1.125 else 1.0, need.unit) if need.unit else ""
    meals = "" if not need.meals_each else round(amount * need.meals_each)
    made = f" ({meals} meal{'' if meals == 1 else 's'})" if meals else ""
    return " ".join(part for part in (amount_words(amount, need.unit), unit, need.name) if part) + made


def list_words(household: Household, changes: Mapping[str, float], most: int = 4) -> str:
    """
    What the list gains, the most important and the most meals first, then what it loses; empty when nothing changes.

    >>> from stillroom.household.tiny import tiny_household
    >>> list_words(tiny_household(), {"tomato juice": 7.0, "soup": -2.0})
    '7 quarts tomato juice; 2 bags soup less'
    """
    needs = {need.name: need for need in household.needs}

    def weight(name: str) -> tuple[int, float, str]:
        return needs[name].importance, -abs(changes[name]) / (needs[name].wanted or 1.0), name

    more = [need_words(needs[name], changes[name]) for name in sorted(changes, key=weight) if changes[name] > 0]
    less = [need_words(needs[name], -changes[name]) for name in sorted(changes, key=weight) if changes[name] < 0]
    return listed([*more, *(f"{words} less" for words in less)], most, "; ")


def weight_words(household: Household, kg: float) -> str:
    """
    A weight in the kitchen's unit.

    >>> from stillroom.household.tiny import tiny_household
    >>> weight_words(tiny_household(), 4.5359237)
    '10 lb'
    """
    unit = household.kitchen.weight_unit
    return f"{amount_words(kg / KG_A_LB if unit == 'lb' else kg, unit)} {unit}"


def shop_worth(household: Household, changes: Mapping[str, float]) -> tuple[float, tuple[str, ...]]:
    """What the changes of the list would cost in the shop, and the needs of them that have no shop price."""
    needs = {need.name: need for need in household.needs}
    worth = sum((needs[name].shop_price or 0.0) * change for name, change in changes.items())
    return worth, tuple(sorted(name for name in changes if needs[name].shop_price is None))
