"""A plan written into a workbook: our columns of the output tables, each household cell beside its own plan line."""

from __future__ import annotations

import datetime
import hashlib
import re
from collections.abc import Mapping, Sequence
from types import MappingProxyType

from stillroom.errors import Problem, WorkbookRefused
from stillroom.household.cells import address
from stillroom.workbook.ooxml.book import Book, FoundTable, Value
from stillroom.workbook.ooxml.new_sheet import NewSheet, NewTable
from stillroom.workbook.ooxml.tables import key_of
from stillroom.workbook.schema import Table, output_tables
from stillroom.workbook.schema import tables as described_tables
from stillroom.workbook.starter.sheets import add_tables
from stillroom.workbook.writer.household_cells import (
    Placed,
    can_move,
    placed,
    refuse_moving_formulas,
    refuse_other_units,
    rows_as_they_stand,
    without_recorded,
)

# What a plan leaves for the next one, on a hidden sheet: the mark of its inputs and what it wrote, and its notes.

Notes = Mapping[str, str]
"""
The planner's notes to itself by name: the `mark`, what the `inputs` were, what was `counted`, how often the file was
`written`, which `cases` of the table Suppose were answered, and the input `cells` as they were typed.
"""
SHEET, TABLE = "stillroom notes", "stillroom_notes"
HEADINGS = ("Kept for the next plan", "Text")
ROWS = 8
EVENING = "evening"
"""The note of the day that was last entered by *evening*, and of the date that was on."""
WOULD_HELP = "would help"
"""The note of what the last bottlenecks found."""
LONGEST = 32_000
"""Characters a note may have: a cell holds 32,767 (ECMA-376 part 1, 18.18.79, as spreadsheet programs keep it)."""
PIECES = 8
"""Into how many cells one note may be divided."""
FILLED_LATER = ("Can wait until", "Else")
"""The columns of Plan that a plan leaves blank unless they are asked for: they are no part of its mark."""
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


def in_pieces(name: str, text: str) -> dict[str, str]:
    """
    Return a long note as several that fit a cell each; none of a note that would need more than `PIECES`.

    >>> list(in_pieces("cells", "a" * 40_000)), in_pieces("cells", "a" * 400_000)
    (['cells 1', 'cells 2'], {})
    """
    most = LONGEST - 1
    if len(text) > PIECES * most:
        return {}
    return {f"{name} {at // most + 1}": text[at : at + most] for at in range(0, len(text), most)}


def put_together(name: str, notes: Notes) -> str:
    """
    Return a note that was written in pieces.

    >>> put_together("cells", {"cells 1": "abc", "cells 2": "de"})
    'abcde'
    """
    return "".join(notes.get(f"{name} {number}", "") for number in range(1, PIECES + 1))


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
        f"{heading}={value_words(value)}"
        for heading, value in sorted(row.items())
        if value not in (None, "") and heading not in FILLED_LATER
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
    known = described_tables()
    candidates = book.tables_by_headings(known[name].known_by if name in known else headings, name)
    return candidates[0] if len(candidates) == 1 else None


Row = Mapping[str, Value]
KEY_HEADINGS = ("Day", "Days", "Preserve", "Make")
NO_NOTES: Notes = MappingProxyType({})
NOTHING_RECORDED: Mapping[str, bool] = MappingProxyType({})


def write(
    book: Book,
    tables: Mapping[str, Sequence[Row]],
    first_day: datetime.date,
    inputs: str,
    notes: Notes = NO_NOTES,
    recorded: Mapping[str, bool] = NOTHING_RECORDED,
) -> None:
    """
    Queue a plan in a workbook; `tables` are the rows by table and heading, `inputs` the digest of what was planned.

    `notes` are the planner's notes to itself, and `recorded` the plan lines (by the place of their preserve's cell)
    whose *Made* went into the record, with whether nothing is left to do of them: see `carried.without_recorded`.

    Output tables that are missing are added on new sheets after the household's. Columns that are not ours are left
    alone, but that what stands beside a plan line goes where the line goes. A column of ours that the household has
    taken out is not put back. A hidden sheet carries the mark of the plan and the notes.

    Raises WorkbookRefused, naming the cells, before anything is queued: a formula beside a line that moves, a Plan
    table without its first columns, two tables that might be meant.
    """
    wanted = written_tables()
    refuse_two_candidates(book, wanted)
    refuse_strangers(book, wanted)
    standing = {table.name: found_table(book, table.name, headings(table)) for table in wanted}
    plan = standing["Plan"]
    lines: list[Placed] = [Placed(row, None) for row in tables.get("Plan", ())]
    columns: frozenset[int] = frozenset()
    if plan is not None:
        refuse_without_keys(plan)
        standing_rows, columns = without_recorded(plan, rows_as_they_stand(plan, ours("Plan")), recorded)
        lines = placed(tables.get("Plan", ()), standing_rows, first_day)
        refuse_other_units(plan, lines)
        refuse_moving_formulas(plan, lines)
    rows: dict[str, Sequence[Row]] = {table.name: tables.get(table.name, ()) for table in wanted}
    rows["Plan"] = [line.row for line in lines]
    mark = mark_words(inputs, digest_of(shown(standing, rows)))
    add_missing(book, [table for table in wanted if standing[table.name] is None], rows)
    for table in wanted:
        found = standing[table.name] or found_table(book, table.name, headings(table))
        if found is not None:
            fill(book, found, ours(table.name), rows[table.name])
    if plan is not None:
        carry(book, plan, lines, columns)
    write_notes(book, {"mark": mark, **notes})


