"""The cell formats of a workbook: which show dates, which wrap, and formats added at the end where a date needs one."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple, cast

from lxml import etree

from stillroom.workbook.ooxml.package import Package
from stillroom.workbook.ooxml.values import whole
from stillroom.workbook.ooxml.xml import (
    MAIN,
    Change,
    Element,
    Markup,
    attribute,
    escape_attribute,
    set_attribute,
    splice,
)

_SPACE = "http://schemas.openxmlformats.org/markup-compatibility/2006"
_KNOWN = ("http://schemas.microsoft.com/office/", "http://schemas.openxmlformats.org/")
"""How the namespaces begin that a program which reads this list is taken to know (ECMA-376 Part 3, 7.6)."""


def children_read(root: etree._Element, collection: str, item: str) -> list[etree._Element]:
    """Return the items of a list, of each mc:AlternateContent only those of the version that is read."""
    around = root.find(f"{{{MAIN}}}{collection}")
    return [] if around is None else list(_items(around, f"{{{MAIN}}}{item}"))


def items_of(markup: Markup, collection: str, item: str) -> list[Element]:
    """Return where the same items lie in the bytes of the part."""
    around = markup.find(collection)
    if around is None:
        return []
    found = markup.find_all(item, around.tag_end, around.content_end)
    if b"AlternateContent" not in markup.data:
        return found
    root = etree.fromstring(markup.data, etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False))
    read = children_read(root, collection, item)
    every = root.iterfind(f"{{{MAIN}}}{collection}//{{{MAIN}}}{item}")
    return [place for place, node in zip(found, every, strict=True) if node in read]


def _items(around: etree._Element, tag: str) -> Iterator[etree._Element]:
    for child in around:
        if child.tag == tag:
            yield child
        elif child.tag == f"{{{_SPACE}}}AlternateContent" and (version := _version(child)) is not None:
            yield from _items(version, tag)


def _version(alternates: etree._Element) -> etree._Element | None:
    """Return the first version whose namespaces are all known, else the one for all other programs."""
    for choice in alternates.iterfind(f"{{{_SPACE}}}Choice"):
        spaces = [choice.nsmap.get(prefix) or "" for prefix in choice.get("Requires", "").split()]
        if spaces and all(space.startswith(_KNOWN) for space in spaces):
            return choice
    return alternates.find(f"{{{_SPACE}}}Fallback")


# How many lines a sentence takes in a column, by the widths of its letters: no program has to be asked.

USUAL_POINTS = 11.0
"""Size of the letters that column widths are counted in (ECMA-376 part 1, 18.3.1.13 `col`: its digits)."""
LINE_POINTS = 15.5
"""Height of one line of such letters, in points."""
EDGES = 1.0
"""What a cell keeps free at its two edges, in digits."""
INDENT = 1.3
"""How far one step of an indent moves the words in, in digits."""
WIDEST = 1.5
"""Width of the widest letters, in digits."""
_NARROW, _CAPITAL, _USUAL = 0.52, 1.2, 0.98
_WIDTHS = dict.fromkeys("iljtfrI.,:;'!|()[]/- \"", _NARROW) | dict.fromkeys("mwMW%@—", WIDEST)
_WIDTHS |= dict.fromkeys("ABCDEFGHKLNOPQRSTUVXYZ&+=<>", _CAPITAL) | dict.fromkeys("0123456789", 1.0)
"""Widths of letters in digits, those of the wider of the usual fonts without serifs."""


def text_lines(text: str, width: float) -> int:
    """
    Lines a text takes in a column of this width (in digits of its own letters), broken between words.

    A word that is wider than the column is broken where the column ends.

    >>> text_lines("pint", 10), text_lines("140 lb plum tomato, 1 lb onions", 20), text_lines("x" * 100, 50)
    (1, 2, 2)
    """
    width = max(width, 1.0)
    if WIDEST * len(text) <= width and "\n" not in text:
        return 1
    return sum(_paragraph_lines(paragraph, width) for paragraph in text.split("\n"))


def _paragraph_lines(text: str, width: float) -> int:
    lines, used = 1, 0.0
    for word in text.split(" "):
        long = word_width(word)
        if used and used + _NARROW + long <= width:
            used += _NARROW + long
            continue
        if used:
            lines += 1
        lines += max(0, -int(-long // width) - 1)
        used = long if long <= width else long % width
    return lines


@lru_cache(maxsize=20_000)
def word_width(word: str) -> float:
    """
    How wide a word is, in digits.

    >>> round(word_width("2026"), 2), word_width("mill") > word_width("till")
    (4.0, True)
    """
    return sum(_WIDTHS.get(letter, _USUAL) for letter in word)


def text_points(text: str, width: float, points: float = USUAL_POINTS, indent: int = 0) -> float:
    """
    How high a row must be for a text in letters of so many points, in a column of this width; in quarters of a point.

    >>> text_points("pint jar", 12), text_points("140 lb plum tomato, 1 lb onions", 21), text_points("pint", 12, 10)
    (15.5, 31.0, 14.25)
    """
    share = points / USUAL_POINTS
    return math.ceil(4 * text_lines(text, (width - EDGES - INDENT * indent) / share) * LINE_POINTS * share) / 4


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
        for node in children_read(root, "cellXfs", "xf"):
            number = node.get("numFmtId", "0")
            shows.append(shown_as(own[number]) if number in own else _BUILT_IN.get(whole(number, 0), ""))
        return shows

    def _read_letters(self, style: int) -> Letters:
        root = self._tree()
        formats = [] if root is None else children_read(root, "cellXfs", "xf")
        if root is None or not 0 <= style < len(formats):
            return Letters()
        node = formats[style]
        stands, font = node.find(f"{{{MAIN}}}alignment"), int(_number(node.get("fontId"), 0.0))
        fonts = children_read(root, "fonts", "font")
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
        elements = items_of(sheet, "cellXfs", "xf")
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


# How a cell looks while a formula is true: letters, ground, lines and number format put over its own.

SIDES = ("left", "right", "top", "bottom")


@dataclass(frozen=True)
class Paint:
    """
    What is put over a cell's own look; what is None or empty stays as the cell has it.

    Colours are six hexadecimal digits. `stripes` is the colour of slanting lines over `fill`, `line` that of a thin
    line on each of the `sides`, `shown` a number format (`;;;` shows nothing).
    """

    colour: str | None = None
    bold: bool = False
    fill: str | None = None
    stripes: str | None = None
    line: str | None = None
    sides: tuple[str, ...] = SIDES
    shown: str | None = None


def paint_xml(paint: Paint, format_number: int | None) -> str:
    """
    Write the format, its parts in the order of CT_Dxf (ECMA-376 part 1, 18.8.14); `format_number` is that of `shown`.

    >>> paint_xml(Paint("A43E2E", bold=True), None)
    '<dxf><font><b/><color rgb="FFA43E2E"/></font></dxf>'
    """
    text = ""
    if paint.colour or paint.bold:
        colour = f'<color rgb="FF{paint.colour}"/>' if paint.colour else ""
        text += f"<font>{'<b/>' * paint.bold}{colour}</font>"
    if paint.shown is not None and format_number is not None:
        text += f'<numFmt numFmtId="{format_number}" formatCode="{escape_attribute(paint.shown)}"/>'
    if paint.fill:
        text += f"<fill>{_pattern(paint.fill, paint.stripes)}</fill>"
    if paint.line:
        sides = "".join(
            f'<{side} style="thin"><color rgb="FF{paint.line}"/></{side}>' if side in paint.sides else f"<{side}/>"
            for side in SIDES
        )
        text += f"<border>{sides}</border>"
    return f"<dxf>{text}</dxf>"


def _pattern(fill: str, stripes: str | None) -> str:
    kind, over = ("lightUp", stripes) if stripes else ("solid", fill)
    return f'<patternFill patternType="{kind}"><fgColor rgb="FF{over}"/><bgColor rgb="FF{fill}"/></patternFill>'
