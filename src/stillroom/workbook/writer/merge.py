"""One copy of a workbook as the rows that are merged, and the merged rows written into the first copy."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import cast

from stillroom.errors import WorkbookRefused
from stillroom.household.cells import address, letters
from stillroom.household.journal.events import MadeLine
from stillroom.household.merging import KEYS, Line, Merged, Placed, plain, shown
from stillroom.household.names import key
from stillroom.workbook.ooxml.book import Book, FoundTable, Value
from stillroom.workbook.ooxml.tables import key_of
from stillroom.workbook.schema import input_tables, output_tables, tables
from stillroom.workbook.writer.household_cells import calculated_columns
from stillroom.workbook.writer.plan import SHEET as NOTES_SHEET
from stillroom.workbook.writer.record import add_rows, input_table, row_number, row_of, set_cells

BESIDE = ("Keep at", "Made", "Note")
IN_PLAN = ("Make", "Unit")
"""What a line of the plan that comes from the other copy takes along."""


@dataclass(frozen=True)
class Copy:
    """
    One copy of a workbook: its tables and the headings of each.

    `standing` are the rows of each table as they are in the file, `lines` as they are merged: what was typed into
    *Made* is in the record there.
    """

    book: Book
    tables: Mapping[str, FoundTable]
    headings: Mapping[str, Sequence[str]]
    standing: Mapping[str, Sequence[Line]]
    lines: Mapping[str, Sequence[Line]]


def read_copy(book: Book, moves: Sequence[MadeLine]) -> Copy:
    """Read a copy; `moves` are its plan lines with *Made* filled. Raises WorkbookRefused as `input_table` does."""
    names = [table.name for table in input_tables() if not table.optional] + ["Plan"]
    found = {name: table for name in names if (table := input_table(book, name)) is not None}
    headings = {name: _headings(name, table) for name, table in found.items()}
    standing = {name: _lines(name, table, headings[name]) for name, table in found.items()}
    lines = dict(standing)
    if "Plan" in found:
        every = [one for one in headings["Plan"] if one not in _ours()]
        lines["Plan"] = _beside(standing["Plan"], moves, every)
    if "Record" in found or moves:
        new = [
            Line({name: one for name, one in row_of(move).items() if one is not None}, where=move.line.where)
            for move in moves
            if not move.known
        ]
        lines["Record"] = [*lines.get("Record", ()), *new]
        headings.setdefault("Record", list(tables()["Record"].headings))
    return Copy(book, found, headings, standing, lines)


def _ours() -> set[str]:
    return {column.heading for column in tables()["Plan"].columns if column.owner == "ours"}


def _headings(name: str, table: FoundTable) -> list[str]:
    """Give the headings, ours as the schema spells them; a calculated column is none, its cells follow from others."""
    spelled = {key_of(one): one for one in tables()[name].headings}
    left_out = calculated_columns(table)
    return ["" if n in left_out else spelled.get(key_of(one), one) for n, one in enumerate(table.headings)]


def _lines(name: str, table: FoundTable, headings: Sequence[str]) -> list[Line]:
    lines = []
    columns = {head: letters(table.first_column + number) for number, head in enumerate(headings) if head}
    for place, row in table.rows.filled():
        cells = {head: cell.value for head, cell in zip(headings, row, strict=False) if head and _is_filled(cell.value)}
        formulas = {
            head: "".join(cell.formula.split())
            for head, cell in zip(headings, row, strict=False)
            if head and cell.formula
        }
        if cells and (name == "Plan" or set(cells) - set(formulas)):
            at = table.first_row + place
            lines.append(Line(cells, at, formulas, f"{table.sheet}!{address(at, table.first_column)}", columns))
    return lines


def _is_filled(value: Value) -> bool:
    return value is not None and (not isinstance(value, str) or bool(value.strip()))


def _beside(lines: Sequence[Line], moves: Sequence[MadeLine], headings: Sequence[str]) -> list[Line]:
    """Give the lines of the plan that have anything of the household's, without what goes into the record."""
    recorded = {row_number(move.line.where): move.done for move in moves}
    found = []
    for line in lines:
        done = recorded.get(line.at)
        gone: Collection[str] = () if done is None else BESIDE if done else ("Made",)
        mine = {one: line.cells[one] for one in headings if one in line.cells and one not in gone}
        if mine:
            keys = {one: line.cells[one] for one in KEYS["Plan"] if one in line.cells}
            found.append(replace(line, cells=keys | mine))
    return found


