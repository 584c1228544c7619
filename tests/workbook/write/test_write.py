"""A plan written into workbooks built here: only our columns change, and what the household wrote follows its line."""

import datetime
import hashlib
import shutil
import subprocess
import zipfile
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.table import Table, TableFormula

from stillroom.errors import WorkbookRefused
from stillroom.reports.problems import line as problem_line
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.schema import output_tables
from stillroom.workbook.writer import plan as write
from stillroom.workbook.writer.plan import mark_in, notes_in, write_notes, written_in

FRIDAY = datetime.date(2026, 8, 14)
SATURDAY = FRIDAY + datetime.timedelta(days=1)
SUNDAY = FRIDAY + datetime.timedelta(days=2)
MARK = "ab" * 32
PLAN = [
    "Day",
    "Days",
    "Preserve",
    "Make",
    "Unit",
    "Loads",
    "Uses",
    "Hands-on h",
    "Stove h",
    "Keep at",
    "Made",
    "Note",
    "Change",
]


def line(day, name, make, days=1, **more):
    """A row of the new plan."""
    return {"Day": day, "Days": days, "Preserve": name, "Make": make, "Unit": "jar"} | more


def tables(*lines, **others):
    """The rows of a plan."""
    return {"Plan": list(lines)} | others


def workbook(path, rows, headings=PLAN, spare=4, calculated=(), name="Plan"):
    """A workbook of a household: a sheet of its own, and a Plan table with these rows and some blank ones."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Ours"
    sheet["A1"] = "the hens lay well"
    sheet = book.create_sheet("Kitchen wall")
    sheet.append(["Plan for the wall"])
    sheet.append([])
    sheet.append(headings)
    for row in rows:
        sheet.append([row.get(heading) for heading in headings])
    last = 3 + len(rows) + spare
    letter = sheet.cell(3, len(headings)).column_letter
    table = Table(displayName=name.replace(" ", "_"), ref=f"A3:{letter}{last}")
    table._initialise_columns()
    for column, heading in zip(table.tableColumns, headings, strict=True):
        column.name = heading
        if heading in calculated:
            column.calculatedColumnFormula = TableFormula(attr_text="1+1")
            for row in range(4, last + 1):
                sheet.cell(row, headings.index(heading) + 1).value = "=1+1"
    sheet.add_table(table)
    book.save(path)
    return path


def written(path, new, first_day=FRIDAY, inputs=MARK):
    """Write a plan into a file and give its Plan rows, and the receipt."""
    book = Book.open(path)
    write.write(book, new, first_day, inputs)
    receipt = book.save()
    return plan_of(path), receipt


def plan_of(path):
    """The Plan rows of a saved file as an independent reader sees them, blank ones left out."""
    sheet = load_workbook(path)["Kitchen wall"]
    headings = [cell.value for cell in sheet[3]]
    found = []
    for cells in sheet.iter_rows(min_row=4, values_only=True):
        row = {heading: value for heading, value in zip(headings, cells, strict=True) if value is not None}
        if row:
            found.append(
                {name: value.date() if isinstance(value, datetime.datetime) else value for name, value in row.items()}
            )
    return found


def test_a_plan_goes_into_the_columns_that_are_ours(tmp_path):
    """Day, name and amounts; the household's columns stay blank."""
    path = workbook(tmp_path / "k.xlsx", [])
    rows, receipt = written(
        path, tables(line(FRIDAY, "juice", 7, Loads=1), line(SUNDAY, "salsa", 3.25, 7, Change="new"))
    )
    assert rows == [
        {"Day": FRIDAY, "Days": 1, "Preserve": "juice", "Make": 7, "Unit": "jar", "Loads": 1},
        {"Day": SUNDAY, "Days": 7, "Preserve": "salsa", "Make": 3.25, "Unit": "jar", "Change": "new"},
    ]
    assert receipt.backup is not None
    assert load_workbook(path)["Ours"]["A1"].value == "the hens lay well"


def test_what_the_household_wrote_follows_its_line_and_not_its_row(tmp_path):
    """A line of Friday is put before it, so juice moves down by one with its Keep at, Note and the column to the right."""
    old = [
        line(FRIDAY, "juice", 7, **{"Keep at": 7}, Note="the big kettle", Who="Aunt"),
        line(SATURDAY, "salsa", 4, Made=3),
    ]
    path = workbook(tmp_path / "k.xlsx", old, [*PLAN, "Who"])
    rows, _ = written(path, tables(line(FRIDAY, "corn", 9), line(FRIDAY, "juice", 7), line(SATURDAY, "salsa", 5)))
    assert [(row["Preserve"], row["Make"]) for row in rows] == [("corn", 9), ("juice", 7), ("salsa", 5)]
    assert rows[0].keys().isdisjoint({"Keep at", "Made", "Note", "Who"})
    assert (rows[1]["Keep at"], rows[1]["Note"], rows[1]["Who"]) == (7, "the big kettle", "Aunt")
    assert rows[2]["Made"] == 3


