"""Jar sizes: which published size a container counts as."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from stillroom.handbook.kitchen_measures import PINT_LITRES, QUART_LITRES
from stillroom.handbook.words import tokens
from stillroom.household.records import Container

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
