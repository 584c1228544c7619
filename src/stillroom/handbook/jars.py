"""Jar sizes: the published size a container counts as, and amounts written in kitchen measures."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from stillroom.handbook.names import tokens
from stillroom.household.records import Container
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
"""Liters of a US kitchen measure."""

KG_A_POUND = POUND_KG
KILOGRAMS: Mapping[str, float] = MappingProxyType({"lb": KG_A_POUND, "g": 0.001, "kg": 1.0})
"""Kilograms of a weight unit."""


SPOON_STEPS = (1 / 8, 1 / 4, 1 / 2, 3 / 4)
CUP_STEPS = (1 / 4, 1 / 3, 1 / 2, 2 / 3, 3 / 4)
FRACTIONS = {1 / 8: "1/8", 1 / 4: "1/4", 1 / 3: "1/3", 1 / 2: "1/2", 2 / 3: "2/3", 3 / 4: "3/4"}


def format_volume(liters: float, *, metric: bool, up: bool = True) -> str:
    """
    Return a limit in spoons or cups, or in mL, rounded to a kitchen measure: `up` for a least, else down for a most.

    >>> format_volume(2 * LITRES["tablespoon"], metric=False), format_volume(2 * LITRES["tablespoon"], metric=True)
    ('2 tablespoons', '30 mL')
    >>> format_volume(0.0013, metric=False), format_volume(0.72 * LITRES["cup"], metric=False)
    ('1/2 teaspoon', '3/4 cup')
    """
    if metric:
        ml = liters * 1000
        return f"{_rounded(ml * 10, up=up) / 10 if ml < 10 else _rounded(ml, up=up):g} mL"
    unit = next((unit for unit in ("cup", "tablespoon") if liters >= LITRES[unit] / 2 - 1e-9), "teaspoon")
    whole, part = divmod(liters / LITRES[unit], 1.0)
    steps = (0.0, *(CUP_STEPS if unit == "cup" else SPOON_STEPS), 1.0)
    near = [step for step in steps if (step >= part - 1e-4 if up else step <= part + 1e-4)]
    count = whole + (min(near) if up else max(near))
    fraction = FRACTIONS.get(count % 1, "")
    figures = " ".join(text for text in (f"{count:.0f}" if not fraction else f"{int(count) or ''}", fraction) if text)
    return f"{figures} {unit}{'s' if count > 1 else ''}"


def format_weight(kg: float, *, metric: bool, up: bool = False) -> str:
    """
    Return a limit by weight in grams, or in oz or lb: rounded `up` for a least, else down for a most.

    >>> format_weight(0.1, metric=False), format_weight(0.1, metric=True), format_weight(0.1, metric=False, up=True)
    ('3.5 oz', '100 g', '3.6 oz')
    """
    if metric:
        return f"{_rounded(kg * 1000, up=up):g} g"
    if kg >= KG_A_POUND:
        return f"{_rounded(kg / KG_A_POUND * 100, up=up) / 100:g} lb"
    return f"{_rounded(kg / KG_A_POUND * 160, up=up) / 10:g} oz"


def _rounded(amount: float, *, up: bool) -> int:
    return math.ceil(amount - 1e-6) if up else math.floor(amount + 1e-6)


JARS: Mapping[str, float] = MappingProxyType(
    {"half-pint": PINT_LITRES / 2, "pint": PINT_LITRES, "quart": QUART_LITRES, "half-gallon": QUART_LITRES * 2}
)
"""Liters of each jar size that the tables name, from the smallest up."""

ROUNDING = 0.015
"""How far a typed size may differ from a jar's own, as a share: 0.95 L is a quart, 0.24 L a half-pint."""

LITER_JAR = 1.0
UNLIDDED = frozenset({"box", "basket", "sack", "bin"})
LIDDED = frozenset(
    tokens(
        "jar bottle tin can glass vacuum sealed seal lid bag pouch tub bucket pail mason flask carton canister "
        "airtight foil film zip closed tight hermetic capped screw clamp wrapped"
    )
)
"""Words in a name or kind that make a container a closed one."""

OTHER_MATERIALS = frozenset(
    tokens("plastic pet acrylic polycarbonate silicone paper cardboard pouch bag tin tinned wine")
)
"""Words in a name that make it no glass jar, whatever its kind."""

OTHER_KINDS = frozenset(tokens("tub bag box crock tin can bottle bucket pail carton sack basket bin plastic"))
"""Kinds of container that are no glass jar."""


@dataclass(frozen=True)
class CountsAs:
    """The published jar a container counts as, and why: `exact`, `liter` or `next larger`."""

    jar: str
    how: str
    litres: float


def counts_as(litres: float | None, listed: Iterable[str]) -> CountsAs | None:
    """
    Return the listed jar that a container counts as, or None when it may not be used.

    A jar of a listed size is itself; a liter jar counts as a quart; any other jar above a listed size counts as the
    next larger listed one; a jar below every listed size, or above them all, is not in the table.

    >>> [counts_as(litres, ["pint", "quart"]).how for litres in (0.946, 1.0, 0.7)]
    ['exact', 'liter', 'next larger']
    >>> counts_as(0.24, ["pint", "quart"]), counts_as(1.9, ["pint", "quart"]), counts_as(None, ["pint"])
    (None, None, None)
    """
    if litres is None:
        return None
    sizes = sorted((jar for jar in listed if jar in JARS), key=JARS.__getitem__)
    for jar in sizes:
        if abs(litres / JARS[jar] - 1) <= ROUNDING:
            return CountsAs(jar, "exact", JARS[jar])
    if "quart" in sizes and abs(litres / LITER_JAR - 1) <= ROUNDING:
        return CountsAs("quart", "liter", litres)
    smaller = [jar for jar in sizes if JARS[jar] < litres]
    larger = [jar for jar in sizes if JARS[jar] > litres]
    return CountsAs(larger[0], "next larger", litres) if smaller and larger else None


def is_unlidded(container: Container) -> bool:
    """
    Return whether a container is a box, basket, sack or bin without a lid, by its kind or name.

    >>> is_unlidded(Container("apple box", "box")), is_unlidded(Container("box of jars", "jar"))
    (True, False)
    """
    words = set(tokens(container.name)) | set(tokens(container.kind))
    if words & LIDDED or container.lid is not None:
        return False
    return bool(words & UNLIDDED)


def is_jar(container: Container) -> bool:
    """
    Return whether a container is a glass canning jar, by its kind or, where that does not show it, its name.

    >>> is_jar(Container("quart", "jar")), is_jar(Container("quart jar", "freezer tub"))
    (True, False)
    >>> is_jar(Container("plastic jar", "jar"))
    False
    """
    words = set(tokens(container.kind))
    if words & OTHER_KINDS or set(tokens(container.name)) & OTHER_MATERIALS:
        return False
    return bool({"jar", "mason", "glass"} & (words | set(tokens(container.name))))
