"""The check of changed parts other than sheets: what is claimed is cut out of both, and the rest is the same bytes."""

from __future__ import annotations

import posixpath
import re
import urllib.parse
import xml.parsers.expat as expat
from collections.abc import Callable, Collection, Sequence
from functools import lru_cache
from typing import NamedTuple
from xml.etree.ElementTree import Element, TreeBuilder

from stillroom.workbook.ooxml.verify import Claims

WRITTEN_TABLES = frozenset(
    (
        *("plan", "timetable", "coverage", "space", "bottlenecks", "shopping", "cropuse", "seasonsofar", "messages"),
        *("canwait", "ifthingsgowrong", "winter", "merged"),
        *("reviewtargets", "reviewcrops", "reviewpreserves", "reviewequipment", "reviewyears", "reviewbottlenecks"),
    )
)
"""The tables the planner writes, by their names in small letters without spaces and underscores."""
TAG = rb"""(?>(?>[^>"'/]+|"[^"]*"|'[^']*'|/(?!>))*)"""
"""What stands in a start tag behind the name of its element, up to ``>`` or ``/>``."""
_ATTRIBUTE = re.compile(rb"""\s([^\s=>/"']+)\s*=\s*("[^"]*"|'[^']*')""")
_HIDDEN = re.compile(rb"<!--.*?-->|<!\[CDATA\[.*?\]\]>|<\?.*?\?>", re.DOTALL)
_PREFIX = re.compile(rb"<((?:[\w.\-]+:)?)\w")
_AREA = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7}):\$?([A-Z]{1,3})\$?([0-9]{1,7})")
_PLAIN_ITEM = re.compile(rb"<si><t(?: xml:space=\"preserve\")?>([^<>&\r]*)</t></si>")
_HISTORY = re.compile(rb"""<(?:[\w.\-]+:)?history\s[^<>]*["']urn:stillroom:history["']""")
_PROPERTY, _MOST_IN_PROPERTY = b"stillroom history", 19
_HEAD = b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_OWN_PROPERTY = (
    rb"""<((?:[\w.\-]+:)?)property fmtid="\{D5CDD505-2E9C-101B-9397-08002B2CF9AE\}" pid="[0-9]+" """
    rb"""name="stillroom history"><vt:lpwstr xmlns:vt="http://schemas\.openxmlformats\.org/officeDocument/2006/docPropsVTypes\""""
)
_STYLE_LISTS = ("numFmts", "fonts", "fills", "borders", "cellStyleXfs", "cellXfs", "cellStyles", "dxfs")


class Wrong(Exception):
    """The new file is not what it should be. A fault of the check itself is never raised as this."""


# ---- reading XML ---------------------------------------------------------------------------------------------------


def check_xml(content: bytes) -> None:
    """Raise Wrong unless a part is well-formed, in UTF-8, without a document type."""
    _parse(content)
    if not content.isascii():
        try:
            content.decode()
        except UnicodeDecodeError as error:
            raise Wrong("it is not UTF-8") from error


def parsed(content: bytes) -> Element:
    """Read XML, or one element out of it, into a tree; names keep their prefixes. Raises Wrong."""
    builder = TreeBuilder()
    _parse(content, builder)
    return builder.close()


def _parse(content: bytes, builder: TreeBuilder | None = None) -> None:
    parser = expat.ParserCreate()
    parser.StartDoctypeDeclHandler = _refuse_document_type
    if builder is not None:
        parser.buffer_text = True
        parser.StartElementHandler, parser.EndElementHandler = builder.start, builder.end
        parser.CharacterDataHandler = builder.data
    try:
        parser.Parse(content, True)
    except (expat.ExpatError, LookupError, ValueError) as error:  # the last two: a coding that expat does not know
        raise Wrong(f"it is not well-formed ({error})") from error


def _refuse_document_type(*_: object) -> None:
    raise Wrong("it declares a document type")


def local(node: Element) -> str:
    """Name an element without its prefix."""
    return node.tag.rpartition(":")[2]