def write_table(book: Book, name: str, rows: Sequence[Row]) -> None:
    """Queue the rows of one output table that no plan fills; see `write_tables`."""
    write_tables(book, {name: rows})


def write_tables(book: Book, rows: Mapping[str, Sequence[Row]]) -> None:
    """
    Queue the rows of output tables that no plan fills; those missing are added on new sheets, by sheet.

    Raises WorkbookRefused when two tables might be meant, or one only has the name of ours.
    """
    wanted = [table for table in output_tables() if table.name in rows]
    refuse_two_candidates(book, wanted)
    refuse_strangers(book, wanted)
    missing = [table for table in wanted if found_table(book, table.name, headings(table)) is None]
    add_missing(book, missing, {table.name: rows[table.name] for table in missing})
    for table in wanted:
        found = found_table(book, table.name, headings(table))
        if found is not None:
            fill(book, found, ours(table.name), rows[table.name])


def write_deadlines(book: Book, waits: Mapping[tuple[datetime.date, str], tuple[str, str]]) -> None:
    """Queue the columns *Can wait until* and *Else* of Plan, as far as it has them, by day and name of a line."""
    plan = found_table(book, "Plan", headings(next(table for table in written_tables() if table.name == "Plan")))
    if plan is None:
        return
    places = {heading: plan.column(heading) for heading in (*FILLED_LATER, "Day", "Days", "Preserve")}
    for number, cells in plan.rows.filled():
        there = {name: cells[place - plan.first_column].value for name, place in places.items() if place is not None}
        day, name = there.get("Day"), str(there.get("Preserve"))
        day = day.date() if isinstance(day, datetime.datetime) else day
        known = isinstance(day, datetime.date) and there.get("Days") == 1
        words = waits.get((day, name), ("", "")) if known and isinstance(day, datetime.date) else ("", "")
        for heading, said in zip(FILLED_LATER, words, strict=True):
            column = places[heading]
            if column is not None and (there[heading] or "") != said:
                book.set(plan.sheet, plan.first_row + number, column, said or None)
    book.fit_rows(plan)


def add_missing(book: Book, missing: Sequence[Table], rows: Mapping[str, Sequence[Row]]) -> None:
    """Add output tables, blank and long enough, on sheets after the household's; the builder is slow to import."""
    if missing:
        add_tables(book, missing, {name: len(several) for name, several in rows.items()})


def is_unchanged(book: Book, inputs: str) -> bool:
    """Whether the workbook holds the plan of these very inputs, with every output table as the planner wrote it."""
    found = {table.name: found_table(book, table.name, headings(table)) for table in written_tables()}
    if any(table is None for table in found.values()):
        return False
    rows = {name: rows_in(table, ours(name)) for name, table in found.items() if table is not None}
    mark = mark_in(notes_in(book))
    return mark is not None and mark == (inputs[:16], digest_of(rows)[:16])


def standing_tables(book: Book) -> dict[str, list[dict[str, Value]]]:
    """The rows of every output table as they stand in the workbook, the household's Keep at, Made and Note included."""
    rows = {}
    for table in written_tables():
        found = found_table(book, table.name, headings(table))
        rows[table.name] = [] if found is None else rows_in(found, headings(table))
    return rows


def later_rows(book: Book, name: str) -> list[dict[str, Value]]:
    """The rows of a table that only some commands fill, as they stand in the workbook; none without it."""
    table = next(one for one in output_tables() if one.name == name)
    found = found_table(book, name, headings(table))
    return [] if found is None else rows_in(found, headings(table))


