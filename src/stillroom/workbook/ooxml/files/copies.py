"""
The dated copies of a workbook: the file as it was before a save, the last three kept and what is of another branch.

Beside the workbook lies, hidden, what we last wrote into it as well. If the file that stands there now does not descend
from that, somebody put another copy in its place: it is then kept under a dated name, and said until it is joined with
the workbook (or taken away, by whoever carried over what it has).
"""

from __future__ import annotations

import contextlib
import datetime
import glob
import hashlib
import io
import itertools
import os
import re
import struct
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from stillroom.errors import CouldNotWrite, WorkbookRefused
from stillroom.workbook.ooxml.files.put import locked, put
from stillroom.workbook.ooxml.package import Package
from stillroom.workbook.ooxml.values import Unreadable
from stillroom.workbook.ooxml.xml import RELATIONS, Change, Markup, attribute, splice

History = tuple[str, ...]
"""The id of a state of a workbook, and behind it the ids of the states it descends from, the newest first."""

MOST_IDS, ID_LENGTH = 200, 12
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
    before = tuple(dict.fromkeys(one for one in both if one is not None))[: MOST_IDS - 1]
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


KEPT, LINE_BREAK = 3, "\n"
FOR_GOOD, APART = "0" * 64, "1" * 64
"""
Stand in the list in place of the digest of a copy that is never dropped.

An APART one is of a branch to be joined; what was put back, or begun anew, gave up the others.
"""


def copy_name(path: Path, today: datetime.datetime) -> Path:
    """
    Give the first free name for a dated copy.

    >>> copy_name(Path("/nowhere/pantry.xlsx"), datetime.datetime(2026, 8, 14, 9, 30)).name
    'pantry.before-2026-08-14-0930.xlsx'
    """
    stamp = today.strftime("%Y-%m-%d-%H%M")
    copy = path.with_name(f"{path.stem}.before-{stamp}{path.suffix}")
    number = 2
    while os.path.lexists(copy):
        copy = path.with_name(f"{path.stem}.before-{stamp}-{number}{path.suffix}")
        number += 1
    return copy


def list_name(path: Path) -> Path:
    """Name the small hidden file that says which dated copies are ours."""
    return path.with_name(f".{path.name}.copies")


def listed(path: Path) -> list[tuple[str, str]]:
    """
    Read the list of our copies, oldest first: digest and name. Lines that make no sense are passed over.

    A name is any that the system has; a line break in one is written as the slash that no name has.
    """
    try:
        text = os.fsdecode(list_name(path).read_bytes())
    except (OSError, UnicodeDecodeError):
        return []
    entries = [line.replace("/", LINE_BREAK).split(" ", 1) for line in text.split(LINE_BREAK) if " " in line]
    return [(digest, name) for digest, name in entries if len(digest) == 64 and name and Path(name).name == name]


def write_list(path: Path, entries: list[tuple[str, str]]) -> None:
    """Write the list of our copies in one step, or take it away when there are none; raises OSError."""
    target = list_name(path)
    if not entries:
        target.unlink(missing_ok=True)
        return
    content = os.fsencode("".join(f"{digest} {name.replace(LINE_BREAK, '/')}\n" for digest, name in entries))
    put(target, lambda file: file.write(content))


def keep_copy(path: Path, copy: Path, digest: str, at: Callable[[str], None] = lambda _: None) -> None:
    """
    Keep the file as it is under its dated name, entering it in the list first; raises OSError.

    A second name for the same bytes is made where the disk can do that; elsewhere the bytes are copied.
    """
    write_list(path, [*listed(path), (digest, copy.name)])
    at("copy listed")
    try:
        os.link(path, copy)
    except FileExistsError:
        raise
    except OSError:
        copy_bytes(path, copy)


def copy_bytes(path: Path, copy: Path) -> None:
    """Make a copy of a file with its mode and times under a name that is free; raises OSError."""
    content, status = path.read_bytes(), path.stat()
    put(copy, lambda file: file.write(content), like=path, fresh=True)
    with contextlib.suppress(OSError):
        os.utime(copy, ns=(status.st_atime_ns, status.st_mtime_ns))


def forget_copy(path: Path, copy: Path | None) -> None:
    """Take back a copy kept for a save that came to nothing, and list entries without a file; raises OSError."""
    if copy is not None:
        copy.unlink(missing_ok=True)
    write_list(path, [(digest, name) for digest, name in listed(path) if os.path.lexists(path.with_name(name))])


def clean_up(path: Path) -> None:
    """
    Put right what a killed save can leave: a copy that is only a second name of the file itself.

    Only files that the list names as ours are touched.
    """
    entries = listed(path)
    kept = []
    for digest, name in entries:
        copy = path.with_name(name)
        with contextlib.suppress(OSError):
            if copy.samefile(path):
                copy.unlink()
                continue
        if os.path.lexists(copy):
            kept.append((digest, name))
    if kept != entries:
        with contextlib.suppress(OSError):
            write_list(path, kept)


