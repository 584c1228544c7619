"""What a cook is asked about a kitchen: each question with its default, and its answer read."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from stillroom.errors import CommandWrong
from stillroom.handbook.catalogue import crops
from stillroom.handbook.crop_figures import kg_each
from stillroom.household.amounts import hours_from, parse_entry, typed_amount
from stillroom.household.names import either
from stillroom.household.text import WEEKDAY_NAMES, format_list, format_number
from stillroom.household.units import MeasureWrong, find_unit
from stillroom.workbook.starter.catalogue import WAYS, crops_meant
from stillroom.workbook.starter.first_rows import Filling
from stillroom.workbook.starter.first_rows import read_altitude as read_altitude
from stillroom.workbook.starter.first_rows import read_gauge as read_gauge
from stillroom.workbook.starter.layout import Row

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
    "boiling-water pot": "canner",
    "boiling water pot": "canner",
    "water bath pot": "canner",
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
HANDS, STOVE_FREE = ("3", "6"), ("4", "8")
"""The hours of a weekday, and of a day of the weekend."""
MOST_COUNT, MOST_PEOPLE = 100_000, 1_000


@dataclass(frozen=True)
class Told:
    """What is told of a kitchen in options or answers, as typed; None where nothing is."""

    metric: bool = False
    people: float | None = None
    altitude: str | None = None
    gauge: str | None = None
    crops: str | None = None
    have: str | None = None
    jars: str | None = None
    hands: str | None = None
    stove_free: str | None = None
    picked: str | None = None


def filling(told: Told, *, every_crop: bool = False) -> Filling:
    """Return what was told, read; without crops those of many gardens, or every one. Raises CommandWrong."""
    gauge = read_gauge(told.gauge or None)
    ways = default_ways(gauge) if told.have is None else read_ways(told.have)
    crops = read_crops(CROPS if told.crops is None else told.crops)
    picked = told.picked and read_picked(told.picked, datetime.date.today(), metric=told.metric)
    named = tuple(dict.fromkeys((*crops, *(str(row["Crop"]) for row in picked or ()))))
    most = 24.0 * (told.people or PEOPLE)
    return Filling(
        metric=told.metric,
        people=told.people,
        altitude=told.altitude or None,
        gauge=gauge,
        crops=() if every_crop and told.crops is None else named,
        ways=None if every_crop and told.have is None else ways,
        jars=None if told.jars is None else read_jars(told.jars, metric=told.metric),
        hands=None if told.hands is None else read_week(told.hands, most=most, metric=told.metric),
        stove_free=None if told.stove_free is None else read_week(told.stove_free, metric=told.metric),
        picked=picked or (),
    )


def default_ways(gauge: str | None) -> tuple[str, ...]:
    """Return what a household is taken to have: a pressure canner only where its gauge is known."""
    return ("canner", "pressure canner", "freezer") if gauge else ("canner", "freezer")


def pieces(text: str) -> list[str]:
    """
    Split a list as it is typed.

    >>> pieces("tomatoes, green beans and corn; apples & pears")
    ['tomatoes', 'green beans', 'corn', 'apples', 'pears']
    >>> pieces("a gallon and a half of berries and 2 lb corn")
    ['a gallon and a half of berries', '2 lb corn']
    """
    between = r"(?<!\d),|,(?!\d)|[;\n]|\s+(?:and|&|\+)\s+(?!(?:an?\s+|one\s+)?(?:half|quarter)\b)"
    return [piece.strip() for piece in re.split(between, text) if piece.strip()]


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


_SIZE = re.compile(
    r"^(?:an?|the|my|our|one|two|three|four|\d+|little|small|big|large|old|new|good|tall|black|blue|chest|upright|"
    r"[\w.]+[- ](?:gallons?|gal|quarts?|qt|lit(?:er|re)s?|l|cup|tray|shelf))\s+"
)
"""A word on how many or how large before what a household has; no word on what a cooker does."""


def read_ways(text: str) -> tuple[str, ...]:
    """
    Read which equipment there is.

    >>> read_ways("water bath canner, Dehydrator and freezer"), read_ways("none")
    (('canner', 'dryer', 'freezer'), ())
    >>> read_ways("two big pressure canners, a little dryer, upright freezer, 5-liter crock")
    ('pressure canner', 'dryer', 'freezer', 'crock')

    Raises CommandWrong, also for a cooker that is no canner.
    """
    if text.strip().casefold() == "none":
        return ()
    found = []
    for piece in pieces(text):
        word = re.sub(r"\s*\(.*\)$", "", piece.casefold())
        word = word.removesuffix("s") if word.removesuffix("s") in (*WAYS, *SAID) else word
        while word not in (*WAYS, *SAID) and (shorter := _SIZE.sub("", word)) != word:
            word = shorter.removesuffix("s") if shorter.removesuffix("s") in (*WAYS, *SAID) else shorter
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
    except MeasureWrong as wrong:
        if wrong.kind == "two readings":
            raise CommandWrong(f"{wrong}.") from None
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
    Read how many people there are, at least one; a guest of some days may be a half. Raises CommandWrong.

    >>> read_people("4"), read_people("3 1/2"), read_people("three")
    (4.0, 3.5, 3.0)
    """
    try:
        amount = typed_amount(text)
    except MeasureWrong as wrong:
        no = f'"{text}" is not a number of people. Type one such as 4.'
        msg = f"{wrong}." if wrong.kind == "two readings" else no
        raise CommandWrong(msg) from None
    number = amount.number if amount.unit is None else 0.0
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


