"""What a cell can hold, how it is addressed, and how its value is written as text in a sheet part."""

from __future__ import annotations

import datetime
import math
import re
from typing import NamedTuple

from stillroom.household.cells import address, cell_place

Value = bool | int | float | str | datetime.date | datetime.datetime | datetime.time | datetime.timedelta | None
"""A cell's value. A length of time ([h]:mm) is only ever read, never written."""

LAST_ROW = 1_048_576
LAST_COLUMN = 16_384
LONGEST_TEXT = 32_767
LARGEST_WHOLE = 10**15

_CANNOT_BE_WRITTEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_ESCAPE = re.compile(r"_x([0-9A-Fa-f]{4})_")
_LOOKS_ESCAPED = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
_DAY_MILLISECONDS = 86_400_000
_FIRST_1904 = datetime.datetime(1904, 1, 1)
_FIRST_1900 = datetime.datetime(1899, 12, 31)
_AFTER_LEAP_1900 = datetime.datetime(1899, 12, 30)
_LAST_SERIAL = 2_958_466


class Unreadable(ValueError):
    """Text in a part that is not what the format has there; the workbook is refused as damaged."""


class Rectangle(NamedTuple):
    """A block of cells, both ends included, counted from 1."""

    first_row: int
    first_column: int
    last_row: int
    last_column: int

    def holds(self, row: int, column: int) -> bool:
        """Whether the cell lies inside."""
        return self.first_row <= row <= self.last_row and self.first_column <= column <= self.last_column

    def meets(self, other: Rectangle) -> bool:
        """Whether the two blocks share a cell."""
        return (
            self.first_row <= other.last_row
            and other.first_row <= self.last_row
            and self.first_column <= other.last_column
            and other.first_column <= self.last_column
        )

    def __str__(self) -> str:
        """Give the block as it is written in a sheet, ``A1:C4``; a single cell as ``A1``."""
        first = address(self.first_row, self.first_column)
        last = address(self.last_row, self.last_column)
        return first if first == last else f"{first}:{last}"


class Cell(NamedTuple):
    """
    One cell as it stands in the file.

    ``kind`` is blank, number, text, bool, date or error. ``formula`` is None for a plain value and "" for a follower
    of a shared formula. ``calculated`` is False when a formula has no saved value.

    >>> Cell(7, 2, 53, "number").address
    'B7'
    """

    row: int
    column: int
    value: Value
    kind: str
    formula: str | None = None
    calculated: bool = True

    @property
    def address(self) -> str:
        """The cell's name in its sheet."""
        return address(self.row, self.column)


def parse_address(text: str) -> tuple[int, int]:
    """
    Read a cell's name, with or without dollar signs; raises Unreadable for anything else.

    >>> parse_address("$B$7")
    (7, 2)
    """
    try:
        return cell_place(text)
    except ValueError as error:
        raise Unreadable(str(error)) from None


def whole(text: str | None, default: int) -> int:
    """
    Read a count or a number of an attribute; raises Unreadable for anything but digits.

    >>> whole("12", 0), whole(None, 1)
    (12, 1)
    """
    if text is None:
        return default
    if not (text.isascii() and text.strip().isdigit()):
        msg = f"{text!r} is not a whole number"
        raise Unreadable(msg)
    return int(text)


def parse_range(text: str) -> Rectangle:
    """
    Read a block of cells; raises Unreadable for anything else.

    >>> parse_range("A1:C4")
    Rectangle(first_row=1, first_column=1, last_row=4, last_column=3)
    """
    first, _, last = text.partition(":")
    row, column = parse_address(first)
    to_row, to_column = parse_address(last or first)
    return Rectangle(min(row, to_row), min(column, to_column), max(row, to_row), max(column, to_column))


def number_text(value: float) -> str:
    """
    Write a number with the fewest digits that read back the same; raises ValueError for what a cell cannot hold.

    >>> number_text(0.1), number_text(3.0), number_text(-7)
    ('0.1', '3', '-7')
    """
    if isinstance(value, int):
        if abs(value) >= LARGEST_WHOLE:
            msg = "whole numbers of sixteen digits or more lose their last digits in a spreadsheet"
            raise ValueError(msg)
        return str(value)
    if not math.isfinite(value):
        msg = "it is not a finite number"
        raise ValueError(msg)
    return str(int(value)) if value.is_integer() and abs(value) < LARGEST_WHOLE else repr(value)


