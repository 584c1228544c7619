"""What is usual is read, written and checked in a quick way: it gives what the slow way gives, which anything else takes."""

from __future__ import annotations

import datetime
import io
import random
import re
import zipfile
import zlib

import pytest
from tests.workbook.corpus import moving_in
from tests.workbook.engine.test_verify_rows import sheet

from stillroom.errors import WorkbookRefused
from stillroom.workbook.ooxml import formulas as formula_cells
from stillroom.workbook.ooxml import row_heights, shared_strings
from stillroom.workbook.ooxml import zip as container
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.package import Package
from stillroom.workbook.ooxml.sheet_data import SheetText
from stillroom.workbook.ooxml.verify import sheets as verify_sheets
from stillroom.workbook.ooxml.verify.parts import Wrong, check_xml
from stillroom.workbook.ooxml.zip import CENTRAL, LOCAL, Container
from stillroom.workbook.writer import plan

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
HEAD = f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<sst xmlns="{MAIN}" count="9" uniqueCount="9">'


# ---- the zip ---------------------------------------------------------------------------------------------------------


def packed(members):
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return raw.getvalue()


def lied(data, name, size):
    """The same file, in which both headers give a member another size."""
    info = zipfile.ZipFile(io.BytesIO(data)).getinfo(name)
    true, told = (number.to_bytes(4, "little") for number in (info.file_size, size))
    crc = info.CRC.to_bytes(4, "little")
    packed_size = info.compress_size.to_bytes(4, "little")
    assert data.count(crc + packed_size + true) == 2
    return data.replace(crc + packed_size + true, crc + packed_size + told)


@pytest.mark.parametrize("whole", [container._WHOLE, 0])
def test_a_member_is_checked_alike_whole_and_in_chunks(monkeypatch, whole):
    """Its checksum, a size that is said too small or too large, and a document type wherever a chunk may end."""
    monkeypatch.setattr(container, "_WHOLE", whole)
    monkeypatch.setattr(container, "_CHUNK", 64)
    monkeypatch.setattr(container, "_BITE", 16)
    content = random.Random(7).randbytes(500).hex().encode()
    Container(packed({"a.xml": content})).check_contents({"xml": (b"<!DOCTYPE",)})
    for size in (len(content) - 1, len(content) + 1, 1):
        with pytest.raises(WorkbookRefused, match="size wrong"):
            Container(lied(packed({"a.xml": content}), "a.xml", size)).check_contents({})
    data = packed({"a.xml": content})
    crc = zlib.crc32(content).to_bytes(4, "little")
    with pytest.raises(WorkbookRefused, match="checksum wrong"):
        Container(data.replace(crc, b"\1\2\3\4")).check_contents({})
    for place in range(0, len(content), 3):
        declaring = packed({"a.xml": content[:place] + b"<!DOCTYPE" + content[place:]})
        with pytest.raises(WorkbookRefused, match="document type"):
            Container(declaring).check_contents({"xml": (b"<!DOCTYPE",)})
        Container(declaring).check_contents({"rels": (b"<!DOCTYPE",)})


@pytest.mark.parametrize("whole", [container._WHOLE, 0])
@pytest.mark.parametrize("odd", ["more behind it", "no end"])
def test_a_member_whose_packing_does_not_end_where_it_should_is_refused(monkeypatch, whole, odd):
    monkeypatch.setattr(container, "_WHOLE", whole)
    folder = zlib.compressobj(6, zlib.DEFLATED, -15)
    stream = folder.compress(b"jam" * 40)
    stream += folder.flush() + b"more" if odd == "more behind it" else folder.flush(zlib.Z_SYNC_FLUSH)
    numbers = (20, 0, 8, 0, 0x21, zlib.crc32(b"jam" * 40), len(stream), 120, 5, 0)
    record = LOCAL.pack(b"PK\3\4", *numbers) + b"a.xml" + stream
    entry = CENTRAL.pack(b"PK\1\2", 20, *numbers, 0, 0, 0, 0, 0) + b"a.xml"
    end = container._END.pack(b"PK\5\6", 0, 0, 1, 1, len(entry), len(record), 0)
    with pytest.raises(WorkbookRefused, match="size wrong"):
        Container(record + entry + end).check_contents({})