def test_names_join_whatever_their_capitals_and_spaces(tmp_path):
    """Typed below by hand, with another capital and a date written as text."""
    old = [{"Day": "2026-08-14", "Preserve": "Tomato  juice", "Keep at": 7}]
    path = workbook(tmp_path / "k.xlsx", old)
    rows, _ = written(path, tables(line(FRIDAY, "corn", 9), line(FRIDAY, "tomato juice", 7)))
    assert rows[1] == {"Day": FRIDAY, "Days": 1, "Preserve": "tomato juice", "Make": 7, "Unit": "jar", "Keep at": 7}


def test_a_fix_for_a_week_does_not_become_a_fix_for_its_first_day(tmp_path):
    """A line is the same by its length too when Keep at is filled; a note alone follows the first day."""
    old = [line(FRIDAY, "juice", 14, 7, **{"Keep at": 14}), line(FRIDAY, "salsa", 6, 7, Note="hot")]
    path = workbook(tmp_path / "k.xlsx", old)
    kept = line(FRIDAY, "juice", None, 7, Uses="kept in the days of this week")
    rows, _ = written(path, tables(line(FRIDAY, "juice", 7), line(FRIDAY, "salsa", 6), kept))
    found = {(row["Preserve"], row["Days"]): row for row in rows}
    assert found["juice", 7]["Keep at"] == 14
    assert "Keep at" not in found["juice", 1]
    assert found["salsa", 1]["Note"] == "hot"


def test_a_row_that_is_no_longer_planned_stays_for_what_is_written_beside_it(tmp_path):
    """Only in a column of the household's own, of which the plan itself knows nothing; a row without is gone."""
    old = [line(FRIDAY, "juice", 7, Who="Aunt", Loads=1), line(SATURDAY, "salsa", 4)]
    path = workbook(tmp_path / "k.xlsx", old, [*PLAN, "Who"])
    rows, _ = written(path, tables(line(SATURDAY, "corn", 9)))
    assert rows == [
        {"Day": FRIDAY, "Days": 1, "Preserve": "juice", "Make": 0, "Unit": "jar", "Change": "gone", "Who": "Aunt"},
        {"Day": SATURDAY, "Days": 1, "Preserve": "corn", "Make": 9, "Unit": "jar"},
    ]


def test_a_row_of_the_past_stays_as_it_is(tmp_path):
    """Last Friday's juice with a note keeps its Make."""
    last = FRIDAY - datetime.timedelta(days=7)
    path = workbook(tmp_path / "k.xlsx", [line(last, "juice", 7, Note="sour")])
    rows, _ = written(path, tables(line(FRIDAY, "corn", 9)))
    assert rows[0] == {"Day": last, "Days": 1, "Preserve": "juice", "Make": 7, "Unit": "jar", "Note": "sour"}


def test_a_stray_note_without_a_line_stays_at_the_end(tmp_path):
    """It belongs to no line, so it is put beside none."""
    path = workbook(tmp_path / "k.xlsx", [line(FRIDAY, "juice", 7), {"Note": "buy salt"}])
    rows, _ = written(path, tables(line(FRIDAY, "corn", 9), line(FRIDAY, "juice", 7), line(SUNDAY, "jam", 4, 7)))
    assert rows[-1] == {"Note": "buy salt"}
    assert len(rows) == 4


def test_a_second_row_of_the_same_line_keeps_what_it_says(tmp_path):
    """The first row goes with the line; the other stays beside it, so that nothing typed is lost."""
    old = [line(FRIDAY, "juice", 7, **{"Keep at": 7}), {"Day": FRIDAY, "Preserve": "juice", "Keep at": 9}]
    path = workbook(tmp_path / "k.xlsx", old)
    rows, _ = written(path, tables(line(FRIDAY, "juice", 7)))
    assert [row.get("Keep at") for row in rows] == [7, 9]


