"""
Numbers, amounts, dates, times and money as text, in the household's units: the only module that formats them.

A US household reads `4½ lb`, `$12.00`, `Sat Aug 22` and `2:30 PM`; a metric one `2.1 kg`, `12.00`, `Sat 22 Aug` and
`14:30`. The style in use is a context variable, as is the decimal module's context: reading a workbook sets it.
"""

from __future__ import annotations

import datetime
import math
import re
import shlex
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import overload

from stillroom.household.records import Crop, Kitchen
from stillroom.household.units import CUBIC_FOOT_LITRES, FOOT_METRES, POUND_KG, find_unit

FRACTIONS = dict(zip((1 / 8, 1 / 4, 1 / 3, 3 / 8, 1 / 2, 5 / 8, 2 / 3, 3 / 4, 7 / 8), "⅛¼⅓⅜½⅝⅔¾⅞", strict=True))
CUP = (1 / 4, 1 / 3, 1 / 2, 2 / 3, 3 / 4)
"""The parts of a cup that measuring cups come in."""
DECIMAL_UNITS = frozenset({"kg", "L", "dl", "cl", "m"})
SMALL_UNITS = frozenset({"g", "ml", "mm"})
WITHOUT_PLURAL = frozenset({"tsp", "tbsp", "fl oz", "cu ft", "cubic feet", "each", "dozen", "min"})
SHORT_UNITS = {"cubic feet": "cu ft", "inch": "in"}
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
FULL_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
WEEKDAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MINUTES_A_DAY = 24 * 60


@dataclass(frozen=True)
class Style:
    """A household's units and currency sign; `currency` is blank where amounts of money are shown without one."""

    metric: bool = False
    currency: str = "$"


US = Style()
METRIC = Style(metric=True, currency="")
_style: ContextVar[Style] = ContextVar("style", default=US)


def use_style(style: Style) -> None:
    """Format everything from now on in this style."""
    _style.set(style)


def spreadsheet_format(name: str) -> str:
    """
    Return the number format of spreadsheet cells for `date`, `date in any year`, `month day`, `week`, `clock`, `money`.

    Other formats are returned unchanged.

    >>> spreadsheet_format("date"), spreadsheet_format("clock"), spreadsheet_format("money"), spreadsheet_format("0.0")
    ('ddd mmm d', 'h:mm AM/PM', '$#,##0.00', '0.0')
    >>> with in_style(METRIC):
    ...     spreadsheet_format("date"), spreadsheet_format("clock"), spreadsheet_format("money")
    ('ddd d mmm', 'hh:mm', '#,##0.00')
    """
    style = _style.get()
    if name == "money":
        sign = style.currency
        quoted = sign if sign in {"", "$"} else f'"{sign}{" " if sign[-1:].isalpha() else ""}"'
        return f"{quoted}#,##0.00"
    us, metric = _CELL_FORMATS.get(name, (name, name))
    return metric if style.metric else us


def space_unit() -> str:
    """Return the unit of storage space in the style in use."""
    return "L" if _style.get().metric else "cu ft"


_CELL_FORMATS = {
    "date": ("ddd mmm d", "ddd d mmm"),
    "date in any year": ("mmm d, yyyy", "d mmm yyyy"),
    "month day": ("mmm d", "d mmm"),
    "week": ('"week of" mmm d', '"week of" d mmm'),
    "clock": ("h:mm AM/PM", "hh:mm"),
}
"""Number formats of cells by name: in a US and in a metric workbook."""


def style_of(kitchen: Kitchen) -> Style:
    """
    Return the style of a household.

    >>> style_of(Kitchen(datetime.date(2026, 8, 14), weight_unit="kg", currency=""))
    Style(metric=True, currency='')
    """
    return Style(kitchen.weight_unit == "kg", kitchen.currency)


@contextmanager
def in_style(style: Style) -> Iterator[None]:
    """Format in this style within a `with` block."""
    token = _style.set(style)
    try:
        yield
    finally:
        _style.reset(token)


# Numbers


