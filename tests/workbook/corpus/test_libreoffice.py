"""Moving into workbooks that LibreOffice saved, and what LibreOffice sees in those we moved into."""

from __future__ import annotations

import csv
import shutil

import pytest
from tests.workbook.corpus import by_libreoffice, compare, element_order, moving_in
from tests.workbook.corpus.test_corpus import NAMES

from stillroom.app.plan import read_workbook
from stillroom.app.write_plan import plan_workbook
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.tables import key_of
from stillroom.workbook.starter.start import adopt

pytestmark = [
    pytest.mark.libreoffice,
    pytest.mark.slow,
    pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed"),
]
ALL_SHEETS = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,-1"


@pytest.fixture(scope="module")
def profile(tmp_path_factory):
    return tmp_path_factory.mktemp("profile")


def cells_seen(path, folder, profile):
    """What LibreOffice shows on each sheet, worked out anew."""
    folder.mkdir()
    by_libreoffice.convert(path, ALL_SHEETS, folder, profile)
    found = {}
    for file in folder.glob("*.csv"):
        with file.open(encoding="utf-8", newline="") as lines:
            rows = enumerate(csv.reader(lines), 1)
            name = file.stem.partition("-")[2]
            found[name] = {
                (row, column): value for row, values in rows for column, value in enumerate(values, 1) if value
            }
    return found


@pytest.mark.parametrize("name", by_libreoffice.SOURCES)
def test_nothing_is_lost_in_a_workbook_that_libreoffice_saved(name, tmp_path, profile):
    source = by_libreoffice.SOURCES[name](tmp_path)
    (tmp_path / "saved").mkdir()
    path = by_libreoffice.convert(source, "xlsx", tmp_path / "saved", profile)
    moved = moving_in.move_in(path, tmp_path / "after.xlsx")
    assert compare.differences(moved.before, moved.after, moved.owned) == []


@pytest.mark.parametrize("name", NAMES[5::16])
def test_libreoffice_shows_the_same_in_every_cell_that_is_theirs(name, tmp_path, profile):
    path = moving_in.made(name, tmp_path)
    moved = moving_in.move_in(path, tmp_path / "after.xlsx")
    before = cells_seen(path, tmp_path / "one", profile)
    after = cells_seen(tmp_path / "after.xlsx", tmp_path / "two", profile)
    if len(before) == 1:
        (cells,) = before.values()
        before = {next(iter(Book.open(path).sheet_names)): cells}
    for sheet, cells in before.items():
        owned = moved.owned.get(sheet, frozenset())
        kept = {place: value for place, value in cells.items() if place not in owned}
        assert {place: after[sheet].get(place) for place in kept} == kept, sheet


@pytest.mark.filterwarnings("ignore:Print area cannot be set")  # whole columns, as LibreOffice writes them
def test_an_adopted_workbook_is_opened_without_repair(tmp_path, profile):
    """LibreOffice reads it and gives it back with every sheet, drop-down and chart."""
    path = moving_in.made("openpyxl names_taken", tmp_path)
    book = Book.open(path)
    adopted = adopt(book)
    book.save(None, moving_in.NOW)
    (tmp_path / "again").mkdir()
    again = by_libreoffice.convert(path, "xlsx", tmp_path / "again", profile)
    seen = Book.open(again)
    assert set(adopted.sheets) <= set(seen.sheet_names)
    assert {key_of(name) for name in seen.table_names} == {key_of(name) for name in adopted.added}
    from openpyxl import load_workbook

    opened = load_workbook(again)
    assert len(opened["Coverage"]._charts) == 2
    assert any(rule.type == "list" for rule in opened["Preserves"].data_validations.dataValidation)


def test_a_plan_stays_the_same_after_libreoffice_has_saved_the_workbook(tmp_path, profile):
    path = moving_in.made("openpyxl plain", tmp_path)
    moving_in.move_in(path, tmp_path / "planned.xlsx")
    first = plan_workbook(read_workbook(tmp_path / "planned.xlsx", moving_in.DAY))
    (tmp_path / "theirs").mkdir()
    saved = by_libreoffice.convert(tmp_path / "planned.xlsx", "xlsx", tmp_path / "theirs", profile)
    second = plan_workbook(read_workbook(saved, moving_in.DAY))
    assert [(row["Day"], row["Preserve"], row["Make"]) for row in second.tables["Plan"]] == [
        (row["Day"], row["Preserve"], row["Make"]) for row in first.tables["Plan"]
    ]


def test_the_order_of_elements_in_what_libreoffice_saves_is_that_of_the_tables(tmp_path, profile):
    """The tables of the checker against parts that another program wrote."""
    import zipfile

    source = by_libreoffice.SOURCES["fods names and filters"](tmp_path)
    (tmp_path / "saved").mkdir()
    with zipfile.ZipFile(by_libreoffice.convert(source, "xlsx", tmp_path / "saved", profile)) as archive:
        for name in ("xl/workbook.xml", "xl/styles.xml", "xl/worksheets/sheet1.xml"):
            assert element_order.complaints(archive.read(name)) == []
