"""Reading the formulas out of a sheet part by their bytes, with or without the cells they stand in."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from stillroom.workbook.markup import attribute, decoded, holds, unescape
from stillroom.workbook.rows import SheetText, column_of, formula_pattern
from stillroom.workbook.values import Unreadable, parse_address

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
