"""What is typed in the input tables, cell by cell, and which cells changed since the last plan."""

from __future__ import annotations

import base64
import datetime
import json
import zlib
from collections import Counter, defaultdict, deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from stillroom.household.cells import address
from stillroom.household.text import format_clock, format_long_date, format_number

Typed = str | float | None
"""The value of a cell: text, a number, or blank. A date or a time of day is its ISO text after `MOMENT`."""
MOMENT = "="
TOGETHER = 3
"""From so many cells of a column on, changes may be one slip: filled down, moved, or put into another order."""
LISTED = 6
"""How many changes are listed before the rest is only counted."""
LARGEST = 4_000_000
"""Characters that the cells of the last plan may unpack to."""


@dataclass(frozen=True)
class TypedTable:
    """
    One input table as typed: the headings that are compared, and the filled rows with their numbers in the sheet.

    `columns` are the columns of the sheet, one for each heading; `keys` are the places of those that name a row.
    """

    name: str
    sheet: str
    headings: tuple[str, ...]
    columns: tuple[int, ...]
    rows: tuple[tuple[int, tuple[Typed, ...]], ...]
    keys: tuple[int, ...] = (0,)


@dataclass(frozen=True)
class Change:
    """Cells that changed since the last plan: where they are, and in a sentence what became of them."""

    where: str
    words: str


def changes(before: Iterable[TypedTable], now: Iterable[TypedTable]) -> list[Change]:
    """
    Return what changed in the cells of the input tables; new rows are listed as one change for each table.

    >>> crops = TypedTable("Crops", "Harvest", ("Crop", "Keeps days"), (1, 2), ((4, ("plum", 5.0)), (5, ("corn", 2.0))))
    >>> slip = TypedTable("Crops", "Harvest", ("Crop", "Keeps days"), (1, 2), ((4, ("plum", 50.0)), (5, ("corn", 2.0))))
    >>> changes([crops], [slip])
    [Change(where='Harvest!B4', words='Keeps days of plum was 5 and is 50.')]
    """
    then = {table.name: table for table in before}
    return [change for table in now if table.name in then for change in _table_changes(then[table.name], table)]


def listed(found: Sequence[Change]) -> list[str]:
    """Return the lines of a list of changes, each with its place, and how many more there are."""
    lines = [f"{change.where.replace('!', ' ')}: {change.words}" for change in found[:LISTED]]
    return [*lines, f"and {len(found) - LISTED} more"] if len(found) > LISTED else lines


Cells = tuple[Typed, ...]
Line = tuple[int, Cells]
"""A row: its number in the sheet, and its cells."""
Pairs = list[tuple[Line, Line]]


def _table_changes(before: TypedTable, now: TypedTable) -> Iterator[Change]:
    """Return the changes of one table, those of whole rows last."""
    then = {heading.casefold(): at for at, heading in enumerate(before.headings)}
    common = [at for at, heading in enumerate(now.headings) if heading.casefold() in then]
    if not common:
        return
    old = [(row, tuple(cells[then[now.headings[at].casefold()]] for at in common)) for row, cells in before.rows]
    new = [(row, tuple(cells[at] for at in common)) for row, cells in now.rows]
    keys = [common.index(at) for at in now.keys if at in common]
    pairs, gone, added = _paired(old, new, keys)
    yield from _moved_sideways(now, common, pairs) or _column_changes(now, common, pairs, keys)
    if gone:
        names = ", ".join(_name(cells, keys) for _, cells in gone[:3]) + (", ..." if len(gone) > 3 else "")
        rows = "The row of" if len(gone) == 1 else f"{len(gone)} rows of"
        cleared = {row for row, _ in gone}.isdisjoint(row for row, _ in now.rows)
        where = _place(now, common[0], [row for row, _ in gone]) if cleared else now.sheet
        yield Change(where, f"{rows} {names} {'is' if len(gone) == 1 else 'are'} gone from {now.name}.")
    if added:
        where = _place(now, common[0], [row for row, _ in added])
        yield Change(where, "New row." if len(added) == 1 else f"{len(added)} new rows.")


