"""Numbers and amounts as a cook writes them: `53 lb`, `1 1/2 cup`; what could be read two ways is asked about."""

from __future__ import annotations

import datetime
import math
import re
from dataclasses import dataclass

from stillroom.household.names import tidy_text
from stillroom.household.units import MeasureWrong, Unit, find_unit, unit_of

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
_DECIMAL = re.compile(r"\d+(?:\.\d*)?|\.\d+")
_DECIMAL_COMMA = re.compile(r"\d+,\d+")
_SHAPE = re.compile(r"(?P<number>[-+]?[\d.,/\s]*\d\.?)\s*(?P<unit>.*)", re.DOTALL)


@dataclass(frozen=True)
class Amount:
    """A number and the unit written beside it, as found and as typed; no unit is None."""

    number: float
    unit: Unit | None
    unit_text: str = ""


_CLOCK = re.compile(r"(\d{1,2})(?:[:.h](\d{2})(?::\d{2})?\s*(am|pm)?|\s*(am|pm))", re.IGNORECASE)


def clock_from(text: str) -> datetime.time:
    """
    Read a time of day written as text. Raises MeasureWrong.

    >>> clock_from("8:30"), clock_from("1:15 pm"), clock_from("9 PM")
    (datetime.time(8, 30), datetime.time(13, 15), datetime.time(21, 0))
    """
    if found := _CLOCK.fullmatch(tidy_text(text)):
        hour, minute, half = int(found[1]), int(found[2] or 0), found[3] or found[4]
        if half:
            hour = hour % 12 + (12 if half.casefold() == "pm" else 0) if 1 <= hour <= 12 else 99
        if hour < 24 and minute < 60:
            return datetime.time(hour, minute)
    raise MeasureWrong("unreadable time", text, example="8:30 AM")


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
        return whole + above / below
    if _DECIMAL.fullmatch(plain):
        return _finite(plain, text)
    if _THOUSANDS.fullmatch(plain):
        if metric and plain.count(",") == 1 and "." not in plain:
            raise _two_ways(text, plain)
        return _finite(plain.replace(",", ""), text)
    if _DECIMAL_COMMA.fullmatch(plain):
        if not metric and not plain.startswith("0"):
            raise _two_ways(text, plain)
        return _finite(plain.replace(",", "."), text)
    raise MeasureWrong("not a number", tidy_text(text), example="12 or 1.5")


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


def _two_ways(text: str, plain: str) -> MeasureWrong:
    """Ask which of two numbers a comma means."""
    as_decimal, as_thousands = plain.replace(",", "."), plain.replace(",", "")
    shown = as_decimal.rstrip("0").rstrip(".")
    if len(plain.split(",")[-1]) == 3:
        return MeasureWrong("comma of two meanings", tidy_text(text), shown, as_thousands)
    return MeasureWrong("comma in number", tidy_text(text), shown)


def _with_plain_fractions(text: str) -> str:
    """Write ½ as 1/2, with a space before it where a whole number stands."""
    plain = tidy_text(text).replace("⁄", "/").replace("−", "-")
    for sign, written in _FRACTIONS.items():
        plain = re.sub(rf"(\d)\s*{sign}", rf"\1 {written}", plain).replace(sign, written)
    return plain


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
