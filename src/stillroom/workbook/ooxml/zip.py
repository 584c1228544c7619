"""The zip file of a workbook: checked on opening, and rewritten with every untouched record copied raw."""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from stillroom.errors import THE_FILE, WorkbookRefused

# One record of a zip file and its directory entry: read, moved, made anew.

LOCAL = struct.Struct("<4sHHHHHIIIHH")
CENTRAL = struct.Struct("<4sHHHHHHIIIHHHHHII")
FULL32 = 0xFFFFFFFF
_LARGE = 8 * 2**20


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


def damaged(kind: str, *names: str) -> WorkbookRefused:
    """Refuse the whole file, for a reason that is about its packing."""
    return WorkbookRefused.because(THE_FILE, kind, *names)


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
        raise damaged("zip directory damaged") from error
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


LARGEST_FILE = 512 * 2**20
LARGEST_UNFOLDED = 1536 * 2**20
LARGEST_RATIO = 250
RATIO_FROM = 8 * 2**20
MOST_MEMBERS = 10_000

_END = struct.Struct("<4sHHHHIIH")
_END64 = struct.Struct("<4sQHHIIQQQQ")
_LOCATOR64 = struct.Struct("<4sIQI")
_FULL16 = 0xFFFF
_NEWEST_ZIP = 63
_CHUNK = 1 << 20
_BITE = 1 << 16
_WHOLE = 1 << 22
_KEPT = 1 << 26
_LEADS_OUT = re.compile(r"\0|[/\\]\.{0,2}[/\\]|^/[A-Za-z]:")


