"""This morning's list: the lots by how long they keep, what comes out of the freezer, what is to be put away."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stillroom.errors import Problem
from stillroom.household.amounts import shown
from stillroom.household.answer.units import in_crop_unit
from stillroom.household.answer.words import day_words, listed
from stillroom.household.lots_today import LotToday, lots_today, wanted
from stillroom.household.records import FREEZE_WHOLE, THAW, Household, PlanLine

CANNED = ("boiling-water canned", "pressure canned")
SEALS_SOURCE = "USDA Complete Guide to Home Canning, AIB 539, Guide 1"
LOOK_BACK_DAYS = 7
NEAR_DAYS = 2
"""Work recorded so many days before or after its day may be that of the plan."""


@dataclass(frozen=True)
class Moved:
    """So much of a crop to be moved into or out of the freezer, in its own unit."""

    crop: str
    amount: float
    unit: str


@dataclass(frozen=True)
class PutAway:
    """What was put up the day before: how many, how many of them did not seal, and whether it has seals at all."""

    preserve: str
    made: float
    failed: float
    canned: bool


@dataclass(frozen=True)
class Today:
    """The whole list. `planned` says whether the workbook holds a plan for this day."""

    day: datetime.date
    planned: bool
    lots: tuple[LotToday, ...]
    freeze: tuple[Moved, ...]
    out_now: tuple[Moved, ...]
    out_this_evening: tuple[Moved, ...]
    make: tuple[PlanLine, ...]
    put_away: tuple[PutAway, ...]


def today_of(typed: Household, settled: Household) -> Today:
    """Give the list for the first day: `typed` has the plan's lines and the record, `settled` what is left of lots."""
    day = settled.kitchen.first_day
    lines = [line for line in typed.plan_lines if line.day == day and line.days == 1 and wanted(line) > 0]
    later = [line for line in typed.plan_lines if line.day > day and wanted(line) > 0]
    tomorrow = [line for line in typed.plan_lines if line.day == day + datetime.timedelta(days=1) and line.days == 1]
    return Today(
        day=day,
        planned=any(line.make is not None and line.days == 1 and line.day == day for line in typed.plan_lines),
        lots=tuple(lots_today(settled, lines, later)),
        freeze=tuple(moved(settled, lines, FREEZE_WHOLE)),
        out_now=tuple(moved(settled, lines, THAW)),
        out_this_evening=tuple(moved(settled, tomorrow, THAW)),
        make=tuple(line for line in lines if not line.name.startswith((FREEZE_WHOLE, THAW))),
        put_away=tuple(put_away(typed, day - datetime.timedelta(days=1))),
    )


def moved(settled: Household, lines: list[PlanLine], start: str) -> Iterator[Moved]:
    """Give what the lines move into or out of the freezer."""
    for crop in settled.crops:
        kg = sum(wanted(line) for line in lines if line.name == start + crop.name)
        if kg > 0:
            yield Moved(crop.name, in_crop_unit(kg, crop), crop.unit)


def put_away(typed: Household, day: datetime.date) -> Iterator[PutAway]:
    """Give what was put up on a day, by the record."""
    for item in typed.preserves:
        rows = [row for row in typed.record if row.preserve == item.name and row.date == day]
        made, failed = sum(row.made for row in rows), sum(row.failed_seals for row in rows)
        if made or failed:
            yield PutAway(item.name, made, failed, item.way in CANNED)


def failed_seals(typed: Household) -> Iterator[Problem]:
    """Ask for the food of jars that did not seal on the first day or the day before."""
    first_day = typed.kitchen.first_day
    canned = {item.name for item in typed.preserves if item.way in CANNED}
    for row in typed.record:
        if row.failed_seals > 0 and row.preserve in canned and 0 <= (first_day - row.date).days <= 1:
            many = "1 jar" if row.failed_seals == 1 else f"{shown(row.failed_seals)} jars"
            what = f"{many} of *{row.preserve}* did not seal on {row.date}; the lid is used up, the jar is not"
            fix = (
                "put it in the refrigerator and eat it within days, or freeze it, or do it again within 24 hours of "
                f"canning with a new lid and the full time ({SEALS_SOURCE})"
            )
            yield Problem(row.where, what, fix, "seal failed")


def not_recorded(typed: Household) -> Iterator[Problem]:
    """Ask once after the lines of the last week of which neither the plan nor the record says what came out."""
    first_day = typed.kitchen.first_day
    since = first_day - datetime.timedelta(days=LOOK_BACK_DAYS)
    recorded = {(row.date, row.preserve) for row in typed.record}
    lines = [
        line
        for line in typed.plan_lines
        if line.days == 1 and since <= line.day < first_day and (line.make or 0.0) > 0 and line.made is None
    ]
    open_lines = without_record(lines, recorded)
    if open_lines:
        names = listed([f"{line.name} ({day_words(line.day)})" for line in open_lines], 3, "; ")
        what = f"nothing says what came of {names}; it is counted as not made"
        fix = "write what came out in Made or in Record, if it was made"
        yield Problem(open_lines[0].where, what, fix, "past line not recorded")


def without_record(lines: Sequence[PlanLine], recorded: set[tuple[datetime.date, str | None]]) -> list[PlanLine]:
    """The lines that no row of the record tells of: one of that day, or another row of a day or two before or after."""
    left = set(recorded) - {(line.day, line.name) for line in lines}
    found = []
    for line in lines:
        if (line.day, line.name) in recorded:
            continue
        near = [one for one in left if one[1] == line.name and abs((one[0] - line.day).days) <= NEAR_DAYS]
        if near:
            left.remove(min(near, key=lambda one: (abs((one[0] - line.day).days), one[0])))
        else:
            found.append(line)
    return found


def due_soon(settled: Household, within_days: int = 7) -> tuple[tuple[Moved, datetime.date], ...]:
    """Give the crop frozen whole that has to be cooked within so many days, or is past its day."""
    found = []
    for lot in settled.lots:
        if lot.frozen_on is not None:
            crop = settled.crop(lot.crop)
            due = lot.frozen_on + datetime.timedelta(days=math.floor(7 * crop.frozen_keeps_weeks))
            if (due - settled.kitchen.first_day).days <= within_days:
                found.append((Moved(crop.name, in_crop_unit(lot.kg, crop), crop.unit), due))
    return tuple(sorted(found, key=lambda one: (one[1], one[0].crop)))
