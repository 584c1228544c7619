"""The check of a finished save: it must pass what is right and catch whatever is not."""

from __future__ import annotations

import ast
import datetime
import random
import re
import struct
import sys
import zipfile
import zlib
from pathlib import Path

import pytest
from tests.samples import count
from tests.workbook.engine.test_new_sheets import sheet_of

from stillroom.errors import CouldNotWrite
from stillroom.workbook.ooxml import save
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.verify import Claims, parts
from stillroom.workbook.ooxml.verify import package as verify
from stillroom.workbook.ooxml.verify import sheets as verify_sheets


@pytest.fixture
def saved(plan_file, tmp_path, monkeypatch, hand):
    """A save with cells written, a table grown, results cleared and strings added; the old bytes, the new and the claims."""
    seen = {}
    check = verify.complaints
    monkeypatch.setattr(
        save.verify,
        "complaints",
        lambda old, new, claims: seen.update(old=old, new=new, claims=claims) or check(old, new, claims),
    )
    book = Book.open(plan_file)
    days = [datetime.date(2026, 9, day) for day in range(1, 7)]
    book.fill_table(
        book.table("Plan"), {"Day": days, "Make": [9, 8, 7.5, 6, None, 1], "Note": ["a", "b", None, "=c", "a", "é"]}, 6
    )
    book.save(tmp_path / "out.xlsx")
    return seen["old"], seen["new"], seen["claims"]


def test_it_passes_what_is_right(saved):
    assert verify.complaints(*saved) == []


def test_it_shares_no_code_with_the_writer():
    package = "stillroom.workbook.ooxml.verify"
    names = {package, *(f"{package}.{one}" for one in ("package", "parts", "rules", "sheets"))}
    for name in names:
        tree = ast.parse(Path(sys.modules[name].__file__).read_text())
        ours = {
            node.module
            for node in ast.walk(tree)
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("stillroom")
        }
        assert ours <= names


def owned_ranges(old, new, claims):
    """The bytes of the new file that only hold owned content: the packed data of changed members (their content is tested apart)."""
    import io

    before = {info.filename: info for info in zipfile.ZipFile(io.BytesIO(old)).infolist()}
    for info in zipfile.ZipFile(io.BytesIO(new)).infolist():
        was = before.get(info.filename)
        if was is None or info.CRC != was.CRC:
            start = info.header_offset + 30 + len(info.filename)
            yield start, start + info.compress_size


def test_fifteen_hundred_damaged_files_are_all_caught(saved):
    """Bytes outside the packed data of changed members: flipped, taken out, put in, swapped. None may pass."""
    old, new, claims = saved
    rnd = random.Random(20260814)
    owned = list(owned_ranges(old, new, claims))
    missed = []
    done = 0
    while done < 1500:
        place = rnd.randrange(len(new))
        if any(start <= place < end for start, end in owned):
            continue
        done += 1
        kind = rnd.randrange(4)
        if kind == 0:
            bad = new[:place] + bytes([new[place] ^ (1 << rnd.randrange(8))]) + new[place + 1 :]
        elif kind == 1:
            bad = new[:place] + new[place + 1 :]
        elif kind == 2:
            bad = new[:place] + bytes([rnd.randrange(256)]) + new[place:]
        else:
            bad = new[:place] + bytes([(new[place] + rnd.randrange(1, 256)) % 256]) + new[place + 1 :]
        if bad != new and not verify.complaints(old, bad, claims):
            missed.append((place, kind, new[place]))
    assert missed == []


def repacked(new, name, content):
    """Put other content into one member, everything else of the file kept right."""
    from stillroom.workbook.ooxml.zip import Container

    container = Container(new)
    return b"".join(container.rewritten({name: content}, {}, frozenset()))


def owned_spans(name, content, claims):
    """Where the owned bytes of a changed member lie: found by plain patterns for this one workbook."""
    spans = []
    text = content.decode()
    if name.startswith("xl/worksheets"):
        for row, column in (*claims.cells.get(name, {}), *claims.cleared.get(name, ())):
            cell = f"{'ABCDEF'[column - 1]}{row}"
            match = re.search(rf'<c r="{cell}"[^>]*?(?:/>|>.*?</c>)', text)
            spans += [match.span()] if match else []
        spans += [
            match.span()
            for match in re.finditer(r'spans="[0-9:]*"|<dimension ref="[^"]*"|<row r="[89]">.*?</row>', text)
        ]
    elif name.endswith("sharedStrings.xml"):
        spans += [
            re.search(r"<si><t>a</t>.*</si>(?=</sst>)", text).span(),
            *(m.span() for m in re.finditer(r'\w*[cC]ount="\d+"', text)),
        ]
    elif name == "xl/workbook.xml":
        spans.append(re.search("<calcPr.*?/>", text).span())
    else:  # the lines of the parts that carry the ids
        line = r'<Override PartName="/(customXml|docProps/custom)[^>]*>|<Relationship [^>]*[tT]arget="/(customXml|docProps/custom)[^>]*>'
        spans += [match.span() for match in re.finditer(line, text)]
    return [(len(text[:start].encode()), len(text[:end].encode())) for start, end in spans]


