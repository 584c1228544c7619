"""Changes of what is on hand: containers, lids, larder, crop, equipment, space and money."""

from __future__ import annotations

import math
import re

from stillroom.household.checks import with_pieces
from stillroom.household.records import Crop, Household, Kitchen, PantryItem
from stillroom.household.results.rows import crop_unit_kg, in_space_unit
from stillroom.household.suppose import more
from stillroom.household.suppose.lookup import amount, day_of, find, in_range, number, wrong
from stillroom.household.text import format_amount, format_long_date, format_money, format_number
from stillroom.household.units import MeasureWrong, find_unit, to_kg, to_litres

Changed = tuple[Household, str]
MOST_PIECES = 1000
"""So many of one piece of equipment a workbook may hold, and a change too."""
EXAMPLE_LITRES = 85.0
"""A small freezer, as an example of a space: 3 cu ft."""
STOCKS = ("container", "lid", "pantry", "equipment", "space", "crop")


def more_or_less(household: Household, found: re.Match[str]) -> Changed:
    """`NAME +24`, `NAME -20 L`, `NAME 40`, and for a crop `NAME +20 lb on Sat`."""
    kind, name = find(household, found["name"], STOCKS)
    sign = {"+": 1.0, "-": -1.0}.get(found["sign"].replace("−", "-"), 0.0)
    if kind in ("container", "lid"):
        return stock_count(household, kind, name, sign, found)
    if kind == "equipment":
        return equipment_count(household, name, sign, found)
    if kind == "pantry":
        return pantry_amount(household, name, sign, found)
    if kind == "crop":
        return crop_amount(household, name, sign, found)
    return space_amount(household, name, sign, found)


def plain_number(household: Household, found: re.Match[str], what: str) -> float:
    """A number without a unit; raises ChangeWrong for one with a unit, or a day behind it."""
    if found["day"]:
        raise wrong(f"*on {found['day']}* is only for a crop that comes in", f"write {what} and a number")
    figure, unit = amount(found["amount"], household)
    if unit is not None and unit.measures != "count":
        raise wrong(f"*{what}* is counted, not measured in {unit.name}", "write a number without a unit")
    return figure * (unit.factor if unit is not None else 1.0)


def stock_count(household: Household, kind: str, name: str, sign: float, found: re.Match[str]) -> Changed:
    """Containers or lids, counted."""
    count = plain_number(household, found, name)
    now = next(row.on_hand for row in (household.lids if kind == "lid" else household.containers) if row.name == name)
    there = max(0.0, now + sign * count) if sign else count
    words = f"{name}: {format_number(there)} instead of {format_number(now)}"
    return household.changed(more.TABLES[kind], name, on_hand=there), words


def equipment_count(household: Household, name: str, sign: float, found: re.Match[str]) -> Changed:
    """Pieces of equipment, counted."""
    count = plain_number(household, found, name)
    if count != round(count):
        raise wrong(f"there cannot be {format_number(count)} of *{name}*", "write a whole number")
    now = household.equipment_named(name).how_many
    there = max(0, now + round(sign * count)) if sign else round(count)
    in_range(there, found["amount"], 0, MOST_PIECES)
    return with_pieces(household, name, there), f"{name}: {there} instead of {now}"


def pantry_amount(household: Household, name: str, sign: float, found: re.Match[str]) -> Changed:
    """A pantry ingredient, in its own unit unless another is written."""
    if found["day"]:
        raise wrong(f"*on {found['day']}* is only for a crop that comes in", "leave the day out")
    item = next(row for row in household.pantry if row.name == name)
    base = in_base(item, found["amount"], household)
    there = max(0.0, item.on_hand + sign * base) if sign else base
    words = [f"{format_amount(figure * item.per_base, item.unit)} {item.unit}" for figure in (there, item.on_hand)]
    return household.changed("pantry", name, on_hand=there), f"{name}: {words[0]} instead of {words[1]}"


def in_base(item: PantryItem, text: str, household: Household) -> float:
    """An amount of a pantry ingredient in its base unit; raises ChangeWrong."""
    figure, unit = amount(text, household)
    if unit is None:
        return figure / item.per_base
    try:
        if item.base_unit == "kg":
            return to_kg(figure, unit)
        if item.base_unit in ("litre", "L"):
            return to_litres(figure, unit)
    except MeasureWrong as problem:
        raise wrong(problem.what, problem.fix) from None
    if unit.measures != "count":
        raise wrong(f"*{item.name}* is counted, not measured in {unit.name}", f"write it in {item.unit}")
    return figure * unit.factor


