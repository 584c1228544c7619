"""Plan lines that say what was made, turned into rows of the record: each one once, whatever happens in between."""

from __future__ import annotations

import datetime
import hashlib
from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from stillroom.household.answer.units import in_crop_unit, tidy
from stillroom.household.records import FREEZE_WHOLE, THAW, Household, PlanLine, RecordRow
from stillroom.household.units import UNITS

KEY_LENGTH = 8


@dataclass(frozen=True)
class MadeLine:
    """
    A plan line with *Made* filled, and the row of the record it becomes.

    `key` says which line of which plan it is. `known`: a row with that key stands in the record already, so only the
    plan's cell is emptied. `done`: nothing of the line is left to do, and it goes; else its *Fix* and *Note* stay.
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
        if line.made is None or not _is_known(household, line.name):
            continue
        name = f"{line.day} {line.days} {line.name}"
        seen[name] += 1
        key = hashlib.sha256(f"{plan_mark} {name} {seen[name]}".encode()).hexdigest()[:KEY_LENGTH]
        row, crop_used, unit = _row(household, line)
        done = _is_done(line, household.kitchen.first_day)
        found.append(MadeLine(line, row, key, key in keys, done, crop_used, unit))
    return tuple(found)


def _is_known(household: Household, name: str) -> bool:
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
            number = float(tidy(in_crop_unit(made, crop)))
            kg = crop.kg_in(number, UNITS[crop.unit])
            row = RecordRow(line.day, line.name, crop=crop.name, crop_used_kg=kg, where=line.where)
            return row, number, crop.unit
    return RecordRow(line.day, line.name, made=float(tidy(made)), where=line.where), None, None


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
