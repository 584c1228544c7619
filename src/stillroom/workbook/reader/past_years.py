"""Reading the table Past years by the readers of Harvest and Record; what it names and is not there is left out."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from stillroom.errors import Problem
from stillroom.household.journal.past_years import EXPECTED, ON_HAND, PLANNED, WEIGHED, Past
from stillroom.household.names import key
from stillroom.household.records import Household, ShelfRow
from stillroom.household.text import format_count, format_list
from stillroom.workbook.ooxml.values import Cell
from stillroom.workbook.reader.cells import Entry
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.headings import first_heading, is_empty, match_columns
from stillroom.workbook.reader.record import read_record
from stillroom.workbook.reader.stocks import read_harvest
from stillroom.workbook.reader.tables import Row, Rows
from stillroom.workbook.schema.schema import tables

if TYPE_CHECKING:
    from stillroom.workbook.ooxml.book import Book

NAME = "Past years"
MOST_NAMED = 3
AS_IN_HARVEST = {"date": "picked_on", "amount": "kg", "happened": "expected"}
AS_IN_RECORD = {"amount": "crop_used_kg"}
AS_ON_SHELF = {"date": "made_on", "made": "count"}
"""Which field of Harvest, Record and Shelf a field of Past years is, where it is called otherwise."""


def read_past(book: Book, typed: Household) -> tuple[Past, tuple[Problem, ...]]:
    """
    Read what earlier years recorded, by the names that the household has now.

    Rows that cannot be read, or name what is not there any more, are left out; one problem says how many.
    """
    found = book.table(NAME)
    if found is None:
        return Past(), ()
    reading = reading_of(typed)
    columns = match_columns(found, tables()[NAME], reading)
    rows: dict[str, list[Row]] = defaultdict(list)
    for _, cells in found.rows.filled():
        mine = {field: cells[place] for field, place in columns.items()}
        if not all(is_empty(cell) for cell in mine.values()):
            what = str(mine["happened"].value) if "happened" in mine else ""
            table, names = table_of(what)
            rows[table].append(as_row(found.sheet, first_heading(found), mine, table, names))
    lots = read_harvest(rows_of("Harvest", rows), {crop.name: crop for crop in typed.crops}, reading)
    preserves = {item.name: item for item in typed.preserves}
    pantry = {item.name: item for item in typed.pantry}
    crops = {crop.name: crop for crop in typed.crops}
    record = read_record(rows_of("Record", rows), crops, preserves, reading, pantry)
    shelf = [one for row in rows["Shelf"] if (one := shelf_row(Entry(reading, row))) is not None]
    lost = sum(map(len, (rows["Harvest"], rows["Record"], rows["Shelf"]))) - len(lots) - len(record) - len(shelf)
    return Past(lots, record, tuple(shelf)), left_out(reading, lost, first_heading(found))


def table_of(what: str) -> tuple[str, dict[str, str]]:
    """
    Return the table that a row of Past years comes from, and what its fields are called there.

    >>> table_of("weighed")[0], table_of("ate")[0], table_of("On hand")[0]
    ('Harvest', 'Record', 'Shelf')
    """
    if key(what) in (key(WEIGHED), key(EXPECTED)):
        return "Harvest", AS_IN_HARVEST
    if key(what) == key(ON_HAND):
        return "Shelf", AS_ON_SHELF
    return ("Plan" if key(what) == key(PLANNED) else "Record"), AS_IN_RECORD


def as_row(sheet: str, heading: str, cells: dict[str, Cell], table: str, names: dict[str, str]) -> Row:
    """Return a row of Past years as a row of the table it comes from."""
    wanted = {column.field: column for column in tables()[table].columns}
    mine = {names.get(field, field): cell for field, cell in cells.items()}
    return Row(sheet, heading, {field: cell for field, cell in mine.items() if field in wanted}, wanted)


def rows_of(table: str, rows: dict[str, list[Row]]) -> Rows:
    """Return the rows that come from one table."""
    return Rows(tables()[table], rows=tuple(rows[table]))


def reading_of(typed: Household) -> Reading:
    """Return a reading that knows the household's names and units."""
    reading = Reading(typed.kitchen.first_day)
    reading.metric = typed.kitchen.weight_unit == "kg"
    for crop in typed.crops:
        reading.names["Crops"].add(crop.name, crop.handbook_food)
    for table, names in (
        ("Preserves", [one.name for one in typed.preserves]),
        ("Containers", [one.name for one in typed.containers]),
        ("Lids", [one.name for one in typed.lids]),
        ("Pantry", [one.name for one in typed.pantry]),
    ):
        for name in names:
            reading.names[table].add(name)
    return reading


def shelf_row(entry: Entry) -> ShelfRow | None:
    """Read what was on the shelf before the first record; None where it cannot be read."""
    name, count, made_on = entry.named("preserve"), entry.number("count"), entry.date("made_on")
    if name is None or count is None or not entry.sound:
        return None
    return ShelfRow(name, count, made_on, where=entry.where("preserve"))


def left_out(reading: Reading, rows: int, heading: str) -> tuple[Problem, ...]:
    """Say how many rows were left out, and the first names that are not there any more."""
    if not rows:
        return ()
    unknown = [one for one in reading.problems() if one.kind == "unknown name"]
    names = list(dict.fromkeys(one.names[0] for one in unknown))
    where = unknown[0].where if unknown else heading
    words = f" ({format_list(names, MOST_NAMED)})" if names else ""
    return (Problem(where, "past rows left out", (format_count(rows, "row"), words)),)
