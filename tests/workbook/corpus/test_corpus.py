"""Our tables in 80 workbooks of others: adopted, filled, planned, and nothing of theirs lost."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path

import pytest
from openpyxl import load_workbook
from tests import forked
from tests.samples import every
from tests.workbook.corpus import compare, element_order, moving_in

from stillroom.app.plan import read_workbook
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.schema import tables
from stillroom.workbook.starter.start import adopt

READER = Path(__file__).with_name("read_values.py")
NAMES = tuple(moving_in.cases())
UNREAD = {"calamine": {"by hand wide_and_sparse", "by hand other_kinds_of_sheets", "by hand odd_part_names"}}
"""Workbooks that a reader cannot read even as their household made them."""
SAMPLE = (*NAMES[::16], "by hand since_1904")


@pytest.fixture(scope="module", params=SAMPLE)
def sample(request, tmp_path_factory):
    """Every sixteenth workbook and one with other dates, moved into once for the tests that look at it in other ways."""
    folder = tmp_path_factory.mktemp("sample")
    path = moving_in.made(request.param, folder)
    return request.param, moving_in.move_in(path, folder / "after.xlsx")


def looked_at(moved, folder, reader):
    """Read both workbooks with openpyxl or calamine, in a process of its own."""
    (folder / "before.xlsx").write_bytes(moved.before)
    (folder / "after.xlsx").write_bytes(moved.after)
    (folder / "owned.json").write_text(json.dumps({name: sorted(cells) for name, cells in moved.owned.items()}))
    names = [str(folder / name) for name in ("before.xlsx", "after.xlsx", "owned.json")]
    ran = forked.command([reader, *names], code=READER.read_text())
    return json.loads(ran.out.splitlines()[-1])


def test_the_corpus_has_at_least_sixty_workbooks():
    assert len(NAMES) >= 60


@pytest.mark.parametrize("name", every(3, NAMES))
def test_nothing_of_theirs_is_lost(name, tmp_path):
    """Every third workbook; `python3 tests/bench.py samples` takes all."""
    path = moving_in.made(name, tmp_path)
    moved = moving_in.move_in(path, tmp_path / f"after{path.suffix}")
    assert compare.differences(moved.before, moved.after, moved.owned) == []
    before = zipfile.ZipFile(path)
    with zipfile.ZipFile(tmp_path / f"after{path.suffix}") as archive:
        assert archive.testzip() is None
        for member in archive.namelist():
            changed = member not in before.namelist() or archive.read(member) != before.read(member)
            if changed and member.endswith(".xml"):
                assert element_order.complaints(archive.read(member)) == (), member


@pytest.mark.parametrize("reader", ["calamine", "openpyxl"])
def test_other_readers_see_the_same_values_in_what_is_theirs(sample, reader, tmp_path):
    """A sixteenth of the corpus here; `python3 tests/bench.py writeback` looks at all of it."""
    name, moved = sample
    seen = looked_at(moved, tmp_path, reader)
    assert seen["different"] == []
    assert "unread" not in seen or name in UNREAD.get(reader, ()), seen


def test_the_comparison_sees_what_a_load_and_save_loses(tmp_path):
    """The check can fail: the same comparison of a workbook saved by a spreadsheet library names changed members."""
    path = moving_in.made("xlsxwriter rich_strings", tmp_path)
    load_workbook(path).save(tmp_path / "saved.xlsx")
    found = compare.differences(path.read_bytes(), (tmp_path / "saved.xlsx").read_bytes(), {})
    assert any("worksheets" in line for line in found)
    assert any("sharedStrings" in line for line in found)


def test_the_comparison_sees_one_changed_byte_beside_our_cells(tmp_path):
    path = moving_in.made("openpyxl our_plan", tmp_path)
    moved = moving_in.move_in(path, tmp_path / "after.xlsx")
    out = tmp_path / "bent.xlsx"
    with zipfile.ZipFile(tmp_path / "after.xlsx") as archive, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as bent:
        for info in archive.infolist():
            content = archive.read(info)
            if info.filename == "xl/worksheets/sheet2.xml":
                assert content.count(b'r="R4"') == 1
                content = content.replace(b'r="R4"', b'r="S4"')
            bent.writestr(info, content)
    assert any(
        "sheet2.xml: bytes outside" in line for line in compare.differences(moved.before, out.read_bytes(), moved.owned)
    )


def test_adopting_twice_does_nothing_and_planning_gives_what_was_written(sample, tmp_path):
    (tmp_path / "after.xlsx").write_bytes(sample[1].after)
    book = Book.open(tmp_path / "after.xlsx")
    assert adopt(book).added == ()
    assert not book.changed()
    reading = read_workbook(tmp_path / "after.xlsx", moving_in.DAY)
    assert not reading.errors
    plan = book.table("Plan")
    made = [row[plan.headings.index("Make")].value for row in plan.rows]
    assert [value for value in made if value] == [row["Make"] for row in moving_in.the_plan()["Plan"]]


def test_every_table_is_there_after_moving_in(tmp_path):
    path = moving_in.made("by hand prefixes", tmp_path)
    moving_in.move_in(path, tmp_path / "after.xlsx")
    book = Book.open(tmp_path / "after.xlsx")
    assert all(book.table(table.name) for table in tables().values() if not (table.optional or table.later))