def take(tag: bytes, name: bytes, mark: bytes = b"") -> tuple[bytes, bytes | None]:
    """Take an attribute out of a start tag: the tag with a mark in its place, and its value (None: it has none)."""
    if name in tag:
        for match in _ATTRIBUTE.finditer(tag):
            if match[1] == name:
                return tag[: match.start()] + mark + tag[match.end() :], match[2][1:-1]
    return tag, None


def whole(text: bytes) -> int:
    """Read a whole number; raises Wrong."""
    if re.fullmatch(rb"[0-9]{1,9}", text) is None:
        raise Wrong(f"{text[:40]!r} is no number")
    return int(text)


def visible(data: bytes) -> bytes:
    """Blank comments, CDATA and instructions out; every place stays. A part that has none is given as it is."""
    if data.rfind(b"<?") > 0 or (b"!" in data and data.rfind(b"<!") >= 0):  # from the end: a third of the time
        return _HIDDEN.sub(lambda match: b" " * len(match[0]), data)
    return data


def plain_text(text: str) -> str:
    """Undo the escapes of control characters (ECMA-376 Part 1, 22.9.2.19)."""
    if "_x" not in text:
        return text
    return re.sub("_x([0-9A-Fa-f]{4})_", lambda match: chr(int(match[1], 16)), text)


# ---- relationships and content types -------------------------------------------------------------------------------


def targets(rels: str, content: bytes) -> list[tuple[str, str]]:
    """Give, for each line of a part of relationships, the last word of its type and the member it points to."""
    nodes = (node for node in parsed(content) if local(node) == "Relationship")
    found = ((node.get("Type", "").rpartition("/")[2], _target(rels, node)) for node in nodes)
    return [(kind, target) for kind, target in found if target]


def _target(rels: str, node: Element) -> str:
    """Name the member that a relationship points to (ECMA-376 Part 2, 6.5), in small letters; "" outside the file."""
    if node.get("TargetMode") == "External":
        return ""
    path = urllib.parse.unquote(node.get("Target", "").partition("#")[0])
    folder = posixpath.dirname(posixpath.dirname(rels))
    return posixpath.normpath(path[1:] if path.startswith("/") else posixpath.join(folder, path)).casefold()


def relationships_of(part: str) -> str:
    """Name the member that holds the relationships of a part, "" for the whole file."""
    folder, name = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{name}.rels")


def roles(names: Sequence[str], read: Callable[[str], bytes]) -> dict[str, str]:
    """
    Give "workbook", "sharedStrings", "styles", "types", "relations", "properties" or "history" for what is that.

    The last two may hold the ids of the file, and lie where every program puts them. The others are read from the
    relationships of the package and of the workbook part (ECMA-376 Part 2, 6.5; Part 1, 12.3), wherever these parts
    lie and whatever they are called; ``read`` gives the content of a member.
    """
    spelled = {name.casefold(): name for name in names}

    def pointed_to(part: str) -> dict[str, str]:
        rels = spelled.get(relationships_of(part).casefold())
        lines = targets(rels, read(rels)) if rels is not None else []
        return {kind: spelled[target] for kind, target in reversed(lines) if target in spelled}

    found = {name: "relations" for low, name in spelled.items() if low.endswith(".rels")}
    found |= {name: "types" for low, name in spelled.items() if low == "[content_types].xml"}
    found |= {name: "properties" for low, name in spelled.items() if re.fullmatch(r"docprops/custom[^/]*\.xml", low)}
    items = [name for low, name in spelled.items() if re.fullmatch(r"customxml/[^/]+\.xml", low)]
    found |= {name: "history" for name in items if _HISTORY.search(read(name))}
    main = pointed_to("").get("officeDocument")
    if main is None:
        return found
    found |= {target: kind for kind, target in pointed_to(main).items() if kind in ("sharedStrings", "styles")}
    return found | {main: "workbook"}


