"""What the household wrote beside the lines of its plan, carried with the line it belongs to and not with the row."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from stillroom.errors import Problem, WorkbookRefused
from stillroom.household.names import key
from stillroom.household.units import Unit, find_unit
from stillroom.workbook.ooxml.book import Cell, FoundTable, Value
from stillroom.workbook.ooxml.tables import key_of

Row = Mapping[str, Value]
KEEP_AT, MADE = key_of("Keep at"), key_of("Made")
"""The two cells of a plan line that the household fills in."""


@dataclass(frozen=True)
class Beside:
    """
    One row of the Plan table as it stands: its line, what is ours in it, and what is the household's.

    `theirs` is by the column's place in the table (0 for the first), because the household's headings are its own.
    `emptied` are the places of columns whose cell went into the record, and is to be emptied here.
    """

    place: int
    day: datetime.date | None
    days: int
    name: str
    ours: Mapping[str, Value]
    theirs: Mapping[int, Cell]
    emptied: frozenset[int] = frozenset()

    @property
    def wrote(self) -> bool:
        """Whether the household wrote anything in the row."""
        return any(cell.value is not None or cell.formula is not None for cell in self.theirs.values())

    @property
    def fixed_or_made(self) -> bool:
        """Whether the row says what to keep or what came out, so that its length matters."""
        return any(self.ours.get(heading) is not None for heading in (KEEP_AT, MADE))


@dataclass(frozen=True)
class Placed:
    """One row of the table to be: our cells by heading, and the row whose household cells go with it."""

    row: Row
    beside: Beside | None


def rows_as_they_stand(table: FoundTable, ours: Sequence[str]) -> list[Beside]:
    """The rows of the Plan table that hold anything at all; `ours` are the headings of the planner's columns."""
    owned = {key_of(heading): heading for heading in ours}
    names = [key_of(heading) for heading in table.headings]
    filled = calculated_columns(table)
    found = []
    for place, cells in table.rows.filled():
        values: dict[str, Value] = {}
        theirs = {}
        for column, (name, cell) in enumerate(zip(names, cells, strict=False)):
            if name in owned:
                values[owned[name]] = cell.value
            elif column not in filled:
                theirs[column] = cell
            if name in (KEEP_AT, MADE):
                values[name] = cell.value
        one = Beside(
            place,
            day_in(values.get("Day")),
            days_in(values.get("Days")),
            text_in(values.get("Preserve")),
            values,
            theirs,
        )
        if one.wrote or any(value is not None for value in values.values()):
            found.append(one)
    return found


def without_recorded(
    table: FoundTable, rows: Sequence[Beside], recorded: Mapping[str, bool]
) -> tuple[list[Beside], frozenset[int]]:
    """
    The rows less what goes into the record, and the places of the household's columns that have to be looked at.

    `recorded` says by place of the preserve's cell (`Plan!C12`) whether nothing is left to do: then *Keep at* and
    *Note* go with *Made*. A row with nothing else typed in it goes altogether.
    """
    names = [key_of(heading) for heading in table.headings]
    preserve = names.index("preserve")
    kept = []
    columns = {column for one in rows for column in one.theirs}
    for one in rows:
        done = recorded.get(f"{table.sheet}!{table.rows[one.place][preserve].address}")
        if done is None:
            kept.append(one)
            continue
        gone = {place for place, name in enumerate(names) if name == "made" or (done and name in (KEEP_AT, "note"))}
        theirs = {column: cell for column, cell in one.theirs.items() if column not in gone}
        ours = {
            heading: value for heading, value in one.ours.items() if key_of(heading) not in {names[p] for p in gone}
        }
        left = replace(one, theirs=theirs, ours=ours, emptied=frozenset(gone))
        if left.wrote:
            kept.append(left)
    return kept, frozenset(columns)


def calculated_columns(table: FoundTable) -> frozenset[int]:
    """The columns in which every row holds a formula: the household's calculated columns, which stay as they are."""
    if not table.rows:
        return frozenset()
    return frozenset(
        column
        for column in range(len(table.headings))
        if table.rows[-1][column].formula is not None and all(cells[column].formula is not None for cells in table.rows)
    )


def day_in(value: Value) -> datetime.date | None:
    """
    The day in a cell, a date or a date written as text.

    >>> day_in("2026-08-14"), day_in("soon")
    (datetime.date(2026, 8, 14), None)
    """
    if isinstance(value, datetime.datetime):
        return value.date()
    if isinstance(value, datetime.date):
        return value
    try:
        return datetime.date.fromisoformat(str(value).strip())
    except ValueError:
        return None


