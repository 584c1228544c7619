"""Damaged files and damaged parts: each is refused by name or written into rightly; never a traceback, never a hang."""

from __future__ import annotations

import datetime
import random
import re
import time

import pytest
from tests.samples import count

from stillroom.errors import CouldNotWrite, WorkbookRefused
from stillroom.workbook.ooxml.book import Book

PIECES = [
    b"<", b">", b"/>", b'"', b"'", b"&", b"&#0;", b"&amp;", b"<!--", b"-->", b"<![CDATA[", b"]]>", b"<?x?>", b"=", b"-1", b"999999999999", b"A0", b"ZZZZ1", b"1e999",
    b"\x00", b"\xff", b"xml", b"", b" ", b"\n", b"NaN", b"r", b":", b"<row>", b"<c>", b"<f>", b"</row>", b"mc:", b"x:", b"[", b"]", b"1.5", b"R1C1",
]  # fmt: skip


def rich(hand):
    """Members with something of everything the engine reads."""
    column = '<tableColumn id="4" name="Note"><calculatedColumnFormula>D4*2</calculatedColumnFormula></tableColumn>'
    tables = {"Plan": [hand.table_xml(1, "Plan", "B3:E7", ["Day", "Preserve", "Make", column])]}
    chain = f'<calcChain xmlns="{hand.main}"><c r="A1" i="2"/></calcChain>'
    names = '<definedNames><definedName name="makes">Plan!$D$4</definedName></definedNames><calcPr calcId="1"/>'
    members = hand.plan_parts(tables=tables, chain=chain, workbook_more=names)
    more = (
        '<row r="9"><c r="A9"><f t="shared" ref="A9:A10" si="0">Plan!D4</f><v>1</v></c><c r="C9"><f t="array" ref="C9:C10">Plan!D4:D5</f><v>1</v></c></row>'
        '<row r="10"><c r="A10"><f t="shared" si="0"/><v>1</v></c></row></sheetData><mergeCells count="1"><mergeCell ref="H1:I2"/></mergeCells>'
    )
    members["xl/worksheets/sheet2.xml"] = members["xl/worksheets/sheet2.xml"].replace(b"</sheetData>", more.encode())
    return members


def mutated(rnd, content):
    """Damage bytes in one to three places."""
    content = bytearray(content)
    for _ in range(rnd.randrange(1, 4)):
        place = rnd.randrange(len(content) + 1)
        kind = rnd.randrange(4)
        if kind == 0:
            content[place : place + 1] = bytes([rnd.randrange(256)])
        elif kind == 1:
            content[place : place + rnd.randrange(1, 20)] = b""
        elif kind == 2:
            content[place:place] = rnd.choice(PIECES)
        else:
            other = rnd.randrange(len(content) + 1)
            content[place:place] = content[other : other + rnd.randrange(1, 60)]
    return bytes(content)


def mutated_attribute(rnd, content):
    """Put something odd into one attribute, which leaves the XML well-formed."""
    found = list(re.finditer(rb'"[^"<]*"', content))
    match = rnd.choice(found)
    odd = rnd.choice(
        [
            b"",
            b"-1",
            b"x",
            b"1.5",
            b"99999999999",
            b"A0",
            b"ZZZZ99",
            b"A1:",
            b"true",
            b"\xc3\xa9",
            b"0",
            b"A1:B2:C3",
            b"&amp;",
            b"s",
            b"shared",
        ]
    )
    return content[: match.start() + 1] + odd + content[match.end() - 1 :]


def one_case(rnd, hand, members, folder):
    path = folder / "a.xlsx"
    kind = rnd.randrange(3)
    if kind == 0:
        hand.pack(path, members, stored=list(members) if rnd.randrange(2) else ())
        path.write_bytes(mutated(rnd, path.read_bytes()))
    else:
        name = rnd.choice(list(members))
        change = mutated if kind == 1 else mutated_attribute
        hand.pack(path, {**members, name: change(rnd, members[name])}, stored=list(members))
    data = path.read_bytes()
    start = time.process_time()
    try:
        book = Book.open(path)
        table = book.table("Plan")
        for found in [*([table] if table else []), *book.tables_by_headings(["Day", "Make"], "Plan")]:
            if found.column("Make"):
                book.fill_table(found, {"Make": [1, 2.5, None, "=x", datetime.date(2026, 8, 1), True]}, 6)
        for sheet in book.sheet_names[:1]:
            book.cell(sheet, 4, 4)
            book.set(sheet, 12, 2, "below")
        book.save(folder / "b.xlsx")
        again = Book.open(folder / "b.xlsx")
        outcome = "written"
        if table is not None and again.table("Plan") is not None and table.column("Make"):
            column = table.headings.index(next(one for one in table.headings if one.casefold() == "make"))
            assert [row[column].value for row in again.table("Plan").rows][:3] == [1, 2.5, None]
    except WorkbookRefused:
        outcome = "refused"
    except CouldNotWrite as error:
        outcome = "stopped" if "the check of the new file failed" in str(error) else str(error)
    assert path.read_bytes() == data
    assert time.process_time() - start < 5
    return outcome


def run(hand, folder, many, seed):
    members = rich(hand)
    outcomes = {"written": 0, "refused": 0, "stopped": 0}
    for number in range(many):
        rnd = random.Random(f"{seed} {number}")
        try:
            outcomes[one_case(rnd, hand, members, folder)] += 1
        except Exception as error:
            pytest.fail(f"case {seed} {number}: {error!r}")
    return outcomes


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_damaged_files_are_refused_or_written_into(hand, tmp_path):
    """Four hundred of them; `python3 tests/bench.py samples` takes eight hundred, and `fuzz` there ten thousand."""
    number = count(400, 800)
    outcomes = run(hand, tmp_path, number, 2)
    assert outcomes["written"] > number // 5
    assert outcomes["refused"] > number * 3 // 5
    assert outcomes["stopped"] < number // 25