def format_number(number: float, places: int = 2) -> str:
    """
    Return a number with commas and at most `places` decimals; a small one keeps two digits.

    >>> format_number(1250.0), format_number(2.25), format_number(1 / 3), format_number(1e8), format_number(-0.0)
    ('1,250', '2.25', '0.33', '100,000,000', '0')
    >>> format_number(0.00123), format_number(12.34, 0), format_number(math.inf)
    ('0.0012', '12', 'no limit')
    """
    if math.isinf(number):
        return "no limit"
    if places == 2 and 1e-12 < abs(number) < 0.01:
        places = 1 - math.floor(math.log10(abs(number)))
    text = f"{number:,.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def format_fixed(number: float, places: int) -> str:
    """
    Return a number with commas and exactly `places` decimals, for columns of figures.

    >>> format_fixed(1105.3, 2), format_fixed(-0.001, 2)
    ('1,105.30', '0.00')
    """
    text = f"{number:,.{places}f}"
    return text.removeprefix("-") if not text.strip("-0.") else text


def format_change(number: float) -> str:
    """
    Return a gain or loss to two decimals, with its sign.

    >>> format_change(2.5), format_change(-1250.0), format_change(-0.001)
    ('+2.50', '-1,250.00', '0.00')
    """
    return f"{'+' if number >= 0.005 else ''}{format_fixed(number, 2)}"


def format_share(share: float, places: int = 0) -> str:
    """
    Return a share as a percentage; only a whole one is 100%.

    >>> format_share(0.92), format_share(1), format_share(0.997), format_share(0.002), format_share(0.0125, 1)
    ('92%', '100%', '99%', 'under 1%', '1.2%')
    """
    if not places and 0 < share < 0.005:
        return "under 1%"
    if not places and 0.99 < share < 0.9995:
        return "99%"
    return f"{format_number(100 * share, places)}%"


def format_money(amount: float) -> str:
    """
    Return an amount of money with the household's currency sign.

    >>> format_money(1105.35), format_money(-2.5), format_money(-0.001)
    ('$1,105.35', '-$2.50', '$0.00')
    >>> with in_style(METRIC):
    ...     format_money(1105.35)
    '1,105.35'
    """
    currency, figures = _style.get().currency, format_fixed(abs(amount), 2)
    minus = "-" if amount < 0 and figures.strip("0.") else ""
    return f"{minus}{currency}{' ' if currency[-1:].isalpha() else ''}{figures}"


# Amounts and units


def format_fraction(amount: float, step: float) -> str:
    """
    Return an amount rounded to the nearest step (1, ½ or ¼), with a kitchen fraction.

    >>> format_fraction(2.3, 0.25), format_fraction(0.5, 0.5), format_fraction(7.0, 1.0), format_fraction(-2.3, 0.25)
    ('2¼', '½', '7', '-2¼')
    """
    return _mixed(math.floor(amount / step + 0.5) * step)


def _mixed(amount: float) -> str:
    """Return a number that has already been rounded to a kitchen fraction."""
    whole, rest = divmod(abs(amount), 1.0)
    fraction = FRACTIONS.get(rest, "")
    figures = f"{int(whole):,}" if whole or not fraction else ""
    return f"{'-' if amount < 0 else ''}{figures}{fraction}"


def format_amount(amount: float, unit: str = "") -> str:
    """
    Return an amount rounded for the kitchen, without its unit: fractions for pounds and cups, decimals for kg and L.

    >>> format_amount(23.2, "lb"), format_amount(4.6, "lb"), format_amount(1.8, "kg"), format_amount(0.1, "lb")
    ('23', '4½', '1.8', 'under ¼')
    >>> format_amount(0.3, "cup"), format_amount(1.69, "cup"), format_amount(0.1, "tsp"), format_amount(1234, "lb")
    ('⅓', '1⅔', '⅛', '1,234')
    """
    size = abs(amount)
    if unit in SMALL_UNITS:
        return format_number(amount, 0)
    if unit in DECIMAL_UNITS:
        return format_number(amount, 0 if size >= 10 else 1 if size >= 1 else 2)
    if unit == "tsp" and 0 < size < 0.1875:
        return "⅛"
    if 0 < size < 0.125:
        return "under ¼"
    if unit == "cup" and size < 3:
        whole = math.floor(size)
        part = min((0.0, *CUP, 1.0), key=lambda part: abs(size - whole - part))
        fraction = FRACTIONS.get(part, "")
        whole += part == 1.0
        return f"{'-' if amount < 0 else ''}{whole if whole or not fraction else ''}{fraction}"
    return format_fraction(amount, 1.0 if size >= 10 else 0.5 if size >= 3 else 0.25)


