"""
The ids that a workbook carries: its own and those of the states it descends from, the newest first.

They are kept in a custom XML part of ours and, the newest of them, in a custom document property (ECMA-376 Part 1,
15.2.5, 15.2.6 and 22.3): a program that drops one of the two mostly keeps the other. No clock and no chance goes into
an id: it is made of what is in the file and of the ids before it, so the same edits of the same file give the same
bytes. Whether a file is still as it was written can be told from the id too: a file that another program has saved
since has an id of its own, in front of those it carries.

Only the newest ids are kept. A copy that is older than all of them is taken for another branch: a file is then kept
that need not be, and never lost one that should.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import itertools
import re
import struct
import zipfile
import zlib
from collections.abc import Iterable
from pathlib import Path

from stillroom.errors import WorkbookRefused
from stillroom.workbook.ooxml.package import Package
from stillroom.workbook.ooxml.values import Unreadable
from stillroom.workbook.ooxml.xml import RELATIONS, Change, Markup, attribute, splice

History = tuple[str, ...]
"""The id of a state of a workbook, and behind it the ids of the states it descends from, the newest first."""

MOST, ID_LENGTH = 200, 12
MOST_IN_PROPERTY = 19
"""As many as fit into 255 characters, which is what spreadsheet programs let a property have."""
NAME, SPACE = "stillroom history", "urn:stillroom:history"
_PROPERTIES = "http://schemas.openxmlformats.org/officeDocument/2006/custom-properties"
_PROPERTIES_TYPE = "application/vnd.openxmlformats-officedocument.custom-properties+xml"
_VALUES = "http://schemas.openxmlformats.org/officeDocument/2006/docPropsVTypes"
_OWN_FORMAT = "{D5CDD505-2E9C-101B-9397-08002B2CF9AE}"
_ITEM_PROPERTIES_TYPE = "application/vnd.openxmlformats-officedocument.customXmlProperties+xml"
_HEAD = b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_ITEM_PROPERTIES = _HEAD + (
    b'<ds:datastoreItem ds:itemID="{8B3C8F5E-6D0A-4B65-9D6B-0C5D2C7B9A10}" '
    b'xmlns:ds="http://schemas.openxmlformats.org/officeDocument/2006/customXml">'
    b'<ds:schemaRefs><ds:schemaRef ds:uri="urn:stillroom:history"/></ds:schemaRefs></ds:datastoreItem>'
)
_MAY_CARRY = re.compile(r"customxml/[^/]+\.xml|docprops/custom[^/]*\.xml")
_LARGEST = 1 << 20
_IN_ITEM = re.compile(
    rb"""<(?:[\w.\-]+:)?history\s[^<>]*xmlns[^<>]*["']""" + SPACE.encode() + rb"""["'][^<>]*>([0-9a-f\s]*)<"""
)
_IN_PROPERTY = re.compile(
    rb"""\sname\s*=\s*["']""" + NAME.encode() + rb"""["'][^<>]*>\s*<(?:[\w.\-]+:)?lpwstr\b[^<>]*>([0-9a-f\s]*)<"""
)


def history(file: Path | bytes) -> History:
    """Return the ids of a workbook, the id of its present state first; nothing for what cannot be read as a zip."""
    carried: dict[str, History] = {}
    try:
        with zipfile.ZipFile(io.BytesIO(file) if isinstance(file, bytes) else file) as whole:
            members = whole.infolist()
            for one in members:
                if _MAY_CARRY.fullmatch(one.filename.casefold()) and one.file_size <= _LARGEST:
                    ids = _ids_in(whole.read(one))
                    carried |= {one.filename: ids} if ids else {}
    except (OSError, EOFError, ValueError, RuntimeError, zipfile.BadZipFile, zlib.error, struct.error):
        return ()
    ids = max(carried.values(), key=len, default=())
    sums = [one.CRC for one in members if one.filename not in carried]
    return ids if ids and ids[0] == _identify(ids[1:], sums) else (_identify(ids, sums), *ids)


def _ids_in(part: bytes) -> History:
    found = _IN_ITEM.search(part) or _IN_PROPERTY.search(part)
    return tuple(found[1].decode().split()) if found is not None else ()


