"""
Was anything lost: an own comparison of two workbooks, sharing nothing with the writer or its verifier.

Members are compared as they lie in the zip file (compressed bytes, method, date, attributes). A sheet part in which we
own cells is compared byte for byte once these cells are cut out. Lists that may only grow (styles, strings, sheets,
names, content types, relationships, custom properties) must begin with all they held.
"""

from __future__ import annotations

import re
import struct
import zipfile
from collections.abc import Mapping
from io import BytesIO

from lxml import etree

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
GROWING = {
    "numFmts", "fonts", "fills", "borders", "cellStyleXfs", "cellXfs", "cellStyles", "dxfs", "sst", "sheets", "definedNames", "Types", "Relationships",
    "Properties",
}  # fmt: skip
Owned = Mapping[str, frozenset[tuple[int, int]]]


OUR_HISTORY, OUR_PROPERTY = b"urn:stillroom:history", "stillroom history"
"""The part and the property with the ids of the file: each save has another."""


def differences(before: bytes, after: bytes, owned: Owned) -> list[str]:
    """Say everything that differs and is not ours; an empty list is what must come of it."""
    old, new = zipfile.ZipFile(BytesIO(before)), zipfile.ZipFile(BytesIO(after))
    parts, roles = sheet_parts(old), roles_of(old)
    found = []
    names = [info.filename for info in old.infolist()]
    if [info.filename for info in new.infolist()][: len(names)] != names and not dropped(old, new, roles):
        found.append("the order of the members was changed")
    if old.comment != new.comment:
        found.append("the comment of the file was changed")
    for info in old.infolist():
        name = info.filename
        if name not in new.namelist():
            if roles.get(name) != "calcChain":
                found.append(f"{name} is gone")
            continue
        if raw(before, info) == raw(after, new.getinfo(name)) or OUR_HISTORY in old.read(name):
            continue
        if name in parts and owned.get(parts[name]):
            found += sheet_differences(name, old.read(name), new.read(name), owned[parts[name]])
        elif roles.get(name) in (
            "workbook",
            "styles",
            "sharedStrings",
            "types",
            "relations",
            "lines",
            "custom-properties",
        ):
            found += grown_only(name, old.read(name), new.read(name))
        elif roles.get(name) == "table" and parts_table(old, name) in owned:
            found += table_differences(name, old.read(name), new.read(name))
        else:
            found.append(f"{name} was changed")
    return found


def dropped(old: zipfile.ZipFile, new: zipfile.ZipFile, roles: Mapping[str, str]) -> bool:
    """Whether the only difference in the order of members is the calculation chain that was taken away."""
    there = set(new.namelist())
    kept = [name for name in old.namelist() if name in there]
    return new.namelist()[: len(kept)] == kept and all(
        roles.get(name) == "calcChain" for name in old.namelist() if name not in there
    )


def raw(data: bytes, info: zipfile.ZipInfo) -> tuple[object, ...]:
    """What a member is in the zip file, but for its place."""
    place = info.header_offset
    name, extra = struct.unpack_from("<HH", data, place + 26)
    start = place + 30 + name + extra
    return (data[start : start + info.compress_size], info.compress_type, info.CRC, info.date_time, info.external_attr, info.flag_bits,
            data[place + 30 : start], info.comment, info.create_system)  # fmt: skip


def roles_of(archive: zipfile.ZipFile) -> dict[str, str]:
    """What each member is to the workbook, by the relationships."""
    spelled = {name.casefold(): name for name in archive.namelist()}
    roles = {"[Content_Types].xml": "types"}
    for name in archive.namelist():
        if not name.endswith(".rels"):
            continue
        folder = name.partition("_rels/")[0]
        for line in etree.fromstring(archive.read(name)):
            if line.get("TargetMode") == "External":
                continue
            target = line.get("Target", "")
            path = target[1:] if target.startswith("/") else folder + target
            while re.search(r"[^/]+/\.\./", path):
                path = re.sub(r"[^/]+/\.\./", "", path, count=1)
            kind = line.get("Type", "").rpartition("/")[2]
            roles[spelled.get(path.casefold(), path)] = {"officeDocument": "workbook"}.get(kind, kind)
    book = next(name for name, role in roles.items() if role == "workbook")
    head, _, tail = book.rpartition("/")
    roles[f"{head}/_rels/{tail}.rels"] = "relations"
    roles[spelled.get("_rels/.rels", "_rels/.rels")] = "lines"  # of the whole file
    return roles