def plural(amount: float, noun: str) -> str:
    """
    Return a noun or unit as it follows an amount; abbreviations such as lb have no plural.

    >>> plural(4, "cup"), plural(1, "cup"), plural(4, "lb"), plural(2, "box"), plural(2, "berry"), plural(0, "load")
    ('cups', 'cup', 'lb', 'boxes', 'berries', 'loads')
    >>> plural(2, "cubic feet"), plural(2, "person"), plural(2, "day"), plural(1, "quarts"), plural(0.5, "peas")
    ('cu ft', 'people', 'days', 'quart', 'peas')
    """
    noun = SHORT_UNITS.get(noun, noun)
    if 0 < abs(amount) <= 1 and noun.endswith("s") and find_unit(noun) and find_unit(noun[:-1]) == find_unit(noun):
        return noun[:-1]
    if 0 < abs(amount) <= 1 or len(noun.split(" ")[-1]) < 3 or noun in WITHOUT_PLURAL or noun.endswith("s"):
        return noun
    if noun == "person":
        return "people"
    if noun.endswith("y") and noun[-2] not in "aeiou":
        return noun[:-1] + "ies"
    return noun + ("es" if noun.endswith(("x", "ch", "sh")) else "s")


def quoted(name: str) -> str:
    """
    Return a file's name, or another word of a command, as it has to be typed after it.

    >>> quoted("kitchen.xlsx"), quoted("my kitchen.xlsx"), quoted("the $5 one.xlsx")
    ('kitchen.xlsx', '"my kitchen.xlsx"', "'the $5 one.xlsx'")
    """
    plain = shlex.quote(name)
    return plain if plain == name or set(name) & set('"$`\\!') else f'"{name}"'


def format_quantity(amount: float, unit: str = "") -> str:
    """
    Return an amount with its unit.

    >>> format_quantity(4.6, "lb"), format_quantity(2, "cup"), format_quantity(3, "cubic feet"), format_quantity(7)
    ('4½ lb', '2 cups', '3 cu ft', '7')
    >>> format_quantity(1.04, "quart"), format_quantity(1.2, "quart")
    ('1 quart', '1¼ quarts')
    """
    shown = format_amount(amount, unit)
    return f"{shown} {plural(1 if shown == '1' else amount, unit)}".strip()


def format_count(count: float, noun: str) -> str:
    """
    Return a number of things: whole ones in figures, others to two decimals.

    >>> format_count(1, "load"), format_count(12, "quart jar"), format_count(0, "lid"), format_count(1.5, "batch")
    ('1 load', '12 quart jars', '0 lids', '1.5 batches')
    """
    return f"{format_number(count)} {plural(count, noun)}"


def format_containers(count: float, *, whole: bool) -> str:
    """
    Return a number of containers; a roughly planned week may hold a part of one, which is rounded.

    >>> format_containers(7.0, whole=True), format_containers(7.5, whole=False), format_containers(0.3, whole=False)
    ('7', '8', 'under 1')
    """
    if whole or count >= 0.5 or count <= 0:
        return f"{math.floor(count + 0.5):,}"
    return "under 1"


def format_crop(amount: float, crop: Crop) -> str:
    """
    Return an amount of a crop, `amount` in the crop's own unit.

    >>> format_crop(23.2, Crop("plum tomato", 5))
    '23 lb plum tomato'
    """
    return f"{format_amount(amount, crop.unit)} {crop.unit} {crop.name}"


def format_weight(kg: float, places: int | None = None) -> str:
    """
    Return a weight in pounds or kilograms, rounded for the kitchen or to a number of decimals.

    >>> format_weight(2.1), format_weight(2.1, 1)
    ('4½ lb', '4.6 lb')
    """
    unit = "kg" if _style.get().metric else "lb"
    amount = kg if unit == "kg" else kg / POUND_KG
    return format_quantity(amount, unit) if places is None else f"{format_number(amount, places)} {unit}"


def format_space(liters: float, places: int | None = None) -> str:
    """
    Return storage space in cubic feet or liters, rounded for the kitchen or to a number of decimals.

    >>> format_space(85), format_space(90, 1)
    ('3 cu ft', '3.2 cu ft')
    """
    unit = "L" if _style.get().metric else "cu ft"
    amount = liters if unit == "L" else liters / CUBIC_FOOT_LITRES
    return format_quantity(amount, unit) if places is None else f"{format_number(amount, places)} {unit}"


