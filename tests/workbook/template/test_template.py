"""The starting workbooks: what stands where, how it looks, that it can be read, checked and planned."""

from __future__ import annotations

import datetime
import io
import re
import shutil
import subprocess
import zipfile
from dataclasses import replace
from functools import cache, lru_cache
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils import range_boundaries

from stillroom.errors import CommandWrong, CouldNotWrite
from stillroom.handbook import settle
from stillroom.household.journal import stocks
from stillroom.reports.problems import line as problem_line
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader import household as read
from stillroom.workbook.schema import tables
from stillroom.workbook.starter import catalogue, examples, start
from stillroom.workbook.starter.first_rows import EQUIPMENT, Filling, starting_contents
from stillroom.workbook.starter.layout import Contents

ROOT = Path(__file__).resolve().parents[3]
DAY = datetime.date(2026, 8, 14)
ORDER = [
    "Start", "Kitchen", "Equipment", "Harvest", "On hand", "Preserves", "Winter list", "Plan", "Messages", "Days", "Coverage", "Shopping", "Record", "Season", "Cautions",
]  # fmt: skip


@cache
def fresh(name: str) -> bytes:
    """A starting workbook with nothing given, built once."""
    return start.build(starting_contents(metric=name == "metric"), metric=name == "metric")


@pytest.fixture(scope="module", params=["us", "metric"])
def built(request: pytest.FixtureRequest) -> bytes:
    """Each starting workbook, with nothing given."""
    return fresh(request.param)


@lru_cache(maxsize=2)
def opened(content: bytes) -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(content))


def problems_of(content: bytes, folder: Path) -> list:
    path = folder / "new.xlsx"
    path.write_bytes(content)
    household, problems = read.household(Book.open(path), DAY)
    household, more = stocks.settle(household)
    _, refused = settle.settle(household)
    return [*problems, *more, *refused]


def test_the_sheets_stand_in_their_order(built):
    assert opened(built).sheetnames == ORDER


def test_every_table_of_the_description_is_there_with_its_headings(built):
    workbook = opened(built)
    found = {table.name: (sheet, table) for sheet in workbook for table in sheet.tables.values()}
    for name, described in tables().items():
        if described.optional or described.later:
            assert name.replace(" ", "_") not in found
            continue
        sheet, table = found[name.replace(" ", "_")]
        assert sheet.title == described.sheet
        first, row, last, _ = range_boundaries(table.ref)
        headings = [sheet.cell(row, column).value for column in range(first, last + 1)]
        assert headings[: len(described.headings)] == list(described.headings)
        assert headings == [column.name for column in table.tableColumns]


def test_output_tables_are_as_long_as_the_description_says_and_blank(built):
    workbook = opened(built)
    for name, described in tables().items():
        if described.role != "output" or described.later:
            continue
        sheet = workbook[described.sheet]
        first, row, last, end = range_boundaries(sheet.tables[name.replace(" ", "_")].ref)
        assert end - row == described.rows
        body = sheet.iter_rows(row + 1, end, first, last, values_only=True)
        assert all(value is None for line in body for value in line)


def test_the_same_contents_give_the_same_bytes():
    assert start.build(starting_contents()) == fresh("us")


@pytest.mark.parametrize("name", ["starting_us.xlsx", "starting_metric.xlsx"])
def test_the_shipped_workbooks_are_a_fresh_build(name):
    shipped = (ROOT / "workbook_templates" / name).read_bytes()
    assert members(shipped) == members(fresh(re.sub("starting_|.xlsx", "", name))), (
        "run python workbook_templates/build.py"
    )


