"""One household that moves into any workbook: our tables added, filled in, planned and written back."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from tests.workbook.corpus import by_hand, by_openpyxl, by_pandas, by_xlsxwriter

from stillroom.app.plan import find_plan, mark_of, read_workbook
from stillroom.household.results.commands import Receipt
from stillroom.workbook.ooxml.book import Book, Value
from stillroom.workbook.ooxml.tables import key_of
from stillroom.workbook.schema import input_tables
from stillroom.workbook.starter.start import Adopted, adopt
from stillroom.workbook.writer import plan as write

DAY = datetime.date(2026, 8, 14)
NOW = datetime.datetime(2026, 8, 14, 9, 30)
WEEK = dict.fromkeys(("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"), 4)
SETTINGS = {
    "altitude": 500,
    "first day": DAY,
    "days planned in detail": 2,
    "weeks planned roughly": 1,
    "people": 2,
    "freezer space free": 60,
}
ROWS: dict[str, list[dict[str, Value]]] = {
    "Hours": [{"What": "hands", **WEEK}, {"What": "stove free", **dict.fromkeys(WEEK, 1)}],
    "Crops": [{"Crop": "carrots", "Handbook food": "carrots", "Keeps days": 14, "Unit": "lb"}],
    "Harvest": [{"Picked on": DAY, "Crop": "carrots", "Amount": 22, "Unit": "lb"}],
    "Containers": [{"Container": "freezer pint", "Kind": "tub", "Holds": 1, "Unit": "US pint", "On hand": 30, "Counted on": DAY}],
    "Preserves": [
        {"Preserve": "carrots, frozen", "Method": "frozen", "Container": "freezer pint", "Handbook line": "carrots, frozen", "Include": "yes", "Hands-on min each": 6,
         "Kept in": "freezer"}
    ],
    "Ingredients": [{"Preserve": "carrots, frozen", "Item": "carrots", "Amount each": 1.375, "Unit": "lb"}],
    "Winter list": [{"Target": "carrots", "Wanted": 12, "Unit": "pint", "Importance": 1}],
    "Counts toward": [{"Target": "carrots", "Preserve": "carrots, frozen", "Each counts": 1}],
}  # fmt: skip


@dataclass(frozen=True)
class Moved:
    """A workbook before and after, the receipts on the way, and the cells that are ours by sheet name."""

    before: bytes
    after: bytes
    adopted: Adopted
    receipts: tuple[Receipt, ...]
    owned: Mapping[str, frozenset[tuple[int, int]]]


def cases() -> dict[str, Callable[[Path], None]]:
    """Every workbook of the corpus by name: what makes it at a path."""
    return by_openpyxl.cases() | by_xlsxwriter.cases() | by_pandas.cases() | by_hand.cases()


def made(name: str, folder: Path) -> Path:
    """Make one workbook of the corpus."""
    path = folder / ("household.xlsm" if "macros" in name else "household.xlsx")
    cases()[name](path)
    return path


def move_in(path: Path, out: Path) -> Moved:
    """Adopt, fill in and plan; the workbook at ``path`` is left as it is."""
    before = path.read_bytes()
    book = Book.open(path)
    adopted = adopt(book)
    steps = [book.save(out, NOW)]
    book = Book.open(out)
    owned = fill(book)
    steps.append(book.save(None, NOW))
    book = Book.open(out)
    for one in write.written_tables():
        table = book.table(one.name)
        assert table is not None, one.name
        owned.setdefault(table.sheet, set()).update(
            body(table.first_row, table.last_row + 9, table.first_column, table.last_column)
        )
    write.write(book, the_plan(), DAY, "ab" * 32)
    steps.append(book.save(None, NOW))
    assert path.read_bytes() == before
    for receipt in steps:
        for place in receipt.results_cleared:
            sheet, _, cell = place.rpartition("!")
            owned.setdefault(sheet, set()).add(place_of(cell))
    return Moved(
        before, out.read_bytes(), adopted, tuple(steps), {name: frozenset(cells) for name, cells in owned.items()}
    )


def fill(book: Book) -> dict[str, set[tuple[int, int]]]:
    """Type the household into the input tables, wherever they stand; gives the cells typed into, by sheet."""
    owned: dict[str, set[tuple[int, int]]] = {}
    for one in input_tables():
        table = book.table(one.name)
        if table is None:
            continue
        owned.setdefault(table.sheet, set()).update(
            body(table.first_row, table.last_row, table.first_column, table.last_column)
        )
        there = {key_of(heading) for heading in table.headings}
        rows = settings(table.rows) if one.name == "Kitchen" else ROWS.get(one.name, [])
        columns = {heading: [row.get(heading) for row in rows] for heading in one.headings if key_of(heading) in there}
        if one.name == "Kitchen":
            columns = {"Value": columns["Value"]}
        if rows:
            book.fill_table(table, columns, len(rows))
    return owned


def settings(rows: Sequence[Sequence[object]]) -> list[dict[str, Value]]:
    """Kitchen values in the order of the settings as they stand."""
    names = [str(row[0].value) for row in rows if row[0].value is not None]
    return [{"Value": SETTINGS.get(name)} for name in names]


def body(first_row: int, last_row: int, first_column: int, last_column: int) -> set[tuple[int, int]]:
    """Every cell of a block."""
    return {(row, column) for row in range(first_row, last_row + 1) for column in range(first_column, last_column + 1)}


def place_of(name: str) -> tuple[int, int]:
    """Row and column of a cell's name."""
    letters = name.rstrip("0123456789")
    column = 0
    for letter in letters:
        column = column * 26 + ord(letter) - 64
    return int(name[len(letters) :]), column


@cache
def the_plan() -> dict[str, list[dict[str, Value]]]:
    """The plan of this household, worked out once: every workbook gets the same household, so the same plan."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = made("openpyxl plain", Path(folder))
        book = Book.open(path)
        adopt(book)
        book.save(None, NOW)
        book = Book.open(path)
        fill(book)
        book.save(None, NOW)
        reading = read_workbook(path, DAY)
        assert not reading.errors, list(map(str, reading.errors))
        assert mark_of(reading.typed, None)
        return find_plan(reading).tables
