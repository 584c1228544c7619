"""Changing owned cells in a sheet part, byte by byte; everything between them stays as it is."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple

from stillroom.household.cells import letters
from stillroom.workbook.ooxml.shared_strings import Strings, text_element
from stillroom.workbook.ooxml.sheet_data import CellSpan, SheetText, column_of
from stillroom.workbook.ooxml.styles import FORMAT_FOR, Styles
from stillroom.workbook.ooxml.values import (
    Rectangle,
    Value,
    check_text,
    escape_text,
    number_text,
    parse_range,
    serial_of,
    whole,
)
from stillroom.workbook.ooxml.xml import Change, Element, attribute, find_element, opened, set_attribute, splice

# What a cell's value becomes in the sheet part: its type, its elements and, for dates, its format.

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


# Changing owned cells of a row that is written in the usual way, in one pass over its bytes.


class _Unusual(Exception):
    """A cell holds something that has to be looked at more closely."""


class UsualRows:
    """Rewrites rows of one sheet; what a value becomes in a cell of a format is written once."""

    def __init__(self, prefix: bytes, contents: Contents) -> None:
        """Keep how the sheet's elements are called, and what writes values."""
        self._prefix, self._contents = prefix, contents
        self._end = b"</" + prefix + b"c"
        self._written: dict[tuple[type, object, int | None, bytes | None], bytes] = {}

    def rewritten(self, inside: bytes, edits: Mapping[int, Edit | None]) -> tuple[bytes, list[int]] | None:
        """
        Give the cells of a row with ``edits`` made (None takes out a saved result), and the columns of results taken.

        None when a cell is not there yet, when one is not as every office program writes it (its name first, then at
        most its format and its type), or when one holds more than a formula and a value.
        """
        by_name = {name_of(column): edit for column, edit in edits.items()}
        cleared: list[int] = []

        def one(match: re.Match[bytes]) -> bytes:
            place, name, style, kind, content = match.groups()
            edit = by_name[name]
            if content and b"extLst" in content:
                raise _Unusual
            if edit is None:
                without = self._without_result(content or b"", style, kind)
                if without is not None:
                    cleared.append(column_of(name))
                return match[0] if without is None else place + without
            value, own_style = edit
            key = (type(value), value, own_style, style)
            written = self._written.get(key)
            if written is None:
                written = self._written[key] = self._write(edit, style)
            return place + written

        try:
            written, count = _wanted_cells(self._prefix, frozenset(by_name)).subn(one, inside)
        except _Unusual:
            return None
        return (written, cleared) if count == len(edits) else None

    def _write(self, edit: Edit, style: bytes | None) -> bytes:
        """Write what follows a cell's name: its format, its type, its content, its end."""
        before = int(style) if style is not None else 0
        new = self._contents.of(edit.value, before if edit.style is None else edit.style, self._prefix)
        tag = b"" if style is None else b' s="' + style + b'"'
        if new.style != before:
            tag = b' s="%d"' % new.style
        if new.type is not None:
            tag += b' t="' + new.type.encode() + b'"'
        return tag + b">" + new.inside + self._end + b">" if new.inside else tag + b"/>"

    def _without_result(self, content: bytes, style: bytes | None, kind: bytes | None) -> bytes | None:
        """Give what follows a cell's name without its saved result; None when there is none (18.3.1.96 v)."""
        value = find_element(content, self._prefix + b"v", 0, len(content))
        if value is None or (value.tag_end == value.content_end and kind != b"str"):
            return None
        tag = b"" if style is None else b' s="' + style + b'"'
        return tag + b">" + content[: value.start] + content[value.end :] + self._end + b">"


@lru_cache(maxsize=20_000)
def name_of(column: int) -> bytes:
    """Name a column."""
    return letters(column).encode()


@lru_cache(maxsize=2000)
def _wanted_cells(prefix: bytes, names: frozenset[bytes]) -> re.Pattern[bytes]:
    name = re.escape(prefix) + rb"c"
    some = b"|".join(sorted(names))
    inside = rb"[^<]*+(?>(?:<(?!/?" + name + rb"[\s/>])[^<]*+)*)"
    return re.compile(
        rb"(<" + name + rb' r="(' + some + rb')[0-9]++")(?>(?: s="([0-9]++)")?)(?>(?: t="([A-Za-z]++)")?)'
        rb"(?:/>|>(" + inside + rb")</" + name + rb">)"
    )