def _paired(old: Sequence[Line], new: Sequence[Line], keys: Sequence[int]) -> tuple[Pairs, list[Line], list[Line]]:
    """
    Return the rows that are each other's, from the top, then those that are gone and those that are new.

    Equal rows are each other's; of the rest those of one name, or those in one row of the sheet, whichever leaves less
    changed, then those of the other kind.
    """

    def name(line: Line) -> object:
        return tuple(line[1][at] for at in keys)

    def place(line: Line) -> object:
        return line[0]

    pairs, old, new = _matched(old, new, lambda line: line[1])
    ways = [_in_turn(old, new, way) for way in ((place, name), (name, place))]
    best, gone, added = max(ways, key=lambda way: sum(_alike(one, other) for one, other in way[0]))
    return sorted([*pairs, *best], key=lambda pair: pair[1][0]), gone, added


def _in_turn(
    old: Sequence[Line], new: Sequence[Line], ways: Iterable[Callable[[Line], object]]
) -> tuple[Pairs, list[Line], list[Line]]:
    """Match rows in one way, then what is left in the next; rows that have nothing in common are none of a pair."""
    pairs: Pairs = []
    gone, added = list(old), list(new)
    for way in ways:
        found, gone, added = _matched(gone, added, way)
        pairs += [pair for pair in found if _alike(*pair)]
        gone += [one for one, other in found if not _alike(one, other)]
        added += [other for one, other in found if not _alike(one, other)]
    return pairs, gone, added


def _matched(
    old: Sequence[Line], new: Sequence[Line], way: Callable[[Line], object]
) -> tuple[Pairs, list[Line], list[Line]]:
    """Pair off rows that are alike in one way, in their order; return the pairs and what is left of both."""
    waiting: dict[object, deque[Line]] = defaultdict(deque)
    for line in new:
        waiting[way(line)].append(line)
    pairs: Pairs = []
    gone = []
    for line in old:
        several = waiting[way(line)]
        if several:
            pairs.append((line, several.popleft()))
        else:
            gone.append(line)
    left = {id(line) for several in waiting.values() for line in several}
    return pairs, gone, [line for line in new if id(line) in left]


def _alike(one: Line, other: Line) -> int:
    """Return in how many filled cells two rows agree."""
    return sum(first == second is not None for first, second in zip(one[1], other[1], strict=True))


def _moved_sideways(now: TypedTable, common: Sequence[int], pairs: Pairs) -> list[Change]:
    """Return the one change of rows whose cells were pushed into the next column; nothing for any other change."""
    changed = [pair for pair in pairs if pair[0][1] != pair[1][1]]
    for by, words in ((1, "right"), (-1, "left")):
        columns = {
            at
            for (_, old), (_, new) in changed
            for at in range(len(common))
            if 0 <= at - by < len(common) and new[at] == old[at - by] is not None and new[at] != old[at]
        }
        rest = [
            (pair, at)
            for pair in changed
            for at in range(len(common))
            if pair[0][1][at] != pair[1][1][at] and at not in columns and at + by not in columns
        ]
        if len(columns) > 1 and not rest:
            rows = [new for _, (new, _) in changed]
            first, last = (
                address(row, now.columns[common[at]])
                for row, at in ((min(rows), min(columns)), (max(rows), max(columns)))
            )
            return [Change(f"{now.sheet}!{first}:{last}", f"The cells moved one column to the {words}.")]
    return []


def _name(cells: Cells, keys: Sequence[int]) -> str:
    """Return what a row is called."""
    return ", ".join(_shown(cells[at]) for at in keys)