def check_added(roles: dict[str, str], read: Callable[[str], bytes], claims: Claims) -> None:
    """Raise Wrong unless every added part has a content type and a relationship, and no dropped one has either."""
    named: set[str] = set()
    endings: set[str] = set()
    pointed_to: set[str] = set()
    for name, role in roles.items():
        if role == "types":
            lines = parsed(read(name))
            named |= {_part_name(node) for node in lines if local(node) == "Override"}
            endings |= {node.get("Extension", "").casefold() for node in lines if local(node) == "Default"}
        elif role == "relations":
            pointed_to |= {target for _, target in targets(name, read(name))}
    for name in claims.added:
        if name.casefold() not in named and name.rpartition(".")[2].casefold() not in endings:
            raise Wrong(f"{name} has no content type")
        if name.casefold() not in pointed_to and not name.endswith(".rels"):
            raise Wrong(f"nothing points to {name}")
    for name in claims.dropped:
        if name.casefold() in named | pointed_to:
            raise Wrong(f"{name} is gone, and still has a content type or a relationship")


def _part_name(override: Element) -> str:
    return override.get("PartName", "").lstrip("/").casefold()


# ---- changed parts -------------------------------------------------------------------------------------------------


def check_part(name: str, role: str, old: bytes, new: bytes, claims: Claims) -> None:
    """Compare a changed part with the old one, by what it is to the workbook; raises Wrong."""
    if name in claims.grown:
        _check_table(old, new, claims.grown[name].encode())
    elif role == "sharedStrings":
        _check_lists(old, new, ("sst",))
    elif role == "styles":
        _check_lists(old, new, _STYLE_LISTS)
    elif role == "relations":
        _check_lines(old, new, b"Relationship", claims, lambda node: _target(name, node))
    elif role == "types":
        _check_lines(old, new, b"Override", claims, _part_name)
    elif role == "properties":
        if not claims.history or _without_ids(old) != _without_ids(new):
            raise Wrong("more than the property of ours was changed")
    elif role == "history":
        if not claims.history or local(parsed(old)) != "history":
            raise Wrong("it is not ours, or nothing claims it")
    else:
        _check_workbook(old, new, claims)


def _check_table(old: bytes, new: bytes, area: bytes) -> None:
    """Only the area of the table and of its filter may be another."""
    (rest, before), (new_rest, after) = _without_areas(old), _without_areas(new)
    if rest != new_rest:
        raise Wrong("more than the area of the table was changed")
    if b"autoFilter" in before:
        before[b"autoFilter"] = before[b"autoFilter"].partition(b":")[0] + b":" + area.rpartition(b":")[2]
    if after != {**before, b"table": area}:
        raise Wrong(f"the table or its filter does not cover {area.decode()}")


def _without_areas(part: bytes) -> tuple[bytes, dict[bytes, bytes]]:
    """Cut the areas of a table and its filter out of their part."""
    areas: dict[bytes, bytes] = {}

    def cut(match: re.Match[bytes]) -> bytes:
        tag, area = take(match[0], b"ref", b"\0")
        if area is not None:
            areas[match[1]] = area
        return tag

    return re.sub(rb"<(?:[\w.\-]+:)?(table|autoFilter)(?=[\s/>])" + TAG + rb"/?>", cut, part), areas


def _check_lines(old: bytes, new: bytes, tag: bytes, claims: Claims, points_to: Callable[[Element], str]) -> None:
    """Lines of relationships or content types may only come and go for parts that were added or dropped."""
    owned = {name.casefold() for name in (*claims.added, *claims.dropped)}
    line = re.compile(rb"<((?:[\w.\-]+:)?" + tag + rb")(?=[\s/>])" + TAG + rb"(?:/>|>\s*</\1\s*>)")

    def rest(part: bytes) -> bytes:
        return line.sub(lambda match: b"" if points_to(parsed(match[0])) in owned else match[0], part)

    kept = rest(old)
    opened = re.sub(rb"<((?:[\w.\-]+:)?Relationships)(?=[\s/>])(" + TAG + rb")/>", rb"<\1\2></\1>", kept)
    if rest(new) not in (kept, opened):
        raise Wrong("lines of parts that were not added or dropped were changed")


