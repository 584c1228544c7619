"""A workbook turned into that of the next year: the past year moved into Past years, the rest carried over."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Mapping, Sequence

from stillroom.household.journal.past_years import Past, past_rows
from stillroom.household.merging import shown
from stillroom.household.names import key
from stillroom.household.records import Household, Lot, ShelfRow
from stillroom.household.results.bottlenecks import PAST_NOTE
from stillroom.household.results.next_year import COUNTS, RECORD, Change, NextYear, seasons_words
from stillroom.household.results.rows import Row, cell_number, in_crop_unit
from stillroom.workbook.ooxml.book import Book, Cell, FoundTable, Value
from stillroom.workbook.ooxml.formulas import references
from stillroom.workbook.ooxml.tables import key_of
from stillroom.workbook.schema import output_tables, tables
from stillroom.workbook.writer import plan as write
from stillroom.workbook.writer.record import (
    add_rows,
    first_free,
    input_table,
    refuse_without_columns,
    row_number,
    set_cells,
)

_FROM_RECORD = re.compile(rf"(?:^|; ){RECORD}[^;]*")
_FIRST_DAY = key("first day")
_OTHER_SETTING = re.compile(
    r'INDEX\(Kitchen\[Value\],MATCH\("(?!first day")[^"]*",Kitchen\[Setting\],0\)\)', re.IGNORECASE
)
"""Looking up a setting by its name, as the starting workbook does."""


def write_next_year(book: Book, typed: Household, past: Past, found: NextYear) -> list[str]:
    """
    Queue all that makes a workbook that of the next year; gives what could not be written, in words.

    `typed` is the household up to that day, with what was typed in *Made* in its record; `past` are the years before.
    Raises WorkbookRefused where a table cannot grow or lacks a column.
    """
    places = [row.where for row in typed.record]
    places += [lot.where for lot in typed.lots]
    places += [line.where for line in typed.plan_lines]
    said: list[str] = []
    notes = notes_of(book, places)
    add_rows(book, "Past years", past_rows(typed, past, notes))
    set_first_day(book, found.first_day, said)
    keep_wanted(book)
    empty(book, "Record", [row.where for row in typed.record])
    replace_rows(book, "Harvest", [lot.where for lot in typed.lots], harvest_rows(typed, found, notes))
    write_shelf(book, typed, found.shelf, said)
    for one in (*found.counts, *found.yields, *found.targets):
        change_cell(book, one, found.day, said)
    clear_plan(book)
    return said


# The past year: what was written beside its rows, and the rows themselves.


def notes_of(book: Book, places: Iterable[str]) -> dict[str, str]:
    """Return by place what the row of each has in *Note* and in columns of the household's own; formulas are left."""
    rows: dict[str, list[str]] = {}
    for where in places:
        rows.setdefault(where.rpartition("!")[0], []).append(where)
    found: dict[str, str] = {}
    for name in ("Record", "Harvest", "Plan"):
        table = input_table(book, name)
        if table is None:
            continue
        own = {key_of(one) for one in tables()[name].headings} - {key_of("Note")}
        columns = [number for number, one in enumerate(table.headings) if key_of(one) not in own]
        for where in rows.get(table.sheet, ()):
            cells = cells_of(book, table, row_number(where))
            words = [words_of(table.headings[one], cells[one]) for one in columns]
            found[where] = "; ".join(filter(None, words))
    return {where: text for where, text in found.items() if text}


def words_of(heading: str, cell: Cell) -> str:
    """Return what stands in a cell beside a row of ours, under which heading; nothing of a formula."""
    if cell.formula is not None or cell.value is None:
        return ""
    return shown(cell.value) if key_of(heading) == key_of("Note") else f"{heading}: {shown(cell.value)}"


def empty(book: Book, name: str, places: Iterable[str]) -> list[int]:
    """Queue blanks in the rows of a table at these places, formulas left out; gives the sheet rows, from the top."""
    table = input_table(book, name)
    if table is None:
        return []
    rows = sorted({row_number(where) for where in places if where.rpartition("!")[0] == table.sheet})
    for row in rows:
        empty_row(book, table, row)
    return [row for row in rows if row <= table.last_row]