def _column_changes(now: TypedTable, common: Sequence[int], pairs: Pairs, keys: Sequence[int]) -> Iterator[Change]:
    """Return the changes column by column: several that are one slip as one, any other for itself."""
    for at, number in enumerate(common):
        column = [(row, old[at], new[at]) for (_, old), (row, new) in pairs]
        changed = [cell for cell in column if cell[1] != cell[2]]
        heading = now.headings[number]
        words = _one_slip(column, changed) if len(changed) >= TOGETHER else ""
        if words:
            yield Change(_place(now, number, [row for row, *_ in changed]), f"{heading} {words}.")
            continue
        names = {row: _name(new, keys) for _, (row, new) in pairs}
        for row, old, new in changed:
            of = "" if at in keys else f" of {names[row]}"
            yield Change(_place(now, number, [row]), f"{heading}{of} {_was_and_is(old, new)}.")


def _one_slip(column: Sequence[tuple[int, Typed, Typed]], changed: Sequence[tuple[int, Typed, Typed]]) -> str:
    """Return what became of a column in which several cells changed; empty where each changed for itself."""
    before, now = [old for _, old, _ in column], [new for *_, new in column]
    if len({new for *_, new in changed}) == 1:
        value = changed[0][2]
        return (
            f"was cleared in {len(changed)} rows"
            if value is None
            else (f"is {_shown(value)} in {len(changed)} more rows, as if it was filled down")
        )
    if Counter(before) == Counter(now):
        return "has the same values in another order, as if it was sorted without the rest"
    for by, words in ((1, "down"), (-1, "up")):
        moved = [0 <= at - by < len(before) and now[at] == before[at - by] for at in range(len(now))]
        if sum(was_moved and now[at] != before[at] for at, was_moved in enumerate(moved)) >= len(changed) - 1:
            return f"moved one row {words}"
    return f"changed in {len(changed)} rows; the first {_was_and_is(*changed[0][1:])}"


def _was_and_is(old: Typed, new: Typed) -> str:
    """Return what became of a value; of two that are shown alike, as long texts may be, only that it changed."""
    before, now = _shown(old), _shown(new)
    return "changed" if before == now else f"was {before} and is {now}"


def _place(table: TypedTable, number: int, rows: Sequence[int]) -> str:
    """Return the place of cells of one column."""
    first, last = (address(row, table.columns[number]) for row in (min(rows), max(rows)))
    return f"{table.sheet}!{first}" if first == last else f"{table.sheet}!{first}:{last}"


def _shown(value: Typed) -> str:
    """
    Return a value as a person reads it.

    >>> _shown(0.5), _shown("=2026-08-14"), _shown("=08:30:00"), _shown(None)
    ('0.5', 'Fri Aug 14', '8:30 AM', 'blank')
    """
    if value is None:
        return "blank"
    if isinstance(value, str):
        if not value.startswith(MOMENT):
            return value[:40]
        try:
            moment = datetime.datetime.fromisoformat(value[1:]) if "-" in value else None
            return format_long_date(moment) if moment else format_clock(datetime.time.fromisoformat(value[1:]))
        except ValueError:
            return value[:40]
    return format_number(value, 4)


# The cells as a note that the last plan leaves in the workbook.


def packed(tables: Iterable[TypedTable]) -> str:
    """
    Return tables as a text of plain letters.

    >>> tables = [TypedTable("Crops", "Harvest", ("Crop",), (1,), ((4, ("plum",)),))]
    >>> unpacked(packed(tables)) == tables
    True
    """
    plain = [
        [one.name, one.sheet, one.headings, one.columns, [[row, *cells] for row, cells in one.rows], one.keys]
        for one in tables
    ]
    return base64.b64encode(zlib.compress(json.dumps(plain, separators=(",", ":")).encode(), 9)).decode()


def unpacked(text: str) -> list[TypedTable]:
    """Return the tables of such a text; none of a text that makes no sense."""
    try:
        whole = zlib.decompressobj().decompress(base64.b64decode(text), LARGEST)
        return [
            TypedTable(
                name,
                sheet,
                tuple(headings),
                tuple(columns),
                tuple((row, tuple(cells)) for row, *cells in rows),
                tuple(keys),
            )
            for name, sheet, headings, columns, rows, keys in json.loads(whole)
        ]
    except (ValueError, TypeError, zlib.error):
        return []
