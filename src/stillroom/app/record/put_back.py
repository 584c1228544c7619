"""The first day and the plan as they were before an evening, kept in the workbook until the evening is undone."""

from __future__ import annotations

import base64
import datetime
import json
import zlib
from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.household.names import key
from stillroom.household.text import format_long_date
from stillroom.workbook.ooxml.book import Book, Value
from stillroom.workbook.reader import household as read
from stillroom.workbook.writer import plan as write
from stillroom.workbook.writer import undo
from stillroom.workbook.writer.notices import FIRST_DAY
from stillroom.workbook.writer.plan import Notes, in_pieces, notes_in, put_together
from stillroom.workbook.writer.record import input_table

NOTE = "before the evening"
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


def note_before(book: Book, entry: undo.Step, first_day: datetime.date | None, moved_to: datetime.date) -> Notes:
    """Return the note of a workbook before its evening is planned; `first_day` is None where none is moved."""
    notes = {name: text for name, text in notes_in(book).items() if not name.startswith(NOTE) and name != undo.NOTE}
    plan = write.standing_tables(book) if write.mark_in(notes) else {}
    plain = [
        undo.steps_text([entry]),
        "" if first_day is None else first_day.isoformat(),
        moved_to.isoformat(),
        notes,
        {
            name: [{head: undo.stored(row.get(head)) for head in write.ours(name)} for row in rows]
            for name, rows in plan.items()
        },
    ]
    packed = zlib.compress(json.dumps(plain, separators=(",", ":")).encode(), 9)
    return in_pieces(NOTE, base64.b64encode(packed).decode())


def before_in(notes: Notes) -> Before | None:
    """Return what the note holds; None without one, and where it makes no sense."""
    try:
        whole = zlib.decompressobj().decompress(base64.b64decode(put_together(NOTE, notes)), LARGEST)
        entry, first_day, moved_to, kept, tables = json.loads(whole)
        rows = {
            name: [{head: undo.value_from(value) for head, value in row.items()} for row in several]
            for name, several in tables.items()
        }
        return Before(entry, first_day, moved_to, dict(kept), rows)
    except (ValueError, TypeError, AttributeError, KeyError, zlib.error):
        return None


def put_back(book: Book, entry: undo.Step, first_day: datetime.date) -> tuple[Notes, list[str]]:
    """
    Queue the first day and the plan of before an evening, where `entry` is that evening's last one.

    Gives the notes to be written and what to say; nothing where the entry is another's, where the workbook was planned
    since, and where its `first_day` is another than that evening left.
    """
    notes = notes_in(book)
    before = before_in(notes)
    if before is None or before.entry != undo.steps_text([entry]):
        return {}, []
    if before.first_day and before.moved_to != first_day.isoformat():
        return {}, []
    gone = dict.fromkeys(name for name in notes if name.startswith(NOTE))
    found = {**{name: "" for name in (*notes, *gone) if name != undo.NOTE}, **before.notes}
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
