"""What earlier years recorded, kept in the table Past years: as its rows, and put together with this year's record."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from stillroom.household.records import FREEZE_WHOLE, HAPPENED, OF_A_CROP, Household, Lot, PlanLine, RecordRow, ShelfRow
from stillroom.household.results.rows import Row, cell_number, in_crop_unit

WEIGHED, EXPECTED, ON_HAND, PLANNED = "weighed", "expected", "on hand", "planned"
"""What happened, of rows that do not come from the record."""


@dataclass(frozen=True)
class Past:
    """Lots and record of earlier years, and the shelf from before their first record."""

    lots: tuple[Lot, ...] = ()
    record: tuple[RecordRow, ...] = ()
    shelf: tuple[ShelfRow, ...] = ()


def own_lots(typed: Household, past: Past) -> list[Lot]:
    """Return the lots of this year: without those that were carried over, which earlier years weighed or froze."""
    known = {(lot.crop, lot.picked_on, lot.frozen_on) for lot in past.lots}
    known |= {(row.crop or "", row.date, row.date) for row in past.record if is_frozen_whole(row)}
    return [lot for lot in typed.lots if lot.expected or (lot.crop, lot.picked_on, lot.frozen_on) not in known]


def own_shelf(typed: Household, past: Past) -> list[ShelfRow]:
    """Return the rows of the shelf that no earlier year made or had: those that were not carried over."""
    known = {(row.preserve, row.date) for row in past.record} | {(row.preserve, row.made_on) for row in past.shelf}
    return [row for row in typed.shelf if (row.preserve, row.made_on) not in known]


def is_frozen_whole(row: RecordRow) -> bool:
    """Whether a row of the record tells of a crop frozen whole."""
    return row.preserve is not None and row.preserve.startswith(FREEZE_WHOLE)


def with_past(typed: Household, past: Past) -> Household:
    """Return the household with all years in its record, its lots and its shelf; what was carried over counts once."""
    return replace(
        typed,
        lots=(*past.lots, *own_lots(typed, past)),
        record=(*past.record, *typed.record),
        shelf=(*past.shelf, *own_shelf(typed, past)),
    )


def known_until(typed: Household, past: Past) -> datetime.date:
    """Return the first day; of a next year in which nothing was weighed yet, the day of the last record before it."""
    first = typed.kitchen.first_day
    if not past.record or any(not lot.expected for lot in own_lots(typed, past)):
        return first
    return min(first, max(row.date for row in (*past.record, *typed.record)))


def past_rows(typed: Household, past: Past, notes: Mapping[str, str]) -> list[Row]:
    """
    Return the rows of Past years that this year adds, in the order of their days.

    `notes` are those of rows of the record, of lots and of plan lines, by the place of each.
    """
    rows = [
        *(shelf_row(row, typed.kitchen.first_day) for row in own_shelf(typed, past)),
        *(lot_row(lot, typed) | {"Note": notes.get(lot.where)} for lot in own_lots(typed, past)),
        *(record_row(row, typed) | {"Note": notes.get(row.where)} for row in typed.record),
        *(plan_row(line, typed) | {"Note": notes.get(line.where)} for line in plan_lines(typed.plan_lines)),
    ]
    return sorted(rows, key=lambda row: (row["Year"], str(row.get("Date") or "")))


def plan_lines(lines: Iterable[PlanLine]) -> list[PlanLine]:
    """Return the lines of a plan that make something, or that the household kept."""
    return [line for line in lines if line.name and (line.make or line.fix)]


def shelf_row(row: ShelfRow, day: datetime.date) -> Row:
    """Return the row of what was on the shelf before the record; one without a day belongs to the year of `day`."""
    about: Row = {"Year": (row.made_on or day).year, "Date": row.made_on, "What happened": ON_HAND}
    return about | {"Preserve": row.preserve, "Made": cell_number(row.count)}


def lot_row(lot: Lot, typed: Household) -> Row:
    """Return the row of a lot, in the crop's own unit."""
    crop = typed.crop(lot.crop)
    kg = {"Amount": lot.kg, "Least": lot.least_kg, "Most": lot.most_kg}
    row: Row = {
        "Year": lot.picked_on.year,
        "Date": lot.picked_on,
        "What happened": EXPECTED if lot.expected else WEIGHED,
        "Crop": lot.crop,
        "Unit": crop.unit,
        "Frozen on": lot.frozen_on,
    }
    return row | {name: None if one is None else cell_number(in_crop_unit(one, crop)) for name, one in kg.items()}


def record_row(row: RecordRow, typed: Household) -> Row:
    """Return the row of an entry of the record, crop in its own unit."""
    start = next((one for one in HAPPENED if (row.preserve or "").startswith(one)), "")
    name = (row.preserve or "").removeprefix(start)
    of_crop = bool(start) and row.crop is not None
    found: Row = {
        "Year": row.date.year,
        "Date": row.date,
        "What happened": start.rstrip(": ") or ("made" if row.preserve else None),
        "Preserve": None if of_crop else name or None,
        "Made": cell_number(row.made) if row.made else None,
        "Failed seals": cell_number(row.failed_seals) if row.failed_seals else None,
        "Crop": row.crop,
        "Hands-on hours": row.hands_hours,
    }
    if row.crop is not None and row.crop_used_kg is not None:
        crop = typed.crop(row.crop)
        return found | {"Amount": cell_number(in_crop_unit(row.crop_used_kg, crop)), "Unit": crop.unit}
    units = {item.name: item.unit for item in typed.pantry}
    stocks = {one.name for one in typed.containers} | {one.name for one in typed.lids}
    return found | ({"Unit": units[name]} if start == "bought: " and name in units and name not in stocks else {})


def plan_row(line: PlanLine, typed: Household) -> Row:
    """Return the row of a line of the plan; of a crop moved into or out of the freezer with its amount."""
    much = line.make if line.make is not None else line.fix or 0.0
    row: Row = {"Year": line.day.year, "Date": line.day, "What happened": PLANNED, "Preserve": line.name}
    crops = {crop.name: crop for crop in typed.crops}
    crop = crops.get(line.name.partition(": ")[2]) if line.name.startswith(OF_A_CROP) else None
    if crop is None:
        return row | {"Made": cell_number(much)}
    return row | {"Crop": crop.name, "Amount": cell_number(in_crop_unit(much, crop)), "Unit": crop.unit}
