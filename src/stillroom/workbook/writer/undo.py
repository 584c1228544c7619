"""What our own entries wrote, and what an evening replaced: kept among the planner's notes, to be taken back."""

from __future__ import annotations

import base64
import datetime
import json
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.cells import address
from stillroom.household.names import key
from stillroom.household.text import format_long_date
from stillroom.workbook.ooxml.book import Book, FoundTable, Value
from stillroom.workbook.ooxml.tables import key_of
from stillroom.workbook.reader import household as read
from stillroom.workbook.writer import plan as write
from stillroom.workbook.writer.notices import FIRST_DAY
from stillroom.workbook.writer.plan import LONGEST, Notes, in_pieces, notes_in, put_together, value_words
from stillroom.workbook.writer.record import input_table, row_number

NOTE = "entries"
"""The name of the note."""
MOST = 60
"""So many entries can be taken back; older ones are forgotten."""


@dataclass(frozen=True)
class RowWritten:
    """One row that an entry wrote: its sheet row, and by heading what stood there before and what was written."""

    row: int
    before: Mapping[str, Value]
    after: Mapping[str, Value]


@dataclass(frozen=True)
class Step:
    """One entry: what it was in words, its table, and its rows."""

    words: str
    table: str
    rows: tuple[RowWritten, ...]


def steps_in(notes: Notes) -> tuple[Step, ...]:
    """Return the entries that can be taken back, the last one last; none where the note cannot be read."""
    try:
        return tuple(
            Step(words, table, tuple(row_from(*row) for row in rows))
            for words, table, rows in json.loads(notes.get(NOTE) or "[]")
        )
    except (ValueError, TypeError, AttributeError):
        return ()


def row_from(row: int, before: Mapping[str, object], after: Mapping[str, Value]) -> RowWritten:
    """Return a row of a step as the note has it. Raises ValueError."""
    return RowWritten(row, {heading: value_from(kept) for heading, kept in before.items()}, after)


def steps_text(steps: Sequence[Step]) -> str:
    """
    Return entries as the text of a note, without the oldest where there are too many.

    >>> row = RowWritten(2, {"Made": None}, {"Date": datetime.date(2026, 8, 14), "Made": 7})
    >>> steps_in({NOTE: steps_text([Step("7 juice", "Record", (row,))])})[0].rows[0].after
    {'Date': '2026-08-14', 'Made': '7'}
    """
    kept = list(steps)[-MOST:]
    while len(text := _text_of(kept)) >= LONGEST:
        kept = kept[1:]
    return text


def _text_of(steps: Sequence[Step]) -> str:
    """Return entries as JSON; empty for none. What was written is kept as the words a cell of it is known by."""
    whole = [
        [
            step.words,
            step.table,
            [
                [
                    one.row,
                    {heading: stored(value) for heading, value in one.before.items()},
                    {heading: value_words(value) for heading, value in one.after.items() if value is not None},
                ]
                for one in step.rows
            ],
        ]
        for step in steps
    ]
    return json.dumps(whole, ensure_ascii=False, separators=(",", ":")) if whole else ""


def stored(value: Value) -> object:
    """
    Return a cell's value for JSON; a date and a time of day keep their kind.

    >>> stored(datetime.date(2026, 8, 14)), stored(7.0), stored(None), value_from(stored(datetime.date(2026, 8, 14)))
    ({'date': '2026-08-14'}, 7.0, None, datetime.date(2026, 8, 14))
    >>> stored(datetime.time(14, 30)), value_from(stored(datetime.time(14, 30)))
    ({'time': '14:30:00'}, datetime.time(14, 30))
    """
    if isinstance(value, datetime.time):
        return {"time": value.isoformat()}
    return {"date": value_words(value)[:10]} if isinstance(value, datetime.date) else value


def value_from(kept: object) -> Value:
    """Return the value that `stored` kept. Raises ValueError for anything else."""
    if isinstance(kept, dict):
        if "time" in kept:
            return datetime.time.fromisoformat(kept["time"])
        return datetime.date.fromisoformat(kept["date"])
    if kept is None or isinstance(kept, str | int | float):
        return kept
    msg = f"{kept!r} is no value of a cell"
    raise ValueError(msg)


def rows_written(
    places: Sequence[str], rows: Sequence[Mapping[str, Value]], before: Mapping[str, Value] | None = None
) -> tuple[RowWritten, ...]:
    """
    Return what an entry wrote as rows of a step; `places` are cells of its rows.

    `before` is what stood in a row that was changed; None for rows that were added.
    """
    found = []
    for place, row in zip(places, rows, strict=True):
        after = {heading: value for heading, value in row.items() if before is not None or value is not None}
        was = dict.fromkeys(after) if before is None else {heading: before.get(heading) for heading in after}
        found.append(RowWritten(row_number(place), was, after))
    return tuple(found)


def values_before(book: Book, name: str, place: str, headings: Sequence[str]) -> dict[str, Value]:
    """Return what stands in some columns of one row of a table; `place` is any cell of that row."""
    table = input_table(book, name)
    if table is None:
        return {}
    cells = _cells(table, row_number(place))
    return {heading: cells.get(key_of(heading)) for heading in headings}


def take_back(book: Book, step: Step) -> tuple[str, ...]:
    """
    Queue that the cells of an entry's rows are as they were before it; return the places of the rows.

    A row that was moved since is found by what stands in it. Where a row is not there as it was written any more,
    nothing is queued, and no place returned.
    """
    table = input_table(book, step.table)
    if table is None:
        return ()
    found: list[int] = []
    for one in step.rows:
        row = _found_row(table, one, found)
        if row is None:
            return ()
        found.append(row)
    for row, one in zip(found, step.rows, strict=True):
        for heading, value in one.before.items():
            column = table.column(heading)
            if column is not None:
                book.set(table.sheet, row, column, value)
    return tuple(f"{table.sheet}!{address(row, table.first_column)}" for row in found)