def format_altitude(feet: float) -> str:
    """
    Return a height above sea level in feet or meters.

    >>> format_altitude(1450)
    '1,450 ft'
    """
    return f"{feet * FOOT_METRES:,.0f} m" if _style.get().metric else f"{feet:,.0f} ft"


def format_row(least_feet: float, most_feet: float) -> str:
    """
    Return a length of garden row, least to most, rounded up to 5 feet or to a meter.

    >>> format_row(40, 52), format_row(18, 18)
    ('40 to 55 ft', '20 ft')
    >>> with in_style(METRIC):
    ...     format_row(40, 52)
    '13 to 16 m'
    """
    metric = _style.get().metric
    step, unit = (1.0 / FOOT_METRES, "m") if metric else (5.0, "ft")
    least, most = (f"{math.ceil(feet / step - 1e-9) * (1 if metric else 5):,}" for feet in (least_feet, most_feet))
    return f"{least} {unit}" if least == most else f"{least} to {most} {unit}"


# Dates and times


def format_date(day: datetime.date) -> str:
    """
    Return a day of a month.

    >>> format_date(datetime.date(2026, 8, 22))
    'Aug 22'
    >>> with in_style(METRIC):
    ...     format_date(datetime.date(2026, 8, 22))
    '22 Aug'
    """
    month = MONTHS[day.month - 1]
    return f"{day.day} {month}" if _style.get().metric else f"{month} {day.day}"


def format_long_date(day: datetime.date) -> str:
    """
    Return a day with its weekday.

    >>> format_long_date(datetime.date(2026, 8, 22))
    'Sat Aug 22'
    """
    return f"{WEEKDAY_NAMES[day.weekday()][:3]} {format_date(day)}"


def format_full_date(day: datetime.date) -> str:
    """
    Return a day in full, for headings.

    >>> format_full_date(datetime.date(2026, 8, 14))
    'Friday, August 14, 2026'
    """
    weekday, month = WEEKDAY_NAMES[day.weekday()], FULL_MONTHS[day.month - 1]
    if _style.get().metric:
        return f"{weekday} {day.day} {month} {day.year}"
    return f"{weekday}, {month} {day.day}, {day.year}"


def format_date_and_year(day: datetime.date) -> str:
    """
    Return a day with its year, for labels and best-by dates.

    >>> format_date_and_year(datetime.date(2027, 8, 14))
    'Aug 14, 2027'
    """
    return f"{format_date(day)} {day.year}" if _style.get().metric else f"{format_date(day)}, {day.year}"


def with_plain_dates(words: str) -> str:
    """
    Return a text with its dates as people write them; what stands in quotes is as it was typed, and stays.

    >>> with_plain_dates('"2026-8-9" is before 2026-08-10')
    '"2026-8-9" is before Aug 10, 2026'
    >>> with_plain_dates("see kitchen.before-2026-08-10-0930.xlsx")
    'see kitchen.before-2026-08-10-0930.xlsx'
    """

    def plain(found: re.Match[str]) -> str:
        try:
            return format_date_and_year(datetime.date.fromisoformat(found[1])) if found[1] else found[0]
        except ValueError:
            return found[0]

    return re.sub(r'"[^"]*"|(?<![\w.-])(\d{4}-\d\d-\d\d)(?![\w-])', plain, words)


def format_weekday(day: datetime.date) -> str:
    """
    Return the name of a weekday.

    >>> format_weekday(datetime.date(2026, 8, 14))
    'Friday'
    """
    return WEEKDAY_NAMES[day.weekday()]


def format_period(day: datetime.date, days: int) -> str:
    """
    Return a single day, or a week by its first day.

    >>> format_period(datetime.date(2026, 8, 21), 7), format_period(datetime.date(2026, 8, 21), 1)
    ('the week of Aug 21', 'Fri Aug 21')
    """
    return format_long_date(day) if days == 1 else f"the week of {format_date(day)}"


