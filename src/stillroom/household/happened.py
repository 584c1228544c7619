"""What was really made, frozen whole, thawed and used: the record and the *Made* of plan lines as one list."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

from stillroom.errors import Problem
from stillroom.household.records import (
    ATE,
    BOUGHT,
    FED,
    FREEZE_WHOLE,
    LOST,
    OF_A_CROP,
    THAW,
    Household,
    Preserve,
    RecordRow,
)

THAWED, MADE, USED, FROZEN, FED_TO, LOST_OF, EATEN, CAME = range(8)
"""
What happens first on a day: thawing, then cooking, then other use, then freezing whole, then feeding and losing crop.

EATEN (of the shelf) and CAME (bought) move no crop.
"""
KIND_OF = {THAW: THAWED, FREEZE_WHOLE: FROZEN, FED: FED_TO, LOST: LOST_OF, ATE: EATEN, BOUGHT: CAME}


@dataclass(frozen=True)
class Event:
    """
    One thing that was done on a day.

    `kind` is one of the eight above; `crops_kg` is the fresh crop it took (thawed or frozen, for those kinds). `made`
    is how many were made, eaten or bought; larder that was bought is in its own unit.
    """

    day: datetime.date
    kind: int
    name: str
    made: float = 0.0
    failed: float = 0.0
    crops_kg: Mapping[str, float] = field(default_factory=dict)
    where: str = ""

    @property
    def filled(self) -> float:
        """Containers that took food and a lid: sealed ones and failed ones."""
        return self.made + self.failed

    @property
    def order(self) -> tuple[object, ...]:
        """The order in which events are taken off, whatever the order of rows."""
        return self.day, self.kind, self.name, self.made, self.failed, sorted(self.crops_kg.items()), self.where


def events(household: Household) -> tuple[Event, ...]:
    """Give everything that happened, in order of day; rows about preserves or crops that are not there are left out."""
    rows = list(household.record) + _rows_of_plan(household)
    preserves = {preserve.name: preserve for preserve in household.preserves}
    apart = _typed_apart(rows)
    found = [event for row in rows if (event := _event(row, preserves, apart)) is not None]
    return tuple(sorted(found, key=lambda event: event.order))


def _rows_of_plan(household: Household) -> list[RecordRow]:
    """Give the *Made* of plan lines as rows of the record, dated by the line's day."""
    rows = []
    for line in household.plan_lines:
        if line.made is None:
            continue
        if line.name.startswith((FREEZE_WHOLE, THAW)):
            crop = line.name.partition(": ")[2]
            rows.append(RecordRow(line.day, line.name, crop=crop, crop_used_kg=line.made, where=line.where))
        else:
            rows.append(RecordRow(line.day, line.name, made=line.made, where=line.where))
    return rows


def _typed_apart(rows: list[RecordRow]) -> dict[tuple[datetime.date, str], set[str]]:
    """Crops whose use stands in a row of its own, without jars, beside the row that has the jars."""
    found: dict[tuple[datetime.date, str], set[str]] = defaultdict(set)
    for row in rows:
        without_jars = row.made == 0 and row.failed_seals == 0 and row.crop_used_kg is not None
        if without_jars and row.preserve is not None and row.crop is not None:
            found[row.date, row.preserve].add(row.crop)
    return found


def _event(
    row: RecordRow, preserves: Mapping[str, Preserve], apart: Mapping[tuple[datetime.date, str], set[str]]
) -> Event | None:
    """Turn one row into an event."""
    used = row.crop_used_kg
    start = next((one for one in KIND_OF if row.preserve is not None and row.preserve.startswith(one)), None)
    if row.preserve is not None and start is not None:
        name = row.preserve.removeprefix(start)
        if start in OF_A_CROP:
            return Event(row.date, KIND_OF[start], name, crops_kg={name: used or 0.0}, where=row.where)
        known = start == BOUGHT or name in preserves
        return Event(row.date, KIND_OF[start], name, made=row.made, where=row.where) if known else None
    if row.preserve is None:
        return Event(row.date, USED, row.crop or "", crops_kg={row.crop or "": used or 0.0}, where=row.where)
    preserve = preserves.get(row.preserve)
    if preserve is None:
        return None
    filled = row.made + row.failed_seals
    crops_kg: dict[str, float] = {}
    for line in preserve.ingredients:
        if line.source == "crop" and line.item not in apart.get((row.date, row.preserve), ()):
            crops_kg[line.item] = crops_kg.get(line.item, 0.0) + line.amount_each * filled
    if row.crop is not None and used is not None:
        crops_kg[row.crop] = used
    return Event(row.date, MADE, row.preserve, row.made, row.failed_seals, crops_kg, row.where)


def made_twice(household: Household) -> tuple[Problem, ...]:
    """Say where one day's work stands both in the record and in the plan: both are counted."""
    recorded = {(row.date, row.preserve): row.where for row in household.record}
    found = []
    for line in household.plan_lines:
        other = recorded.get((line.day, line.name))
        if line.made is not None and other is not None:
            what = f"*{line.name}* made on {line.day} stands here and in Made of the plan; both are counted"
            found.append(Problem(other, what, "take this row out, if it was made once", "made twice"))
    return tuple(found)