@dataclass
class _Work:
    """The changes being gathered for one sheet."""

    sheet: SheetText
    contents: Contents
    changes: list[Change] = field(default_factory=list)
    touched: list[tuple[int, int]] = field(default_factory=list)
    cleared: set[tuple[int, int]] = field(default_factory=set)
    columns: list[tuple[int, int, str]] | None = None

    def __post_init__(self) -> None:
        """Make ready for rows that are written in the usual way."""
        self.usual = UsualRows(self.sheet.prefix, self.contents)


def write_cells(
    sheet: SheetText, edits: Mapping[tuple[int, int], Edit], results: Collection[tuple[int, int]], contents: Contents
) -> tuple[bytes, set[tuple[int, int]]]:
    """
    Give the sheet part with ``edits`` written and the saved results of the formula cells ``results`` taken out.

    Rows and cells that are not there yet are put in their places; the dimension and the spans of touched rows are
    widened. Gives also those of ``results`` that did have a saved result.
    """
    work = _Work(sheet, contents)
    by_row: dict[int, dict[int, Edit | None]] = {}
    for row, column in results:
        by_row.setdefault(row, {})[column] = None
    for (row, column), edit in edits.items():
        by_row.setdefault(row, {})[column] = edit
    new_rows: dict[int, list[tuple[int, bytes]]] = {}
    for row in sorted(by_row):
        element = sheet.row(row)
        if element is not None:
            _write_row(work, row, element, by_row[row])
        elif written := _new_row(work, row, by_row[row]):
            new_rows.setdefault(sheet.place(row), []).append((row, written))
    _insert_rows(work, new_rows)
    _widen_dimension(work)
    return splice(sheet.data, work.changes), work.cleared


def _write_row(work: _Work, row: int, element: Element, edits: Mapping[int, Edit | None]) -> None:
    sheet = work.sheet
    if sheet.markup.text is sheet.data:
        inside = sheet.data[element.tag_end : element.content_end]
        usual = work.usual.rewritten(inside, edits)
        if usual is not None:
            work.changes.append(Change(element.tag_end, element.content_end, usual[0]))
            work.cleared.update((row, column) for column in usual[1])
            return
    tag = sheet.data[element.start : element.tag_end]
    spans = {one.column: one for one in sheet.cells(element)}
    missing: list[tuple[int, bytes]] = []
    for column in sorted(edits):
        edit, span = edits[column], spans.get(column)
        if span is not None and edit is not None:
            work.changes.append(_changed_cell(work, span, edit))
        elif span is not None:
            without = _without_result(sheet, span)
            if without is not None:
                work.changes.append(without)
                work.cleared.add((row, column))
        elif edit is not None and (edit.value is not None or edit.style):
            missing.append((column, _new_cell(work, row, column, edit, tag)))
    new_tag = _widen_spans(tag, [column for column, _ in missing])
    if not missing:
        return
    if element.empty:
        inside = b"".join(written for _, written in missing)
        work.changes.append(
            Change(element.start, element.end, opened(new_tag) + inside + b"</" + sheet.prefix + b"row>")
        )
        return
    if new_tag != tag:
        work.changes.append(Change(element.start, element.tag_end, new_tag))
    for column, written in missing:
        later = [one.element.start for one in spans.values() if one.column > column]
        place = min(later) if later else max((one.element.end for one in spans.values()), default=element.tag_end)
        work.changes.append(Change(place, place, written))


def _changed_cell(work: _Work, span: CellSpan, edit: Edit) -> Change:
    sheet, element = work.sheet, span.element
    before = whole(attribute(span.tag, "s"), 0)
    content = work.contents.of(edit.value, before if edit.style is None else edit.style, sheet.prefix)
    tag = span.tag
    for name in ("t", "cm", "vm"):
        if name.encode() in tag:
            tag = set_attribute(tag, name, None)
    if content.style != before:
        tag = set_attribute(tag, "s", str(content.style))
    if content.type is not None:
        tag = set_attribute(tag, "t", content.type)
    more = None
    if sheet.markup.text.find(b"extLst", element.tag_end, element.content_end) >= 0:
        more = find_element(sheet.markup.text, sheet.prefix + b"extLst", element.tag_end, element.content_end)
    inside = content.inside + (sheet.data[more.start : more.end] if more else b"")
    return Change(element.start, element.end, _closed(tag, inside, sheet.prefix))


def _closed(tag: bytes, inside: bytes, prefix: bytes) -> bytes:
    start = opened(tag)
    return start + inside + b"</" + prefix + b"c>" if inside else start[:-1] + b"/>"


