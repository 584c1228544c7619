"""Which saved results go stale when cells change: followed through areas, tables, names, other sheets and chains."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from stillroom.household.cells import address
from stillroom.workbook.ooxml.formulas import (
    Area,
    RawFormula,
    References,
    TableUse,
    formula_cells,
    formula_texts,
    has_formulas,
    references,
)
from stillroom.workbook.ooxml.opened import Layout
from stillroom.workbook.ooxml.sheet_data import SheetText
from stillroom.workbook.ooxml.tables import TablePart, key_of
from stillroom.workbook.ooxml.values import LAST_COLUMN, LAST_ROW, Cell, Rectangle, parse_range
from stillroom.workbook.ooxml.xml import attribute

_SMALL_AREA = 12
_MOST_STEPS = 4_000_000
_DEEPEST_NAME = 8
_LOOKUP = re.compile(
    r"INDEX\(\s*(?P<table>\w+)\[(?P<values>[\w ]+)\]\s*,\s*"
    r'MATCH\(\s*"(?P<name>[^"*?~]+)"\s*,\s*(?P=table)\[(?P<keys>[\w ]+)\]\s*,\s*0\s*\)\s*\)',
    re.IGNORECASE,
)
"""How a formula looks up one row of a table by the name in it, as `INDEX(T[Value],MATCH("people",T[Setting],0))`."""
_BUILT_IN = "_xlnm."
"""How names begin that a spreadsheet program gives itself, as those of print areas."""

Cells = dict[str, set[tuple[int, int]]]
Place = tuple[str, Rectangle]
Rows = Callable[[str, Iterable[int]], Mapping[int, Mapping[int, Cell]]]
"""Gives rows of a sheet part as they were before the change, by row and column."""


class Formula(NamedTuple):
    """One formula cell: where its result (or, for an array, its block of results) stands, and what it looks at."""

    part: str
    block: Rectangle
    places: tuple[Place, ...]
    dynamic: bool


@dataclass
class _Index:
    """For one sheet, which formulas look at which of its cells."""

    cells: dict[tuple[int, int], list[int]] = field(default_factory=dict)
    areas: dict[Rectangle, list[int]] = field(default_factory=dict)


class Dependents:
    """Follows changes through the formulas of a workbook; only sheets whose formulas can be reached are read whole."""

    def __init__(
        self, layout: Layout, tables: Iterable[TablePart], sheets: Mapping[str, SheetText], rows: Rows
    ) -> None:
        """Take the sheets (part to text), the tables as they will be, the defined names, and what reads some rows."""
        self.sheets = sheets
        self.rows = rows
        self.parts = {sheet.name.casefold(): sheet.part for sheet in layout.sheets}
        self.sheet_names = {sheet.part: sheet.name for sheet in layout.sheets}
        self.order = layout.sheet_order
        self.all_names = [name.casefold() for name in layout.all_names]
        self.tables = list(tables)
        self.by_table = {
            key: table for table in self.tables for key in (table.name.casefold(), table.display_name.casefold())
        }
        self.defined = layout.names
        self.names = {(name.sheet, name.name.casefold()): name.text for name in layout.names}
        self.keys: dict[str, list[str]] = {}
        self.formulas: list[Formula] = []
        self.indexes: dict[str, _Index] = {part: _Index() for part in sheets}
        self.dynamic: list[int] = []
        self.loaded: set[str] = set()
        self.any_formulas = False
        self.gave_up = False
        self._steps = 0

    def stale(self, changed: Mapping[str, set[tuple[int, int]]]) -> Cells:
        """Give, for each sheet part, the cells whose saved results depend on the changed ones."""
        dirty: Cells = {part: set(cells) for part, cells in changed.items() if cells}
        stale: Cells = {}
        if not dirty:
            return stale
        waiting = {part: self._outward(sheet) for part, sheet in self.sheets.items() if has_formulas(sheet)}
        self.any_formulas = bool(waiting)
        fresh = dirty
        hit: set[int] = set()
        while fresh or waiting:
            reached = [part for part, places in waiting.items() if part in dirty or _meets(places, dirty)]
            for part in reached:
                del waiting[part]
                self._load(part)
            found = self._wave(dirty if reached else fresh, hit)
            if not found and not reached:
                break
            fresh = {}
            for number in found:
                formula = self.formulas[number]
                for row in range(formula.block.first_row, formula.block.last_row + 1):
                    for column in range(formula.block.first_column, formula.block.last_column + 1):
                        for where in (stale, fresh, dirty):
                            where.setdefault(formula.part, set()).add((row, column))
        return stale

    def unsure(self) -> Cells:
        """Give the cells whose formulas can look where their text does not say (OFFSET, INDIRECT, A1:INDEX(...))."""
        cells: Cells = {}
        for number in self.dynamic:
            formula = self.formulas[number]
            cells.setdefault(formula.part, set()).add((formula.block.first_row, formula.block.first_column))
        return cells

    def ending_at(self, before: Iterable[TablePart]) -> list[tuple[TablePart, str, str]]:
        """
        Give each formula and name that ended with a table as it was `before` it grew, and so misses its new rows.

        It looks at rows from the first of the table on, by their place and not by the table's name; last is the
        heading of the first column that it looks at.
        """
        found = []
        for table in before:
            ends = re.compile(rb":\$?[A-Z]{1,3}\$?%d(?![0-9])" % table.area.last_row)
            for part, sheet in self.sheets.items():
                if part not in self.loaded and ends.search(sheet.data) and has_formulas(sheet):
                    self._load(part)
            looking = [
                (f"{self.sheet_names[one.part]}!{address(one.block.first_row, one.block.first_column)}", one.places)
                for one in self.formulas
                if one.part != table.sheet_part or not one.block.meets(table.area)
            ]
            looking += [
                (f"the name {name.name}", tuple(self._resolve(references(name.text), "", None)[0]))
                for name in self.defined
                if not name.name.startswith(_BUILT_IN)
            ]
            for formula, places in looking:
                blocks = [block for part, block in places if part == table.sheet_part and _ends_with(block, table)]
                for block in blocks[:1]:
                    number = max(block.first_column - table.area.first_column, 0)
                    found.append((table, formula, table.headings[number]))
        return list(dict.fromkeys(found))

    # ---- one wave --------------------------------------------------------------------------------------------------

    def _wave(self, fresh: Cells, hit: set[int]) -> list[int]:
        found: set[int] = set(self.dynamic)
        for part, cells in fresh.items():
            index = self.indexes.get(part)
            if index is None:
                continue
            if index.cells:
                for cell in cells:
                    found.update(index.cells.pop(cell, ()))
            if index.areas:
                self._wave_areas(index, cells, found)
        new = found - hit
        hit |= new
        return sorted(new)

    def _wave_areas(self, index: _Index, cells: set[tuple[int, int]], found: set[int]) -> None:
        columns: dict[int, list[int]] = {}
        for row, column in sorted(cells):
            columns.setdefault(column, []).append(row)
        self._steps += len(index.areas)
        if self._steps > _MOST_STEPS:
            self.gave_up = True
        for block in list(index.areas):
            if self.gave_up or _touches(block, columns):
                found.update(index.areas.pop(block))

    # ---- reading formulas ------------------------------------------------------------------------------------------

    def _outward(self, sheet: SheetText) -> list[Place] | None:
        """List what the formulas of a sheet look at on other sheets; None when one of them can look anywhere."""
        places: list[Place] = []
        seen: set[tuple[str, bytes]] = set()
        for tag, text in formula_texts(sheet):
            if not text or (text, tag) in seen:
                continue
            seen.add((text, tag))
            found = references(self._narrowed(text))
            if found.dynamic:
                return None
            if not (found.tables or found.names or any(area.sheet for area in found.areas)):
                continue
            reach = attribute(b"<f" + tag + b">", "ref") if b"ref" in tag else None
            resolved, dynamic = self._resolve(found, sheet.part, None)
            if dynamic:
                return None
            places += [(part, _stretched(block, reach)) for part, block in resolved if part != sheet.part]
        return places

    def _load(self, part: str) -> None:
        self.loaded.add(part)
        sheet = self.sheets[part]
        masters: dict[str, RawFormula] = {}
        for raw in formula_cells(sheet):
            kind, group, ref = (attribute(raw.tag, name) if len(raw.tag) > 3 else None for name in ("t", "si", "ref"))
            text, shift = raw.text, (0, 0)
            if kind == "shared" and group is not None:
                if text:
                    masters[group] = raw
                elif group in masters:
                    text = masters[group].text
                    shift = (raw.cell[0] - masters[group].cell[0], raw.cell[1] - masters[group].cell[1])
            block = Rectangle(*raw.cell, *raw.cell)
            if kind in ("array", "dataTable") and ref:
                block = parse_range(ref)
            found, dynamic = self._resolve(references(self._narrowed(text)), part, raw.cell, shift)
            if kind == "dataTable":
                found += _data_table_places(raw.tag, part, block)
            self._register(Formula(part, block, tuple(found), dynamic or (not text and kind != "dataTable")))

    def _register(self, formula: Formula) -> None:
        number = len(self.formulas)
        self.formulas.append(formula)
        if formula.dynamic:
            self.dynamic.append(number)
        for part, block in formula.places:
            index = self.indexes.get(part)
            if index is None:
                continue
            rows, columns = block.last_row - block.first_row + 1, block.last_column - block.first_column + 1
            if rows * columns <= _SMALL_AREA:
                for row in range(block.first_row, block.last_row + 1):
                    for column in range(block.first_column, block.last_column + 1):
                        index.cells.setdefault((row, column), []).append(number)
            else:
                index.areas.setdefault(block, []).append(number)

    def _narrowed(self, text: str) -> str:
        """
        Write a look-up of one row by its name as what it looks at: the names, and the one cell beside the name.

        A change of the names makes it stale as before; one of another row's value, such as the first day beside the
        people, does not.
        """
        return _LOOKUP.sub(self._looked_up, text) if "MATCH" in text.upper() else text

    def _looked_up(self, match: re.Match[str]) -> str:
        table = self.by_table.get(match["table"].casefold())
        if table is None:
            return match[0]
        headings = [key_of(heading) for heading in table.headings]
        keys, values = key_of(match["keys"]), key_of(match["values"])
        if keys not in headings or values not in headings or table.sheet_part not in self.sheets:
            return match[0]
        column = table.area.first_column + headings.index(keys)
        numbers = range(table.first_row, table.area.last_row + 1)
        rows = self.rows(table.sheet_part, numbers)
        for number in numbers:
            cell = rows.get(number, {}).get(column)
            if cell is not None and str(cell.value).casefold() == match["name"].casefold():
                place = address(number, table.area.first_column + headings.index(values))
                sheet = self.sheet_names[table.sheet_part].replace("'", "''")
                return f"{match['table']}[{match['keys']}]+'{sheet}'!{place}"
        return match[0]

    # ---- what references point to ----------------------------------------------------------------------------------

    def _resolve(
        self,
        found: References,
        part: str,
        cell: tuple[int, int] | None,
        shift: tuple[int, int] = (0, 0),
        depth: int = 0,
    ) -> tuple[list[Place], bool]:
        places: list[Place] = []
        dynamic = found.dynamic
        for area in found.areas:
            places += [(target, area.moved(*shift).block) for target in self._sheets_of(area, part)]
        for use in found.tables:
            places += self._table_places(use, part, cell)
        for sheet, name in found.names:
            more, anywhere = self._name_places(sheet, name, part, depth)
            places += more
            dynamic = dynamic or anywhere
        return places, dynamic

    def _sheets_of(self, area: Area, part: str) -> list[str]:
        if area.sheet is None:
            return [part]
        name = area.sheet.casefold()
        if name in self.parts:
            return [self.parts[name]]
        first, colon, last = name.partition(":")
        if colon and first in self.all_names and last in self.all_names:
            ends = sorted((self.all_names.index(first), self.all_names.index(last)))
            return [one for one in self.order[ends[0] : ends[1] + 1] if one is not None]
        return []

    def _table_places(self, use: TableUse, part: str, cell: tuple[int, int] | None) -> list[Place]:
        if use.table:
            table = self.by_table.get(use.table.casefold())
        else:
            table = next(
                (t for t in self.tables if t.sheet_part == part and cell is not None and t.area.holds(*cell)), None
            )
        if table is None:
            return []
        keys = self.keys.get(table.part)
        if keys is None:
            keys = self.keys[table.part] = [key_of(heading) for heading in table.headings]
        columns = [keys.index(key_of(name)) for name in use.columns if key_of(name) in keys]
        area = table.area
        if columns and len(columns) == len(use.columns):
            area = area._replace(
                first_column=area.first_column + min(columns), last_column=table.area.first_column + max(columns)
            )
        if use.this_row and cell is not None:
            area = area._replace(first_row=cell[0], last_row=cell[0])
        return [(table.sheet_part, area)]

    def _name_places(self, sheet: str | None, name: str, part: str, depth: int) -> tuple[list[Place], bool]:
        home = self.parts.get(sheet.casefold(), part) if sheet else part
        number = self.order.index(home) if home in self.order else None
        key = name.casefold()
        table = self.by_table.get(key)
        if table is not None:
            return [(table.sheet_part, table.area)], False
        text = self.names.get((number, key), self.names.get((None, key)))
        if text is None:
            return [], False
        if depth >= _DEEPEST_NAME:
            return [], True
        found = references(text)
        moving = any(any(area.moves) for area in found.areas)  # a name can be relative to the cell that uses it
        places, dynamic = self._resolve(found, home, None, depth=depth + 1)
        return places, dynamic or moving


def _ends_with(block: Rectangle, table: TablePart) -> bool:
    """Whether a block is several rows of a table, from its first one to its last."""
    ends = block.first_row <= table.first_row and block.first_row < block.last_row == table.area.last_row
    return ends and block.meets(table.area)


def _data_table_places(tag: bytes, part: str, block: Rectangle) -> list[Place]:
    """A data table looks at its input cells and at the row above and the column left of it (18.3.1.40 r1, r2)."""
    around = Rectangle(max(block.first_row - 1, 1), max(block.first_column - 1, 1), block.last_row, block.last_column)
    inputs = [attribute(tag, name) for name in ("r1", "r2")]
    return [(part, around), *((part, parse_range(one)) for one in inputs if one)]


def _stretched(block: Rectangle, reach: str | None) -> Rectangle:
    """Widen an area by the size of the block of cells that share its formula, whichever way they lie."""
    if reach is None:
        return block
    over = parse_range(reach)
    rows, columns = over.last_row - over.first_row, over.last_column - over.first_column
    return Rectangle(
        max(block.first_row - rows, 1),
        max(block.first_column - columns, 1),
        min(block.last_row + rows, LAST_ROW),
        min(block.last_column + columns, LAST_COLUMN),
    )


def _touches(block: Rectangle, columns: Mapping[int, list[int]]) -> bool:
    for column in (
        columns
        if len(columns) < block.last_column - block.first_column
        else range(block.first_column, block.last_column + 1)
    ):
        if block.first_column <= column <= block.last_column and (rows := columns.get(column)):
            place = bisect_left(rows, block.first_row)
            if place < len(rows) and rows[place] <= block.last_row:
                return True
    return False


def _meets(places: list[Place] | None, dirty: Cells) -> bool:
    if places is None:
        return True
    return any(block.holds(*cell) for part, block in places for cell in dirty.get(part, ()))