def test_no_more_is_kept_in_memory_than_is_allowed(monkeypatch):
    monkeypatch.setattr(container, "_KEPT", 2500)
    zipped = Container(packed({f"{number}.xml": b"x" * 1000 for number in range(5)}))
    zipped.check_contents({"xml": (b"<!DOCTYPE",)})
    assert len(zipped._unfolded) == 2
    assert [zipped.read(f"{number}.xml") for number in range(5)] == [b"x" * 1000] * 5


def test_a_rewritten_file_holds_just_the_members_it_should():
    """Thirty times some members changed, some dropped and some added, in a file with bytes before its first member."""
    rnd = random.Random(20260814)
    old = {f"{number}.txt": rnd.randbytes(rnd.randrange(60)) for number in range(12)}
    data = packed(old)
    for _ in range(30):
        changed = {name: rnd.randbytes(rnd.randrange(60)) for name in old if rnd.random() < 0.3}
        dropped = frozenset(name for name in old if name not in changed and rnd.random() < 0.3)
        added = {f"new {number}.txt": rnd.randbytes(20) for number in range(rnd.randrange(3))}
        new = b"".join(Container(data).rewritten(changed, added, dropped))
        archive = zipfile.ZipFile(io.BytesIO(new))
        wanted = {name: content for name, content in (old | changed | added).items() if name not in dropped}
        assert archive.testzip() is None
        assert {name: archive.read(name) for name in archive.namelist()} == wanted
        assert list(wanted) == archive.namelist()
        Container(new).check_contents({})


# ---- strings ---------------------------------------------------------------------------------------------------------


PLAIN = [
    "<si><t>jam</t></si>",
    "<si><t>jam</t></si><si><t>jar</t></si><si><t>jam</t></si>",
    '<si><t xml:space="preserve"> plum </t></si><si><t></t></si><si><t>two\nlines</t></si>',
    "<si><t>_x005F_x0041_ _x000D_</t></si><si><t>é ≥ 🍅</t></si><si><t>jam</t></si>",
]
OTHERS = [
    "",
    "<si/>",
    "<si><t/></si><si><t>a</t></si>",
    "<si><t>salt &amp; sugar</t></si>",
    "<si><t>a\r\nb</t></si>",
    "<si><r><t>rich</t></r><r><t> text</t></r></si><si><t>a</t></si>",
    "<si><t>base</t><rPh sb='0' eb='1'><t>ph</t></rPh></si>",
    "<si>\n<t>a</t></si>\n<si><t>b</t></si>\n",
    "<si><t>a</t></si><!-- <si><t>no</t></si> --><si><t>b</t></si>",
    "<si><t><![CDATA[a<b]]></t></si>",
    "<si><t>a</t></si><extLst/>",
    '<si><t foo="1">a</t></si>',
]


@pytest.mark.parametrize("items", [*PLAIN, *OTHERS])
def test_shared_strings_are_read_alike(monkeypatch, hand, items):
    def texts(part):
        members = hand.parts({"Plan": "<row r='1'><c r='A1'/></row>"}, strings=part)
        read = shared_strings.Strings(Package(packed(members)))
        return read._read(), read._plain

    part = f"{HEAD}{items}</sst>"
    assert bool(shared_strings._plain_texts(part.encode())) == (items in PLAIN)
    quick = texts(part)
    monkeypatch.setattr(shared_strings, "_plain_texts", lambda _: [])
    assert texts(part) == quick


@pytest.mark.parametrize(
    "part",
    [
        f"{HEAD}<si><t>\x01</t></si></sst>",
        f"{HEAD}<si><t>a</t></si></sst",
        f"{HEAD}<si><t>a</si></t></sst>",
        f"{HEAD}<si><t>a</t></si></sst><sst>",
        f'<sst xmlns="{MAIN}"><si><t>a</t></si><si><t>b</si></sst>',
        '<sst xmlns="urn:x"><si><t>a</t></si></sst>',
    ],
)
def test_a_damaged_part_of_strings_is_left_to_the_parser(part):
    assert shared_strings._plain_texts(part.encode()) == []
    assert shared_strings._plain_texts(f"{HEAD}<si><t>é</t></si></sst>".encode("latin-1")) == []


# ---- formulas --------------------------------------------------------------------------------------------------------


PIECES = (
    "A1",
    "$B$22",
    "AB12:C13",
    "Plan!A1",
    "Plan[Make]",
    "rate",
    "SUM(",
    "IF(",
    "OFFSET(",
    ")",
    "):",
    "+",
    "&lt;",
    '"x"',
)
PIECES += (
    "&amp;",
    "1.5",
    "'A b'!C3",
    "A1:INDEX(",
    "[1]x!A1",
    "Q1_x",
    "ABCD5",
    "A12345678",
    "LOG10(",
    "#REF!",
    " ",
    ",",
)