def _without_ids(part: bytes) -> bytes:
    """Cut the property that holds the ids out of the custom properties; a root that was opened for it is one again."""
    one = re.compile(rb"<((?:[\w.\-]+:)?property)(?=\s)(" + TAG + rb")>.*?</\1\s*>", re.DOTALL)
    rest = one.sub(lambda match: b"" if take(match[2], b"name")[1] == _PROPERTY else match[0], part)
    return re.sub(rb"<((?:[\w.\-]+:)?Properties)(?=[\s/>])(" + TAG + rb")></\1>", rb"<\1\2/>", rest)


def check_history(roles: dict[str, str], read: Callable[[str], bytes], claims: Claims) -> None:
    """Raise Wrong unless the file carries the ids that are claimed, the property as many of them as it may."""
    if not claims.history:
        return
    item = _HEAD + b'<history xmlns="urn:stillroom:history">' + claims.history.encode() + b"</history>"
    if not any(role == "history" and read(name) == item for name, role in roles.items()):
        raise Wrong("it does not carry its ids")
    few = re.escape(" ".join(claims.history.split()[:_MOST_IN_PROPERTY]).encode())
    ours = re.compile(_OWN_PROPERTY + b">" + few + rb"</vt:lpwstr></\1property>")
    for name in [name for name, role in roles.items() if role == "properties"]:
        part = read(name)
        if len(ours.findall(part)) != sum(one.get("name", "").encode() == _PROPERTY for one in parsed(part)):
            raise Wrong(f"{name} does not carry its ids")


class _List(NamedTuple):
    """A list cut out of a part: its start tag without counts, what is in it, its end tag (b"": none), and the rest."""

    tag: bytes
    inside: bytes
    closing: bytes
    rest: bytes


def _cut_list(part: bytes, name: str) -> _List:
    prefix = _PREFIX.search(part)
    opened = _list_pattern((prefix[1] if prefix else b"") + name.encode()).search(part)
    if opened is None:
        return _List(b"", b"", b"", part)
    tag = take(take(opened[0], b"count")[0], b"uniqueCount")[0]
    if opened[2]:
        return _List(tag[:-2].rstrip() + b">", b"", b"", part[: opened.start()] + part[opened.end() :])
    closed = re.compile(rb"</" + opened[1] + rb"\s*>").search(part, opened.end())
    if closed is None:
        raise Wrong(f"the list {name} has no end")
    inside = part[opened.end() : closed.start()]
    return _List(tag, inside, closed[0], part[: opened.start()] + part[closed.end() :])


@lru_cache(maxsize=64)
def _list_pattern(name: bytes) -> re.Pattern[bytes]:
    return re.compile(rb"<(" + re.escape(name) + rb")(?=[\s/>])" + TAG + rb"(/?)>")


def _check_lists(old: bytes, new: bytes, names: tuple[str, ...]) -> None:
    """Each of these lists must begin with all it held before, and outside them nothing may differ."""
    for name in names:
        before, after = _cut_list(old, name), _cut_list(new, name)
        if before.tag and before.tag != after.tag:
            raise Wrong(f"the list {name} is gone, or its attributes were changed")
        if before.closing and before.closing != after.closing:
            raise Wrong(f"the end of the list {name} was changed")
        if before.inside != after.inside and not _continues(before.inside, after.inside):
            raise Wrong(f"the list {name} does not begin with what it held before")
        old, new = before.rest, after.rest
    if old != new:
        raise Wrong("something outside its lists was changed")


def _continues(held: bytes, holds: bytes) -> bool:
    """Whether a list only got more elements at its end, an extension list at its very end staying where it is."""
    last = b""
    if not holds.startswith(held):
        starts = [match.start() for match in re.finditer(rb"<(?:[\w.\-]+:)?extLst[\s/>]", held)]
        if not starts or not _only_elements(held[starts[-1] :]):
            return False
        held, last = held[: starts[-1]], held[starts[-1] :]
    if not (holds.startswith(held) and holds.endswith(last) and len(holds) >= len(held) + len(last)):
        return False
    return _only_elements(holds[len(held) : len(holds) - len(last)])


def _only_elements(added: bytes) -> bool:
    """Whether bytes are whole elements with nothing between them."""
    nodes = parsed(b"<all>" + added + b"</all>")
    return b"<!" not in added and not nodes.text and not any(node.tail for node in nodes)