def crop_amount(household: Household, name: str, sign: float, found: re.Match[str]) -> Changed:
    """A crop: more that comes in, or less of what is there and expected."""
    crop = household.crop(name)
    if not sign:
        raise wrong(f"how much *{name}* there is comes from Harvest", f"write {name} +20 lb, -20 lb or x1.5")
    kg = crop_kg(crop, found["amount"], household)
    day = day_of(found["day"], household) if found["day"] else None
    when = f" on {format_long_date(day)}" if day else ""
    words = (
        f"{format_amount(kg / crop_unit_kg(crop), crop.unit)} {crop.unit} {name} {'more' if sign > 0 else 'less'}{when}"
    )
    return more.more_crop(household, name, sign * kg, day), words


def crop_kg(crop: Crop, text: str, household: Household) -> float:
    """An amount of a crop in kg; a bare number is in the crop's own unit. Raises ChangeWrong."""
    figure, unit = amount(text, household)
    if unit is None:
        return figure * crop_unit_kg(crop)
    try:
        return crop.kg_in(figure, unit)
    except MeasureWrong as problem:
        raise wrong(problem.what, problem.fix) from None


def space_amount(household: Household, place: str, sign: float, found: re.Match[str]) -> Changed:
    """Space in the freezer, the refrigerator, on the shelf or in the cellar; a bare number is in the kitchen's unit."""
    figure, unit = amount(found["amount"], household)
    kitchen = household.kitchen
    example = space_words(EXAMPLE_LITRES, kitchen)
    measure = find_unit(kitchen.volume_unit) if unit is None else unit
    if measure is None or measure.measures != "volume":
        raise wrong(f"*{found['amount']}* is not a space", f"write it in cu ft or L, such as {example}")
    litres = figure * measure.factor
    now = getattr(kitchen, more.SPACES[place])
    if sign and math.isinf(now):
        fix = f"write how much there is, such as {place} {example}"
        raise wrong(f"space in the {place} has no limit in Kitchen", fix)
    there = max(0.0, now + sign * litres) if sign else litres
    words = f"{place} space: {space_words(there, kitchen)} instead of {space_words(now, kitchen)}"
    return household.with_kitchen(**{more.SPACES[place]: there}), words


def space_words(litres: float, kitchen: Kitchen) -> str:
    """
    Space in the kitchen's own unit.

    >>> import datetime
    >>> day = datetime.date(2026, 8, 15)
    >>> [space_words(EXAMPLE_LITRES, Kitchen(day, volume_unit=unit)) for unit in ("cu ft", "L")]
    ['3 cu ft', '85 L']
    """
    if math.isinf(litres):
        return "no limit"
    return f"{format_amount(in_space_unit(litres, kitchen))} {kitchen.volume_unit}"


def times(household: Household, found: re.Match[str]) -> Changed:
    """`CROP x1.5`, `NEED x2`."""
    kind, name = find(household, found["name"], ("crop", "target"))
    factor = number(found["factor"], household)
    if kind == "crop":
        return more.crop_times(household, name, factor), f"{format_number(factor)} times as much {name}"
    target = next(one for one in household.targets if one.name == name)
    changed = household.changed("targets", name, wanted=target.wanted * factor, at_most=target.at_most * factor)
    return changed, f"{format_number(factor)} times as much {name} wanted"


def price(household: Household, found: re.Match[str]) -> Changed:
    """`lemon juice price 3.20`: for one, or for one of the larder's own unit."""
    kind, name = find(household, found["name"], ("container", "lid", "pantry"))
    money = number(found["price"], household)
    item = next((row for row in household.pantry if kind == "pantry" and row.name == name), None)
    each, unit = (1.0, " each") if item is None else (item.per_base, f" a {item.unit}")
    return household.changed(more.TABLES[kind], name, price=money * each), f"{name} for {format_money(money)}{unit}"


def can_buy(household: Household, found: re.Match[str]) -> Changed:
    """`quart jars can buy 24`, `lemon juice can buy yes`."""
    kind, name = find(household, found["name"], ("container", "lid", "pantry"))
    word = found["much"].casefold()
    if word in ("yes", "no"):
        most = math.inf if word == "yes" else 0.0
    elif kind == "pantry":
        most = in_base(next(row for row in household.pantry if row.name == name), found["much"], household)
    else:
        most = number(found["much"], household)
    return household.changed(more.TABLES[kind], name, can_buy=most), f"{name}: can buy {word}"


def gone(household: Household, found: re.Match[str]) -> Changed:
    """`pressure canner gone`, `plum tomato gone`, `quart jars gone`."""
    kind, name = find(household, found["name"], ("equipment", "crop", "container", "lid", "pantry"))
    if kind == "equipment":
        return with_pieces(household, name, 0), f"no {name}"
    if kind == "crop":
        return more.crop_times(household, name, 0.0), f"no {name} but what is frozen"
    return household.changed(more.TABLES[kind], name, on_hand=0.0, can_buy=0.0), f"no {name}, and none to buy"