@pytest.mark.parametrize("prefix", ["", "x:"])
def test_the_same_formulas_are_looked_at_more_closely(monkeypatch, prefix):
    """Six hundred sheets of random formulas, most of them of their own sheet only."""
    rnd = random.Random(prefix)
    space = f'xmlns:x="{MAIN}"' if prefix else f'xmlns="{MAIN}"'
    several = []
    for _ in range(600):
        cells = ""
        for row in range(1, rnd.randrange(2, 7)):
            pieces = PIECES if rnd.random() < 0.3 else ("A1", "$B$22", "+", "*", "SUM(", "1.5", "&lt;", "C3")
            text = "".join(rnd.choice(pieces) for _ in range(rnd.randrange(1, 5)))
            tag = rnd.choice(["", "", ' t="shared" ref="A1:A3" si="0"', ' ca="1"'])
            empty = f"<{prefix}f{tag}/>" if rnd.random() < 0.1 else f"<{prefix}f{tag}>{text}</{prefix}f>"
            cells += f'<{prefix}row r="{row}"><{prefix}c r="A{row}">{empty}<{prefix}v>1</{prefix}v></{prefix}c></{prefix}row>'
        part = f"<{prefix}worksheet {space}><{prefix}sheetData>{cells}</{prefix}sheetData></{prefix}worksheet>"
        several.append(SheetText(part.encode(), "a.xml"))
    quick = [formula_cells.formula_texts(one) for one in several]
    assert 100 < sum(bool(one) for one in quick) < 500
    monkeypatch.setattr(formula_cells, "_first_abroad", lambda one: one.sheet_data.tag_end)
    assert [formula_cells.formula_texts(one) for one in several] == quick


# ---- heights ---------------------------------------------------------------------------------------------------------


def test_rows_are_made_as_high_when_each_is_looked_at(monkeypatch, tmp_path):
    path = moving_in.made("openpyxl our_plan", tmp_path)
    rnd = random.Random(3)
    words = ("plum", "140 lb", "wide mouth", "\n", "W" * 40, "iiii", "sweet peppers, sliced;")
    tables = {
        "Plan": [{"Day": moving_in.DAY, "Preserve": said(rnd, words), "Make": 3, "Uses": said(rnd, words)} for _ in range(30)],
        "Messages": [{"Severity": "note", "Where": said(rnd, words), "What": said(rnd, words)} for _ in range(30)],
    }  # fmt: skip

    def planned(out):
        book = Book.open(path)
        plan.write(book, tables, moving_in.DAY, "cd" * 32)
        book.save(out)
        return out.read_bytes()

    quick = planned(tmp_path / "quick.xlsx")
    looked_at = []
    monkeypatch.setattr(row_heights, "_is_one_line", lambda *_: looked_at.append(1))
    assert planned(tmp_path / "slow.xlsx") == quick
    assert looked_at


def said(rnd, words):
    return " ".join(rnd.choice(words) for _ in range(rnd.randrange(1, 16))).strip()


# ---- the check -------------------------------------------------------------------------------------------------------


VALUES = {(2, 2): 7, (2, 4): 2.5, (3, 3): None, (4, 1): "jam", (5, 5): "plum", (6, 1): datetime.date(2026, 8, 14)}
WRITTEN = {
    b'<c r="A4" s="1"><v>4</v></c>': b'<c r="A4" s="1" t="s"><v>1</v></c>',
    b'<c r="E5" s="5"><v>25</v></c>': b'<c r="E5" s="5" t="inlineStr"><is><t>plum</t></is></c>',
    b'<c r="A6" s="1"><v>6</v></c>': b'<c r="A6" s="9"><v>46248</v></c>',
}


def right_sheet():
    """A sheet in which a number, a blank, a shared text, a text of its own and a day were written."""
    new = sheet({(2, 2): 7, (2, 4): 2.5, (3, 3): None})
    for before, after in WRITTEN.items():
        assert before in new
        new = new.replace(before, after)
    return new


def verdict(new):
    """What the check says of a sheet."""
    texts = {0: "salsa", 1: "jam"}
    try:
        check_xml(new)
        verify_sheets.check_sheet(sheet({}), new, VALUES, (), texts.get, date1904=False)
    except Wrong as error:
        return [str(error)]
    return []


