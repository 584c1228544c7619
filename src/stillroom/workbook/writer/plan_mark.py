"""What a plan leaves for the next one, on a hidden sheet: the mark of its inputs and what it wrote, and its notes."""

from __future__ import annotations

import datetime
import hashlib
import re
from collections.abc import Mapping, Sequence

from stillroom.workbook.ooxml.book import Book, FoundTable, Value
from stillroom.workbook.ooxml.new_sheet import NewSheet, NewTable
from stillroom.workbook.ooxml.tables import key_of

Row = Mapping[str, Value]
Notes = Mapping[str, str]
"""
The planner's notes to itself by name: the `mark`, what the `inputs` were, what was `counted`, how often the file was
`written`, which `cases` of the table Suppose were answered.
"""
SHEET, TABLE = "stillroom notes", "stillroom_notes"
HEADINGS = ("Kept for the next plan", "Text")
ROWS = 8
LONGEST = 32_000
"""Characters a note may have: a cell holds 32,767 (ECMA-376 part 1, 18.18.79, as spreadsheet programs keep it)."""
_NUMBERS = (int, float)
_MARK = re.compile(r"([0-9a-f]{16})-([0-9a-f]{16})")


def notes_in(book: Book) -> dict[str, str]:
    """The planner's notes to itself as they stand in the workbook; empty where it was never planned."""
    found = found_table(book, TABLE, HEADINGS)
    rows = [] if found is None else rows_in(found, HEADINGS)
    return {str(row.get(HEADINGS[0])): str(row.get(HEADINGS[1]) or "") for row in rows}


def write_notes(book: Book, notes: Notes) -> None:
    """
    Queue the notes, those that are not blank and fit a cell; their sheet is added where there is none.

    A hidden sheet comes through any spreadsheet program whole, and is not in the way of who reads the messages.
    """
    kept = {name: text for name, text in notes.items() if text and len(text) < LONGEST}
    found = found_table(book, TABLE, HEADINGS)
    if found is None:
        table = NewTable(TABLE, 1, 1, HEADINGS, ROWS, style="", filter_buttons=False)
        book.add_sheet(SHEET, NewSheet(tables=(table,), widths={1: 24.0, 2: 100.0}, state="veryHidden"))
        found = found_table(book, TABLE, HEADINGS)
    if found is not None:
        book.fill_table(found, dict(zip(HEADINGS, (list(kept), list(kept.values())), strict=True)), len(kept))


def mark_words(inputs: str, written: str) -> str:
    """
    The mark of a plan; `inputs` and `written` are digests in hexadecimal.

    >>> mark_words("a" * 64, "b" * 64)
    'aaaaaaaaaaaaaaaa-bbbbbbbbbbbbbbbb'
    """
    return f"{inputs[:16]}-{written[:16]}"


def mark_in(notes: Notes) -> tuple[str, str] | None:
    """
    The two halves of the mark among the notes, None without one.

    >>> mark_in({"mark": mark_words("a" * 64, "b" * 64)})
    ('aaaaaaaaaaaaaaaa', 'bbbbbbbbbbbbbbbb')
    """
    found = _MARK.fullmatch(notes.get("mark", ""))
    return (found[1], found[2]) if found else None


def written_in(notes: Notes) -> int | None:
    """
    How often the file was written, None where it does not say.

    >>> written_in({"written": "3"}), written_in({})
    (3, None)
    """
    times = notes.get("written", "")
    return int(times) if times.isdecimal() and len(times) < 10 else None


def digest_of(tables: Mapping[str, Sequence[Row]]) -> str:
    """
    Digest of what the planner's columns hold, whatever the order of the rows; blanks do not count.

    >>> rows = [{"Target": "salsa", "Wanted": 4, "Saves": None}, {"Target": "juice", "Wanted": 2.0}]
    >>> digest_of({"Coverage": rows}) == digest_of({"Coverage": list(reversed(rows))})
    True
    """
    lines = [f"{name}\t{line}" for name, rows in tables.items() for line in map(row_words, rows) if line]
    return hashlib.sha256("\n".join(sorted(lines)).encode()).hexdigest()


def row_words(row: Row) -> str:
    """One row as text; empty for a blank row."""
    return "\t".join(
        f"{heading}={value_words(value)}" for heading, value in sorted(row.items()) if value not in (None, "")
    )


def value_words(value: Value) -> str:
    """
    A value the same whether it is in memory or has been through a cell.

    >>> value_words(7.0), value_words(7), value_words(0.25), value_words(datetime.date(2026, 8, 14))
    ('7', '7', '0.25', '2026-08-14')
    """
    if isinstance(value, str):
        return value
    if isinstance(value, _NUMBERS):
        return f"{value:.10g}"
    if isinstance(value, datetime.datetime):
        return value.date().isoformat() if value.time() == datetime.time() else value.isoformat()
    if isinstance(value, datetime.date):
        return value.isoformat()
    return str(value)


def rows_in(table: FoundTable, headings: Sequence[str]) -> list[dict[str, Value]]:
    """The rows of an output table as they stand, by our headings; rows in which all of them are blank are left out."""
    ours = {key_of(heading): heading for heading in headings}
    places = [(place, ours[key_of(name)]) for place, name in enumerate(table.headings) if key_of(name) in ours]
    found = []
    for _, cells in table.rows.filled():
        row = {heading: cells[place].value for place, heading in places if place < len(cells)}
        if any(value is not None for value in row.values()):
            found.append(row)
    return found


def found_table(book: Book, name: str, headings: Sequence[str]) -> FoundTable | None:
    """An output table by its name, else by its row of headings; None without one or with two to choose from."""
    table = book.table(name)
    if table is not None:
        return table
    candidates = book.tables_by_headings(headings, name)
    return candidates[0] if len(candidates) == 1 else None
