"""How cells of our own sheets look: named cell styles, reused where the workbook has them, else added at the end."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from stillroom.workbook.ooxml.package import Package
from stillroom.workbook.ooxml.styles import Paint, Styles, items_of, paint_xml
from stillroom.workbook.ooxml.values import whole
from stillroom.workbook.ooxml.xml import (
    Change,
    Element,
    Markup,
    attribute,
    escape_attribute,
    opened,
    set_attribute,
    splice,
)

_ORDER = (
    "numFmts",
    "fonts",
    "fills",
    "borders",
    "cellStyleXfs",
    "cellXfs",
    "cellStyles",
    "dxfs",
    "tableStyles",
    "colors",
    "extLst",
)
_BUILT_IN_CODES = {"General": 0, "0": 1, "0.00": 2, "#,##0": 3, "#,##0.00": 4, "0%": 9, "@": 49}
_EMPTY_STYLES = (
    '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    '<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    '<fonts count="1"><font><sz val="11"/><name val="Calibri"/></font></fonts>'
    '<fills count="2"><fill><patternFill patternType="none"/></fill>'
    '<fill><patternFill patternType="gray125"/></fill></fills>'
    '<borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>'
    '<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>'
    '<cellXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/></cellXfs>'
    '<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>'
)


@dataclass(frozen=True)
class Look:
    """
    A named cell style. Colours are six hexadecimal digits, ``number_format`` is written as in the format dialogue.

    A workbook that has a style of this name keeps its own version of it; only the number format and what says where
    the text stands are taken from here, and the style itself has neither. A ``bare`` cell has neither the style's
    ground nor its lines (marks draw them), and letters of its own size. ``upright`` says where the words stand between
    top and bottom; those of a cell that wraps or is bare stand at the top unless it does.
    """

    name: str
    number_format: str = "General"
    bold: bool = False
    italic: bool = False
    underline: bool = False
    font: str = "Calibri"
    size: float | None = None
    colour: str | None = None
    fill: str | None = None
    line: str | None = None
    across: str | None = None
    wrap: bool = False
    locked: bool = True
    indent: int = 0
    bare: bool = False
    upright: str | None = None


class Looks:
    """Adds looks to the styles part (ECMA-376 Part 1, 18.8); never changes or renumbers what is there."""

    def __init__(self, package: Package, styles: Styles) -> None:
        """Keep the package; the part is made only when a look is asked for."""
        self._package, self._styles = package, styles
        self._known: dict[Look, int] = {}

    def number(self, look: Look) -> int:
        """Give the number of the cell format for a look, adding what is missing."""
        number = self._known.get(look)
        if number is None:
            number = self._known[look] = self._add(look)
        return number

    def mark_number(self, paint: Paint) -> int:
        """Give the number of the format that a mark puts over a cell's own (18.8.14 dxf), adding it if it is new."""
        self._make_ready()
        number = None if paint.shown is None else self._format_id(paint.shown)
        return self._append("dxfs", "dxf", _prefixed(paint_xml(paint, number), self._prefix()))

    def _make_ready(self) -> None:
        if self._styles.part is None:
            self._styles.part = self._new_part()
        elif not self._known:
            self._package.root(self._styles.part)  # refuses a damaged part by name, before anything is put into it

    def _add(self, look: Look) -> int:
        self._make_ready()
        format_id = self._format_id(look.number_format)
        plain = replace(look, across=None, indent=0, wrap=False)
        style_id, base = self._named(replace(plain, size=None) if look.bare else plain)
        font = self._append("fonts", "font", _font(look, self._prefix())) if look.bare and look.size else 0
        tag = base
        for name, value in (
            ("numFmtId", str(format_id)),
            ("xfId", str(style_id)),
            ("applyNumberFormat", "1"),
            ("applyProtection", "1"),
            *((("applyAlignment", "1"),) if _alignment(look) else ()),
            *((("fillId", "0"), ("borderId", "0")) if look.bare else ()),
            *((("fontId", str(font)),) if font else ()),
        ):
            tag = set_attribute(tag, name, value)
        inside = _alignment(look) + _protection(look)
        number = self._append("cellXfs", "xf", _with_prefix(tag, inside, self._prefix()))
        self._styles.forget()
        return number

    def _new_part(self) -> str:
        name = "xl/styles.xml"  # some readers look for it by this name only
        if name in self._package.taken_names():
            name = self._package.free_name("xl/styles{}.xml")
        space = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/styles"
        self._package.add(
            name, _EMPTY_STYLES.encode(), "application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml"
        )
        self._package.relate(self._package.workbook_part, space, name)
        return name

    def _markup(self) -> Markup:
        part = self._styles.part or ""
        return Markup(self._package.part(part), part)

    def _prefix(self) -> bytes:
        return self._markup().prefix

    def _items(self, collection: str, item: str) -> tuple[Markup, list[Element]]:
        markup = self._markup()
        return markup, items_of(markup, collection, item)

    def _append(self, collection: str, item: str, written: bytes) -> int:
        """Put an item at the end of a collection, unless the very same is there; give its number."""
        markup, items = self._items(collection, item)
        for number, element in enumerate(items):
            if markup.data[element.start : element.end] == written:
                return number
        around = markup.find(collection)
        if around is None:
            return self._new_collection(markup, collection, written)
        tag = markup.tag(around)
        if attribute(tag, "count") is not None:
            tag = set_attribute(tag, "count", str(len(items) + 1))
        if around.empty:
            closing = b"</" + markup.prefix + collection.encode() + b">"
            changes = [Change(around.start, around.end, tag[:-2].rstrip() + b">" + written + closing)]
        else:
            changes = [
                Change(around.start, around.tag_end, tag),
                Change(around.content_end, around.content_end, written),
            ]
        self._package.replace(markup.name, splice(markup.data, changes))
        return len(items)

    def _new_collection(self, markup: Markup, collection: str, written: bytes) -> int:
        later = _ORDER[_ORDER.index(collection) + 1 :]
        place = min([one.start for name in later if (one := markup.find(name)) is not None], default=markup.root_close)
        name = markup.prefix + collection.encode()
        text = b"<" + name + b' count="1">' + written + b"</" + name + b">"
        self._package.replace(markup.name, splice(markup.data, [Change(place, place, text)]))
        return 0

    def _format_id(self, code: str) -> int:
        if code in _BUILT_IN_CODES:
            return _BUILT_IN_CODES[code]
        markup, items = self._items("numFmts", "numFmt")
        taken = {}
        for element in items:
            tag = markup.tag(element)
            taken[attribute(tag, "formatCode")] = whole(attribute(tag, "numFmtId"), 0)
        if code in taken:
            return taken[code]
        number = max([163, *taken.values()]) + 1
        line = f'numFmt numFmtId="{number}" formatCode="{escape_attribute(code)}"/>'.encode()
        self._append("numFmts", "numFmt", b"<" + markup.prefix + line)
        return number

    def _named(self, look: Look) -> tuple[int, bytes]:
        """Give the number of the named style's own format, and that format's start tag."""
        markup, styles = self._items("cellStyles", "cellStyle")
        for element in styles:
            tag = markup.tag(element)
            if (attribute(tag, "name") or "").casefold() == look.name.casefold():
                number = whole(attribute(tag, "xfId"), 0)
                _, formats = self._items("cellStyleXfs", "xf")
                if number < len(formats):
                    return number, opened(markup.tag(formats[number]))
        prefix = markup.prefix
        font = self._append("fonts", "font", _font(look, prefix)) if _has_font(look) else 0
        fill = self._append("fills", "fill", _fill(look.fill, prefix)) if look.fill else 0
        border = self._append("borders", "border", _border(look.line, prefix)) if look.line else 0
        base = b"<" + prefix + f'xf numFmtId="0" fontId="{font}" fillId="{fill}" borderId="{border}"'.encode()
        base += b' applyFont="1"' * bool(font) + b' applyFill="1"' * bool(fill) + b' applyBorder="1"' * bool(border)
        base += b' applyAlignment="1"' * bool(_alignment(look)) + b' applyProtection="1">'
        number = len(self._items("cellStyleXfs", "xf")[1])
        written = _with_prefix(base, _alignment(look) + _protection(look), prefix)
        self._force("cellStyleXfs", written)
        line = f'cellStyle name="{escape_attribute(look.name)}" xfId="{number}"/>'.encode()
        self._append("cellStyles", "cellStyle", b"<" + prefix + line)
        return number, base

    def _force(self, collection: str, written: bytes) -> None:
        """Put a format at the end even where the same is there: each named style has one of its own."""
        markup = self._markup()
        around = markup.find(collection)
        if around is None or around.empty:
            self._append(collection, "xf", written)
            return
        tag = markup.tag(around)
        if (count := attribute(tag, "count")) is not None and count.isdigit():
            tag = set_attribute(tag, "count", str(int(count) + 1))
        changes = [Change(around.start, around.tag_end, tag), Change(around.content_end, around.content_end, written)]
        self._package.replace(markup.name, splice(markup.data, changes))


