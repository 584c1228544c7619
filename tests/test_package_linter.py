"""The linter of packages sees each of its faults, and none in what other programs write."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest
from tests.package_linter import faults
from tests.small_kitchen import build

from stillroom.workbook.ooxml import save

SHEET, TABLE, STYLES, BOOK = "xl/worksheets/sheet2.xml", "xl/tables/table1.xml", "xl/styles.xml", "xl/workbook.xml"
RELS, TYPES = "xl/worksheets/_rels/sheet2.xml.rels", "[Content_Types].xml"


@pytest.fixture(scope="module")
def parts(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The parts of a workbook by XlsxWriter."""
    path = build(tmp_path_factory.mktemp("linter") / "kitchen.xlsx")
    with zipfile.ZipFile(path) as package:
        return {name: package.read(name) for name in package.namelist()}


def packed(parts: dict[str, bytes]) -> bytes:
    """The parts as a workbook."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as package:
        for name, content in parts.items():
            package.writestr(name, content)
    return file.getvalue()


def test_a_sound_workbook_has_no_fault(parts):
    assert faults(packed(parts)) == set()


@pytest.mark.parametrize(
    ("name", "before", "now", "fault"),
    [
        (TYPES, b'PartName="/xl/tables/table1.xml"', b'PartName="/xl/tables/table0.xml"', "has a content type and is not there"),
        (TYPES, b'PartName="/xl/styles.xml"', b'PartName="/xl/workbook.xml"', "/xl/workbook.xml has 2 content types"),
        (TYPES, b'Extension="rels"', b'Extension="other"', ".rels has no content type"),
        (RELS, b"../tables/table1.xml", b"../tables/table77.xml", "leads to xl/tables/table77.xml, which is not there"),
        (RELS, b'Id="rId1"', b'Id="rId9"', "names the relationship rId1, which is not there"),
        (SHEET, b'r="A2"', b'r="A2" s="4000"', "the style 4000 is out of range"),
        (SHEET, b'r="A1"', b'r="Z1"', "c elements do not rise"),
        (SHEET, b"<sheetData>", b"<pageMargins/><sheetData>", "is out of order"),
        (SHEET, b'"B2"><v>500</v>', b'"B2" t="s"><v>500</v>', "the text 500 is out of range"),
        (TABLE, b'name="Setting"', b'name="Settings"', "the heading Settings is not in"),
        (TABLE, b'<tableColumn id="2"', b'<tableColumn id="1"', "two columns have the id 1"),
        (TABLE, b'<tableColumns count="4"', b'<tableColumns count="5"', "tableColumns counts 5 and holds 4"),
        (STYLES, b'fontId="0"', b'fontId="31"', "fontId 31 of"),
        (BOOK, b'sheetId="2"', b'sheetId="1"', "two sheets have the sheetId 1"),
    ],
)  # fmt: skip
def test_it_sees_each_fault(parts, name, before, now, fault):
    assert before in parts[name]
    found = faults(packed(parts | {name: parts[name].replace(before, now, 1)}))
    assert any(fault in one for one in found), found


def test_it_runs_over_every_workbook_that_a_test_writes(parts, monkeypatch, tmp_path):
    """`conftest` holds each new file against it; only what the file before did not have counts."""
    monkeypatch.setattr("tests.conftest._verify_new", lambda *_: None)
    broken = packed(parts | {TABLE: parts[TABLE].replace(b'name="Setting"', b'name="Settings"')})
    save.verify_new(broken, broken, None, Path("kitchen.xlsx"))
    with pytest.raises(AssertionError, match="breaks rules of packages"):
        save.verify_new(packed(parts), broken, None, Path("kitchen.xlsx"))