class Container:
    """
    A zip file in memory (APPNOTE 6.3, as ECMA-376 Part 2, annex B restricts it).

    Opening checks sizes, ratios, counts, names, doubled members and every CRC; raises WorkbookRefused for the first
    that fails.
    """

    def __init__(self, data: bytes) -> None:
        """Read the directory of a zip file given as its bytes."""
        self.data = data
        if len(data) > LARGEST_FILE:
            raise damaged("file too large", str(LARGEST_FILE >> 20))
        self._end = self._find_end()
        self._read_end()
        self.members = self._read_directory()
        self._unfolded: dict[str, bytes] = {}
        self.by_name = {member.name: member for member in self.members}
        self._check_sizes()
        self._check_names()

    # ---- the directory ---------------------------------------------------------------------------------------------

    def _find_end(self) -> int:
        data = self.data
        place = len(data) - _END.size
        least = max(0, place - _FULL16)
        while place >= least:
            place = data.rfind(b"PK\x05\x06", least, place + 4)
            if place < 0:
                break
            if place + _END.size + int.from_bytes(data[place + 20 : place + 22], "little") == len(data):
                return place
            place -= 1
        raise damaged("file cut short")

    def _read_end(self) -> None:
        _, disk, first_disk, here, count, size, start, _ = _END.unpack_from(self.data, self._end)
        self._end64: int | None = None
        before = self._end
        locator = self._end - _LOCATOR64.size
        if locator >= 0 and self.data[locator : locator + 4] == b"PK\x06\x07":
            _, _, place, disks = _LOCATOR64.unpack_from(self.data, locator)
            if disks > 1 or place + _END64.size > locator or self.data[place : place + 4] != b"PK\x06\x06":
                raise damaged("zip directory damaged")
            self._end64 = before = place
            _, length, _, _, disk64, first64, here64, count64, size64, start64 = _END64.unpack_from(self.data, place)
            if place + 12 + length != locator:
                raise damaged("zip directory damaged")
            disk, first_disk = (disk64 if disk == _FULL16 else disk), (first64 if first_disk == _FULL16 else first_disk)
            here, count = (here64 if here == _FULL16 else here), (count64 if count == _FULL16 else count)
            size, start = (size64 if size == FULL32 else size), (start64 if start == FULL32 else start)
        if disk or first_disk or here != count:
            raise damaged("zip in pieces")
        if start + size != before:
            raise damaged("zip directory damaged")
        if count > MOST_MEMBERS:
            raise damaged("too many parts", f"{count:,}", f"{MOST_MEMBERS:,}")
        self._count, self._directory = count, start

    def _read_directory(self) -> tuple[Member, ...]:
        place, stop = self._directory, self._end if self._end64 is None else self._end64
        entries: list[tuple[bytes, tuple[Any, ...], tuple[int, int, int]]] = []
        for _ in range(self._count):
            if place + CENTRAL.size > stop or self.data[place : place + 4] != b"PK\x01\x02":
                raise damaged("zip directory damaged")
            fields = CENTRAL.unpack_from(self.data, place)
            length = CENTRAL.size + fields[10] + fields[11] + fields[12]
            entry = self.data[place : place + length]
            if place + length > stop:
                raise damaged("zip directory damaged")
            entries.append((entry, fields, large_numbers(entry, fields)))
            place += length
        if place != stop:
            raise damaged("zip directory damaged")
        starts = sorted({sizes[2] for *_, sizes in entries})
        if len(starts) != len(entries):
            raise damaged("parts overlap")
        if not starts:
            raise damaged("another zip file")
        ends = dict(zip(starts, [*starts[1:], self._directory], strict=True))
        self.before_first = self.data[: starts[0]]
        return tuple(self._member(ends[sizes[2]], entry, fields, sizes) for entry, fields, sizes in entries)

    def _member(self, stop: int, entry: bytes, fields: tuple[Any, ...], sizes: tuple[int, int, int]) -> Member:
        version, flags, method, crc, name_length = fields[2], fields[3], fields[4], fields[7], fields[10]
        compressed, size, start = sizes
        raw_name = entry[CENTRAL.size : CENTRAL.size + name_length]
        try:
            name = raw_name.decode("utf-8" if flags & 0x800 else "cp437")
        except UnicodeDecodeError:
            raise damaged("part name unreadable") from None
        if flags & 0x2041:
            raise damaged("locked with a password")
        if method not in (0, 8) or version & 0xFF > _NEWEST_ZIP:
            raise damaged("part packed oddly", name)
        if start + LOCAL.size > stop or self.data[start : start + 4] != b"PK\x03\x04":
            raise damaged("part damaged", name)
        local = LOCAL.unpack_from(self.data, start)
        data_start = start + LOCAL.size + local[9] + local[10]
        if self.data[start + LOCAL.size : start + LOCAL.size + local[9]] != raw_name or local[3] != method:
            raise damaged("part named otherwise", name)
        if data_start + compressed > stop or (method == 0 and compressed != size):
            raise damaged("part damaged", name)
        if not local[2] & 8 and (local[6], local[8]) != (crc, min(size, FULL32)) and local[8] != FULL32:
            raise damaged("part damaged", name)
        return Member(name, start, stop, data_start, compressed, size, crc, method, flags, entry)

    # ---- what is refused -------------------------------------------------------------------------------------------

    def _check_sizes(self) -> None:
        total = sum(member.size for member in self.members)
        if total > LARGEST_UNFOLDED:
            raise damaged("unpacks too large", f"{total >> 20:,}", f"{LARGEST_UNFOLDED >> 20:,}")
        for member in self.members:
            if member.size > RATIO_FROM and member.size > LARGEST_RATIO * member.compressed:
                raise damaged("part unpacks too large", member.name, str(member.size // max(member.compressed, 1)))

    def _check_names(self) -> None:
        seen: set[str] = set()
        for member in self.members:
            name = member.name
            if _LEADS_OUT.search(f"/{name.removesuffix('/')}/"):
                raise damaged("part outside", repr(name))
            if "\\" in name:
                raise damaged("backslash in part name", name)
            if name.casefold() in seen:
                raise damaged("part twice", name)
            seen.add(name.casefold())

    def check_contents(self, refused: Mapping[str, tuple[bytes, ...]]) -> None:
        """
        Unfold every member once and compare its size and CRC; raises WorkbookRefused for the first that is wrong.

        ``refused`` gives, for the ending of a name, the signs that may not stand anywhere in such a member.
        """
        view, kept = memoryview(self.data), 0
        for member in self.members:
            signs = refused.get(member.name.rpartition(".")[2], ())
            if member.size > _WHOLE:
                self._check_in_chunks(member, signs)
                continue
            content = _unfolded(member, view)
            if zlib.crc32(content) != member.crc:
                raise _wrong_sum(member)
            if signs:
                if _may_hold_signs(content) and any(sign in content for sign in signs):
                    raise _declares(member)
                kept += member.size
                if kept <= _KEPT:
                    self._unfolded[member.name] = content

    def _check_in_chunks(self, member: Member, signs: tuple[bytes, ...]) -> None:
        """Check a large member piece by piece, so that its content is never in memory whole."""
        crc, before = 0, b""
        for chunk in self._chunks(member):
            crc = zlib.crc32(chunk, crc)
            if signs:
                if _may_hold_signs(chunk) and any(sign in chunk for sign in signs):
                    raise _declares(member)
                if before and any(sign in before + chunk[:32] for sign in signs):
                    raise _declares(member)
                before = chunk[-32:]
        if crc != member.crc:
            raise _wrong_sum(member)

    # ---- reading ---------------------------------------------------------------------------------------------------

    def read(self, name: str) -> bytes:
        """Unfold one member; raises KeyError when there is none of that name."""
        if name in self._unfolded:
            return self._unfolded[name]
        member = self.by_name[name]
        if member.size <= _WHOLE:
            return _unfolded(member, memoryview(self.data))
        raw = self.data[member.data_start : member.data_start + member.compressed]
        return raw if member.method == 0 else zlib.decompress(raw, -15, member.size)

    def holds(self, name: str, content: bytes) -> bool:
        """Whether a member has just this content; it is only unfolded when size and checksum agree."""
        member = self.by_name.get(name)
        if member is None or member.size != len(content) or member.crc != zlib.crc32(content):
            return False
        return self.read(name) == content

    def _chunks(self, member: Member) -> Iterator[bytes]:
        view = memoryview(self.data)[member.data_start : member.data_start + member.compressed]
        if member.method == 0:
            yield bytes(view)
            return
        unfold = zlib.decompressobj(-15)
        done = taken = 0
        try:
            while not unfold.eof:
                rest = unfold.unconsumed_tail
                if not rest:
                    rest = bytes(view[taken : taken + _BITE])
                    taken += _BITE
                chunk = unfold.decompress(rest, _CHUNK)
                done += len(chunk)
                if done > member.size or not (chunk or unfold.eof or taken < len(view)):
                    raise _wrong_size(member)
                yield chunk
        except zlib.error as error:
            raise damaged("part damaged", member.name) from error
        if done != member.size or unfold.unused_data or taken < len(view):
            raise _wrong_size(member)

    # ---- writing ---------------------------------------------------------------------------------------------------

    def rewritten(
        self, changed: Mapping[str, bytes], added: Mapping[str, bytes], dropped: frozenset[str]
    ) -> list[bytes]:
        """
        Give the pieces of a new file: changed members in their old places, added ones last, all others raw.

        The comment of the file, its ZIP64 records, and the order, dates and attributes of the members stay.
        """
        parts: list[tuple[int, int] | bytes] = [(0, len(self.before_first))]
        place = len(self.before_first)
        entries: dict[str, bytes] = {}
        for member in sorted(self.members, key=lambda one: one.record_start):
            if member.name in dropped:
                continue
            if member.name in changed:
                record, entry = changed_record(member, changed[member.name])
                parts.append(record)
                length = len(record)
            else:
                entry, length = member.entry, member.record_end - member.record_start
                parts.append((member.record_start, member.record_end))
            entries[member.name] = moved_entry(place, entry)
            place += length
        directory = [entries[member.name] for member in self.members if member.name in entries]
        for name, content in added.items():
            record, entry = new_record(name, content)
            directory.append(moved_entry(place, entry))
            parts.append(record)
            place += len(record)
        lines = b"".join(directory)
        return [*self._pieces(parts), lines, *self._new_end(place, len(lines), len(directory))]

    def _pieces(self, parts: Iterable[tuple[int, int] | bytes]) -> Iterator[bytes]:
        """Cut what is named by its places out of the old file, what follows one another there in one piece."""
        start = stop = 0
        for one in parts:
            if isinstance(one, bytes):
                yield self.data[start:stop]
                yield one
                start = stop = 0
            elif one[0] == stop:
                stop = one[1]
            else:
                yield self.data[start:stop]
                start, stop = one
        yield self.data[start:stop]

    def _new_end(self, start: int, size: int, count: int) -> list[bytes]:
        if start + size > FULL32 - 2**20:
            raise damaged("file would be too large")
        end = bytearray(self.data[self._end :])
        pieces = []
        if self._end64 is not None:
            record = bytearray(self.data[self._end64 : self._end])
            struct.pack_into("<QQQQ", record, 24, count, count, size, start)
            struct.pack_into("<Q", record, len(record) - _LOCATOR64.size + 8, start + size)
            pieces.append(bytes(record))
        for offset, kind, full, value in (
            (8, "<H", _FULL16, count),
            (10, "<H", _FULL16, count),
            (12, "<I", FULL32, size),
            (16, "<I", FULL32, start),
        ):
            if self._end64 is None or struct.unpack_from(kind, end, offset)[0] != full:
                struct.pack_into(kind, end, offset, value)
        return [*pieces, bytes(end)]


def _unfolded(member: Member, data: memoryview) -> bytes:
    """Unfold a member whole, never to more than the size it is said to have; raises WorkbookRefused."""
    packed = data[member.data_start : member.data_start + member.compressed]
    if member.method == 0:
        return bytes(packed)
    unfold = zlib.decompressobj(-15)
    try:
        content = unfold.decompress(packed, member.size + 1)
    except zlib.error as error:
        raise damaged("part damaged", member.name) from error
    if len(content) != member.size or not unfold.eof or unfold.unused_data:
        raise _wrong_size(member)
    return content


def _wrong_size(member: Member) -> WorkbookRefused:
    return damaged("part size wrong", member.name)


def _wrong_sum(member: Member) -> WorkbookRefused:
    return damaged("part checksum wrong", member.name)


def _may_hold_signs(chunk: bytes) -> bool:
    """Whether a declaration can stand in there at all: each has ``<!``, and in a wider encoding a zero byte."""
    return (b"!" in chunk and chunk.rfind(b"<!") >= 0) or b"\0" in chunk  # from the end: a third of the time


def _declares(member: Member) -> WorkbookRefused:
    return damaged("document type declared", member.name)