def _without_result(sheet: SheetText, span: CellSpan) -> Change | None:
    """Take the ``v`` element and the ``t`` attribute out of a formula cell; None when there is no saved result."""
    element = span.element
    value = find_element(sheet.markup.text, sheet.prefix + b"v", element.tag_end, element.content_end)
    if value is None or (value.tag_end == value.content_end and attribute(span.tag, "t") != "str"):
        return None
    tag = set_attribute(span.tag, "t", None)
    inside = sheet.data[element.tag_end : value.start] + sheet.data[value.end : element.content_end]
    return Change(element.start, element.end, tag + inside + sheet.data[element.content_end : element.end])


def _new_cell(work: _Work, row: int, column: int, edit: Edit, row_tag: bytes) -> bytes:
    style = edit.style if edit.style is not None else _default_style(work, column, row_tag)
    content = work.contents.of(edit.value, style, work.sheet.prefix)
    work.touched.append((row, column))
    return cell_bytes(row, column, content, work.sheet.prefix)


def cell_bytes(row: int, column: int, content: Content, prefix: bytes) -> bytes:
    """Write a new cell element."""
    tag = b'<%bc r="%b%d"' % (prefix, name_of(column), row)
    if content.style:
        tag += b' s="%d"' % content.style
    if content.type is not None:
        tag += b' t="%b"' % content.type.encode()
    return b"%b>%b</%bc>" % (tag, content.inside, prefix) if content.inside else tag + b"/>"


def _default_style(work: _Work, column: int, row_tag: bytes) -> int:
    """Give the format a blank place has: its row's if the row has one, else its column's (18.3.1.73, 18.3.1.13)."""
    if attribute(row_tag, "customFormat") in ("1", "true"):
        return whole(attribute(row_tag, "s"), 0)
    if work.columns is None:
        work.columns = _column_styles(work.sheet)
    return next((whole(style, 0) for first, last, style in work.columns if first <= column <= last), 0)


def _column_styles(sheet: SheetText) -> list[tuple[int, int, str]]:
    markup = sheet.markup
    columns = markup.find("cols", markup.root_end, sheet.sheet_data.start)
    if columns is None:
        return []
    tags = [markup.tag(one) for one in markup.find_all("col", columns.tag_end, columns.content_end)]
    return [
        (whole(attribute(tag, "min"), 0), whole(attribute(tag, "max"), 0), attribute(tag, "style") or "0")
        for tag in tags
    ]


def _new_row(work: _Work, row: int, edits: Mapping[int, Edit | None]) -> bytes:
    prefix = work.sheet.prefix
    cells = b"".join(
        _new_cell(work, row, column, edit, b"")
        for column, edit in sorted(edits.items())
        if edit is not None and (edit.value is not None or edit.style)
    )
    return b"<" + prefix + f'row r="{row}">'.encode() + cells + b"</" + prefix + b"row>" if cells else b""


def _insert_rows(work: _Work, new_rows: Mapping[int, list[tuple[int, bytes]]]) -> None:
    sheet = work.sheet
    area = sheet.sheet_data
    for place, rows in new_rows.items():
        written = b"".join(text for _, text in sorted(rows))
        if area.empty:
            tag = opened(sheet.data[area.start : area.tag_end])
            work.changes.append(Change(area.start, area.end, tag + written + b"</" + sheet.prefix + b"sheetData>"))
            continue
        # a row without a number follows the one before it, so a gap only ever lies before a row with one
        start = sheet.row_at(place - 1).end if place else area.tag_end
        work.changes.append(Change(start, start, written))


def _widen_spans(tag: bytes, columns: list[int]) -> bytes:
    """Widen a row's ``spans`` (18.3.1.73) so that it covers new cells; a row without the attribute is left so."""
    spans = attribute(tag, "spans")
    if not columns or not spans:
        return tag
    first, _, last = spans.split()[0].partition(":")
    if not (first.isdigit() and last.isdigit()) or (int(first) <= min(columns) and max(columns) <= int(last)):
        return tag
    return set_attribute(tag, "spans", f"{min(int(first), *columns)}:{max(int(last), *columns)}")


def _widen_dimension(work: _Work) -> None:
    """Widen the sheet's ``dimension`` (18.3.1.35) so that it covers new cells."""
    markup = work.sheet.markup
    element = markup.find("dimension", markup.root_end, work.sheet.sheet_data.start)
    if element is None or not work.touched:
        return
    tag = markup.tag(element)
    try:
        before = parse_range(attribute(tag, "ref") or "")
    except ValueError:
        return
    rows, columns = [row for row, _ in work.touched], [column for _, column in work.touched]
    after = Rectangle(
        min(before.first_row, *rows),
        min(before.first_column, *columns),
        max(before.last_row, *rows),
        max(before.last_column, *columns),
    )
    if after != before:
        work.changes.append(Change(element.start, element.tag_end, set_attribute(tag, "ref", str(after))))
