"""Files that are refused by name, on opening, with the file untouched; and odd files that are not."""

from __future__ import annotations

import contextlib
import os
import re
import struct
import subprocess
import sys
import time
import zipfile
import zlib
from pathlib import Path

import pytest

from stillroom.errors import WorkbookRefused
from stillroom.reports.problems import line, sentences
from stillroom.workbook.ooxml.book import Book


def refused(path, words):
    data = path.read_bytes()
    with pytest.raises(WorkbookRefused) as refusal:
        Book.open(path)
    assert re.search(words, "\n".join(line(problem) for problem in refusal.value.problems))
    assert path.read_bytes() == data
    assert all(sentences(problem)[1] for problem in refusal.value.problems)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"), (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "password, or is an old .xls"), (b"Crop;Amount\nplum;3\n", "[Nn]ot an Excel"),
        (b"%PDF-1.7", "[Nn]ot an Excel"), (b"PK\x03\x04" + bytes(100), "cut short"), (b"PK\x05\x06" + bytes(18), "zip file, but not a workbook"),
    ],
)  # fmt: skip
def test_files_that_are_no_zip(tmp_path, content, words):
    path = tmp_path / "a.xlsx"
    path.write_bytes(content)
    refused(path, words)


def test_files_that_are_not_there_or_are_folders(tmp_path):
    with pytest.raises(WorkbookRefused, match="no such file"):
        Book.open(tmp_path / "none.xlsx")
    with pytest.raises(WorkbookRefused, match="a folder"):
        Book.open(tmp_path)


def changed(members, name, old, new):
    assert old in members[name]
    return {**members, name: members[name].replace(old, new)}


def test_packages_that_are_not_plain_workbooks(tmp_path, hand):
    plain = hand.plan_parts()
    strict = {
        name: content.replace(hand.main.encode(), b"http://purl.oclc.org/ooxml/spreadsheetml/main")
        for name, content in plain.items()
    }
    cases = {
        "OpenDocument": {"mimetype": b"application/vnd.oasis.opendocument.spreadsheet", "content.xml": b"<x/>"},
        "digital signature": {**plain, "_xmlsignatures/origin.sigs": b""},
        "macros of the workbook are signed": {**plain, "xl/vbaProjectSignature.bin": b"x"},
        "tracked changes": {**plain, "xl/revisions/revisionHeaders.xml": b"<x/>"},
        "binary workbook": {"[Content_Types].xml": b"<x/>", "xl/workbook.bin": b"x"},
        "Strict": strict,
        "another kind": changed(plain, "[Content_Types].xml", b"sheet.main+xml", b"chart+xml"),
        "declares a document type": changed(plain, "xl/styles.xml", b"?>\n", b'?>\n<!DOCTYPE x [<!ENTITY a "b">]>'),
        "not a workbook": {"a.txt": b"x"},
        "leads out of it": {**plain, "../../evil.xml": b"<x/>"},
        r"leads out of it.*C:": {**plain, "C:/evil.xml": b"<x/>"},
        "two parts named": {**plain, "XL/workbook.xml": b"<x/>"},
    }
    for number, (words, members) in enumerate(cases.items()):
        refused(hand.pack(tmp_path / f"{number}.xlsx", members), words)


def test_a_document_type_is_seen_in_utf16_and_across_chunks(tmp_path, hand):
    plain = hand.plan_parts()
    wide = '<?xml version="1.0" encoding="UTF-16"?><!DOCTYPE x><x/>'.encode("utf-16")
    refused(hand.pack(tmp_path / "a.xlsx", {**plain, "customXml/item1.xml": wide}), "document type")
    for shift in range(12):
        long = b"<x>" + os.urandom(2**19).hex().encode()[: 2**20 - 3 - shift] + b"<!DOCTYPE x></x>"
        refused(hand.pack(tmp_path / "b.xlsx", {**plain, "a.xml": long}), "document type")


def test_parts_in_another_encoding_are_refused_when_they_are_needed(tmp_path, hand):
    members = hand.plan_parts()
    text = members["xl/worksheets/sheet1.xml"].decode()
    for encoding in ("utf-16", "latin-1"):
        members["xl/worksheets/sheet1.xml"] = text.replace("UTF-8", encoding).encode(encoding)
        book = Book.open(hand.pack(tmp_path / "a.xlsx", members))
        book.set("Looking", 5, 5, 1)
        book.set("Plan", 4, 4, 1)
        with pytest.raises(WorkbookRefused, match="UTF-8"):
            book.save(tmp_path / "out.xlsx")


