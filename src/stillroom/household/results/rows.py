"""Rows of the output tables: their cells read, and values converted to the units of the household."""

from __future__ import annotations

import datetime

from stillroom.household.records import Crop, Kitchen
from stillroom.household.text import plural
from stillroom.household.units import find_unit

# Values of cells, and conversion from kg and liters to the units the household uses.

Value = bool | int | float | str | datetime.date | datetime.datetime | datetime.time | datetime.timedelta | None
"""What a cell may hold; rows that are read back from a workbook may hold any of it."""
Row = dict[str, Value]
"""One row of an output table: column heading to value."""


def crop_unit_kg(crop: Crop) -> float:
    """
    Return the kilograms in one of a crop's own units; 1 for a unit that is no weight.

    >>> crop_unit_kg(Crop("plum tomato", 5, unit="bushel", bushel_kg=24.0)), crop_unit_kg(Crop("plum tomato", 5))
    (24.0, 0.45359237)
    """
    unit = find_unit(crop.unit)
    if unit is None or unit.measures not in ("weight", "bushel"):
        return 1.0
    return unit.factor * (crop.bushel_kg or 1.0) if unit.measures == "bushel" else unit.factor


def in_crop_unit(kg: float, crop: Crop) -> float:
    """
    Convert kilograms to a crop's own unit.

    >>> in_crop_unit(0.45359237, Crop("plum tomato", 5))
    1.0
    """
    return kg / crop_unit_kg(crop)


def in_space_unit(litres: float, kitchen: Kitchen) -> float:
    """
    Convert liters to the household's unit for storage space.

    >>> in_space_unit(28.316846592, Kitchen(datetime.date(2026, 8, 14), volume_unit="cubic feet"))
    1.0
    """
    unit = find_unit(kitchen.volume_unit)
    return litres / (unit.factor if unit is not None and unit.measures == "volume" else 1.0)


def cell_number(number: float) -> float | int:
    """
    Return a number for a cell: ten significant digits, a whole number when it is one within a millionth.

    >>> cell_number(7.0000000001), cell_number(3.3333333333333), cell_number(-1e-12)
    (7, 3.333333333, 0)
    """
    nearest = round(number)
    if abs(number - nearest) < 1e-6:
        return int(nearest)
    return float(f"{number:.10g}")


def number_in(row: Row, heading: str) -> float:
    """Return the number in a cell, 0 for a blank one."""
    value = row.get(heading)
    return float(value) if isinstance(value, int | float) else 0.0


def text_in(row: Row, heading: str) -> str:
    """Return the text in a cell, empty for a blank one."""
    value = row.get(heading)
    return "" if value is None else str(value)


def day_in(row: Row, heading: str = "Day") -> datetime.date:
    """Return the day in a cell; the first of all days for a blank one, so that it sorts first."""
    value = row.get(heading)
    if isinstance(value, datetime.datetime):
        return value.date()
    return value if isinstance(value, datetime.date) else datetime.date.min


FULL = 0.995
"""A target counts as filled from this share on: what is missing then is less than anybody would put up."""


def is_filled(row: Row) -> bool:
    """
    Return whether a row of Coverage counts as filled; every count of filled targets goes by this.

    >>> is_filled({"Wanted": 35, "Covered": 34.956 / 35}), is_filled({"Wanted": 35, "Covered": 0.92})
    (True, False)
    """
    covered = row.get("Covered")
    return isinstance(covered, int | float) and covered >= FULL


CONTAINERS = ("tub", "bag", "box")
"""Kinds of container whose own name is counted: freezer pints, not freezer pint (tubs)."""


def item_in(row: Row) -> str:
    """
    Return the item of a row of Shopping with its unit, to follow its amount.

    >>> item_in({"Item": "lemon juice", "Unit": "cup", "Buy": 4}), item_in({"Item": "quart jar", "Buy": 9})
    ('cups lemon juice', 'quart jars')
    >>> item_in({"Item": "garlic", "Unit": "head", "Buy": 2}), item_in({"Item": "dry bag", "Unit": "bag", "Buy": 2})
    ('garlic (heads)', 'dry bags')
    """
    item, unit, amount = text_in(row, "Item"), text_in(row, "Unit"), number_in(row, "Buy")
    measure = find_unit(unit)
    if measure is not None and measure.measures in ("weight", "volume", "bushel"):
        return f"{plural(amount, unit)} {item}"
    if unit in ("", "each", *CONTAINERS) or unit.casefold() in item.casefold().replace(",", " ").split():
        return plural(amount, item)
    return f"{item} ({plural(amount, unit)})"
