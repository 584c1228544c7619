"""How the sheets of a starting workbook print: no blank pages, rows that are drawn as they fill, numbers that read."""

from __future__ import annotations

import datetime
import io
import itertools
import math
import re
import shutil
import subprocess
from functools import cache

import openpyxl
import pypdf
import pytest
from openpyxl.utils import get_column_letter, range_boundaries

from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.styles import EDGES, INDENT, LINE_POINTS, text_lines, word_width
from stillroom.workbook.schema import tables
from stillroom.workbook.starter import layout, start
from stillroom.workbook.starter.first_rows import starting_contents
from stillroom.workbook.starter.layout import BOLD, STACKED
from stillroom.workbook.writer import plan as write
from stillroom.workbook.writer.plan import HEADINGS, mark_words, write_notes

LAST_ROW = 1_048_576
PICTURED = {"Coverage", "Season_so_far"}


@pytest.fixture(scope="module")
def built() -> bytes:
    """A starting workbook."""
    return start.build(starting_contents(altitude="0 ft"))


@cache
def kitchen_of(*, metric: bool) -> bytes:
    """A starting workbook with nothing given."""
    return start.build(starting_contents(metric=metric), metric=metric)


@pytest.fixture(scope="module")
def workbook(built):
    """A starting workbook, opened once: no test changes it."""
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
                    assert cell.style in {layout.INPUT, layout.OUTPUT, layout.WORKING}


def test_the_rows_in_use_of_every_column_are_drawn_far_below_the_table(workbook):
    for sheet in workbook:
        for table in sheet.tables.values():
            first, row, last, end = range_boundaries(table.ref)
            ground = {}
            for area in sheet.conditional_formatting:
                for rule in area.rules:
                    if rule.formula[0].startswith("COUNTA($") and rule.dxf.fill is not None:
                        blocks = [block for block in area.sqref.ranges if block.min_row == row + 1]
                        ground |= {column: rule for block in blocks for column in columns(sheet, block, end)}
            for column in range(first, last + 1):
                assert ground[column].formula[0].endswith(f":${get_column_letter(last)}{row + 1})>0"), table.name
                assert ground[column].stopIfTrue


def columns(sheet, block, end):
    """The columns of a block that is longer than its table, unless another table stands below."""
    assert block.max_row == end if below(sheet, end) else block.max_row > end
    return range(block.min_col, block.max_col + 1)


def below(sheet, row):
    """Whether a table begins below a row."""
    return any(range_boundaries(table.ref)[1] > row for table in sheet.tables.values()) and sheet.title in STACKED


def areas(sheet):
    """What a sheet prints, each part on pages of its own; None is the whole sheet."""
    return [one.split("!")[1].replace("$", "") for one in sheet.print_area.split(",")] if sheet.print_area else [None]


def test_whole_columns_are_printed_so_that_rows_added_later_are_too(workbook):
    for sheet in workbook:
        if sheet.title in STACKED:
            widest = max(range_boundaries(table.ref)[2] for table in sheet.tables.values())
            assert areas(sheet) == [f"A1:{get_column_letter(widest)}{LAST_ROW}"]
            continue
        tables_on_paper = dict(zip(areas(sheet), [*sheet.tables.values(), None], strict=False))
        if len(sheet.tables) > 1:
            assert None not in tables_on_paper.values(), sheet.title
        for area, table in tables_on_paper.items():
            if area is None or table is None:
                continue
            first, row, last, end = range_boundaries(area)
            tops, _, ends, bottom = range_boundaries(table.ref)
            assert (first, row) == (tops, 1)
            if table.name in PICTURED:
                assert end >= bottom
            else:
                on_a_page_of_their_own = sum(one.asked for one in tables()[table.name.replace("_", " ")].columns)
                assert (last, end) == (ends - on_a_page_of_their_own, LAST_ROW)