def members(content: bytes) -> list[tuple[str, tuple[int, ...], bytes]]:
    """Every member with its date and bytes, whatever library packed it."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return [(entry.filename, entry.date_time, archive.read(entry)) for entry in archive.infolist()]


def test_only_the_altitude_and_the_gauge_are_missing_from_a_new_workbook(built, tmp_path):
    stops = [problem for problem in problems_of(built, tmp_path) if problem.is_error]
    assert [(problem.kind, problem.where) for problem in stops] == [
        ("altitude missing", "Kitchen!B6"),
        ("gauge missing", "Kitchen!B7"),
    ]


@pytest.mark.parametrize(
    ("is_metric", "height"), [(False, "1450ft"), (True, "440 m"), (False, "440 m"), (True, "1450ft")]
)
def test_with_an_altitude_and_a_gauge_nothing_stops(is_metric, height, tmp_path):
    path = tmp_path / "new.xlsx"
    start.start(path, Filling(metric=is_metric, people=3, altitude=height, gauge="weighted"))
    assert [problem_line(problem) for problem in problems_of(path.read_bytes(), tmp_path) if problem.is_error] == []


def test_with_a_gauge_what_is_pressure_canned_may_be_made_too(tmp_path):
    content = start.build(starting_contents(altitude="1450 ft", gauge="dial"))
    assert [problem_line(problem) for problem in problems_of(content, tmp_path) if problem.is_error] == []


def test_without_a_gauge_nothing_pressure_canned_is_planned_and_with_one_typed_later_it_is(tmp_path):
    """What was wanted stays at yes: the gauge alone is missing."""
    path = tmp_path / "new.xlsx"
    path.write_bytes(start.build(starting_contents(altitude="1450 ft")))
    household, _ = read.household(Book.open(path), DAY)
    household, _ = stocks.settle(household)
    found = {}
    for gauge in (None, "dial"):
        settled, problems = settle.settle(household.with_kitchen(gauge=gauge))
        errors = {problem.kind for problem in problems if problem.is_error}
        found[gauge] = [item.method for item in settled.planned()].count("pressure canned"), errors
    assert found[None] == (0, {"gauge missing"})
    assert found["dial"][0] > 5
    assert found["dial"][1] == set()


def test_it_can_be_planned_once_a_harvest_is_typed(tmp_path):
    from stillroom.planning.solve import plan

    contents = starting_contents(altitude="300 ft")
    harvest = [
        {"Picked on": DAY, "Crop": "tomato", "Amount": 60, "Unit": "lb"},
        {"Picked on": DAY, "Crop": "apples", "Amount": "1 bu"},
    ]
    path = tmp_path / "typed.xlsx"
    path.write_bytes(start.build(replace(contents, rows={**contents.rows, "Harvest": harvest})))
    household, _ = read.household(Book.open(path), DAY)
    household, _ = settle.settle(stocks.settle(household)[0])
    made = plan(household)
    assert any("tomato" in name for (name, _), amount in made.make.items() if amount >= 1)
    assert any("apple" in name for (name, _), amount in made.make.items() if amount >= 1)


def test_wanted_is_a_formula_with_the_value_for_the_people_given():
    """5 people x 0.5 servings x 35 weeks / 4 servings a quart = 21.9, so 22 quarts of juice."""
    content = start.build(starting_contents(people=5))
    workbook_formulas = opened(content)
    values = openpyxl.load_workbook(io.BytesIO(content), data_only=True)
    assert str(workbook_formulas["Winter list"]["B6"].value).startswith("=ROUNDUP(INDEX(Kitchen[Value],")
    assert values["Winter list"]["A6"].value == "tomato juice"
    assert values["Winter list"]["B6"].value == 22


def test_no_formula_is_left_without_a_saved_value(built):
    with zipfile.ZipFile(io.BytesIO(built)) as archive:
        sheets = [archive.read(name).decode() for name in archive.namelist() if name.startswith("xl/worksheets/sheet")]
    cells = [cell for xml in sheets for cell in xml.split("</c>") if "<f>" in cell.rpartition("<c ")[2]]
    assert len(cells) >= 25
    assert all(re.search(r"<v>[^<]+</v>$", cell) for cell in cells)


@pytest.fixture(scope="module")
def saved_again(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of both starting workbooks as LibreOffice, started once, saves them."""
    folder, out = tmp_path_factory.mktemp("new"), tmp_path_factory.mktemp("saved")
    paths = [folder / "us.xlsx", folder / "metric.xlsx"]
    for path in paths:
        path.write_bytes(fresh(path.stem))
    home = f"-env:UserInstallation=file://{folder / 'profile'}"
    command = ["soffice", home, "--headless", "--convert-to", "xlsx", "--outdir", str(out), *map(str, paths)]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return out


@pytest.mark.filterwarnings("ignore:Print area cannot be set")  # whole columns, as LibreOffice writes them
@pytest.mark.libreoffice
@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
@pytest.mark.parametrize("name", ["us", "metric"])
def test_libreoffice_works_out_the_same_values(name, saved_again):
    again = openpyxl.load_workbook(saved_again / f"{name}.xlsx", data_only=True)
    ours, formulas = openpyxl.load_workbook(io.BytesIO(fresh(name)), data_only=True), opened(fresh(name))
    compared = 0
    for sheet in formulas:
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.value.startswith("="):
                    where = (sheet.title, cell.coordinate)
                    assert again[sheet.title][cell.coordinate].value == ours[sheet.title][cell.coordinate].value, where
                    compared += 1
    assert compared >= 25