def _check_workbook(old: bytes, new: bytes, claims: Claims) -> None:
    """In the workbook part only calculation on load may be set, and sheets and their own names put at the end."""
    element = re.compile(rb"<((?:[\w.\-]+:)?calcPr)(?=[\s/>])" + TAG + rb"(?:/>|></\1\s*>)")
    before, after = element.search(old), element.search(new)
    if before is not None and after is None:
        raise Wrong("the settings of calculation are gone")
    if after is not None and (before is None or before[0] != after[0]):
        rest, switch = take(after[0], b"fullCalcOnLoad")
        if switch != b"1":
            raise Wrong("calculation on load is not set")
        if before is not None and rest != take(before[0], b"fullCalcOnLoad")[0]:
            raise Wrong("the settings of calculation were changed")
    old, new = element.sub(b"", old, count=1), element.sub(b"", new, count=1)
    _check_lists(old, new, ("sheets", "definedNames") if claims.added else ())


# ---- shared strings, tables ----------------------------------------------------------------------------------------


class SharedStrings:
    """The shared strings of a part: found at once, each read when a cell first points to it."""

    def __init__(self, part: bytes) -> None:
        """Find where each string begins; the last one ends with the part."""
        found = re.finditer(rb"<(?:[\w.\-]+:)?si[\s/>]", visible(part))
        self._part = part
        self._starts = [*(match.start() for match in found), len(part)]
        self._texts: dict[int, str] = {}

    def text(self, number: int) -> str | None:
        """Give a string by its number, its phonetic reading left out; None when there is none. Raises Wrong."""
        if number not in self._texts and 0 <= number < len(self._starts) - 1:
            self._texts[number] = _shared_text(self._part[self._starts[number] : self._starts[number + 1]])
        return self._texts.get(number)


def _shared_text(item: bytes) -> str:
    """Read one shared string; what stands behind it may stick to it."""
    simple = _PLAIN_ITEM.match(item)
    if simple is not None:
        return plain_text(simple[1].decode(errors="replace"))
    prefix = _PREFIX.match(item)
    closing = b"</" + (prefix[1] if prefix else b"") + b"si"
    end = item.rfind(closing)
    if end < 0:  # <si/>
        return ""
    texts: list[str | None] = []
    for child in parsed(item[:end] + closing + b">"):
        kind = local(child)
        texts += [child.text] if kind == "t" else [run.text for run in child if kind == "r" and local(run) == "t"]
    return plain_text("".join(text or "" for text in texts))


class Body(NamedTuple):
    """The rows of a table below its headings, and its columns."""

    rows: range
    columns: range


def planned_bodies(sheet: str, tables: Collection[str], read: Callable[[str], bytes]) -> list[Body]:
    """Say where the bodies of these tables of a sheet lie; raises Wrong for one that is not the planner's to fit."""
    rels = relationships_of(sheet)
    standing = {target for kind, target in targets(rels, read(rels)) if kind == "table"}
    for table in tables:
        if table.casefold() not in standing:
            raise Wrong(f"{table} is no table of this sheet")
    return [_body(table, read(table)) for table in tables]


def _body(table: str, part: bytes) -> Body:
    """Read where a table's body lies (ECMA-376 Part 1, 18.5.1.2)."""
    root = parsed(part)
    names = {re.sub(r"[\s_]+", "", root.get(name, "")).casefold() for name in ("name", "displayName")}
    area = _AREA.fullmatch(root.get("ref", ""))
    if area is None or not names & WRITTEN_TABLES:
        raise Wrong(f"{table} is not a table that the planner writes")
    first = int(area[2]) + whole(root.get("headerRowCount", "1").encode())
    last = int(area[4]) - whole(root.get("totalsRowCount", "0").encode())
    return Body(range(first, last + 1), range(column_number(area[1].encode()), column_number(area[3].encode()) + 1))


@lru_cache(maxsize=20_000)
def column_number(letters: bytes) -> int:
    """Count a column's letters out: B is 2."""
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number