def test_every_picture_is_printed_whole_beside_its_table_or_on_a_page_of_its_own(workbook):
    for name, parts in (("Coverage", 3), ("Season", 2)):
        sheet = workbook[name]
        blocks = [range_boundaries(area) for area in areas(sheet)]
        assert len(blocks) == parts
        for chart in sheet._charts:
            corner = chart.anchor._from
            wide = math.ceil(chart.anchor.ext.width / EMU_A_PIXEL / COLUMN_PIXELS)
            high = math.ceil(chart.anchor.ext.height / EMU_A_PIXEL / ROW_PIXELS)
            first, top = corner.col + 1, corner.row + 1
            inside = [
                block
                for block in blocks
                if block[0] <= first and block[1] <= top and block[2] >= first + wide - 1 and block[3] >= top + high - 1
            ]
            assert len(inside) == 1, name


EMU_A_PIXEL, ROW_PIXELS, COLUMN_PIXELS = 9525, 20, 64
DIGIT_POINTS, DEFAULT_DIGITS = 5.25, 64 / 7
PAGE_POINTS = {1: (11 - 0.8) * 72, 9: (297 / 25.4 - 0.8) * 72}
"""A row and a column that say no size, a digit of 11 points, a landscape page between its margins of 0.4 inches."""


def test_every_sheet_is_one_page_wide_and_no_letter_of_a_table_is_printed_below_eight_points(built):
    """What is folded away is not printed; a page that is too narrow makes all letters on it smaller."""
    for content in (built, kitchen_of(metric=True)):
        for sheet in openpyxl.load_workbook(io.BytesIO(content)):
            assert (sheet.page_setup.fitToWidth or 1, sheet.page_setup.orientation) == (1, "landscape"), sheet.title
            page = PAGE_POINTS[sheet.page_setup.paperSize]
            for area in areas(sheet) if sheet.tables else ():
                first, _, last, _ = range_boundaries(area or sheet.dimensions)
                last = max(last, first) if area else max(sheet.max_column, last)
                scale = min(1.0, page / (DIGIT_POINTS * sum(shown(sheet, one) for one in range(first, last + 1))))
                for table in sheet.tables.values():
                    tops, row, ends, _ = range_boundaries(table.ref)
                    if tops != first:
                        continue
                    for column in range(tops, ends + 1):
                        if shown(sheet, column):
                            letters = sheet.cell(row + 1, column).font.size
                            assert letters * scale >= 8.0, (table.name, sheet.cell(row, column).value, letters * scale)


def shown(sheet, column):
    """The width of a column in digits; nothing for one that is folded away."""
    letter = get_column_letter(column)
    if letter not in sheet.column_dimensions:
        return DEFAULT_DIGITS
    found = sheet.column_dimensions[letter]
    return 0.0 if found.hidden else found.width


def test_every_heading_fits_its_column_and_its_row(workbook):
    """No word is broken, and the lines are no more than the row of headings holds."""
    for sheet in workbook:
        for table in sheet.tables.values():
            first, row, last, _ = range_boundaries(table.ref)
            for column in range(first, last + 1):
                heading, indent = sheet.cell(row, column).value, sheet.cell(row, column).alignment.indent
                room = (sheet.column_dimensions[get_column_letter(column)].width - EDGES - INDENT * indent) / BOLD
                assert max(map(word_width, heading.split())) <= room, (table.name, heading)
                assert text_lines(heading, room) * LINE_POINTS <= sheet.row_dimensions[row].height + 1, heading


def test_what_is_folded_away_can_be_unfolded_and_is_named_above_the_table(workbook):
    folded = {
        sheet.title: [letter for letter, one in sheet.column_dimensions.items() if one.hidden] for sheet in workbook
    }
    assert {name for name, letters in folded.items() if letters} == {"Harvest", "Preserves"}
    for name, letters in folded.items():
        sheet = workbook[name]
        for letter in letters:
            assert sheet.column_dimensions[letter].outlineLevel == 1
            assert sheet[f"{letter}5"].value in sheet["A3"].value
        assert sheet.sheet_format.outlineLevelCol == (1 if letters else None)
        numbers = sorted(openpyxl.utils.column_index_from_string(letter) for letter in letters)
        if numbers:
            assert numbers == list(range(numbers[0], numbers[-1] + 1))
            assert sheet.column_dimensions[get_column_letter(numbers[-1] + 1)].collapsed


