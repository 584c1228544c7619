"""The check of a changed sheet, on sheets written in several ways: every byte that is not owned is held against the old one."""

from __future__ import annotations

import random
import re

import pytest

from stillroom.workbook.ooxml.verify import ClaimedFormula
from stillroom.workbook.ooxml.verify import sheets as verify_sheets
from stillroom.workbook.ooxml.verify.parts import Wrong, check_xml
from stillroom.workbook.ooxml.verify.sheets import check_sheet

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OWNED = {(2, 2): 7, (2, 4): 2.5, (3, 3): None, (4, 1): True, (5, 5): 1e-9, (11, 1): 12}
LETTERS = "ABCDE"
METHODS = {
    "usual": {},
    "prefixed": {"prefix": "x:"},
    "single quotes": {"quote": "'"},
    "no addresses": {"addressed": False},
    "comments": {"between": "<!-- <row r=\"2\"><c r='B2'/></row> -->"},
    "address last": {"address_last": True},
    "laid out": {"between": "\n    "},
}


def sheet(values, *, prefix="", quote='"', addressed=True, between="", address_last=False):
    """A sheet of eleven rows of five cells, in the given spelling."""
    rows = []
    for row in range(1, 12):
        cells = []
        for column in range(1, 6):
            name = f" r={quote}{LETTERS[column - 1]}{row}{quote}" if addressed else ""
            style = f" s={quote}{column}{quote}"
            kind, inside = written(values.get((row, column), row * column), prefix)
            kind = kind.replace('"', quote)
            tag = f"{style}{kind}{name}" if address_last else f"{name}{style}{kind}"
            cells.append(f"<{prefix}c{tag}>{inside}</{prefix}c>" if inside else f"<{prefix}c{tag}/>")
        name = f" r={quote}{row}{quote}" if addressed else ""
        tag = f" ht={quote}15{quote}{name}" if address_last else f"{name} ht={quote}15{quote}"
        rows.append(f"<{prefix}row{tag}>{''.join(cells)}{between}</{prefix}row>{between}")
    space = f'xmlns:{prefix[:-1]}="{MAIN}"' if prefix else f'xmlns="{MAIN}"'
    head = f'<{prefix}worksheet {space}><{prefix}dimension ref="A1:E11"/>{between}<{prefix}sheetData>'
    tail = f'</{prefix}sheetData><{prefix}pageMargins left="1"/></{prefix}worksheet>'
    return (head + "".join(rows) + tail).encode()


def written(value, prefix):
    """The type and the content of a cell."""
    if value is None:
        return "", ""
    if isinstance(value, bool):
        return ' t="b"', f"<{prefix}v>{int(value)}</{prefix}v>"
    return "", f"<{prefix}v>{value!r}</{prefix}v>"


def complaints(old, new, cells=None, cleared=()):
    """What the check has to say."""
    try:
        check_xml(new)
        check_sheet(old, new, OWNED if cells is None else cells, cleared, lambda _: None, date1904=False)
    except Wrong as error:
        return [str(error)]
    return []


@pytest.mark.parametrize("method", METHODS)
def test_what_is_right_passes_in_every_spelling(method):
    assert complaints(sheet({}, **METHODS[method]), sheet(OWNED, **METHODS[method])) == []


@pytest.mark.parametrize("method", METHODS)
def test_every_byte_that_is_not_owned_is_held_against_the_old_one(method):
    """Seven times 300 places, at each a byte exchanged, one put in and one taken out."""
    old, new = sheet({}, **METHODS[method]), sheet(OWNED, **METHODS[method])
    pattern = rb"<(x:)?c[ >].*?(?:/>|</(?:x:)?c>)"
    cells = [match.span() for match in re.finditer(pattern, re.sub(rb"<!--.*?-->", lambda m: b" " * len(m[0]), new))]
    owned = [cells[(row - 1) * 5 + column - 1] for row, column in OWNED]
    assert len(cells) == 55
    rnd = random.Random(method)
    missed = []
    for _ in range(300):
        place = rnd.randrange(len(new))
        if any(start < place < end for start, end in owned):
            continue
        sign = bytes([rnd.choice([one for one in b"0129abcrsvx <>\"'/=" if one != new[place]])])
        changed = [new[:place] + sign + new[place:]]
        if not any(start <= place < end for start, end in owned):
            changed += [new[:place] + sign + new[place + 1 :], new[:place] + new[place + 1 :]]
        missed += [(new[place - 20 : place + 9], sign) for bad in changed if not complaints(old, bad)]
    assert missed == []


