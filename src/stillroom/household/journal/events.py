"""What was really made, frozen whole, thawed and used: the record and the *Made* of plan lines as one list."""

from __future__ import annotations

import datetime
import hashlib
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from stillroom.errors import Problem
from stillroom.household.records import (
    ATE,
    BOUGHT,
    FREEZE_WHOLE,
    GAVE,
    SPOILED,
    SURPLUS,
    THAW,
    Household,
    PlanLine,
    Preserve,
    RecordRow,
)
from stillroom.household.results.rows import cell_number, in_crop_unit
from stillroom.household.text import format_date
from stillroom.household.units import UNITS

THAWED, MADE, USED, FROZEN, SURPLUS_TO, LOST_OF, EATEN, GIVEN, CAME = range(9)
"""
What happens first on a day: thawing, then cooking, then other use, then freezing whole, then feeding and losing crop.

EATEN and GIVEN (off the shelf) and CAME (bought) move no crop. The container of what was eaten, spoiled or fed comes
back empty; it goes with what was given away.
"""
KIND_OF = {ATE: EATEN, SPOILED: EATEN, SURPLUS: EATEN, GAVE: GIVEN, BOUGHT: CAME}
"""What a row about a preserve or a stock is."""
KIND_OF_CROP = {THAW: THAWED, FREEZE_WHOLE: FROZEN, ATE: USED, GAVE: USED, SPOILED: LOST_OF, SURPLUS: SURPLUS_TO}
"""What a row about a crop is."""
STARTS = tuple({**KIND_OF, **KIND_OF_CROP})