def shared_headings(mine: Copy, theirs: Copy) -> dict[str, dict[str, str]]:
    """Give the headings that both copies have, as the first spells them, by table; of the plan only what is typed."""
    found: dict[str, dict[str, str]] = {}
    for name in mine.headings.keys() | theirs.headings.keys():
        copies = [copy.headings[name] for copy in (mine, theirs) if name in copy.headings]
        both = set.intersection(*({key_of(one) for one in headings if one} for headings in copies))
        found[name] = {key_of(one): one for one in copies[0] if key_of(one) in both and not _is_planned(name, one)}
    return found


def _is_planned(name: str, heading: str) -> bool:
    return name == "Plan" and heading in _ours() and heading not in KEYS["Plan"]


def comparable(copy: Copy, shared: Mapping[str, Mapping[str, str]]) -> dict[str, list[Line]]:
    """Give the rows of a copy in the columns that are merged; one that has nothing in these is none."""
    rows = {}
    for name, lines in copy.lines.items():
        heads = {one: shared[name][key_of(one)] for one in copy.headings[name] if key_of(one) in shared.get(name, ())}
        rows[name] = [
            Line(
                {heads[one]: value for one, value in line.cells.items() if one in heads},
                line.at,
                {heads[one]: text for one, text in line.formulas.items() if one in heads},
                line.where,
                {heads[one]: letter for one, letter in line.columns.items() if one in heads},
            )
            for line in lines
            if line.cells.keys() & heads.keys() - (set(KEYS[name]) if name == "Plan" else set())
        ]
    return rows


def write_merged(copy: Copy, theirs: Copy, merged: Merged, shared: Mapping[str, Mapping[str, str]]) -> None:
    """Queue what is otherwise than it stands in the first copy; raises WorkbookRefused as `add_rows` does."""
    for name, rows in merged.rows.items():
        table, columns = copy.tables.get(name), shared[name].values()
        standing = {line.at: line for line in copy.standing.get(name, ())}
        by_key = {_plan_key(line.cells): line.at for line in standing.values()} if name == "Plan" else {}
        new: list[dict[str, Value]] = []
        for row in rows:
            at = row.line.at if row.line is not None else by_key.get(_plan_key(row.cells), 0)
            before = standing.pop(at, None)
            if table is None or before is None:
                new.append(_whole(name, row, theirs))
                continue
            for heading in columns:
                if plain(row.cells.get(heading)) != plain(before.cells.get(heading)):
                    set_cells(copy.book, table, at, {heading: cast("Value", row.cells.get(heading))})
        for before in standing.values():
            gone = (before.cells.keys() & set(columns)) - (_ours() if name == "Plan" else set())
            if table is not None and gone:
                set_cells(copy.book, table, before.at, dict.fromkeys(gone if name == "Plan" else before.cells))
        if new:
            add_rows(copy.book, name, new)


def _plan_key(cells: Mapping[str, object]) -> tuple[str, ...]:
    return tuple(key(shown(cells.get(one))) for one in KEYS["Plan"])


def _whole(name: str, row: Placed, theirs: Copy) -> dict[str, Value]:
    """Give a new row; a line of the plan with what the other copy would make of it."""
    cells = dict(row.cells)
    if name == "Plan":
        same = (line for line in theirs.standing.get(name, ()) if _plan_key(line.cells) == _plan_key(cells))
        line = next(same, None)
        cells |= {one: line.cells[one] for one in IN_PLAN if line is not None and one in line.cells}
    return cast("dict[str, Value]", cells)


def other_sheets(mine: Copy, theirs: Copy) -> list[str]:
    """Name the sheets without a table of the planner's that are otherwise in the second copy: they stay as they are."""
    planned = {key_of(table.name) for table in output_tables()}
    left_out = {
        one.sheet for copy in (mine, theirs) for one in copy.book.table_parts if key_of(one.display_name) in planned
    }
    names = [one for one in theirs.book.sheet_names if one not in left_out and one != NOTES_SHEET]
    merged = {table.sheet for table in theirs.tables.values()}
    found = []
    for one in names:
        here, there = _cells_beside(mine, one), _cells_beside(theirs, one)
        if here != there and (here or there or one not in merged):
            found.append(one)
    return found


def _cells_beside(copy: Copy, sheet: str) -> dict[tuple[int, int], object] | None:
    """Give what stands in a sheet outside our tables; None where there is no such sheet, or it has no cells."""
    if sheet not in copy.book.sheet_names:
        return None
    areas = [
        (table.header_row or table.first_row, table.last_row + 1, table.first_column, table.last_column)
        for table in copy.tables.values()
        if table.sheet == sheet
    ]
    try:
        rows = copy.book.cells(sheet)
    except WorkbookRefused:
        return None
    return {
        (row, column): plain(cell.value)
        for row, cells in rows.items()
        for column, cell in cells.items()
        if _is_filled(cell.value) and cell.formula is None
        if not any(top <= row <= bottom and left <= column <= right for top, bottom, left, right in areas)
    }