def test_drop_downs_are_fed_by_the_tables_themselves(built):
    workbook = opened(built)
    bodies = {}
    for sheet in workbook:
        for table in sheet.tables.values():
            first, row, last, end = range_boundaries(table.ref)
            for column in range(first, last + 1):
                letter = openpyxl.utils.get_column_letter(column)
                bodies[f"'{sheet.title}'!${letter}${row + 1}:${letter}${end}"] = (
                    table.name,
                    sheet.cell(row, column).value,
                )
    surplus = {
        bodies[rule.formula1]
        for sheet in workbook
        for rule in sheet.data_validations.dataValidation
        if rule.type == "list" and rule.formula1.startswith("'")
    }
    assert surplus >= {
        ("Crops", "Crop"), ("Containers", "Container"), ("Lids", "Lid"), ("Preserves", "Preserve"), ("Winter_list", "Target"),
        ("Equipment", "Equipment"),
    }  # fmt: skip


def test_every_sheet_with_tables_has_frozen_headings_print_titles_and_fits_its_pages(built):
    for sheet in opened(built):
        if sheet.title == "Start":
            continue
        assert sheet.freeze_panes == {"Kitchen": "B2", "Cautions": "A5"}.get(sheet.title, "B6")
        assert sheet.print_title_rows
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert sheet.page_setup.fitToHeight == (1 if sheet.title == "Kitchen" else 0)


def test_cells_of_the_planner_are_locked_those_of_the_household_are_not_and_no_sheet_is_protected(built):
    workbook = opened(built)
    assert not any(sheet.protection.sheet for sheet in workbook)
    plan = workbook["Plan"]
    headings = {plan.cell(5, column).value: column for column in range(1, 14)}
    for heading, column in headings.items():
        cell = plan.cell(6, column)
        assert cell.protection.locked == (heading not in {"Keep at", "Made", "Note"})
        assert cell.style == ("stillroom input" if heading in {"Keep at", "Made", "Note"} else "stillroom output")
    assert workbook["Harvest"]["C6"].style == "stillroom input"
    assert workbook["Winter list"]["K6"].style == "stillroom working"
    assert workbook["Harvest"]["A5"].style == "stillroom heading"


def test_a_need_without_a_preserve_and_a_lot_without_a_crop_are_counted_on_the_first_sheet_and_turn_red():
    contents = starting_contents(altitude="0 ft")
    rows = {
        **contents.rows,
        "Winter list": [*contents.rows["Winter list"], {"Target": "honey", "Wanted": 3}],
        "Harvest": [{"Picked on": DAY, "Crop": "quince", "Amount": 4}],
    }
    content = start.build(replace(contents, rows=rows))
    values = openpyxl.load_workbook(io.BytesIO(content), data_only=True)["Start"]
    counted = {values.cell(row, 3).value: values.cell(row, 2).value for row in range(21, 26)}
    assert counted == {
        "Altitude is missing": 0,
        "Targets without a preserve": 1,
        "Harvest rows with a crop missing from Crops": 1,
        "Preserves without ingredients": 0,
        "Preserves with a container missing from Containers": 0,
    }
    workbook = opened(content)
    assert any("COUNTIF('Winter list'" in formula for formula in red_rules(workbook["Winter list"], "A6"))
    assert any("COUNTIF('Harvest'" in formula for formula in red_rules(workbook["Harvest"], "B6"))


def red_rules(sheet, cell: str) -> list[str]:
    ranges = sheet.conditional_formatting
    return [rule.formula[0] for one in ranges if cell in one.sqref for rule in one.rules]


def test_the_two_charts_read_the_tables_the_planner_fills():
    workbook = opened(fresh("us"))
    series = [one.val.numRef.f for chart in workbook["Coverage"]._charts for one in chart.series]
    assert len(workbook["Coverage"]._charts) == 2
    assert all(reference.startswith("'Coverage'!$") for reference in series)
    heads = {
        workbook["Coverage"][reference.split("!")[1].split(":")[0].replace("$", "")].offset(-1).value
        for reference in series
    }
    assert heads == {"Covered", "Freezer change", "Freezer left"}


def test_no_person_and_no_moment_stands_in_the_file(built):
    with zipfile.ZipFile(io.BytesIO(built)) as archive:
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        core = archive.read("docProps/core.xml").decode()
    assert "<dc:creator>stillroom</dc:creator>" in core
    assert "lastModifiedBy" not in core
    assert core.count("2026-01-01T00:00:00Z") == 2