WEEK, WORKDAYS, WEEKEND = range(7), range(5), range(5, 7)
_DAY_WORD = (
    rf"(?:{'|'.join(f'{name[:3]}(?:{name[3:]})?' for name in map(str.casefold, WEEKDAY_NAMES))}|tues|weds|thurs?)s?"
)
_DAYS = re.compile(rf"\b(?P<one>{_DAY_WORD})\b\.?(?:\s*(?:-|–|to|through)\s*(?P<last>{_DAY_WORD})\b\.?)?")
_NO_HOURS = frozenset({"no", "not", "none", "nothing", "never", "off", "out", "except", "without"})
_BESIDE_DAYS = frozenset({"on", "and", "or", "the", "only", "each", "every", "for", ":", "&"})


def read_week(text: str, *, most: float = 24.0, metric: bool = False) -> tuple[float, ...]:
    """
    Read the hours of a week from Monday on: of a weekday and of a day of the weekend, or of days by name.

    >>> read_week("2, 6"), read_week("2,5; 6", metric=True)
    ((2.0, 2.0, 2.0, 2.0, 2.0, 6.0, 6.0), (2.5, 2.5, 2.5, 2.5, 2.5, 6.0, 6.0))
    >>> read_week("2, Tue 0; Sat 6, Sun 3"), read_week("Mon 2 1/2, Thu 2 1/2, Sat 4")
    ((2.0, 0.0, 2.0, 2.0, 2.0, 6.0, 3.0), (2.5, 0.0, 0.0, 2.5, 0.0, 4.0, 0.0))

    Raises CommandWrong.
    """
    if ";" not in text and _DAYS.search(text.casefold()):
        return read_days(text, WEEK, most=most, metric=metric)
    found = [piece for piece in re.split(r";" if ";" in text else r",", text) if piece.strip()]
    if len(found) != 2:
        msg = f"\"{text}\" is not two numbers of hours. Type a weekday's and a weekend day's, such as 2,6."
        raise CommandWrong(msg)
    workdays, weekend = found
    read = partial(read_days, most=most, metric=metric)
    return (*read(workdays, WORKDAYS), *read(weekend, WEEKEND))