def _found_row(table: FoundTable, written: RowWritten, taken: Sequence[int]) -> int | None:
    """Return the sheet row that holds what was written: the one it was written to, else the last one like it."""
    there = [written.row, *range(table.last_row, table.first_row - 1, -1)]
    return next((row for row in there if row not in taken and _holds(_cells(table, row), written)), None)


def _holds(cells: Mapping[str, Value], written: RowWritten) -> bool:
    """Whether a row holds what was written, and nothing in the cells that were blanked."""
    kept = [heading for heading in written.before if key_of(heading) in cells]
    found = {heading: cells[key_of(heading)] for heading in kept}
    return bool(kept) and all(
        ("" if value is None else value_words(value)) == written.after.get(heading, "")
        for heading, value in found.items()
    )


def _cells(table: FoundTable, row: int) -> dict[str, Value]:
    """Return the values of a row by the keys of the table's headings; empty outside of it."""
    place = row - table.first_row
    if not 0 <= place < len(table.rows):
        return {}
    return {key_of(heading): cell.value for heading, cell in zip(table.headings, table.rows[place], strict=False)}


BEFORE_NOTE = "before the evening"
NO_RESULT = "formula never calculated"
LARGEST = 4_000_000
"""Characters that a note may have when it is unpacked."""


@dataclass(frozen=True)
class Before:
    """
    What an evening replaced: the first day, typed then and `moved_to` since, and the plan with its notes.

    `entry` is the evening's last entry, by which it is known. `tables` is empty where there was no plan.
    """

    entry: str
    first_day: str
    moved_to: str
    notes: Notes
    tables: Mapping[str, list[dict[str, Value]]]


def note_before(book: Book, entry: Step, first_day: datetime.date | None, moved_to: datetime.date) -> Notes:
    """Return the note of a workbook before its evening is planned; `first_day` is None where none is moved."""
    notes = {name: text for name, text in notes_in(book).items() if not name.startswith(BEFORE_NOTE) and name != NOTE}
    plan = write.standing_tables(book) if write.mark_in(notes) else {}
    plain = [
        steps_text([entry]),
        "" if first_day is None else first_day.isoformat(),
        moved_to.isoformat(),
        notes,
        {
            name: [{head: stored(row.get(head)) for head in write.ours(name)} for row in rows]
            for name, rows in plan.items()
        },
    ]
    packed = zlib.compress(json.dumps(plain, separators=(",", ":")).encode(), 9)
    return in_pieces(BEFORE_NOTE, base64.b64encode(packed).decode())


def before_in(notes: Notes) -> Before | None:
    """Return what the note holds; None without one, and where it makes no sense."""
    try:
        whole = zlib.decompressobj().decompress(base64.b64decode(put_together(BEFORE_NOTE, notes)), LARGEST)
        entry, first_day, moved_to, kept, tables = json.loads(whole)
        rows = {
            name: [{head: value_from(value) for head, value in row.items()} for row in several]
            for name, several in tables.items()
        }
        return Before(entry, first_day, moved_to, dict(kept), rows)
    except (ValueError, TypeError, AttributeError, KeyError, zlib.error):
        return None


def put_back(book: Book, entry: Step, first_day: datetime.date) -> tuple[Notes, list[str]]:
    """
    Queue the first day and the plan of before an evening, where `entry` is that evening's last one.

    Gives the notes to be written and what to say; nothing where the entry is another's, where the workbook was planned
    since, and where its `first_day` is another than that evening left.
    """
    notes = notes_in(book)
    before = before_in(notes)
    if before is None or before.entry != steps_text([entry]):
        return {}, []
    if before.first_day and before.moved_to != first_day.isoformat():
        return {}, []
    gone = dict.fromkeys(name for name in notes if name.startswith(BEFORE_NOTE))
    found = {**{name: "" for name in (*notes, *gone) if name != NOTE}, **before.notes}
    said = []
    if before.first_day:
        day = datetime.date.fromisoformat(before.first_day)
        moved = move_first_day(book, first_day, day)
        words = format_long_date(day)
        said.append(f"The first day is {words} again." if moved else f"Type {words} as the first day in Kitchen.")
    if before.tables:
        write.write(book, before.tables, first_day_of(before), "")
        said.append("The plan is the one from before that evening.")
    return found, said


def first_day_of(before: Before) -> datetime.date:
    """Return the first day of the plan that is put back."""
    days = [row.get("Period") for row in before.tables.get("Space", ())]
    default = datetime.date.fromisoformat(before.moved_to)
    return min((day for day in days if isinstance(day, datetime.date)), default=default)


def move_first_day(book: Book, before: datetime.date, day: datetime.date) -> bool:
    """
    Queue a typed first day; gives whether that can be.

    It is left alone where a formula works it out, and where formulas that are read, such as what is wanted, look at
    the settings: their results would be gone until a spreadsheet program works them out. `before` is what it is now.
    """
    table = input_table(book, "Kitchen")
    setting, value = (table.column("Setting"), table.column("Value")) if table is not None else (None, None)
    if table is None or setting is None or value is None:
        return False
    for place, cells in table.rows.filled():
        name, cell = cells[setting - table.first_column], cells[value - table.first_column]
        if key(str(name.value)) == key(FIRST_DAY) and cell.formula is None and cell.value is not None:
            row = table.first_row + place
            book.set(table.sheet, row, value, day)
            problems = read.household(book.reopened(), day)[1]
            if not any(one.kind == NO_RESULT for one in problems):
                return True
            book.set(table.sheet, row, value, before)
    return False