def test_a_calculated_column_stays_as_it_is_and_grows(tmp_path):
    """A formula in every row is the household's column, whatever line stands beside it."""
    path = workbook(tmp_path / "k.xlsx", [line(FRIDAY, "juice", 7)], [*PLAN, "Twice"], spare=0, calculated=["Twice"])
    written(path, tables(line(FRIDAY, "corn", 9), line(FRIDAY, "juice", 7)))
    sheet = load_workbook(path)["Kitchen wall"]
    assert [sheet.cell(row, 14).value for row in (4, 5)] == ["=1+1", "=1+1"]
    assert sheet.tables["Plan"].ref == "A3:N5"


def test_a_formula_beside_a_line_that_moves_is_a_problem_before_anything_is_written(tmp_path):
    """It would mean something else in another row."""
    old = [line(FRIDAY, "juice", 7, Made="=3+4"), line(SATURDAY, "salsa", 4)]
    path = workbook(tmp_path / "k.xlsx", old)
    before = path.read_bytes()
    with pytest.raises(WorkbookRefused) as refusal:
        written(path, tables(line(FRIDAY, "corn", 9), line(FRIDAY, "juice", 7)))
    said = (
        "Kitchen wall!K4: This cell is next to a plan line that moves, and a formula cannot move with it. "
        "Type its result as a number, or fill the formula down the whole column."
    )
    assert [problem_line(problem) for problem in refusal.value.problems] == [said]
    assert path.read_bytes() == before


def test_a_formula_beside_a_line_that_stays_is_left_alone(tmp_path):
    """Juice is still the first line."""
    path = workbook(tmp_path / "k.xlsx", [line(FRIDAY, "juice", 7, Made="=3+4"), line(SATURDAY, "salsa", 4)])
    written(path, tables(line(FRIDAY, "juice", 8), line(SATURDAY, "corn", 4), line(SATURDAY, "salsa", 4)))
    sheet = load_workbook(path)["Kitchen wall"]
    assert sheet["K4"].value == "=3+4"
    assert sheet["D4"].value == 8


def test_a_fix_in_kilograms_keeps_its_unit_and_the_line_says_its_make_in_it(tmp_path):
    """Typed `freeze whole: tomato` 5 kg beside a crop in pounds: 11.0231 lb is 5 kg."""
    old = [{"Day": FRIDAY, "Preserve": "freeze whole: tomato", "Unit": "kg", "Keep at": 5}]
    path = workbook(tmp_path / "k.xlsx", old)
    rows, _ = written(path, tables(line(FRIDAY, "freeze whole: tomato", 5 / 0.45359237, Unit="lb")))
    assert (rows[0]["Make"], rows[0]["Unit"], rows[0]["Keep at"]) == (5, "kg", 5)


def test_a_fix_in_bushels_beside_a_line_in_pounds_is_asked_about(tmp_path):
    """One cannot be turned into the other without the crop."""
    path = workbook(tmp_path / "k.xlsx", [{"Day": FRIDAY, "Preserve": "thaw: tomato", "Unit": "bu", "Keep at": 1}])
    with pytest.raises(WorkbookRefused, match="line in another unit: bushel, lb"):
        written(path, tables(line(FRIDAY, "thaw: tomato", 50, Unit="lb")))


def test_text_that_looks_like_a_formula_is_text(tmp_path):
    """A note that moves, and a preserve's name."""
    path = workbook(tmp_path / "k.xlsx", [line(FRIDAY, "juice", 7)])
    written(path, tables(line(FRIDAY, "=1+1", 9), line(FRIDAY, "juice", 7)))
    cell = load_workbook(path)["Kitchen wall"]["C4"]
    assert (cell.value, cell.data_type) == ("=1+1", "s")


# ---------------------------------------------------------------- missing tables


def test_missing_output_tables_are_added_on_sheets_after_theirs(tmp_path):
    """Plan is there; Messages, Coverage, Space, Crop use and Shopping are not."""
    path = workbook(tmp_path / "k.xlsx", [])
    coverage = [{"Target": "juice", "Wanted": 10, "Covered": 0.7, "Unit": "quart"}]
    written(path, tables(line(FRIDAY, "juice", 7), Coverage=coverage))
    book = load_workbook(path)
    assert book.sheetnames[:2] == ["Ours", "Kitchen wall"]
    found = {name for sheet in book for name in sheet.tables}
    assert found == {"stillroom_notes", *(one.name.replace(" ", "_") for one in output_tables() if not one.later)}
    sheet = book["Coverage"]
    assert [cell.value for cell in sheet[5]][:5] == ["Target", "Wanted", "On the shelf", "Planned", "Covered"]
    assert [cell.value for cell in sheet[6]][:5] == ["juice", 10, None, None, 0.7]
    assert sheet["E6"].number_format == "0%"