def test_words_do_not_stand_at_the_very_edge_where_a_number_ends(workbook):
    sheet, first, row, last, _ = table_of(workbook, "Timetable")
    alignments = {sheet.cell(row, column).value: sheet.cell(row + 1, column).alignment for column in range(first, last)}
    assert (alignments["Step"].horizontal, alignments["Step"].indent) == ("left", 1)


def test_the_rows_the_planner_writes_have_no_height_before_it_has_written_them(workbook):
    for name in ("Plan", "Days", "Coverage", "Shopping", "Season"):
        heights = {row: one.height for row, one in workbook[name].row_dimensions.items() if one.height and row > 5}
        assert heights == {}


def plan_of_long_rows():
    """Rows of Plan and Messages whose words take one to six lines; each begins and ends with a word of its own."""
    day = datetime.date(2026, 8, 15)
    longest = [1, 4, 2, 12, 1, 8, 1]
    uses = [
        " ".join([f"begin{place}", *["18 lb plum tomato;"] * long, f"end{place}"]) for place, long in enumerate(longest)
    ]
    plan = [
        {"Day": day, "Days": 1, "Preserve": f"tomato juice {place}", "Make": 7, "Unit": "quart jar", "Uses": text}
        for place, text in enumerate(uses)
    ]
    said = [
        {"Severity": "look", "Where": "Harvest!A6", "What": text.replace("begin", "start").replace("end", "stop")}
        for text in reversed(uses)
    ]
    return {"Plan": plan, "Messages": said}


def write_rows(path, rows):
    """Write rows of output tables into a starting workbook."""
    book = Book.open(path)
    write.write(book, rows, datetime.date(2026, 8, 15), "ab" * 32)
    book.save()


def written(path, rows):
    """The workbook with rows of output tables written into it."""
    write_rows(path, rows)
    return openpyxl.load_workbook(path)


def test_a_plan_gives_its_rows_the_height_of_what_it_writes_and_a_shorter_one_takes_it_back(built, tmp_path):
    path = tmp_path / "book.xlsx"
    path.write_bytes(built)
    rows = plan_of_long_rows()
    book = written(path, rows)
    for sheet, column, width in ((book["Plan"], 7, 40), (book["Messages"], 3, 75)):
        for row in range(6, 13):
            needed = text_lines(sheet.cell(row, column).value, width - EDGES - INDENT) * LINE_POINTS
            assert sheet.row_dimensions[row].height == (needed if needed > LINE_POINTS else None), row
        assert max(sheet.row_dimensions[row].height or 0 for row in range(6, 13)) >= 3 * LINE_POINTS
        assert {sheet.row_dimensions[row].height for row in (1, 2, 5)} == {32, 15.5, 46}
    short = [row | {"Uses": "7 lb"} for row in rows["Plan"][:3]]
    book = written(path, {"Plan": short, "Messages": rows["Messages"][2:3]})
    assert [book["Plan"].row_dimensions[row].height for row in range(6, 15)] == [None] * 9
    assert [book["Messages"].row_dimensions[row].height for row in range(6, 15)] == [None] * 9


@pytest.fixture(scope="module")
def paper(built, tmp_path_factory):
    """The pages of three workbooks by name, as LibreOffice, started once, prints them."""
    folder = tmp_path_factory.mktemp("paper")
    paths = {name: folder / f"{name}.xlsx" for name in ("metric", "planned", "typed")}
    paths["metric"].write_bytes(kitchen_of(metric=True))
    paths["planned"].write_bytes(built)
    write_rows(paths["planned"], plan_of_long_rows())
    type_rows(openpyxl.load_workbook(io.BytesIO(built)), paths["typed"])
    home = f"-env:UserInstallation=file://{folder / 'profile'}"
    command = ["soffice", home, "--headless", "--convert-to", "pdf", "--outdir", str(folder), *map(str, paths.values())]
    subprocess.run(command, check=True, capture_output=True, timeout=240)
    return {name: pypdf.PdfReader(path.with_suffix(".pdf")).pages for name, path in paths.items()}


