"""Damaged workbooks: members of the corpus with bytes, attributes or records bent, and what moving into them comes to."""

from __future__ import annotations

import random
import re
import signal
import tempfile
import zipfile
from functools import cache
from io import BytesIO
from pathlib import Path

from tests.workbook.corpus import moving_in

from stillroom.errors import CouldNotWrite, WorkbookRefused
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.starter.start import adopt

LONGEST_SECONDS = 5
PIECES = (
    b"<", b">", b"/>", b'"', b"'", b"&", b"&#0;", b"&#x10FFFF;", b"<!--", b"-->", b"<![CDATA[", b"]]>", b"<?x?>", b"<!DOCTYPE a>", b"\x00", b"\xff\xfe", b"",
    b"-1", b"99999999999999999999", b"1e999", b"NaN", b"A0", b"XFE1", b"A1:B2:C3", b"#REF!", b"</row>", b"<row>", b"<c/>", b"</sheetData>", b"xmlns:x='y'", b"r:id=''",
    b"../../../etc", b"\xf0\x9f\x90\x94", b"TRUE", b"$A$1",
)  # fmt: skip
VALUES = (
    b"",
    b"-1",
    b"0",
    b"1.5",
    b"x",
    b"99999999999",
    b"A0",
    b"ZZZZ9",
    b"A1:",
    b"A1:XFD1048576",
    b"true",
    b"&amp;",
    b"Plan",
    b"rId1",
    b"/xl/workbook.xml",
    b"shared",
    b"\xc3\xa9",
)


class TookTooLong(Exception):
    """A case ran longer than it may."""


@cache
def corpus_bytes(name: str) -> bytes:
    """One workbook of the corpus."""
    with tempfile.TemporaryDirectory() as folder:
        return moving_in.made(name, Path(folder)).read_bytes()


LARGE = ("openpyxl many_sheets", "by hand wide_and_sparse", "xlsxwriter years_of_work")
NAMES = tuple(name for name in moving_in.cases() if name not in LARGE)


def damaged(rnd: random.Random) -> tuple[str, bytes]:
    """One damaged workbook, with what was done to it."""
    name = rnd.choice(NAMES)
    data = corpus_bytes(name)
    kind = rnd.choice(
        (
            "zip bytes",
            "part bytes",
            "part bytes",
            "attribute",
            "attribute",
            "attribute",
            "missing part",
            "exchanged parts",
            "cut short",
        )
    )
    if kind == "zip bytes":
        return f"{name}: {kind}", bent(rnd, data)
    if kind == "cut short":
        return f"{name}: {kind}", data[: rnd.randrange(len(data))]
    with zipfile.ZipFile(BytesIO(data)) as archive:
        members = {info.filename: archive.read(info) for info in archive.infolist() if not info.is_dir()}
    part = rnd.choice([member for member in members if member.endswith((".xml", ".rels"))])
    if kind == "part bytes":
        members[part] = bent(rnd, members[part])
    elif kind == "attribute":
        members[part] = with_odd_attribute(rnd, members[part])
    elif kind == "missing part":
        del members[part]
    else:
        other = rnd.choice(list(members))
        members[part], members[other] = members[other], members[part]
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for member, content in members.items():
            archive.writestr(member, content)
    return f"{name}: {kind} in {part}", out.getvalue()


def bent(rnd: random.Random, content: bytes) -> bytes:
    """Put other bytes in one to three places."""
    new = bytearray(content)
    for _ in range(rnd.randrange(1, 4)):
        place = rnd.randrange(len(new) + 1)
        end = place + rnd.choice((0, 0, 1, 1, rnd.randrange(1, 40)))
        other = rnd.randrange(len(new) + 1)
        new[place:end] = rnd.choice(
            (rnd.choice(PIECES), bytes([rnd.randrange(256)]), bytes(new[other : other + rnd.randrange(1, 80)]))
        )
    return bytes(new)


def with_odd_attribute(rnd: random.Random, content: bytes) -> bytes:
    """Give one attribute another value; the XML stays well-formed."""
    found = list(re.finditer(rb'(?<=[\w ]=)"[^"<]*"', content))
    if not found:
        return content
    match = rnd.choice(found)
    return content[: match.start() + 1] + rnd.choice(VALUES) + content[match.end() - 1 :]


def outcome(data: bytes, folder: Path) -> str:
    """
    Move into a damaged workbook: "written" (and read back right), "refused" or "stopped".

    Anything else is raised: a traceback of another kind, a case of more than five seconds, a source that was changed.
    """
    path, out = folder / "damaged.xlsx", folder / "out.xlsx"
    path.write_bytes(data)
    before = signal.signal(signal.SIGPROF, too_long)
    signal.setitimer(signal.ITIMER_PROF, LONGEST_SECONDS)  # of work, however busy the machine is with other things
    try:
        book = Book.open(path)
        adopt(book)
        book.save(out)
        book = Book.open(out)
        table = book.table("Shopping")
        if table is not None:
            book.fill_table(table, {"Item": ["salt", "=1+1", None], "Buy": [1, 2.5, 3e-9]}, 3)
            book.save(out)
            again = Book.open(out).table("Shopping")
            assert again is not None
            assert [[cell.value for cell in row[:2]] for row in again.rows[:3]] == [
                ["salt", 1],
                ["=1+1", 2.5],
                [None, 3e-9],
            ]
        found = "written"
    except WorkbookRefused:
        found = "refused"
    except CouldNotWrite:
        found = "stopped"
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
    assert path.read_bytes() == data
    return found


def too_long(*_: object) -> None:
    """End a case that hangs."""
    raise TookTooLong