def test_prices_are_blank_and_stocks_and_hours_are_marked_as_examples(built):
    workbook = opened(built)
    for name in ("Containers", "Lids", "Pantry", "Hours"):
        sheet = workbook[tables()[name].sheet]
        first, row, last, end = range_boundaries(sheet.tables[name].ref)
        headings = [sheet.cell(row, column).value for column in range(first, last + 1)]
        for cells_in_row in sheet.iter_rows(row + 1, end, first, last, values_only=True):
            cells = dict(zip(headings, cells_in_row, strict=True))
            if cells[headings[0]] is not None:
                assert str(cells["Note"]).startswith("example")
                assert cells.get("Price") is None


def test_every_preserve_names_its_source_and_memory_is_marked():
    by_line = {preserve.line: preserve for preserve in catalogue.chosen()}
    for row in catalogue.preserve_rows(EQUIPMENT, metric=False):
        assert row["Source"]
        if by_line[str(row["Handbook line"])].status == "memory":
            assert "not verified" in str(row["Note"])


def test_a_litre_of_juice_takes_what_a_quart_takes_by_volume():
    """23 lb of tomatoes make 7 quarts: 3.286 lb a quart, so 3.286 x 0.45359 / 0.946353 = 1.575 kg a litre, and 2
    tablespoons of 14.787 ml for 0.946353 L are 31.25, so 32 ml."""
    rows = [row for row in catalogue.ingredient_rows(metric=True) if row["Preserve"] == "tomato juice, liter"]
    assert {(row["Item"], row["Amount each"], row["Unit"]) for row in rows} == {
        ("tomato", 1.575, "kg"),
        ("bottled lemon juice", 32, "ml"),
    }


def test_a_half_litre_jar_follows_the_quart_and_what_is_published_in_pints_stays_in_a_pint():
    rows = {row["Preserve"]: row for row in catalogue.preserve_rows(EQUIPMENT, metric=True)}
    assert rows["tomato sauce, half liter"]["Handbook line"] == "tomato sauce, hot pack, quart"
    assert rows["tomato sauce, half liter"]["Container"] == "half-liter jar"
    assert rows["chile salsa, pint"]["Container"] == "pint jar"


def test_metric_acid_is_never_less_than_the_us_acid_by_volume():
    for preserve in catalogue.chosen():
        share = catalogue.swap(preserve).share
        for item in preserve.items:
            if item.unit in catalogue.KITCHEN_ML:
                number, unit = catalogue.amount(item, share)
                assert unit == "ml"
                assert number >= item.amount * share * catalogue.KITCHEN_ML[item.unit] - 1e-6


def test_every_wish_has_a_preserve_that_counts_toward_it():
    for is_metric in (False, True):
        rows = starting_contents(metric=is_metric).rows
        assert {row["Target"] for row in rows["Counts toward"]} == {wish.name for wish in examples.WISHES}


def test_a_file_that_is_there_is_not_written_over(tmp_path):
    path = tmp_path / "ours.xlsx"
    path.write_text("dear")
    with pytest.raises(CouldNotWrite, match="already exists"):
        start.start(path)
    assert path.read_text() == "dear"


def test_a_folder_that_is_not_there_is_said(tmp_path):
    with pytest.raises(CouldNotWrite, match="there is no such folder"):
        start.start(tmp_path / "none" / "new.xlsx")


def test_a_bare_altitude_is_not_taken_for_feet(tmp_path):
    """1,500 m are nearly 5,000 ft: taken for 1,500 ft every jar would be processed too short."""
    path = tmp_path / "new.xlsx"
    with pytest.raises(CommandWrong, match=r"1500 may be feet or meters, .*; write 1500ft or 1500m"):
        start.start(path, Filling(altitude="1500"))
    assert not path.exists()


@pytest.mark.parametrize("text", ["high", "-3 ft", "1450 miles", ""])
def test_an_altitude_that_cannot_be_read_is_refused(text, tmp_path):
    path = tmp_path / "new.xlsx"
    if not text:
        start.start(path, Filling(altitude=text))
        assert opened(path.read_bytes())["Kitchen"]["B6"].value is None
        return
    with pytest.raises(CommandWrong, match="is not an altitude"):
        start.start(path, Filling(altitude=text))
    assert not path.exists()


def test_contents_without_rows_still_make_a_workbook_of_all_sheets():
    assert opened(start.build(Contents({}))).sheetnames == ORDER


def test_every_heading_fits_its_column(built):
    """The longest word of a heading is never cut."""
    for sheet in opened(built):
        for table in sheet.tables.values():
            first, row, last, _ = range_boundaries(table.ref)
            for column in range(first, last + 1):
                heading = str(sheet.cell(row, column).value)
                width = sheet.column_dimensions[openpyxl.utils.get_column_letter(column)].width
                assert width >= max(len(word) for word in heading.split()), (sheet.title, heading)
