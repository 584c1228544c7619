"""What is noticed in a workbook before and after writing: hidden rows, another branch, lines twice; sheet Suppose."""

from __future__ import annotations

import datetime
import io
import os
import re
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stillroom.errors import Problem, WorkbookRefused
from stillroom.household.cells import address
from stillroom.household.names import key
from stillroom.household.text import format_date_and_year
from stillroom.workbook.ooxml.book import Book, Value
from stillroom.workbook.ooxml.files import copies
from stillroom.workbook.ooxml.tables import key_of
from stillroom.workbook.ooxml.values import Unreadable, parse_address, parse_range
from stillroom.workbook.ooxml.xml import attribute
from stillroom.workbook.schema import Column, Table, output_tables
from stillroom.workbook.starter.sheets import add_tables
from stillroom.workbook.writer.plan import NO_NOTES, Notes, notes_in, write_notes, written_in
from stillroom.workbook.writer.record import input_table, places_of_keys

TOLD_BY_THE_READER = "Plan"
MOST_ROWS = 5


def hidden_answers(book: Book) -> tuple[Problem, ...]:
    """Tables of the planner's with hidden rows in which something stands, as a filter leaves them."""
    problems = []
    for table in output_tables():
        found = None if table.name == TOLD_BY_THE_READER else book.table(table.name)
        if found is None or not found.hidden_rows:
            continue
        rows = [
            found.first_row + place
            for place, cells in found.rows.filled()
            if found.first_row + place in found.hidden_rows and any(cell.value is not None for cell in cells)
        ]
        if rows:
            named = ", ".join(map(str, rows[:MOST_ROWS])) + (", ..." if len(rows) > MOST_ROWS else "")
            where = f"{found.sheet}!{address(rows[0], found.first_column)}"
            problems.append(Problem(where, "hidden rows of the plan", (named, table.name)))
    return tuple(problems)


# Pivot tables that look at what the planner writes: they keep a copy of the figures until somebody refreshes
# them.

_CACHE = re.compile(r"(?:^|/)pivotCacheDefinition[^/]*\.xml$", re.IGNORECASE)
_SOURCE = re.compile(rb"<(?:\w+:)?worksheetSource\b[^>]*>")


def looked_at_by_pivots(book: Book) -> tuple[str, ...]:
    """The planner's tables that a pivot table takes its figures from, by name or by their cells (18.10.1.95)."""
    sources = _sources(book.source)
    if not sources:
        return ()
    ours = {key_of(table.name): table.name for table in output_tables()}
    found = []
    for part in book.table_parts:
        name = ours.get(key_of(part.display_name))
        if name is None:
            continue
        for tag in sources:
            named = attribute(tag, "name")
            sheet, cells = attribute(tag, "sheet"), attribute(tag, "ref")
            if named is not None and key_of(named) == key_of(part.display_name):
                found.append(name)
            elif sheet is not None and cells is not None and sheet.casefold() == part.sheet.casefold():
                try:
                    meets = parse_range(cells).meets(part.area)
                except Unreadable:
                    continue
                found += [name] if meets else []
    return tuple(dict.fromkeys(found))


def _sources(content: bytes) -> list[bytes]:
    """The tags that say where pivot tables have their figures from."""
    with zipfile.ZipFile(io.BytesIO(content)) as whole:
        names = [name for name in whole.namelist() if _CACHE.search(name)]
        return [tag for name in names for tag in _SOURCE.findall(whole.read(name))]


# A first day that a formula reckons from the clock: in the file stands the day on which it was last worked out.

FIRST_DAY = "first day"
_CLOCK = re.compile(r"\b(?:TODAY|NOW)\s*\(", re.IGNORECASE)


def saved_day(book: Book, first_day: datetime.date, today: datetime.date) -> tuple[Problem, ...]:
    """
    Say that the first day is a formula such as `=TODAY()`, and that what was saved of it is not this day.

    `first_day` is the one that was read. Raises WorkbookRefused when two tables may be Kitchen.
    """
    if first_day == today:
        return ()
    table = input_table(book, "Kitchen") if book.table("Kitchen") is not None else None
    setting, value = (table.column("Setting"), table.column("Value")) if table is not None else (None, None)
    if table is None or setting is None or value is None:
        return ()
    for _, cells in table.rows.filled():
        name, cell = cells[setting - table.first_column], cells[value - table.first_column]
        if key(str(name.value)) == key(FIRST_DAY) and _CLOCK.search(cell.formula or ""):
            names = (format_date_and_year(first_day), format_date_and_year(today))
            return (Problem(f"{table.sheet}!{cell.address}", "first day saved before", names, field=FIRST_DAY),)
    return ()


# Noticing that another copy was put in the place of what was last written, and how often the workbook was written.


def another_branch(path: Path, content: bytes) -> tuple[Problem, ...]:
    """
    Say what was written into a workbook that was read as `content`, and is not in it: another copy is in its place.

    It is kept beside the workbook first, so the copy that is named is there, and stays until it is joined or moved.
    """
    found = copies.branches_of(path, content)
    problems = [Problem(path.name, "another branch", (path.name, copy.name)) for copy in found.apart]
    if found.given_up is not None:
        problems.append(Problem(path.name, "copy put back", (path.name, found.given_up.name)))
    return tuple(problems)


def plan_lines_twice(book: Book) -> Iterator[Problem]:
    """Say which rows of the record are the same line of the same plan: both count."""
    for places in places_of_keys(book).values():
        for place in places[1:]:
            yield Problem(place, "plan line twice", (places[0].replace("!", " "), place.rpartition("!")[2]))