def test_damage_is_found_by_its_checksum(plan_file):
    data = bytearray(plan_file.read_bytes())
    with zipfile.ZipFile(plan_file) as archive:
        info = archive.getinfo("xl/styles.xml")
        content = archive.read(info)
    start = info.header_offset + 30 + len(info.filename)
    for place in range(start, start + info.compress_size):
        data[place] ^= 0x55
        with contextlib.suppress(zlib.error):
            unfold = zlib.decompressobj(-15)
            other = unfold.decompress(data[start : start + info.compress_size])
            if unfold.eof and not unfold.unused_data and len(other) == len(content) and other != content:
                break
        data[place] ^= 0x55
    plan_file.write_bytes(data)
    refused(plan_file, "its part xl/styles.xml is wrong")


def test_doubled_locked_and_oddly_packed_members_are_refused(tmp_path, hand, plan_file):
    data = plan_file.read_bytes()
    path = tmp_path / "a.xlsx"
    path.write_bytes(data.replace(b"xl/styles.xml", b"xl/styleS.xml"))  # both headers: a harmless other spelling
    Book.open(path)
    hand.pack(path, {**hand.plan_parts(), "xl/workbooK.xml": b"<x/>"})
    path.write_bytes(path.read_bytes().replace(b"xl/workbooK.xml", b"xl/workbook.xml"))
    refused(path, "two parts named xl/workbook.xml")
    start = data.rindex(b"PK\x01\x02")
    path.write_bytes(data[: start + 8] + struct.pack("<H", 1) + data[start + 10 :])
    refused(path, "password")
    path.write_bytes(data[: start + 10] + struct.pack("<H", 12) + data[start + 12 :])
    refused(path, "no spreadsheet program uses")
    path.write_bytes(data[: start + 42] + struct.pack("<I", 0) + data[start + 46 :])
    refused(path, "two of its parts overlap")
    path.write_bytes(data + b"more")
    refused(path, "cut short")
    path.write_bytes(data[:-1])
    refused(path, "cut short")


def test_a_header_that_disagrees_with_the_directory_is_refused(tmp_path, plan_file):
    data = plan_file.read_bytes()
    place = data.index(b"xl/styles.xml")
    path = tmp_path / "a.xlsx"
    path.write_bytes(data[:place] + b"xl/stylez.xml" + data[place + 13 :])
    refused(path, "another name in the directory")


