"""The same catalogue in kilograms and litre jars: what one container takes grows or shrinks with the container."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stillroom.handbook.catalogue import CataloguePreserve
from stillroom.handbook.catalogue_items import CatalogueItem
from stillroom.handbook.lines import lines
from stillroom.household.units import POUND_KG, UNITS

TABLESPOON_ML = 14.78676478125
CUP_ML = 236.5882365
TEASPOON_ML = TABLESPOON_ML / 3
KITCHEN_ML = {"tablespoon": TABLESPOON_ML, "cup": CUP_ML, "teaspoon": TEASPOON_ML}
QUART_LITRES = UNITS["quart"].factor
DRY_BAG_KG, DRY_BAG_LB = 0.1, 0.25
BOX_KG, BOX_LB = 10.0, 20.0


@dataclass(frozen=True)
class Swap:
    """A container that stands for one of the catalogue: its name, how much more it holds, and the line it follows."""

    container: str
    share: float
    line: str


def swap(preserve: CataloguePreserve) -> Swap:
    """
    The metric container for a preserve, and the line it is processed by.

    A litre jar counts as a quart. A half-litre jar is larger than a pint, so it follows the quart's line where there
    is one; what is published in pints only stays in a US pint jar of 473 ml. No size is made up.
    """
    if preserve.container == "quart jar":
        return Swap("litre jar", 1 / QUART_LITRES, preserve.line)
    if preserve.container == "pint jar":
        quart = preserve.line.replace(", pint", ", quart")
        if quart in lines() and quart != preserve.line:
            return Swap("half-litre jar", 0.5 / (QUART_LITRES / 2), quart)
        return Swap("pint jar", 1.0, preserve.line)
    if preserve.container == "freezer pint":
        return Swap("half-litre tub", 0.5 / (QUART_LITRES / 2), preserve.line)
    if preserve.container == "dry bag":
        return Swap("100 g bag", DRY_BAG_KG / (DRY_BAG_LB * POUND_KG), preserve.line)
    if preserve.container == "box":
        return Swap("10 kg box", BOX_KG / (BOX_LB * POUND_KG), preserve.line)
    return Swap(preserve.container, 1.0, preserve.line)


def amount(item: CatalogueItem, share: float, *, further: bool = False) -> tuple[float, str]:
    """
    An item's amount in kg or ml, rounded up so that no acid is lost; a preserve stays counted in containers.

    A `further` food of a recipe, which is limited to a most, is rounded down.

    >>> amount(CatalogueItem("bottled lemon juice", "larder", 2, "tablespoon"), 1.0)
    (30, 'ml')
    >>> amount(CatalogueItem("onions", "crop", 1.0, "lb"), 1.0, further=True)
    (0.453, 'kg')
    """
    if item.unit in KITCHEN_ML:
        return math.ceil(item.amount * share * KITCHEN_ML[item.unit] - 1e-9), "ml"
    if item.unit == "lb" and further:
        return math.floor(item.amount * share * POUND_KG * 1000 + 1e-9) / 1000, "kg"
    if item.unit == "lb":
        return math.ceil(item.amount * share * POUND_KG * 1000 - 1e-9) / 1000, "kg"
    return item.amount, item.unit
