"""The mark a plan carries in its Messages table: from which inputs it was made, and what it wrote."""

from __future__ import annotations

import datetime
import hashlib
import re
from collections.abc import Mapping, Sequence

from stillroom.workbook.book import Book, FoundTable, Value
from stillroom.workbook.tables import key_of

Row = Mapping[str, Value]
PLACE = "stillroom"
LONGEST = 32_000
"""Characters a note may have: a cell holds 32,767 (ECMA-376 part 1, 18.18.79, as spreadsheet programs keep it)."""
_WRITTEN = re.compile(r"written (\d{1,9}) times?")
_NUMBERS = (int, float)
_WORDS = re.compile(r"\bmark ([0-9a-f]{16})-([0-9a-f]{16})\b")


def mark_row(inputs: str, written: str) -> dict[str, Value]:
    """
    The message that carries the mark; `inputs` and `written` are digests in hexadecimal.

    >>> mark_row("a" * 64, "b" * 64)["What"]
    'made from the workbook as it stood, mark aaaaaaaaaaaaaaaa-bbbbbbbbbbbbbbbb'
    """
    return {
        "Severity": "note",
        "Where": PLACE,
        "What": f"made from the workbook as it stood, mark {inputs[:16]}-{written[:16]}",
        "What to do": "leave this row: while nothing changes, planning again writes nothing",
    }


def is_mark(row: Row) -> bool:
    """Whether a row of Messages is the mark, or another of the planner's notes to itself."""
    return row.get("Where") == PLACE


def memory_rows(inputs: str, counted: str, written: int) -> list[dict[str, Value]]:
    """
    The planner's notes to itself: what the inputs were, what was counted, and how often the file was written.

    >>> memory_rows("12 lots", "", 3)[-1]["What"]
    'written 3 times'
    """
    texts = (f"inputs: {inputs}", f"counted: {counted}" if counted else "", written_words(written))
    told = "leave this row: it says next time what has changed"
    return [
        {"Severity": "note", "Where": PLACE, "What": text, "What to do": told}
        for text in texts
        if text and len(text) < LONGEST
    ]


def written_words(times: int) -> str:
    """
    How often a workbook was written, as it stands in Messages.

    >>> written_words(1), written_words(2)
    ('written 1 time', 'written 2 times')
    """
    return f"written {times} time{'' if times == 1 else 's'}"


def memory_in(messages: Sequence[Row], start: str) -> str:
    """
    What follows `inputs: ` or `counted: ` in the planner's notes; empty without it.

    >>> memory_in(memory_rows("12 lots", "lid 3", 3), "counted: ")
    'lid 3'
    """
    texts = (str(row.get("What")) for row in messages if is_mark(row))
    return next((text.removeprefix(start) for text in texts if text.startswith(start)), "")


def written_in(messages: Sequence[Row]) -> int | None:
    """
    How often the file was written, None where it does not say.

    >>> written_in(memory_rows("", "", 3)), written_in([])
    (3, None)
    """
    for row in messages:
        found = _WRITTEN.fullmatch(str(row.get("What"))) if is_mark(row) else None
        if found:
            return int(found[1])
    return None


def mark_in(messages: Sequence[Row]) -> tuple[str, str] | None:
    """
    The two halves of the mark among the rows of Messages, None without one.

    >>> mark_in([mark_row("a" * 64, "b" * 64)])
    ('aaaaaaaaaaaaaaaa', 'bbbbbbbbbbbbbbbb')
    """
    for row in messages:
        found = _WORDS.search(str(row.get("What"))) if row.get("Where") == PLACE else None
        if found:
            return found[1], found[2]
    return None


def digest_of(tables: Mapping[str, Sequence[Row]]) -> str:
    """
    Digest of what the planner's columns hold, whatever the order of the rows; the mark itself and blanks do not count.

    >>> rows = [{"Need": "salsa", "Wanted": 4, "Saves": None}, {"Need": "juice", "Wanted": 2.0}]
    >>> digest_of({"Coverage": rows}) == digest_of({"Coverage": list(reversed(rows))})
    True
    """
    lines = [f"{name}\t{line}" for name, rows in tables.items() for line in map(row_words, rows) if line]
    return hashlib.sha256("\n".join(sorted(lines)).encode()).hexdigest()


def row_words(row: Row) -> str:
    """One row as text; empty for a blank row and for the mark."""
    if is_mark(row):
        return ""
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
