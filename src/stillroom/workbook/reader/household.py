"""Reading a household out of a workbook: every problem in one pass, and all amounts in the units used inside."""

from __future__ import annotations

import datetime
import itertools
from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from stillroom.errors import Problem
from stillroom.household.checks import with_loads
from stillroom.household.names import key, tidy_text
from stillroom.household.records import BOUGHT, LEFT, OF_A_CROP, Household, Preserve, RecordRow
from stillroom.household.scenarios import harvest_cases
from stillroom.household.text import format_number
from stillroom.workbook.reader.context import WORDS, Reading
from stillroom.workbook.reader.kitchen import is_metric, read_equipment, read_hours, read_kitchen, with_day_starts
from stillroom.workbook.reader.preserves import Stores, read_ingredients, read_preserves, read_targets
from stillroom.workbook.reader.record import read_plan_lines, read_record
from stillroom.workbook.reader.stocks import (
    read_containers,
    read_crops,
    read_harvest,
    read_lids,
    read_pantry,
    read_shelf,
)
from stillroom.workbook.reader.tables import Row, Rows, find_rows

if TYPE_CHECKING:
    from stillroom.workbook.ooxml.book import Book


# Gathering the names that join the tables, before anything else is read.

ITEMS = ("Crops", "Pantry", "Preserves")
"""Tables whose things may all be ingredients, so that a name may stand in only one of them."""


def gather_names(found: Mapping[str, Rows], reading: Reading) -> None:
    """Take in the names of crops, containers, preserves and the like; one name for two ingredients is a problem."""
    places = reading.places
    for table in WORDS:
        note_filled_down(table, found[table].rows, reading)
        for row in found[table].rows:
            cell = row.cells.get("name")
            if cell is None or cell.kind in ("blank", "error") or not tidy_text(str(cell.value)):
                continue
            name = tidy_text(str(cell.value)) if not isinstance(cell.value, float) else f"{cell.value:.15g}"
            if reading.names[table].add(name, handbook_food(row)) is None:
                places[table][name] = row.where("name")
    for number, table in enumerate(ITEMS):
        for other in ITEMS[:number]:
            for name in reading.names[table]:
                before = reading.names[other].find(name)
                if before is not None:
                    words = (WORDS[table], WORDS[other], places[other][before])
                    reading.note(places[table][name], "name of two things", name, *words)


def handbook_food(row: Row) -> str | None:
    """Return the handbook food typed in a row of Crops, a name the crop may go by."""
    cell = row.cells.get("handbook_food")
    return tidy_text(str(cell.value)) if cell is not None and cell.kind == "text" else None


FILLED_DOWN = 3
"""From this many rows of one name below one another on, the name was filled down over others."""


def note_filled_down(table: str, rows: Sequence[Row], reading: Reading) -> None:
    """Note a name that stands in several rows below one another, once; names that are lost by it are not missed."""
    if table == "Equipment":  # one row for each unit that its load is counted in
        return
    for _, same in itertools.groupby(
        rows, lambda row: key(str(row.cells["name"].value)) if "name" in row.cells else ""
    ):
        several = list(same)
        first, last = several[0].cells.get("name"), several[-1].cells.get("name")
        if len(several) >= FILLED_DOWN and first is not None and last is not None and first.kind == "text":
            place = f"{several[0].where('name')}:{last.address}"
            reading.note(place, "name filled down", tidy_text(str(first.value)), format_number(len(several)), table)
            reading.filled_down.add(table)
            reading.missing.add(table)