def protected(book: Book) -> tuple[Problem, ...]:
    """Sheets with a table of the planner's that are protected: written to all the same, and said."""
    found = [found_table(book, table.name, headings(table)) for table in written_tables()]
    places = {table.sheet: table for table in found if table is not None and table.sheet in book.protected_sheets}
    return tuple(
        Problem(f"{sheet}!{address(table.header_row, table.first_column)}", "sheet protected", (sheet,))
        for sheet, table in places.items()
    )


def written_tables() -> list[Table]:
    """The output tables that a plan fills."""
    return [table for table in output_tables() if not table.later]


def headings(table: Table) -> list[str]:
    """All headings of a table."""
    return list(table.headings)


def ours(name: str) -> list[str]:
    """The headings of an output table's columns that the planner writes."""
    table = next(table for table in output_tables() if table.name == name)
    return [column.heading for column in table.columns if column.owner == "ours"]


def shown(standing: Mapping[str, FoundTable | None], rows: Mapping[str, Sequence[Row]]) -> dict[str, list[Row]]:
    """What of the rows will stand in the workbook: our columns that are there; all of them in a table to be added."""
    found: dict[str, list[Row]] = {}
    for name, several in rows.items():
        table = standing[name]
        there = {key_of(heading) for heading in (table.headings if table else ours(name))}
        kept = [heading for heading in ours(name) if key_of(heading) in there]
        found[name] = [{heading: row.get(heading) for heading in kept} for row in several]
    return found


def fill(book: Book, table: FoundTable, owned: Sequence[str], rows: Sequence[Row]) -> None:
    """Queue our columns of a table, those of them that are there, and rows as high as what stands in them."""
    there = {key_of(heading) for heading in table.headings}
    columns = {heading: [row.get(heading) for row in rows] for heading in owned if key_of(heading) in there}
    if columns:
        book.fill_table(table, columns, len(rows))
        book.fit_rows(table)


def carry(book: Book, table: FoundTable, lines: Sequence[Placed], columns: frozenset[int]) -> None:
    """
    Queue the household's cells of the Plan table, each in the row its line has now; only cells that change.

    `columns` are the places of the household's columns in the table.
    """
    for place in range(max(len(lines), len(table.rows))):
        line = lines[place] if place < len(lines) else None
        stays = line is not None and line.beside is not None and line.beside.place == place
        emptied = line.beside.emptied if line is not None and line.beside is not None else frozenset()
        for column in sorted(columns & emptied if stays else columns):
            cell = line.beside.theirs.get(column) if line is not None and line.beside is not None else None
            before = table.rows[place][column] if place < len(table.rows) else None
            if (cell is None or cell.value is None) and (before is None or before.kind == "blank"):
                continue
            value = cell.value if cell is not None and can_move(cell) else None
            book.set(table.sheet, table.first_row + place, table.first_column + column, value)


def refuse_two_candidates(book: Book, wanted: Sequence[Table]) -> None:
    """Refuse to guess which of two blocks with the same headings is the table; raises WorkbookRefused."""
    problems = []
    for table in wanted:
        candidates = [] if book.table(table.name) else book.tables_by_headings(table.known_by, table.name)
        if len(candidates) > 1:
            places = " and ".join(one.heading_place(table.headings[0]) for one in candidates)
            names = (table.name, places, table.name.replace(" ", "_"))
            problems.append(Problem(candidates[0].heading_place(table.headings[0]), "headings twice", names))
    if problems:
        raise WorkbookRefused(problems)


def refuse_strangers(book: Book, wanted: Sequence[Table]) -> None:
    """Refuse to write into a table that only has the name of one of ours: it lacks most of its columns."""
    problems = []
    for table in wanted:
        found = book.table(table.name)
        if found is not None:
            there = {key_of(heading) for heading in found.headings}
            lacking = [heading for heading in ours(table.name) if key_of(heading) not in there]
            if 2 * len(lacking) > len(ours(table.name)):
                where, names = found.heading_place(found.headings[0]), (table.name, ", ".join(lacking[:4]))
                problems.append(Problem(where, "not a plan table", names))
    if problems:
        raise WorkbookRefused(problems)


def refuse_without_keys(plan: FoundTable) -> None:
    """Refuse a Plan table that lacks the columns a line is known by; raises WorkbookRefused."""
    there = {key_of(heading) for heading in plan.headings}
    problems = [
        Problem(plan.heading_place(plan.headings[0]), "column missing", ("Plan",), field=heading)
        for heading in KEY_HEADINGS
        if key_of(heading) not in there
    ]
    if problems:
        raise WorkbookRefused(problems)
