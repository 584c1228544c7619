"""Rows as high as what the planner writes in them: which rows are touched, which never, and what the check refuses."""

from __future__ import annotations

import io
import random
import re
import zipfile
from dataclasses import replace

import openpyxl
import pytest
from openpyxl.styles import Alignment, Font
from openpyxl.worksheet.table import Table

from stillroom.workbook.ooxml import save
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.styles import LINE_POINTS
from stillroom.workbook.ooxml.verify import package
from stillroom.workbook.ooxml.verify.parts import WRITTEN_TABLES
from stillroom.workbook.ooxml.zip import Container
from stillroom.workbook.schema import output_tables

SHEET = "xl/worksheets/sheet1.xml"
LONG = "140 lb plum tomato, 1 lb onions, 2 lb sweet peppers; 25 min at 11 lb, dial"
LONGER = f"{LONG}; {LONG}"


def pantry(path, uses, *, wraps=True, points=11, table="Plan", heights=(), by_hand=(), hidden=(), beside=()):
    """A workbook with a table of three columns and six rows, the last column 30 digits wide."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Day", "Make", "Uses"])
    for row in range(2, 8):
        sheet.cell(row, 1, f"day {row}")
        sheet.cell(row, 2, row)
        cell = sheet.cell(row, 3, uses.get(row))
        cell.alignment = Alignment(wrap_text=wraps, vertical="top")
        cell.font = Font(size=points)
    sheet.column_dimensions["C"].width = 30
    for row in heights:
        sheet.row_dimensions[row].height = 34
    for row in hidden:
        sheet.row_dimensions[row].hidden = True
    for row in beside:
        sheet.cell(row, 6, "their own word")
    sheet.add_table(Table(displayName=table.replace(" ", "_"), ref="A1:C7"))
    raw = io.BytesIO()
    book.save(raw)
    with zipfile.ZipFile(raw) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            if name == SHEET:  # the library writes every height as one set by hand
                for row in set(heights) - set(by_hand):
                    tag = re.search(rf'<row r="{row}"[^>]*>'.encode(), content)[0]
                    content = content.replace(tag, tag.replace(b' customHeight="1"', b""))
            new.writestr(name, content)
    return path


def fitted(path, uses, table="Plan"):
    """Write the last column anew, fit the rows, and give the heights that then stand in the file."""
    book = Book.open(path)
    found = book.table(table)
    book.fill_table(found, {"Uses": uses}, len(uses))
    book.fit_rows(found)
    book.save()
    return heights_of(path)


def heights_of(path):
    content = zipfile.ZipFile(path).read(SHEET).decode()
    tags = re.findall(r'<row r="(\d+)"([^>]*)>', content)
    return {int(row): float(found[1]) for row, tag in tags if (found := re.search(r' ht="([^"]*)"', tag))}


def test_a_row_is_as_high_as_its_text_needs_and_one_of_one_line_says_nothing(tmp_path):
    path = pantry(tmp_path / "p.xlsx", {})
    assert fitted(path, [LONG, "12 lb apples", LONGER]) == {2: 3 * LINE_POINTS, 4: 5 * LINE_POINTS}


def test_letters_of_another_size_and_a_row_of_one_line_of_them(tmp_path):
    path = pantry(tmp_path / "p.xlsx", {}, points=22)
    assert fitted(path, ["pint"]) == {2: 2 * LINE_POINTS}


def test_a_second_plan_of_shorter_texts_sets_the_heights_right_and_a_cleared_row_resets_it(tmp_path):
    path = pantry(tmp_path / "p.xlsx", {})
    fitted(path, [LONG, LONGER, LONG, LONG])
    assert fitted(path, [LONGER, LONG]) == {2: 5 * LINE_POINTS, 3: 3 * LINE_POINTS}
    assert fitted(path, []) == {}


def test_the_same_texts_again_change_no_byte(tmp_path):
    path = pantry(tmp_path / "p.xlsx", {})
    fitted(path, [LONG, LONGER])
    before = path.read_bytes()
    fitted(path, [LONG, LONGER])
    assert path.read_bytes() == before


def test_a_height_that_an_office_program_worked_out_is_set_right(tmp_path):
    path = pantry(tmp_path / "p.xlsx", {}, heights=(2, 3, 7))
    assert fitted(path, [LONG, "12 lb apples"]) == {2: 3 * LINE_POINTS}


def test_a_height_set_by_hand_a_hidden_row_and_a_row_with_a_word_of_theirs_stay(tmp_path):
    path = pantry(tmp_path / "p.xlsx", {}, heights=(2, 3, 4, 5), by_hand=(2,), hidden=(3,), beside=(4,))
    assert fitted(path, [LONGER] * 4) == {2: 34, 3: 34, 4: 34, 5: 5 * LINE_POINTS}


def test_where_nothing_wraps_no_height_is_touched(tmp_path):
    path = pantry(tmp_path / "p.xlsx", {}, wraps=False, heights=(2, 5))
    assert fitted(path, [LONGER, LONG]) == {2: 34, 5: 34}


def test_the_new_rows_of_a_table_that_grows_are_fitted_too(tmp_path):
    path = pantry(tmp_path / "p.xlsx", {})
    assert fitted(path, ["apples"] * 8 + [LONG]) == {10: 3 * LINE_POINTS}


def test_nothing_but_the_heights_of_rows_differs(tmp_path):
    """Fitted without any other edit: with the heights taken out, the sheet has the bytes it had."""
    path = pantry(tmp_path / "p.xlsx", {2: LONG, 5: LONGER})
    before = zipfile.ZipFile(path).read(SHEET)
    book = Book.open(path)
    book.fit_rows(book.table("Plan"))
    receipt = book.save()
    after = zipfile.ZipFile(path).read(SHEET)
    changed = [name for name in receipt.members_changed if not name.endswith(".rels") and name != "[Content_Types].xml"]
    assert (changed, receipt.cells_written) == ([SHEET], 0)
    assert heights_of(path) == {2: 3 * LINE_POINTS, 5: 5 * LINE_POINTS}
    assert re.sub(rb' ht="[^"]*"', b"", after) == before


# ---- the check -------------------------------------------------------------------------------------------------------


@pytest.fixture
def saved(tmp_path, monkeypatch):
    """What the check was given when a plan of two long rows was saved over one of other rows; it passes."""
    seen = []
    check = package.complaints
    monkeypatch.setattr(save.verify, "complaints", lambda *given: seen.append(given) or check(*given))
    path = pantry(tmp_path / "p.xlsx", {}, heights=(5, 6, 7), by_hand=(6,), beside=(7,))
    fitted(path, [LONG, "apples", LONGER])
    monkeypatch.setattr(save.verify, "complaints", check)
    assert package.complaints(*seen[0]) == []
    return seen[0]


def changed(new, before, after):
    """The new file with one piece of its sheet exchanged, everything else of it right."""
    content = zipfile.ZipFile(io.BytesIO(new)).read(SHEET)
    assert content.count(before) == 1
    return b"".join(Container(new).rewritten({SHEET: content.replace(before, after)}, {}, frozenset()))


def test_a_height_that_is_not_claimed_is_refused(saved):
    old, new, claims = saved
    assert set(claims.heights[SHEET]) == {2, 4, 5}
    for row in (1, 3):
        tag = re.search(rf'<row r="{row}"[^>]*>'.encode(), zipfile.ZipFile(io.BytesIO(new)).read(SHEET))[0]
        assert package.complaints(old, changed(new, tag, tag[:-1] + b' ht="31">'), claims), row
    assert package.complaints(old, changed(new, b'<row r="7" ht="34"', b'<row r="7" ht="31"'), claims)


def test_another_height_than_the_claimed_one_is_refused(saved):
    old, new, claims = saved
    tag = re.search(rb'<row r="2"[^>]*>', zipfile.ZipFile(io.BytesIO(new)).read(SHEET))[0]
    assert b' ht="46.5"' in tag
    for other in (b' ht="46.6"', b"", b' ht="46.5" hidden="1"', b' ht="46.5" customHeight="1"', b' ht="46.5" s="3"'):
        assert package.complaints(old, changed(new, tag, tag.replace(b' ht="46.5"', other)), claims), other


def test_every_byte_beside_the_heights_and_the_owned_cells_is_held_against_the_old_one(saved):
    """At 250 places of the sheet a byte exchanged and one put in; what is inside a claimed height must be as claimed."""
    old, new, claims = saved
    content = zipfile.ZipFile(io.BytesIO(new)).read(SHEET)
    cells = {f"{'ABC'[column - 1]}{row}".encode() for row, column in claims.cells[SHEET]}
    owned = [
        match.span()
        for match in re.finditer(rb'<c r="([A-Z]+[0-9]+)"[^>]*?(?:/>|>.*?</c>)', content)
        if match[1] in cells
    ]
    spelling = [match.span() for match in re.finditer(rb' ht(?=="(?:46.5|77.5)")', content)]
    rnd = random.Random(20260814)
    missed = []
    for _ in range(250):
        place = rnd.randrange(len(content))
        if any(start <= place <= end for start, end in (*owned, *spelling)):
            continue
        sign = bytes([rnd.choice([one for one in b"0129abhtr <>\"'/=" if one != content[place]])])
        for bad in (content[:place] + sign + content[place + 1 :], content[:place] + sign + content[place:]):
            whole = b"".join(Container(new).rewritten({SHEET: bad}, {}, frozenset()))
            if not package.complaints(old, whole, claims):
                missed.append((content[max(0, place - 30) : place + 9], sign))
    assert missed == []


@pytest.mark.parametrize(
    ("row", "complaint"),
    [
        (6, "set by hand"),
        (7, "more than the planner's table stands there"),
        (1, "no table of the planner's is there"),
    ],
)
def test_a_foreign_row_height_is_refused_even_when_it_is_claimed(saved, row, complaint):
    """By hand, beside a word of theirs, above the table: the claim alone does not make it right."""
    old, new, claims = saved
    tag = re.search(rf'<row r="{row}"[^>]*>'.encode(), zipfile.ZipFile(io.BytesIO(new)).read(SHEET))[0]
    bare = re.sub(rb' ht="[^"]*"', b"", tag)
    bad = changed(new, tag, bare[:-1] + b' ht="31">')
    more = replace(claims, heights={SHEET: {**claims.heights[SHEET], row: "31"}})
    assert any(complaint in one for one in package.complaints(old, bad, more))


def test_an_impossible_height_and_the_rows_of_a_table_of_theirs_are_refused(saved, tmp_path):
    old, new, claims = saved
    tag = re.search(rb'<row r="2"[^>]*>', zipfile.ZipFile(io.BytesIO(new)).read(SHEET))[0]
    for height in ("0", "-4", "410", "nan", "inf"):
        bad = changed(new, tag, tag.replace(b' ht="46.5"', f' ht="{height}"'.encode()))
        more = replace(claims, heights={SHEET: {**claims.heights[SHEET], 2: height}})
        assert package.complaints(old, bad, more), height
    path = pantry(tmp_path / "theirs.xlsx", {}, table="Hens")
    before = path.read_bytes()
    book = Book.open(path)
    book.fit_rows(book.table("Hens"))
    book.set(book.sheet_names[0], 2, 3, LONG)
    with pytest.raises(Exception, match="not a table that the planner writes"):
        book.save()
    assert path.read_bytes() == before


def test_the_check_knows_every_table_that_is_written():
    assert frozenset(re.sub(r"[\s_]+", "", table.name).casefold() for table in output_tables()) == WRITTEN_TABLES
