"""One row while it is read: each cell by its field, turned into a value of its column's kind, its problems noted."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Sequence

from stillroom.household.amounts import (
    A_DAY,
    Amount,
    DateReader,
    amount_from,
    clock_from,
    hours_from,
    money_from,
    number_from,
    typed_amount,
)
from stillroom.household.names import Names, either, key, suggestion, tidy_text
from stillroom.household.text import format_number
from stillroom.household.units import UNITS, MeasureWrong, Unit, unit_of
from stillroom.workbook.ooxml.values import Cell, Value
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.headings import as_text, yes_or_no
from stillroom.workbook.reader.tables import Row
from stillroom.workbook.schema import Column

# Dates, times and lengths of time as they stand in a cell: by their stored kind, and only text by what it says.

_DAY_BEFORE_1900 = datetime.datetime(1899, 12, 31)


def date_from(value: Value, reader: DateReader) -> datetime.date:
    """
    Return the date in a date cell or in text. Raises MeasureWrong.

    >>> reader = DateReader(datetime.date(2026, 8, 14))
    >>> date_from("2026-08-14", reader), date_from("8/20", reader)
    (datetime.date(2026, 8, 14), datetime.date(2026, 8, 20))
    """
    if isinstance(value, datetime.datetime):
        value = value.date()
    if isinstance(value, datetime.date):
        return reader.read(value.isoformat())
    if isinstance(value, str):
        return reader.read(value)
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise MeasureWrong("number not a date", f"{value:.15g}", example=A_DAY)
    raise MeasureWrong("unreadable date", str(value), example=A_DAY)


def time_from(value: Value, *, metric: bool = False) -> datetime.time:
    """
    Return the time of day in a time cell, a part of a day, or text. Raises MeasureWrong.

    >>> time_from("8:30"), time_from(0.375)
    (datetime.time(8, 30), datetime.time(9, 0))
    """
    if isinstance(value, datetime.datetime):
        return value.time().replace(microsecond=0)
    if isinstance(value, datetime.time):
        return value.replace(microsecond=0)
    if isinstance(value, datetime.timedelta):  # [hh]:mm, as some office programs format any time
        value = value / datetime.timedelta(days=1)
    if isinstance(value, int | float) and not isinstance(value, bool):
        if 0 <= value < 1:
            minutes = round(value * 1440) % 1440
            return datetime.time(minutes // 60, minutes % 60)
        if value in range(1, 13):
            value = str(int(value))
    if isinstance(value, str):
        return clock_from(value, metric=metric)
    raise MeasureWrong("unreadable time", str(value), example="8:30 AM")


def hours_in(value: Value) -> float | None:
    """
    Return the hours of a cell with a time format, where it is a length of time; None for any other value.

    >>> hours_in(datetime.time(2, 15)), hours_in(datetime.timedelta(hours=30)), hours_in(2.5)
    (2.25, 30.0, None)
    """
    if isinstance(value, datetime.time):
        value = datetime.timedelta(hours=value.hour, minutes=value.minute, seconds=value.second)
    if isinstance(value, datetime.datetime) and value.year <= 1900:  # 26:00 in a format of the clock
        value -= _DAY_BEFORE_1900
    return value / datetime.timedelta(hours=1) if isinstance(value, datetime.timedelta) else None


_BY_FIELD = {
    "holds": ("1 qt", "1 L"),
    "amount_each": ("3 lb", "1.5 kg"),
    "space_litres_each": ("1 qt", "1 L"),
    "eaten_kg_a_week": ("3 lb", "1.5 kg"),
    "freezer_litres_per_kg": ("0.03 cu ft/lb", "1.8 L/kg"),
    "per_unit": ("5 lb", "2 kg"),
    "keeps_days": ("7", "7"),
    "price": ("0.25", "0.25"),
}
_BY_KIND = {
    "amount": ("53 lb", "24 kg"),
    "length": ("1450 ft", "440 m"),
    "volume": ("3 cu ft", "85 L"),
    "weight": ("10 lb", "5 kg"),
    "minutes": ("15 min", "15 min"),
    "whole": ("4", "4"),
    "percent": ("10%", "10%"),
    "date": ("Aug 14, 2026", "14 Aug 2026"),
    "time": ("8:30 AM", "8:30"),
    "can_buy": ("24", "24"),
}
"""What could be typed in a field, in a US and in a metric workbook."""
_UNITS_BY_KIND = {
    "length": ("ft", "m"),
    "volume": ("cu ft", "L"),
    "weight": ("lb", "kg"),
    "minutes": ("min", "min"),
}
_BY_UNIT = {"h": ("2.5", "2.5"), "min": ("15", "15"), "week": ("4", "4"), "month": ("12", "12"), "day": ("7", "7")}
_FEW = 26
"""Of no more whole numbers than these, a message says which there are."""
_BEYOND_KITCHENS, _NEXT_TO_NOTHING = 1e5, 0.001
"""A most that no kitchen comes near, and a least that stands for more than nothing: neither figure helps a cook."""
_COUNTED = frozenset({"on_hand", "count", "made", "failed_seals", "back_each_week", "can_buy"})
"""Numbers of things, which people also type in dozens."""
_DRIVING = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
"""Characters that are no text; a cell can hold them only in disguise (ECMA-376 Part 1, 22.9.2.19)."""


class Entry:
    """
    The cells of one row, asked for by field.

    Every reader gives None for a cell that is blank or cannot be read; `sound` turns False when a required cell was
    blank or any cell could not be read. A default that `schema.toml` states as a plain word or number is given.
    """

    def __init__(self, reading: Reading, row: Row) -> None:
        """Begin with a sound row."""
        self.reading, self.row, self.sound = reading, row, True

    def where(self, field: str) -> str:
        """Give the place of a cell."""
        return self.row.where(field)

    def note(self, field: str, kind: str, *names: str, suggestion: str = "", at: str = "") -> None:
        """Note a problem of a field, at its own cell or at that of the field `at`."""
        heading = self.row.columns[field].heading
        self.reading.note(self.where(at or field), kind, *names, suggestion=suggestion, field=heading)

    def wrong(self, field: str, kind: str, *names: str, suggestion: str = "", at: str = "") -> None:
        """Note a problem of a cell that cannot be read."""
        self.sound = False
        self.reading.forget(self.where(at or field), "number as text")
        self.note(field, kind, *names, suggestion=suggestion, at=at)

    def measure_wrong(self, field: str, wrong: MeasureWrong, *, at: str = "", example: str = "") -> None:
        """Note that a number, an amount, a unit, a date or a time cannot be read, with an example for this field."""
        shown_as = example or (wrong.example and self.example(at or field))
        self.wrong(field, wrong.kind, *wrong.names, shown_as, suggestion=wrong.suggestion, at=at)

    def example(self, field: str) -> str:
        """Return what could be typed in a field, in the units of the workbook."""
        column, metric = self.row.columns[field], self.reading.metric
        if column.kind == "unit" and field != "per_unit":
            return self._unit_example()
        found = _BY_FIELD.get(field) or _BY_KIND.get(column.kind) or _BY_UNIT.get(column.unit) or ("12", "12")
        return found[metric]

    def _unit_example(self) -> str:
        """Return which units the row's unit could be."""
        columns, metric = self.row.columns, self.reading.metric
        setting = next(iter(columns.values()))
        if "setting" not in columns and len(columns) == 2:
            return _UNITS_BY_KIND[setting.kind][metric]
        if "holds" in columns:
            return "L or ml" if metric else "pint or quart"
        if "per_unit" in columns or "amount_each" in columns:
            return "kg, g, L, ml or each" if metric else "lb, oz, cup, quart or each"
        return "kg, g or bushel" if metric else "lb, oz or bushel"

    def cell(self, field: str) -> Cell | None:
        """Give a cell with something in it; blank ones, errors and formulas never calculated are None."""
        column = self.row.columns[field]
        cell = self.row.cells.get(field)
        if cell is not None and not cell.calculated:
            self.wrong(field, "formula never calculated")
            return None
        if cell is not None and cell.kind == "error":
            self.wrong(field, "error value", str(cell.value))
            return None
        if cell is None or cell.kind == "blank" or (isinstance(cell.value, str) and not tidy_text(cell.value)):
            if column.required and field in self.row.cells:
                self._blank(field, column)
            self.sound = self.sound and not column.required
            return None
        if isinstance(cell.value, str) and (sign := _DRIVING.search(cell.value)):
            self.wrong(field, "unreadable text", str(ord(sign[0])))
            return None
        return cell

    def _blank(self, field: str, column: Column) -> None:
        """Note that a required cell is blank."""
        if column.choices:
            self.wrong(field, "blank choice", either(column.choices))
        elif column.of:
            self.wrong(field, "blank name", either(column.of))
        elif column.kind == "text":
            self.wrong(field, "blank text")
        else:
            self.wrong(field, "blank required", self.example(field))

    def text(self, field: str) -> str | None:
        """Give a text without needless spaces; a date where a row is named is a problem."""
        cell = self.cell(field)
        if cell is not None and cell.kind == "date" and field in ("name", "what"):
            self.wrong(field, "date for a name", str(cell.value).removesuffix(" 00:00:00"))
        return None if cell is None else tidy_text(as_text(cell))

    def number(self, field: str) -> float | None:
        """Give a number within the column's range."""
        column = self.row.columns[field]
        cell = self.cell(field)
        if cell is None:
            return float(column.default) if column.default is not None else None
        return self.in_range(field, self._number_of(field, cell))

    def _number_of(self, field: str, cell: Cell) -> float | None:
        """Read the number in a cell; one stored as text is read and said."""
        column = self.row.columns[field]
        if cell.kind == "number" and isinstance(cell.value, int | float):
            return float(cell.value)
        if column.unit == "h" and (hours := hours_in(cell.value)) is not None:
            return hours
        if cell.kind == "text":
            text = tidy_text(str(cell.value))
            if (kept := _keeping(text, column)) is not None:
                return kept
            try:
                number = self._number_in(text, column)
            except MeasureWrong as wrong:
                if wrong.kind != "not a number" or not self._not_of_few(field, text):
                    self.measure_wrong(field, wrong)
                return None
            if not any(sign.isalpha() or sign in "$€£¢:" for sign in text):
                self.note(field, "number as text", text, format_number(number))
            return number
        if not self._not_of_few(field, as_text(cell)):
            self.wrong(field, "not a number", as_text(cell), self.example(field))
        return None

    def _number_in(self, text: str, column: Column) -> float:
        """Read a number typed as text: hours, money and counts as people write them. Raises MeasureWrong."""
        metric = self.reading.metric
        if column.unit == "h":
            return hours_from(text, metric=metric)
        if column.format == "money":
            return money_from(text, self.reading.currency, metric=metric)
        if column.field in _COUNTED and column.kind != "amount":
            try:
                amount = typed_amount(text, metric=metric)
            except MeasureWrong as wrong:
                if wrong.kind not in ("unknown unit", "unreadable amount"):
                    raise
            else:
                if amount.unit is None or amount.unit.name in ("each", "dozen"):
                    return amount.number * (1.0 if amount.unit is None else amount.unit.factor)
        return number_from(text, metric=metric)

    def _not_of_few(self, field: str, text: str) -> bool:
        """Note which whole numbers there are, when the column takes only a few; whether it does."""
        column = self.row.columns[field]
        if column.kind != "whole" or column.most is None or column.most > _FEW:
            return False
        least = format_number(column.least or 0.0)
        meaning = f" ({column.about.rstrip('.')})" if column.about.startswith(least) else ""
        self.wrong(field, "not of few numbers", text, least, format_number(column.most), meaning)
        return True

    def in_range(self, field: str, number: float | None, unit: str = "") -> float | None:
        """Refuse what lies outside the column's least and most."""
        column = self.row.columns[field]
        least = -1e8 if column.least is None else column.least
        most = 1e8 if column.most is None else column.most
        if number is None or (math.isfinite(number) and least <= number <= most):
            self._note_unusual(field, number)
            return number
        beside = f" {unit}" if unit else ""
        found = f"{format_number(number) if math.isfinite(number) else number}{beside}"
        if number < least >= 0 and most >= _BEYOND_KITCHENS:
            if 0 < least <= _NEXT_TO_NOTHING:
                self.wrong(field, "not above zero", found)
            else:
                self.wrong(field, "below the least", found, format_number(least))
        else:
            self.wrong(field, "out of range", found, format_number(least), f"{format_number(most)}{beside}")
        return None

    def _note_unusual(self, field: str, number: float | None) -> None:
        """Note a number that may be right, but that is far from what is usual in its column."""
        column = self.row.columns[field]
        least, most = column.usual_least, column.usual_most
        if number is None or (least or 0.0) <= number <= (math.inf if most is None else most):
            return
        low, high = (None if limit is None else format_number(limit) for limit in (least, most))
        usual = f"{low} or more" if high is None else f"up to {high}" if low is None else f"from {low} to {high}"
        self.note(field, "unusual number", format_number(number), usual)

    def whole(self, field: str) -> int | None:
        """Give a whole number within the column's range."""
        number = self.number(field)
        if number is None:
            return None
        if abs(number - round(number)) > 1e-9:
            self.wrong(field, "not whole", format_number(number))
            return None
        return round(number)

    def percent(self, field: str) -> float | None:
        """Give a share of 1: from text such as 10%, a number of percent, or, below 1, the share itself."""
        cell = self.cell(field)
        if cell is None:
            return None
        text = tidy_text(str(cell.value))
        if cell.kind == "text" and text.endswith("%"):
            try:
                number: float | None = number_from(text[:-1].strip(), metric=self.reading.metric)
            except MeasureWrong as wrong:
                self.measure_wrong(field, wrong)
                return None
        else:
            number = self._number_of(field, cell)
            number = number * 100 if number is not None and 0 < number < 1 else number
        found = self.in_range(field, number, "%")
        return None if found is None else found / 100

    def yes_no(self, field: str) -> bool | None:
        """Give yes or no."""
        column = self.row.columns[field]
        cell = self.cell(field)
        if cell is None:
            return None if column.default is None else column.default == "yes"
        answer = yes_or_no(cell)
        if answer is None:
            self.wrong(field, "not yes or no", as_text(cell))
        return answer

    def choice(self, field: str) -> str | None:
        """Give one of the column's choices; spelling with or without hyphens does not matter."""
        column = self.row.columns[field]
        text = self.text(field)
        if text is None:
            return column.default
        for choice in column.choices:
            if key(choice.replace("-", " ")) == key(text.replace("-", " ")):
                return choice
        near = suggestion(text, Names("choice", column.choices))
        self.wrong(field, "unreadable choice", text, either(column.choices), suggestion=near)
        return None

    def date(self, field: str) -> datetime.date | None:
        """Give a date: a date cell, or text such as 2026-08-14 or 8/14; of no word that means another day tomorrow."""
        cell = self.cell(field)
        if cell is None:
            return None
        try:
            return date_from(cell.value, DateReader(self.reading.first_day, self.reading.metric, moving=False))
        except MeasureWrong as wrong:
            self.measure_wrong(field, wrong)
            return None

    def time(self, field: str) -> datetime.time | None:
        """Give a time of day: a time cell, or text such as 8:30 or 7am."""
        column = self.row.columns[field]
        cell = self.cell(field)
        if cell is None:
            return time_from(column.default) if column.default is not None else None
        try:
            return time_from(cell.value, metric=self.reading.metric)
        except MeasureWrong as wrong:
            self.measure_wrong(field, wrong)
            return None

    def name(self, field: str, *, exact: bool = False) -> tuple[str, str] | None:
        """Give the table and the name that a cell points to, as that table spells it; `exact` takes no other word."""
        text = self.text(field)
        if text is None:
            return None
        found = self.reading.find(text, self.row.columns[field].of, self.where(field), exact=exact)
        self.sound = self.sound and found is not None
        return found

    def named(self, field: str, *, exact: bool = False) -> str | None:
        """Give the name that a cell points to, when it is clear which table is meant."""
        found = self.name(field, exact=exact)
        return found[1] if found is not None else None

    def unit(self, field: str) -> Unit | None:
        """Give a unit by any accepted spelling."""
        text = self.text(field)
        return None if text is None else self._unit_of(field, text)

    def _unit_of(self, field: str, text: str) -> Unit | None:
        try:
            unit = unit_of(text, metric=self.reading.metric)
        except MeasureWrong as wrong:
            self.measure_wrong(field, wrong)
            return None
        self.reading.note_pint(self.where(field), text, unit)
        return unit

    def amount(self, field: str, *, example: str = "", of: Sequence[str | None] | None = None) -> Amount | None:
        """
        Return a number with the unit typed in the same cell, if there is one; the range is not checked.

        `example` is what could be typed, where that differs from row to row. With `of`, the names of what it is an
        amount of, text is read as people type it; without, strictly: altitude, jar sizes and recipes are.
        """
        cell = self.cell(field)
        if cell is None:
            return None
        if cell.kind != "text":
            number = self._number_of(field, cell)
            return None if number is None else Amount(number, None)
        try:
            text, metric = str(cell.value), self.reading.metric
            names = [name for name in of or () if name]
            amount = amount_from(text, metric=metric) if of is None else typed_amount(text, *names, metric=metric)
        except MeasureWrong as wrong:
            self.measure_wrong(field, wrong, example=example)
            return None
        if amount.unit is None:
            number = self._number_of(field, cell)
            return None if number is None else Amount(number, None)
        self.reading.note_pint(self.where(field), amount.unit_text, amount.unit)
        return amount

    def can_buy(self, field: str) -> float:
        """Give how much can be bought: none for no or blank, without limit for yes."""
        cell = self.cell(field)
        answer = yes_or_no(cell) if cell is not None and cell.kind != "number" else None
        if cell is None or answer is False:
            return 0.0
        if answer is True:
            return math.inf
        if cell.kind == "text" and not any(sign.isdigit() or sign in "zZ" for sign in str(cell.value)):
            self.wrong(field, "unreadable can buy", as_text(cell))
            return 0.0
        number = self._number_of(field, cell)
        if number is not None and number < 0:
            self.wrong(field, "unreadable can buy", format_number(number))
        return max(number or 0.0, 0.0)