def empty_row(book: Book, table: FoundTable, row: int) -> None:
    """Queue blanks in one row; formulas stay."""
    for cell in cells_of(book, table, row):
        if cell.value is not None and cell.formula is None:
            book.set(table.sheet, row, cell.column, None)


def cells_of(book: Book, table: FoundTable, row: int) -> Sequence[Cell]:
    """Return the cells of a row of a table, or of one below it that is read with it."""
    if table.first_row <= row <= table.last_row:
        return table.rows[row - table.first_row]
    return [book.cell(table.sheet, row, column) for column in range(table.first_column, table.last_column + 1)]


def replace_rows(book: Book, name: str, gone: Iterable[str], rows: Sequence[Row]) -> None:
    """
    Queue rows in the places of others that go, from the top, and below all rows where these are not enough.

    Raises WorkbookRefused where the table lacks a column without which a row would say something else.
    """
    free = empty(book, name, gone)
    table = input_table(book, name)
    if table is None:
        add_rows(book, name, rows)
        return
    rows = [{name: one for name, one in row.items() if not follows(table, name, one)} for row in rows]
    refuse_without_columns(table, name, rows)
    below = first_free(table)
    last = max(below + len(rows) - len(free) - 1, table.last_row)
    book.fill_table(table, {}, last - table.first_row + 1)
    for row, at in zip(rows, [*free, *range(below, last + 1)], strict=False):
        set_cells(book, table, at, {heading: value for heading, value in row.items() if value is not None})


def follows(table: FoundTable, heading: str, value: Value) -> bool:
    """Whether a value is the same as a blank where its column is not there."""
    return table.column(heading) is None and (heading in ("Unit", "Best by") or value == "weighed")


# What is carried over.


def harvest_rows(typed: Household, found: NextYear, notes: Mapping[str, str]) -> list[Row]:
    """Return the rows of Harvest: what is still there, then what to expect, in order of day."""
    there = [lot_row(lot, typed) | {"Note": notes.get(lot.where)} for lot in found.lots]
    expected = [
        lot_row(lot, typed) | {"Note": seasons_words(one.seasons)} for one in found.expected for lot in one.lots
    ]
    return [*there, *sorted(expected, key=lambda row: str(row["Picked on"]))]


def lot_row(lot: Lot, typed: Household) -> Row:
    """Return a row of Harvest, in the crop's own unit."""
    crop = typed.crop(lot.crop)
    kg = {"Amount": lot.kg, "Least": lot.least_kg, "Most": lot.most_kg}
    amounts: Row = {name: None if one is None else cell_number(in_crop_unit(one, crop)) for name, one in kg.items()}
    about: Row = {"Picked on": lot.picked_on, "Crop": lot.crop, "Unit": crop.unit, "Frozen on": lot.frozen_on}
    return about | amounts | {"Weighed or expected": "expected" if lot.expected else "weighed"}


def write_shelf(book: Book, typed: Household, shelf: Sequence[ShelfRow], said: list[str]) -> None:
    """Queue the shelf: rows still there keep their place, those used up go, what was made since is added."""
    table = input_table(book, "Shelf")
    left = {row.where: row for row in shelf}
    before = {row.where for row in typed.shelf}
    for row in typed.shelf:
        now = left.get(row.where)
        if now is not None and now.count != row.count:
            count = float(cell_number(now.count))
            change = Change("Shelf", row.where, row.preserve, "On hand", row.count, count)
            change_cell(book, change, None, said)
    made: dict[tuple[str, datetime.date | None, datetime.date | None], float] = {}
    for row in shelf:
        if row.where not in before:
            one = (row.preserve, row.made_on, row.best_by)
            made[one] = made.get(one, 0.0) + row.count
    rows: list[Row] = [
        {"Preserve": name, "On hand": cell_number(count), "Made on": made_on, "Best by": best_by}
        for (name, made_on, best_by), count in made.items()
    ]
    if table is not None or rows:
        replace_rows(book, "Shelf", [row.where for row in typed.shelf if row.where not in left], rows)


def set_first_day(book: Book, day: datetime.date, said: list[str]) -> None:
    """Queue the first day in Kitchen, in a row of its own where there is none."""
    table = input_table(book, "Kitchen")
    setting, value = (None, None) if table is None else (table.column("Setting"), table.column("Value"))
    if table is None or setting is None or value is None:
        return
    for place, cells in table.rows.filled():
        if key(str(cells[setting - table.first_column].value)) == _FIRST_DAY:
            cell = cells[value - table.first_column]
            if cell.formula is not None:
                said.append(f"The first day replaced the formula in {table.sheet}!{cell.address}.")
            book.set(table.sheet, table.first_row + place, value, day)
            return
    add_rows(book, "Kitchen", [{"Setting": "first day", "Value": day}])


