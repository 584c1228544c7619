"""Reading the record of what was made, and the lines of the plan that stand in the workbook."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING

from stillroom.errors import Problem
from stillroom.household.amounts import Amount
from stillroom.household.journal.past_years import EXPECTED, ON_HAND, PLANNED, WEIGHED, Past
from stillroom.household.names import key, tidy_text
from stillroom.household.records import (
    BOUGHT,
    FREEZE_WHOLE,
    HAPPENED,
    OF_A_CROP,
    THAW,
    Crop,
    Household,
    PantryItem,
    PlanLine,
    Preserve,
    RecordRow,
    ShelfRow,
)
from stillroom.household.text import format_count, format_list
from stillroom.household.units import UNITS, Unit, unit_of
from stillroom.workbook.ooxml.values import Cell
from stillroom.workbook.reader.cells import Entry, near_date
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.headings import first_heading, is_empty, match_columns
from stillroom.workbook.reader.stocks import kilograms, read_harvest
from stillroom.workbook.reader.tables import Row, Rows
from stillroom.workbook.schema import tables

if TYPE_CHECKING:
    from stillroom.workbook.ooxml.book import Book


IN_RECORD = (*OF_A_CROP, *HAPPENED)
STOCKS = ("Containers", "Lids", "Pantry")


def crop_of(text: str) -> tuple[str, str] | None:
    """
    Take `freeze whole: CROP` or `thaw: CROP` apart; None for anything else.

    >>> crop_of("Freeze  whole:plum tomato"), crop_of("tomato juice")
    (('freeze whole: ', 'plum tomato'), None)
    """
    return taken_apart(text, (FREEZE_WHOLE, THAW))


def taken_apart(text: str, starts: Sequence[str]) -> tuple[str, str] | None:
    """
    Take a beginning such as `ate: ` off a text, whatever its capitals and spaces; None where it has none of them.

    >>> taken_apart("Ate :tomato juice", HAPPENED), taken_apart("ate", HAPPENED)
    (('ate: ', 'tomato juice'), None)
    """
    before, colon, after = text.partition(":")
    for start in starts:
        if colon and key(before) == key(start.rstrip(": ")):
            return start, tidy_text(after)
    return None


def _line_name(entry: Entry, text: str, starts: Sequence[str]) -> tuple[str, str | None] | None:
    """
    Give a line's name as its table spells it, with the crop of a line that moves one; None when unknown.

    `starts` are the beginnings that are understood besides a preserve's plain name.
    """
    apart = None if entry.reading.names["Preserves"].find(text) is not None else taken_apart(text, starts)
    if apart is None:
        found = entry.reading.find(text, ("Preserves",), entry.where("preserve"))
        return None if found is None else (found[1], None)
    return _name_of_what_happened(entry, *apart)


def _name_of_what_happened(entry: Entry, start: str, text: str) -> tuple[str, str | None] | None:
    """
    Give the name of a row that is not about work, with its crop where it is about one; None when unknown.

    What left the kitchen is found among preserves, then crops: of a crop the row has Crop used in any case.
    """
    among = ("Crops",) if start in OF_A_CROP else STOCKS if start == BOUGHT else ("Preserves", "Crops")
    found = entry.reading.find(text, among, entry.where("preserve"))
    return None if found is None else (start + found[1], found[1] if found[0] == "Crops" else None)


def read_record(
    rows: Rows,
    crops: Mapping[str, Crop],
    preserves: Mapping[str, Preserve],
    reading: Reading,
    pantry: Mapping[str, PantryItem] = MappingProxyType({}),
) -> tuple[RecordRow, ...]:
    """Read the record of what was really made; what was bought of the larder is brought to its own unit."""
    found = []
    for row in rows.rows:
        entry = Entry(reading, row)
        made = _record_row(entry, crops, preserves, pantry)
        if made is not None and entry.sound:
            found.append(made)
    return tuple(found)


def _record_row(
    entry: Entry, crops: Mapping[str, Crop], preserves: Mapping[str, Preserve], pantry: Mapping[str, PantryItem]
) -> RecordRow | None:
    """Read one entry of the record, every cell of it."""
    day = near_date(entry, "date")
    typed = entry.text("preserve")
    crop_name = entry.named("crop")
    named = _named(entry, typed, crop_name)
    used = entry.amount("crop_used_kg", of=(crop_name,))
    unit = entry.unit("unit")
    numbers = {field: entry.number(field) or 0.0 for field in ("made", "failed_seals")}
    hands_hours = entry.number("hands_hours")
    if typed is not None and named is None:
        return None
    name, crop_moved = named if named is not None else (None, None)
    if name is not None and unit is not None and name.startswith(BOUGHT):
        numbers["made"] *= _units_of_stock(entry, unit, pantry.get(name.removeprefix(BOUGHT)))
    crop_name = _crop_of_row(entry, name, crop_moved, crop_name, used, preserves)
    crop = crops.get(crop_name) if crop_name is not None else None
    used_kg = None
    if crop is not None and used is not None:
        usual = UNITS[crop.unit] if unit is None else unit
        used_kg = kilograms(entry, "crop_used_kg", used, usual, crop)
    if day is None or not entry.sound:
        return None
    return RecordRow(
        day, name, crop=crop_name, crop_used_kg=used_kg, hands_hours=hands_hours, where=entry.where("date"), **numbers
    )


def _named(entry: Entry, typed: str | None, crop: str | None) -> tuple[str, str | None] | None:
    """
    Give the name of a row with its crop, by *What happened*; a table without that column may have `ate: ` in the name.

    The row of a crop has its name in *Crop* alone, or in *Preserve*. None when there is no name, or an unknown one.
    """
    happened = entry.choice("happened")
    start = next((one for one in HAPPENED if happened == one.rstrip(": ")), None)
    if start is None:
        return None if typed is None else _line_name(entry, typed, IN_RECORD)
    if typed is not None:
        apart = taken_apart(typed, (start,))
        return _name_of_what_happened(entry, start, typed if apart is None else apart[1])
    if start == BOUGHT:
        entry.wrong("preserve", "blank text")
        return None
    return None if crop is None else (start + crop, crop)


def _units_of_stock(entry: Entry, unit: Unit, item: PantryItem | None) -> float:
    """Give how much of the larder's own unit one unit of a row `bought: STOCK` is; a dozen jars or lids are twelve."""
    if item is None:
        return UNITS["dozen"].factor if unit.name == "dozen" else 1.0
    own = unit_of(item.unit)
    if unit.like(own):
        return 1.0 if unit.name == own.name else unit.factor * item.per_base
    entry.wrong("unit", "bought in another unit", item.name, unit.name, own.name)
    return 1.0


