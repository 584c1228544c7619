"""
Every unit a household may write, in one registry: our listed units only, each taken from Pint's own definitions.

Pint is slow to import, so the factors of the commonest units stand here too, and a test holds them to Pint; whoever
writes in anything else, or a crop by volume, waits for it once.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property
from typing import Any

from stillroom.errors import KINDS, StillroomError


class MeasureWrong(StillroomError):
    """An amount, a unit, a date or a time that cannot be used, as data; `example` is what could be typed instead."""

    def __init__(self, kind: str, *names: str, example: str = "", suggestion: str = "") -> None:
        """Keep the kind, the fill-ins of its sentences before the example, and the "did you mean"."""
        self.kind, self.names, self.example, self.suggestion = kind, names, example, suggestion
        super().__init__(f"{self.what}; {self.fix}")

    @property
    def what(self) -> str:
        """What is wrong, for a command line."""
        return KINDS[self.kind].what.format(*self.names, self.example, in_field="")

    @property
    def fix(self) -> str:
        """What to do, for a command line."""
        if self.suggestion:
            return f"did you mean {self.suggestion}?"
        return KINDS[self.kind].fix.format(*self.names, self.example)


POUND_KG = 0.45359237
FOOT_METRES = 0.3048
GALLON_LITRES = 3.785411784
CUBIC_FOOT_LITRES = 28.316846592
CONTAINER_LITRES_PER_KG = 1.8
"""Room a kilogram of produce takes, 35 lb to the cubic foot (USDA freezing guidance, by way of the freezer table)."""

COMMON = {
    "kg": 1.0,
    "g": 0.001,
    "lb": POUND_KG,
    "oz": POUND_KG / 16,
    "L": 1.0,
    "dl": 0.1,
    "ml": 0.001,
    "gallon": GALLON_LITRES,
    "half gallon": GALLON_LITRES / 2,
    "quart": GALLON_LITRES / 4,
    "pint": GALLON_LITRES / 8,
    "half pint": GALLON_LITRES / 16,
    "cup": GALLON_LITRES / 16,
    "fl oz": GALLON_LITRES / 128,
    "tbsp": GALLON_LITRES / 256,
    "tsp": GALLON_LITRES / 768,
    "cubic feet": CUBIC_FOOT_LITRES,
    "ft": 1.0,
    "m": 1 / FOOT_METRES,
    "min": 1 / 60,
    "h": 1.0,
}
"""The factors of the commonest units, for which Pint is not asked; exact by definition (NIST SP 811, Handbook 44)."""

PINT_BASES = {"weight": "kilogram", "volume": "liter", "length": "foot", "time": "hour", "bushel": ""}
"""What Pint calls the unit that each kind of measure is counted in inside; a bushel has no weight of its own."""


@dataclass(frozen=True)
class Unit:
    """
    One unit: how it is called, what it measures, and its definition in the words of Pint.

    `measures` is weight (inside kg), volume (litre), length (ft), time (h), count (each), or bushel and flat, which are
    as heavy as a crop makes them. Without a definition a unit is one of its kind.
    """

    name: str
    measures: str
    definition: str = ""

    @cached_property
    def factor(self) -> float:
        """
        How much of the inside unit one of it is; a dozen is 12 and a peck a quarter of a bushel.

        >>> UNITS["oz"].factor, UNITS["stone"].factor, UNITS["peck"].factor
        (0.028349523125, 6.35029318, 0.25)
        """
        if self.name in COMMON:
            return COMMON[self.name]
        if self.name == "dozen":
            return 12.0
        return factor_by_pint(self) if self.definition else 1.0

    def like(self, other: Unit) -> bool:
        """
        Whether amounts in two units can be added: both weights, both volumes, or counts of the same thing.

        >>> UNITS["cup"].like(UNITS["L"]), UNITS["each"].like(UNITS["dozen"]), UNITS["each"].like(unit_of("packet"))
        (True, True, False)
        """
        if self.measures != other.measures:
            return False
        plain = ("each", "dozen")
        return self.measures != "count" or self.name == other.name or (self.name in plain and other.name in plain)


_LISTED = {
    Unit("kg", "weight", "kilogram"): "kgs, kilo, kilos, kilogram, kilograms, kilogramme, kilogrammes",
    Unit("g", "weight", "gram"): "gm, gms, gr, gram, grams, gramme, grammes",
    Unit("mg", "weight", "milligram"): "milligram, milligrams",
    Unit("tonne", "weight", "metric_ton"): "tonnes, metric ton, metric tons",
    Unit("lb", "weight", "pound"): "lbs, pound, pounds",
    Unit("oz", "weight", "ounce"): "ozs, ounce, ounces",
    Unit("stone", "weight", "stone"): "st, stones",
    Unit("hundredweight", "weight", "hundredweight"): "cwt, hundredweights, us cwt, us hundredweight",
    Unit("imperial hundredweight", "weight", "long_hundredweight"): "imperial cwt, imp cwt, uk cwt, uk hundredweight",
    Unit("L", "volume", "liter"): "l, litre, litres, liter, liters, ltr, ltrs",
    Unit("dl", "volume", "deciliter"): "decilitre, decilitres, deciliter, deciliters",
    Unit("cl", "volume", "centiliter"): "centilitre, centilitres, centiliter, centiliters",
    Unit("ml", "volume", "milliliter"): "mls, millilitre, millilitres, milliliter, milliliters, cc",
    Unit("gallon", "volume", "gallon"): "gal, gals, gallons, us gallon, us gallons, us gal",
    Unit("half gallon", "volume", "gallon / 2"): "half gallons, half gal",
    Unit("quart", "volume", "quart"): "qt, qts, quarts, us quart, us quarts, us qt",
    Unit("pint", "volume", "pint"): "pt, pts, pints, us pint, us pints, us pt",
    Unit("half pint", "volume", "pint / 2"): "half pints, half pt",
    Unit("cup", "volume", "cup"): "cups, us cup, us cups",
    Unit("fl oz", "volume", "fluid_ounce"): "fluid ounce, fluid ounces, floz, us fl oz",
    Unit("tbsp", "volume", "tablespoon"): "tbs, tbsps, tblsp, tablespoon, tablespoons",
    Unit("tsp", "volume", "teaspoon"): "tsps, teaspoon, teaspoons",
    Unit("imperial gallon", "volume", "imperial_gallon"): (
        "imperial gallons, imperial gal, imp gallon, imp gallons, imp gal, uk gallon, uk gallons, uk gal"
    ),
    Unit("imperial quart", "volume", "imperial_quart"): (
        "imperial quarts, imperial qt, imp quart, imp quarts, imp qt, uk quart, uk quarts, uk qt"
    ),
    Unit("imperial pint", "volume", "imperial_pint"): (
        "imperial pints, imperial pt, imp pint, imp pints, imp pt, uk pint, uk pints, uk pt"
    ),
    Unit("imperial fl oz", "volume", "imperial_fluid_ounce"): (
        "imperial fluid ounce, imperial fluid ounces, imp fl oz, uk fl oz, uk fluid ounce, uk fluid ounces"
    ),
    Unit("metric cup", "volume", "liter / 4"): "metric cups",
    Unit("dry pint", "volume", "dry_pint"): "dry pints, dry pt",
    Unit("dry quart", "volume", "dry_quart"): "dry quarts, dry qt",
    Unit("cubic feet", "volume", "foot ** 3"): "cubic foot, cu ft, ft3, ft³, cf",
    Unit("cubic inches", "volume", "inch ** 3"): "cubic inch, cu in, in3, in³",
    Unit("cubic metres", "volume", "meter ** 3"): "cubic metre, cubic meter, cubic meters, m3, m³",
    Unit("ft", "length", "foot"): "foot, feet, '",
    Unit("m", "length", "meter"): "metre, metres, meter, meters",
    Unit("inch", "length", "inch"): 'in, inches, "',
    Unit("yd", "length", "yard"): "yds, yard, yards",
    Unit("cm", "length", "centimeter"): "centimetre, centimetres, centimeter, centimeters",
    Unit("mm", "length", "millimeter"): "millimetre, millimetres, millimeter, millimeters",
    Unit("min", "time", "minute"): "mins, minute, minutes",
    Unit("h", "time", "hour"): "hr, hrs, hour, hours",
    Unit("day", "time", "day"): "days",
    Unit("week", "time", "week"): "weeks, wk, wks",
    Unit("month", "time", "month"): "months, mo, mos",
    Unit("bushel", "bushel"): "bu, bushels",
    Unit("peck", "bushel", "peck / bushel"): "pecks",
    Unit("flat", "flat"): "flats",
    Unit("each", "count"): "ea, piece, pieces, pcs, pc, count",
    Unit("dozen", "count"): "dozens, doz, dz",
}

UNITS: dict[str, Unit] = {unit.name: unit for unit in _LISTED}
"""Every unit that is understood, by its own name."""

SPELLINGS: dict[str, tuple[str, ...]] = {unit.name: tuple(text.split(", ")) for unit, text in _LISTED.items()}
"""The accepted spellings of each unit besides its own name, in lower case."""

SHORT_LISTS = {"length": ("ft", "m"), "time": ("min", "h")}
"""The only units of an altitude, and of work: a day of work is no 24 hours."""

EXAMPLES = {"length": "1450 ft", "time": "15 min", "weight": "53 lb", "volume": "3 cu ft"}
"""What an amount of each measure looks like."""

ACID_UNITS = (
    *("tsp", "tbsp", "cup", "metric cup", "fl oz", "half pint", "pint", "quart", "ml", "cl", "dl", "L"),
    *("g", "kg", "oz", "lb"),
)
"""The only units in which an acid is measured."""

COUNT_WORDS = (
    *("bag", "bottle", "box", "bulb", "bunch", "can", "clove"),
    *("envelope", "head", "jar", "packet", "pack", "stick"),
)
"""Words that may count a pantry ingredient; one word is never turned into another."""

_TWO_MEANINGS = {
    "pint": ("473 ml", "568 ml"),
    "quart": ("0.95 L", "1.14 L"),
    "gallon": ("3.79 L", "4.55 L"),
    "hundredweight": ("45.4 kg", "50.8 kg"),
}


@cache
def _by_spelling() -> dict[str, Unit]:
    """Every accepted spelling with its unit."""
    found = {name.casefold(): unit for name, unit in UNITS.items()}
    for name, spellings in SPELLINGS.items():
        found.update(dict.fromkeys(spellings, UNITS[name]))
    found.update({word: Unit(word, "count") for word in COUNT_WORDS})
    found.update({word + ("es" if word[-1] in "xh" else "s"): Unit(word, "count") for word in COUNT_WORDS})
    return found


def tidy(text: str) -> str:
    """
    Bring a unit to lower case with single spaces, hyphens and trailing dots gone.

    >>> tidy(" Half-Gallon. ")
    'half gallon'
    """
    return " ".join(text.replace("\u00a0", " ").replace("\u202f", " ").replace("-", " ").casefold().split()).rstrip(".")


def find_unit(text: str) -> Unit | None:
    """
    Look a unit up by any accepted spelling, whichever workbook it stands in; None for an unknown one.

    >>> find_unit("LBS.").name, find_unit("fl. oz.").name, find_unit("furlong")
    ('lb', 'fl oz', None)
    """
    known, word = _by_spelling(), tidy(text)
    return known.get(word) or known.get(word.replace(".", ""))


def bare(text: str, unit: Unit) -> bool:
    """
    Whether a unit with two meanings is written without saying which.

    >>> bare("pt", UNITS["pint"]), bare("US pint", UNITS["pint"]), bare("qt", UNITS["quart"])
    (True, False, True)
    """
    return unit.name in _TWO_MEANINGS and not tidy(text).startswith("us ")


def unit_of(text: str, *, metric: bool = False) -> Unit:
    """
    Look a unit up; in a metric workbook a bare pint, quart or gallon is asked about, elsewhere it is the US one.

    Raises MeasureWrong.

    >>> unit_of("pints").factor
    0.473176473
    >>> unit_of("pint", metric=True)  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    stillroom.household.units.MeasureWrong: "pint" is 473 ml in the US and 568 ml elsewhere; ...
    """
    unit = find_unit(text)
    if unit is None and tidy(text) in ("ton", "tons"):
        raise MeasureWrong("two readings", " ".join(text.split()), "2000 lb", "1000 kg")
    if unit is None:
        example = "kg, g, L, ml or each" if metric else "lb, oz, quart, cup or each"
        raise MeasureWrong("unknown unit", " ".join(text.split()), example=example, suggestion=nearest_unit(text))
    if metric and bare(text, unit):
        small, large = _TWO_MEANINGS[unit.name]
        raise MeasureWrong("unit of two sizes", " ".join(text.split()), small, large, unit.name)
    return unit


def nearest_unit(text: str) -> str:
    """Return the unit that an unknown one may mean; empty without one."""
    near = difflib.get_close_matches(tidy(text), _by_spelling(), n=1, cutoff=0.7)
    return _by_spelling()[near[0]].name if near else ""


def to_kg(
    amount: float,
    unit: Unit,
    *,
    bushel_kg: float | None = None,
    kg_per_litre: float | None = None,
    each_kg: float | None = None,
) -> float:
    """
    Turn an amount into kilograms: a bushel or a dozen by the crop's own weight, a volume only with a density.

    Raises MeasureWrong.

    >>> round(to_kg(53, UNITS["lb"]), 4), to_kg(2, UNITS["bushel"], bushel_kg=24.0)
    (24.0404, 48.0)
    >>> round(to_kg(4, UNITS["cup"], kg_per_litre=0.626), 4)
    0.5924
    >>> to_kg(3, UNITS["dozen"], each_kg=0.25)
    9.0
    """
    if unit.measures == "weight":
        return amount * unit.factor
    if unit.name in ("each", "dozen") and each_kg is not None:
        return amount * unit.factor * each_kg
    if unit.measures == "bushel" and bushel_kg is not None:
        return amount * unit.factor * bushel_kg
    if unit.measures == "volume" and kg_per_litre is not None:
        return _by_density(amount * unit.factor, "L", "kg", kg_per_litre)
    if unit.measures == "bushel":
        raise MeasureWrong("no bushel weight", unit.name, example="53 lb")
    if unit.measures == "flat" or unit.name == "dozen":
        raise MeasureWrong("no weight of a unit", unit.name, example="53 lb")
    raise MeasureWrong("not a weight", unit.name, example="53 lb")


def to_litres(amount: float, unit: Unit, *, kg_per_litre: float | None = None) -> float:
    """
    Turn an amount into litres; a weight only with a density. Raises MeasureWrong.

    >>> round(to_litres(18, UNITS["quart"]), 6)
    17.034353
    """
    if unit.measures == "volume":
        return amount * unit.factor
    if unit.measures == "weight" and kg_per_litre:
        return _by_density(amount * unit.factor, "kg", "L", kg_per_litre)
    raise MeasureWrong("not a volume", unit.name, example="18 qt")


def in_base(amount: float, unit: Unit, measures: str, base_unit: str) -> float:
    """
    Turn an amount into kg, litres, ft or hours when the unit measures that; a length is an altitude, a time is work.

    Raises MeasureWrong.

    >>> round(in_base(450, UNITS["m"], "length", "ft"), 1)
    1476.4
    >>> in_base(2, UNITS["week"], "time", "min")
    Traceback (most recent call last):
    stillroom.household.units.MeasureWrong: week cannot be used here; type it in min or h, such as 15 min
    """
    if unit.measures != measures:
        raise MeasureWrong("wrong measure", unit.name, measures, example=EXAMPLES.get(measures, base_unit))
    if unit.name not in SHORT_LISTS.get(measures, (unit.name,)):
        units = " or ".join(SHORT_LISTS[measures])
        raise MeasureWrong("unit not used here", unit.name, units, example=EXAMPLES[measures])
    return amount * unit.factor


def _by_density(amount: float, given: str, wanted: str, kg_per_litre: float) -> float:
    """Turn litres into kilograms or back, in the registry's context `density`."""
    measured = registry().Quantity(amount, given).to(wanted, "density", kg_per_litre=kg_per_litre)
    return float(measured.magnitude)