def _has_font(look: Look) -> bool:
    return look.bold or look.italic or look.size is not None or look.colour is not None


def _with_prefix(tag: bytes, inside: str, prefix: bytes) -> bytes:
    if not inside:
        return tag[:-1] + b"/>"
    return tag + re.sub(rb"<(?!/)", b"<" + prefix, inside.encode()) + b"</" + prefix + b"xf>"


def _font(look: Look, prefix: bytes) -> bytes:
    text = "<font>" + "<b/>" * look.bold + "<i/>" * look.italic + "<u/>" * look.underline
    text += f'<sz val="{look.size or 11:g}"/>'
    text += (
        f'<color rgb="FF{look.colour}"/>' if look.colour else '<color theme="1"/>'
    ) + f'<name val="{look.font}"/><family val="2"/></font>'
    return _prefixed(text, prefix)


def _fill(colour: str | None, prefix: bytes) -> bytes:
    inside = f'<fgColor rgb="FF{colour}"/><bgColor indexed="64"/>'
    return _prefixed(f'<fill><patternFill patternType="solid">{inside}</patternFill></fill>', prefix)


def _border(colour: str | None, prefix: bytes) -> bytes:
    sides = "".join(
        f'<{side} style="thin"><color rgb="FF{colour}"/></{side}>' for side in ("left", "right", "top", "bottom")
    )
    return _prefixed(f"<border>{sides}<diagonal/></border>", prefix)


def _alignment(look: Look) -> str:
    across = f' horizontal="{look.across}"' if look.across else ""
    stands = look.upright or ("top" if look.wrap or look.bare else None)
    wrap = (f' vertical="{stands}"' if stands else "") + ' wrapText="1"' * look.wrap
    indent = f' indent="{look.indent}"' if look.indent else ""
    return f"<alignment{across}{wrap}{indent}/>" if across or wrap or indent else ""


def _protection(look: Look) -> str:
    return "" if look.locked else '<protection locked="0"/>'


def _prefixed(text: str, prefix: bytes) -> bytes:
    return re.sub(rb"<(/?)", rb"<\1" + prefix, text.encode())
