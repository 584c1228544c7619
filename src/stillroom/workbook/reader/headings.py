"""The columns of a table by their headings, and filled columns that may be one of ours under another heading."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from stillroom.household.cells import letters
from stillroom.household.names import key, tidy_text
from stillroom.household.units import MeasureWrong, unit_of
from stillroom.workbook.ooxml.values import Cell
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.schema import FORMER_HEADINGS, Column, Table

if TYPE_CHECKING:
    from stillroom.workbook.ooxml.tables import FoundTable

NEAR = 0.8
"""How alike two headings must be for a "did you mean"."""
HALF_ALIKE = 0.5
"""How alike they must be for a column out of its place to stop the plan."""
READ_FROM_PLAN = ("day", "days", "preserve", "make", "unit", "fix", "made", "note", "can_wait_until", "else")
"""The columns of the Plan table that are read back."""


def first_heading(found: FoundTable) -> str:
    """Give the place of the first heading of a table; of one without headings, its first cell."""
    return _heading_place(found, 0)


def match_columns(found: FoundTable, table: Table, reading: Reading) -> dict[str, int]:
    """Give the number of each column by its field; missing and doubled ones are problems."""
    headings: dict[str, list[int]] = {}
    for number, heading in enumerate(found.headings):
        headings.setdefault(_heading_key(heading), []).append(number)
    wanted = [column for column in table.columns if table.name != "Plan" or column.field in READ_FROM_PLAN]
    known = {_heading_key(column.heading) for column in table.columns}
    free = [number for number, heading in enumerate(found.headings) if _heading_key(heading) not in known]
    columns: dict[str, int] = {}
    missing = []
    for column in wanted:
        numbers = headings.get(_heading_key(column.heading), [])
        if numbers:
            columns[column.field] = numbers[0]
            _note_other_spaces(found, column, numbers[0], reading)
        elif column.field != "note" and not column.asked:
            missing.append(column)
        if len(numbers) > 1:
            reading.note(_heading_place(found, numbers[1]), "column twice", table.name, field=column.heading)
    if missing:
        _say_missing(found, table, missing, free, reading)
    return columns


def _note_other_spaces(found: FoundTable, column: Column, number: int, reading: Reading) -> None:
    """Note a heading that has its spaces elsewhere, as where a letter slipped from one word into the next."""
    heading = tidy_text(found.headings[number].replace("_", " "))
    if heading.casefold() != column.heading.casefold():
        reading.note(_heading_place(found, number), "heading read as", heading, field=column.heading)


def _heading_key(heading: str) -> str:
    """What two spellings of one heading have in common."""
    return key(heading.replace("_", " "))


def _say_missing(
    found: FoundTable, table: Table, missing: Sequence[Column], free: Sequence[int], reading: Reading
) -> None:
    """Tell of columns that are not there: each that was perhaps renamed with both names, else those that are needed."""
    named: dict[str, int] = {}
    for column in missing:
        near = _near(found, table, column, [number for number in free if number not in named.values()])
        if near is not None:
            named[column.field] = near
            _say_misspelt(found, table, column, found.headings[near], reading)
    left = [column for column in missing if column.field not in named]
    unknown = _filled(found, [number for number in free if number not in named.values()])
    for pair in _pairs(found, table, left, unknown):
        named[pair.column.field] = pair.number
        stops = pair.column.required or (pair.likely and _changes_plan(pair.column, unknown[pair.number]))
        reading.note(
            _heading_place(found, pair.number),
            "column not known" if stops else "column perhaps ours",
            table.name,
            tidy_text(found.headings[pair.number]),
            field=pair.column.heading,
        )
    for column in left:
        needed = column.required or (table.name == "Plan" and column.field in ("day", "preserve", "make", "fix"))
        if needed and column.field not in named:
            reading.note(first_heading(found), "column missing", table.name, field=column.heading)


def _near(found: FoundTable, table: Table, column: Column, free: Sequence[int]) -> int | None:
    """Return the unknown column whose heading is a former or a misspelt one of a missing column; None without one."""
    former = _former(table, column, [found.headings[number] for number in free])
    if former:
        return found.headings.index(former[0])
    likeness = {number: _likeness(found.headings[number], column.heading) for number in free}
    alike = [number for number in free if likeness[number] >= NEAR]
    return max(alike, key=lambda number: likeness[number], default=None)


def _filled(found: FoundTable, numbers: Sequence[int]) -> dict[int, list[Cell]]:
    """Return the cells of these columns in which something is typed; a column without any is left out."""
    cells: dict[int, list[Cell]] = {number: [] for number in numbers}
    if numbers:
        for _, row in found.rows.filled():
            for number in numbers:
                if not is_empty(row[number]):
                    cells[number].append(row[number])
    return {number: several for number, several in cells.items() if several}


class _Pair(NamedTuple):
    """
    An unknown filled column that may be a missing one: how many neighbors agree, how many cells, how like it is.

    `different` is the share of different cells where the missing one names the rows, which no two have alike.
    """

    beside: int
    share: float
    different: float
    alike: float
    column: Column
    number: int

    @property
    def likely(self) -> bool:
        """Whether it stands where the missing column would, or is headed much like it."""
        return self.beside == 2 or self.alike >= HALF_ALIKE

    @property
    def possible(self) -> bool:
        """Whether it may be the column at all: any cell could be, and words that could be anything stand near."""
        anything = self.column.kind in _ANY_TEXT and not self.column.required
        return self.share > 0 and (not anything or self.beside > 0 or self.likely)


def _pairs(
    found: FoundTable, table: Table, missing: Sequence[Column], unknown: Mapping[int, Sequence[Cell]]
) -> list[_Pair]:
    """
    Return which unknown filled column may be which missing one, each in at most one pair, the likeliest first.

    A column that cannot be a missing one is the household's own.
    """
    keys = ["", *(_heading_key(heading) for heading in found.headings), ""]
    ours = ["", *(_heading_key(column.heading) for column in table.columns if column.field != "note"), ""]
    likely = []
    for column in missing:
        at = ours.index(_heading_key(column.heading))
        for number, cells in unknown.items():
            share = sum(could_be(cell, column) for cell in cells) / len(cells)
            after = keys[number + 2] if keys[number + 2] != "note" else ""
            beside = (keys[number] == ours[at - 1]) + (after == ours[at + 1])
            different = len({key(as_text(cell)) for cell in cells}) / len(cells) if column.field == "name" else 0.0
            alike = _likeness(found.headings[number], column.heading)
            likely.append(_Pair(beside, share, different, alike, column, number))
    pairs: list[_Pair] = []
    for pair in sorted((one for one in likely if one.possible), key=lambda one: one[:4], reverse=True):
        if all(pair.column is not one.column and pair.number != one.number for one in pairs):
            pairs.append(pair)
    return pairs


_WITHOUT_EFFECT = ("place", "source")
"""Columns of words that no plan rests on: without a source, a recipe of one's own is refused and named anyway."""