def sheet_parts(archive: zipfile.ZipFile) -> dict[str, str]:
    """The name of the sheet of each sheet part."""
    roles = roles_of(archive)
    book = next(name for name, role in roles.items() if role == "workbook")
    rels = next(name for name, role in roles.items() if role == "relations")
    spelled = {name.casefold(): name for name in archive.namelist()}
    targets = {}
    for line in etree.fromstring(archive.read(rels)):
        target = line.get("Target", "")
        path = target[1:] if target.startswith("/") else f"{book.rpartition('/')[0]}/{target}"
        targets[line.get("Id")] = spelled.get(path.casefold(), path)
    root = etree.fromstring(archive.read(book))
    office = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
    return {
        targets[sheet.get(office)]: sheet.get("name", "")
        for sheet in root.iter(f"{MAIN}sheet")
        if sheet.get(office) in targets
    }


def parts_table(archive: zipfile.ZipFile, part: str) -> str:
    """The name of the sheet a table stands on."""
    for sheet_part, name in sheet_parts(archive).items():
        head, _, tail = sheet_part.rpartition("/")
        rels = f"{head}/_rels/{tail}.rels"
        if rels in archive.namelist() and part.rpartition("/")[2].encode() in archive.read(rels):
            return name
    return ""


CELL = re.compile(rb"<((?:\w+:)?)(row|c)(?=[\s/>])((?:[^>\"']|\"[^\"]*\"|'[^']*')*?)(/?)>")


def sheet_differences(name: str, old: bytes, new: bytes, owned: frozenset[tuple[int, int]]) -> list[str]:
    """Cut our cells out of both, and rows that hold nothing any more; the rest has to be the same bytes."""
    rest = [without_cells(content, owned) for content in (old, new)]
    return (
        [] if rest[0] == rest[1] else [f"{name}: bytes outside our cells were changed, from {first_difference(*rest)}"]
    )


def without_cells(content: bytes, owned: frozenset[tuple[int, int]]) -> bytes:
    """The sheet part without the cells of that set, its dimension and its empty rows."""
    out, place, row, column = [], 0, 0, 0
    for match in CELL.finditer(content):
        if match.start() < place:
            continue
        given = re.search(rb"\sr\s*=\s*[\"']([A-Z]*)(\d+)", match[3])
        if match[2] == b"row":
            row, column = (int(given[2]) if given else row + 1), 0
            continue
        column = column_number(given[1]) if given else column + 1
        end = match.end() if match[4] else content.index(b"</" + match[1] + b"c", match.end())
        end = end if match[4] else content.index(b">", end) + 1
        if (row, column) in owned:
            out.append(content[place : match.start()])
            place = end
    rest = b"".join([*out, content[place:]])
    rest = re.sub(rb"<(?:\w+:)?dimension\s[^>]*>", b"", rest)
    return re.sub(rb"<((?:\w+:)?row)(?=[\s/>])[^>]*(?<!/)>\s*</\1\s*>|<(?:\w+:)?row(?=[\s/>])[^>]*/>", b"", rest)


def column_number(letters: bytes) -> int:
    """The number of a column."""
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def first_difference(one: bytes, other: bytes) -> str:
    """Where two texts part."""
    place = next(
        (place for place, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other))
    )
    return f"{one[max(0, place - 40) : place + 60]!r} to {other[max(0, place - 40) : place + 60]!r}"


def grown_only(name: str, old: bytes, new: bytes) -> list[str]:
    """Every element is as it was, but that lists may be longer, their counts with them, and calculation is set."""
    return [f"{name}: {words}" for words in grown(etree.fromstring(old), etree.fromstring(new))]


def grown(old: etree._Element, new: etree._Element) -> list[str]:
    """Compare two elements."""
    kind = etree.QName(old).localname if isinstance(old.tag, str) else ""
    if kind == "property" and old.get("name") == new.get("name") == OUR_PROPERTY:
        return []
    free = {"count", "uniqueCount"} if kind in GROWING else {"fullCalcOnLoad"} if kind == "calcPr" else set()
    kept = [{key: value for key, value in node.attrib.items() if key not in free} for node in (old, new)]
    if old.tag != new.tag or kept[0] != kept[1] or (old.text or "").strip() != (new.text or "").strip():
        return [f"{kind} is another"]
    mine, theirs = list(new), list(old)
    at_root = kind in ("workbook", "styleSheet")
    if at_root:
        names = {child.tag for child in theirs}
        mine = [
            child for child in mine if child.tag in names or etree.QName(child).localname not in {*GROWING, "calcPr"}
        ]
    if len(mine) < len(theirs) or (len(mine) > len(theirs) and kind not in GROWING):
        return [f"{kind} has {len(mine)} elements instead of {len(theirs)}"]
    return [words for before, after in zip(theirs, mine, strict=False) for words in grown(before, after)]


def table_differences(name: str, old: bytes, new: bytes) -> list[str]:
    """A table of ours may only have got longer."""
    cut = [re.sub(rb'(\sref\s*=\s*["\'][A-Z]+\d+:[A-Z]+)\d+', rb"\1", content) for content in (old, new)]
    return [] if cut[0] == cut[1] else [f"{name}: more than its length was changed"]
