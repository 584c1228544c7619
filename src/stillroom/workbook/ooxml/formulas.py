"""What a formula looks at: the areas, tables and names in its text, without working it out."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from stillroom.household.cells import column_number
from stillroom.workbook.ooxml.sheet_data import SheetText, column_of, formula_pattern
from stillroom.workbook.ooxml.values import LAST_COLUMN, LAST_ROW, Rectangle, Unreadable, parse_address
from stillroom.workbook.ooxml.xml import attribute, decoded, holds, unescape

_TOKEN = re.compile(
    r"""
    (?P<text>"(?:[^"]|"")*")
  | (?P<sheet>'(?:[^']|'')+'!|(?:\[[0-9]+\])?[^\W\d][\w.]*(?::[^\W\d][\w.]*)?!|\[[0-9]+\]!)
  | (?P<cells>\$?[A-Za-z]{1,3}\$?[0-9]{1,7}(?::\$?[A-Za-z]{1,3}\$?[0-9]{1,7})?(?![\w.(\[]))
  | (?P<columns>\$?[A-Za-z]{1,3}:\$?[A-Za-z]{1,3}(?![\w.(\[]))
  | (?P<rows>\$?[0-9]{1,7}:\$?[0-9]{1,7}(?![\w.]))
  | (?P<number>[0-9]+(?:\.[0-9]*)?(?:[Ee][+\-]?[0-9]+)?|\.[0-9]+)
  | (?P<function>[^\W\d][\w.]*\s*\()
  | (?P<name>[^\W\d\\][\w.\\?]*|\\[\w.\\?]*)
  | (?P<bracket>\[)
    """,
    re.VERBOSE,
)
_CORNER = re.compile(r"(\$?)([A-Za-z]{1,3})(\$?)([0-9]{1,7})")
_DYNAMIC = {"OFFSET", "INDIRECT", "_XLFN.ANCHORARRAY", "EVALUATE"}
_COMPUTED_RANGE = re.compile(r"\)\s*:|:\s*[^\W\d][\w.]*\s*\(|#\s*(?:[,;)+\-*/&=<>]|$)")


@dataclass(frozen=True)
class Area:
    """Cells that a formula names, on its own sheet or (``sheet``) another; ``moves`` says which ends are relative."""

    sheet: str | None
    block: Rectangle
    moves: tuple[bool, bool, bool, bool]

    def moved(self, rows: int, columns: int) -> Area:
        """Give the area as a follower of a shared formula, so many rows and columns away, sees it (18.3.1.40)."""
        if not (rows or columns):
            return self
        steps = (rows, columns, rows, columns)
        sizes = (LAST_ROW, LAST_COLUMN, LAST_ROW, LAST_COLUMN)
        ends = [
            (end - 1 + step) % size + 1 if moves else end
            for end, step, size, moves in zip(self.block, steps, sizes, self.moves, strict=True)
        ]
        block = Rectangle(min(ends[0], ends[2]), min(ends[1], ends[3]), max(ends[0], ends[2]), max(ends[1], ends[3]))
        return Area(self.sheet, block, self.moves)


@dataclass(frozen=True)
class TableUse:
    """A structured reference: the table ("" for the formula's own), its columns, and whether only this row."""

    table: str
    columns: tuple[str, ...]
    this_row: bool


@dataclass(frozen=True)
class References:
    """All that a formula looks at. ``dynamic``: it can also look at places its text does not name."""

    areas: tuple[Area, ...]
    tables: tuple[TableUse, ...]
    names: tuple[tuple[str | None, str], ...]
    dynamic: bool


@lru_cache(maxsize=20_000)
def references(text: str) -> References:
    """
    List what a formula looks at.

    >>> found = references('SUM(Plan[Make])+Sheet2!$A$1:B2*rate')
    >>> [str(area.block) for area in found.areas], found.tables[0].table, found.names
    (['A1:B2'], 'Plan', ((None, 'rate'),))
    """
    areas: list[Area] = []
    tables: list[TableUse] = []
    names: list[tuple[str | None, str]] = []
    dynamic = _COMPUTED_RANGE.search(re.sub(r'"(?:[^"]|"")*"', '""', text)) is not None
    sheet: str | None = None
    place = 0
    while (match := _TOKEN.search(text, place)) is not None:
        kind, token = match.lastgroup, match[0]
        place = match.end()
        if kind == "sheet":
            sheet = token[:-1].strip("'").replace("''", "'")
            continue
        if kind in ("cells", "columns", "rows"):
            areas.append(_area(sheet, kind, token))
        elif kind == "function":
            dynamic = dynamic or token[:-1].strip().upper() in _DYNAMIC
        elif kind in ("name", "bracket"):
            if kind == "bracket" or text[place : place + 1] == "[":
                place = _closing(text, place if kind == "name" else place - 1)
                tables.append(_table_use(token if kind == "name" else "", text[match.end() : place]))
            else:
                names.append((sheet, token))
        sheet = None
    return References(tuple(areas), tuple(tables), tuple(names), dynamic)


def _closing(text: str, start: int) -> int:
    """Give the place behind the closing bracket of the one at ``start``; a quote shields the sign after it."""
    depth = 0
    place = start
    while place < len(text):
        sign = text[place]
        if sign == "'":
            place += 1
        elif sign == "[":
            depth += 1
        elif sign == "]":
            depth -= 1
            if not depth:
                return place + 1
        place += 1
    return len(text)


def _table_use(table: str, inside: str) -> TableUse:
    this_row = "#this row" in inside.casefold() or "@" in re.sub("'.", "", inside)
    pieces = re.findall(r"\[((?:[^\[\]']|'.)*)\]", inside) or [inside.strip("[]")]
    columns = []
    for piece in pieces:
        name = piece.strip().removeprefix("@").strip()
        if name and not name.startswith("#"):
            columns.append(re.sub("'(.)", r"\1", name))
    return TableUse(table, tuple(columns), this_row)


def _area(sheet: str | None, kind: str, token: str) -> Area:
    first, _, last = token.partition(":")
    last = last or first
    if kind == "columns":
        columns = [column_number(first.replace("$", "")), column_number(last.replace("$", ""))]
        block = Rectangle(1, min(columns), LAST_ROW, max(columns))
        return Area(sheet, block, (False, "$" not in first, False, "$" not in last))
    if kind == "rows":
        rows = [int(first.replace("$", "")), int(last.replace("$", ""))]
        return Area(
            sheet, Rectangle(min(rows), 1, max(rows), LAST_COLUMN), ("$" not in first, False, "$" not in last, False)
        )
    ends = [_CORNER.fullmatch(one) for one in (first, last)]
    corners = [(int(one[4]), column_number(one[2]), not one[3], not one[1]) for one in ends if one is not None]
    (row, column, row_moves, column_moves), (to_row, to_column, to_row_moves, to_column_moves) = corners
    block = Rectangle(min(row, to_row), min(column, to_column), max(row, to_row), max(column, to_column))
    return Area(sheet, block, (row_moves, column_moves, to_row_moves, to_column_moves))


def shifted(text: str, rows: int) -> str:
    """
    Give a formula as it reads so many rows further down, as when a column is filled down.

    >>> shifted('B2*$C$1+Plan[[#This Row],[Make]]+"A1"', 3)
    'B5*$C$1+Plan[[#This Row],[Make]]+"A1"'
    """
    pieces = []
    place = start = 0
    while (match := _TOKEN.search(text, start)) is not None:
        start = match.end()
        if match.lastgroup == "bracket" or (match.lastgroup == "name" and text[start : start + 1] == "["):
            start = _closing(text, start if match.lastgroup == "name" else start - 1)
        elif match.lastgroup == "cells":
            moved = _CORNER.sub(lambda one: one[0] if one[3] else f"{one[1]}{one[2]}{int(one[4]) + rows}", match[0])
            pieces += [text[place : match.start()], moved]
            place = match.end()
    return "".join((*pieces, text[place:]))


# Reading the formulas out of a sheet part by their bytes, with or without the cells they stand in.

_NAME = re.compile(rb'\sr="([A-Z]{1,3})([0-9]{1,7})"')
_AT_HOME = re.compile(
    rb"(?>(?>[0-9.,;:()+\-*/^%=<$]+|&(?:amp|lt|gt);|[A-Z]{1,3}\$?[0-9]{1,7}(?![\w.(])"
    rb"|(?:SUM|IF|ROUND|MAX|MIN|AVERAGE|COUNT|ABS|INT|MOD|AND|OR|NOT)(?=\())+)"
)
_HIDDEN = re.compile(rb"<!--.*?-->|<!\[CDATA\[|\]\]>", re.DOTALL)


class RawFormula(NamedTuple):
    """A formula as it is written: text, kind, the block of a shared or array formula, and its cell if that is known."""

    text: str
    tag: bytes
    cell: tuple[int, int]


def has_formulas(sheet: SheetText) -> bool:
    """Whether a sheet has any formula: one look through its bytes, at first for the letter alone."""
    area = sheet.sheet_data
    start = sheet.data.find(b"f", area.tag_end, area.content_end)
    if start < 0 or not holds(sheet.data, b"<" + sheet.prefix + b"f", start - len(sheet.prefix) - 1, area.content_end):
        return False
    return formula_pattern(sheet.prefix).search(sheet.markup.text, area.tag_end, area.content_end) is not None


def formula_texts(sheet: SheetText) -> list[tuple[bytes, str]]:
    """
    List the attributes and the text of every formula that can look beyond its own sheet.

    Formulas of nothing but cells, numbers, signs and everyday functions are passed over.
    """
    area = sheet.sheet_data
    found = []
    plain = sheet.markup.text is sheet.data
    first = _first_abroad(sheet) if plain else area.tag_end
    if first is None:
        return []
    for match in formula_pattern(sheet.prefix).finditer(sheet.markup.text, first, area.content_end):
        raw = match[2]
        if not raw or match[1].endswith(b"/"):
            continue
        if plain and _AT_HOME.fullmatch(raw) and b"):" not in raw:
            continue
        if not plain:
            raw = _HIDDEN.sub(b"", sheet.data[match.start(2) : match.end(2)])
        found.append((match[1] if b"ref" in match[1] else b"", unescape(decoded(raw))))
    return found


def _first_abroad(sheet: SheetText) -> int | None:
    """Where the first formula stands that is not of the passed-over kind, found in one pass; None without one."""
    area, data = sheet.sheet_data, sheet.data
    brackets = data.find(b")", area.tag_end, area.content_end)
    if brackets >= 0 and holds(data, b"):", brackets, area.content_end):
        return area.tag_end
    found = _abroad_pattern(sheet.prefix).search(data, area.tag_end, area.content_end)
    return None if found is None else found.start()


@lru_cache(maxsize=64)
def _abroad_pattern(prefix: bytes) -> re.Pattern[bytes]:
    signs = rb"[0-9.,;:()+\-*/^%=$]*+"
    cell = rb"[A-Z]{1,3}+\$?[0-9]{1,7}+(?![\w.(])"
    function = rb"(?:SUM|IF|ROUND|MAX|MIN|AVERAGE|COUNT|ABS|INT|MOD|AND|OR|NOT)\("
    others = rb"(?>(?:(?:" + cell + rb"|&(?:amp|lt|gt);|" + function + rb")" + signs + rb")*)"
    at_home = signs + rb"(?>(?:" + cell + signs + rb")*)" + others
    name = re.escape(prefix) + rb"f"
    return re.compile(rb"<" + name + rb"(?!>" + at_home + rb"</" + name + rb">)")


def formula_cells(sheet: SheetText) -> Iterable[RawFormula]:
    """Give every formula with its cell."""
    plain = sheet.markup.text is sheet.data
    pattern = formula_pattern(sheet.prefix)
    area = sheet.sheet_data
    text = sheet.markup.text
    opening = b"<" + sheet.prefix + b"c"
    for match in pattern.finditer(text, area.tag_end, area.content_end):
        start = text.rfind(opening, area.tag_end, match.start())
        tag = sheet.data[start : text.find(b">", max(start, 0)) + 1]
        plainly = _NAME.search(tag) if b"'" not in tag else None
        if plainly is not None:
            cell = (int(plainly[2]), column_of(plainly[1]))
        else:
            name = attribute(tag, "r")
            cell = parse_address(name) if name else _counted_out(sheet, start)
        raw = b"" if match[1].endswith(b"/") else match[2] or b""
        if raw and not plain:
            raw = _HIDDEN.sub(b"", sheet.data[match.start(2) : match.end(2)])
        yield RawFormula(unescape(decoded(raw)), b"<f" + match[1] + b">", cell)


def _counted_out(sheet: SheetText, start: int) -> tuple[int, int]:
    place = sheet.place_of_byte(start)
    cells = sheet.cells(sheet.row_at(place)) if place >= 0 else []
    for one in cells:
        if one.element.start == start:
            return sheet.numbers[place], one.column
    msg = f"a formula of {sheet.part} stands in no cell"
    raise Unreadable(msg)
