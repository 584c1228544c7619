"""The shared strings of a workbook: read by number, and added to at the end."""

from __future__ import annotations

import re
from functools import lru_cache

from lxml import etree

from stillroom.workbook.ooxml.package import Package
from stillroom.workbook.ooxml.values import escape_text, unescape_text
from stillroom.workbook.ooxml.xml import MAIN, Change, Markup, attribute, set_attribute, splice

_PLAIN_HEAD = re.compile(
    rb'(?:<\?xml version="1\.0" encoding="(?i:utf-8)"[^<>]*\?>\s*)?<sst xmlns="'
    + MAIN.encode()
    + rb'"(?: \w+="[0-9]*")*>'
)
_CONTROLS = bytes({*range(32)} - {9, 10})
_BETWEEN = "</t></si><si><t>"
_SI, _T, _R = f"{{{MAIN}}}si", f"{{{MAIN}}}t", f"{{{MAIN}}}r"


class Strings:
    """
    The shared string table (ECMA-376 Part 1, 18.4.9), if the workbook has one.

    Strings are never taken away or renumbered; rich text is left as it is and never reused for plain text.
    """

    def __init__(self, package: Package) -> None:
        """Find the part; nothing is read until a string is asked for."""
        self._package = package
        targets = [
            one.target for one in package.relations(package.workbook_part) if one.kind == "sharedStrings" and one.target
        ]
        self.part = targets[0] if targets and package.has(targets[0]) else None
        self._texts: list[str] | None = None
        self._plain: dict[str, int] = {}
        self._new: dict[str, int] = {}

    def on(self, package: Package) -> Strings:
        """Give the same strings for a copy of the package, so that new ones go there only."""
        other = Strings(package)
        other._texts, other._plain = self._texts, self._plain
        return other

    @property
    def exists(self) -> bool:
        """Whether the workbook keeps its texts in a part of their own."""
        return self.part is not None

    def text(self, number: int) -> str | None:
        """Give a string by its number; None when there is none."""
        texts = self._read()
        return texts[number] if 0 <= number < len(texts) else None

    def numbers_of(self, wanted: set[str]) -> dict[str, set[int]]:
        """For each wanted text, made plain by :func:`plain`, the numbers of the strings that read so."""
        found: dict[str, set[int]] = {}
        for number, text in enumerate(self._read()):
            if (key := plain(text)) in wanted:
                found.setdefault(key, set()).add(number)
        return found

    def number_for(self, text: str) -> int:
        """Give the number of a plain string, adding it if it is new."""
        texts = self._read()
        number = self._plain.get(text, self._new.get(text))
        if number is None:
            number = self._new[text] = len(texts) + len(self._new)
        return number

    def write(self) -> None:
        """Put the new strings into the part."""
        if not self._new or self.part is None:
            return
        sheet = Markup(self._package.part(self.part), self.part)
        mark = sheet.prefix + b"si>"
        inside = b"".join(b"<" + mark + text_element(text, sheet.prefix) + b"</" + mark for text in self._new)
        table = sheet.find("sst")
        if table is None:
            return
        tag = sheet.tag(table)
        for name in ("count", "uniqueCount"):
            if (before := attribute(tag, name)) and before.isdigit():
                tag = set_attribute(tag, name, str(int(before) + len(self._new)))
        if table.empty:
            tag = tag[:-2].rstrip() + b">" + inside + b"</" + sheet.prefix + b"sst>"
            changes = [Change(table.start, table.end, tag)]
        else:
            last = sheet.find_all("extLst", table.tag_end)
            place = (
                last[-1].start
                if last and not sheet.text[last[-1].end : table.content_end].strip()
                else table.content_end
            )
            changes = [Change(table.start, table.tag_end, tag), Change(place, place, inside)]
        self._package.replace(self.part, splice(sheet.data, changes))
        self._texts, self._plain, self._new = None, {}, {}

    def _read(self) -> list[str]:
        if self._texts is None:
            self._texts = [] if self.part is None else _plain_texts(self._package.part(self.part))
            if self._texts:
                last = len(self._texts) - 1
                self._plain = {text: last - place for place, text in enumerate(reversed(self._texts))}
            elif self.part is not None:
                for number, node in enumerate(self._package.root(self.part).iterchildren(_SI)):
                    self._texts.append(string_text(node))
                    if len(node) == 1 and node[0].tag == _T:
                        self._plain.setdefault(self._texts[-1], number)
        return self._texts


def _plain_texts(content: bytes) -> list[str]:
    """
    Read a part of nothing but plain strings, written without a line break between them, in one cut.

    Nothing at all is given for any other part, nor for one with signs that stand for others: these need the XML parser.
    """
    start, end = content.find(b"<si>"), content.rfind(b"</si></sst>")
    if start < 0 or end < start or _PLAIN_HEAD.fullmatch(content, 0, start) is None:
        return []
    if b"&" in content or content.rstrip()[-6:] != b"</sst>" or content.translate(None, _CONTROLS) != content:
        return []
    try:
        text = content[start + 4 : end].decode().replace('<t xml:space="preserve">', "<t>")
    except UnicodeDecodeError:
        return []
    found = text.removeprefix("<t>").removesuffix("</t>").split(_BETWEEN)
    if not text.startswith("<t>") or not text.endswith("</t>") or text.count("<") != 4 * len(found) - 2:
        return []
    return [unescape_text(one) for one in found] if "_x" in text else found


def string_text(node: etree._Element) -> str:
    """Give the text of an ``si`` or ``is`` element: its own and its runs', without the phonetic reading (18.4.8)."""
    if len(node) == 1 and node[0].tag == _T:
        return unescape_text(node[0].text or "")
    parts = []
    for child in node:
        if child.tag == _T:
            parts.append(child.text or "")
        elif child.tag == _R:
            parts += [text.text or "" for text in child.iterchildren(_T)]
    return unescape_text("".join(parts))


def text_element(text: str, prefix: bytes) -> bytes:
    """Write a ``t`` element; spaces at its ends and line breaks are kept."""
    keep = b' xml:space="preserve"' if text != text.strip() or "\n" in text or "\t" in text else b""
    return b"<" + prefix + b"t" + keep + b">" + escape_text(text).encode() + b"</" + prefix + b"t>"


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    r"""
    Make a name comparable: capitals, spaces, no-break spaces and line breaks do not matter.

    >>> plain("  Picked\u00a0 On ")
    'picked on'
    """
    return " ".join(text.split()).casefold()
