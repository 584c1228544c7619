"""Moving in: what is missing is added after theirs, what they have is used, what looks like ours is named, nothing is taken."""

from __future__ import annotations

import datetime
import io
import re
import shutil
import subprocess
import zipfile

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Font
from openpyxl.worksheet.table import Table, TableColumn

from stillroom.app.plan import read_workbook
from stillroom.cli import run
from stillroom.errors import KINDS
from stillroom.handbook.cautions import all_cautions, handbook_blocks
from stillroom.reports.problems import sentences
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.tables import key_of
from stillroom.workbook.schema import tables
from stillroom.workbook.starter import layout, start
from stillroom.workbook.starter.layout import GIVEN
from stillroom.workbook.starter.sheets import blank_contents
from stillroom.workbook.starter.start import adopt

DAY = datetime.date(2026, 8, 14)
WANTED = [table.name for table in tables().values() if not (table.optional or table.later)]


def workbook(path, *blocks):
    """A workbook with blocks of headings and rows: (sheet, row, column, headings, rows, name of the table or None)."""
    book = Workbook()
    book.active.title = "Hens"
    book.active["A1"] = "they lay well"
    for number, (sheet, row, column, headings, rows, name) in enumerate(blocks, 1):
        place = book[sheet] if sheet in book.sheetnames else book.create_sheet(sheet)
        for down, values in enumerate([headings, *rows]):
            for right, value in enumerate(values):
                place.cell(row + down, column + right, value)
        if name is not None:
            first, last = place.cell(row, column), place.cell(row + max(len(rows), 1), column + len(headings) - 1)
            table = Table(id=number, displayName=name.replace(" ", "_"), ref=f"{first.coordinate}:{last.coordinate}")
            table.tableColumns = [TableColumn(id=one, name=heading) for one, heading in enumerate(headings, 1)]
            place.add_table(table)
    book.save(path)
    return path


def adopted(path, out=None):
    """Move in and save; gives what came of it, the receipt and the workbook opened anew."""
    book = Book.open(path)
    found = adopt(book)
    receipt = book.save(out)
    return found, receipt, Book.open(out or path)


CROPS = ["Bed", "Crop", "Keeps days", "Unit"]
HARVEST = ["Picked on", "Crop", "Amount", "Unit"]


def test_everything_is_added_after_their_sheets_in_the_order_of_a_starting_workbook(tmp_path):
    found, receipt, book = adopted(workbook(tmp_path / "a.xlsx"))
    assert book.sheet_names[0] == "Hens"
    assert list(book.sheet_names[1:]) == list(found.sheets)
    assert found.sheets[:8] == (
        "Start",
        "Kitchen",
        "Equipment",
        "Harvest",
        "On hand",
        "Preserves",
        "Winter list",
        "Plan",
    )
    assert set(found.added) == set(WANTED)
    assert found.used == found.problems == ()
    assert receipt.cells_written == 0
    for table in WANTED:
        assert [key_of(heading) for heading in book.table(table).headings] == [
            key_of(one) for one in tables()[table].headings
        ]


def test_output_tables_are_as_long_as_described_and_input_tables_have_room(tmp_path):
    _, _, book = adopted(workbook(tmp_path / "a.xlsx"))
    for name in WANTED:
        table = book.table(name)
        assert len(table.rows) >= (tables()[name].rows or 8), name


def test_the_second_time_does_nothing(tmp_path):
    path = workbook(tmp_path / "a.xlsx", ("Beds", 3, 2, CROPS, [["south", "carrots", 14, "lb"]], "Crops"))
    adopted(path)
    data = path.read_bytes()
    found, receipt, _ = adopted(path)
    assert (found.added, found.sheets, receipt.written) == ((), (), False)
    assert path.read_bytes() == data
    assert len(list(tmp_path.glob("*.xlsx"))) == 2  # the workbook, and the dated copy of the first time