def type_rows(workbook, path):
    """Type some rows by hand, and let the planner remember something."""
    put(workbook, "Crop use", {"Crop": "plums", "Unit": "lb", "Harvested": 7.0, "Eaten fresh": 0.0, "Put up": 6.25})
    put(workbook, "Messages", {"Severity": "look", "Where": "Harvest!C6", "What": "far more than last year"})
    for number in range(60):
        lot = {"Picked on": datetime.date(2026, 8, 1), "Crop": "tomato", "Amount": 40 + number, "Unit": "lb"}
        put(workbook, "Harvest", lot, number)
    workbook.save(path)
    book = Book.open(path)
    write_notes(book, {"mark": mark_words("ab" * 32, "cd" * 32)})
    book.save()


@pytest.mark.libreoffice
@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
def test_on_paper_no_row_of_a_plan_runs_into_the_next(paper):
    """The last line of each row stands a line above the first line of the next, in Plan and in Messages."""
    heights = {}
    for page in paper["planned"]:
        page.extract_text(visitor_text=lambda text, user, matrix, *_: heights.update(words_at(text, user, matrix)))
    for first, last in (("begin", "end"), ("start", "stop")):
        places = range(7) if first == "begin" else range(6, -1, -1)
        for place, after in itertools.pairwise(places):
            line = 8 * 0.5
            assert heights[f"{last}{place}"] - heights[f"{first}{after}"] > line, (first, place)


def words_at(text, user, matrix):
    """The words of a piece of text with their height on the page, from its foot."""
    return dict.fromkeys(text.split(), matrix[5] * user[3] + user[5])


@pytest.mark.libreoffice
@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
def test_on_paper_no_page_is_blank_zeros_are_dashes_and_the_planners_memory_is_not_seen(paper):
    pages = [" ".join(page.extract_text().split()) for page in paper["typed"]]
    headings = {letters_of("".join(table.headings)) for table in tables().values()}
    bare = [words for words in pages if letters_of(re.sub(r"^[A-Z][a-z ]+ \d+ / \d+ ?", "", words)) in {*headings, ""}]
    assert bare == []
    text = "\n".join(pages)
    assert "plums lb 7 – 6.3" in text or "plums lb 7 – 6.2" in text
    assert "far more than last year" in text
    assert "abababab" not in text
    assert HEADINGS[0] not in text
    assert sum(words.count("tomato 99 lb") for words in pages) == 1
    assert 20 < len(pages) < 50  # letters of eight points and more take their room


@pytest.mark.libreoffice
@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
@pytest.mark.parametrize("name", ["planned", "metric"])
def test_on_paper_the_kitchen_is_one_page_with_no_letter_below_eight_points(name, paper):
    """As LibreOffice prints it, whatever font it has: with canners on the same sheet it was two pages of 6.3 points."""
    from_it = itertools.dropwhile(lambda page: sheet_of(page) != "Kitchen", paper[name])
    pages = list(itertools.takewhile(lambda page: sheet_of(page) == "Kitchen", from_it))
    assert len(pages) == 1
    words = pages[0].extract_text()
    assert all(row in words for row in ("altitude", "use learned yields", "hands", "stove free"))
    sizes = []
    pages[0].extract_text(
        visitor_text=lambda text, user, matrix, _, size: sizes.append(size * matrix[3] * user[3]) if text.strip() else 0
    )
    assert min(sizes) >= 8.0


def sheet_of(page):
    """The sheet of a page, by its foot: the name, then the number of the page and that of all."""
    return re.search(r"^(.*?) ?\d+ / \d+", " ".join(page.extract_text().split())).group(1)


def put(workbook, name, values, place=0):
    """Type a row into a table."""
    sheet, first, row, last, _ = table_of(workbook, name)
    for column in range(first, last + 1):
        if sheet.cell(row, column).value in values:
            sheet.cell(row + 1 + place, column).value = values[sheet.cell(row, column).value]


def letters_of(words):
    """The letters of a text, whatever their order: the headings of a page are read in one of their own."""
    return "".join(sorted(words.replace(" ", "")))
