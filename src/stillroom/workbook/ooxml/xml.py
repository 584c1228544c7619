"""Finding elements and attributes in the bytes of an XML part, to change them without touching their neighbours."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from stillroom.errors import THE_FILE, WorkbookRefused
from stillroom.workbook.ooxml.values import Unreadable

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"

ATTRIBUTES = rb"""(?>(?>[^<>"']+|"[^"<]*"|'[^'<]*')*)"""
_ROOT = re.compile(rb"<(?:([A-Za-z_][\w.\-]*):)?([A-Za-z_][\w.\-]*)(?=[\s/>])" + ATTRIBUTES + rb">")
_ATTRIBUTE = re.compile(rb"""\s([\w:.\-]+)\s*=\s*("[^"]*"|'[^']*')""")
_HIDDEN = re.compile(rb"<!--.*?-->|<!\[CDATA\[.*?\]\]>|<\?.*?\?>", re.DOTALL)
_ENCODING = re.compile(rb"""^\s*<\?xml[^>]*?encoding\s*=\s*["']([^"']+)["']""")
_REFERENCE = re.compile(r"&(#x[0-9A-Fa-f]+|#[0-9]+|amp|lt|gt|quot|apos);")
_UNUSUAL = re.compile(rb"['\n\t\r]| =|= ")
_NAMED = {"amp": "&", "lt": "<", "gt": ">", "quot": '"', "apos": "'"}


class Element(NamedTuple):
    """Where an element lies: its start tag, its content, its end. An empty tag has its content at its own end."""

    start: int
    tag_end: int
    content_end: int
    end: int

    @property
    def empty(self) -> bool:
        """Whether it is written as a single tag, ``<sheetData/>``."""
        return self.tag_end == self.end


class Change(NamedTuple):
    """Bytes ``start`` to ``end`` become ``text``."""

    start: int
    end: int
    text: bytes


class Markup:
    """
    The bytes of one part, with what is needed to find things in them.

    ``text`` has the same length as ``data``, with comments, CDATA and processing instructions blanked out, so that
    whatever is found there lies at the same place in ``data``. ``prefix`` is b"" or b"x:", as the part's main
    namespace is written.
    """

    def __init__(self, data: bytes, name: str, namespace: str = MAIN) -> None:
        """Look at the root of a part; raises WorkbookRefused when it is not UTF-8 or not of the namespace."""
        self.data = data
        self.name = name
        self.text = blank_hidden(data, name)
        root = _ROOT.search(self.text)
        if root is None:
            raise WorkbookRefused.because(THE_FILE, "part damaged", name)
        self.root_tag = data[root.start() : root.end()]
        self.root_end = root.end()
        self.root_start = root.start()
        self.prefix = _prefix_of(self.root_tag, root[1], namespace)

    def find(self, tag: str, start: int = 0, end: int | None = None) -> Element | None:
        """Find the first element of that name (one that never stands inside itself) at or after ``start``."""
        return find_element(self.text, self.prefix + tag.encode(), start, len(self.text) if end is None else end)

    def find_all(self, tag: str, start: int = 0, end: int | None = None) -> list[Element]:
        """Find every element of that name, in order."""
        found = []
        stop = len(self.text) if end is None else end
        element = self.find(tag, start, stop)
        while element is not None:
            found.append(element)
            element = self.find(tag, element.end, stop)
        return found

    def tag(self, element: Element) -> bytes:
        """Give the start tag of an element."""
        return self.data[element.start : element.tag_end]

    def opened(self, element: Element, name: str, inside: bytes, *, at_front: bool = False) -> Change:
        """Put bytes at the end (or the front) of an element's content, opening it if it is an empty tag."""
        if element.empty:
            tag = self.tag(element)
            return Change(
                element.start,
                element.end,
                tag[:-2].rstrip() + b">" + inside + b"</" + self.prefix + name.encode() + b">",
            )
        place = element.tag_end if at_front else element.content_end
        return Change(place, place, inside)

    @property
    def root_close(self) -> int:
        """Where the root's end tag begins; raises WorkbookRefused for an empty root, Unreadable for one left open."""
        if self.root_tag.endswith(b"/>"):
            raise WorkbookRefused.because(THE_FILE, "part empty", self.name)
        place = self.text.rfind(b"</")
        if place < self.root_end:
            raise Unreadable(self.name)
        return place


def blank_hidden(data: bytes, name: str) -> bytes:
    """Blank out comments, CDATA and instructions, keeping every place; raises WorkbookRefused unless UTF-8."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff") or data[:4] in (b"\x00\x00\xfe\xff", b"<\x00?\x00", b"\x00<\x00?"):
        raise _odd_encoding(name)
    found = _ENCODING.match(data[:200].removeprefix(b"\xef\xbb\xbf"))
    if found and found[1].lower() not in (b"utf-8", b"utf8", b"us-ascii", b"ascii"):
        raise _odd_encoding(name)
    prolog_end = data.find(b"?>", 0, 400) + 2 if b"<?xml" in data[:8] else 0
    declares = b"!" in data and holds(data, b"<!")  # a single sign is looked for many times as fast as two
    if not declares and (data.find(b"?", prolog_end) < 0 or not holds(data, b"<?", prolog_end)):
        return data
    return _HIDDEN.sub(lambda match: b" " * len(match[0]), data)


def holds(data: bytes, signs: bytes, start: int = 0, end: int | None = None) -> bool:
    """
    Whether signs stand somewhere between two places.

    Looked for from the end: where they do not stand, that takes a third of the time of ``find`` in Python 3.11.
    """
    return data.rfind(signs, start, end) >= 0


def _odd_encoding(name: str) -> WorkbookRefused:
    return WorkbookRefused.because(THE_FILE, "part not in UTF-8", name)


@lru_cache(maxsize=256)
def _prefix_of(root_tag: bytes, root_prefix: bytes | None, namespace: str) -> bytes:
    wanted = namespace.encode()
    own = b"xmlns:" + root_prefix if root_prefix else b"xmlns"
    bound = {key: value.strip() for key, value in attributes(root_tag)}
    if bound.get(own) == wanted:
        return root_prefix + b":" if root_prefix else b""
    raise WorkbookRefused.because(THE_FILE, "strict workbook")


@lru_cache(maxsize=512)
def _start_pattern(tag: bytes) -> re.Pattern[bytes]:
    return re.compile(rb"<" + re.escape(tag) + rb"(?=[\s/>])" + ATTRIBUTES + rb">")


@lru_cache(maxsize=512)
def _end_pattern(tag: bytes) -> re.Pattern[bytes]:
    return re.compile(rb"</" + re.escape(tag) + rb"\s*>")


def start_pattern(tag: bytes) -> re.Pattern[bytes]:
    """Give the pattern of a start tag of that full name."""
    return _start_pattern(tag)


def find_element(text: bytes, tag: bytes, start: int, end: int) -> Element | None:
    """Find the first element of that full name between two places; None when there is none or it never closes."""
    opened = _start_pattern(tag).search(text, start, end)
    if opened is None:
        return None
    if text[opened.end() - 2] == 0x2F:
        return Element(opened.start(), opened.end(), opened.end(), opened.end())
    closed = _end_pattern(tag).search(text, opened.end(), end)
    if closed is None:
        return None
    return Element(opened.start(), opened.end(), closed.start(), closed.end())


def attributes(tag: bytes) -> list[tuple[bytes, bytes]]:
    """List the attributes of a start tag, names and raw values, in their order."""
    return [(match[1], match[2][1:-1]) for match in _ATTRIBUTE.finditer(tag)]


def attribute(tag: bytes, name: str) -> str | None:
    """
    Read one attribute of a start tag.

    >>> attribute(b'<row r="7" ht="15">', "r"), attribute(b'<row r="7">', "s"), attribute(b"<row r = '7'>", "r")
    ('7', None, '7')
    """
    wanted = name.encode()
    if _UNUSUAL.search(tag) is None:  # then a name in double quotes can stand in no other attribute's value
        place = tag.find(b" " + wanted + b'="')
        if place < 0:
            return None
        start = place + len(wanted) + 3
        end = tag.find(b'"', start)
        return unescape(decoded(tag[start:end]))
    for key, value in attributes(tag):
        if key == wanted:
            return unescape(decoded(value))
    return None


def decoded(raw: bytes) -> str:
    """Read UTF-8; raises Unreadable where it is not."""
    try:
        return raw.decode()
    except UnicodeDecodeError as error:
        raise Unreadable(str(error)) from None


def set_attribute(tag: bytes, name: str, value: str | None) -> bytes:
    """
    Change, add or (None) take away one attribute of a start tag, leaving the rest of the tag as it is.

    >>> set_attribute(b'<calcPr calcId="1"/>', "fullCalcOnLoad", "1")
    b'<calcPr calcId="1" fullCalcOnLoad="1"/>'
    >>> set_attribute(b'<c r="A1" t="s">', "t", None)
    b'<c r="A1">'
    """
    wanted = name.encode()
    for match in _ATTRIBUTE.finditer(tag):
        if match[1] == wanted:
            if value is None:
                return tag[: match.start()] + tag[match.end() :]
            quote = match[2][:1]
            written = escape_attribute(value).encode()
            return tag[: match.start(2)] + quote + written + quote + tag[match.end(2) :]
    if value is None:
        return tag
    close = len(tag) - (2 if tag.endswith(b"/>") else 1)
    while tag[close - 1 : close].isspace():
        close -= 1
    return tag[:close] + b" " + wanted + b'="' + escape_attribute(value).encode() + b'"' + tag[close:]


def escape_attribute(text: str) -> str:
    """Write text for an attribute, whichever quotes stand around it."""
    for sign, written in (
        ("&", "&amp;"),
        ("<", "&lt;"),
        (">", "&gt;"),
        ('"', "&quot;"),
        ("'", "&apos;"),
        ("\n", "&#10;"),
        ("\t", "&#9;"),
        ("\r", "&#13;"),
    ):
        text = text.replace(sign, written)
    return text


def unescape(text: str) -> str:
    """Undo the five named references and the numbered ones."""
    if "&" not in text:
        return text
    return _REFERENCE.sub(_one_reference, text)


def _one_reference(match: re.Match[str]) -> str:
    name = match[1]
    if name.startswith("#x"):
        return chr(int("0" + name[1:], 16)) if len(name) < 8 else match[0]
    return chr(int(name[1:])) if name.startswith("#") else _NAMED[name]


def splice(data: bytes, changes: list[Change]) -> bytes:
    """
    Apply changes; those at the same place go in the order given. Raises Unreadable when two overlap.

    >>> splice(b"abcdef", [Change(4, 5, b""), Change(1, 2, b"BB")])
    b'aBBcdf'
    """
    view = memoryview(data)
    pieces: list[bytes | memoryview] = []
    place = 0
    for change in sorted(changes, key=lambda one: (one.start, one.end)):
        if change.start < place:
            msg = "its rows or cells overlap"
            raise Unreadable(msg)
        pieces += [view[place : change.start], change.text]
        place = change.end
    pieces.append(view[place:])
    return b"".join(pieces)


def opened(tag: bytes) -> bytes:
    """Return a tag as one that has content."""
    return tag[:-2].rstrip() + b">" if tag.endswith(b"/>") else tag
