"""What we write is opened by LibreOffice as it was meant, and what LibreOffice saved is read and written into."""

from __future__ import annotations

import csv
import datetime
import shutil
import subprocess
import zipfile

import pytest
from openpyxl import load_workbook

from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.files.copies import history
from stillroom.workbook.ooxml.named_styles import Look
from stillroom.workbook.ooxml.new_sheet import NewCell, NewSheet, NewTable, Validation
from stillroom.workbook.ooxml.write_cells import NewFormula

pytestmark = [
    pytest.mark.libreoffice,
    pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed"),
]


@pytest.fixture(scope="session")
def convert(tmp_path_factory):
    profile = tmp_path_factory.mktemp("profile")

    def run(path, kind, folder):
        command = [
            "soffice",
            f"-env:UserInstallation=file://{profile}",
            "--headless",
            "--convert-to",
            kind,
            "--outdir",
            str(folder),
            str(path),
        ]
        subprocess.run(command, check=True, capture_output=True, timeout=120)
        return folder

    return run


def sheets_of(folder):
    return {
        path.stem.partition("-")[2]: list(csv.reader(path.read_text(encoding="utf-8").splitlines()))
        for path in folder.glob("*.csv")
    }


ALL_SHEETS = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,-1"


def test_values_and_stale_results_are_seen_fresh(plan_file, tmp_path, convert):
    book = Book.open(plan_file)
    book.fill_table(
        book.table("Plan"), {"Make": [10, 20, 30, 40, 50], "Note": ["=1+1", "+a", "_x0041_", "<&>", " é "]}, 5
    )
    book.save(tmp_path / "out.xlsx")
    seen = sheets_of(convert(tmp_path / "out.xlsx", ALL_SHEETS, tmp_path / "csv"))
    assert seen["Looking"][0] == ["150", "2", "300", "20", "10", "plum jam"]
    assert [row[3:5] for row in seen["Plan"][3:8]] == [
        ["10", "=1+1"],
        ["20", "+a"],
        ["30", "_x0041_"],
        ["40", "<&>"],
        ["50", " é "],
    ]


def test_a_new_sheet_with_everything_on_it_is_opened(plan_file, tmp_path, convert):
    book = Book.open(plan_file)
    look = Look("Stillroom heading", bold=True, fill="DDEEDD", number_format="d mmm yyyy")
    sheet = NewSheet(
        cells={(1, 1): NewCell(datetime.date(2026, 8, 14), look), (1, 2): NewCell(NewFormula("SUM(Pantry[On hand])"))},
        tables=(NewTable("Pantry", 3, 1, ("Item", "On hand"), 2, look),),
        validations=(Validation("A4:A5", "list", '"salt,sugar"'),), frozen_rows=3, title_rows=(3, 3), protected=True, widths={1: 20},
    )  # fmt: skip
    book.add_sheet("Stores", sheet)
    book.fill_table(book.table("pantry"), {"Item": ["salt", "sugar"], "On hand": [2, 3.5]}, 2)
    book.save(tmp_path / "out.xlsx")
    seen = sheets_of(convert(tmp_path / "out.xlsx", ALL_SHEETS, tmp_path / "csv"))
    assert seen["Stores"][0][1] == "5.5"
    assert seen["Stores"][2:] == [["Item", "On hand"], ["salt", "2"], ["sugar", "3.5"]]
    convert(tmp_path / "out.xlsx", "xlsx", tmp_path / "again")
    again = load_workbook(tmp_path / "again" / "out.xlsx")["Stores"]
    assert (again["A1"].value, again["A1"].number_format) == (datetime.datetime(2026, 8, 14), "d\\ mmm\\ yyyy")
    assert again.protection.sheet
    assert again.data_validations.dataValidation[0].formula1 == '"salt,sugar"'


def test_a_workbook_that_libreoffice_saved_is_written_into(plan_file, tmp_path, convert):
    convert(plan_file, "xlsx", tmp_path / "theirs")
    path = tmp_path / "theirs" / "pantry.xlsx"
    before = Book.open(path)
    table = before.table("Plan") or before.tables_by_headings(["Day", "Make"], "Plan")[0]
    assert [row[2].value for row in table.rows] == [4, 5, 6, 7]
    before.fill_table(
        table, {"Make": [1.5, None, 3, 4, 5], "Day": [datetime.date(2026, 9, day) for day in range(1, 6)]}, 5
    )
    receipt = before.save(tmp_path / "out.xlsx")
    assert set(receipt.results_cleared) == {"Looking!A1", "Looking!C1", "Looking!D1", "Looking!E1"}
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(tmp_path / "out.xlsx") as new:
        kept = [name for name in old.namelist() if name not in receipt.members_changed]
        assert all(old.read(name) == new.read(name) for name in kept)
    seen = sheets_of(convert(tmp_path / "out.xlsx", ALL_SHEETS, tmp_path / "csv"))
    assert seen["Looking"][0] in (["13.5", "2", "27", blank, "1.5", "plum jam"] for blank in ("", "0"))


def test_both_parts_that_carry_the_ids_come_through_and_are_written_into_again(plan_file, tmp_path, convert):
    for value in (50, 51):
        book = Book.open(plan_file)
        book.set("Plan", 4, 4, value)
        book.save()
    known = history(plan_file)
    saved = convert(plan_file, "xlsx", tmp_path / "theirs") / plan_file.name
    assert len(known) == 3
    assert history(saved)[1:] == known
    for gone in ("customXml/", "docProps/custom.xml"):
        other = tmp_path / "other.xlsx"
        with zipfile.ZipFile(saved) as old, zipfile.ZipFile(other, "w") as new:
            for name in old.namelist():
                if not name.startswith(gone):
                    new.writestr(name, old.read(name))
        assert history(other)[-3:] == known, gone
    book = Book.open(saved)
    book.set(book.sheet_names[0], 4, 4, 52)
    receipt = book.save()
    assert receipt.members_added == ()
    assert history(saved)[2:] == known
    again = convert(saved, "xlsx", tmp_path / "again") / saved.name
    assert history(again)[1:] == history(saved)