def check_text(text: str) -> None:
    """Raise ValueError, with the reason, for a text that no cell can hold."""
    if 2 * len(text) > LONGEST_TEXT and len(text.encode("utf-16-le", "surrogatepass")) // 2 > LONGEST_TEXT:
        msg = f"it is longer than {LONGEST_TEXT:,} characters"
        raise ValueError(msg)
    match = _CANNOT_BE_WRITTEN.search(text)
    if match:
        msg = f"it holds a character that no cell can hold (code {ord(match[0])})"
        raise ValueError(msg)


def escape_text(text: str) -> str:
    """
    Write text for a ``t`` element: markup escaped, ``_xHHHH_`` shielded (ECMA-376 Part 1, 22.9.2.19).

    >>> escape_text("a<b & _x0041_")
    'a&lt;b &amp; _x005F_x0041_'
    """
    text = _LOOKS_ESCAPED.sub("_x005F_", text).replace("\r", "_x000D_")
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def unescape_text(text: str) -> str:
    """
    Undo ``_xHHHH_`` in text that was read.

    >>> unescape_text("_x005F_x0041_ and _x0041_")
    '_x0041_ and A'
    """
    if "_x" not in text:
        return text
    return _ESCAPE.sub(lambda match: chr(int(match[1], 16)), text)


def serial_of(value: datetime.date | datetime.datetime | datetime.time, *, date1904: bool) -> float:
    """
    Give a date as the number a workbook keeps (ECMA-376 Part 1, 18.17.4.1); raises ValueError before its first.

    >>> serial_of(datetime.date(2026, 8, 14), date1904=False), serial_of(datetime.time(18, 0), date1904=False)
    (46248, 0.75)
    """
    if isinstance(value, datetime.time):
        milliseconds = ((value.hour * 60 + value.minute) * 60 + value.second) * 1000 + value.microsecond // 1000
        return milliseconds / _DAY_MILLISECONDS
    if isinstance(value, datetime.datetime):
        if value.tzinfo is not None:
            msg = "a cell cannot hold a time zone"
            raise ValueError(msg)
        moment = value
    else:
        moment = datetime.datetime(value.year, value.month, value.day)
    if date1904:
        base, least = _FIRST_1904, 0
    else:
        base, least = (_AFTER_LEAP_1900 if moment >= datetime.datetime(1900, 3, 1) else _FIRST_1900), 1
    apart = moment - base
    serial = apart.days + (apart.seconds * 1000 + apart.microseconds // 1000) / _DAY_MILLISECONDS
    if serial < least:
        msg = "it is a date before the first that the workbook can hold"
        raise ValueError(msg)
    return int(serial) if serial == int(serial) else serial


def moment_of(serial: float, part: str, *, date1904: bool) -> Value:
    """
    Give a number shown as a date, a time or a length of time; None when there is no such date.

    ``part`` is date, time or length, as the number format has it.

    >>> moment_of(46248, "date", date1904=False), moment_of(0.75, "time", date1904=False)
    (datetime.date(2026, 8, 14), datetime.time(18, 0))
    """
    if not -_LAST_SERIAL < serial < _LAST_SERIAL:
        return None
    if part == "length":
        return datetime.timedelta(milliseconds=round(serial * _DAY_MILLISECONDS))
    if serial < 0:
        return None
    milliseconds = round(serial * _DAY_MILLISECONDS)
    if milliseconds < _DAY_MILLISECONDS and (part == "time" or not date1904):
        return (_FIRST_1904 + datetime.timedelta(milliseconds=milliseconds)).time()
    if date1904:
        base = _FIRST_1904
    elif 60 <= serial < 61:
        return None  # 29 February 1900, which never was
    else:
        base = _AFTER_LEAP_1900 if serial >= 61 else _FIRST_1900
    moment = base + datetime.timedelta(milliseconds=milliseconds)
    return moment.date() if moment.time() == datetime.time() else moment
