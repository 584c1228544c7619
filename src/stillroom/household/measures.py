"""The units a household may write, with their exact factors, and the only Pint registry."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from stillroom.errors import StillroomError

POUND_KG = 0.45359237
FOOT_METRES = 0.3048
GALLON_LITRES = 3.785411784
IMPERIAL_GALLON_LITRES = 4.54609
CUBIC_FOOT_LITRES = 28.316846592
CONTAINER_LITRES_PER_KG = 1.8
"""Room a kilogram of produce takes, 35 lb to the cubic foot (USDA freezing guidance, by way of the freezer table)."""


class MeasureWrong(StillroomError):
    """An amount or a unit that cannot be used: what is wrong, what to do, and the kind of problem it is."""

    def __init__(self, what: str, fix: str, kind: str) -> None:
        """Keep the three parts."""
        self.what, self.fix, self.kind = what, fix, kind
        super().__init__(f"{what}; {fix}")


@dataclass(frozen=True)
class Unit:
    """
    One unit: how it is called, what it measures, and how much of the inside unit one of it is.

    `measures` is weight (inside kg), volume (litre), length (ft), time (h), count (each) or bushel (without a factor).
    """

    name: str
    measures: str
    factor: float
    pint_name: str = ""

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


UNITS: dict[str, Unit] = {
    unit.name: unit
    for unit in (
        Unit("kg", "weight", 1.0, "kilogram"),
        Unit("g", "weight", 0.001, "gram"),
        Unit("lb", "weight", POUND_KG, "pound"),
        Unit("oz", "weight", POUND_KG / 16, "ounce"),
        Unit("L", "volume", 1.0, "liter"),
        Unit("dl", "volume", 0.1, "deciliter"),
        Unit("cl", "volume", 0.01, "centiliter"),
        Unit("ml", "volume", 0.001, "milliliter"),
        Unit("gallon", "volume", GALLON_LITRES, "gallon"),
        Unit("half gallon", "volume", GALLON_LITRES / 2, "gallon / 2"),
        Unit("quart", "volume", GALLON_LITRES / 4, "quart"),
        Unit("pint", "volume", GALLON_LITRES / 8, "pint"),
        Unit("half pint", "volume", GALLON_LITRES / 16, "pint / 2"),
        Unit("cup", "volume", GALLON_LITRES / 16, "cup"),
        Unit("fl oz", "volume", GALLON_LITRES / 128, "fluid_ounce"),
        Unit("tbsp", "volume", GALLON_LITRES / 256, "tablespoon"),
        Unit("tsp", "volume", GALLON_LITRES / 768, "teaspoon"),
        Unit("imperial gallon", "volume", IMPERIAL_GALLON_LITRES, "imperial_gallon"),
        Unit("imperial quart", "volume", IMPERIAL_GALLON_LITRES / 4, "imperial_quart"),
        Unit("imperial pint", "volume", IMPERIAL_GALLON_LITRES / 8, "imperial_pint"),
        Unit("metric cup", "volume", 0.25, "0.25 * liter"),
        Unit("cubic feet", "volume", CUBIC_FOOT_LITRES, "foot ** 3"),
        Unit("ft", "length", 1.0, "foot"),
        Unit("m", "length", 1 / FOOT_METRES, "meter"),
        Unit("min", "time", 1 / 60, "minute"),
        Unit("h", "time", 1.0, "hour"),
        Unit("bushel", "bushel", 1.0),
        Unit("each", "count", 1.0),
        Unit("dozen", "count", 12.0),
    )
}
"""Every unit that is understood, by its own name. Factors are exact by definition (NIST SP 811, Handbook 44)."""

SPELLINGS: dict[str, tuple[str, ...]] = {
    "kg": ("kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"),
    "g": ("gram", "grams", "gramme", "grammes"),
    "lb": ("lbs", "pound", "pounds"),
    "oz": ("ounce", "ounces"),
    "L": ("l", "litre", "litres", "liter", "liters"),
    "dl": ("decilitre", "decilitres", "deciliter", "deciliters"),
    "cl": ("centilitre", "centilitres", "centiliter", "centiliters"),
    "ml": ("millilitre", "millilitres", "milliliter", "milliliters"),
    "gallon": ("gal", "gallons", "us gallon", "us gallons", "us gal"),
    "half gallon": ("half gallons", "half gal"),
    "quart": ("qt", "qts", "quarts", "us quart", "us quarts", "us qt"),
    "pint": ("pt", "pts", "pints", "us pint", "us pints", "us pt"),
    "half pint": ("half pints", "half pt"),
    "cup": ("cups", "us cup", "us cups"),
    "fl oz": ("fl. oz.", "fl. oz", "fluid ounce", "fluid ounces", "floz"),
    "tbsp": ("tbs", "tablespoon", "tablespoons"),
    "tsp": ("teaspoon", "teaspoons"),
    "imperial gallon": ("imperial gallons", "imp gallon", "imp gal", "uk gallon"),
    "imperial quart": ("imperial quarts", "imp quart", "imp qt", "uk quart"),
    "imperial pint": ("imperial pints", "imp pint", "imp pt", "uk pint", "uk pints"),
    "metric cup": ("metric cups",),
    "cubic feet": ("cubic foot", "cu ft", "cu. ft.", "cu ft.", "ft3", "ft³", "cf"),
    "ft": ("foot", "feet", "'"),
    "m": ("metre", "metres", "meter", "meters"),
    "min": ("mins", "minute", "minutes"),
    "h": ("hr", "hrs", "hour", "hours"),
    "bushel": ("bu", "bushels"),
    "each": ("ea", "piece", "pieces", "pcs", "pc", "count"),
    "dozen": ("dozens", "doz"),
}
"""The accepted spellings of each unit besides its own name, in lower case."""

COUNT_WORDS = (
    "bag",
    "bottle",
    "box",
    "bulb",
    "bunch",
    "can",
    "clove",
    "envelope",
    "head",
    "jar",
    "packet",
    "pack",
    "stick",
)
"""Words that may count a larder ingredient; one word is never turned into another."""

_TWO_MEANINGS = {
    "pint": ("473 ml", "568 ml"),
    "quart": ("0.95 L", "1.14 L"),
    "gallon": ("3.79 L", "4.55 L"),
}


def plain_word(word: str) -> str:
    """
    Give the singular of a plain English word, so that `boxes` and `box` are one.

    >>> [plain_word(word) for word in ("boxes", "jars", "berries", "glass", "crock")]
    ['box', 'jar', 'berry', 'glass', 'crock']
    """
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("xes", "ches", "shes", "sses", "zes", "oes")):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


@cache
def _by_spelling() -> dict[str, Unit]:
    """Every accepted spelling with its unit."""
    found = {name.casefold(): unit for name, unit in UNITS.items()}
    for name, spellings in SPELLINGS.items():
        found.update(dict.fromkeys(spellings, UNITS[name]))
    found.update({word: Unit(word, "count", 1.0) for word in COUNT_WORDS})
    found.update({word + ("es" if word[-1] in "xh" else "s"): Unit(word, "count", 1.0) for word in COUNT_WORDS})
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

    >>> find_unit("LBS.").name, find_unit("furlong")
    ('lb', None)
    """
    known = _by_spelling()
    word = " ".join(text.replace("\u00a0", " ").replace("-", " ").casefold().split())
    return known.get(word) or known.get(tidy(text))


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

    Raises MeasureWrong ("unknown unit").

    >>> unit_of("pints").factor
    0.473176473
    >>> unit_of("pint", metric=True)  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    stillroom.household.measures.MeasureWrong: *pint* is 473 ml in the US and 568 ml elsewhere; write US pint or ...
    """
    unit = find_unit(text)
    if unit is None:
        msg = f"no unit is called *{' '.join(text.split())}*"
        raise MeasureWrong(msg, suggestion(text), "unknown unit")
    if metric and bare(text, unit):
        small, large = _TWO_MEANINGS[unit.name]
        what = f"*{' '.join(text.split())}* is {small} in the US and {large} elsewhere"
        raise MeasureWrong(what, f"write US {unit.name} or imperial {unit.name}", "unknown unit")
    return unit


def suggestion(text: str) -> str:
    """Say what may have been meant by an unknown unit, or which units there are."""
    import difflib

    near = difflib.get_close_matches(tidy(text), _by_spelling(), n=1, cutoff=0.7)
    if near:
        return f"did you mean *{_by_spelling()[near[0]].name}*?"
    return "write one such as lb, oz, kg, g, pint, quart, cup, L, ml, bushel or each"


def to_kg(amount: float, unit: Unit, *, bushel_kg: float | None = None, kg_per_litre: float | None = None) -> float:
    """
    Turn an amount into kilograms; a bushel by the crop's own weight, a volume only with a density.

    Raises MeasureWrong ("wrong unit").

    >>> round(to_kg(53, UNITS["lb"]), 4), to_kg(2, UNITS["bushel"], bushel_kg=24.0)
    (24.0404, 48.0)
    >>> to_kg(2, UNITS["L"], kg_per_litre=1.03)
    2.06
    """
    if unit.measures == "weight":
        return amount * unit.factor
    if unit.measures == "bushel":
        if bushel_kg is None:
            raise MeasureWrong(
                "a bushel of it has no weight", "fill *Bushel weighs* of that crop, or write a weight", "wrong unit"
            )
        return amount * bushel_kg
    if unit.measures == "volume" and kg_per_litre is not None:
        return amount * unit.factor * kg_per_litre
    raise MeasureWrong(f"*{unit.name}* is not a weight", "write a weight, in lb or kg", "wrong unit")


def to_litres(amount: float, unit: Unit, *, kg_per_litre: float | None = None) -> float:
    """
    Turn an amount into litres; a weight only with a density. Raises MeasureWrong ("wrong unit").

    >>> round(to_litres(18, UNITS["quart"]), 6)
    17.034353
    """
    if unit.measures == "volume":
        return amount * unit.factor
    if unit.measures == "weight" and kg_per_litre:
        return amount * unit.factor / kg_per_litre
    raise MeasureWrong(f"*{unit.name}* is not a volume", "write a volume, in L, quarts or cubic feet", "wrong unit")


def in_base(amount: float, unit: Unit, measures: str, base_unit: str) -> float:
    """
    Turn an amount into kg, ft or hours when the unit measures that. Raises MeasureWrong ("wrong unit").

    >>> round(in_base(450, UNITS["m"], "length", "ft"), 1)
    1476.4
    """
    if unit.measures != measures:
        raise MeasureWrong(f"*{unit.name}* is not a unit of {measures}", f"write it in {base_unit}", "wrong unit")
    return amount * unit.factor


@cache
def registry() -> Any:
    """Give the one Pint registry: slow to import, so only tests hold the factors above against it."""
    import pint

    return pint.UnitRegistry(cache_folder=None)


def factor_by_pint(unit: Unit) -> float:
    """Work the factor of a unit out with Pint, in kg, litres, ft or hours."""
    base = {"weight": "kilogram", "volume": "liter", "length": "foot", "time": "hour"}[unit.measures]
    return float(registry().parse_expression(unit.pint_name).to(base).magnitude)
