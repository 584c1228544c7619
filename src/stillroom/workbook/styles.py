"""The cell formats of a workbook: which show dates, which wrap, and formats added at the end where a date needs one."""

from __future__ import annotations

import re
from typing import NamedTuple, cast

from lxml import etree

from stillroom.workbook.lines import USUAL_POINTS
from stillroom.workbook.markup import MAIN, Change, Markup, attribute, set_attribute, splice
from stillroom.workbook.package import Package
from stillroom.workbook.values import whole

_BUILT_IN = {
    14: "date",
    15: "date",
    16: "date",
    17: "date",
    18: "time",
    19: "time",
    20: "time",
    21: "time",
    22: "moment",
}
_BUILT_IN |= {
    27: "date",
    28: "date",
    29: "date",
    30: "date",
    31: "date",
    32: "time",
    33: "time",
    34: "time",
    35: "time",
    36: "date",
}
_BUILT_IN |= {
    45: "time",
    46: "length",
    47: "time",
    50: "date",
    51: "date",
    52: "date",
    53: "date",
    54: "date",
    55: "time",
    56: "time",
}
_BUILT_IN |= {57: "date", 58: "date"}
"""What the formats that are never written out show (ECMA-376 Part 1, 18.8.30, with the East Asian ones)."""

FORMAT_FOR = {"": 0, "date": 14, "time": 20, "moment": 22}
_NOT_SIGNS = re.compile(r'"[^"]*"|\\.|_.|\*.|\[(?!h+\]|m+\]|s+\])[^\]]*\]|general|e[+\-]', re.IGNORECASE)
_LENGTH = re.compile(r"\[(h+|m+|s+)\]", re.IGNORECASE)


def shown_as(code: str) -> str:
    """
    Tell what a number format shows: "date", "time", "moment" (both), "length" (of time) or "" (a plain number).

    >>> shown_as("yyyy-mm-dd"), shown_as("h:mm"), shown_as("[h]:mm"), shown_as('0.0" days"'), shown_as("0.00E+00")
    ('date', 'time', 'length', '', '')
    """
    signs = _NOT_SIGNS.sub("", code.partition(";")[0]).casefold()
    if _LENGTH.search(signs):
        return "length"
    days = any(sign in signs for sign in "ydeg") or ("m" in signs and "h" not in signs and "s" not in signs)
    hours = "h" in signs or "s" in signs
    if days and hours:
        return "moment"
    return "date" if days else "time" if hours else ""


class Letters(NamedTuple):
    """How a cell format sets its letters: whether they wrap, their size in points, and how many steps they stand in."""

    wraps: bool = False
    points: float = USUAL_POINTS
    indent: int = 0


class Styles:
    """The styles part (ECMA-376 Part 1, 18.8); a workbook without one has only the plain format."""

    def __init__(self, package: Package) -> None:
        """Find the part; nothing is read until it is asked."""
        self.package = package
        targets = [
            one.target for one in package.relations(package.workbook_part) if one.kind == "styles" and one.target
        ]
        self.part = targets[0] if targets and package.has(targets[0]) else None
        self._root: etree._Element | None = None
        self._shows: list[str] | None = None
        self._letters: dict[int, Letters] = {}
        self._changed_formats: dict[tuple[int, int], int] = {}

    def on(self, package: Package) -> Styles:
        """Give the same styles for a copy of the package, so that new formats go there only."""
        other = Styles(package)
        other._root, other._shows = self._root, self._shows
        return other

    def shows(self, style: int) -> str:
        """Tell what a cell format shows: as :func:`shown_as`."""
        if self._shows is None:
            self._shows = self._read()
        return self._shows[style] if 0 <= style < len(self._shows) else ""

    def letters(self, style: int) -> Letters:
        """Tell how a cell format sets its letters; a format that is not there sets them plainly."""
        if style not in self._letters:
            self._letters[style] = self._read_letters(style)
        return self._letters[style]

    def forget(self) -> None:
        """Read the part again when next asked: it was changed."""
        self._root = self._shows = None
        self._letters = {}

    def _tree(self) -> etree._Element | None:
        if self._root is None and self.part is not None:
            self._root = self.package.root(self.part)
        return self._root

    def _read(self) -> list[str]:
        root = self._tree()
        if root is None:
            return []
        own = {
            node.get("numFmtId", ""): node.get("formatCode", "")
            for node in root.iterfind(f"{{{MAIN}}}numFmts/{{{MAIN}}}numFmt")
        }
        own.pop("0", None)  # the plain format is plain, whatever a file calls it
        shows = []
        for node in root.findall(f"{{{MAIN}}}cellXfs/{{{MAIN}}}xf"):
            number = node.get("numFmtId", "0")
            shows.append(shown_as(own[number]) if number in own else _BUILT_IN.get(whole(number, 0), ""))
        return shows

    def _read_letters(self, style: int) -> Letters:
        root = self._tree()
        formats = [] if root is None else root.findall(f"{{{MAIN}}}cellXfs/{{{MAIN}}}xf")
        if root is None or not 0 <= style < len(formats):
            return Letters()
        node = formats[style]
        stands, font = node.find(f"{{{MAIN}}}alignment"), int(_number(node.get("fontId"), 0.0))
        fonts = root.findall(f"{{{MAIN}}}fonts/{{{MAIN}}}font")
        points = _points(fonts[font]) if font < len(fonts) else USUAL_POINTS
        wraps = stands is not None and stands.get("wrapText") in ("1", "true")
        return Letters(wraps, points, 0 if stands is None else int(_number(stands.get("indent"), 0.0)))

    def with_format(self, style: int, format_id: int) -> int:
        """
        Give the number of a cell format like ``style`` but with another number format, added at the end if new.

        Without a styles part the style is given back as it is.
        """
        if self.part is None:
            return style
        key = (style, format_id)
        if key not in self._changed_formats:
            self._changed_formats[key] = self._find_or_add(style, format_id)
            self.forget()
        return self._changed_formats[key]

    def _find_or_add(self, style: int, format_id: int) -> int:
        part = cast("str", self.part)
        sheet = Markup(self.package.part(part), part)
        formats = sheet.find("cellXfs")
        if formats is None:
            return style
        elements = sheet.find_all("xf", formats.tag_end, formats.content_end)
        if style >= len(elements):
            return style
        old = elements[style]
        tag = set_attribute(sheet.tag(old), "numFmtId", str(format_id))
        tag = set_attribute(tag, "applyNumberFormat", "1")
        wanted = tag + sheet.data[old.tag_end : old.end]
        for number, element in enumerate(elements):
            if sheet.data[element.start : element.end] == wanted:
                return number
        count = (
            set_attribute(sheet.tag(formats), "count", str(len(elements) + 1))
            if attribute(sheet.tag(formats), "count")
            else sheet.tag(formats)
        )
        changes = [
            Change(formats.start, formats.tag_end, count),
            Change(formats.content_end, formats.content_end, wanted),
        ]
        self.package.replace(part, splice(sheet.data, changes))
        return len(elements)


def _points(font: etree._Element) -> float:
    """Read the size of a font (ECMA-376 Part 1, 18.4.11 sz); the usual one where it says none."""
    size = font.find(f"{{{MAIN}}}sz")
    return _number(None if size is None else size.get("val"), USUAL_POINTS) or USUAL_POINTS


def _number(text: str | None, default: float) -> float:
    """Read a number from 0 to 409; anything else is the default: it only says how something looks."""
    try:
        number = float(text or "")
    except ValueError:
        return default
    return number if 0 <= number <= 409 else default
