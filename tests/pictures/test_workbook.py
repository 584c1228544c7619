"""The pictures in the workbook's own sheets: the strip beside the Timetable and the chart of the season."""

import csv
import datetime
import io
import shutil
import subprocess

import openpyxl
import pytest
from openpyxl.formula.translate import Translator
from openpyxl.utils import get_column_letter, range_boundaries

from stillroom.household.records import METHODS
from stillroom.reports.charts.canvas import BY_METHOD, ELSE
from stillroom.workbook.starter.charts import WENT
from stillroom.workbook.starter.first_rows import starting_contents
from stillroom.workbook.starter.highlighting import FIRST_HOUR, LAST_HOUR
from stillroom.workbook.starter.start import build

STEPS = (
    (datetime.time(8, 0), datetime.time(9, 10), "wash and prepare", "A"),
    (datetime.time(9, 10), datetime.time(9, 30), "bring to a full boil", None),
    (datetime.time(9, 30), datetime.time(10, 0), "turn off the heat; wait", None),
    (datetime.time(14, 45), datetime.time(8, 45), "dry 18 h, until Sun Aug 16 8:45 AM", None),
    (datetime.time(20, 0), datetime.time(22, 0), "ferment 2 weeks, until Sat Aug 29 10:00 PM", None),
    (datetime.time(8, 0), datetime.time(8, 0), "check the seals", None),
    (datetime.time(23, 30), datetime.time(0, 15), "take out", "B"),
)
EXPECTED = (
    ("hands", 8.0, 9.5),
    ("an ear", 9.0, 9.5),
    ("nobody", 9.5, 10.0),
    ("nobody", 14.5, 24.0),
    ("nobody", 20.0, 24.0),
    ("", 0.0, 0.0),
    ("hands", 23.5, 24.0),
)
"""Whom each step needs, and the half hours that it touches."""


@pytest.fixture(scope="module")
def built():
    """A starting workbook."""
    return openpyxl.load_workbook(io.BytesIO(build(starting_contents(altitude="0 ft"))))


def rules_of(sheet):
    """The area of the strip and its conditions, the first that holds first."""
    (area,) = [one for one in sheet.conditional_formatting if len(one.rules) == 3]
    return str(area.sqref), [rule.formula[0] for rule in sorted(area.rules, key=lambda rule: rule.priority)]


def test_the_strip_stands_beside_the_timetable_and_has_no_formula_in_a_cell(built):
    """So nothing is to be worked out anew after a plan, and nothing of it is in the table."""
    sheet = built["Days"]
    table = sheet.tables["Timetable"].ref
    area, conditions = rules_of(sheet)
    assert range_boundaries(area)[0] == range_boundaries(table)[2] + 2
    assert range_boundaries(area)[1] == range_boundaries(table)[1] + 1
    assert range_boundaries(area)[3] >= 400
    assert range_boundaries(area)[2] - range_boundaries(area)[0] + 1 == 2 * (LAST_HOUR - FIRST_HOUR)
    assert len(conditions) == 3
    assert not any(str(cell.value).startswith("=") for row in sheet.iter_rows() for cell in row if cell.value)


@pytest.mark.libreoffice
@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
def test_the_strip_is_colored_where_a_step_takes_the_half_hour(built, tmp_path):
    """The conditions, worked out by LibreOffice in a cell of their own each."""
    sheet = built["Days"]
    area, conditions = rules_of(sheet)
    first, top, last, _ = range_boundaries(area)
    corner = f"{get_column_letter(first)}{top}"
    made = openpyxl.Workbook()
    page = made.active
    for number, (start, end, words, hands) in enumerate(STEPS):
        row = top + number
        page.cell(row, 1, datetime.date(2026, 8, 15))
        for column, value in ((2, start), (3, end), (4, words), (7, hands)):
            page.cell(row, column, value)
        for column in range(first, last + 1):
            here = f"{get_column_letter(column)}{row}"
            hands_there, alone, ear = (
                Translator(f"={one}", corner).translate_formula(here).removeprefix("=") for one in conditions
            )
            page[here] = f'=IF({hands_there},"hands",IF({alone},"nobody",IF({ear},"an ear","-")))'
    made.save(tmp_path / "strip.xlsx")
    command = ["soffice", "--headless", f"-env:UserInstallation=file://{tmp_path}/profile", "--convert-to", "csv"]
    subprocess.run([*command, "--outdir", str(tmp_path), str(tmp_path / "strip.xlsx")], check=True, capture_output=True)
    rows = list(csv.reader((tmp_path / "strip.csv").read_text(encoding="utf-8").splitlines()))[top - 1 :]
    for row, (targets, begins, ends), step in zip(rows, EXPECTED, STEPS, strict=False):
        cells = row[first - 1 : last]
        hours = [FIRST_HOUR + place / 2 for place in range(len(cells))]
        assert cells == [targets if begins <= hour < ends else "-" for hour in hours], step


def test_the_season_is_drawn_from_its_table_with_a_pattern_for_each_part(built):
    """Every part of the picture of the season, in its color, read from the column of its name."""
    sheet = built["Season"]
    (chart,) = sheet._charts
    headings = []
    for series, (heading, color, pattern, _) in zip(chart.series, WENT, strict=True):
        cell = series.tx.strRef.f.split("!")[1].replace("$", "")
        headings.append(sheet[cell].value)
        assert sheet[cell].value == heading
        look = series.graphicalProperties
        assert (look.pattFill is not None) == bool(pattern)
        shown = BY_METHOD | {name.lower(): tone for name, tone in ELSE.items()}
        assert shown[heading.lower()].fill == f"#{color}", heading
        assert bool(shown[heading.lower()].pattern) == bool(pattern), heading
    assert [name.lower() for name in headings[: len(METHODS)]] == list(METHODS)


def test_what_outgrows_its_rows_is_printed_whole(built):
    """No print area ends in the middle of the days, of the record or of what is to be bought."""
    for name in ("Days", "Record", "Shopping"):
        assert not built[name].print_area, name
    assert built["Coverage"].print_area