def test_changes_inside_changed_members_are_all_caught(saved):
    """
    Un-owned bytes inside sheets, tables, strings and the workbook part, packed anew with right checksums.

    Eight hundred changes; `python3 tests/bench.py samples` takes two thousand.
    """
    import io

    old, new, claims = saved
    rnd = random.Random(7)
    archive = zipfile.ZipFile(io.BytesIO(new))
    before = {info.filename: info.CRC for info in zipfile.ZipFile(io.BytesIO(old)).infolist()}
    names = [info.filename for info in archive.infolist() if before.get(info.filename, info.CRC) != info.CRC]
    assert len(names) == 8
    missed = []
    done = 0
    while done < count(400, 1000):
        name = rnd.choice(names)
        content = archive.read(name)
        spans = owned_spans(name, content, claims)
        place = rnd.randrange(len(content))
        if any(start <= place < end for start, end in spans):
            continue
        done += 1
        swap = bytes([rnd.choice([one for one in b"0123456789abcXYZ <>\"'/=" if one != content[place]])])
        for bad in (content[:place] + swap + content[place + 1 :], content[:place] + swap + content[place:]):
            passed = not verify.complaints(old, repacked(new, name, bad), claims)
            missed += [(name, content[max(place - 30, 0) : place + 10], swap)] * passed
    assert missed == []


def test_wrong_values_in_owned_cells_are_caught(saved):
    import io

    old, new, claims = saved
    part = "xl/worksheets/sheet1.xml"
    content = zipfile.ZipFile(io.BytesIO(new)).read(part).decode()
    wrong = {
        '<c r="D4" s="0"><v>9</v></c>': [
            '<c r="D4" s="0"><v>9.5</v></c>',
            '<c r="D4" s="0" t="s"><v>0</v></c>',
            '<c r="D4" s="0"/>',
            "",
            '<c r="D4" s="1"><f>1</f><v>9</v></c>',
        ],
        '<c r="B4" s="1"><v>46266</v></c>': ['<c r="B4" s="1"><v>46267</v></c>'],
        '<row r="8"><c r="B8" s="1"><v>46270</v></c>': [
            '<row r="8"><c r="B8" s="1"><v>46270</v></c><c r="D8"><v>0</v></c>',
            '<row r="8">',
        ],
        '<c r="D6" s="0"><v>7.5</v></c>': ['<c r="D6" s="0"><v>7.5</v></c><c r="D6" s="0"><v>7.5</v></c>'],
    }
    for right, others in wrong.items():
        assert right in content
        for other in others:
            bad = repacked(new, part, content.replace(right, other).encode())
            assert verify.complaints(old, bad, claims), other


def test_a_save_whose_check_fails_changes_nothing(plan_file, monkeypatch):
    data = plan_file.read_bytes()
    monkeypatch.setattr(save.verify, "complaints", lambda *_: ["something is wrong"])
    book = Book.open(plan_file)
    book.set("Plan", 4, 4, 1)
    with pytest.raises(CouldNotWrite, match="something is wrong"):
        book.save()
    assert plan_file.read_bytes() == data
    assert [path.name for path in plan_file.parent.iterdir()] == [plan_file.name]


def test_dropped_added_and_moved_members_are_caught(saved, hand, tmp_path):
    import io

    old, new, claims = saved
    archive = zipfile.ZipFile(io.BytesIO(new))
    members = {name: archive.read(name) for name in archive.namelist()}
    for other in (
        {name: content for name, content in members.items() if "styles" not in name},
        {**members, "more.xml": b"<x/>"},
        dict(reversed(members.items())),
    ):
        assert verify.complaints(old, hand.pack(tmp_path / "x.xlsx", other).read_bytes(), claims)
    assert verify.complaints(old, b"", claims)
    assert verify.complaints(old, new[:-30], claims)
    assert verify.complaints(old, old, claims)


