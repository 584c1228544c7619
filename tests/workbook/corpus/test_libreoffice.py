"""Moving into workbooks that LibreOffice saved, and what LibreOffice sees in those we moved into."""

from __future__ import annotations

import csv
import shutil

import pytest
from tests.samples import every
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


NAMES_LOOKED_AT = every(2, NAMES[6::16])


@pytest.fixture(scope="module")
def saved(tmp_path_factory):
    """Every source, an adopted and a planned workbook: as they were, and as LibreOffice, started once, saves them."""
    folder = tmp_path_factory.mktemp("sources")
    made = {}
    for number, (name, make) in enumerate(by_libreoffice.SOURCES.items()):
        path = make(tmp_path_factory.mktemp("source"))
        made[name] = shutil.copyfile(path, folder / f"household{number}{path.suffix}")
    made["adopted"] = moving_in.made("openpyxl names_taken", folder).rename(folder / "adopted.xlsx")
    book = Book.open(made["adopted"])
    adopt(book)
    book.save(None, moving_in.NOW)
    made["planned"] = folder / "planned.xlsx"
    moving_in.move_in(moving_in.made("openpyxl plain", folder), made["planned"])
    out, profile = tmp_path_factory.mktemp("saved"), tmp_path_factory.mktemp("profile")
    again = by_libreoffice.convert_all(list(made.values()), "xlsx", out, profile)
    return {name: (path, after) for (name, path), after in zip(made.items(), again, strict=True)}


@pytest.fixture(scope="module")
def shown(tmp_path_factory):
    """Some workbooks moved into, and the folder in which LibreOffice, started once, shows them before and after."""
    folder, moved = tmp_path_factory.mktemp("moved"), {}
    for number, name in enumerate(NAMES_LOOKED_AT):
        path = moving_in.made(name, tmp_path_factory.mktemp("source"))
        before = shutil.copyfile(path, folder / f"before{number}{path.suffix}")
        moved[name] = moving_in.move_in(before, folder / f"after{number}{path.suffix}")
    out = tmp_path_factory.mktemp("shown")
    by_libreoffice.convert_all(sorted(folder.iterdir()), ALL_SHEETS, out, tmp_path_factory.mktemp("profile"))
    return moved, out


def cells_seen(stem, folder):
    """What LibreOffice shows on each sheet of a workbook, worked out anew."""
    found = {}
    for file in folder.glob(f"{stem}-*.csv"):
        with file.open(encoding="utf-8", newline="") as lines:
            rows = enumerate(csv.reader(lines), 1)
            name = file.stem.partition("-")[2]
            found[name] = {
                (row, column): value for row, values in rows for column, value in enumerate(values, 1) if value
            }
    return found


@pytest.mark.parametrize("name", by_libreoffice.SOURCES)
def test_nothing_is_lost_in_a_workbook_that_libreoffice_saved(name, tmp_path, saved):
    moved = moving_in.move_in(saved[name][1], tmp_path / "after.xlsx")
    assert compare.differences(moved.before, moved.after, moved.owned) == []


@pytest.mark.parametrize("number", range(len(NAMES_LOOKED_AT)), ids=NAMES_LOOKED_AT.__getitem__)
def test_libreoffice_shows_the_same_in_every_cell_that_is_theirs(number, tmp_path, shown):
    moved = shown[0][NAMES_LOOKED_AT[number]]
    before, after = cells_seen(f"before{number}", shown[1]), cells_seen(f"after{number}", shown[1])
    assert after
    if len(before) == 1:
        (cells,) = before.values()
        (tmp_path / "before.xlsx").write_bytes(moved.before)
        before = {next(iter(Book.open(tmp_path / "before.xlsx").sheet_names)): cells}
    for sheet, cells in before.items():
        owned = moved.owned.get(sheet, frozenset())
        kept = {place: value for place, value in cells.items() if place not in owned}
        assert {place: after[sheet].get(place) for place in kept} == kept, sheet


@pytest.mark.filterwarnings("ignore:Print area cannot be set")  # whole columns, as LibreOffice writes them
def test_an_adopted_workbook_is_opened_without_repair(tmp_path, saved):
    """LibreOffice reads it and gives it back with every sheet, drop-down and chart."""
    adopted = adopt(Book.open(moving_in.made("openpyxl names_taken", tmp_path)))
    again = saved["adopted"][1]
    seen = Book.open(again)
    assert set(adopted.sheets) <= set(seen.sheet_names)
    assert {key_of(name) for name in seen.table_names} == {key_of(name) for name in adopted.added}
    from openpyxl import load_workbook

    opened = load_workbook(again)
    assert len(opened["Coverage"]._charts) == 2
    assert any(rule.type == "list" for rule in opened["Preserves"].data_validations.dataValidation)


def test_a_plan_stays_the_same_after_libreoffice_has_saved_the_workbook(tmp_path, saved):
    ours, theirs = (shutil.copyfile(path, tmp_path / f"{path.parent.name}.xlsx") for path in saved["planned"])
    first = plan_workbook(read_workbook(ours, moving_in.DAY))
    second = plan_workbook(read_workbook(theirs, moving_in.DAY))
    assert [(row["Day"], row["Preserve"], row["Make"]) for row in second.tables["Plan"]] == [
        (row["Day"], row["Preserve"], row["Make"]) for row in first.tables["Plan"]
    ]


def test_the_order_of_elements_in_what_libreoffice_saves_is_that_of_the_tables(saved):
    """The tables of the checker against parts that another program wrote."""
    import zipfile

    with zipfile.ZipFile(saved["fods names and filters"][1]) as archive:
        for name in ("xl/workbook.xml", "xl/styles.xml", "xl/worksheets/sheet1.xml"):
            assert element_order.complaints(archive.read(name)) == ()
