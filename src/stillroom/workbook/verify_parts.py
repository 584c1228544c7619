"""The check of changed parts other than sheets: each may only have grown in the one way that is claimed."""

from __future__ import annotations

import re
import xml.parsers.expat as expat
import zipfile
from functools import lru_cache
from typing import NamedTuple

from stillroom.workbook.claims import Claims

_SIMPLE_ITEM = re.compile(rb"<si><t(?: xml:space=\"preserve\")?>([^<>&\r]*)</t></si>")
_STYLE_LISTS = ("numFmts", "fonts", "fills", "borders", "cellStyleXfs", "cellXfs", "cellStyles", "dxfs")


def well_formed(content: bytes) -> str | None:
    """Say why a part is not XML without a document type; None when it is."""
    parser = expat.ParserCreate()
    doctypes: list[str] = []
    parser.StartDoctypeDeclHandler = lambda name, *_: doctypes.append(name)
    try:
        parser.Parse(content, True)
    except (expat.ExpatError, LookupError) as error:
        return f"it is not well-formed ({error})"
    return "it declares a document type" if doctypes else None


def part_complaints(name: str, role: str, contents: tuple[bytes, bytes], claims: Claims) -> list[str]:
    """Compare a changed part with the old one, by what it is to the workbook."""
    old, new = contents
    if name in claims.grown:
        return _table(old, new, claims.grown[name])
    if role == "sharedStrings":
        return _lists(old, new, ("sst",))
    if role == "relations":
        return _lines(old, new, rb"<(?:\w+:)?Relationship\s[^>]*?/>", "Target", claims)
    if role == "types":
        return _lines(old, new, rb"<(?:\w+:)?Override\s[^>]*?/>", "PartName", claims)
    if role == "styles":
        return _lists(old, new, _STYLE_LISTS)
    return _workbook(old, new, claims)


def _table(old: bytes, new: bytes, area: str) -> list[str]:
    pattern = re.compile(
        rb"""(<(?:\w+:)?(table|autoFilter)\s(?:[^>"']|"[^"]*"|'[^']*')*?\bref\s*=\s*)("[^"]*"|'[^']*')"""
    )
    refs = [(match[2], match[3][1:-1].decode()) for match in pattern.finditer(new)]
    if pattern.sub(rb"\1", old) != pattern.sub(rb"\1", new):
        return ["more than the area of the table was changed"]
    before = {match[2]: match[3][1:-1].decode() for match in pattern.finditer(old)}
    for kind, ref in refs:
        if kind == b"table" and ref != area:
            return [f"the table covers {ref}, not {area}"]
        if kind == b"autoFilter" and (
            ref.split(":")[0] != before[kind].split(":")[0] or ref.split(":")[-1] != area.split(":")[-1]
        ):
            return [f"the filter of the table covers {ref}"]
    return []


class _List(NamedTuple):
    """A list in a part: where it begins and ends, its attributes, its content, and its end tag as it is written."""

    start: int
    end: int
    attributes: bytes
    inside: bytes = b""
    closing: bytes = b""


@lru_cache(maxsize=64)
def _list_pattern(name: str) -> re.Pattern[bytes]:
    tag = rb"(?:\w+:)?" + name.encode()
    return re.compile(rb"""<(""" + tag + rb""")(?=[\s/>])((?:[^>"']|"[^"]*"|'[^']*')*?)(/?)>""")


def _list_in(data: bytes, name: str) -> _List | None:
    """Find a list by its name, up to the first end tag of that name."""
    for opened in _list_pattern(name).finditer(data):
        if opened[3]:
            return _List(opened.start(), opened.end(), opened[2])
        closed = re.compile(rb"</" + re.escape(opened[1]) + rb"\s*>").search(data, opened.end())
        if closed is not None:
            inside = data[opened.end() : closed.start()]
            return _List(opened.start(), closed.end(), opened[2], inside, closed[0])
    return None


def _lists(old: bytes, new: bytes, names: tuple[str, ...]) -> list[str]:
    """Each of these lists must begin with all it held before, and outside them nothing may differ."""
    for name in names:
        before, after = _list_in(old, name), _list_in(new, name)
        if after is None:
            if before is not None:
                return [f"the list {name} is gone"]
            continue
        if not _continues(before.inside if before else b"", after.inside):
            return [f"the list {name} does not begin with what it held before"]
        attributes = re.compile(rb"""\s(?:count|uniqueCount)\s*=\s*("[^"]*"|'[^']*')""")
        if before is not None and (
            attributes.sub(b"", before.attributes).strip() != attributes.sub(b"", after.attributes).strip()
        ):
            return [f"the attributes of the list {name} were changed"]
        if before is not None and before.closing and before.closing != after.closing:
            return [f"the end of the list {name} was changed"]
        old = old[: before.start] + old[before.end :] if before else old
        new = new[: after.start] + new[after.end :]
    return [] if old == new else ["something outside its lists was changed"]


def _continues(held: bytes, holds: bytes) -> bool:
    """Whether a list only got more elements at its end, an extension list at its very end staying where it is."""
    last = b""
    if not holds.startswith(held):
        match = re.search(rb"<(?:\w+:)?extLst[\s>].*\Z", held, re.DOTALL)
        if match is None:
            return False
        held, last = held[: match.start()], match[0]
    if not (holds.startswith(held) and holds.endswith(last)):
        return False
    return _only_elements(holds[len(held) : len(holds) - len(last)])