def _crop_of_row(
    entry: Entry,
    name: str | None,
    crop_moved: str | None,
    typed: str | None,
    used: Amount | None,
    preserves: Mapping[str, Preserve],
) -> str | None:
    """Give the crop a row of the record is about; where it cannot be known it is a problem."""
    if crop_moved is not None:
        if typed is not None and typed != crop_moved:
            entry.wrong("crop", "crop of another row", typed, str(name))
        if used is None and entry.sound:
            entry.wrong("crop_used_kg", "amount moved blank", entry.example("crop_used_kg"))
        return crop_moved
    if name is not None and name.startswith(HAPPENED):
        if typed is not None:
            entry.wrong("crop", "crop of another row", typed, name)
        return None
    if name is None and typed is None and entry.sound:
        entry.wrong("preserve", "record row without a name")
    if typed is not None or used is None or name is None:
        return typed
    preserve = preserves.get(name)
    taken = [line.item for line in preserve.ingredients if line.source == "crop"] if preserve is not None else []
    if len(taken) == 1:
        return taken[0]
    if preserve is not None and name not in entry.reading.unsure:
        entry.wrong("crop", "which crop", name)
    return None


def read_plan_lines(rows: Rows, crops: Mapping[str, Crop], reading: Reading) -> tuple[PlanLine, ...]:
    """
    Read the plan that stands in the workbook and the lines the household added to it.

    A row with nothing but a note is a line without a name, on the day of the row above it, so that the note is kept.
    """
    found: list[PlanLine] = []
    for row in rows.rows:
        entry = Entry(reading, row)
        line = _plan_line(entry, crops)
        if line is None and entry.sound and (note := entry.text("note")) is not None:
            day = found[-1].day if found else reading.first_day
            line = PlanLine(day, 1, "", note=note, where=row.where("note"))
        if line is not None:
            found.append(line)
    return tuple(found)


