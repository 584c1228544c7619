"""How the sheets of a starting workbook print: no blank pages, rows that are drawn as they fill, numbers that read."""

from __future__ import annotations

import datetime
import io
import re
import shutil
import subprocess

import openpyxl
import pypdf
import pytest
from openpyxl.utils import get_column_letter, range_boundaries

from stillroom.workbook import template
from stillroom.workbook.inputs import tables
from stillroom.workbook.mark import mark_row
from stillroom.workbook.starting import look
from stillroom.workbook.starting.first_rows import starting_contents

LAST_ROW = 1_048_576
PICTURED = {"Coverage", "Season_so_far"}


@pytest.fixture(scope="module")
def built() -> bytes:
    """A starting workbook."""
    return template.build(starting_contents(altitude="0 ft"))


@pytest.fixture
def workbook(built):
    return openpyxl.load_workbook(io.BytesIO(built))


def table_of(workbook, name):
    """A table's sheet with its first column, heading row, last column and last row."""
    sheet = workbook[tables()[name].sheet]
    return sheet, *range_boundaries(sheet.tables[name.replace(" ", "_")].ref)


def test_no_cell_of_a_table_is_drawn_by_itself(workbook):
    """A ground or a line on a blank cell would make every program print it."""
    for sheet in workbook:
        for table in sheet.tables.values():
            first, row, last, end = range_boundaries(table.ref)
            for cells in sheet.iter_rows(row + 1, end, first, last):
                for cell in cells:
                    assert cell.fill.patternType is None, (sheet.title, cell.coordinate)
                    sides = (cell.border.left, cell.border.right, cell.border.top, cell.border.bottom)
                    assert not any(side and side.style for side in sides), (sheet.title, cell.coordinate)
                    assert cell.style in {look.INPUT, look.OUTPUT, look.WORKING}


def test_the_rows_in_use_of_every_column_are_drawn_far_below_the_table(workbook):
    for sheet in workbook:
        for table in sheet.tables.values():
            first, row, last, end = range_boundaries(table.ref)
            ground = {}
            for area in sheet.conditional_formatting:
                for rule in area.rules:
                    if rule.formula[0].startswith("COUNTA($") and rule.dxf.fill is not None:
                        ground |= {column: rule for block in area.sqref.ranges for column in columns(block, end)}
            for column in range(first, last + 1):
                assert ground[column].formula[0].endswith(f":${get_column_letter(last)}{row + 1})>0"), table.name
                assert ground[column].stopIfTrue


def columns(block, end):
    """The columns of a block that begins under the headings and is longer than its table."""
    assert (block.min_row, block.max_row > end) == (6, True)
    return range(block.min_col, block.max_col + 1)


def test_whole_columns_are_printed_so_that_rows_added_later_are_too(workbook):
    for sheet in workbook:
        areas = [one.split("!")[1].replace("$", "") for one in sheet.print_area.split(",")] if sheet.print_area else []
        if len(sheet.tables) > 1:
            assert len(areas) == len(sheet.tables), sheet.title
        for area, table in zip(areas, sheet.tables.values(), strict=len(sheet.tables) > 1):
            first, row, last, end = range_boundaries(area)
            tops, _, ends, bottom = range_boundaries(table.ref)
            assert first == tops
            assert row == 1
            if table.name in PICTURED:
                assert last > ends
                assert end >= bottom
            else:
                assert (last, end) == (ends, LAST_ROW)


def test_every_sheet_is_one_page_wide_and_no_table_wider_than_can_be_read(built):
    """250 letters across a landscape page of 10 inches are letters of six points."""
    for content in (built, template.build(starting_contents(metric=True), a4=True)):
        for sheet in openpyxl.load_workbook(io.BytesIO(content)):
            assert sheet.page_setup.fitToWidth in (None, 1), sheet.title
            assert sheet.page_setup.orientation == "landscape"
            for table in sheet.tables.values():
                first, _, last, _ = range_boundaries(table.ref)
                letters = [get_column_letter(column) for column in range(first, last + 1)]
                assert sum(sheet.column_dimensions[letter].width for letter in letters) <= 250, table.name


def test_words_do_not_stand_at_the_very_edge_where_a_number_ends(workbook):
    sheet, first, row, last, _ = table_of(workbook, "Timetable")
    alignments = {sheet.cell(row, column).value: sheet.cell(row + 1, column).alignment for column in range(first, last)}
    assert (alignments["Step"].horizontal, alignments["Step"].indent) == ("left", 1)


def test_the_rows_the_planner_writes_sentences_in_are_two_lines_high(workbook):
    assert workbook["Plan"].row_dimensions[6].height >= 31
    assert workbook["Plan"].row_dimensions[125].height >= 31
    assert workbook["Shopping"].row_dimensions[20].height == 31


@pytest.mark.libreoffice
@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
def test_on_paper_no_page_is_blank_zeros_are_dashes_and_the_planners_memory_is_not_seen(workbook, tmp_path):
    put(workbook, "Crop use", {"Crop": "plums", "Unit": "lb", "Harvested": 7.0, "Eaten fresh": 0.0, "Put up": 6.25})
    put(workbook, "Messages", {"Severity": "look", "Where": "Harvest!C6", "What": "far more than last year"})
    put(workbook, "Messages", mark_row("ab" * 32, "cd" * 32), 1)
    for number in range(60):
        lot = {"Picked on": datetime.date(2026, 8, 1), "Crop": "tomato", "Amount": 40 + number, "Unit": "lb"}
        put(workbook, "Harvest", lot, number)
    pages = printed(workbook, tmp_path)
    headings = {letters_of("".join(table.headings)) for table in tables().values()}
    bare = [words for words in pages if letters_of(re.sub(r"^[A-Z][a-z ]+ \d+ / \d+ ?", "", words)) in {*headings, ""}]
    assert bare == []
    text = "\n".join(pages)
    assert "plums lb 7 – 6.3" in text or "plums lb 7 – 6.2" in text
    assert "far more than last year" in text
    assert "abababab" not in text
    assert "leave this row" not in text
    assert sum(words.count("tomato 99 lb") for words in pages) == 1
    assert 20 < len(pages) < 45


def put(workbook, name, values, place=0):
    """Type a row into a table."""
    sheet, first, row, last, _ = table_of(workbook, name)
    for column in range(first, last + 1):
        if sheet.cell(row, column).value in values:
            sheet.cell(row + 1 + place, column).value = values[sheet.cell(row, column).value]


def letters_of(words):
    """The letters of a text, whatever their order: the headings of a page are read in one of their own."""
    return "".join(sorted(words.replace(" ", "")))


def printed(workbook, folder):
    """The words of every page, as LibreOffice prints them."""
    workbook.save(folder / "book.xlsx")
    home = f"-env:UserInstallation=file://{folder / 'profile'}"
    command = ["soffice", home, "--headless", "--convert-to", "pdf", "--outdir", str(folder), str(folder / "book.xlsx")]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(folder / "book.pdf").pages]