def _identify(before: History, sums: Iterable[int]) -> str:
    """Return the id of a state: of the checksums of its members, but for those that carry ids, and the ids before."""
    lines = [*before, *(f"{one:08x}" for one in sorted(sums))]
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()[:ID_LENGTH]


def stamp(package: Package, joined: History = ()) -> str:
    """
    Give a changed package its id and the ids it descends from; return them as they are written.

    `joined` are those of another branch that was joined with it: the newest of both are kept.
    """
    both = itertools.chain.from_iterable(itertools.zip_longest(history(package.container.data), joined))
    before = tuple(dict.fromkeys(one for one in both if one is not None))[: MOST - 1]
    item, properties = _item(package), _properties(package)
    sums = {one.name: one.crc for one in package.container.members if one.name not in package.dropped}
    sums |= {name: zlib.crc32(content) for name, content in {**package.changed, **package.added}.items()}
    ids = (_identify(before, [one for name, one in sums.items() if name not in (item, properties)]), *before)
    text = " ".join(ids)
    package.replace(item, _HEAD + f'<history xmlns="{SPACE}">{text}</history>'.encode())
    if properties is not None:
        package.replace(properties, with_property(package.part(properties), " ".join(ids[:MOST_IN_PROPERTY])))
    return text


def _item(package: Package) -> str:
    """Name the custom XML part of ours; it is added where there is none."""
    names = [*package.container.by_name, *package.added]
    for name in names:
        if name.casefold().startswith("customxml/") and package.has(name) and _IN_ITEM.search(package.part(name)):
            return name
    taken = package.taken_names()
    number = next(
        one for one in itertools.count(1) if not {f"customxml/item{one}.xml", f"customxml/itemprops{one}.xml"} & taken
    )
    item, about = f"customXml/item{number}.xml", f"customXml/itemProps{number}.xml"
    package.add(item, b"", None if package.content_type(item) == "application/xml" else "application/xml")
    package.add(about, _ITEM_PROPERTIES, _ITEM_PROPERTIES_TYPE)
    package.relate(package.workbook_part, f"{RELATIONS}/customXml", item)
    package.relate(item, f"{RELATIONS}/customXmlProps", about)
    return item


def _properties(package: Package) -> str | None:
    """Name the part of custom properties, added where there is none; None where ours cannot be put into theirs."""
    found = [one.target for one in package.relations("") if one.kind == "custom-properties" and one.target]
    if found:
        with contextlib.suppress(WorkbookRefused, Unreadable):
            if _MAY_CARRY.fullmatch(found[0].casefold()) and package.has(found[0]):
                with_property(package.part(found[0]), "")
                return found[0]
        return None
    name = "docProps/custom.xml"
    if name.casefold() in package.taken_names():
        return None
    package.add(name, _HEAD + f'<Properties xmlns="{_PROPERTIES}"/>'.encode(), _PROPERTIES_TYPE)
    package.relate("", f"{RELATIONS}/custom-properties", name)
    return name


def with_property(part: bytes, text: str) -> bytes:
    """
    Return a part of custom properties with ours in it, all others as they are.

    Raises WorkbookRefused and Unreadable for a part that cannot be read.
    """
    markup = Markup(part, "docProps/custom.xml", _PROPERTIES)
    prefix, number, place = markup.prefix, 1, None
    for one in markup.find_all("property"):
        tag = markup.tag(one)
        given = attribute(tag, "pid") or ""
        if attribute(tag, "name") == NAME:
            place, number = one, int(given) - 1 if given.isdecimal() else number
            break
        number = max(number, int(given) if given.isdecimal() else 0)
    line = f'property fmtid="{_OWN_FORMAT}" pid="{number + 1}" name="{NAME}">'.encode()
    value = f'<vt:lpwstr xmlns:vt="{_VALUES}">{text}</vt:lpwstr></'.encode()
    entry = b"<" + prefix + line + value + prefix + b"property>"
    if place is not None:
        return splice(part, [Change(place.start, place.end, entry)])
    if markup.root_tag.endswith(b"/>"):
        opened = markup.root_tag[:-2].rstrip() + b">" + entry + b"</" + prefix + b"Properties>"
        return splice(part, [Change(markup.root_start, markup.root_end, opened)])
    return splice(part, [Change(markup.root_close, markup.root_close, entry)])
