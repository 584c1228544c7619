"""
Single pieces of work to be measured, each in a process of its own: `python -m tests.workbook.measured WORK FILE OUT [ROUNDS]`.

Prints as JSON the seconds of each round, without starting Python and importing, by the clock and of the process's own
work (which a busy machine leaves nearly alone), and the most memory of the process.
"""

from __future__ import annotations

import json
import random
import resource
import shutil
import sys
import time
from collections.abc import Callable
from pathlib import Path

EDITS = 1_000
ROWS, COLUMNS = 100_000, 20
WIDE_SHEETS, FEW_ROWS = 10, 30
SEASON_ROWS, YEARS_ROWS = 400, 4_000


def cells_to_edit() -> list[tuple[int, int]]:
    """A thousand cells anywhere in the large sheet, the same in every run."""
    rnd = random.Random(20260814)
    return [(rnd.randrange(2, ROWS + 1), rnd.randrange(1, COLUMNS + 1)) for _ in range(EDITS)]


def large_by_splicing(path: Path, out: Path) -> None:
    from stillroom.workbook.ooxml.book import Book

    book = Book.open(path)
    for number, (row, column) in enumerate(cells_to_edit()):
        book.set("Weighings", row, column, number + 0.5)
    book.save(out)


def large_by_loading(path: Path, out: Path) -> None:
    from openpyxl import load_workbook

    book = load_workbook(path)
    sheet = book["Weighings"]
    for number, (row, column) in enumerate(cells_to_edit()):
        sheet.cell(row, column).value = number + 0.5
    book.save(out)


def plan_by_splicing(path: Path, out: Path) -> None:
    from tests.workbook.corpus.moving_in import DAY

    from stillroom.workbook.ooxml.book import Book
    from stillroom.workbook.writer import plan as write

    book = Book.open(path)
    write.write(book, plan(), DAY, "cd" * 32)
    book.save(out)


def plan_by_loading(path: Path, out: Path) -> None:
    from openpyxl import load_workbook

    book = load_workbook(path)
    places = {table.name: (sheet, table.ref) for sheet in book for table in sheet.tables.values()}
    for name, rows in plan().items():
        sheet, ref = places[name.replace(" ", "_")]
        first, *body = sheet[ref]
        headings = [cell.value for cell in first]
        for cells, row in zip(body, rows, strict=False):
            for heading, cell in zip(headings, cells, strict=True):
                if heading in row:
                    cell.value = row[heading]
    book.save(out)


def whole_plan(path: Path, out: Path) -> None:
    """All of the command but the solver: read, check, settle, write, save."""
    from tests.workbook.corpus.moving_in import DAY

    from stillroom.app.plan import read_workbook
    from stillroom.workbook.writer import plan as write

    reading = read_workbook(path, DAY)
    write.write(reading.book, plan(), DAY, "cd" * 32)
    reading.book.save(out)