def test_plain_cells_are_judged_as_those_that_are_parsed(monkeypatch):
    """At every place inside each owned cell a sign exchanged, put in and taken out: the same complaints, hardly ever none."""
    new = right_sheet()
    assert verdict(new) == []
    rnd = random.Random(14)
    changed = []
    for name in (b"B2", b"D2", b"C3", b"A4", b"E5", b"A6"):
        start = new.index(b'<c r="' + name)
        end = min(new.index(ending, start) + len(ending) for ending in (b"</c>", b"/>") if ending in new[start:])
        for place in range(start, end):
            sign = bytes([rnd.choice(b'0127abcrstv <>"/=._x')])
            changed += [new[:place] + sign + new[place:], new[:place] + sign + new[place + 1 :]]
            changed.append(new[:place] + new[place + 1 :])
    quick = [verdict(one) for one in changed]
    monkeypatch.setattr(verify_sheets, "_PLAIN_CELL", re.compile(b"(?!)"))
    slow = [verdict(one) for one in changed]
    assert [(one, q, s) for one, q, s in zip(changed, quick, slow, strict=True) if bool(q) != bool(s)] == []
    assert sum(not one for one in quick) < len(quick) / 8


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        ("B2", b'<c r="B2" s="2"><v>7.1</v></c>'),
        ("B2", b'<c r="B2" s="2" t="s"><v>7</v></c>'),
        ("C3", b'<c r="C3" s="3"><v></v></c>'),
        ("C3", b'<c r="C3" s="4"/>'),
        ("C3", b'<c r="C3"/>'),
        ("A4", b'<c r="A4" s="1" t="s"><v>0</v></c>'),
        ("A4", b'<c r="A4" s="2" t="s"><v>1</v></c>'),
        ("A4", b'<c r="A4" s="1"><v>1</v></c>'),
        ("A4", b'<c r="A9" s="1" t="s"><v>1</v></c>'),
        ("E5", b'<c r="E5" s="5" t="inlineStr"><is><t>plums</t></is></c>'),
        ("E5", b'<c r="E5" s="5" t="str"><is><t>plum</t></is></c>'),
        ("E5", b'<c r="E5" s="5" t="inlineStr"><v>plum</v></c>'),
        ("A6", b'<c r="A6" s="9"><v>46249</v></c>'),
        ("A6", b'<c r="A6" s="9" t="b"><v>46248</v></c>'),
    ],
)
def test_a_plain_cell_that_holds_something_else_is_complained_of(name, wrong):
    new = right_sheet()
    start = new.index(f'<c r="{name}"'.encode())
    end = min(new.index(ending, start) + len(ending) for ending in (b"</c>", b"/>") if ending in new[start:])
    assert verdict(new[:start] + wrong + new[end:]) != []


@pytest.mark.parametrize("columns", [{2}, {1, 3}, {1, 2, 3, 4, 5}, {2, 7}])
def test_a_row_is_taken_apart_alike_at_once_and_cell_by_cell(columns):
    """Rows of random cells: blank ones, values, texts, formulas, attributes with odd signs, end tags with a space."""
    rnd = random.Random(len(columns))
    for _ in range(300):
        cells = []
        for letter in "ABCDE":
            tag = rnd.choice(
                ["", ' s="3"', ' s="3" t="s"', ' t="str" s="3"', " cm='1'", ' x="a/b>c" s="3"', ' t="inlineStr"']
            )
            inside = rnd.choice(
                ["", "<v>1</v>", "<f>A1</f><v/>", "<is><t>c/&gt;</t></is>", '<extLst><ext uri="c"/></extLst>']
            )
            end = rnd.choice(["</c>", "</c>", "</c >"])
            cells.append(f'<c r="{letter}1"{tag}>{inside}{end}' if inside else f'<c r="{letter}1"{tag}/>')
        data = f'<worksheet><sheetData><row r="1">{"".join(cells)}</row></sheetData></worksheet>'.encode()
        part = verify_sheets._Sheet(data)
        row = part.row(1, part.start)
        at_once = part.apart(row, sorted(columns))
        part.seen = bytes(bytearray(data))  # another object, as where there are comments
        assert at_once == part.apart(row, sorted(columns))
        there = [column for column in sorted(columns) if column <= len(cells)]
        assert at_once[1:] == (there, [cells[column - 1].encode() for column in there])