def drop_old_copies(path: Path, ids: History) -> None:
    """
    Take away all but the last three copies that a workbook with these ids descends from; none while branches are apart.

    One that was changed since is left and forgotten.
    """
    entries = [(digest, name) for digest, name in listed(path) if os.path.lexists(path.with_name(name))]
    joined = [(digest, name) for digest, name in entries if _is_in(path.with_name(name), ids)]
    old = [one for one in joined if one[0] not in (FOR_GOOD, APART)][:-KEPT]
    if any(one[0] == APART and one not in joined for one in entries):
        old = []
    for digest, name in old:
        copy = path.with_name(name)
        with contextlib.suppress(OSError):
            if copy.is_file() and not copy.is_symlink() and hashlib.sha256(copy.read_bytes()).hexdigest() == digest:
                copy.unlink()
    with contextlib.suppress(OSError):
        write_list(path, [one for one in entries if one not in old])


def _is_in(file: Path, ids: History) -> bool:
    """Whether the state of a file is among the ids."""
    own = history(file)
    return bool(own) and own[0] in ids


# Branches: what we last wrote into a workbook, where another copy is in its place.


class Branches(NamedTuple):
    """The copies to be joined with a workbook, the newest first; and what was written after a copy now put back."""

    apart: tuple[Path, ...] = ()
    given_up: Path | None = None


def last_name(path: Path) -> Path:
    """Name the small hidden file that has the bytes we last wrote into a workbook."""
    return path.with_name(f".{path.name}.last")


def keep_last(path: Path, content: bytes) -> None:
    """Keep the bytes that were just written; where there is no room for them, the ones before stay."""
    with contextlib.suppress(OSError):
        put(last_name(path), lambda file: file.write(content), like=path)


def branches_of(path: Path, content: bytes) -> Branches:
    """
    Give the branches of a workbook that was read as `content`.

    What we last wrote into it is first kept under a dated name, if the workbook does not descend from it; where that
    cannot be done (a folder that may only be read, a full disk), it is named where it is.
    """
    path = Path(os.path.realpath(path))
    if not (listed(path) or history(last_name(path))):
        return Branches()
    if _has_other(path, content):
        with contextlib.suppress(OSError, CouldNotWrite), locked(path):
            if _is_still(path, content):  # else one of our own commands is just writing
                set_aside(path, content, datetime.datetime.now())
    ids, entries = history(content), [(mark, path.with_name(name)) for mark, name in reversed(listed(path))]
    others = [(mark, copy, one) for mark, copy in entries if (one := history(copy)) and one[0] not in ids]
    apart = [(copy, one) for mark, copy, one in others if mark == APART]
    newest = [copy for copy, one in apart if not any(one[0] in other[1:] for _, other in apart)]
    left = _has_other(path, content) and _is_still(path, content)  # in this order: ours is written after the workbook
    if not _is_put_back(path, content):
        return Branches((*[last_name(path)] * left, *newest))
    if left:
        return Branches(tuple(newest), last_name(path))
    return Branches(tuple(newest), next((copy for mark, copy, _ in others if mark == FOR_GOOD), None))


def _has_other(path: Path, content: bytes) -> bool:
    """Whether the workbook does not descend from what we last wrote into it."""
    last = history(last_name(path))
    return bool(last) and last[0] not in history(content)


def _is_still(path: Path, content: bytes) -> bool:
    """Whether a workbook is as it was read."""
    try:
        return path.read_bytes() == content
    except OSError:
        return False


def _is_put_back(path: Path, content: bytes) -> bool:
    """Whether a workbook is the dated copy that the last write kept, as it was."""
    newest = [digest for digest, _ in listed(path) if digest not in (FOR_GOOD, APART)][-1:]
    return newest == [hashlib.sha256(content).hexdigest()]


def set_aside(path: Path, content: bytes, today: datetime.datetime) -> None:
    """
    Keep what we last wrote under a dated name, where a workbook that is locked does not descend from it.

    Raises OSError.
    """
    if _has_other(path, content):
        _keep_dated(path, FOR_GOOD if _is_put_back(path, content) else APART, today)


def begin_anew(path: Path, today: datetime.datetime) -> None:
    """Give up what stands in the list: the workbook of that name is a new one. The copies stay."""
    with contextlib.suppress(OSError):
        if last_name(path).is_file():
            _keep_dated(path, FOR_GOOD, today)
        if listed(path):
            write_list(path, [(FOR_GOOD if mark == APART else mark, name) for mark, name in listed(path)])


def _keep_dated(path: Path, mark: str, today: datetime.datetime) -> None:
    copy = copy_name(path, today)
    write_list(path, [*listed(path), (mark, copy.name)])
    last_name(path).rename(copy)


def common_ancestor(mine: Path, theirs: Path) -> Path | None:
    """
    Return the copy on the disk of the newest state that both workbooks descend from; None without one.

    Looked for among the dated copies of both, what we last wrote into them, and the two themselves. A copy in which
    somebody typed before it was kept is another state, and not taken for the one that was written.
    """
    both = set(history(theirs))
    found = {ids[0]: file for path in (theirs, mine) for file in _states(path) if (ids := history(file))}
    return next((found[one] for one in history(mine) if one in both and one in found), None)


def _states(path: Path) -> Iterator[Path]:
    path = Path(os.path.realpath(path))
    yield from sorted(path.parent.glob(f"{glob.escape(path.stem)}.before-*{path.suffix}"))
    yield last_name(path)
    yield path