def bomb(path, members, megabytes, said):
    """Add a member of zeros, folded a thousand to one; ``said`` is the size that its headers claim."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
        archive.writestr("xl/media/image1.xml", b"x" * 999)
    data = path.read_bytes()
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    piece = packer.compress(bytes(1 << 20)) + packer.flush(zlib.Z_FULL_FLUSH)
    packed = piece * megabytes + packer.flush()
    with zipfile.ZipFile(path) as archive:
        info, directory = archive.getinfo("xl/media/image1.xml"), archive.start_dir
    sizes = struct.pack("<II", info.compress_size, 999)
    record = data[info.header_offset : directory].replace(sizes, struct.pack("<II", len(packed), said))
    record = record[: 30 + len(info.filename)] + packed
    entries = data[directory:].replace(sizes, struct.pack("<II", len(packed), said))
    end = struct.pack("<I", info.header_offset + len(record))
    path.write_bytes(data[: info.header_offset] + record + entries[:-6] + end + entries[-2:])
    return path


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="peak memory is read from /proc")
def test_a_zip_bomb_is_refused_within_a_second_and_little_memory(tmp_path, hand):
    path = bomb(tmp_path / "bomb.xlsx", hand.plan_parts(), 1024, 1 << 30)
    assert path.stat().st_size < 1_100_000
    liar = bomb(tmp_path / "liar.xlsx", hand.plan_parts(), 512, 5_000_000)
    code = (
        "import sys, time; from pathlib import Path; from stillroom.workbook.ooxml.book import Book; from stillroom.errors import WorkbookRefused\n"
        "start = time.process_time()\n"
        "for name in sys.argv[1:]:\n"
        "    try: Book.open(Path(name)); print('opened')\n"
        "    except WorkbookRefused as refusal: print(refusal)\n"
        "peak = [line.split()[1] for line in open('/proc/self/status') if line.startswith('VmHWM')]\n"
        "print(time.process_time() - start, int(peak[0]) // 1024)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(path), str(liar)], capture_output=True, text=True, check=True
    )
    first, second, figures = done.stdout.splitlines()
    seconds, megabytes = figures.split()
    assert "part unpacks too large" in first
    assert "part size wrong" in second
    assert float(seconds) < 1
    assert int(megabytes) < 200


def test_too_many_members_are_refused(tmp_path):
    path = tmp_path / "many.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        for number in range(10_001):
            archive.writestr(str(number), b"")
    start = time.process_time()
    refused(path, "10,001 parts")
    assert time.process_time() - start < 1


def with_descriptors_and_zip64(path, members):
    """Write a zip as a streaming writer does: data descriptors, ZIP64 fields and a ZIP64 end, though nothing needs them."""
    out, directory = bytearray(), bytearray()
    for number, (name, content) in enumerate(members.items()):
        raw, start = name.encode(), len(out)
        packer = zlib.compressobj(9, zlib.DEFLATED, -15)
        packed = packer.compress(content) + packer.flush()
        crc = zlib.crc32(content)
        out += (
            struct.pack("<4s5H3I2H", b"PK\x03\x04", 45, 8, 8, 0x6000, 0x58B1, 0, 0xFFFFFFFF, 0xFFFFFFFF, len(raw), 20)
            + raw
        )
        out += struct.pack("<HHQQ", 1, 16, 0, 0) + packed
        out += (b"PK\x07\x08" if number % 2 else b"") + struct.pack("<IQQ", crc, len(packed), len(content))
        extra = struct.pack("<HHQQQ", 1, 24, len(content), len(packed), start) + struct.pack("<HH", 0x9999, 0)
        full = 0xFFFFFFFF
        directory += struct.pack(
            "<4s6H3I5H2I",
            b"PK\x01\x02",
            45,
            45,
            8,
            8,
            0x6000,
            0x58B1,
            crc,
            full,
            full,
            len(raw),
            len(extra),
            3,
            0,
            0,
            0o644 << 16,
            full,
        )
        directory += raw + extra + b"odd"
    start = len(out)
    end = len(out) + len(directory)
    count = len(members)
    out += directory + struct.pack("<4sQHHIIQQQQ", b"PK\x06\x06", 44, 45, 45, 0, 0, count, count, len(directory), start)
    out += (
        struct.pack("<4sIQI", b"PK\x06\x07", 0, end, 1)
        + struct.pack("<4s4HIIH", b"PK\x05\x06", 0, 0, 0xFFFF, 0xFFFF, 0xFFFFFFFF, 0xFFFFFFFF, 3)
        + b"end"
    )
    path.write_bytes(out)
    return path


def test_odd_but_right_zips_are_written_into_and_keep_their_oddness(tmp_path, hand):
    members = {**hand.plan_parts(), "xl/media/": b"", "unknown.bin": os.urandom(99), "xl/ключ.xml": b"<x/>"}
    odd = with_descriptors_and_zip64(tmp_path / "odd.xlsx", hand.plan_parts())
    stored = hand.pack(tmp_path / "stored.xlsx", members, stored=list(members), comment=b"a comment")
    for path in (odd, stored):
        data = path.read_bytes()
        book = Book.open(path)
        book.set("Plan", 4, 4, 77)
        receipt = book.save(tmp_path / "out.xlsx")
        with zipfile.ZipFile(path) as old, zipfile.ZipFile(tmp_path / "out.xlsx") as new:
            assert new.namelist() == [*old.namelist(), *receipt.members_added]
            assert new.testzip() is None
            assert new.comment == old.comment
            for info in old.infolist():
                now = new.getinfo(info.filename)
                assert (now.date_time, now.external_attr, now.comment) == (
                    info.date_time,
                    info.external_attr,
                    info.comment,
                )
                if info.filename not in receipt.members_changed:
                    assert new.read(info.filename) == old.read(info.filename)
        assert Book.open(tmp_path / "out.xlsx").cell("Plan", 4, 4).value == 77
        Book.open(path).save(tmp_path / "same.xlsx")
        assert (tmp_path / "same.xlsx").read_bytes() == data


def test_templates_and_macro_workbooks_are_opened_and_keep_their_macros(tmp_path, hand):
    for kind in ("application/vnd.ms-excel.sheet.macroEnabled.main+xml", "template.main+xml"):
        path = hand.pack(
            tmp_path / "m.xlsm", hand.plan_parts(main_type=kind, extra={"xl/vbaProject.bin": b"macro" * 99})
        )
        book = Book.open(path)
        book.set("Plan", 4, 4, 77)
        book.save(tmp_path / "out.xlsm")
        with zipfile.ZipFile(tmp_path / "out.xlsm") as archive:
            assert archive.read("xl/vbaProject.bin") == b"macro" * 99


def test_a_backslash_in_the_name_of_a_part_is_named_as_what_it_is(tmp_path, hand):
    plain = hand.plan_parts()
    path = hand.pack(tmp_path / "a.xlsx", {**plain, "xl/media|picture1.png": b"x"})
    path.write_bytes(path.read_bytes().replace(b"media|picture1", b"media\\picture1"))
    refused(path, r"backslash where a slash belongs")
    path = hand.pack(tmp_path / "b.xlsx", {**plain, "..|evil.xml": b"x"})
    path.write_bytes(path.read_bytes().replace(b"..|evil", b"..\\evil"))
    refused(path, "leads out of it")
