"""Jar sizes: which published size a container counts as."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from stillroom.handbook.names import tokens
from stillroom.household.records import Container
from stillroom.household.units import POUND_KG, UNITS

# Exact sizes of the kitchen measures that the publications use: litres and kilograms, nothing else.

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


JARS: Mapping[str, float] = MappingProxyType(
    {"half-pint": PINT_LITRES / 2, "pint": PINT_LITRES, "quart": QUART_LITRES, "half-gallon": QUART_LITRES * 2}
)
"""Litres of each jar size that the tables name, from the smallest up."""

ROUNDING = 0.015
"""How far a typed size may be off a jar's own, as a share: 0.95 L is a quart, 0.24 L a half-pint."""

LITRE_AS_QUART = 1.0
UNLIDDED = frozenset({"box", "basket", "sack", "bin"})
LIDDED = frozenset(
    tokens(
        "jar bottle tin can glass vacuum sealed seal lid bag pouch tub bucket pail mason flask carton canister "
        "airtight mylar zip closed tight hermetic capped screw clamp wrapped"
    )
)
"""Words that make a container a closed one, whatever else it is called."""

OTHER_MATERIALS = frozenset(tokens("plastic paper cardboard pouch bag"))
"""Words in a name that say it is no glass jar, whatever its kind."""


@dataclass(frozen=True)
class CountsAs:
    """The published jar a container counts as, and how it came to that: `exact`, `litre` or `next larger`."""

    jar: str
    how: str
    litres: float


def counts_as(litres: float | None, listed: Iterable[str]) -> CountsAs | None:
    """
    Give the listed jar that a container counts as, or None when it may not be used.

    A jar of a listed size is itself; a litre jar counts as a quart; any other jar above a listed size counts as the
    next larger listed one; a jar below every listed size, or above them all, is not in the table.

    >>> [counts_as(litres, ["pint", "quart"]).how for litres in (0.946, 1.0, 0.7)]
    ['exact', 'litre', 'next larger']
    >>> counts_as(0.24, ["pint", "quart"]), counts_as(1.9, ["pint", "quart"]), counts_as(None, ["pint"])
    (None, None, None)
    """
    if litres is None:
        return None
    sizes = sorted((jar for jar in listed if jar in JARS), key=JARS.__getitem__)
    for jar in sizes:
        if abs(litres / JARS[jar] - 1) <= ROUNDING:
            return CountsAs(jar, "exact", JARS[jar])
    if "quart" in sizes and abs(litres / LITRE_AS_QUART - 1) <= ROUNDING:
        return CountsAs("quart", "litre", litres)
    smaller = [jar for jar in sizes if JARS[jar] < litres]
    larger = [jar for jar in sizes if JARS[jar] > litres]
    return CountsAs(larger[0], "next larger", litres) if smaller and larger else None


def is_unlidded(container: Container) -> bool:
    """
    Say whether a container is a box, basket, sack, bin or open crock, by its kind or name, and nothing with a lid.

    >>> is_unlidded(Container("apple box", "box")), is_unlidded(Container("box of jars", "jar"))
    (True, False)
    """
    words = set(tokens(container.name)) | set(tokens(container.kind))
    if words & LIDDED or container.lid is not None:
        return False
    return bool(words & UNLIDDED) or {"open", "crock"} <= words


def is_jar(container: Container) -> bool:
    """
    Say whether a container is a glass jar that can be canned in, by its kind or, where that says nothing, its name.

    >>> is_jar(Container("quart", "jar")), is_jar(Container("quart jar", "freezer tub"))
    (True, False)
    >>> is_jar(Container("plastic jar", "jar"))
    False
    """
    words = set(tokens(container.kind))
    other = {
        "tub",
        "bag",
        "box",
        "crock",
        "tin",
        "can",
        "bottle",
        "bucket",
        "pail",
        "carton",
        "sack",
        "basket",
        "bin",
        "plastic",
    }
    if words & other or set(tokens(container.name)) & OTHER_MATERIALS:
        return False
    return bool({"jar", "mason", "glass"} & (words | set(tokens(container.name))))