def household(book: Book, today: datetime.date) -> tuple[Household, tuple[Problem, ...]]:
    """
    Read the household of a workbook as typed, in kg, litres, hours, containers and money, with every problem found.

    `today` is the first day when the workbook names none. Where something cannot be read, what rests on it is left
    out, so that it brings no further problems: a preserve with an unreadable line, and what is made from that; a need
    that only such preserves count toward. There is then no plan, because a problem stops it.
    """
    reading = Reading(today)
    found = find_rows(book, reading)
    reading.metric = is_metric(found)
    gather_names(found, reading)
    first_cell = f"{book.sheet_names[0]}!A1"
    kitchen = read_kitchen(found["Kitchen"], reading, today)
    if not kitchen.where:
        kitchen = replace(kitchen, where=first_cell, gauge_where=first_cell)
    equipment = read_equipment(found["Equipment"], reading)
    kitchen = with_day_starts(kitchen, found["Hours"], reading)
    hours = read_hours(found["Hours"], reading, first_cell)
    crops = read_crops(found["Crops"], reading)
    lids = read_lids(found["Lids"], reading)
    containers = read_containers(found["Containers"], reading)
    pantry = read_pantry(found["Pantry"], reading)
    stores = Stores({c.name: c for c in crops}, {i.name: i for i in pantry}, {c.name: c for c in containers})
    preserves = _with_ingredients(found, stores, reading)
    typed = Household(
        kitchen=kitchen,
        hours=hours,
        equipment=equipment,
        crops=crops,
        lots=read_harvest(found["Harvest"], stores.crops, reading),
        containers=containers,
        lids=lids,
        pantry=pantry,
        shelf=read_shelf(found["Shelf"], reading),
        preserves=tuple(preserves.values()),
        targets=read_targets(found["Winter list"], found["Counts toward"], reading),
        record=read_record(found["Record"], stores.crops, preserves, reading, stores.pantry),
        plan_lines=read_plan_lines(found["Plan"], stores.crops, reading),
    )
    whole, problems = with_loads(without_unsure(typed, reading.unsure), reading.unsure_equipment)
    note_likely_harvest(whole, reading)
    return whole, reading.problems() + problems


def note_likely_harvest(whole: Household, reading: Reading) -> None:
    """Note once, where *plan for* is blank, that lots which may be less or more count with their amount alone."""
    if reading.plan_for_blank and len(harvest_cases(whole)) > 1:
        reading.note(reading.plan_for_blank, "planned for likely harvest")


def _with_ingredients(found: dict[str, Rows], stores: Stores, reading: Reading) -> dict[str, Preserve]:
    """Read the preserves and give each its ingredients."""
    preserves = read_preserves(found["Preserves"], stores, reading)
    lines = read_ingredients(found["Ingredients"], preserves, stores, reading)
    return {name: replace(one, ingredients=tuple(lines.get(name, ()))) for name, one in preserves.items()}


def without_unsure(typed: Household, unsure: set[str]) -> Household:
    """
    Leave out the preserves that cannot be read, those made from them, and what rests on nothing else.

    Crops and preserves that a line names are then always there.
    """
    known = {preserve.name for preserve in typed.preserves} - unsure
    changed = True
    while changed:
        sound = {
            preserve.name
            for preserve in typed.preserves
            if preserve.name in known
            and all(line.item in known for line in preserve.ingredients if line.source == "preserve")
        }
        changed = sound != known
        known = sound
    left_out = {name for name in unsure | {preserve.name for preserve in typed.preserves} if name not in known}
    targets = []
    for target in typed.targets:
        counts = {name: each for name, each in target.counts.items() if name in known}
        if counts or not target.counts:
            targets.append(replace(target, counts=MappingProxyType(counts)))
    return replace(
        typed,
        preserves=tuple(preserve for preserve in typed.preserves if preserve.name in known),
        targets=tuple(targets),
        shelf=tuple(row for row in typed.shelf if row.preserve in known),
        record=tuple(row for row in typed.record if _stands(row, known)),
        plan_lines=tuple(line for line in typed.plan_lines if line.name not in left_out),
    )


def _stands(row: RecordRow, known: set[str]) -> bool:
    """Whether what a row of the record names is there; crops and stocks were looked up when it was read."""
    name = row.preserve
    if name is None or name.startswith((*OF_A_CROP, BOUGHT)):
        return True
    start = next((one for one in LEFT if name.startswith(one)), "")
    return bool(start and row.crop) or name.removeprefix(start) in known
