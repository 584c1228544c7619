"""What stands on the labels: name, when it was made, until when it is good, and its lot; by the plan or the record."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.records import FREEZE_WHOLE, Household, Preserve
from stillroom.household.shelf import best_by
from stillroom.pages.shelf_page import date

NOTHING = "Nothing is made that takes a label."
TO_WRITE = "__________"
MOST_OF_ONE = 2000


@dataclass(frozen=True)
class Label:
    """One label; `good_until` has its words with the day, `lot` is the same for what was made in one load."""

    name: str
    made: str
    good_until: str
    lot: str


@dataclass(frozen=True)
class Batch:
    """So many of a preserve made on a day, by the plan or the record; a crop frozen whole is one, of one label."""

    day: datetime.date
    name: str
    count: float


def planned_batches(household: Household, days: Sequence[datetime.date]) -> list[Batch]:
    """What the plan's lines say for these days, what the household fixed or made where no plan says it."""
    found = []
    for line in household.plan_lines:
        amount = line.make if line.make is not None else line.fix or 0.0
        if line.days == 1 and line.day in days and amount > 0:
            found.append(Batch(line.day, line.name, amount))
    return found


def recorded_batches(household: Household, days: Sequence[datetime.date]) -> list[Batch]:
    """What the record says was made on these days."""
    known = {item.name for item in household.preserves}
    return [
        Batch(row.date, row.preserve, row.made if row.preserve in known else 1.0)
        for row in household.record
        if row.date in days
        and row.preserve is not None
        and ((row.preserve in known and row.made > 0) or row.preserve.startswith(FREEZE_WHOLE))
    ]


def labels_of(household: Household, batches: Iterable[Batch]) -> list[Label]:
    """A label for each container, load by load; `household` is settled, so that it is known how long things keep."""
    preserves: Mapping[str, Preserve] = {item.name: item for item in household.preserves}
    found: list[Label] = []
    for batch in sorted(batches, key=lambda one: (one.day, one.name)):
        if batch.name in preserves:
            found += preserve_labels(preserves[batch.name], batch)
        elif batch.name.startswith(FREEZE_WHOLE):
            found += crop_labels(household, batch)
    return found


def preserve_labels(item: Preserve, batch: Batch) -> Iterator[Label]:
    """One label a container; the loads are filled one after the other."""
    until = None if item.keeps_months is None else best_by(batch.day, item.keeps_months)
    for number in range(min(math.ceil(batch.count - 1e-6), MOST_OF_ONE)):
        load = 1 if not item.load else number // item.load + 1
        yield Label(
            item.name,
            f"made {date(batch.day)}",
            f"best by {TO_WRITE if until is None else date(until)}",
            lot_words(batch.day, load, several=bool(item.load) and batch.count > (item.load or 0)),
        )


def crop_labels(household: Household, batch: Batch) -> Iterator[Label]:
    """One label for a crop frozen whole: in how many bags it goes nobody has said."""
    name = batch.name.removeprefix(FREEZE_WHOLE)
    for crop in household.crops:
        if crop.name == name:
            due = batch.day + datetime.timedelta(days=math.floor(crop.frozen_keeps_weeks * 7))
            yield Label(
                f"{name}, whole, to be cooked",
                f"frozen {date(batch.day)}",
                f"cook by {date(due)}",
                lot_words(batch.day, 1, several=False),
            )


def lot_words(day: datetime.date, load: int, *, several: bool) -> str:
    """
    The lot: the day it was made, and which load of it where there were several; what spoils alike was made alike.

    >>> lot_words(datetime.date(2026, 8, 14), 2, several=True), lot_words(datetime.date(2026, 8, 14), 1, several=False)
    ('lot 2026-08-14.2', 'lot 2026-08-14')
    """
    return f"lot {day.isoformat()}.{load}" if several else f"lot {day.isoformat()}"
