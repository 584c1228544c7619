"""Amounts and days as a cook would say them; numbers for cells stay as they are elsewhere."""

from __future__ import annotations

import datetime
import math

from stillroom.household.records import Crop, Kitchen
from stillroom.household.units import find_unit

FRACTIONS = {0.25: "¼", 0.5: "½", 0.75: "¾"}
DECIMAL_UNITS = frozenset({"kg", "L", "dl", "cl", "m"})
SMALL_UNITS = frozenset({"g", "ml"})
UNBENT = frozenset({"tsp", "tbsp", "fl oz", "cubic feet", "each", "dozen", "min"})
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
WEEKDAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def with_fraction(amount: float, step: float) -> str:
    """
    Round to the nearest step (¼, ½ or 1) and write the rest as a kitchen fraction.

    >>> with_fraction(2.3, 0.25), with_fraction(0.5, 0.5), with_fraction(7.0, 1.0), with_fraction(-2.3, 0.25)
    ('2¼', '½', '7', '-2¼')
    """
    rounded = math.floor(amount / step + 0.5) * step
    sign = "-" if rounded < 0 else ""
    whole, rest = divmod(abs(rounded), 1.0)
    fraction = FRACTIONS.get(rest, "")
    return f"{sign}{int(whole)}" if not fraction else f"{sign}{int(whole) or ''}{fraction}"


def amount_words(amount: float, unit: str = "") -> str:
    """
    An amount rounded for the kitchen: fractions for pounds and cups, decimals for kilograms and litres.

    >>> amount_words(23.2, "lb"), amount_words(4.6, "lb"), amount_words(1.8, "kg"), amount_words(0.1, "lb")
    ('23', '4½', '1.8', 'under ¼')
    """
    size = abs(amount)
    if unit in SMALL_UNITS:
        return f"{amount:.0f}"
    if unit in DECIMAL_UNITS:
        places = 0 if size >= 10 else 1 if size >= 1 else 2
        said = f"{amount:.{places}f}"
        return said.rstrip("0").rstrip(".") if "." in said else said
    if 0 < size < 0.125:
        return "under ¼"
    step = 1.0 if size >= 10 else 0.5 if size >= 3 else 0.25
    return with_fraction(amount, step)


def unit_words(amount: float, unit: str) -> str:
    """
    A unit in the plural where its amount asks for it; signs such as lb and kg have none.

    >>> unit_words(4, "cup"), unit_words(1, "cup"), unit_words(4, "lb"), unit_words(2, "box")
    ('cups', 'cup', 'lb', 'boxes')
    """
    if amount <= 1 or len(unit) < 3 or unit in UNBENT or unit.endswith("s"):
        return unit
    return unit + ("es" if unit.endswith(("x", "ch", "sh")) else "s")


def count_words(count: float, *, whole: bool) -> str:
    """
    A number of containers: whole ones as they are, a share of a week rounded.

    >>> count_words(7.0, whole=True), count_words(7.5, whole=False), count_words(0.5, whole=False)
    ('7', '8', '1')
    >>> count_words(0.3, whole=False)
    'under 1'
    """
    if whole or count >= 0.5 or count <= 0:
        return f"{math.floor(count + 0.5)}"
    return "under 1"


def hours_words(hours: float) -> str:
    """
    Hours to the quarter.

    >>> hours_words(6.2), hours_words(0.5), hours_words(0.02), hours_words(0)
    ('6¼ h', '½ h', 'under ¼ h', '0 h')
    """
    if 0 < hours < 0.125:
        return "under ¼ h"
    return f"{with_fraction(hours, 0.25 if hours < 10 else 0.5 if hours < 40 else 1.0)} h"


def day_words(day: datetime.date) -> str:
    """
    A day as it stands on a kitchen calendar.

    >>> day_words(datetime.date(2026, 8, 14))
    'Fri 14 Aug'
    """
    return f"{WEEKDAY_NAMES[day.weekday()][:3]} {day.day} {MONTHS[day.month - 1]}"


def long_day_words(day: datetime.date) -> str:
    """
    A day in full.

    >>> long_day_words(datetime.date(2026, 8, 14))
    'Friday 14 August 2026'
    """
    return f"{WEEKDAY_NAMES[day.weekday()]} {day.day} {day.strftime('%B')} {day.year}"


def period_words(day: datetime.date, days: int) -> str:
    """
    A day, or a week by its first day.

    >>> period_words(datetime.date(2026, 8, 21), 7)
    'the week of 21 Aug'
    """
    return day_words(day) if days == 1 else f"the week of {day.day} {MONTHS[day.month - 1]}"


def listed(words: list[str], most: int = 0, between: str = ", ") -> str:
    """
    Join words, cut to `most` of them when that is not 0.

    >>> listed(["salsa, pint", "jam", "juice"], 2, "; ")
    'salsa, pint; jam; and 1 more'
    """
    if most and len(words) > most:
        words = [*words[:most], f"and {len(words) - most} more"]
    return between.join(words)


def crop_words(amount: float, crop: Crop) -> str:
    """
    So much of a crop, `amount` in the crop's own unit.

    >>> crop_words(23.2, Crop("plum tomato", 5))
    '23 lb plum tomato'
    """
    return f"{amount_words(amount, crop.unit)} {crop.unit} {crop.name}"


# From what is counted inside (kg, litres) back to the units the household uses; numbers fit for cells.

Value = bool | int | float | str | datetime.date | datetime.datetime | datetime.time | datetime.timedelta | None
"""What a cell may hold; rows that are read back from a workbook may hold any of it."""
Row = dict[str, Value]
"""One row of an output table: column heading to value."""


def crop_unit_kg(crop: Crop) -> float:
    """
    Kilograms in one of a crop's own units; of a unit that is no weight, a kilogram.

    >>> crop_unit_kg(Crop("plum tomato", 5, unit="bushel", bushel_kg=24.0)), crop_unit_kg(Crop("plum tomato", 5))
    (24.0, 0.45359237)
    """
    unit = find_unit(crop.unit)
    if unit is None or unit.measures not in ("weight", "bushel"):
        return 1.0
    return unit.factor * (crop.bushel_kg or 1.0) if unit.measures == "bushel" else unit.factor


def in_crop_unit(kg: float, crop: Crop) -> float:
    """
    Kilograms in a crop's own unit.

    >>> in_crop_unit(0.45359237, Crop("plum tomato", 5))
    1.0
    """
    return kg / crop_unit_kg(crop)


def in_space_unit(litres: float, kitchen: Kitchen) -> float:
    """
    Litres in the workbook's unit for space.

    >>> in_space_unit(28.316846592, Kitchen(datetime.date(2026, 8, 14), volume_unit="cubic feet"))
    1.0
    """
    unit = find_unit(kitchen.volume_unit)
    return litres / (unit.factor if unit is not None and unit.measures == "volume" else 1.0)


def tidy(number: float) -> float | int:
    """
    A number for a cell: ten significant digits, a whole number when it is one within a millionth.

    >>> tidy(7.0000000001), tidy(3.3333333333333), tidy(-1e-12)
    (7, 3.333333333, 0)
    """
    nearest = round(number)
    if abs(number - nearest) < 1e-6:
        return int(nearest)
    return float(f"{number:.10g}")