def keep_wanted(book: Book) -> None:
    """
    Keep the saved results of formulas in the winter list that look at plain cells of their row and at settings by name.

    Only the first day changes among the settings, and what is asked of one by its name does not change with another.
    """
    table = input_table(book, "Winter list")
    columns = () if table is None else (table.column("Wanted"), table.column("At most"))
    for place, cells in table.rows.filled() if table is not None else ():
        for column in columns:
            cell = cells[column - table.first_column] if table is not None and column is not None else None
            if table is not None and cell is not None and cell.formula is not None:
                found = references(_OTHER_SETTING.sub("0", cell.formula))
                beside = [table.column(name) for use in found.tables for name in use.columns]
                plain = all(one is not None and cells[one - table.first_column].formula is None for one in beside)
                own = all(use.this_row and key_of(use.table) in ("", key_of(table.name)) for use in found.tables)
                if plain and own and not (found.areas or found.names or found.dynamic):
                    book.keep_result(table.sheet, table.first_row + place, cell.column)


def change_cell(book: Book, one: Change, counted_on: datetime.date | None, said: list[str]) -> None:
    """Queue another value in one cell, with its note, and *Counted on* of a count; a formula stays, and is said."""
    table = input_table(book, one.table)
    column = None if table is None else table.column(one.heading)
    if table is None or column is None:
        return
    row = row_number(one.where)
    cells = {cell.column: cell for cell in cells_of(book, table, row)}
    cell = cells[column]
    if cell.formula is not None:
        if one.now != one.before:
            said.append(
                f"{table.sheet}!{cell.address} is a formula, so it stays: {one.heading} of {one.name} would be "
                f"{shown(one.now)} {one.unit}".rstrip()
                + "."
            )
        return
    if one.now != one.before or one.table not in COUNTS.values():
        with_unit = cell.kind == "text" and one.unit
        book.set(table.sheet, row, column, f"{one.now:.15g} {one.unit}" if with_unit else cell_number(one.now))
    day = table.column("Counted on")
    if counted_on is not None and day is not None and one.table in COUNTS.values() and cells[day].formula is None:
        book.set(table.sheet, row, day, counted_on)
    noted = table.column("Note")
    if one.note and noted is not None and cells[noted].formula is None:
        book.set(table.sheet, row, noted, noted_again(cells[noted].value, one.note))


def noted_again(before: Value, note: str) -> str:
    """
    Return a note added to the one there, in place of what an earlier year's record added.

    >>> noted_again("our record, 1 season (3.25 lb before)", "our record, 2 seasons (3.4 lb before)")
    'our record, 2 seasons (3.4 lb before)'
    >>> noted_again("thick; our record, 1 season", "our record, 2 seasons"), noted_again(None, "our record, 1 season")
    ('thick; our record, 2 seasons', 'our record, 1 season')
    """
    kept = _FROM_RECORD.sub("", shown(before)) if before is not None else ""
    return "; ".join(filter(None, (kept.strip("; "), note)))


# What the last plan left.


def clear_plan(book: Book) -> None:
    """
    Queue blanks in what earlier commands wrote: output tables, what is beside the plan, and the notes.

    The note of past bottlenecks stays, for the review.
    """
    for described in output_tables():
        table = write.found_table(book, described.name, described.headings)
        if table is None:
            continue
        if described.name == "Plan":
            for place, _ in table.rows.filled():
                empty_row(book, table, table.first_row + place)
        else:
            write.fill(book, table, write.ours(described.name), [])
    suppose = book.table("Suppose")
    column = None if suppose is None else suppose.column("Would give")
    if suppose is not None and column is not None:
        for place, cells in suppose.rows.filled():
            if cells[column - suppose.first_column].value is not None:
                book.set(suppose.sheet, suppose.first_row + place, column, None)
    notes = write.notes_in(book)
    if notes:
        write.write_notes(book, {PAST_NOTE: notes.get(PAST_NOTE, "")})
