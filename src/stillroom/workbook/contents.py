"""What a cell's value becomes in the sheet part: its type, its elements and, for dates, its format."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass
from typing import NamedTuple

from stillroom.workbook.strings import Strings, text_element
from stillroom.workbook.styles import FORMAT_FOR, Styles
from stillroom.workbook.values import Value, check_text, escape_text, number_text, serial_of

_NUMBERS = (int, float)
_MOMENTS = (datetime.date, datetime.time)


@dataclass(frozen=True)
class NewFormula:
    """A formula to write, without its equals sign; ``result`` is saved with it where it is known."""

    text: str
    result: float | str | None = None


class Edit(NamedTuple):
    """What one cell is to hold; ``style`` None keeps the format that the cell, its row or its column has."""

    value: Value | NewFormula
    style: int | None = None


class Content(NamedTuple):
    """The ``t`` attribute (None: numbers and blanks), the bytes inside ``c`` and the number of the cell format."""

    type: str | None
    inside: bytes
    style: int


def check_value(value: Value) -> None:
    """Raise ValueError, with the reason in plain words, for a value no cell can hold."""
    if value is None or isinstance(value, bool) or (type(value) is float and math.isfinite(value)):
        return
    if isinstance(value, str):
        check_text(value)
    elif isinstance(value, _NUMBERS):
        number_text(value)
    elif isinstance(value, _MOMENTS):
        serial_of(value, date1904=False)
    else:
        msg = "it is not a value a cell can hold"
        raise ValueError(msg)


class Contents:
    """Writes values for the sheets of one workbook."""

    def __init__(self, strings: Strings, styles: Styles, *, date1904: bool) -> None:
        """Keep the tables that texts and date formats are added to."""
        self.strings, self.styles, self.date1904 = strings, styles, date1904

    def of(self, value: Value | NewFormula, style: int, prefix: bytes) -> Content:
        """Give what is written for a value in a cell of that format."""
        if value is None:
            return Content(None, b"", style)
        if isinstance(value, NewFormula):
            formula = b"<" + prefix + b"f>" + escape_text(value.text).encode() + b"</" + prefix + b"f>"
            return _with_result(formula, value.result, style, prefix)
        if isinstance(value, bool):
            return Content("b", _v(prefix, "1" if value else "0"), style)
        if isinstance(value, str):
            return self._text(value, style, prefix)
        if isinstance(value, _NUMBERS):
            return Content(None, _v(prefix, number_text(value)), self._format(style, ("",)))
        if isinstance(value, datetime.timedelta):
            msg = "a length of time is not written"
            raise TypeError(msg)
        wanted = (
            "time" if isinstance(value, datetime.time) else "moment" if isinstance(value, datetime.datetime) else "date"
        )
        serial = number_text(serial_of(value, date1904=self.date1904))
        return Content(
            None, _v(prefix, serial), self._format(style, (wanted, "moment", "time" if wanted == "time" else "date"))
        )

    def _text(self, text: str, style: int, prefix: bytes) -> Content:
        if self.strings.exists:
            return Content("s", _v(prefix, str(self.strings.number_for(text))), style)
        return Content(
            "inlineStr", b"<" + prefix + b"is>" + text_element(text, prefix) + b"</" + prefix + b"is>", style
        )

    def _format(self, style: int, suits: tuple[str, ...]) -> int:
        if self.styles.shows(style) in suits:
            return style
        return self.styles.with_format(style, FORMAT_FOR[suits[0]])


def _with_result(formula: bytes, result: float | str | None, style: int, prefix: bytes) -> Content:
    if result is None:
        return Content(None, formula, style)
    if isinstance(result, str):
        return Content("str", formula + _v(prefix, escape_text(result)), style)
    return Content(None, formula + _v(prefix, number_text(result)), style)


def _v(prefix: bytes, text: str) -> bytes:
    return b"<" + prefix + b"v>" + text.encode() + b"</" + prefix + b"v>"