def test_a_table_of_theirs_is_used_where_it_stands_and_its_bytes_stay(tmp_path):
    path = workbook(tmp_path / "a.xlsx", ("Beds", 3, 2, CROPS, [["south", "carrots", 14, "lb"]], "CROPS"))
    with zipfile.ZipFile(path) as archive:
        before = archive.read("xl/worksheets/sheet2.xml")
    found, _, book = adopted(path, tmp_path / "b.xlsx")
    assert "Crops" not in found.added
    assert dict(found.used)["Crops"] == "Beds!B3"
    assert "Harvest" in found.sheets  # the sheet of Crops in a starting workbook, now with Harvest alone
    with zipfile.ZipFile(tmp_path / "b.xlsx") as archive:
        assert archive.read("xl/worksheets/sheet2.xml") == before
    assert len(book.tables_named("Crops")) == 1


def test_a_block_that_looks_like_a_table_is_named_with_what_to_do_and_not_taken_or_doubled(tmp_path):
    path = workbook(tmp_path / "a.xlsx", ("Beds", 3, 2, CROPS, [["south", "carrots", 14, "lb"]], None))
    found, _, book = adopted(path)
    assert [(one.where, one.kind) for one in found.problems] == [("Beds!B3", "cells like a table")]
    assert "format them as a table named Crops" in sentences(found.problems[0])[1]
    assert "rename the heading" in sentences(found.problems[0])[1]
    assert book.table("Crops") is None
    assert "Crops" not in found.added


def test_a_block_with_half_the_headings_is_no_block_of_ours(tmp_path):
    path = workbook(tmp_path / "a.xlsx", ("Beds", 3, 2, ["Crop", "Sown"], [["carrots", "April"]], None))
    found, _, _ = adopted(path)
    assert found.problems == ()
    assert "Crops" in found.added


def test_a_table_of_another_name_with_our_headings_is_named(tmp_path):
    path = workbook(tmp_path / "a.xlsx", ("Beds", 3, 2, CROPS, [["south", "carrots", 14, "lb"]], "Table7"))
    found, _, _ = adopted(path)
    assert [one.where for one in found.problems] == ["Beds!B3"]
    assert "rename it to Crops" in sentences(found.problems[0])[1]
    assert "Crops" not in found.added


def test_after_the_advice_is_followed_the_table_is_used(tmp_path):
    path = workbook(tmp_path / "a.xlsx", ("Beds", 3, 2, CROPS, [["south", "carrots", 14, "lb"]], "Table7"))
    adopted(path)
    book = load_workbook(path)
    book["Beds"].tables["Table7"].displayName = "Crops"
    book.save(path)
    found, _, _ = adopted(path)
    assert dict(found.used)["Crops"] == "Beds!B3"
    assert found.problems == ()


def test_a_table_that_only_has_the_name_of_ours_is_named(tmp_path):
    path = workbook(tmp_path / "a.xlsx", ("Work", 1, 1, ["Who", "Rate"], [["Ann", 2]], "Hours"))
    found, _, _ = adopted(path)
    assert [(one.where, one.kind) for one in found.problems] == [("Work!A1", "column missing to adopt")]
    assert "rename the table" in sentences(found.problems[0])[1]


def test_our_sheets_get_names_of_their_own_where_theirs_are_taken(tmp_path):
    path = workbook(tmp_path / "a.xlsx", ("KITCHEN", 1, 1, ["a"], [], None), ("Plan", 1, 1, ["b"], [], None))
    found, _, _ = adopted(path)
    assert {"Kitchen 2", "Plan 2"} <= set(found.sheets)


def test_drop_downs_are_fed_by_their_table_where_it_stands(tmp_path):
    path = workbook(tmp_path / "a.xlsx", ("It's beds", 3, 2, CROPS, [["south", "carrots", 14, "lb"]], "Crops"))
    adopted(path)
    rules = load_workbook(path)["Harvest"].data_validations.dataValidation
    lists = {str(rule.sqref): rule.formula1 for rule in rules if rule.type == "list"}
    assert "'It''s beds'!$C$4:$C$4" in lists.values()
    assert '"weighed,expected"' in lists.values()