def days_in(value: Value) -> int:
    """
    The length of a line, a day when the cell does not say.

    >>> days_in(7.0), days_in(None)
    (7, 1)
    """
    return int(value) if isinstance(value, int | float) and not isinstance(value, bool) else 1


def text_in(value: Value) -> str:
    """The name in a cell, made comparable."""
    return "" if value is None else key(str(value))


def placed(rows: Sequence[Row], standing: Sequence[Beside], first_day: datetime.date) -> list[Placed]:
    """
    Every line of the new plan with the row that belongs to it, and the rows that must stay for what is written there.

    A line is the same by day, length and name; where only the length has changed and neither Keep at nor Made is filled,
    by day and name. A row whose line is no longer planned stays with Make 0; one without any line stays at the end.
    """
    left = list(standing)
    joined: list[Beside | None] = [take(left, row, exact=True) for row in rows]
    joined = [beside or take(left, row, exact=False) for row, beside in zip(rows, joined, strict=True)]
    found = [Placed(in_their_unit(row, beside), beside) for row, beside in zip(rows, joined, strict=True)]
    found += [Placed(staying(beside, first_day), beside) for beside in left if beside.wrote]
    return sorted(found, key=lambda one: day_in(one.row.get("Day")) or datetime.date.max)


def take(left: list[Beside], row: Row, *, exact: bool) -> Beside | None:
    """Take the row of a line out of those that are left; None when there is none."""
    if not left:
        return None
    day, days, name = day_in(row.get("Day")), days_in(row.get("Days")), text_in(row.get("Preserve"))
    for beside in left:
        if beside.day is None or (beside.day, beside.name) != (day, name):
            continue
        if beside.days == days or (not exact and not beside.fixed_or_made):
            left.remove(beside)
            return beside
    return None


def in_their_unit(row: Row, beside: Beside | None) -> Row:
    """
    A line of crop frozen whole in the unit the household wrote beside its Keep at or Made, so that these mean the same.

    A bushel and a weight cannot be turned into one another here: see `refuse_other_units`.
    """
    if beside is None or not beside.fixed_or_made or not isinstance(row.get("Make"), int | float):
        return row
    now, typed = units_of(row, beside)
    if now is None or typed is None or now == typed or {now.measures, typed.measures} != {"weight"}:
        return row
    make = float(str(row["Make"])) * now.factor / typed.factor
    return {**row, "Make": float(f"{make:.10g}"), "Unit": beside.ours["Unit"]}


def units_of(row: Row, beside: Beside) -> tuple[Unit | None, Unit | None]:
    """The unit of a line and the one in the household's row, None where it is no unit of measure."""
    now, typed = (find_unit(str(unit)) if unit else None for unit in (row.get("Unit"), beside.ours.get("Unit")))
    return now, typed


def refuse_other_units(table: FoundTable, lines: Sequence[Placed]) -> None:
    """Refuse a Keep at or Made in bushels beside a line in pounds, or the other way; raises WorkbookRefused."""
    problems = []
    for line in lines:
        if line.beside is not None and line.beside.fixed_or_made:
            now, typed = units_of(line.row, line.beside)
            if now is not None and typed is not None and now != typed:
                where = f"{table.sheet}!{table.rows[line.beside.place][0].address}"
                problems.append(Problem(where, "line in another unit", (typed.name, now.name)))
    if problems:
        raise WorkbookRefused(problems)


def staying(beside: Beside, first_day: datetime.date) -> Row:
    """Our cells of a row that stays only for what the household wrote in it."""
    row = {heading: value for heading, value in beside.ours.items() if heading not in (KEEP_AT, MADE)}
    if beside.day is None or not beside.name or beside.day < first_day or row.get("Make") is None:
        return row
    gone = isinstance(row["Make"], int | float) and row["Make"] > 0
    row |= dict.fromkeys(("Loads", "Uses", "Hands-on h", "Stove h"))
    return row | {"Make": 0, "Change": "gone" if gone else row.get("Change")}


def refuse_moving_formulas(table: FoundTable, lines: Sequence[Placed]) -> None:
    """
    Refuse a plan that would have to move a formula, an error or a length of time the household wrote beside a line.

    Raises WorkbookRefused, naming each cell.
    """
    problems = []
    for place, line in enumerate(lines):
        if line.beside is None or line.beside.place == place:
            continue
        cells = [cell for cell in line.beside.theirs.values() if not can_move(cell)]
        problems += [Problem(f"{table.sheet}!{cell.address}", "formula cannot move") for cell in cells]
    if problems:
        raise WorkbookRefused(problems)


def can_move(cell: Cell) -> bool:
    """Whether a cell holds a plain value that means the same in another row."""
    return cell.formula is None and cell.kind != "error" and not isinstance(cell.value, datetime.timedelta)