def _keeping(text: str, column: Column) -> float | None:
    """Read how long a thing keeps where it is written with its unit, such as 2 weeks; in the unit of the column."""
    if column.unit not in ("day", "week", "month"):
        return None
    try:
        amount = amount_from(text)
    except MeasureWrong:
        return None
    if amount.unit is None or amount.unit.measures != "time":
        return None
    return amount.number * amount.unit.factor / UNITS[column.unit].factor


# Whether a date lies where it may be expected; it is judged against the first day, never the clock.

USUAL_DAYS: dict[str, tuple[int, int]] = {
    "picked_on": (300, 300),
    "frozen_on": (730, 30),
    "counted_on": (1500, 31),
    "made_on": (3650, 31),
    "best_by": (3650, 3650),
    "free_from": (1500, 400),
    "date": (1500, 31),
    "day": (400, 400),
}
"""Days before and after the first day within which a date is nothing to wonder at."""


def near_date(entry: Entry, field: str) -> datetime.date | None:
    """Return a date; note one far from the first day, because its year may be wrong."""
    day = entry.date(field)
    if day is None:
        return None
    first_day = entry.reading.first_day
    before, after = USUAL_DAYS[field]
    away = (day - first_day).days
    if away < -before or away > after:
        entry.note(field, "date far away", str(day), str(first_day))
    return day