def test_charts_and_styles_come_along(tmp_path):
    adopted(workbook(tmp_path / "a.xlsx"))
    book = load_workbook(tmp_path / "a.xlsx")
    charts = book["Coverage"]._charts
    assert [chart.series[0].val.numRef.f.split("!")[0] for chart in charts] == ["'Coverage'", "'Coverage'"]
    cell = book["Kitchen"]["B6"]
    assert (cell.style, cell.protection.locked) == ("stillroom input", False)
    assert book["Plan"]["D7"].style == "stillroom output"
    assert book["Plan"].print_title_rows == "$5:$5"
    assert book["Kitchen"].freeze_panes == "B2"


def marks(sheet, colour="FFA43E2E"):
    """The marks of a sheet with letters of a colour: area to the formulas over it."""
    red = {}
    for one in sheet.conditional_formatting:
        for rule in one.rules:
            if rule.dxf.font is not None and rule.dxf.font.color.rgb == colour:
                red.setdefault(str(one.sqref), []).append(rule.formula[0])
    return red


def test_the_red_marks_of_a_starting_workbook_come_along_and_theirs_stay(tmp_path):
    """Their own mark keeps its format, the first in the list; ours are put behind it."""
    path = workbook(tmp_path / "a.xlsx", ("Beds", 3, 2, CROPS, [["south", "carrots", 14, "lb"]], "Crops"))
    book = load_workbook(path)
    book["Hens"].conditional_formatting.add("A1:A9", FormulaRule(["A1=7"], font=Font(color="FF112233")))
    book.save(path)
    adopted(path)
    book = load_workbook(path)
    assert marks(book["Hens"], "FF112233") == {"A1:A9": ["A1=7"]}
    last_row = re.search(r"\d+$", book["Kitchen"].tables["Kitchen"].ref)[0]
    assert marks(book["Kitchen"]) == {f"B6:B{last_row}": ['AND($A6="altitude",LEN($B6)=0)']}
    assert marks(book["Harvest"])["B6:B85"] == ["AND(LEN($B6)>0,COUNTIF('Beds'!$C$4:$C$4,$B6)=0)"]
    assert marks(book["Coverage"]) == {"E6:E45": ["AND(LEN($E6)>0,$E6<0.995)"]}
    assert marks(book["Coverage"], "FF4C6848") == {"E6:E45": ["AND(LEN($E6)>0,$E6>=0.995)"]}
    assert len(book["Beds"].conditional_formatting) == 0


def test_a_mark_is_left_out_where_their_table_has_not_the_column_it_looks_at(tmp_path):
    path = workbook(tmp_path / "a.xlsx", ("Beds", 3, 2, ["Bed", "Keeps days"], [["south", 14]], "Crops"))
    adopted(path)
    book = load_workbook(path)
    assert marks(book["Harvest"]) == {}
    assert len(marks(book["Kitchen"])) == 1


def painted(sheet):
    """Every condition of a sheet, the first that holds first: its area, its formula, and what it puts over a cell."""
    rules = [(rule, str(one.sqref)) for one in sheet.conditional_formatting for rule in one.rules]
    return [(area, rule.formula[0], rule.dxf) for rule, area in sorted(rules, key=lambda pair: pair[0].priority)]


def pages(content):
    """What a sheet prints."""
    return [one.split("!")[1].replace("$", "") for one in content.print_area.split(",")]


