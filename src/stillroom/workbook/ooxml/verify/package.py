"""
The check of a finished save against the file it came from. It shares no code with the writer.

The old and the new file are read with the standard library's zip reader and XML parser, not with the writer's own.
What is claimed is cut out of both, and the rest is compared byte for byte: members that no claim names are the same
bytes, record and directory entry alike; changed members differ in nothing but what is claimed; added members are
whole, declared and pointed to. Where a file is damaged, Wrong is raised at the place that reads it, so that a fault of
the check itself is never taken for one.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from functools import cached_property
from typing import NamedTuple

from stillroom.workbook.ooxml.verify import Claims
from stillroom.workbook.ooxml.verify.parts import (
    SharedStrings,
    Wrong,
    check_added,
    check_history,
    check_part,
    check_xml,
    planned_bodies,
    roles,
)
from stillroom.workbook.ooxml.verify.rules import Files, faults
from stillroom.workbook.ooxml.verify.sheets import check_fitted, check_new_sheet, check_sheet

_ENTRY = 46
_LOCAL = 30
_END = 22
_END64 = 76
_FULL = b"\xff\xff\xff\xff"


def complaints(old: bytes, new: bytes, claims: Claims) -> list[str]:
    """Say what is wrong with a new file, given the old one and what was claimed; an empty list is a pass."""
    found = []
    try:
        before, after = _Archive(old), _Archive(new)
        changed = _changed_members(before, after, claims)
        _check_ends(before, after)
        if claims.added or claims.dropped:
            check_added(after.roles, after.read, claims)
        check_history(after.roles, after.read, claims)
    except Wrong as error:
        return [str(error)]
    for name in changed:
        try:
            _check_member(before, after, name, claims)
            found += [f"{name}: {fault}" for fault in _new_faults(before, after, name)]
        except Wrong as error:
            found.append(f"{name}: {error}")
    return found


def _new_faults(before: _Archive, after: _Archive, name: str) -> list[str]:
    """Return the rules of the package that a changed or added part breaks and the old file did not; raises Wrong."""
    now = faults(after.files, name)
    return sorted(now - faults(before.files, name)) if now and name in before.members else sorted(now)


# ---- the zip file --------------------------------------------------------------------------------------------------


class _Member(NamedTuple):
    """One member: what the zip reader says of it, its entry in the directory, and its record with header and data."""

    info: zipfile.ZipInfo
    entry: bytes
    record: bytes


class _Archive:
    """One file: its bytes, its members by name in their order, where its directory begins, and what follows that."""

    def __init__(self, data: bytes) -> None:
        """Find all members; raises Wrong when this is no whole zip file."""
        try:
            archive = zipfile.ZipFile(io.BytesIO(data))
        # NotImplementedError is what Python's reader raises for a way of packing it does not know: damage here.
        except (zipfile.BadZipFile, NotImplementedError, OSError, struct.error, ValueError, LookupError) as error:
            raise Wrong(f"it is no whole zip file ({error})") from error
        infos = archive.infolist()
        self.directory = place = archive.start_dir
        starts = sorted(info.header_offset for info in infos)
        ends = dict(zip(starts, [*starts[1:], self.directory], strict=True))
        self.members: dict[str, _Member] = {}
        for info in infos:
            head = data[place : place + _ENTRY]
            if len(head) < _ENTRY or head[:4] != b"PK\x01\x02":
                raise Wrong("the directory is damaged")
            end = place + _ENTRY + sum(struct.unpack_from("<HHH", head, 28))
            record = data[info.header_offset : ends[info.header_offset]]
            self.members[info.filename] = _Member(info, data[place:end], record)
            place = end
        if not len(infos) == len(ends) == len(self.members):
            raise Wrong("two members have the same name or place")
        self.end_start = min(place, len(data) - _END - len(archive.comment))
        self.start, self.end = data[: starts[0] if starts else self.directory], data[self.end_start :]
        self.end_record = len(self.end) - _END - len(archive.comment)

    @cached_property
    def roles(self) -> dict[str, str]:
        """What its members are to the workbook."""
        return roles(list(self.members), self.read)

    @cached_property
    def files(self) -> Files:
        """The same, for the rules that hold across parts."""
        return Files(tuple(self.members), self.roles, self.read, self.text)

    @cached_property
    def _strings(self) -> SharedStrings:
        names = [name for name, role in self.roles.items() if role == "sharedStrings"]
        return SharedStrings(self.read(names[0]) if names else b"")

    def text(self, number: int) -> str | None:
        """Give a shared string by its number; None when there is none. Raises Wrong."""
        return self._strings.text(number)

    def read(self, name: str) -> bytes:
        """Unfold one member, and compare its size and checksum; raises Wrong."""
        if name not in self.members:
            raise Wrong(f"{name} is missing")
        info, _, record = self.members[name]
        if len(record) < _LOCAL:
            raise Wrong(f"{name} is damaged")
        start = _LOCAL + sum(struct.unpack_from("<HH", record, 26))
        content = record[start : start + info.compress_size]
        if info.compress_type == zipfile.ZIP_DEFLATED:
            try:
                content = zlib.decompress(content, -15, max(info.file_size, 64))
            except zlib.error as error:
                raise Wrong(f"{name} is damaged ({error})") from error
        if len(content) != info.file_size or zlib.crc32(content) != info.CRC:
            raise Wrong(f"{name} is damaged")
        return content


def _changed_members(before: _Archive, after: _Archive, claims: Claims) -> list[str]:
    """Give the members whose records differ, added ones among them; raises Wrong for one that may not be as it is."""
    names = [name for name in before.members if name not in claims.dropped]
    if list(after.members) != [*names, *claims.added]:
        raise Wrong("the members are not those of the old file, in their order, with the added ones behind them")
    claimed = {*claims.cells, *claims.cleared, *claims.grown, *claims.heights}
    changed = []
    for name, new in after.members.items():
        was = before.members.get(name)
        if was is not None and was.record == new.record:
            if _without_place(was.entry) != _without_place(new.entry):
                raise Wrong(f"the directory entry of {name} was changed")
            continue
        if name not in claims.added and name not in claimed and name not in before.roles:
            raise Wrong(f"{name} was changed, and nothing claims it")
        if not _is_plain(new, None if was is None else was.entry):
            raise Wrong(f"the record of {name} is damaged")
        changed.append(name)
    if claimed - set(changed):
        raise Wrong(f"{min(claimed - set(changed))} was to be changed, and is as before")
    return changed


def _without_place(entry: bytes) -> bytes:
    """Give a directory entry without where its record starts, in its 32-bit or its 64-bit form (APPNOTE 4.5.3)."""
    if entry[42:46] != _FULL:
        return entry[:42] + entry[46:]
    name_length, extra_length = struct.unpack_from("<HH", entry, 28)
    place = _ENTRY + name_length
    stop = place + extra_length
    while place + 4 <= stop:
        kind, length = struct.unpack_from("<HH", entry, place)
        if kind == 1:
            start = place + 4 + 8 * ((entry[24:28] == _FULL) + (entry[20:24] == _FULL))
            return entry[:start] + entry[start + 8 :]
        place += 4 + length
    return entry


def _is_plain(member: _Member, old: bytes | None) -> bool:
    """
    Whether a record is a header, a name and its data, and its directory entry says the same.

    Of a changed member the method, date, name, comment and attributes are those of its ``old`` entry; a new one has no
    comment and no attributes, and the first date there is.
    """
    info, entry, record = member
    like = entry if old is None else old
    if old is None and (like[4:6], like[10:16], like[30:42]) != (b"\x14\0", b"\x08\0\0\0\x21\0", bytes(12)):
        return False
    name_length, extra_length = struct.unpack_from("<HH", like, 28)
    name, comment = like[_ENTRY:][:name_length], like[_ENTRY + name_length + extra_length :]
    needs, sums = record[4:8], record[14:26]  # version and flags; checksum and both sizes
    head = b"PK\x03\x04" + needs + like[10:16] + sums + like[28:30] + b"\0\0" + name
    line = like[:6] + needs + like[10:16] + sums + like[28:30] + b"\0\0" + like[32:42] + entry[42:46] + name + comment
    return record.startswith(head) and len(record) == len(head) + info.compress_size and entry == line


def _check_ends(before: _Archive, after: _Archive) -> None:
    """Around members and directory nothing but counts, sizes and places may differ, and these must be right."""
    if before.start != after.start:
        raise Wrong("the bytes before the first member were changed")
    wanted, place = bytearray(before.end), before.end_record
    count, size = len(after.members), after.end_start - after.directory
    has_64_bits = place >= _END64 and wanted[:4] == b"PK\x06\x06"
    for offset, kind, value in ((8, "<H", count), (10, "<H", count), (12, "<I", size), (16, "<I", after.directory)):
        full = (1 << 8 * struct.calcsize(kind)) - 1
        if not has_64_bits or struct.unpack_from(kind, wanted, place + offset)[0] != full:
            struct.pack_into(kind, wanted, place + offset, min(value, full))
    if has_64_bits:
        struct.pack_into("<QQQQ", wanted, 24, count, count, size, after.directory)
        struct.pack_into("<Q", wanted, place - 12, after.end_start)
    if wanted != after.end:
        raise Wrong("the end of the file was changed, or gives a wrong count or place")


# ---- what is in the members ----------------------------------------------------------------------------------------


def _check_member(before: _Archive, after: _Archive, name: str, claims: Claims) -> None:
    """Compare what is in a changed or added member with what is claimed; raises Wrong."""
    part = after.read(name)
    check_xml(part)
    cells, heights = claims.cells.get(name, {}), claims.heights.get(name, {})
    if name in claims.added:
        if cells:
            check_new_sheet(part, cells, after.text, date1904=claims.date1904)
    elif name in claims.cells or name in claims.cleared or heights:
        cleared, old = claims.cleared.get(name, ()), before.read(name)
        check_sheet(old, part, cells, cleared, after.text, date1904=claims.date1904, heights=heights)
        if heights:
            check_fitted(part, heights, planned_bodies(name, claims.fitted.get(name, ()), after.read))
    else:
        check_part(name, before.roles.get(name, ""), before.read(name), part, claims)