def test_an_oddly_packed_but_equal_member_is_caught(saved):
    """The same content folded anew is not the same bytes."""
    import io

    old, new, claims = saved
    info = zipfile.ZipFile(io.BytesIO(new)).getinfo("xl/styles.xml")
    content = zipfile.ZipFile(io.BytesIO(new)).read("xl/styles.xml")
    packer = zlib.compressobj(1, zlib.DEFLATED, -15)
    packed = packer.compress(content) + packer.flush()
    assert struct.unpack_from("<I", new, info.header_offset + 18)[0] != len(packed)
    assert verify.complaints(old, repacked(new, "xl/styles.xml", content + b" ")[:], claims)


@pytest.mark.parametrize("fault", [ValueError("nothing there"), LookupError("nothing there"), KeyError(7)])
def test_a_fault_of_the_check_itself_is_no_damaged_file_and_replaces_nothing(plan_file, monkeypatch, fault):
    def fails(*_):
        raise fault

    data = plan_file.read_bytes()
    monkeypatch.setattr(verify_sheets, "_check_same", fails)
    book = Book.open(plan_file)
    book.set("Plan", 4, 4, 1)
    with pytest.raises(type(fault)) as raised:
        book.save()
    assert raised.value is fault
    assert plan_file.read_bytes() == data
    assert [path.name for path in plan_file.parent.iterdir()] == [plan_file.name]


RELS = '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{}</Relationships>'
THEIRS = '<Relationship Id="rId1" Type="http://a/worksheet" Target="worksheets/sheet1.xml"/>'
CLAIMS = Claims({}, {}, {}, ("xl/worksheets/sheet2.xml",), ("xl/calcChain.xml",), date1904=False)


def lines_wrong(old, new, name="xl/_rels/workbook.xml.rels"):
    """What the check says of changed relationships of the workbook part."""
    try:
        parts.check_part(name, "relations", RELS.format(old).encode(), RELS.format(new).encode(), CLAIMS)
    except parts.Wrong as error:
        return str(error)
    return None


def line(target, more=""):
    """One relationship."""
    return f'<Relationship Id="rId2" Type="http://a/worksheet" Target="{target}"{more}/>'


@pytest.mark.parametrize(
    "target", ["/xl/worksheets/sheet2.xml", "worksheets/sheet2.xml", "../xl/worksheets/Sheet2.xml"]
)
def test_a_relationship_may_come_for_an_added_part_and_go_with_a_dropped_one(target):
    assert lines_wrong(THEIRS, THEIRS + line(target)) is None
    assert lines_wrong(THEIRS + line("calcChain.xml"), THEIRS + line(target)) is None


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (THEIRS, THEIRS + line("/elsewhere/sheet2.xml")),
        (THEIRS, THEIRS + line("/xl/worksheets/sheet2.xml", ' TargetMode="External"')),
        (THEIRS, ""),
        (THEIRS + line("other/calcChain.xml"), THEIRS),
        (THEIRS, THEIRS.replace("rId1", "rId7")),
    ],
)
def test_relationships_of_other_parts_stay(old, new):
    assert lines_wrong(old, new) is not None


@pytest.mark.parametrize(
    ("held", "holds", "is_right"),
    [
        ("<si>a</si>", "<si>a</si><si>b</si>", True),
        ("<si>a</si>", "<si>a</si>b", False),
        ("<si>a</si>", "<si>a</si><!-- b -->", False),
        ("<si>a</si>", "<si>b</si><si>a</si>", False),
        ("<si>a</si><extLst><ext/></extLst>", "<si>a</si><si>b</si><extLst><ext/></extLst>", True),
        ("<si>a<extLst><ext/></extLst></si>", "<si>a<si>b</si><extLst><ext/></extLst></si>", False),
        ("<si>a</si><extLst><ext/></extLst>", "<si>a</si><si>b</si>", False),
    ],
)
def test_a_list_only_grows_at_its_end(held, holds, is_right):
    old, new = (f'<sst xmlns="m" count="{place}">{one}</sst>'.encode() for place, one in enumerate((held, holds)))
    try:
        parts.check_part("xl/sharedStrings.xml", "sharedStrings", old, new, CLAIMS)
        found = True
    except parts.Wrong:
        found = False
    assert found is is_right


# The rules of the package that hold across parts: each is broken once in what was written, and must be seen.


@pytest.fixture
def with_a_sheet(plan_file, tmp_path, monkeypatch):
    """A save with a sheet of ours, a table, marks and styles added; the old bytes, the new and the claims."""
    seen = {}
    check = verify.complaints
    monkeypatch.setattr(
        save.verify,
        "complaints",
        lambda old, new, claims: seen.update(old=old, new=new, claims=claims) or check(old, new, claims),
    )
    book = Book.open(plan_file)
    book.add_sheet("One", sheet_of("A"))
    book.save(tmp_path / "out.xlsx")
    return seen["old"], seen["new"], seen["claims"]