def test_the_rows_of_a_new_sheet_are_drawn_as_in_a_starting_workbook(tmp_path):
    """The same conditions in the same order, sheet by sheet, and cells without a ground or lines of their own."""
    adopted(workbook(tmp_path / "a.xlsx"))
    book = load_workbook(tmp_path / "a.xlsx")
    fresh = load_workbook(io.BytesIO(start.build(blank_contents(metric=False))))
    for name in ("Kitchen", "Plan", "Days", "Coverage", "Shopping", "Season"):
        ours, theirs = painted(book[name]), painted(fresh[name])
        formulas = [formula for _, formula, _ in theirs if "COUNTIF" not in formula]
        assert [formula for _, formula, _ in ours if "COUNTIF" not in formula] == formulas
        grounds = [dxf.fill and dxf.fill.bgColor.rgb[2:] for _, formula, dxf in theirs if "COUNTIF" not in formula]
        assert [dxf.fill and dxf.fill.bgColor.rgb[2:] for _, rule, dxf in ours if "COUNTIF" not in rule] == grounds
        shown = [dxf.numFmt and dxf.numFmt.formatCode for _, _, dxf in theirs]
        assert [dxf.numFmt and dxf.numFmt.formatCode for _, _, dxf in ours] == shown
    for cell in (book["Kitchen"]["B6"], book["Plan"]["D7"], book["Days"]["D60"]):
        assert cell.fill.patternType is None
        assert not (cell.border.left and cell.border.left.style)


def test_the_day_strip_comes_along(tmp_path):
    adopted(workbook(tmp_path / "a.xlsx"))
    days = load_workbook(tmp_path / "a.xlsx")["Days"]
    assert [days.cell(5, column).value for column in (9, 11, 13)] == [5, 6, 7]
    assert days["I4"].value.startswith("By the clock")
    assert days.column_dimensions["I"].width < 2
    assert "I5:J5" in {str(one) for one in days.merged_cells.ranges}
    striped = [dxf for _, _, dxf in painted(days) if dxf.fill and dxf.fill.patternType == "lightUp"]
    assert len(striped) == 1
    assert days.print_area in (None, "")


def test_words_stand_in_from_a_number_and_what_is_printed_grows_with_the_rows(tmp_path):
    adopted(workbook(tmp_path / "a.xlsx"))
    book = load_workbook(tmp_path / "a.xlsx")
    assert (book["Days"]["D6"].alignment.horizontal, book["Days"]["D6"].alignment.indent) == ("left", 1)
    assert book["Plan"]["D6"].alignment.horizontal == "right"
    assert book["Plan"]["G6"].alignment.wrap_text
    assert pages(book["Plan"]) == ["A1:M1048576"]
    assert book["Plan"].row_dimensions[6].height is None  # until a plan says what stands there
    assert book["Messages"]["B6"].font.size == 10
    assert book["Messages"]["C6"].font.size == 11


def test_the_pictures_beside_coverage_are_printed_whole_however_long_the_winter_list_is(tmp_path):
    targets = [[f"need {number}", 10, "quart"] for number in range(38)]
    adopted(workbook(tmp_path / "a.xlsx", ("List", 1, 1, ["Target", "Wanted", "Unit"], targets, "Winter list")))
    sheet = load_workbook(tmp_path / "a.xlsx")["Coverage"]
    last = int(re.search(r"[0-9]+$", pages(sheet)[0])[0])
    assert len(sheet._charts) == 2
    for chart in sheet._charts:
        rows = chart.anchor.ext.height / 9525 / 20
        assert chart.anchor._from.row + rows <= last


def test_columns_are_folded_and_printed_as_in_a_starting_workbook(tmp_path):
    adopted(workbook(tmp_path / "a.xlsx"))
    book = load_workbook(tmp_path / "a.xlsx")
    fresh = load_workbook(io.BytesIO(start.build(blank_contents(metric=False))))
    for name in ("Kitchen", "Harvest", "Preserves", "Plan", "Season", "Coverage"):
        ours, theirs = book[name], fresh[name]
        folded = [letter for letter, one in ours.column_dimensions.items() if one.hidden and one.outlineLevel == 1]
        assert folded == [letter for letter, one in theirs.column_dimensions.items() if one.hidden], name
        assert [one for one in ours.column_dimensions if ours.column_dimensions[one].collapsed] == [
            one for one in theirs.column_dimensions if theirs.column_dimensions[one].collapsed
        ], name
        assert [area.split(":")[0] for area in pages(ours)] == [area.split(":")[0] for area in pages(theirs)]
    assert "Folded away" in book["Preserves"]["A3"].value
    assert 'outlineLevelCol="1"' in zipfile.ZipFile(tmp_path / "a.xlsx").read(sheet_part(book, "Preserves")).decode()


