"""What a cook is asked about a kitchen: each question with its default, and its answer read."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping

from stillroom.errors import CommandWrong
from stillroom.handbook.catalogue import crops
from stillroom.handbook.densities import kg_each
from stillroom.household.amounts import hours_from, parse_entry, typed_amount
from stillroom.household.names import either
from stillroom.household.text import format_list, format_number
from stillroom.household.units import MeasureWrong, find_unit
from stillroom.workbook.starter.catalogue import WAYS, crops_meant
from stillroom.workbook.starter.first_rows import read_altitude as read_altitude
from stillroom.workbook.starter.first_rows import read_gauge as read_gauge
from stillroom.workbook.starter.positions import Row

PEOPLE = 4
WAYS_WORDS = "canner (boiling water), pressure canner, dryer, freezer, crock, root cellar"
CROPS = "tomatoes, green beans, sweet corn, cucumbers, sweet peppers, hot peppers, onions, apples, peaches"
"""What many gardens and markets have; the same for a script that names none."""
JARS: Mapping[bool, Mapping[str, int]] = {
    False: {"quart": 24, "pint": 36, "half-pint": 0},
    True: {"liter": 24, "half-liter": 36, "pint": 0},
}
"""The sizes of jars that are asked for, metric or not, with an example of how many; the metric pint is the US one."""
SAID: Mapping[str, str] = {
    "water bath canner": "canner",
    "water-bath canner": "canner",
    "boiling water canner": "canner",
    "boiling-water canner": "canner",
    "water bath": "canner",
    "dial gauge canner": "pressure canner",
    "weighted gauge canner": "pressure canner",
    "dehydrator": "dryer",
    "food dehydrator": "dryer",
    "food dryer": "dryer",
    "drier": "dryer",
    "deep freeze": "freezer",
    "deep freezer": "freezer",
    "chest freezer": "freezer",
    "fermenting crock": "crock",
    "pickle crock": "crock",
    "cellar": "root cellar",
}
"""Other names of what a household may have."""
MOST_COUNT, MOST_PEOPLE = 100_000, 1_000


def default_ways(gauge: str | None) -> tuple[str, ...]:
    """Return what a household is taken to have: a pressure canner only where its gauge is known."""
    return ("canner", "pressure canner", "freezer") if gauge else ("canner", "freezer")


def pieces(text: str) -> list[str]:
    """
    Split a list as it is typed.

    >>> pieces("tomatoes, green beans and corn; apples & pears")
    ['tomatoes', 'green beans', 'corn', 'apples', 'pears']
    """
    return [piece.strip() for piece in re.split(r"(?<!\d),|,(?!\d)|[;\n]|\s+(?:and|&|\+)\s+", text) if piece.strip()]


def read_crops(text: str) -> tuple[str, ...]:
    """
    Read the crops of a list, by any usual name, or "all".

    >>> read_crops("tomatoes, Cukes and corn"), len(read_crops("all"))
    (('tomato', 'cucumbers', 'sweet corn'), 38)

    Raises CommandWrong with the crops there are.
    """
    if text.strip().casefold() in ("all", "everything"):
        return tuple(crop.name for crop in crops())
    found: list[str] = []
    for piece in pieces(text):
        meant = crops_meant(piece)
        if not meant:
            names = format_list(sorted(crop.name for crop in crops()))
            no = "" if piece == "?" else f'The handbook has no crop called "{piece}". '
            msg = f"{no}There are: {names}."
            raise CommandWrong(msg)
        found += meant
    if not found:
        msg = "Type at least one crop, such as tomatoes."
        raise CommandWrong(msg)
    return tuple(dict.fromkeys(found))


def read_ways(text: str) -> tuple[str, ...]:
    """
    Read which equipment there is.

    >>> read_ways("water bath canner, Dehydrator and freezer"), read_ways("none")
    (('canner', 'dryer', 'freezer'), ())

    Raises CommandWrong, also for a cooker that is no canner.
    """
    if text.strip().casefold() == "none":
        return ()
    found = []
    for piece in pieces(text):
        word = re.sub(r"^(?:a|an|the|my|our|\d+)\s+|\s*\(.*\)$", "", piece.casefold())
        word = word.removesuffix("s") if word.removesuffix("s") in (*WAYS, *SAID) else word
        way = SAID.get(word, word)
        if way not in WAYS:
            msg = f'"{piece}" is not one of: {format_list(WAYS)}.'
            raise CommandWrong(msg)
        found.append(way)
    return tuple(way for way in WAYS if way in found)


def read_count(text: str) -> float:
    """
    Read how many jars or people.

    >>> read_count("24"), read_count("3 dozen"), read_count("a dozen")
    (24.0, 36.0, 12.0)

    Raises CommandWrong.
    """
    try:
        amount = typed_amount(text)
    except MeasureWrong:
        msg = f'"{text}" is not a number. Type one such as 24.'
        raise CommandWrong(msg) from None
    counts = amount.unit is None or amount.unit.measures == "count"
    number = amount.number * (amount.unit.factor if amount.unit is not None else 1.0)
    if not counts or number != int(number) or not 0 <= number <= MOST_COUNT:
        msg = f'"{text}" is not a whole number. Type one such as 24.'
        raise CommandWrong(msg)
    return number


def jars_asked(*, metric: bool) -> list[tuple[str, str, int]]:
    """
    Return each size of jar that is asked for, as it is shown, and an example of how many.

    >>> jars_asked(metric=True)[-1]
    ('pint', 'US pint (473 ml)', 0)
    """
    shown = {"pint": "US pint (473 ml)"} if metric else {}
    return [(size, shown.get(size, size), count) for size, count in JARS[metric].items()]


def read_people(text: str) -> float:
    """
    Read how many people there are, at least one. Raises CommandWrong.

    >>> read_people("4")
    4.0
    """
    number = read_count(text)
    if not 1 <= number <= MOST_PEOPLE:
        msg = f'"{text}" is not a number of people. Type one such as 4.'
        raise CommandWrong(msg)
    return number


def read_jars(text: str, *, metric: bool) -> tuple[tuple[str, float], ...]:
    """
    Read how many jars of each size there are.

    >>> read_jars("24 quarts, 3 dozen pint jars", metric=False)
    (('quart', 24.0), ('pint', 36.0))

    Raises CommandWrong.
    """
    found: dict[str, float] = {}
    for piece in pieces(text):
        words = (
            re.sub(r"\s*\bjars?\b", "", piece.casefold()).replace("half pint", "half-pint").replace("litre", "liter")
        )
        number, _, size = words.replace("half liter", "half-liter").rpartition(" ")
        size = size.removesuffix("s")
        if not number or size not in JARS[metric]:
            sizes = format_list(JARS[metric])
            msg = f'"{piece}" is not a number of jars of a size ({sizes}), such as "24 {next(iter(JARS[metric]))}".'
            raise CommandWrong(msg)
        found[size] = found.get(size, 0.0) + read_count(number)
    return tuple(found.items())


def read_hours(text: str, *, most: float = 24.0, metric: bool = False) -> float:
    """
    Read the hours of a day; a bare number is hours.

    >>> read_hours("2 1/2"), read_hours("90 min"), read_hours("1h15"), read_hours("2,5", metric=True)
    (2.5, 1.5, 1.25, 2.5)

    Raises CommandWrong.
    """
    try:
        hours = hours_from(text, metric=metric)
    except MeasureWrong as wrong:
        raise CommandWrong(str(wrong)) from None
    if not 0 <= hours <= most:
        msg = f'"{text}" is not hours of a day, 0 to {format_number(most)}. Type hours such as 2.5, or 90 min.'
        raise CommandWrong(msg)
    return hours


def read_two_hours(text: str, *, most: float = 24.0, metric: bool = False) -> tuple[float, float]:
    """
    Read the hours of a weekday and of a day of the weekend.

    >>> read_two_hours("2, 6"), read_two_hours("2,5; 6", metric=True)
    ((2.0, 6.0), (2.5, 6.0))

    Raises CommandWrong.
    """
    found = [piece for piece in re.split(r";" if ";" in text else r",", text) if piece.strip()]
    if len(found) != 2:
        msg = f"\"{text}\" is not two numbers of hours. Type a weekday's and a weekend day's, such as 2,6."
        raise CommandWrong(msg)
    weekday, weekend = (read_hours(piece, most=most, metric=metric) for piece in found)
    return weekday, weekend


def read_picked(text: str, day: datetime.date, *, metric: bool) -> tuple[Row, ...]:
    """
    Read what is picked, as rows of Harvest of one day.

    >>> [list(row.values())[1:] for row in read_picked("53 lb tomatoes, corn 2 bu", datetime.date.min, metric=False)]
    [['tomato', 53.0, 'lb'], ['sweet corn', 2.0, 'bushel']]
    >>> [list(row.values())[1:] for row in read_picked("3 dozen corn; 5 lb 4 oz peas", datetime.date.min, metric=False)]
    [['sweet corn', 3.0, 'dozen'], ['green peas', 5.25, 'lb']]

    Raises CommandWrong.
    """
    if text.strip().casefold() in ("none", "nothing", "no"):
        return ()
    return tuple(picked_row(piece, day, metric=metric) for piece in pieces(text))


def crops_without_amount(text: str) -> tuple[str, ...]:
    """
    Return the crops that a text names; none where a figure or a unit is in it, which belongs to the amount.

    >>> crops_without_amount("ears of corn"), crops_without_amount("4 oz beans")
    (('sweet corn',), ())
    """
    amounts = any(word[0].isnumeric() or find_unit(word) is not None for word in text.split())
    return () if amounts else crops_meant(text)


def picked_row(text: str, day: datetime.date, *, metric: bool) -> Row:
    """Read one amount of a crop, in whichever order they stand. Raises CommandWrong."""
    example = "24 kg" if metric else "53 lb"
    name, typed = parse_entry(text, crops_without_amount, metric=metric)
    meant = crops_meant(name)
    if not typed or not meant:
        msg = f'"{text}" is not an amount of a crop. Type it such as {example} tomatoes.'
        raise CommandWrong(msg)
    if len(meant) > 1:
        msg = f'"{name}" may be {either(meant)}. Type which.'
        raise CommandWrong(msg)
    try:
        amount = typed_amount(typed, name, metric=metric)
    except MeasureWrong as wrong:
        raise CommandWrong(str(wrong)) from None
    if amount.number <= 0:
        msg = f'"{typed}" of {meant[0]} is not above 0. Type an amount such as {example}, or leave it out.'
        raise CommandWrong(msg)
    unit, food = amount.unit, next(one for one in crops() if one.name == meant[0])
    weighed = {"weight": True, "bushel": food.bushel_lb, "count": kg_each(name, food.handbook_food)}
    if unit is None or not weighed.get(unit.measures):
        msg = f'"{typed}" of {food.name} has no known weight. Type its weight, such as {example}.'
        raise CommandWrong(msg)
    return {"Picked on": day, "Crop": food.name, "Amount": amount.number, "Unit": unit.name}
