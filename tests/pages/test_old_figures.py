"""Figures that are older than they look: a first day saved before, a pivot table with a copy of the last plan."""

import datetime
import re
import zipfile

import pytest
from tests.small_kitchen import FRIDAY, build

from stillroom.app.plan import read_workbook
from stillroom.cli import run
from stillroom.reports.problems import line
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.writer.notices import looked_at_by_pivots

LATER = FRIDAY + datetime.timedelta(days=4)


def changed(path, *, add=None, change=lambda name, content: content):
    """Rewrite a workbook's members, and add some."""
    with zipfile.ZipFile(path) as old:
        members = {name: change(name, old.read(name)) for name in old.namelist()}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name, content in {**members, **(add or {})}.items():
            new.writestr(name, content)
    return path


def reckoned(path, formula):
    """The workbook with a formula for its first day, which gave Friday when the file was last saved."""
    table = Book.open(path).table("Kitchen")
    place = next(cells[1].address for cells in table.rows if str(cells[0].value).casefold() == "first day").encode()
    cell = re.compile(rb'(<c r="' + place + rb'"[^>]*>)<v>')
    text = b"<f>" + formula + b"</f><v>"
    return changed(path, change=lambda _, content: cell.sub(rb"\1" + text, content, count=1))


def said(path, today, kind="first day saved before"):
    """What is said of the first day."""
    return [line(one) for one in read_workbook(path, today).problems if one.kind == kind]


@pytest.mark.parametrize("formula", [b"TODAY()", b"INT(NOW())", b"today()+0"])
def test_a_first_day_that_was_worked_out_on_another_day_is_said(tmp_path, formula):
    """The file holds the day on which an office program last worked it out: all of the plan began there."""
    path = reckoned(build(tmp_path / "kitchen.xlsx"), formula)
    assert said(path, FRIDAY) == []
    [words] = said(path, LATER)
    assert words.endswith(
        "First day is a formula that last gave Aug 14, 2026; today is Aug 18, 2026. "
        "Clear the cell: a blank first day is always today. Or type the day."
    )


def test_a_first_day_that_is_typed_or_reckoned_from_cells_is_no_matter(tmp_path):
    path = build(tmp_path / "kitchen.xlsx")
    assert said(path, LATER) == []
    assert said(reckoned(path, b"DATE(2026,8,14)"), LATER) == []


@pytest.mark.parametrize(
    ("source", "names"),
    [
        (b'name="Plan"', ("Plan",)),
        (b'ref="A1:D9" sheet="plan"', ("Plan",)),
        (b'ref="BA1:BD9" sheet="Plan"', ()),
        (b'ref="A1:D9" sheet="our kitchen"', ()),
    ],
)
def test_a_pivot_table_over_the_plan_is_named(tmp_path, capsys, source, names):
    """It keeps its own copy of the figures: nobody works it out anew when the workbook is opened."""
    path = build(tmp_path / "kitchen.xlsx")
    assert run(["plan", str(path)]) == 0
    cache = b'<pivotCacheDefinition xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><cacheSource type="worksheet"><worksheetSource ' + source + b"/></cacheSource></pivotCacheDefinition>"  # fmt: skip
    changed(path, add={"xl/pivotCache/pivotCacheDefinition1.xml": cache})
    assert looked_at_by_pivots(Book.open(path)) == names
    book = Book.open(path)
    lots = book.table("Harvest")
    book.set(lots.sheet, lots.first_row, lots.column("Amount"), 44)
    book.save()
    capsys.readouterr()
    assert run(["plan", str(path)]) == 0
    words = "Refresh the pivot table over Plan: it still shows the old figures."
    assert (words in " ".join(capsys.readouterr().out.split())) == bool(names)
