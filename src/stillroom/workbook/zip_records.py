"""One record of a zip file and its directory entry: read, moved, made anew."""

from __future__ import annotations

import struct
import zlib
from typing import Any, NamedTuple

from stillroom.errors import WorkbookRefused

LOCAL = struct.Struct("<4sHHHHHIIIHH")
CENTRAL = struct.Struct("<4sHHHHHHIIIHHHHHII")
FULL32 = 0xFFFFFFFF
_LARGE = 8 * 2**20
_SAVE_AGAIN = "open it in your office program and save it again as .xlsx"


class Member(NamedTuple):
    """One record of the zip: where it lies in the file and what its directory entry says."""

    name: str
    record_start: int
    record_end: int
    data_start: int
    compressed: int
    size: int
    crc: int
    method: int
    flags: int
    entry: bytes

    @property
    def is_folder(self) -> bool:
        """Whether this is only the entry of a folder."""
        return self.name.endswith("/")


def damaged(what: str) -> WorkbookRefused:
    """Refuse the whole file, for a reason that is about its packing."""
    return WorkbookRefused.because("the workbook", what, _SAVE_AGAIN)


def large_numbers(entry: bytes, fields: tuple[Any, ...]) -> tuple[int, int, int]:
    """Give compressed size, size and offset of an entry, from its ZIP64 field where it has one (APPNOTE 4.5.3)."""
    compressed, size, start = fields[8], fields[9], fields[16]
    if FULL32 not in (compressed, size, start):
        return compressed, size, start
    extra = zip64_field(entry)
    if extra is None:
        return compressed, size, start
    numbers = [int.from_bytes(entry[place : place + 8], "little") for place in range(extra[0], extra[1] - 7, 8)]
    try:
        if size == FULL32:
            size = numbers.pop(0)
        if compressed == FULL32:
            compressed = numbers.pop(0)
        if start == FULL32:
            start = numbers.pop(0)
    except IndexError as error:
        raise damaged("its directory is damaged") from error
    return compressed, size, start


def zip64_field(entry: bytes) -> tuple[int, int] | None:
    """Give where the ZIP64 field of a directory entry begins and ends; None when it has none."""
    fields = CENTRAL.unpack_from(entry)
    place = CENTRAL.size + fields[10]
    stop = place + fields[11]
    while place + 4 <= stop:
        kind, length = struct.unpack_from("<HH", entry, place)
        if kind == 1:
            return place + 4, min(place + 4 + length, stop)
        place += 4 + length
    return None


def moved_entry(start: int, entry: bytes) -> bytes:
    """Give a directory entry for a record that now starts elsewhere."""
    if entry[42:46] != b"\xff\xff\xff\xff":
        return entry[:42] + start.to_bytes(4, "little") + entry[46:]
    moved = bytearray(entry)
    fields = CENTRAL.unpack_from(entry)
    extra = zip64_field(entry)
    if fields[16] == FULL32 and extra is not None:
        before = 8 * ((fields[9] == FULL32) + (fields[8] == FULL32))
        struct.pack_into("<Q", moved, extra[0] + before, start)
    else:
        struct.pack_into("<I", moved, 42, start)
    return bytes(moved)


def _folded(content: bytes) -> bytes:
    level = 4 if len(content) < _LARGE else 2  # half the time of 6 for a tenth more bytes
    folder = zlib.compressobj(level, zlib.DEFLATED, -15)
    return folder.compress(content) + folder.flush()


def changed_record(member: Member, content: bytes) -> tuple[bytes, bytes]:
    """Pack new content for a member: its record and its entry; name, date, attributes and comment stay."""
    fields = list(CENTRAL.unpack_from(member.entry))
    name_end = CENTRAL.size + fields[10]
    raw_name = member.entry[CENTRAL.size : name_end]
    comment = member.entry[name_end + fields[11] :]
    stored = member.method == 0
    packed = content if stored else _folded(content)
    crc = zlib.crc32(content)
    flags = member.flags & 0x800
    local = LOCAL.pack(
        b"PK\x03\x04", 20, flags, member.method, fields[5], fields[6], crc, len(packed), len(content), len(raw_name), 0
    )
    fields[2], fields[3] = 20, flags
    fields[7], fields[8], fields[9], fields[11], fields[16] = crc, len(packed), len(content), 0, 0
    return local + raw_name + packed, CENTRAL.pack(*fields) + raw_name + comment


def new_record(name: str, content: bytes) -> tuple[bytes, bytes]:
    """Pack a new member; its date is the zip's first, 1 January 1980, so that the same save gives the same bytes."""
    raw_name = name.encode()
    packed = _folded(content)
    flags = 0 if name.isascii() else 0x800
    crc = zlib.crc32(content)
    local = LOCAL.pack(b"PK\x03\x04", 20, flags, 8, 0, 0x21, crc, len(packed), len(content), len(raw_name), 0)
    entry = CENTRAL.pack(
        b"PK\x01\x02", 20, 20, flags, 8, 0, 0x21, crc, len(packed), len(content), len(raw_name), 0, 0, 0, 0, 0, 0
    )
    return local + raw_name + packed, entry + raw_name
