"""
Amounts, hours, times of day, money and dates as people type them: `53 lb`, `half a bushel`, `2h15m`, `7am`, `Aug 20`.

What has one meaning is read; what has two is refused with both. `amount_from` and `number_from` are the strict
reading, the only one for what safety rests on: altitude, jar sizes, acid, process times.
"""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stillroom.household.names import Names, tidy_text
from stillroom.household.text import (
    FULL_MONTHS,
    METRIC,
    US,
    WEEKDAY_NAMES,
    format_clock,
    format_date_and_year,
    format_number,
    in_style,
)
from stillroom.household.units import MeasureWrong, Unit, find_unit, unit_of

if TYPE_CHECKING:
    from stillroom.household.records import Crop, Household

_FRACTIONS = {
    "½": "1/2",
    "⅓": "1/3",
    "⅔": "2/3",
    "¼": "1/4",
    "¾": "3/4",
    "⅕": "1/5",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_WHOLE_AND_PART = re.compile(r"(?:(\d+)\s+)?(\d+)\s*/\s*(\d+)")
_THOUSANDS = re.compile(r"[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?")
_POINTS_AND_COMMA = re.compile(r"[1-9]\d{0,2}(?:\.\d{3})+,\d+")
_SPACED = re.compile(r"[1-9]\d{0,2}(?: \d{3})+(?:[.,]\d+)?")
_DECIMAL = re.compile(r"\d+(?:\.\d*)?|\.\d+")
_DECIMAL_COMMA = re.compile(r"\d*,\d+")
_SHAPE = re.compile(r"(?P<number>[-+]?[\d.,/\s]*\d\.?)\s*(?P<unit>.*)", re.DOTALL)
_KITCHEN_PARTS = frozenset({2, 3, 4, 8, 16, 32})
"""What a fraction is out of; with another number, 12/14, two figures may be meant."""
_MOST_PARTS = 32
"""One part of no more than so many is a fraction too."""


@dataclass(frozen=True)
class Amount:
    """A number and the unit written beside it, as found and as typed; no unit is None."""

    number: float
    unit: Unit | None
    unit_text: str = ""


def either(text: str, one: str, other: str) -> MeasureWrong:
    """Return the error of a text with two meanings, both shown."""
    return MeasureWrong("two readings", tidy_text(text), one, other)


# Numbers


def number_from(text: str, *, metric: bool = False) -> float:
    """
    Read a number written as text, fractions included.

    A comma before three figures is read as thousands in a US workbook and asked about in a metric one; any other comma
    is a decimal comma in a metric workbook and asked about in a US one. Raises MeasureWrong.

    >>> number_from("1 1/2"), number_from("½"), number_from("1,250"), number_from("1,5", metric=True)
    (1.5, 0.5, 1250.0, 1.5)
    >>> number_from("1,250", metric=True)
    Traceback (most recent call last):
    stillroom.household.units.MeasureWrong: "1,250" may be 1.25 or 1250; type it without a comma
    """
    plain = _with_plain_fractions(text)
    sign = -1.0 if plain.startswith("-") else 1.0
    return sign * _unsigned(plain.lstrip("+-").strip(), text, metric=metric)


def _unsigned(plain: str, text: str, *, metric: bool) -> float:
    """Read a number that has lost its sign."""
    if part := _WHOLE_AND_PART.fullmatch(plain):
        whole, above, below = (_finite(figures or "0", text) for figures in part.groups())
        if below == 0:
            raise MeasureWrong("division by zero", tidy_text(text), example="12 or 1.5")
        if _two_figures(part):
            raise either(text, part[2], part[3])
        return whole + above / below
    if _DECIMAL.fullmatch(plain):
        return _finite(plain, text)
    if _THOUSANDS.fullmatch(plain):
        if metric and plain.count(",") == 1 and "." not in plain:
            raise _two_ways(text, plain.replace(",", "."), plain.replace(",", ""))
        return _finite(plain.replace(",", ""), text)
    if _POINTS_AND_COMMA.fullmatch(plain):
        figures = plain.replace(".", "").replace(",", ".")
        if not metric:
            raise _two_ways(text, plain.replace(",", ""), figures)
        return _finite(figures, text)
    if metric and _SPACED.fullmatch(plain):
        return _finite(plain.replace(" ", "").replace(",", "."), text)
    if _DECIMAL_COMMA.fullmatch(plain):
        if not metric and not plain.startswith("0"):
            raise _two_ways(text, plain.replace(",", "."), plain.replace(",", ""))
        return _finite(plain.replace(",", "."), text)
    raise MeasureWrong("not a number", tidy_text(text), example="12 or 1.5")


def _two_figures(part: re.Match[str]) -> bool:
    """Whether a fraction such as 12/14 may be two figures; 3/4, 1/6 and 1 5/6 are not."""
    above, below = int(part[2]), int(part[3])
    one_part = above == 1 and below <= _MOST_PARTS
    return part[1] is None and not one_part and below not in _KITCHEN_PARTS | {0}


def _finite(plain: str, text: str) -> float:
    """Read plain figures; too many of them to be a number is a problem."""
    number = float(plain)
    if not math.isfinite(number):
        raise MeasureWrong("number too large", f"{tidy_text(text)[:20]}...")
    return number


def refuse_two_altitudes(text: str) -> None:
    """
    Raise MeasureWrong for an altitude with a point before three figures: 4.800 ft may be 4,800 ft or 4.8 ft.

    >>> refuse_two_altitudes("4800 ft"), refuse_two_altitudes("450.5 m")
    (None, None)
    >>> refuse_two_altitudes("1.450 m")
    Traceback (most recent call last):
    stillroom.household.units.MeasureWrong: "1.450 m" may be 1.45 or 1450; type it without a point
    """
    if found := re.match(r"([1-9]\d{0,2})((?:\.\d{3})+)(?!\d)", tidy_text(text)):
        shown = (found[1] + found[2][:4]).rstrip("0").rstrip(".")
        raise MeasureWrong("point of two meanings", tidy_text(text), shown, found[0].replace(".", ""))


def _two_ways(text: str, as_decimal: str, as_thousands: str) -> MeasureWrong:
    """Ask which of two numbers a comma means."""
    shown = as_decimal.rstrip("0").rstrip(".") if "." in as_decimal else as_decimal
    return MeasureWrong("comma of two meanings", tidy_text(text), shown, as_thousands)


def _with_plain_fractions(text: str) -> str:
    """Write ½ as 1/2, with a space before it where a whole number stands, and 2-1/2 as 2 1/2."""
    plain = tidy_text(text).replace("⁄", "/").replace("−", "-")
    for sign, written in _FRACTIONS.items():
        plain = re.sub(rf"(\d)\s*{sign}", rf"\1 {written}", plain).replace(sign, written)
    return re.sub(r"(?<![\d.,/])(\d+)-(\d+/\d+)", r"\1 \2", plain)


# Amounts, strictly


def amount_from(text: str, *, metric: bool = False) -> Amount:
    """
    Read a number with or without its unit; pounds and ounces may stand together, as 5 lb 4 oz or 5 lb and 4 oz.

    Raises MeasureWrong.

    >>> amount_from("2 1/4 lb").number, amount_from("18 qt").unit.name, amount_from("12").unit
    (2.25, 'quart', None)
    >>> amount_from("5 lb 4 oz").number
    5.25
    """
    plain = _with_plain_fractions(text)
    found = _SHAPE.fullmatch(plain)
    if found is None:
        raise MeasureWrong("unreadable amount", tidy_text(text), example="24 kg" if metric else "53 lb")
    pieces = re.fullmatch(r"(\D+?)(?:\s*,\s*|\s+and\s+|\s*)(\d[\d./\s]*)\s*(\D+)", found["unit"])
    try:
        number = number_from(found["number"], metric=metric)
        if pieces is not None and find_unit(found["unit"]) is None:
            return _pounds_and_ounces(number, pieces, text, metric=metric)
    except MeasureWrong as wrong:
        names = (tidy_text(text), *wrong.names[1:]) if wrong.names[0] == tidy_text(found["number"]) else wrong.names
        raise MeasureWrong(wrong.kind, *names, example=wrong.example, suggestion=wrong.suggestion) from None
    unit_text = found["unit"].strip()
    if unit_text and not unit_text[0].isalpha() and find_unit(unit_text) is None:
        raise MeasureWrong("unreadable amount", tidy_text(text), example="24 kg" if metric else "53 lb")
    return Amount(number, unit_of(unit_text, metric=metric) if unit_text else None, unit_text)


def amount_unit(text: str, *, metric: bool = False) -> tuple[float, Unit]:
    """
    Read what a price is for: a unit, or a number of it. Raises MeasureWrong.

    >>> amount_unit("5 lb")[0], amount_unit("qt")[1].name
    (5.0, 'quart')
    """
    if not any(sign.isdigit() or sign in _FRACTIONS for sign in text):
        return 1.0, unit_of(text, metric=metric)
    amount = amount_from(text, metric=metric)
    if amount.unit is None:
        raise MeasureWrong("amount without unit", tidy_text(text), example="2 kg" if metric else "5 lb")
    return amount.number, amount.unit


def _pounds_and_ounces(number: float, pieces: re.Match[str], text: str, *, metric: bool) -> Amount:
    """Add a smaller unit onto a larger one that measures the same."""
    large, small = unit_of(pieces[1], metric=metric), unit_of(pieces[3], metric=metric)
    if large.measures != small.measures or small.factor >= large.factor or large.measures == "count":
        raise MeasureWrong("unreadable amount", tidy_text(text), example="24 kg" if metric else "53 lb")
    more = number_from(pieces[2], metric=metric) * small.factor / large.factor
    return Amount(number + (more if number >= 0 else -more), large, pieces[1])


# Words for numbers, and what people write around an amount

_UNITS_OF_TEN = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_TO_TWENTY = (
    *("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen"),
    *("sixteen", "seventeen", "eighteen", "nineteen"),
)
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_NUMBER_WORDS = {word: str(number) for number, word in enumerate((*_UNITS_OF_TEN, *_TO_TWENTY), start=1)}
_NUMBER_WORDS |= {word: str(10 * number) for number, word in enumerate(_TENS, start=2)}
_TENS_AND_ONE = re.compile(rf"\b({'|'.join(_TENS)})[ -]({'|'.join(_UNITS_OF_TEN)})\b")
_WORD_NUMBER = re.compile(rf"\b(?:{'|'.join(_NUMBER_WORDS)})\b")
_FILLERS = re.compile(r"^(?:about|around|roughly|approximately|approx\.?|circa|ca\.?|some|~|≈)\s*(?=\S)")
_REWRITTEN = tuple(
    (re.compile(pattern), by)
    for pattern, by in (
        (r"^(?:a )?half (?:an? )?(?=[a-z])", "1/2 "),
        (r"^(?:3|three)[ -]quarters (?:of )?(?:an? )?(?=[a-z])", "3/4 "),
        (r"^(?:a )?quarter (?:of )?(?:an? )?(?=[a-z])", "1/4 "),
        (r"^a couple (?:of )?(?=[a-z])", "2 "),
        (r"^an? (?=[a-z])", "1 "),
        (r"^(?=doz)", "1 "),
        (r"(?<=\d) and (?:a|1) half\b", " 1/2"),
        (r"^(\d+) ([a-z]+) and (?:a|1) half$", r"\1 1/2 \2"),
        (r"(?<=\d) ?#$", " lb"),
        (r"\s+(?:in total|total|in all|altogether|or so|or thereabouts|give or take)$", ""),
        (r"(?<=\d)(?:[- ]odd\b|ish\b)", ""),
    )
)
_RANGE = re.compile(
    r"(?P<before>between )?(?P<one>(?:\d+ )?\d+/\d+|[\d.,]+)\s*(?P<unit>[a-z#][a-z ]*?)?\s*"
    r"(?P<between>-|/|\bto\b|\bor\b|\bbis\b|\band\b)\s*"
    r"(?P<two>(?:\d+ )?\d+/\d+|[\d.,]+)\s*(?P<units>[a-z#][a-z ]*?)?\.?"
)
_TIMES = re.compile(r"(\d+) ?[x×] ?(\d.*)")
_LETTER_OR_TIMES = re.compile(r"(\d+)x(\d+)")
"""A product without a unit or a space may be a number with a letter typed into it."""
_SMALLER = {"lb": "oz", "kg": "g"}
_EACH_WORDS = re.compile(r"\s*\b(?:ears?|cobs?)$")


def _in_figures(plain: str) -> str:
    """
    Write number words as figures.

    >>> _in_figures("twenty five or sixty-one"), _in_figures("half past seven")
    ('25 or 61', 'half past 7')
    """
    plain = _TENS_AND_ONE.sub(lambda found: str(int(_NUMBER_WORDS[found[1]]) + int(_NUMBER_WORDS[found[2]])), plain)
    return _WORD_NUMBER.sub(lambda found: _NUMBER_WORDS[found[0]], plain)


def _plain_words(text: str) -> str:
    """
    Write an amount in figures and units, without the words around it.

    >>> _plain_words("About a bushel and a half"), _plain_words("half a dozen"), _plain_words("two pecks")
    ('1 1/2 bushel', '1/2 dozen', '2 pecks')
    >>> _plain_words("sixty-odd pints"), _plain_words("fifty or thereabouts"), _plain_words("a couple of pounds")
    ('60 pints', '50', '2 pounds')
    >>> _plain_words("twenty five lb"), _plain_words("twenty-five or thirty pounds")
    ('25 lb', '25 or 30 pounds')
    """
    plain = _with_plain_fractions(text).casefold().replace("\u2013", "-").replace("\u2014", "-")
    plain = _FILLERS.sub("", plain)
    plain = _in_figures(plain)
    for pattern, by in _REWRITTEN:
        plain = pattern.sub(by, plain)
    return plain.strip()


def _refuse_range(plain: str, text: str, *, metric: bool) -> None:
    """Raise MeasureWrong for two figures where one belongs: 12-14 lb, a peck or two."""
    found = _RANGE.fullmatch(plain)
    if found is None or (re.search(r"\band\b", plain) and not found["before"]):
        return
    part = _WHOLE_AND_PART.match(plain)
    if found["between"] == "/" and part is not None and not _two_figures(part):
        return
    unit = f" {found['units'] or found['unit'] or ''}".rstrip()
    one, two = (format_number(number_from(found[side], metric=metric)) for side in ("one", "two"))
    raise either(text, one + unit, two + unit)


def typed_amount(text: str, *names: str, metric: bool = False) -> Amount:
    """
    Read an amount as people type it, with number words, fractions and dozens; `names` may stand behind it.

    A number of the named thing itself is that many of it. Raises MeasureWrong, with both readings where there are two.

    >>> typed_amount("half a bushel").number, typed_amount("3 dozen ears of corn", "sweet corn").unit.name
    (0.5, 'dozen')
    >>> typed_amount("18 peppers", "sweet peppers").unit.name, typed_amount("2 x 12 lb").number
    ('each', 24.0)
    >>> typed_amount("6x4")
    Traceback (most recent call last):
    stillroom.household.units.MeasureWrong: "6x4" may be 24 or 64; type the one you mean
    >>> typed_amount("1/2 or 3/4 bu")
    Traceback (most recent call last):
    stillroom.household.units.MeasureWrong: "1/2 or 3/4 bu" may be 0.5 bu or 0.75 bu; type the one you mean
    >>> typed_amount("12-14 lb")
    Traceback (most recent call last):
    stillroom.household.units.MeasureWrong: "12-14 lb" may be 12 lb or 14 lb; type the one you mean
    """
    plain = _plain_words(text)
    _refuse_range(plain, text, metric=metric)
    if found := _LETTER_OR_TIMES.fullmatch(plain):
        raise either(text, format_number(int(found[1]) * int(found[2])), found[1] + found[2])
    if found := _TIMES.fullmatch(plain):
        one = typed_amount(found[2], *names, metric=metric)
        return Amount(int(found[1]) * one.number, one.unit, one.unit_text)
    if (trail := re.fullmatch(r"([\d./ ]+?) ?([a-z]+) (\d+)", plain)) and (unit := find_unit(trail[2])) is not None:
        smaller = _SMALLER.get(unit.name)
        if smaller is not None:
            first = format_number(number_from(trail[1], metric=metric))
            raise either(text, f"{first} {unit.name} {trail[3]} {smaller}", f"{first}.{trail[3]} {unit.name}")
    try:
        return amount_from(plain, metric=metric)
    except MeasureWrong as wrong:
        if wrong.kind == "unknown unit" and not any(sign.isnumeric() for sign in text):
            wrong = MeasureWrong("unreadable amount", plain, example="24 kg" if metric else "53 lb")
        if wrong.kind in ("unknown unit", "unreadable amount"):
            for shorter, counts in _without_names(plain, names):
                try:
                    amount = amount_from(shorter, metric=metric)
                except MeasureWrong:
                    continue
                return Amount(amount.number, unit_of("each"), "each") if counts and amount.unit is None else amount
        raise MeasureWrong(
            wrong.kind,
            _as_typed(wrong.names[0], plain, text),
            *wrong.names[1:],
            example=wrong.example,
            suggestion=wrong.suggestion,
        ) from None


def _as_typed(part: str, plain: str, text: str) -> str:
    """Give a part of a text as it was typed, before numbers and fractions were written plainly; else all of it."""
    typed = tidy_text(text)
    place = typed.casefold().find(part.casefold())
    return typed if place < 0 or part == plain else typed[place : place + len(part)]


def _without_names(plain: str, names: Iterable[str]) -> Iterator[tuple[str, bool]]:
    """Give a text without the words behind it that name what it is an amount of, and whether they count it."""
    known = Names("", filter(None, names))
    if (short := _EACH_WORDS.sub("", plain)) != plain:
        yield short, True
    words = plain.split(" ")
    for place in range(1, len(words)):
        behind = words[place:]
        if known.meant(" ".join(behind[1:] if behind[0] == "of" else behind)):
            head = " ".join(words[:place])
            yield _EACH_WORDS.sub("", head), behind[0] != "of" or head != _EACH_WORDS.sub("", head)


def parse_amount(text: str, crop: Crop, household: Household) -> Amount:
    """
    Read how much of a crop was typed: number above 0 and unit, the crop's own unit where none is typed.

    `crop.kg_in(amount.number, amount.unit)` is its weight. Raises MeasureWrong for what is no amount, has two
    readings, or has no weight (a dozen of a crop without a weight each, a bushel without its weight).

    >>> from stillroom.household.examples import tiny_household
    >>> home = tiny_household()
    >>> parse_amount("half a pound", home.crops[0], home).number
    0.5
    """
    metric = is_metric(household)
    amount = typed_amount(text, crop.name, crop.handbook_food or "", metric=metric)
    unit = amount.unit or unit_of(crop.unit)
    if amount.number <= 0:
        raise MeasureWrong("not more than nothing", tidy_text(text), example="24 kg" if metric else "53 lb")
    crop.kg_in(amount.number, unit)
    return Amount(amount.number, unit, amount.unit_text)


def is_metric(household: Household) -> bool:
    """Whether a household is metric: a comma is a decimal comma, and a day stands before its month."""
    return household.kitchen.weight_unit == "kg"


def parse_entry(text: str, find: Callable[[str], tuple[str, ...]], *, metric: bool = False) -> tuple[str, str]:
    """
    Take name and amount of one entry apart, in either order; the name is the longest that `find` knows.

    Returns the name as typed and the amount as typed; either is empty where it is not there. Raises nothing: what
    neither reads is the name.

    >>> def find(name):
    ...     return Names("", ["plum tomato", "sweet corn", "pint jar"]).meant(name)
    >>> [parse_entry(text, find) for text in ("53 lb plum", "corn 3 dozen", "12 pint jars", "corn")]
    [('plum', '53 lb'), ('corn', '3 dozen'), ('pint jars', '12'), ('corn', '')]
    """
    words = tidy_text(text).split(" ")
    splits = [(words[place:], words[:place]) for place in range(1, len(words))]
    splits += [(words[:place], words[place:]) for place in range(len(words) - 1, 0, -1)]
    fits = []
    for name, amount in splits:
        named = " ".join(name[1:] if name[0] == "of" and len(name) > 1 else name)
        typed = " ".join(amount)
        try:
            typed_amount(typed, metric=metric)
        except MeasureWrong as wrong:
            if wrong.kind not in ("two readings", "comma of two meanings", "unit of two sizes"):
                continue
        if len(find(named)) == 1:
            return named, typed
        fits.append((named, typed))
    known = [one for one in fits if find(one[0])]
    return (known or fits or [(tidy_text(text), "")])[0]


# Hours

_NUMBER = r"\d+ \d+/\d+|\d+/\d+|\d*[.,]?\d+"
_HOURS = re.compile(
    rf"(?:(?P<hours>{_NUMBER})\s*(?:h|hrs?|hours?)\.?)?(?:\s*(?:and|,)?\s*(?P<minutes>{_NUMBER})\s*(?:m|mins?|minutes?)\.?)?"
)
_HOURS_THEN_MINUTES = re.compile(r"(?P<hours>\d+)\s*(?:h|hr|hour|:)s?\s*(?P<minutes>[0-5]\d)\s*(?:h|hours?)?")
_LIKE_A_CLOCK = re.compile(r"(\d+)[.,](15|30|45)(?:\s*(?:h|hrs?|hours?)\.?)?")


def hours_from(text: str, *, metric: bool = False) -> float:
    """
    Read a length of time as people type it, in hours; a bare number is hours. Raises MeasureWrong.

    >>> [hours_from(one) for one in ("3h", "2h15m", "2:15", "an hour and a half", "90 min")]
    [3.0, 2.25, 2.25, 1.5, 1.5]
    >>> hours_from("2.30 h")
    Traceback (most recent call last):
    stillroom.household.units.MeasureWrong: "2.30 h" may be 2.3 h or 2 h 30 min; type the one you mean
    """
    plain = _plain_words(text)
    _refuse_range(plain, text, metric=metric)
    if found := _LIKE_A_CLOCK.fullmatch(plain):
        decimal = f"{found[1]}.{found[2]}".rstrip("0")
        raise either(text, f"{decimal} h", f"{found[1]} h {found[2]} min")
    if found := _HOURS_THEN_MINUTES.fullmatch(plain):
        return int(found["hours"]) + int(found["minutes"]) / 60
    found = _HOURS.fullmatch(plain)
    if found is None or not plain:
        if any(sign.isalpha() for sign in plain):
            raise MeasureWrong("unreadable hours", tidy_text(text), example="2.5 h" if not metric else "2,5 h")
        return number_from(plain, metric=metric)
    hours = number_from(found["hours"], metric=metric) if found["hours"] else 0.0
    return hours + (number_from(found["minutes"], metric=metric) / 60 if found["minutes"] else 0.0)


def parse_hours(text: str, household: Household) -> float:
    """
    Read a length of time such as `3h`, `2h15m`, `2:15` or `an hour and a half`, in hours. Raises MeasureWrong.

    >>> from stillroom.household.examples import tiny_household
    >>> parse_hours("2h15m", tiny_household())
    2.25
    """
    return hours_from(text, metric=is_metric(household))


# Times of day

_HALF_DAY = r"\s*(?P<half>[ap])\.?\s?(?:m\.?)?"
_CLOCK = re.compile(rf"(?P<hour>\d{{1,2}})(?:[:.h]?(?P<minute>\d{{2}}))?(?::\d{{2}})?{_HALF_DAY}")
_CLOCK_24 = re.compile(
    r"(?P<hour>\d{1,2})[:.h](?P<minute>\d{2})(?::\d{2})?(?:\s*h)?|(?P<hours>0\d|1[3-9]|2[0-3])(?P<minutes>\d{2})"
)
_PAST = re.compile(r"(?P<part>half|quarter)(?: (?P<way>past|to|after|before))? (?P<hour>\d{1,2})")
_NAMED_TIMES = {"noon": 12, "12 noon": 12, "midday": 12, "midnight": 0, "12 midnight": 0}


def clock_from(text: str, *, metric: bool = False) -> datetime.time:
    """
    Read a time of day written as text. Raises MeasureWrong, with both readings where it could be morning or evening.

    >>> clock_from("8:30"), clock_from("1:15 pm"), clock_from("7am"), clock_from("noon")
    (datetime.time(8, 30), datetime.time(13, 15), datetime.time(7, 0), datetime.time(12, 0))
    >>> clock_from("half past 7")
    Traceback (most recent call last):
    stillroom.household.units.MeasureWrong: "half past 7" may be 7:30 AM or 7:30 PM; type the one you mean
    """
    plain = _in_figures(tidy_text(text).casefold().replace("\u2013", "-"))
    plain = re.sub(r"^at ", "", plain)
    if plain in _NAMED_TIMES:
        return datetime.time(_NAMED_TIMES[plain])
    if found := _CLOCK.fullmatch(plain):
        if 1 <= int(found["hour"]) <= 12 and int(found["minute"] or 0) < 60:
            after_noon = 12 if found["half"] == "p" else 0
            return datetime.time(int(found["hour"]) % 12 + after_noon, int(found["minute"] or 0))
    elif found := _CLOCK_24.fullmatch(plain):
        hour, minute = int(found["hour"] or found["hours"]), int(found["minute"] or found["minutes"])
        if hour < 24 and minute < 60:
            return datetime.time(hour, minute)
    elif metric and (found := re.fullmatch(r"(\d{1,2})\s*(?:h|uhr)", plain)) and int(found[1]) < 24:
        return datetime.time(int(found[1]))
    else:
        _refuse_times(plain, text, metric=metric)
    raise MeasureWrong("unreadable time", text, example="8:30" if metric else "8:30 AM")


def _refuse_times(plain: str, text: str, *, metric: bool) -> None:
    """Raise MeasureWrong with both readings of a time that may be morning or evening, or that is two times."""

    def refused(*minutes: int) -> MeasureWrong:
        with in_style(METRIC if metric else US):
            one, other = (format_clock(datetime.time(at // 60 % 24, at % 60)) for at in minutes)
        return either(text, one, other)

    if found := re.fullmatch(r"(\d{1,2})(?: ?o'?clock)?|(\d{1,2})(\d{2})", plain):
        hour, minute = int(found[1] or found[2]), int(found[3] or 0)
        if 1 <= hour <= 12 and minute < 60:
            raise refused(hour % 12 * 60 + minute, (hour % 12 + 12) * 60 + minute)
    if (found := _PAST.fullmatch(plain)) and 1 <= int(found["hour"]) <= 12:
        hour, part = int(found["hour"]) % 12 * 60, 30 if found["part"] == "half" else 15
        if found["way"] is None:
            raise refused((hour - part) % 720, (hour + part) % 720)
        at = (hour + (part if found["way"] in ("past", "after") else -part)) % 720
        raise refused(at, at + 720)
    if found := re.fullmatch(r"(.+?)\s*(?:-|/|\bto\b|\bor\b)\s*(.+)", plain):
        half = re.search(_HALF_DAY + "$", found[2])
        try:
            one = clock_from(found[1] if ":" in found[1] or half is None else found[1] + half[0], metric=metric)
            other = clock_from(found[2], metric=metric)
        except MeasureWrong:
            return
        raise refused(one.hour * 60 + one.minute, other.hour * 60 + other.minute)


# Money

_MONEY_WORDS = {
    "$": ("us$", "$", "usd", "dollars", "dollar", "bucks", "buck"),
    "€": ("€", "eur", "euros", "euro"),
    "£": ("£", "gbp", "quid"),
}
_CENTS = re.compile(r"(?P<whole>.*?)\s*(?:and )?(?<![\d.,/])(?P<cents>\d+(?:\.\d+)?)\s*(?:¢|cents?|ct)")


def money_from(text: str, currency: str = "$", *, metric: bool = False) -> float:
    """
    Read an amount of money with or without the household's currency. Raises MeasureWrong.

    >>> [money_from(one) for one in ("$60", "60 dollars", "$1,250.50", "12.5 cents", "a dollar fifty")]
    [60.0, 60.0, 1250.5, 0.125, 1.5]
    >>> money_from("€60")
    Traceback (most recent call last):
    stillroom.household.units.MeasureWrong: "€60" is not in $, your currency in Kitchen; type the amount in $
    """
    plain = re.sub(r"[.,]-$", "", _plain_words(text))
    own = currency.casefold()
    for sign, words in _MONEY_WORDS.items():
        for word in words:
            bare = rf"(?<![a-z]){re.escape(word)}(?![a-z])"
            if re.search(bare, plain):
                if own and own not in words:
                    raise MeasureWrong("other money", tidy_text(text), currency)
                plain = re.sub(bare, sign, plain)
    sign = next((one for one in (*_MONEY_WORDS, own) if one and one in plain), "")
    plain = plain.replace(sign, " $ ") if sign else plain
    plain = " ".join(plain.split())
    if found := re.fullmatch(r"([2-9]|[1-9]\d+) for \$? ?(.+)", plain):
        price = number_from(found[2].replace("$", "").strip(), metric=metric)
        raise either(text, format_number(price / int(found[1])), format_number(price))
    if (found := _CENTS.fullmatch(plain)) or (found := re.fullmatch(r"(?P<whole>\d+) \$ (?P<cents>\d{2})", plain)):
        whole = found["whole"].replace("$", "").strip()
        return (number_from(whole, metric=metric) if whole else 0.0) + float(found["cents"]) / 100
    plain = " ".join(plain.replace("$", " ").split())
    _refuse_range(plain, text, metric=metric)
    try:
        return number_from(plain, metric=metric)
    except MeasureWrong as wrong:
        raise MeasureWrong(wrong.kind, tidy_text(text), *wrong.names[1:], example=f"{currency}12.50") from None


# Dates

FIRST_YEAR, LAST_YEAR = 1990, 2199
A_DAY = format_date_and_year(datetime.date(2026, 8, 14))
"""A date as it may be typed, for what asks for one."""
_MONTH_NAMES = [name.casefold() for name in FULL_MONTHS]
_MONTH = {name[:3]: number for number, name in enumerate(_MONTH_NAMES, start=1)}
_MONTH_WORD = rf"(?P<month>{'|'.join(f'{name[:3]}(?:{name[3:]})?' for name in _MONTH_NAMES)}|sept)\.?"
_DAY_NAMES = [name.casefold() for name in WEEKDAY_NAMES]
_WEEKDAY_WORD = rf"(?P<weekday>{'|'.join(_DAY_NAMES)}|tues|weds|thurs?|{'|'.join(name[:3] for name in _DAY_NAMES)})\.?"
_YEAR = r"(?:,? '?(?P<year>\d{4}|\d{2}))?"
_DAY = r"(?P<day>\d{1,2})(?:st|nd|rd|th|\.)?"
_BY_NAME = (
    re.compile(rf"{_DAY} (?:of )?{_MONTH_WORD}{_YEAR}"),
    re.compile(rf"{_MONTH_WORD} {_DAY}{_YEAR}"),
)
_ISO = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})")
_THREE = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2'?(\d{4}|\d{1,2})")
_TWO = re.compile(r"(\d{1,2})([-/])(\d{1,2})|(\d{1,2})\.(\d{1,2})\.")
_AWAY = {
    **dict.fromkeys(("today", "tonight", "this morning", "this afternoon", "this evening"), 0),
    **dict.fromkeys(("yesterday", "last night", "yesterday morning", "yesterday evening"), -1),
    "day before yesterday": -2,
    "tomorrow": 1,
    "day after tomorrow": 2,
}
_HALF_A_YEAR = 183


@dataclass(frozen=True)
class DateReader:
    """
    Reads dates typed by one household.

    `first_day` gives the year of `8/26`; `today` is the day by the calendar, from which `yesterday` and `Sat` count.
    Where the two differ those words have two readings. `ahead` takes the next Saturday, otherwise the last one.
    Without `moving` words that mean another day tomorrow are refused: a cell is read again on other days. `order` is
    what is known to stand first in figures, "day" or "month".
    """

    first_day: datetime.date
    metric: bool = False
    today: datetime.date | None = None
    ahead: bool = False
    moving: bool = True
    order: str = ""

    def read(self, text: str) -> datetime.date:
        """Read a date; raises MeasureWrong, with both readings where there are two."""
        plain = tidy_text(text).casefold().replace("\u2013", "-").replace("\u2014", "-").replace(", ", " ")
        plain = re.sub(r"^(?:on )?(?:the )?", "", plain)
        day = self._by_word(plain, text) or self._by_name(plain, text) or self._by_figures(plain, text)
        day = day or self._with_weekday(plain, text)
        if day is None:
            self._refuse_two_days(plain, text)
            raise MeasureWrong("unreadable date", tidy_text(text)[:40], example=A_DAY)
        if not FIRST_YEAR <= day.year <= LAST_YEAR:
            raise MeasureWrong("year out of range", format_date_and_year(day), str(FIRST_YEAR), str(LAST_YEAR))
        return day

    def _by_word(self, plain: str, text: str) -> datetime.date | None:
        """Read `yesterday`, `3 days ago`, `Sat` and the like, from today and from the first day."""
        of_a_month = plain[:1].isdigit() and not plain.endswith("ago")
        references = dict.fromkeys([(not of_a_month and self.today) or self.first_day, self.first_day])
        days = list(dict.fromkeys(day for one in references for day in self._from_reference(plain, one)))
        if not days:
            return None
        if not self.moving:
            raise MeasureWrong("date that moves", tidy_text(text), format_date_and_year(days[0]))
        if len(days) > 1:
            raise either(text, format_date_and_year(days[0]), format_date_and_year(days[1]))
        return days[0]

    def _from_reference(self, plain: str, today: datetime.date) -> list[datetime.date]:
        """Give the days that a word may mean, counted from one day; none for what is no such word."""
        away = _AWAY.get(plain)
        words = re.sub(r"^an? ", "1 ", _WORD_NUMBER.sub(lambda found: _NUMBER_WORDS[found[0]], plain))
        words = re.sub(r"^in an? ", "in 1 ", words)
        if found := re.fullmatch(r"(?:(in) )?(\d{1,3}) (day|week)s?(?(1)| ago)", words):
            away = (1 if found[1] else -1) * int(found[2]) * (7 if found[3] == "week" else 1)
        if away is not None:
            return [today + datetime.timedelta(days=away)]
        if found := re.fullmatch(r"(\d{1,2})(?:st|nd|rd|th)", plain):
            return self._day_of_month(int(found[1]), today)
        found = re.fullmatch(rf"(?:(?P<which>last|this|next) )?{_WEEKDAY_WORD}", plain)
        if found is None:
            return []
        number = _weekday_number(found["weekday"])
        since, until = (today.weekday() - number) % 7, (number - today.weekday()) % 7
        last, coming = today - datetime.timedelta(days=since), today + datetime.timedelta(days=until)
        week = datetime.timedelta(days=7)
        if found["which"] == "last":
            return [last if since else last - week]
        if found["which"] == "next":
            return [coming, coming + week] if until else [coming + week]
        if found["which"] == "this":
            return [coming] if self.ahead else list(dict.fromkeys([last, coming]))
        return [coming if self.ahead else last]

    @staticmethod
    def _day_of_month(number: int, today: datetime.date) -> list[datetime.date]:
        """Give the last and the next such day of a month."""
        days = [today + datetime.timedelta(days=away) for away in range(-62, 63)]
        fits = [day for day in days if day.day == number]
        return [*[day for day in fits if day <= today][-1:], *[day for day in fits if day > today][:1]]

    def _by_name(self, plain: str, text: str) -> datetime.date | None:
        """Read a date with the name of its month."""
        spaced = re.sub(r"(?<=[a-z\d])-(?=[a-z])|(?<=[a-z])-(?=\d)", " ", plain)
        for pattern in _BY_NAME:
            if found := pattern.fullmatch(spaced):
                month, day = _MONTH[found["month"][:3]], int(found["day"])
                return self._dated([(month, day)], found["year"], text)
        return None

    def _by_figures(self, plain: str, text: str) -> datetime.date | None:
        """Read a date in figures; of two orders the US one where the workbook is, else both are shown."""
        if found := _ISO.fullmatch(plain):
            return _day(int(found[1]), int(found[3]), int(found[4]))
        if found := _THREE.fullmatch(plain):
            one, two, year = int(found[1]), int(found[3]), found[4]
            if found[2] == "-" and one > 12 and len(year) < 4 and (iso := _day(2000 + one, two, int(year))):
                other = _day(2000 + int(year), two, one)
                if other is not None and other != iso:
                    raise either(text, format_date_and_year(iso), format_date_and_year(other))
                return iso
            if len(year) == 1:
                return None
            return self._dated(self._orders(one, two, found[2]), year, text)
        if found := _TWO.fullmatch(plain):
            one, two = int(found[1] or found[4]), int(found[3] or found[5])
            return self._dated(self._orders(one, two, found[2] or "."), None, text)
        return None

    def _orders(self, one: int, two: int, mark: str) -> list[tuple[int, int]]:
        """Give the months and days that two figures may be."""
        orders = [(one, two), (two, one)]
        if self.order:
            orders = orders[1:] if self.order == "day" else orders[:1]
        both = [(month, day) for month, day in dict.fromkeys(orders) if 1 <= month <= 12 and 1 <= day <= 31]
        return both[:1] if not self.metric and mark != "." else both

    def _dated(self, orders: list[tuple[int, int]], year: str | None, text: str) -> datetime.date | None:
        """Give the date of a month and day; without a year the first day's, unless another one is nearer."""
        if year is not None:
            number = int(year) + (2000 if len(year) == 2 else 0)
            days = [found for month, day in orders if (found := _day(number, month, day)) is not None]
        else:
            days = [found for month, day in orders if (found := _day(self.first_day.year, month, day)) is not None]
            if len(days) == 1 and abs((days[0] - self.first_day).days) > _HALF_A_YEAR:
                nearer = days[0].year + (1 if days[0] < self.first_day else -1)
                days += [other for other in [_day(nearer, days[0].month, days[0].day)] if other is not None]
        if len(days) > 1:
            raise either(text, format_date_and_year(days[0]), format_date_and_year(days[1]))
        return days[0] if days else None

    def _with_weekday(self, plain: str, text: str) -> datetime.date | None:
        """Read a date with its weekday before it; where they disagree both days are shown."""
        found = re.fullmatch(rf"{_WEEKDAY_WORD} (?P<date>.+)", plain)
        if found is None:
            return None
        day = self._by_name(found["date"], text) or self._by_figures(found["date"], text)
        if day is None:
            return None
        number = _weekday_number(found["weekday"])
        if day.weekday() != number:
            away = (number - day.weekday() + 3) % 7 - 3
            raise either(text, format_date_and_year(day), format_date_and_year(day + datetime.timedelta(days=away)))
        return day

    def _refuse_two_days(self, plain: str, text: str) -> None:
        """Raise MeasureWrong for two days where one belongs: 8/20 or 8/21, Aug 20-21, Sat/Sun."""
        month = re.search(_MONTH_WORD, plain)
        for mark in re.finditer(r"\s+(?:or|to|and)\s+|\s*-\s*|\s*/\s*", plain):
            sides = (plain[: mark.start()], plain[mark.end() :])
            days = []
            for side in sides:
                whole = side if month is None or re.search(_MONTH_WORD, side) else f"{month[0]} {side}"
                try:
                    days.append(self.read(whole))
                except MeasureWrong:
                    break
            if len(days) == 2:
                raise either(text, format_date_and_year(days[0]), format_date_and_year(days[1]))


def _weekday_number(word: str) -> int:
    """Give the number of a weekday, Monday 0."""
    return next(number for number, name in enumerate(_DAY_NAMES) if name[:3] == word[:3])


def _day(year: int, month: int, day: int) -> datetime.date | None:
    """Give a date; None where the month has no such day."""
    try:
        return datetime.date(year, month, day)
    except ValueError:
        return None


def parse_date(
    text: str, household: Household, today: datetime.date | None = None, *, ahead: bool = False
) -> datetime.date:
    """
    Read a day such as `8/20/26`, `8/26`, `Aug 20`, `yesterday` or `Sat` (the last one; the next one with `ahead`).

    `today` is the day by the calendar, from which words count; where they mean another day counted from the first
    day, that is shown too. Month first in a US workbook; where day and month could be exchanged in a metric one both
    readings are shown. Raises MeasureWrong.

    >>> from stillroom.household.examples import tiny_household
    >>> parse_date("8/20", tiny_household()), parse_date("yesterday", tiny_household())
    (datetime.date(2026, 8, 20), datetime.date(2026, 8, 13))
    """
    return DateReader(household.kitchen.first_day, is_metric(household), today, ahead).read(text)