def test_the_parts_that_are_not_ours_keep_their_bytes(tmp_path):
    """The household's own sheet, its theme: compared member by member."""
    path = workbook(tmp_path / "k.xlsx", [line(FRIDAY, "juice", 7)])
    before = {name: zipfile.ZipFile(path).read(name) for name in zipfile.ZipFile(path).namelist()}
    written(path, tables(line(FRIDAY, "corn", 9)))
    after = zipfile.ZipFile(path)
    for name in ("xl/worksheets/sheet1.xml", "xl/theme/theme1.xml"):
        assert after.read(name) == before[name]


def test_a_table_that_only_has_our_name_is_refused(tmp_path):
    """The household's own Shopping list is not the planner's to write in."""
    path = workbook(tmp_path / "k.xlsx", [{"Item": "soap"}], ["Item", "Shop", "Aisle"], name="Shopping")
    with pytest.raises(WorkbookRefused, match="not a plan table: Shopping"):
        written(path, tables())


def test_a_plan_table_without_its_days_is_refused(tmp_path):
    """A line could not be known again."""
    path = workbook(tmp_path / "k.xlsx", [], [heading for heading in PLAN if heading != "Days"])
    with pytest.raises(WorkbookRefused, match="column missing: Days"):
        written(path, tables(line(FRIDAY, "juice", 7)))


def test_a_column_of_ours_that_was_taken_out_is_not_put_back(tmp_path):
    """The household has no use for Stove h."""
    path = workbook(tmp_path / "k.xlsx", [], [heading for heading in PLAN if heading != "Stove h"])
    rows, _ = written(path, tables(line(FRIDAY, "juice", 7, **{"Stove h": 2.5})))
    assert rows == [{"Day": FRIDAY, "Days": 1, "Preserve": "juice", "Make": 7, "Unit": "jar"}]
    assert write.is_unchanged(Book.open(path), MARK)


def test_a_table_whose_definition_is_gone_is_found_by_its_headings(tmp_path):
    """Some programs drop it."""
    path = tmp_path / "k.xlsx"
    workbook(path, [line(FRIDAY, "juice", 7, Note="sour")])
    book = load_workbook(path)
    del book["Kitchen wall"].tables["Plan"]
    book.save(path)
    rows, _ = written(path, tables(line(FRIDAY, "corn", 9), line(FRIDAY, "juice", 7)))
    assert [(row["Preserve"], row.get("Note")) for row in rows] == [("corn", None), ("juice", "sour")]


def test_two_places_with_the_headings_are_a_question(tmp_path):
    """The planner does not guess."""
    path = tmp_path / "k.xlsx"
    workbook(path, [])
    book = load_workbook(path)
    del book["Kitchen wall"].tables["Plan"]
    book["Ours"].append([])
    book["Ours"].append(PLAN)
    book.save(path)
    with pytest.raises(WorkbookRefused, match="headings twice: Plan"):
        written(path, tables())


# ---------------------------------------------------------------- the mark


def test_the_same_plan_written_twice_changes_no_byte(tmp_path):
    """And the mark is recognised, for these inputs only."""
    path = workbook(tmp_path / "k.xlsx", [line(FRIDAY, "juice", 7, Note="sour")])
    new = tables(
        line(FRIDAY, "corn", 1 / 3, 7), line(SATURDAY, "juice", 7), Messages=[{"Severity": "note", "What": "x"}]
    )
    written(path, new)
    before = hashlib.sha256(path.read_bytes()).hexdigest()
    _, receipt = written(path, new)
    assert not receipt.written
    assert hashlib.sha256(path.read_bytes()).hexdigest() == before
    assert write.is_unchanged(Book.open(path), MARK)
    assert not write.is_unchanged(Book.open(path), "cd" * 32)


def test_two_copies_of_one_workbook_get_the_same_bytes(tmp_path):
    """Nothing of clock or chance goes into the file."""
    one = workbook(tmp_path / "one.xlsx", [line(FRIDAY, "juice", 7)])
    other = Path(tmp_path / "other.xlsx")
    other.write_bytes(one.read_bytes())
    for path in (one, other):
        written(path, tables(line(FRIDAY, "corn", 9), line(SATURDAY, "juice", 7)))
    assert one.read_bytes() == other.read_bytes()


