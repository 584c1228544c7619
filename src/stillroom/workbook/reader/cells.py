"""One row while it is read: each cell by its field, turned into a value of its column's kind, its problems noted."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Iterable

from stillroom.errors import Problem
from stillroom.household.amounts import Amount, amount_from, number_from
from stillroom.household.names import either, key, tidy_text
from stillroom.household.text import format_date_and_year, format_number
from stillroom.household.units import UNITS, MeasureWrong, Unit, unit_of
from stillroom.workbook.ooxml.values import Cell, Value
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.tables import Row
from stillroom.workbook.schema.schema import Column

# Dates and times as they stand in a cell; text that could mean two days is asked about.

_ISO = re.compile(r"\d{4}-\d{1,2}-\d{1,2}")
_SLASHED = re.compile(r"(\d{1,2})[/.](\d{1,2})[/.](\d{4})")
_CLOCK = re.compile(r"(\d{1,2})[:.h](\d{2})(?::\d{2})?\s*(am|pm)?", re.IGNORECASE)
FIRST_YEAR, LAST_YEAR = 1990, 2199
_WRITE = "write a date such as 2026-08-14"


def date_from(value: Value) -> datetime.date:
    """
    Read a date from a date cell or ISO text. Raises MeasureWrong ("unreadable date", "out of range").

    >>> date_from("2026-08-14")
    datetime.date(2026, 8, 14)
    >>> date_from("8/9/2026")
    Traceback (most recent call last):
    stillroom.household.units.MeasureWrong: *8/9/2026* may be 2026-08-09 or 2026-09-08; write the one that is meant
    """
    if isinstance(value, datetime.datetime):
        return _within_years(value.date())
    if isinstance(value, datetime.date):
        return _within_years(value)
    if isinstance(value, str):
        return _date_from_text(tidy_text(value))
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise MeasureWrong(
            f"is the number {value:.15g}, not a date", "give the cell a date format, or " + _WRITE, "unreadable date"
        )
    raise MeasureWrong(f"is {value}, not a date", _WRITE, "unreadable date")


def _date_from_text(text: str) -> datetime.date:
    """Read ISO text; say what a slashed date may mean."""
    if _ISO.fullmatch(text):
        year, month, day = (int(part) for part in text.split("-"))
        try:
            return _within_years(datetime.date(year, month, day))
        except ValueError:
            raise MeasureWrong(f"*{text}* is no day of the calendar", _WRITE, "unreadable date") from None
    if slashed := _SLASHED.fullmatch(text):
        one, two, year = (int(part) for part in slashed.groups())
        days = sorted(
            {
                f"{year}-{month:02}-{day:02}"
                for month, day in ((one, two), (two, one))
                if 1 <= month <= 12 and 1 <= day <= 31
            }
        )
        if days:
            fix = "write the one that is meant" if len(days) > 1 else "write it so"
            raise MeasureWrong(f"*{text}* may be {' or '.join(days)}", fix, "unreadable date")
    raise MeasureWrong(f"*{text[:40]}* is not a date", _WRITE, "unreadable date")


def _within_years(day: datetime.date) -> datetime.date:
    """Refuse a year that no workbook of ours can mean."""
    if FIRST_YEAR <= day.year <= LAST_YEAR:
        return day
    raise MeasureWrong(
        f"is {format_date_and_year(day)}", f"write a date from {FIRST_YEAR} to {LAST_YEAR}", "out of range"
    )


def time_from(value: Value) -> datetime.time:
    """
    Read a time of day from a time cell, a part of a day, or text. Raises MeasureWrong ("unreadable date").

    >>> time_from("8:30"), time_from("1:15 pm"), time_from(0.375)
    (datetime.time(8, 30), datetime.time(13, 15), datetime.time(9, 0))
    """
    if isinstance(value, datetime.datetime):
        return value.time().replace(microsecond=0)
    if isinstance(value, datetime.time):
        return value.replace(microsecond=0)
    if isinstance(value, datetime.timedelta):  # [hh]:mm, as some office programs format any time
        value = value / datetime.timedelta(days=1)
    if isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value < 1:
        minutes = round(value * 1440) % 1440
        return datetime.time(minutes // 60, minutes % 60)
    if isinstance(value, str) and (found := _CLOCK.fullmatch(tidy_text(value))):
        hour, minute = int(found[1]), int(found[2])
        if found[3]:
            hour = hour % 12 + (12 if found[3].casefold() == "pm" else 0) if 1 <= hour <= 12 else 99
        if hour < 24 and minute < 60:
            return datetime.time(hour, minute)
    raise MeasureWrong(f"is *{value}*, not a time of day", "write a time such as 8:30", "unreadable date")


_TO_WRITE = {
    "text": "write it",
    "number": "write a number, 0 for none",
    "whole": "write a whole number",
    "amount": "write an amount, 0 for none",
    "date": "write a date such as 2026-08-14",
    "unit": "write a unit such as lb, kg, qt, L or each",
}
_YES = ("yes", "y", "true", "1", "x")
_NO = ("no", "n", "false", "0")
_PLAIN = "write a plain number such as 12 or 1.5"
_FEW = 26
"""Of no more whole numbers than these, a message says which there are."""
_BEYOND_KITCHENS, _NEXT_TO_NOTHING = 1e5, 0.001
"""A most that no kitchen comes near, and a least that stands for more than nothing: neither figure helps a cook."""
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

    def wrong(self, field: str, what: str, fix: str, kind: str) -> None:
        """Note a problem of a cell that cannot be read."""
        self.sound = False
        self.reading.say(self.where(field), what, fix, kind)

    def cell(self, field: str) -> Cell | None:
        """Give a cell with something in it; blank ones, errors and formulas never calculated are None."""
        column = self.row.columns[field]
        cell = self.row.cells.get(field)
        if cell is not None and not cell.calculated:
            fix = "open the workbook in a spreadsheet program, let it calculate, and save it"
            self.wrong(
                field, f"the formula in *{column.heading}* was never calculated", fix, "formula never calculated"
            )
            return None
        if cell is not None and cell.kind == "error":
            self.wrong(
                field, f"*{column.heading}* shows {cell.value}", "mend the formula, or write the value", "error value"
            )
            return None
        if cell is None or cell.kind == "blank" or (isinstance(cell.value, str) and not tidy_text(cell.value)):
            if column.required and field in self.row.cells:
                self.wrong(field, f"*{column.heading}* is blank", self._to_write(column), "blank required")
            self.sound = self.sound and not column.required
            return None
        if isinstance(cell.value, str) and (sign := _DRIVING.search(cell.value)):
            what = f"*{column.heading}* holds a character that is no text (code {ord(sign[0])})"
            self.wrong(field, what, "type the cell anew", "unreadable text")
            return None
        return cell

    @staticmethod
    def _to_write(column: Column) -> str:
        """Say what belongs into a blank cell."""
        if column.choices:
            return f"choose {either(column.choices)}, or empty the whole row"
        if column.of:
            return f"write a name from {either(column.of)}, or empty the whole row"
        return f"{_TO_WRITE.get(column.kind, 'fill it in')}, or empty the whole row"

    def text(self, field: str) -> str | None:
        """Give a text without needless spaces."""
        cell = self.cell(field)
        return None if cell is None else tidy_text(_as_text(cell))

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
        if cell.kind == "text":
            text = tidy_text(str(cell.value))
            if (kept := _keeping(text, column)) is not None:
                return kept
            try:
                number = number_from(text, metric=self.reading.metric)
            except MeasureWrong as wrong:
                self.wrong(field, f"in *{column.heading}*, {wrong.what}", _such_number(wrong.fix, column), wrong.kind)
                return None
            what = f"*{column.heading}* holds the text {text}, which is read as the number {format_number(number)}"
            cure = "type the number again, if formulas should count it too"
            self.reading.say(self.where(field), what, cure, "number as text")
            return number
        what = f"*{column.heading}* is {_as_text(cell)}, which is not a number"
        self.wrong(field, what, _such_number(_PLAIN, column), "not a number")
        return None

    def in_range(self, field: str, number: float | None, unit: str = "") -> float | None:
        """Refuse what lies outside the column's least and most."""
        column = self.row.columns[field]
        least = -1e8 if column.least is None else column.least
        most = 1e8 if column.most is None else column.most
        if number is None or (math.isfinite(number) and least <= number <= most):
            return number
        beside = f" {unit}" if unit else ""
        what = f"*{column.heading}* is {format_number(number) if math.isfinite(number) else number}{beside}"
        fix = f"write a number from {format_number(least)} to {format_number(most)}{beside}"
        if number < least >= 0 and most >= _BEYOND_KITCHENS:
            fix = "write a number above 0" if 0 < least <= _NEXT_TO_NOTHING else f"write {format_number(least)} or more"
        self.wrong(field, what, fix, "out of range")
        return None

    def whole(self, field: str) -> int | None:
        """Give a whole number within the column's range."""
        number = self.number(field)
        if number is None:
            return None
        if abs(number - round(number)) > 1e-9:
            heading = self.row.columns[field].heading
            self.wrong(field, f"*{heading}* is {format_number(number)}", "write a whole number", "not whole")
            return None
        return round(number)

    def yes_no(self, field: str) -> bool | None:
        """Give yes or no."""
        column = self.row.columns[field]
        cell = self.cell(field)
        if cell is None:
            return None if column.default is None else column.default == "yes"
        answer = _yes_or_no(cell)
        if answer is None:
            self.wrong(field, f"*{column.heading}* is *{_as_text(cell)}*", "write yes or no", "unreadable choice")
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
        self.wrong(field, f"*{column.heading}* is *{text}*", f"write {either(column.choices)}", "unreadable choice")
        return None

    def date(self, field: str) -> datetime.date | None:
        """Give a date: a date cell, or text such as 2026-08-14."""
        column = self.row.columns[field]
        cell = self.cell(field)
        if cell is None:
            return None
        try:
            return date_from(cell.value)
        except MeasureWrong as wrong:
            self.wrong(field, _in_column(column, wrong.what), wrong.fix, wrong.kind)
            return None

    def time(self, field: str) -> datetime.time | None:
        """Give a time of day: a time cell, or text such as 8:30."""
        column = self.row.columns[field]
        cell = self.cell(field)
        if cell is None:
            return time_from(column.default) if column.default is not None else None
        try:
            return time_from(cell.value)
        except MeasureWrong as wrong:
            self.wrong(field, _in_column(column, wrong.what), wrong.fix, wrong.kind)
            return None

    def name(self, field: str, tables: Iterable[str] | None = None) -> tuple[str, str] | None:
        """Give the table and the name that a cell points to, as that table spells it."""
        text = self.text(field)
        if text is None:
            return None
        found = self.reading.find(text, tables or self.row.columns[field].of, self.where(field))
        self.sound = self.sound and found is not None
        return found

    def named(self, field: str) -> str | None:
        """Give the name that a cell points to, when it is clear which table is meant."""
        found = self.name(field)
        return found[1] if found is not None else None

    def unit(self, field: str) -> Unit | None:
        """Give a unit by any accepted spelling."""
        text = self.text(field)
        return None if text is None else self._unit_of(field, text)

    def _unit_of(self, field: str, text: str) -> Unit | None:
        try:
            unit = unit_of(text, metric=self.reading.metric)
        except MeasureWrong as wrong:
            self.wrong(field, wrong.what, wrong.fix, wrong.kind)
            return None
        self.reading.pint(self.where(field), text, unit)
        return unit

    def amount(self, field: str, *, such: str = "") -> Amount | None:
        """
        Give a number with the unit written beside it in the same cell, if there is one; the range is not checked.

        `such` says what to write in place of what is no amount at all.
        """
        column = self.row.columns[field]
        cell = self.cell(field)
        if cell is None:
            return None
        if cell.kind != "text":
            number = self._number_of(field, cell)
            return None if number is None else Amount(number, None)
        try:
            amount = amount_from(str(cell.value), metric=self.reading.metric)
        except MeasureWrong as wrong:
            fix = such if such and wrong.kind == "unreadable amount" else wrong.fix
            self.wrong(field, f"in *{column.heading}*, {wrong.what}", fix, wrong.kind)
            return None
        if amount.unit is None:
            number = self._number_of(field, cell)
            return None if number is None else Amount(number, None)
        self.reading.pint(self.where(field), amount.unit_text, amount.unit)
        return amount

    def can_buy(self, field: str) -> float:
        """Give how much can be bought: none for no or blank, without limit for yes."""
        cell = self.cell(field)
        answer = _yes_or_no(cell) if cell is not None and cell.kind != "number" else None
        if cell is None or answer is False:
            return 0.0
        if answer is True:
            return math.inf
        column = self.row.columns[field]
        if cell.kind == "text" and not any(sign.isdigit() for sign in str(cell.value)):
            what = f"*{column.heading}* is *{_as_text(cell)}*"
            self.wrong(field, what, "write yes, no, or the most that can be bought", "unreadable choice")
            return 0.0
        number = self._number_of(field, cell)
        if number is not None and number < 0:
            self.wrong(
                field,
                f"*{column.heading}* is {format_number(number)}",
                "write yes, no, or a number from 0 up",
                "out of range",
            )
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


