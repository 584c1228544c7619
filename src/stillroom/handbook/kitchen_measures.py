"""Exact sizes of the kitchen measures that the publications use: litres and kilograms, nothing else."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from stillroom.household.units import POUND_KG, UNITS

QUART_LITRES, PINT_LITRES = UNITS["quart"].factor, UNITS["pint"].factor

LITRES: Mapping[str, float] = MappingProxyType(
    {
        "teaspoon": UNITS["tsp"].factor,
        "tablespoon": UNITS["tbsp"].factor,
        "cup": UNITS["cup"].factor,
        "pint": PINT_LITRES,
        "quart": QUART_LITRES,
    }
)
"""Litres of a US kitchen measure."""

KG_A_POUND = POUND_KG
KILOGRAMS: Mapping[str, float] = MappingProxyType({"lb": KG_A_POUND, "g": 0.001, "kg": 1.0})
"""Kilograms of a weight unit."""


def spoken(litres: float) -> str:
    """
    Say a small volume in spoons or cups, for a cook, rounded up, with millilitres beside it.

    >>> spoken(2 * LITRES["tablespoon"]), spoken(0.25 * LITRES["teaspoon"]), spoken(0.75 * LITRES["cup"])
    ('2 tablespoons (30 mL)', '0.25 teaspoon (1.3 mL)', '0.75 cup (178 mL)')
    """
    millilitres = litres * 1000
    small = f"{_up(millilitres, 10):g}" if millilitres < 10 else f"{_up(millilitres, 1):.0f}"
    for unit in ("cup", "tablespoon", "teaspoon"):
        count = litres / LITRES[unit]
        if count >= (0.5 if unit != "teaspoon" else 0):
            break
    count = _up(count, 100)
    return f"{count:g} {unit}{'s' if count > 1 else ''} ({small} mL)"


def _up(amount: float, parts: int) -> float:
    """Round up to a part of one, so that what is said is never too little."""
    return math.ceil(amount * parts - 1e-6) / parts
