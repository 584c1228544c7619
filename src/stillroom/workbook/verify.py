"""
The check of a finished save against the file it came from. It shares no code with the writer.

The old and the new file are read with the standard library's zip reader and XML parser, not with the writer's own.
Every byte of the new file must be accounted for: members that no claim names are the same bytes, record and directory
entry alike; changed members differ from the old ones in nothing but what is claimed; added members are whole,
declared and pointed to.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from xml.etree.ElementTree import ParseError
from xml.parsers.expat import ExpatError

from stillroom.workbook.claims import Claims
from stillroom.workbook.verify_cells import cell_complaints, sheet_complaints
from stillroom.workbook.verify_heights import ownership_complaints
from stillroom.workbook.verify_parts import added_complaints, part_complaints, shared_items, shared_text, well_formed
from stillroom.workbook.verify_roles import roles

_ENTRY = 46
_LOCAL = 30


@dataclass(frozen=True)
class _Archive:
    """One file: its bytes, and its entries (name, raw entry, start and end of record) in their order."""

    data: bytes
    zip: zipfile.ZipFile
    entries: tuple[tuple[zipfile.ZipInfo, bytes, int, int], ...]
    directory: int
    tail: int

    @cached_property
    def roles(self) -> dict[str, str]:
        """What its members are to the workbook."""
        return roles([info.filename for info, *_ in self.entries], self.read)

    def read(self, name: str) -> bytes:
        """Unfold one member and compare its size and checksum; raises _Broken."""
        info = self.zip.getinfo(name)
        name_length, extra_length = struct.unpack_from("<HH", self.data, info.header_offset + 26)
        start = info.header_offset + _LOCAL + name_length + extra_length
        packed = memoryview(self.data)[start : start + info.compress_size]
        if info.compress_type == zipfile.ZIP_DEFLATED:
            content = zlib.decompress(packed, -15, max(info.file_size, 64))
        else:
            content = bytes(packed)
        if len(content) != info.file_size or zlib.crc32(content) != info.CRC:
            raise _Broken(f"{name} is damaged")
        return content


class _Broken(Exception):
    """The file cannot be read as a zip at all."""


_DAMAGE = (
    _Broken,
    ExpatError,
    ParseError,
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    ValueError,
    LookupError,
    NotImplementedError,  # what Python's zip reader raises for a way of compressing that it does not know
)


def complaints(old: bytes, new: bytes, claims: Claims) -> list[str]:
    """Say everything that is wrong with a new file, given the old one and what was claimed; an empty list is a pass."""
    try:
        before, after = _archive(old), _archive(new)
        names = [info.filename for info, *_ in before.entries if info.filename not in claims.dropped]
        if [info.filename for info, *_ in after.entries] != [*names, *claims.added]:
            return ["the members are not those of the old file, in their order, with the added ones behind them"]
        changed = _changed(before, after)
        return _container_complaints(before, after, changed, claims) or _content_complaints(
            before, after, changed, claims
        )
    except _DAMAGE as error:
        return [f"the file cannot be read: {error}"]


def _archive(data: bytes) -> _Archive:
    archive = zipfile.ZipFile(io.BytesIO(data))
    infos = archive.infolist()
    tail = len(data) - 22 - len(archive.comment)
    place = archive.start_dir
    raw = []
    for _ in infos:
        if data[place : place + 4] != b"PK\x01\x02":
            raise _Broken("the directory is damaged")
        length = _ENTRY + sum(struct.unpack_from("<HHH", data, place + 28))
        raw.append(data[place : place + length])
        place += length
    starts = sorted(info.header_offset for info in infos)
    ends = dict(zip(starts, [*starts[1:], archive.start_dir], strict=True))
    entries = tuple(
        (info, entry, info.header_offset, ends[info.header_offset]) for info, entry in zip(infos, raw, strict=True)
    )
    if len(ends) != len(infos):
        raise _Broken("two records lie on top of each other")
    return _Archive(data, archive, entries, archive.start_dir, min(place, tail))


# ---- the container -------------------------------------------------------------------------------------------------


def _changed(before: _Archive, after: _Archive) -> list[str]:
    """Give the members whose record is not, byte for byte, that of the old file; added ones are among them."""
    old = {info.filename: (start, end) for info, _, start, end in before.entries}
    missing = (0, 0)
    return [
        info.filename
        for info, _, start, end in after.entries
        if after.data[start:end] != before.data[slice(*old.get(info.filename, missing))]
    ]


def _container_complaints(before: _Archive, after: _Archive, changed: Collection[str], claims: Claims) -> list[str]:
    found = []
    old = {info.filename: entry for info, entry, *_ in before.entries}
    owned = _owned_names(before, claims)
    for info, entry, start, end in after.entries:
        name = info.filename
        if name not in changed:
            if _without_place(entry) != _without_place(old[name]):
                found.append(f"{name}: its directory entry was changed")
            continue
        plain = _is_plain_record(info, after.data[start:end], entry)
        if name in claims.added:
            if not plain:
                found.append(f"{name}: the record of an added member is damaged")
        elif name not in owned:
            found.append(f"{name}: its bytes were changed, and nothing claims them")
        elif not plain or not _keeps_attributes(entry, old[name]):
            found.append(f"{name}: its record is damaged")
    first_old = min((start for *_, start, _ in before.entries), default=before.directory)
    first_new = min((start for *_, start, _ in after.entries), default=after.directory)
    if before.data[:first_old] != after.data[:first_new]:
        found.append("the bytes before the first member were changed")
    return found + _end_complaints(before, after)


def _owned_names(before: _Archive, claims: Claims) -> set[str]:
    owned = {*claims.cells, *claims.cleared, *claims.grown, *claims.heights}
    return owned | before.roles.keys()


def _without_place(entry: bytes) -> bytes:
    """Give a directory entry without where its record starts, in its 32-bit or its 64-bit form."""
    if entry[42:46] != b"\xff\xff\xff\xff":
        return entry[:42] + entry[46:]
    fields = [entry[place : place + 4] == b"\xff\xff\xff\xff" for place in (24, 20)]
    name_length, extra_length = struct.unpack_from("<HH", entry, 28)
    place = _ENTRY + name_length
    stop = place + extra_length
    while place + 4 <= stop:
        kind, length = struct.unpack_from("<HH", entry, place)
        if kind == 1:
            start = place + 4 + 8 * sum(fields)
            return entry[:start] + entry[start + 8 :]
        place += 4 + length
    return entry


def _is_plain_record(info: zipfile.ZipInfo, record: bytes, entry: bytes) -> bool:
    """Whether a record is a header, a name and its data, and agrees with its directory entry in every field."""
    signature, version, flags, method, time, date, crc, packed, size, name_length, extra_length = struct.unpack_from(
        "<4s5H3I2H", record
    )
    kept = struct.unpack_from("<4s6H3I3H", entry)
    same = (version, flags, method, time, date, crc, packed, size, name_length) == kept[2:11]
    name = record[_LOCAL : _LOCAL + name_length]
    return (
        signature == b"PK\x03\x04"
        and same
        and extra_length == 0
        and name == entry[_ENTRY : _ENTRY + name_length]
        and kept[11] == 0
        and len(record) == _LOCAL + name_length + info.compress_size
    )


def _keeps_attributes(new: bytes, old: bytes) -> bool:
    """Whether a changed member keeps its maker, date, comment, disk number and attributes."""
    name_old, extra_old = struct.unpack_from("<HH", old, 28)
    name_new, extra_new = struct.unpack_from("<HH", new, 28)
    comments = new[_ENTRY + name_new + extra_new :] == old[_ENTRY + name_old + extra_old :]
    return comments and new[4:6] == old[4:6] and new[10:16] == old[10:16] and new[32:42] == old[32:42]


def _end_complaints(before: _Archive, after: _Archive) -> list[str]:
    """Compare what follows the directory: nothing but counts, sizes and places may differ, and those must be right."""
    old, new = bytearray(before.data[before.tail :]), bytearray(after.data[after.tail :])
    if len(old) != len(new):
        return ["the end of the file has another length"]
    size, count = after.tail - after.directory, len(after.entries)
    end = len(new) - 22 - len(after.zip.comment)
    wanted = ((8, "<H", count), (10, "<H", count), (12, "<I", size), (16, "<I", after.directory))
    for place, kind, value in wanted:
        full = (1 << 8 * struct.calcsize(kind)) - 1
        now = struct.unpack_from(kind, new, end + place)[0]
        if now != value and not (end and now == full):
            return ["the end of the file gives a wrong count or place"]
        struct.pack_into(kind, old, end + place, 0)
        struct.pack_into(kind, new, end + place, 0)
    if end:
        if struct.unpack_from("<QQQQ", new, 24) != (count, count, size, after.directory):
            return ["the 64-bit end of the file gives a wrong count or place"]
        if struct.unpack_from("<Q", new, end - 12)[0] != after.tail:
            return ["the 64-bit end of the file is not where it is said to be"]
        for data in (old, new):
            data[24:56] = bytes(32)
            data[end - 12 : end - 4] = bytes(8)
    return [] if old == new else ["the end of the file was changed"]


# ---- what is in the members ----------------------------------------------------------------------------------------


def _content_complaints(before: _Archive, after: _Archive, changed: Collection[str], claims: Claims) -> list[str]:
    found = []
    same_roles = not claims.added and not any(before.roles.get(name) in ("relations", "types") for name in changed)
    strings = _Strings(after, before.roles if same_roles else after.roles)
    for name in changed:
        found += [f"{name}: {one}" for one in _member_complaints(before, after, name, claims, strings)]
    missing = {*claims.cells, *claims.cleared, *claims.grown, *claims.heights} - set(changed)
    found += [f"{name}: it was to be changed, and is as before" for name in sorted(missing)]
    if claims.added or claims.dropped:
        found += added_complaints(after.zip, claims)
    return found


def _member_complaints(before: _Archive, after: _Archive, name: str, claims: Claims, strings: _Strings) -> list[str]:
    new_part = after.read(name)
    complaint = well_formed(new_part)
    if complaint is not None:
        return [complaint]
    if name in claims.added:
        wanted = claims.cells.get(name, {})
        return cell_complaints(new_part, wanted, strings.text, date1904=claims.date1904) if wanted else []
    if name in claims.cells or name in claims.cleared or name in claims.heights:
        return _sheet_complaints(before, after, name, new_part, claims, strings)
    return part_complaints(name, before.roles.get(name, ""), (before.read(name), new_part), claims)


def _sheet_complaints(
    before: _Archive, after: _Archive, name: str, new_part: bytes, claims: Claims, strings: _Strings
) -> list[str]:
    cells, cleared = claims.cells.get(name, {}), claims.cleared.get(name, frozenset())
    heights = claims.heights.get(name, {})
    found = sheet_complaints(
        before.read(name), new_part, cells, cleared, strings.text, date1904=claims.date1904, heights=heights
    )
    if heights and not found:
        found = ownership_complaints(name, new_part, heights, claims.fitted.get(name, ()), after.read)
    return found


class _Strings:
    """The shared strings of the new file, cut apart when a cell first points to one, each read once."""

    def __init__(self, archive: _Archive, roles: Mapping[str, str]) -> None:
        self._archive, self._roles = archive, roles
        self._items: list[bytes] | None = None
        self._texts: dict[int, str] = {}

    def text(self, number: int) -> str | None:
        """Give a string by its number; None when there is none."""
        if self._items is None:
            names = [name for name, role in self._roles.items() if role == "sharedStrings"]
            self._items = shared_items(self._archive.read(names[0])) if names else []
        if number not in self._texts and 0 <= number < len(self._items):
            self._texts[number] = shared_text(self._items[number])
        return self._texts.get(number)