def _in_column(column: Column, what: str) -> str:
    """Put the column before what is wrong in it."""
    return f"in *{column.heading}*, {what}" if what.startswith("*") else f"*{column.heading}* {what}"


def _as_text(cell: Cell) -> str:
    """Write a cell's value as text, shortened."""
    value = cell.value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:.15g}"
    return str(value)[:200]


def _yes_or_no(cell: Cell) -> bool | None:
    """Read yes or no in one of its spellings; None for anything else."""
    word = key(_as_text(cell))
    return True if word in _YES else False if word in _NO else None


def _such_number(fix: str, column: Column) -> str:
    """Add which unit a plain number is in; of a few whole numbers, say which."""
    if fix == _PLAIN and column.kind == "whole" and column.most is not None and column.most <= _FEW:
        least = format_number(column.least or 0.0)
        meaning = f" ({column.about.rstrip('.')})" if column.about.startswith(least) else ""
        return f"write a whole number from {least} to {format_number(column.most)}{meaning}"
    names = {"h": "hours", "min": "minutes", "L": "litres"}
    return f"{fix}, in {names[column.unit]} and without the unit" if column.unit in names else fix


# Whether a date lies where it may be expected; it is judged against the first day, never the clock.

MORE_FAR = "so are {} more dates far from it"

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
    """Give a date; one far from the first day is said, for its year may be wrong."""
    day = entry.date(field)
    if day is None:
        return None
    first_day = entry.reading.first_day
    before, after = USUAL_DAYS[field]
    away = (day - first_day).days
    if away < -before or away > after:
        side = "after" if away > 0 else "before"
        what = (
            f"*{entry.row.columns[field].heading}* {format_date_and_year(day)} is {format_number(abs(away))} days "
            f"{side} the first day, "
            f"{format_date_and_year(first_day)}"
        )
        far = Problem(entry.where(field), what, "check the year", "date far away")
        entry.reading.say_once_of_many(far, MORE_FAR, "check the *first day* in Kitchen, or the years")
    return day