def _changes_plan(column: Column, cells: Sequence[Cell]) -> bool:
    """Whether cells, if they are those of a missing column, plan otherwise than its blank."""
    if column.field in _WITHOUT_EFFECT or not all(could_be(cell, column) for cell in cells):
        return False
    return any(not _is_default(cell, column) for cell in cells)


def _is_default(cell: Cell, column: Column) -> bool:
    """Whether a cell has what a blank one in the column means."""
    if column.default is None:
        return False
    if column.kind in ("yes_no", "can_buy"):
        return yes_or_no(cell) is (column.default == "yes")
    if cell.kind == "number":
        return f"{cell.value:.15g}" == column.default
    return key(str(cell.value)) == key(column.default)


def _former(table: Table, column: Column, headings: Sequence[str]) -> list[str]:
    """Give those headings that a column of a table had before."""
    return [heading for heading in headings if FORMER_HEADINGS.get((table.name, key(heading))) == column.heading]


def say_former(found: FoundTable, table: Table, reading: Reading) -> None:
    """
    Tell of a former heading in a table that the planner fills.

    The planner writes only the columns it knows, so this one would keep what an earlier plan wrote in it.
    """
    there = {_heading_key(heading) for heading in found.headings}
    for column in table.columns:
        former = _former(table, column, found.headings)
        if former and _heading_key(column.heading) not in there:
            _say_misspelt(found, table, column, former[0], reading)


def _say_misspelt(found: FoundTable, table: Table, column: Column, heading: str, reading: Reading) -> None:
    """Tell of a heading that was perhaps meant for a column that is not there."""
    place = _heading_place(found, found.headings.index(heading))
    reading.note(place, "column misspelt", table.name, tidy_text(heading), suggestion=column.heading)


def _heading_place(found: FoundTable, number: int) -> str:
    """Give the place of a heading; of a table without headings, that of the cell below."""
    return f"{found.sheet}!{letters(found.first_column + number)}{found.header_row or found.first_row}"


def _likeness(one: str, other: str) -> float:
    """Return how alike two headings are, 0 to 1; the beginning of a word, such as Pickd, counts as much alike."""
    first, second = key(one), key(other)
    ratio = difflib.SequenceMatcher(None, first, second).ratio()
    start = difflib.SequenceMatcher(None, first, second[: len(first)]).ratio() if len(first) > 3 else 0.0
    return max(ratio, start)


# What a cell could be, before its row is read.

_YES = ("yes", "y", "true", "1", "x")
_NO = ("no", "n", "false", "0")
_ANY_TEXT = ("text", "name", "names", "setting")


def is_empty(cell: Cell) -> bool:
    """Whether a cell says nothing: blank, blank text, or a formula that comes to nothing in an unused row."""
    if cell.kind == "blank":
        return cell.calculated
    if isinstance(cell.value, str):
        return cell.kind == "text" and not tidy_text(cell.value)
    return cell.formula is not None and cell.kind == "number" and cell.value == 0


def yes_or_no(cell: Cell) -> bool | None:
    """Read yes or no in one of its spellings; None for anything else."""
    word = key(as_text(cell))
    return True if word in _YES else False if word in _NO else None


def as_text(cell: Cell) -> str:
    """Write a cell's value as text, shortened."""
    value = cell.value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:.15g}"
    return str(value)[:200]


def could_be(cell: Cell, column: Column) -> bool:
    """Whether a filled cell is of a kind that a column takes; its range and its names are not looked at."""
    text = as_text(cell)
    if cell.kind == "error" or not cell.calculated:
        return True
    if column.kind in _ANY_TEXT:
        return column.kind == "setting" or cell.kind == "text"
    if column.kind in ("yes_no", "can_buy") and yes_or_no(cell) is not None:
        return True
    if column.kind == "choice":
        return key(text.replace("-", " ")) in {key(choice.replace("-", " ")) for choice in column.choices}
    if column.kind == "unit":
        return cell.kind == "text" and _is_unit(text)
    if column.kind in ("date", "time"):
        return cell.kind == "date" or (cell.kind == "text" and any(sign.isdigit() for sign in text))
    if column.kind == "yes_no":
        return False
    return cell.kind == "number" or (cell.kind == "text" and text.lstrip(" +-.,$")[:1].isdigit())


def _is_unit(text: str) -> bool:
    try:
        unit_of(text)
    except MeasureWrong:
        return any(sign.isdigit() for sign in text)
    return True