def _plan_line(entry: Entry, crops: Mapping[str, Crop]) -> PlanLine | None:
    """
    Read one line; None for one that says nothing.

    A line of the last plan for what is not known any more is let go, unless something was typed beside it.
    """
    fix, made, make = (entry.amount(field, example=_amount_example(entry), of=()) for field in ("fix", "made", "make"))
    typed = fix is not None or made is not None or not entry.sound
    name = entry.text("preserve")
    if name is None:
        if typed or make is not None:
            entry.wrong("preserve", "blank text")
        return None
    note = entry.text("note")
    if not typed and make is None and note is None:
        return None
    day = near_date(entry, "day") if typed else entry.date("day")
    if day is None:
        if entry.sound:
            entry.wrong("day", "blank required", entry.example("day"))
        return None
    days = _days(entry)
    known = _known_line(entry, name, made=made is not None, kept=fix is not None)
    if known is None and fix is None and note is None:
        return None
    line_name, crop = known or (name, None)
    grown = crops.get(crop) if crop is not None else None
    return PlanLine(
        day,
        days,
        line_name,
        make=_in_line(entry, "make", make, grown),
        fix=_in_line(entry, "fix", fix, grown),
        made=_in_line(entry, "made", made, grown),
        note=note,
        can_wait_until=_written(entry, "can_wait_until"),
        otherwise=_written(entry, "else"),
        where=entry.where("preserve"),
    )


def _written(entry: Entry, field: str) -> str:
    """Return the text in a cell of the planner's; empty where there is none."""
    cell = entry.row.cells.get(field)
    return cell.value if cell is not None and isinstance(cell.value, str) else ""


def _amount_example(entry: Entry) -> str:
    """Return what a line's Keep at and Made could be: a weight where crop is moved, else a number of containers."""
    cell = entry.row.cells.get("preserve")
    moves_crop = cell is not None and isinstance(cell.value, str) and crop_of(cell.value) is not None
    return ("5 kg" if entry.reading.metric else "10 lb") if moves_crop else "7"


def _days(entry: Entry) -> int:
    """Give how many days a line is for: 1 when blank, or 7."""
    days = entry.whole("days")
    if days not in (None, 1, 7):
        entry.wrong("days", "days of a line", str(days))
    return 7 if days == 7 else 1


def _known_line(entry: Entry, text: str, *, made: bool, kept: bool) -> tuple[str, str | None] | None:
    """
    Give a line's name and crop; an unknown name stops only where something was made of it.

    A line that the household keeps at a number may have an everyday name; one of the last plan has its own.
    """
    if made:
        return _line_name(entry, text, (FREEZE_WHOLE, THAW))
    apart = crop_of(text)
    if apart is None:
        preserves = entry.reading.names["Preserves"]
        meant = preserves.meant(text) if kept else ()
        found = meant[0] if len(meant) == 1 else preserves.find(text)
        return None if found is None else (found, None)
    found = entry.reading.names["Crops"].find(apart[1])
    return None if found is None else (apart[0] + found, found)


def _in_line(entry: Entry, field: str, amount: Amount | None, crop: Crop | None) -> float | None:
    """Give an amount of a line: containers, or kg of a crop in the line's unit."""
    if amount is None:
        return None
    if crop is not None:
        unit = amount.unit or entry.unit("unit") or UNITS[crop.unit]
        return kilograms(entry, field, amount, unit, crop)
    if amount.unit is not None and amount.unit.measures != "count":
        entry.wrong(field, "line not counted", amount.unit.name)
        return None
    return entry.in_range(field, amount.number * (amount.unit.factor if amount.unit is not None else 1.0))


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