def sheet_part(book, name):
    """The part of a sheet of a workbook whose parts are in the order of its sheets."""
    return f"xl/worksheets/sheet{book.sheetnames.index(name) + 1}.xml"


def test_the_season_has_its_chart_and_the_cautions_their_sheet(tmp_path):
    found, _, _ = adopted(workbook(tmp_path / "a.xlsx"))
    book = load_workbook(tmp_path / "a.xlsx")
    (chart,) = book["Season"]._charts
    assert {series.val.numRef.f.split("!")[0] for series in chart.series} == {"'Season'"}
    assert found.sheets[-1] == "Cautions"
    said = [(row[1], row[2]) for row in book["Cautions"].iter_rows(min_row=5, values_only=True) if row[0]]
    blocks = handbook_blocks()
    assert said == [(caution.text, caution.source) for _, cautions in blocks.named for caution in cautions]
    assert len(said) == len(all_cautions())
    assert "Vent a pressure canner for 10 full minutes" in said[0][0]
    assert any("1 1/4 inches for chicken or rabbit" in words for words, _ in said[:7])


def test_what_to_do_comes_along_and_names_the_sheets_by_what_they_are_called_here(tmp_path):
    path = workbook(tmp_path / "a.xlsx", ("It's beds", 3, 2, HARVEST, [], "Harvest"), ("Plan", 1, 1, ["b"], [], None))
    found, _, _ = adopted(path)
    assert found.sheets[0] == "Start"
    start = load_workbook(path)["Start"]
    named = {start.cell(row, 2).value: start.cell(row, 3).value for row in range(4, 14)}
    usual = ["On hand", "Preserves", "Winter list", "Plan 2", "Coverage", "Record"]
    assert [*named] == ["Kitchen", "Equipment", "It's beds", *usual]
    assert named["It's beds"] == dict(GIVEN["ten_lines"])["Harvest"]
    assert [start.cell(row, 2).style for row in (16, 17, 18)] == [layout.INPUT, layout.WORKING, layout.OUTPUT]


def test_a_sheet_of_theirs_called_start_is_let_be(tmp_path):
    found, _, book = adopted(workbook(tmp_path / "a.xlsx", ("START", 1, 1, ["mind the goose"], [], None)))
    assert [name for name in book.sheet_names if name.casefold().startswith("start")] == ["START"]
    assert "Start" not in found.sheets


def test_a_check_is_left_out_where_a_column_it_looks_at_is_not_there(tmp_path):
    path = workbook(tmp_path / "a.xlsx", ("Beds", 3, 2, ["Picked on", "What", "Amount"], [], "Harvest"))
    adopted(path)
    said = [cell.value for cell in load_workbook(path)["Start"]["C"] if cell.value]
    assert "Preserves without ingredients" in said
    assert "Harvest rows with a crop missing from Crops" not in said