@overload
def format_clock(moment: datetime.time | datetime.datetime) -> str: ...
@overload
def format_clock(moment: float) -> str: ...
def format_clock(moment: datetime.time | datetime.datetime | float) -> str:
    """
    Return a time of day, from a time or from minutes after midnight.

    >>> format_clock(datetime.time(14, 30)), format_clock(0), format_clock(12 * 60 + 5)
    ('2:30 PM', '12:00 AM', '12:05 PM')
    >>> with in_style(METRIC):
    ...     format_clock(datetime.time(8, 5))
    '08:05'
    """
    if isinstance(moment, datetime.time | datetime.datetime):
        hour, minute = moment.hour, moment.minute
    else:
        hour, minute = divmod(round(moment) % MINUTES_A_DAY, 60)
    if _style.get().metric:
        return f"{hour:02}:{minute:02}"
    return f"{(hour - 1) % 12 + 1}:{minute:02} {'AM' if hour < 12 else 'PM'}"


def format_hour(moment: datetime.time | datetime.datetime) -> str:
    """
    Return a full hour, for the axis of a drawing.

    >>> format_hour(datetime.time(14)), format_hour(datetime.time(0))
    ('2 PM', '12 AM')
    """
    return format_clock(moment).replace(":00 ", " ")


def format_span(start: datetime.datetime, end: datetime.datetime, dash: str = "-") -> str:
    """
    Return the times between which something happens; one time if they are the same.

    >>> day = datetime.datetime(2026, 8, 15)
    >>> format_span(day.replace(hour=8), day.replace(hour=9, minute=30)), format_span(day, day)
    ('8:00-9:30 AM', '12:00 AM')
    >>> format_span(day.replace(hour=11), day.replace(hour=12, minute=5))
    '11:00 AM-12:05 PM'
    """
    first, last = format_clock(start), format_clock(end)
    if start == end:
        return first
    if first[-3:] == last[-3:] and first.endswith("M"):
        first = first[:-3]
    return f"{first}{dash}{last}"


def format_moment(moment: datetime.datetime, day: datetime.date) -> str:
    """
    Return a time of day, with its date if that is not `day`.

    >>> format_moment(datetime.datetime(2026, 8, 15, 17, 5), datetime.date(2026, 8, 15))
    '5:05 PM'
    >>> format_moment(datetime.datetime(2026, 8, 16, 0, 30), datetime.date(2026, 8, 15))
    'Sun Aug 16 12:30 AM'
    """
    clock = format_clock(moment)
    return clock if moment.date() == day else f"{format_long_date(moment.date())} {clock}"


def format_hours(hours: float) -> str:
    """
    Return hours of work, to the quarter.

    >>> format_hours(6.2), format_hours(0.5), format_hours(0.02), format_hours(0)
    ('6¼ h', '½ h', 'under ¼ h', '0 h')
    """
    if 0 < hours < 0.125:
        return "under ¼ h"
    return f"{format_fraction(hours, 0.25 if hours < 10 else 0.5 if hours < 40 else 1.0)} h"


def format_minutes(minutes: float) -> str:
    """
    Return a length of time in hours and minutes.

    >>> format_minutes(10), format_minutes(139), format_minutes(120), format_minutes(0)
    ('10 min', '2 h 19 min', '2 h', '0 min')
    """
    hours, rest = divmod(math.ceil(minutes - 1e-6), 60)
    return " ".join(([f"{hours:,} h"] if hours else []) + ([f"{rest} min"] if rest or not hours else []))


def format_duration(minutes: float) -> str:
    """
    Return the length of a process, in the unit a cook would use.

    >>> format_duration(25), format_duration(90), format_duration(1080), format_duration(40320), format_duration(2880)
    ('25 min', '90 min', '18 h', '4 weeks', '2 days')
    """
    for unit, length in (("week", 7 * MINUTES_A_DAY), ("day", MINUTES_A_DAY), ("h", 60)):
        amount = minutes / length
        if amount >= 2:
            return f"{format_fraction(amount, 0.25)} {plural(amount, unit)}"
    return f"{minutes:.0f} min"


# Lists


def format_list(words: Iterable[str], most: int = 0, between: str = ", ") -> str:
    """
    Join words, cut to `most` of them unless that is 0.

    >>> format_list(["salsa", "jam", "juice", "beans"], 2), format_list(["salsa, pint", "jam", "juice"], 2, "; ")
    ('salsa, jam and 2 more', 'salsa, pint; jam; and 1 more')
    """
    listed: Sequence[str] = list(words)
    if not most or len(listed) <= most:
        return between.join(listed)
    rest = f"and {len(listed) - most} more"
    shown = between.join(listed[:most])
    return f"{shown} {rest}" if between == ", " else f"{shown}{between}{rest}"