def read_days(text: str, days: range, *, most: float = 24.0, metric: bool = False) -> tuple[float, ...]:
    """
    Read the hours of some days of a week, 0 is Monday: the same on each, or other hours on days that are named.

    Where no hours are given for the others, they have none.

    >>> read_days("2 1/2", WORKDAYS), read_days("2, Tue 0", WORKDAYS), read_days("6 on Saturday, 3 on Sunday", WEEKEND)
    ((2.5, 2.5, 2.5, 2.5, 2.5), (2.0, 0.0, 2.0, 2.0, 2.0), (6.0, 3.0))
    >>> read_days("1 1/2, not Mon or Fri", WORKDAYS), read_days("Mon, Wed, Fri 1, Tue and Thu 3", WORKDAYS)
    ((0.0, 1.5, 1.5, 1.5, 0.0), (1.0, 3.0, 1.0, 3.0, 1.0))
    >>> read_days("Sat 5", WEEKEND), read_days("Mon-Thu 2", WORKDAYS), read_days("4, no Sunday", WEEKEND)
    ((5.0, 0.0), (2.0, 2.0, 2.0, 2.0, 0.0), (4.0, 0.0))

    Raises CommandWrong.
    """
    if not _DAYS.search(text.casefold()):
        return (read_hours(text, most=most, metric=metric),) * len(days)
    by_day: dict[int, float] = {}
    others: float | None = None
    waiting: list[int] = []
    none_before = False
    for clause in re.split(r"(?<!\d),|,(?!\d)|[;\n]|\s+but\s+|\s+(?=except\b)", text.casefold()):
        named = [day for found in _DAYS.finditer(clause) for day in _days_of(found)]
        words = _DAYS.sub(" ", clause).split()
        while named and words and words[0] in _BESIDE_DAYS:
            words = words[1:]
        while named and words and words[-1] in _BESIDE_DAYS:
            words = words[:-1]
        none = bool(words) and _NO_HOURS.issuperset(words)
        hours = 0.0 if none else read_hours(" ".join(words), most=most, metric=metric) if words else None
        unclear = hours is not None and bool(waiting) and none_before
        if hours is None:
            waiting += named
        elif named or waiting:
            by_day |= dict.fromkeys([*waiting, *named], hours)
            waiting, none_before = [], none
        else:
            unclear = unclear or others is not None or bool(by_day)
            others = hours
        if unclear or not set(named) <= set(days):
            raise _days_unclear(text, days)
    if waiting and not none_before:
        raise _days_unclear(text, days)
    by_day |= dict.fromkeys(waiting, 0.0)
    return tuple(by_day.get(day, others or 0.0) for day in days)


def _days_of(found: re.Match[str]) -> Sequence[int]:
    """Return the days that words such as Tue or Mon-Thu name."""
    starts = [name[:3].casefold() for name in WEEKDAY_NAMES]
    first, last = (starts.index((found[part] or found["one"])[:3]) for part in ("one", "last"))
    return range(first, last + 1)


def _days_unclear(text: str, days: range) -> CommandWrong:
    """Return the error of hours whose days are not clear, or not those that are asked for."""
    first, last = (WEEKDAY_NAMES[day][:3] for day in (days[0], days[-1]))
    return CommandWrong(f'"{text}" is not clear. Type hours for {first} to {last}, such as 2, {last} 0.')


def read_picked(text: str, day: datetime.date, *, metric: bool) -> tuple[Row, ...]:
    """
    Read what is picked, as rows of Harvest of one day.

    >>> [list(row.values())[1:] for row in read_picked("53 lb tomatoes, corn 2 bu", datetime.date.min, metric=False)]
    [['tomato', 53.0, 'lb'], ['sweet corn', 2.0, 'bushel']]
    >>> [list(row.values())[1:] for row in read_picked("3 dozen corn; 5 lb 4 oz beet", datetime.date.min, metric=False)]
    [['sweet corn', 3.0, 'dozen'], ['beets', 5.25, 'lb']]
    >>> [list(row.values())[1:] for row in read_picked("a bushel and a half of corn", datetime.date.min, metric=False)]
    [['sweet corn', 1.5, 'bushel']]

    Raises CommandWrong.
    """
    if text.strip().casefold() in ("none", "nothing", "no"):
        return ()
    return tuple(picked_row(piece, day, metric=metric) for piece in pieces(text))


def crops_without_amount(text: str) -> tuple[str, ...]:
    """
    Return the crops that a text names; none where a figure or a unit is in it, which belongs to the amount.

    >>> crops_without_amount("ears of corn"), crops_without_amount("4 oz beans"), crops_without_amount("and a half ear")
    (('sweet corn',), (), ())
    """
    parts = ("and", "half", "quarter")
    amounts = any(word[0].isnumeric() or word in parts or find_unit(word) for word in text.casefold().split())
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