def test_owned_cells_have_to_stay_where_they_were():
    old, new = sheet({}), sheet(OWNED)
    b2, c2, d2 = (re.search(rf'<c r="{name}".*?</c>'.encode(), new)[0] for name in ("B2", "C2", "D2"))
    assert complaints(old, new.replace(b2 + c2, c2 + b2))
    assert complaints(old, new.replace(b2, b2 + b2))
    assert complaints(old, new.replace(b2, b""))
    assert complaints(old, new.replace(b2, b"").replace(d2, d2 + b2))
    assert complaints(old, new.replace(b2, b2.replace(b"B2", b"B3")))
    assert complaints(old, new.replace(b2, b2.replace(b' s="2"', b' s="3"').replace(b"7", b"8")))
    blank = re.search(rb'<c r="C3" s="3"/>', new)[0]
    assert complaints(old, new.replace(blank, b'<c r="C3"/>'))
    assert complaints(old, new.replace(blank, b""))
    row = re.search(rb'<row r="4".*?</row>', new)[0]
    assert complaints(old, new.replace(row, b"") + b"")
    assert complaints(old, new.replace(row, b"").replace(b"</sheetData>", row + b"</sheetData>"))
    assert complaints(old, new.replace(row, row + row))


def bare(*rows):
    """A sheet of just these rows."""
    return (
        f'<worksheet xmlns="{MAIN}"><dimension ref="A1:B5"/><sheetData>{"".join(rows)}</sheetData></worksheet>'.encode()
    )


def row(number, *cells):
    """One row of cells given as letter and number."""
    inside = "".join(f'<c r="{letter}{number}"><v>{value}</v></c>' for letter, value in cells)
    return f'<row r="{number}">{inside}</row>'


def test_new_rows_and_cells_have_to_stand_in_their_places():
    old = bare(row(1, ("A", 1)), row(3, ("A", 3), ("C", 3)), row(5, ("B", 5)))
    cells = {(3, 2): 9, (4, 1): 8}
    right = bare(row(1, ("A", 1)), row(3, ("A", 3), ("B", 9), ("C", 3)), row(4, ("A", 8)), row(5, ("B", 5)))
    assert complaints(old, right, cells) == []
    wrong = (
        bare(row(1, ("A", 1)), row(3, ("B", 9), ("A", 3), ("C", 3)), row(4, ("A", 8)), row(5, ("B", 5))),
        bare(row(1, ("A", 1)), row(3, ("A", 3), ("C", 3), ("B", 9)), row(4, ("A", 8)), row(5, ("B", 5))),
        bare(row(1, ("A", 1)), row(4, ("A", 8)), row(3, ("A", 3), ("B", 9), ("C", 3)), row(5, ("B", 5))),
        bare(row(1, ("A", 1)), row(3, ("A", 3), ("B", 9), ("C", 3)), row(5, ("B", 5)), row(4, ("A", 8))),
        bare(row(1, ("A", 1)), row(3, ("A", 3), ("B", 9), ("C", 3)), row(4, ("A", 8), ("B", 0)), row(5, ("B", 5))),
        right.replace(b'<row r="4">', b'<row r="4" hidden="1">'),
        right.replace(b"A1:B5", b"A1:B6"),
        right.replace(b"A1:B5", b"A1:C5").replace(b"<v>9</v>", b"<v>9</v><x/>"),
    )
    for number, bad in enumerate(wrong):
        assert complaints(old, bad, cells), number