@dataclass(frozen=True)
class Event:
    """
    One thing that was done on a day.

    `kind` is one of those above; `crops_kg` is the fresh crop it took (thawed or frozen, for those kinds). `made` is
    how many were made, eaten, given or bought; pantry that was bought is in its own unit.
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
    start = next((one for one in STARTS if row.preserve is not None and row.preserve.startswith(one)), None)
    if row.preserve is not None and start is not None:
        name = row.preserve.removeprefix(start)
        if row.crop is not None or start not in KIND_OF:
            return Event(row.date, KIND_OF_CROP[start], name, crops_kg={name: used or 0.0}, where=row.where)
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
            found.append(Problem(other, "made twice", (line.name, format_date(line.day))))
    return tuple(found)


# Plan lines that say what was made, turned into rows of the record: each one once, whatever happens in between.

KEY_LENGTH = 8


@dataclass(frozen=True)
class MadeLine:
    """
    A plan line with *Made* filled, and the row of the record it becomes.

    `key` says which line of which plan it is. `known`: a row with that key stands in the record already, so only the
    plan's cell is emptied. `done`: nothing of the line is left to do, and it goes; else its *Keep at* and *Note* stay.
    `crop_used` and `unit` are as they will be written.
    """

    line: PlanLine
    row: RecordRow
    key: str
    known: bool
    done: bool
    crop_used: float | None = None
    unit: str | None = None

    @property
    def note(self) -> str:
        """
        What is written in the record's *Note*: the key, and the line's own note where that line goes.

        >>> line = PlanLine(datetime.date(2026, 8, 14), 1, "juice", made=7.0, note="thick")
        >>> MadeLine(line, RecordRow(line.day, "juice", 7.0), "0a1b2c3d", False, True).note
        'thick [plan 0a1b2c3d]'
        """
        words = [self.line.note] if self.done and self.line.note else []
        return " ".join([*words, f"[plan {self.key}]"])


def made_lines(household: Household, plan_mark: str, keys: Collection[str]) -> tuple[MadeLine, ...]:
    """
    Give every plan line with *Made* filled, in the order of the plan.

    `plan_mark` is the mark of the plan that stands in the workbook, and `keys` are those found in the record. A line's
    key is made of both its plan and itself, so that the same line of a later plan is another one.
    """
    found = []
    seen: Counter[str] = Counter()
    for line in household.plan_lines:
        if line.made is None or not is_known(household, line.name):
            continue
        name = f"{line.day} {line.days} {line.name}"
        seen[name] += 1
        key = hashlib.sha256(f"{plan_mark} {name} {seen[name]}".encode()).hexdigest()[:KEY_LENGTH]
        row, crop_used, unit = _row(household, line)
        done = _is_done(line, household.kitchen.first_day)
        found.append(MadeLine(line, row, key, key in keys, done, crop_used, unit))
    return tuple(found)


def is_known(household: Household, name: str) -> bool:
    """Whether a line names a preserve or a crop that is there; reading has said so where it is not."""
    for start in (FREEZE_WHOLE, THAW):
        if name.startswith(start):
            return any(crop.name == name.removeprefix(start) for crop in household.crops)
    return any(item.name == name for item in household.preserves)


def _row(household: Household, line: PlanLine) -> tuple[RecordRow, float | None, str | None]:
    """Give the row of the record, dated by the line's day; crop in the crop's own unit, as it is read again."""
    made = line.made or 0.0
    for start in (FREEZE_WHOLE, THAW):
        if line.name.startswith(start):
            crop = household.crop(line.name.removeprefix(start))
            number = float(cell_number(in_crop_unit(made, crop)))
            kg = crop.kg_in(number, UNITS[crop.unit])
            row = RecordRow(line.day, line.name, crop=crop.name, crop_used_kg=kg, where=line.where)
            return row, number, crop.unit
    return RecordRow(line.day, line.name, made=float(cell_number(made)), where=line.where), None, None


def _is_done(line: PlanLine, first_day: datetime.date) -> bool:
    """Whether nothing of a line is left: it was not fixed, its days are over, or as much was made as was fixed."""
    if line.fix is None or line.day + datetime.timedelta(days=line.days - 1) < first_day:
        return True
    return line.fix > 0 and (line.made or 0.0) >= line.fix - 1e-9


def with_made_recorded(household: Household, moves: Sequence[MadeLine]) -> Household:
    """Give the household as it is typed once the lines are rows of the record."""
    by_place = {id(move.line): move for move in moves}
    lines = []
    for line in household.plan_lines:
        move = by_place.get(id(line))
        if move is None:
            lines.append(line)
        elif not move.done:
            lines.append(replace(line, made=None))
    rows = tuple(move.row for move in moves if not move.known)
    return replace(household, plan_lines=tuple(lines), record=(*household.record, *rows))


# What is left to do of fixed lines once something was made of them.


def still_to_do(household: Household) -> Household:
    """
    Give the household for the planner: of a fixed line, what was made on its days is done and is not planned again.

    Only for planning and its audit; the lines as typed are what is written back.

    >>> import datetime
    >>> from stillroom.household.records import Kitchen
    >>> day = datetime.date(2026, 8, 14)
    >>> typed = Household(Kitchen(day), plan_lines=(PlanLine(day, 1, "juice", fix=14.0, made=8.0),))
    >>> still_to_do(typed).plan_lines[0].fix
    6.0
    """
    recorded: dict[str, list[RecordRow]] = defaultdict(list)
    for row in household.record:
        if row.preserve is not None:
            recorded[row.preserve].append(row)
    lines = [replace(line, fix=_left(line, recorded[line.name])) for line in household.plan_lines]
    return replace(household, plan_lines=tuple(lines))


def _left(line: PlanLine, rows: Iterable[RecordRow]) -> float | None:
    """Give what is left of a fixed line; None for a line that is not fixed."""
    if line.fix is None:
        return None
    whole = line.name.startswith((FREEZE_WHOLE, THAW))
    done = line.made or 0.0
    for row in rows:
        if 0 <= (row.date - line.day).days < line.days:
            done += (row.crop_used_kg or 0.0) if whole else row.made
    return max(line.fix - done, 0.0)