@pytest.mark.parametrize("cell", ["D4", "C5"])
def test_a_plan_that_was_touched_is_not_the_one_that_was_written(tmp_path, cell):
    """The household emptied a cell of ours: planning again must put it back."""
    path = workbook(tmp_path / "k.xlsx", [])
    written(path, tables(line(FRIDAY, "corn", 9), line(SATURDAY, "juice", 7)))
    book = load_workbook(path)
    book["Kitchen wall"][cell] = None
    book.save(path)
    assert not write.is_unchanged(Book.open(path), MARK)


def test_sorting_the_plan_or_writing_beside_it_leaves_the_mark_alone(tmp_path):
    """The order of rows is the household's; a note is no input."""
    path = workbook(tmp_path / "k.xlsx", [])
    written(path, tables(line(FRIDAY, "corn", 9), line(SATURDAY, "juice", 7)))
    book = load_workbook(path)
    sheet = book["Kitchen wall"]
    for column in range(1, 14):
        sheet.cell(4, column).value, sheet.cell(5, column).value = (
            sheet.cell(5, column).value,
            sheet.cell(4, column).value,
        )
    sheet["L4"] = "nice"
    book.save(path)
    assert write.is_unchanged(Book.open(path), MARK)


def test_a_workbook_without_a_mark_or_a_table_is_not_planned(tmp_path):
    """Never planned, or its Shopping sheet was thrown away."""
    path = workbook(tmp_path / "k.xlsx", [])
    assert not write.is_unchanged(Book.open(path), MARK)
    written(path, tables(line(FRIDAY, "corn", 9)))
    book = load_workbook(path)
    del book["Shopping"]
    book.save(path)
    assert not write.is_unchanged(Book.open(path), MARK)


def test_the_tables_can_be_read_back_as_they_were_written(tmp_path):
    """What is shown of a plan that stands already comes from the sheet."""
    path = workbook(tmp_path / "k.xlsx", [line(FRIDAY, "corn", 1, Note="sweet")])
    messages = [{"Severity": "look", "Where": "A1", "What": "x", "What to do": None}]
    written(path, tables(line(FRIDAY, "corn", 9), Messages=messages))
    found = write.standing_tables(Book.open(path))
    assert (found["Plan"][0]["Preserve"], found["Plan"][0]["Make"], found["Plan"][0]["Note"]) == ("corn", 9, "sweet")
    assert found["Plan"][0]["Day"] == FRIDAY
    assert found["Messages"] == messages


def test_the_planners_notes_stand_on_a_sheet_that_is_not_seen_and_not_among_the_messages(tmp_path):
    path = workbook(tmp_path / "k.xlsx", [])
    book = Book.open(path)
    write.write(book, tables(line(FRIDAY, "corn", 9)), FRIDAY, MARK, {"inputs": "12 lots", "written": "1", "cases": ""})
    book.save()
    assert load_workbook(path)["stillroom notes"].sheet_state == "veryHidden"
    found = notes_in(Book.open(path))
    assert (found["inputs"], written_in(found), "cases" in found) == ("12 lots", 1, False)
    assert mark_in(found)[0] == MARK[:16]
    assert write.standing_tables(Book.open(path))["Messages"] == []
    book = Book.open(path)
    write_notes(book, {"mark": found["mark"], "written": "2"})
    book.save()
    assert notes_in(Book.open(path)) == {"mark": found["mark"], "written": "2"}


@pytest.mark.libreoffice
@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
@pytest.mark.filterwarnings("ignore:Print area cannot be set")  # whole columns, as LibreOffice writes them
def test_the_notes_and_the_mark_come_through_libreoffice(tmp_path):
    """The sheet stays hidden, and the plan is still known for the one that was written."""
    path = workbook(tmp_path / "k.xlsx", [])
    book = Book.open(path)
    write.write(book, tables(line(FRIDAY, "corn", 9)), FRIDAY, MARK, {"inputs": "12 lots", "written": "1"})
    book.save()
    home = f"-env:UserInstallation=file://{tmp_path / 'profile'}"
    words = ("--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(tmp_path / "back"), str(path))
    subprocess.run(["soffice", home, "--headless", *words], check=True, capture_output=True, timeout=120)
    back = tmp_path / "back" / "k.xlsx"
    assert load_workbook(back)["stillroom notes"].sheet_state != "visible"
    assert notes_in(Book.open(back)) == notes_in(Book.open(path))
    assert write.is_unchanged(Book.open(back), MARK)