def test_an_empty_sheet_is_opened_only_for_rows_that_are_put_in():
    old = f'<worksheet xmlns="{MAIN}"><sheetData/></worksheet>'.encode()
    new = f'<worksheet xmlns="{MAIN}"><sheetData>{row(2, ("A", 4))}</sheetData></worksheet>'.encode()
    opened = f'<worksheet xmlns="{MAIN}"><sheetData></sheetData></worksheet>'.encode()
    assert complaints(old, new, {(2, 1): 4}) == []
    assert complaints(old, opened, {(2, 1): None})


def test_of_a_cleared_result_only_the_result_may_go():
    cell = '<c r="A1" t="str"><f>B1&amp;"x"</f><v>old</v></c>'
    old = bare(f'<row r="1">{cell}</row>')
    right = bare('<row r="1"><c r="A1"><f>B1&amp;"x"</f></c></row>')
    assert complaints(old, right, {}, {(1, 1)}) == []
    for bad in (right.replace(b"B1", b"B2"), right.replace(b"<c r", b'<c s="1" r'), old, bare("<row r='1'></row>")):
        assert complaints(old, bad, {}, {(1, 1)})


@pytest.mark.parametrize("block", [1, 7, 64, 1000])
def test_what_is_longer_than_a_block_is_compared_to_its_end(monkeypatch, block):
    """A sheet is compared block by block; a byte exchanged, put in or taken out is noticed in each."""
    monkeypatch.setattr(verify_sheets, "BLOCK", block)
    old, new = sheet({}), sheet(OWNED)
    assert complaints(old, new) == []
    for place in (*(match.start(1) for match in re.finditer(rb'ht="(1)5"', new)), new.index(b"pageMargins")):
        for bad in (new[:place] + b"2" + new[place + 1 :], new[:place] + b"2" + new[place:], new + b"<!-- -->"):
            assert complaints(old, bad), place


def test_a_cell_or_row_that_is_put_in_may_not_shift_those_that_say_no_place():
    """A cell without an address follows the one before it, and a row without a number likewise."""
    old = bare('<row r="3"><c r="A3"/><c><v>2</v></c></row>')
    assert complaints(old, bare('<row r="3"><c r="A3"/><c><v>2</v></c><c r="C3"><v>9</v></c></row>'), {(3, 3): 9}) == []
    assert complaints(old, bare('<row r="3"><c r="A3"/><c r="C3"><v>9</v></c><c><v>2</v></c></row>'), {(3, 3): 9})
    old = bare(row(1, ("A", 1)), "<row/>")
    assert complaints(old, bare(row(1, ("A", 1)), "<row/>", row(4, ("A", 9))), {(4, 1): 9}) == []
    assert complaints(old, bare(row(1, ("A", 1)), row(4, ("A", 9)), "<row/>"), {(4, 1): 9})


@pytest.mark.parametrize(
    ("value", "inside"),
    [
        ("1+1", "<f>1+1</f>"),
        (2, "<f>1+1</f><v>2</v>"),
        (None, "<f>1+1</f>"),
        (ClaimedFormula("1+1"), '<f t="shared" ref="A1:B2" si="0">1+1</f>'),
        (ClaimedFormula("1+1"), "<f>1+1</f><v>2</v>"),
        (9, '<z:v xmlns:z="other">9</z:v>'),
        (9, "<v>9</v><v/>"),
        (9, "<v>9</v><x/>"),
        (9, "<v>9</v> "),
        (9, "<v>9_</v>"),
        (9, "<v>9</v><is><t>9</t></is>"),
    ],
)
def test_an_owned_cell_holds_nothing_but_what_is_claimed(value, inside):
    old = bare('<row r="1"><c r="A1"/></row>')
    assert complaints(old, bare(f'<row r="1"><c r="A1">{inside}</c></row>'), {(1, 1): value})