@pytest.mark.libreoffice
@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
@pytest.mark.filterwarnings("ignore:Print area cannot be set")  # LibreOffice writes whole columns without their rows
def test_the_checks_count_what_is_amiss_in_the_tables_where_they_stand(tmp_path):
    """Two lots of leeks are in no list of crops, and the altitude is missing: worked out by LibreOffice."""
    lots = [[DAY, "leeks", 4, "lb"], [DAY, "carrots", 4, "lb"], [DAY, "leeks", 2, "lb"]]
    beds = ("Beds", 3, 2, CROPS, [["south", "carrots", 14, "lb"]], "Crops")
    path = workbook(tmp_path / "a.xlsx", ("Lots", 1, 1, HARVEST, lots, "Harvest"), beds)
    adopted(path)
    home = f"-env:UserInstallation=file://{tmp_path / 'profile'}"
    words = ("--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(tmp_path / "back"), str(path))
    subprocess.run(["soffice", home, "--headless", *words], check=True, capture_output=True, timeout=120)
    start = load_workbook(tmp_path / "back" / "a.xlsx", data_only=True)["Start"]
    assert [(start.cell(row, 2).value, start.cell(row, 3).value) for row in range(21, 24)] == [
        (1, "Altitude is missing"),
        (0, "Targets without a preserve"),
        (2, "Harvest rows with a crop missing from Crops"),
    ]


def test_the_first_day_shows_a_date_as_soon_as_it_is_typed(tmp_path):
    adopted(workbook(tmp_path / "a.xlsx"))
    kitchen = load_workbook(tmp_path / "a.xlsx")["Kitchen"]
    rows = {kitchen.cell(row, 1).value: row for row in range(6, 26)}
    assert kitchen.cell(rows["first day"], 2).number_format == "mmm d, yyyy"
    assert kitchen.cell(rows["people"], 2).number_format == "General"


def test_a_sheet_of_theirs_called_cautions_is_let_be(tmp_path):
    found, _, book = adopted(workbook(tmp_path / "a.xlsx", ("CAUTIONS", 1, 1, ["mind the goose"], [], None)))
    assert [name for name in book.sheet_names if name.casefold().startswith("cautions")] == ["CAUTIONS"]
    assert "Cautions" not in found.sheets


def test_check_lists_what_to_fill_in(tmp_path):
    path = workbook(tmp_path / "a.xlsx")
    adopted(path)
    problems = read_workbook(path, DAY).problems
    blank = {one.where for one in problems if one.kind == "blank required"}
    hands = next(cell.row for cell in load_workbook(path)["Kitchen"]["A"] if cell.value == "hands")
    assert {f"Kitchen!B{hands}", f"Kitchen!H{hands}"} <= blank
    empty = [sentences(one)[0] for one in problems if one.kind == "table empty"]
    assert "Winter list is empty." in empty
    assert all(one.kind in KINDS for one in problems)


def test_a_metric_household_gets_metric_units(tmp_path):
    path = workbook(tmp_path / "a.xlsx", ("Beds", 3, 2, CROPS, [["south", "carrots", 14, "kg"]], "Crops"))
    _, _, book = adopted(path)
    kitchen = book.table("Kitchen")
    units = {row[0].value: row[2].value for row in kitchen.rows}
    assert (units["altitude"], units["most to freeze in a day"]) == ("m", "kg")


def test_the_command_says_what_it_did_and_what_comes_next(tmp_path, capsys):
    path = workbook(tmp_path / "a.xlsx", ("Beds", 3, 2, CROPS, [["south", "carrots", 14, "lb"]], None))
    assert run(["adopt", str(path), "--out", str(tmp_path / "b.xlsx")]) == 0
    said = capsys.readouterr().out
    assert "Beds, cell B3" in " ".join(said.split())
    assert "format them as a table named Crops" in " ".join(said.split())
    assert "stillroom check b.xlsx" in " ".join(said.split())
    assert load_workbook(path).sheetnames == ["Hens", "Beds"]
    assert run(["adopt", str(tmp_path / "b.xlsx")]) == 0
    assert "Nothing was changed" in capsys.readouterr().out


@pytest.mark.parametrize(("name", "words"), [("hens.ods", "xlsx"), ("none.xlsx", "No file")])
def test_what_is_no_workbook_is_refused_in_a_sentence(tmp_path, capsys, name, words):
    if name.endswith("ods"):
        (tmp_path / name).write_bytes(b"PK\x03\x04 not one")
    assert run(["adopt", str(tmp_path / name)]) == 1
    assert words in capsys.readouterr().err