def times_written(book: Book) -> int:
    """How often the workbook was written, or its newest dated copy if that was more often."""
    copy = newest_copy(book.path)
    counts = [written_in(notes_in(one)) for one in (book, copy) if one is not None]
    return max((count for count in counts if count is not None), default=0)


def newest_copy(path: Path) -> Book | None:
    """Open the newest of our dated copies of a workbook; None without one that can be read."""
    target = Path(os.path.realpath(path))
    for _, name in reversed(copies.listed(target)):
        copy = target.with_name(name)
        if copy.is_file():
            try:
                return Book.open(copy)
            except WorkbookRefused:
                return None
    return None


def count_writing(book: Book, more: Notes = NO_NOTES) -> None:
    """Queue that the workbook is written once more, if a plan has left a note of it, and more notes."""
    before = notes_in(book)
    notes = {**before, **more}
    if written_in(notes) is not None:
        notes["written"] = str(times_written(book) + 1)
    if before or any(notes.values()):
        write_notes(book, notes)


# The table Suppose of a workbook read, and a comparison of cases put on a sheet of its own.

ANSWER = "Would give"


@dataclass(frozen=True)
class SupposeRow:
    """One row of the table Suppose; `where` is the place of its change."""

    case: str
    change: str
    where: str


def suppose_rows(book: Book) -> tuple[SupposeRow, ...]:
    """
    The rows of the table Suppose in their order; a blank Case belongs to the case above it. Empty without the table.

    Raises WorkbookRefused when two tables might be meant, or it lacks a column.
    """
    table = input_table(book, "Suppose")
    if table is None:
        return ()
    columns = [table.column(heading) for heading in ("Case", "Change")]
    if None in columns:
        place = table.heading_place(table.headings[0])
        raise WorkbookRefused([Problem(place, "column missing", ("Suppose",), field="Case or Change")])
    found = []
    case = "as typed"
    for number, cells in enumerate(table.rows):
        texts = [cells[(column or 1) - table.first_column].value for column in columns]
        case = str(texts[0]).strip() if texts[0] not in (None, "") else case
        if texts[1] not in (None, ""):
            where = f"{table.sheet}!{address(table.first_row + number, columns[1] or 1)}"
            found.append(SupposeRow(case, str(texts[1]).strip(), where))
    return tuple(found)


def typed_disruptions(book: Book) -> tuple[tuple[str, str], ...]:
    """
    The rows of the table Disruptions in their order, each with the place of its cell; empty without the table.

    Raises WorkbookRefused when two tables might be meant, or it lacks its column.
    """
    table = input_table(book, "Disruptions")
    if table is None:
        return ()
    column = table.column("Disruption")
    if column is None:
        place = table.heading_place(table.headings[0])
        raise WorkbookRefused([Problem(place, "column missing", ("Disruptions",), field="Disruption")])
    return tuple(
        (str(cells[column - table.first_column].value), f"{table.sheet}!{address(table.first_row + number, column)}")
        for number, cells in table.rows.filled()
        if cells[column - table.first_column].value not in (None, "")
    )


def has_answers(book: Book) -> bool:
    """Whether the workbook has a table Suppose with rows and a column for what each case would give."""
    table = input_table(book, "Suppose")
    return table is not None and table.column(ANSWER) is not None and bool(suppose_rows(book))


def write_answers(book: Book, answers: Mapping[str, str]) -> None:
    """
    Queue what each case would give, by the place of its first change; what stood in the column before goes.

    A cell with a formula is left as it is.
    """
    table = input_table(book, "Suppose")
    column = None if table is None else table.column(ANSWER)
    if table is None or column is None:
        return
    by_row = {parse_address(where.rpartition("!")[2])[0]: answer for where, answer in answers.items()}
    for place, cells in table.rows.filled():
        row, cell = table.first_row + place, cells[column - table.first_column]
        answer = by_row.get(row)
        if cell.formula is None and (cell.value or None) != answer:
            book.set(table.sheet, row, column, answer)


COMPARED: Mapping[str, Mapping[str, Any]] = {
    "date": {"width": 16.0, "format": "date"},
    "number": {"width": 12.0, "format": "0.0"},
    "text": {"width": 30.0},
}
"""Width and number format of the columns of a comparison, by what they hold."""


def compared_kinds(headings: Sequence[str]) -> list[str]:
    """
    What each column of a comparison holds: from the sixth on the numbers of the cases.

    >>> compared_kinds(["Day", "Preserve", "Unit", "a", "b", "c"])
    ['date', 'text', 'text', 'text', 'text', 'number']
    """
    return ["date" if name == "Day" else "number" if place > 4 else "text" for place, name in enumerate(headings)]


def add_comparison(book: Book, headings: Sequence[str], rows: Sequence[Mapping[str, Value]]) -> str:
    """Queue a new sheet with the comparison as a table; gives the sheet's name. For a copy, never for the file."""
    name = "Suppose side by side"
    columns = tuple(
        Column(heading, heading, kind, owner="ours", **COMPARED[kind])
        for heading, kind in zip(headings, compared_kinds(headings), strict=True)
    )
    table = Table(name, "Suppose", "output", "Plans side by side.", columns, rows=len(rows) + 1)
    taken = {one.casefold() for one in book.table_names}
    number = 1
    while table.name.replace(" ", "_").casefold() in taken:
        number += 1
        table = Table(f"{name} {number}", "Suppose", "output", table.about, columns, rows=len(rows) + 1)
    (sheet,) = add_tables(book, [table], {table.name: len(rows)})
    found = book.table(table.name)
    if found is not None:
        book.fill_table(found, {heading: [row.get(heading) for row in rows] for heading in headings}, len(rows))
    return sheet