def _only_elements(added: bytes) -> bool:
    """Whether bytes are whole elements with no text between them."""
    depth = [0]
    stray: list[str] = []
    parser = expat.ParserCreate()
    parser.StartElementHandler = lambda *_: depth.append(0)
    parser.EndElementHandler = lambda _: depth.pop()
    parser.CharacterDataHandler = lambda text: stray.append(text) if len(depth) == 2 else None
    try:
        parser.Parse(b"<all>" + added + b"</all>", True)
    except expat.ExpatError:
        return False
    return not stray


def _lines(old: bytes, new: bytes, pattern: bytes, key: str, claims: Claims) -> list[str]:
    """Lines of relationships or content types may only come and go for parts that were added or dropped."""
    find_key = re.compile(rb"\b" + key.encode() + rb"""\s*=\s*["']([^"']*)["']""")
    names = {name.rpartition("/")[2].encode() for name in (*claims.added, *claims.dropped)}

    def unowned(data: bytes) -> tuple[bytes, list[bytes]]:
        owned: list[bytes] = []

        def one(match: re.Match[bytes]) -> bytes:
            found = find_key.search(match[0])
            if found and found[1].rpartition(b"/")[2] in names:
                owned.append(match[0])
                return b""
            return match[0]

        return re.sub(pattern, one, data), owned

    rest_old, _ = unowned(old)
    rest_new, _ = unowned(new)
    opened = re.compile(rb"<((?:\w+:)?Relationships)([^>]*?)/>")
    rest_old = opened.sub(rb"<\1\2></\1>", rest_old)
    return [] if rest_old == rest_new else ["lines of parts that were not added or dropped were changed"]


def _workbook(old: bytes, new: bytes, claims: Claims) -> list[str]:
    """In the workbook part only calculation on load may be set, and sheets and their own names put at the end."""
    calc = re.compile(rb"""<(?:\w+:)?calcPr(?=[\s/>])((?:[^>"']|"[^"]*"|'[^']*')*?)(?:/>|></(?:\w+:)?calcPr\s*>)""")
    before, after = calc.search(old), calc.search(new)
    switch = re.compile(rb"""\sfullCalcOnLoad\s*=\s*("[^"]*"|'[^']*')""")
    if before is not None and (
        after is None or switch.sub(b"", before[1]).strip() != switch.sub(b"", after[1]).strip()
    ):
        return ["the settings of calculation were changed"]
    if (
        after is not None
        and after[0] != (before[0] if before else b"")
        and not re.search(rb"""fullCalcOnLoad\s*=\s*["']1["']""", after[0])
    ):
        return ["calculation on load is not set"]
    old, new = calc.sub(b"", old), calc.sub(b"", new)
    names = ("sheets", "definedNames") if claims.added else ()
    return _lists(old, new, names)


def added_complaints(archive: zipfile.ZipFile, claims: Claims) -> list[str]:
    """Every added part must have a content type and a relationship; no dropped one may have either."""
    types = archive.read("[Content_Types].xml").decode()
    targets: set[str] = set()
    for name in archive.namelist():
        if name.lower().endswith(".rels"):
            targets |= {
                target.rpartition("/")[2]
                for target in re.findall(r"""\bTarget\s*=\s*["']([^"']*)["']""", archive.read(name).decode())
            }
    found = []
    for name in claims.added:
        if name.endswith(".rels"):
            continue
        if f'"/{name}"' not in types and f'Extension="{name.rpartition(".")[2]}"' not in types:
            found.append(f"{name}: it has no content type")
        if name.rpartition("/")[2] not in targets:
            found.append(f"{name}: nothing points to it")
    found += [f"{name}: it is gone, and still has a content type" for name in claims.dropped if f'"/{name}"' in types]
    return found


def shared_items(content: bytes) -> list[bytes]:
    """Cut the shared strings out of their part, unread, in their order; what stands behind an item may stick to it."""
    if b"!" in content and b"<!" in content:
        content = re.sub(rb"<!--.*?-->", b"", content, flags=re.DOTALL)
    pieces = content.split(b"<si>")[1:]
    if len(pieces) == content.count(b"<si") == content.count(b"</si>") and b":si" not in content:
        return [b"<si>" + piece for piece in pieces]
    pattern = rb"<((?:\w+:)?si)(?:\s[^>]*?)?(?:/>|>.*?</\1\s*>)"
    return [match[0] for match in re.finditer(pattern, content, re.DOTALL)]


def shared_text(item: bytes) -> str:
    """Read one shared string, its phonetic reading left out."""
    simple = _SIMPLE_ITEM.match(item)
    if simple is not None:
        return plain_text(simple[1].decode())
    pieces: list[str] = []
    path: list[str] = []
    parser = expat.ParserCreate()
    parser.StartElementHandler = lambda name, _: path.append(name.rpartition(":")[2])
    parser.EndElementHandler = lambda _: path.pop()
    parser.CharacterDataHandler = lambda text: pieces.append(text) if path[-1] == "t" and "rPh" not in path else None
    end = item.rfind(b"</si>") + 5
    parser.Parse(item[:end] if end > 4 else item, True)
    return plain_text("".join(pieces))


def plain_text(text: str) -> str:
    """Undo the escapes of control characters (ECMA-376 Part 1, 22.9.2.19)."""
    if "_x" not in text:
        return text
    return re.sub("_x([0-9A-Fa-f]{4})_", lambda match: chr(int(match[1], 16)), text)