def test_what_was_written_breaks_no_rule_of_the_package(with_a_sheet):
    assert verify.complaints(*with_a_sheet) == []


@pytest.mark.parametrize(
    ("part", "old", "new", "words"),
    [
        ("[Content_Types].xml", b'<Default Extension="rels"', b'<Default Extension="sler"', r"\.rels has no content type"),
        ("[Content_Types].xml", b"</Types>", b'<Override PartName="/xl/worksheets/sheet3.xml" ContentType="a"/></Types>', "two content types"),
        ("xl/_rels/workbook.xml.rels", b"</Relationships>", b'<Relationship Id="rId1" Type="a/worksheet" Target="/xl/worksheets/sheet3.xml"/></Relationships>', "two relationships have the id rId1"),
        ("xl/worksheets/sheet3.xml", b'<tablePart r:id="', b'<tablePart r:id="x', "there is no relationship xrId1"),
        ("xl/workbook.xml", b'sheetId="3" r:id="', b'sheetId="3" r:id="x', "there is no relationship xrId"),
        ("xl/styles.xml", b'<cellXfs count="', b'<cellXfs count="1', "the count of cellXfs is wrong"),
        ("xl/styles.xml", b'<dxfs count="', b'<dxfs count="1', "the count of dxfs is wrong"),
        ("xl/tables/table2.xml", b'<tableColumns count="', b'<tableColumns count="1', "the count of tableColumns is wrong"),
        ("xl/worksheets/sheet3.xml", b'<tableParts count="1"', b'<tableParts count="2"', "the count of tableParts is wrong"),
        ("xl/worksheets/sheet3.xml", b'<mergeCells count="1"', b'<mergeCells count="2"', "the count of mergeCells is wrong"),
        ("xl/worksheets/sheet3.xml", b' dxfId="0"', b' dxfId="99"', "no format 99 of marks"),
        ("xl/tables/table2.xml", b'name="Make"', b'name="Made"', "the heading of its column Made is another"),
    ],
)  # fmt: skip
def test_each_broken_rule_of_the_package_is_seen(with_a_sheet, part, old, new, words):
    before, after, claims = with_a_sheet
    content = parts_of(after)[part]
    assert old in content
    bad = repacked(after, part, content.replace(old, new, 1))
    assert any(re.search(words, one) for one in verify.complaints(before, bad, claims)), verify.complaints(
        before, bad, claims
    )


def test_a_cell_format_that_is_not_there_is_seen(with_a_sheet):
    before, after, claims = with_a_sheet
    content = parts_of(after)["xl/worksheets/sheet3.xml"]
    bad = repacked(after, "xl/worksheets/sheet3.xml", re.sub(rb'(<c r="A5") s="[0-9]+"', rb'\1 s="777"', content))
    assert any("there is no cell format 777" in one for one in verify.complaints(before, bad, claims))


def test_a_font_that_is_not_there_is_seen(with_a_sheet):
    before, after, claims = with_a_sheet
    content = parts_of(after)["xl/styles.xml"]
    start = content.rindex(b"<xf ", 0, content.index(b"</cellXfs>"))
    bad = content[:start] + re.sub(rb'fontId="[0-9]+"', b'fontId="88"', content[start:], count=1)
    found = verify.complaints(before, repacked(after, "xl/styles.xml", bad), claims)
    assert any("fontId 88, which is not there" in one for one in found)


def test_a_rule_that_the_households_file_breaks_already_stops_no_save(tmp_path, hand):
    """A wrong count and a doubled type came with the file; they stay, and the plan is written."""
    members = hand.plan_parts(styles=hand.styles.replace('<cellXfs count="5">', '<cellXfs count="9">'))
    double = b'<Override PartName="/xl/styles.xml" ContentType="application/xml"/></Types>'
    members["[Content_Types].xml"] = members["[Content_Types].xml"].replace(b"</Types>", double)
    members["xl/printer.odd"] = b"x"
    book = Book.open(hand.pack(tmp_path / "a.xlsx", members))
    book.add_sheet("One", sheet_of("A"))
    book.save(tmp_path / "out.xlsx")
    assert Book.open(tmp_path / "out.xlsx").table("A") is not None


def parts_of(data):
    """The members of a file given as its bytes."""
    import io

    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}
