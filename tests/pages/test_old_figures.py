"""A plan that is older than the workbook, or figures that are older than they look: said, and only when it is so."""

import datetime
import re
import zipfile

import pytest
from openpyxl import load_workbook
from tests.small_kitchen import FRIDAY, KITCHEN, build

from stillroom.app.day import CHANGED, stale_words
from stillroom.app.plan import read_workbook
from stillroom.cli import run
from stillroom.reports.problems import line
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.writer.notices import looked_at_by_pivots


def said(path, today=FRIDAY):
    """What is said of the plan in a workbook."""
    return stale_words(read_workbook(path, today))


def test_a_plan_made_with_a_time_limit_holds_as_any_other(kitchen, capsys):
    """`day` and `pages` said that the workbook had changed, right after it was planned."""
    assert run(["plan", str(kitchen), "--time-limit", "300"]) == 0
    assert said(kitchen) == ""
    capsys.readouterr()
    assert run(["today", str(kitchen)]) == 0
    assert CHANGED not in capsys.readouterr().out


@pytest.mark.parametrize("words", [(), ("--time-limit", "300")])
def test_what_is_typed_anew_makes_it_an_older_one_everywhere(kitchen, tmp_path, capsys, words):
    """`today` and `labels` said nothing of it."""
    assert run(["plan", str(kitchen), *words]) == 0
    workbook = load_workbook(kitchen)
    workbook["Harvest"]["C2"] = 44
    workbook.save(kitchen)
    assert said(kitchen) == CHANGED
    for command in (("today", str(kitchen)), ("labels", str(kitchen), "--out", str(tmp_path / "paper"))):
        capsys.readouterr()
        assert run(list(command)) == 0
        assert CHANGED in " ".join(capsys.readouterr().out.split())


def test_an_answer_typed_over_makes_it_another_plan(kitchen):
    assert run(["plan", str(kitchen)]) == 0
    workbook = load_workbook(kitchen)
    sheet = workbook["Plan"]
    row = next(row for row in sheet.iter_rows(min_row=2) if row[2].value == "tomato juice, quart")
    row[3].value = 3
    workbook.save(kitchen)
    assert said(kitchen) == CHANGED


def test_a_new_day_alone_is_said_as_that(tmp_path):
    """Nothing in the workbook changed: its first day is blank, and the sun rose."""
    settings = [row for row in KITCHEN["Kitchen"] if row["Setting"] != "first day"]
    path = build(tmp_path / "kitchen.xlsx", Kitchen=settings)
    assert run(["plan", str(path)]) == 0
    today = datetime.date.today()
    assert said(path, today) == ""
    words = said(path, today + datetime.timedelta(days=1))
    assert words.startswith("This plan begins on ")
    assert words.endswith("plan again to begin with the first day of now.")


# Figures that are older than they look: a first day saved before, a pivot table with a copy of the last plan.

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


def said_of_day(path, today, kind="first day saved before"):
    """What is said of the first day."""
    return [line(one) for one in read_workbook(path, today).problems if one.kind == kind]


@pytest.mark.parametrize("formula", [b"TODAY()", b"INT(NOW())", b"today()+0"])
def test_a_first_day_that_was_worked_out_on_another_day_is_said(tmp_path, formula):
    """The file holds the day on which an office program last worked it out: all of the plan began there."""
    path = reckoned(build(tmp_path / "kitchen.xlsx"), formula)
    assert said_of_day(path, FRIDAY) == []
    [words] = said_of_day(path, LATER)
    assert words.endswith(
        "First day is a formula that last gave Aug 14, 2026; today is Aug 18, 2026. "
        "Clear the cell: a blank first day is always today. Or type the day."
    )


def test_a_first_day_that_is_typed_or_reckoned_from_cells_is_no_matter(tmp_path):
    path = build(tmp_path / "kitchen.xlsx")
    assert said_of_day(path, LATER) == []
    assert said_of_day(reckoned(path, b"DATE(2026,8,14)"), LATER) == []


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
