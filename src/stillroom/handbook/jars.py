"""Jars: the published size a container counts as, the headspace of each product, and amounts in kitchen measures."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from stillroom.handbook.names import tokens
from stillroom.handbook.tables import table
from stillroom.household.records import Container
from stillroom.household.text import format_amount, format_fraction, format_list, plural
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


INCHES = {0.125: "1/8", 0.25: "1/4", 0.5: "1/2", 0.75: "3/4"}
SEE_GUIDE = "see the guide"
"""Where the tables have no headspace, none is made up."""


@dataclass(frozen=True)
class Headspace:
    """The headspace of a product in inches, with its source; `note` has a figure that holds for some jars only."""

    inches: float
    source: str
    note: str = ""

    @property
    def text(self) -> str:
        """
        Return the headspace in words.

        >>> [Headspace(inches, "").text for inches in (0.125, 0.5, 1.0, 1.25)]
        ['1/8 inch', '1/2 inch', '1 inch', '1 1/4 inches']
        """
        whole, part = divmod(self.inches, 1)
        figures = " ".join(text for text in (f"{whole:g}" if whole else "", INCHES[part] if part else "") if text)
        return f"{figures} inch{'es' if self.inches > 1 else ''}"


@lru_cache(maxsize=1)
def headspaces() -> dict[str, Headspace]:
    """Return the headspace of every product that has one, by product."""
    found: dict[str, Headspace] = {}
    for row in table("headspace"):
        note = row["note"] if any(sign.isdigit() for sign in row["note"]) else ""
        if row["product"]:
            found.setdefault(row["product"], Headspace(float(row["headspace_in"]), row["source"], note))
    return found


def headspace_text(product: str | None) -> str:
    """
    Return the headspace of a product as it is printed, with its note.

    >>> headspace_text("tomato juice"), headspace_text("moonstones")
    ('1/2 inch headspace', 'headspace: see the guide')
    """
    found = headspaces().get(product or "")
    if found is None:
        return f"headspace: {SEE_GUIDE}"
    return f"{found.text} headspace" + (f" ({found.note})" if found.note else "")


def headspaces_text(products: Sequence[str], others: Sequence[str] = ()) -> str:
    """
    Return the headspace of several products, the smallest first; `others` are named as not in the tables.

    >>> headspaces_text(["green beans", "tomato juice", "sauerkraut"], ["relish"])
    '1/2 inch for tomato juice, sauerkraut; 1 inch for green beans; relish: see the guide'
    """
    by_inches: dict[float, list[str]] = {}
    unknown = list(others)
    for product in dict.fromkeys(products):
        if product in headspaces():
            by_inches.setdefault(headspaces()[product].inches, []).append(product)
        else:
            unknown.append(product)
    words = [f"{Headspace(inches, '').text} for {format_list(by_inches[inches])}" for inches in sorted(by_inches)]
    words += [f"{format_list(unknown)}: {SEE_GUIDE}"] if unknown else []
    return "; ".join(words)


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