@cache
def pint_defaults() -> Any:
    """Give Pint's own registry, in fractions: exact, and as slow to import as all of stillroom."""
    import pint

    return pint.UnitRegistry(cache_folder=None, non_int_type=Fraction)


def factor_by_pint(unit: Unit) -> float:
    """
    Work a unit's factor out from Pint's own definitions, in kg, litres, ft, hours or bushels.

    >>> factor_by_pint(UNITS["imperial gallon"])
    4.54609
    """
    return float(pint_defaults().parse_expression(unit.definition).to(PINT_BASES[unit.measures]).magnitude)


@cache
def registry() -> Any:
    """
    Give the one registry: what is listed here and nothing else, each unit by its own name with `_` for a space.

    In its context `density` a volume is a mass by `kg_per_litre`, and the other way.

    >>> "imperial_pint" in registry(), "farad" in registry()
    (True, False)
    """
    import pint

    ours: Any = pint.UnitRegistry(None, cache_folder=None)
    inside = {"weight": "kg", "volume": "L", "length": "ft", "time": "h", "bushel": "bushel"}
    for measures, name in inside.items():
        ours.define(f"{name} = [{measures}]")
    for unit in UNITS.values():
        if unit.definition and unit.name not in inside.values():
            ours.define(f"{unit.name.replace(' ', '_')} = {unit.factor!r} * {inside[unit.measures]}")

    def weighed(ureg: Any, value: Any, **given: Any) -> Any:
        return value * ureg.Quantity(given["kg_per_litre"], "kg / L")

    def measured(ureg: Any, value: Any, **given: Any) -> Any:
        return value / ureg.Quantity(given["kg_per_litre"], "kg / L")

    density = pint.Context("density")
    density.add_transformation("[volume]", "[weight]", weighed)
    density.add_transformation("[weight]", "[volume]", measured)
    ours.add_context(density)
    return ours