def plan() -> dict[str, list[dict[str, object]]]:
    """A plan of fifty lines, worked out nowhere."""
    import datetime

    day = datetime.date(2026, 8, 14)
    lines = [
        {"Day": day + datetime.timedelta(days=number // 8), "Days": 1, "Preserve": f"preserve {number % 17}", "Make": number % 9 + 1, "Unit": "pint jar",
         "Loads": 1, "Uses": f"{number / 3:.1f} lb carrots", "Hands-on h": number / 7, "Stove h": number / 11}
        for number in range(50)
    ]  # fmt: skip
    targets = [
        {"Target": f"need {number}", "Wanted": 12, "Planned": number, "Covered": number / 14, "Importance": 1}
        for number in range(14)
    ]
    return {
        "Plan": lines,
        "Coverage": targets,
        "Messages": [{"Severity": "note", "Where": "Plan!A5", "What": "words", "What to do": "nothing"}] * 12,
    }


def made_files(folder: Path, _: Path) -> None:
    """The workbooks that are measured with, made in a process of its own so that its memory counts nowhere."""
    make_large(folder / "large.xlsx")
    make_household(folder / "household.xlsx")
    make_household(folder / "season.xlsx", rows=SEASON_ROWS)
    make_household(folder / "years.xlsx", rows=YEARS_ROWS)
    make_household(folder / "beside.xlsx", large=True)


def again_by_splicing(path: Path, out: Path) -> None:
    """The plan is there; one line of it changes."""
    from tests.workbook.corpus.moving_in import DAY

    from stillroom.workbook.ooxml.book import Book
    from stillroom.workbook.writer import plan as write

    tables = plan()
    tables["Plan"][7]["Make"] = 99
    book = Book.open(path)
    write.write(book, tables, DAY, "ef" * 32)
    book.save(out)


WORK: dict[str, Callable[[Path, Path], None]] = {
    "large_by_splicing": large_by_splicing,
    "large_by_loading": large_by_loading,
    "plan_by_splicing": plan_by_splicing,
    "plan_by_loading": plan_by_loading,
    "again_by_splicing": again_by_splicing,
    "whole_plan": whole_plan,
    "made_files": made_files,
}


def make_large(path: Path) -> None:
    """A workbook of one sheet of 100,000 rows of 20 cells: days, words, numbers, a formula here and there."""
    import xlsxwriter

    book = xlsxwriter.Workbook(str(path), {"constant_memory": False})
    add_large_sheet(book)
    book.close()


def add_large_sheet(book: object) -> None:
    sheet = book.add_worksheet("Weighings")
    date = book.add_format({"num_format": "yyyy-mm-dd"})
    sheet.write_row(0, 0, [f"heading {column}" for column in range(COLUMNS)])
    for row in range(1, ROWS):
        sheet.write_number(row, 0, 40_000 + row % 4_000, date)
        sheet.write_string(row, 1, f"bed {row % 300}")
        for column in range(2, COLUMNS):
            sheet.write_number(row, column, (row * column) % 997 / 8)


def make_household(path: Path, *, rows: int = FEW_ROWS, large: bool = False) -> None:
    """
    A workbook of ten sheets, each with words, numbers, a sum and a chart, that has moved in.

    With more than a few rows every row also has a day, three more numbers and a formula. `large` puts a large sheet
    beside them.
    """
    import xlsxwriter
    from tests.workbook.corpus import moving_in

    from stillroom.workbook.ooxml.book import Book
    from stillroom.workbook.starter.start import adopt

    book = xlsxwriter.Workbook(str(path))
    for number in range(WIDE_SHEETS):
        sheet = book.add_worksheet(f"Week {number}")
        for row in range(rows):
            sheet.write_row(row, 0, [f"bed {row % 40}", row * number, row / 7, "words"])
            if rows > FEW_ROWS:
                sheet.write_row(row, 4, [45_000 + row % 900, row % 13, row % 7 / 4])
                sheet.write_formula(row, 7, f"=F{row + 1}*G{row + 1}", None, row % 13 * (row % 7) / 4)
        sheet.write_formula(rows + 1, 1, f"=SUM(B1:B{rows})", None, rows * (rows - 1) // 2 * number)
        chart = book.add_chart({"type": "column"})
        chart.add_series({"values": f"='Week {number}'!$B$1:$B${rows}"})
        sheet.insert_chart("G2", chart)
    if large:
        add_large_sheet(book)
    book.close()
    opened = Book.open(path)
    adopt(opened)
    opened.save(path.with_name("adopted.xlsx"))
    opened = Book.open(path.with_name("adopted.xlsx"))
    moving_in.fill(opened)
    opened.save(path.with_name("filled.xlsx"))
    shutil.move(path.with_name("filled.xlsx"), path)
    path.with_name("adopted.xlsx").unlink()


def main() -> None:
    work, path, out = WORK[sys.argv[1]], Path(sys.argv[2]), Path(sys.argv[3])
    rounds = int(sys.argv[4]) if len(sys.argv) > 4 else 1
    if rounds > 1:
        work(path, out)  # imports and the first round's caches are not what is measured
    seconds, worked = [], []
    for _ in range(rounds):
        out.unlink(missing_ok=True)
        began, own = time.perf_counter(), time.process_time()
        work(path, out)
        seconds.append(time.perf_counter() - began)
        worked.append(time.process_time() - own)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({"seconds": seconds, "worked": worked, "megabytes": memory}))


if __name__ == "__main__":
    main()
