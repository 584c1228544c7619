"""From waiting edits to the parts of the new file: which edits count, what they make stale, what has to grow."""

from __future__ import annotations

import datetime
import functools
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace

from stillroom.errors import Problem, WorkbookRefused
from stillroom.household.cells import address, letters
from stillroom.workbook.ooxml.files.copies import History, stamp
from stillroom.workbook.ooxml.formulas import has_formulas, shifted
from stillroom.workbook.ooxml.opened import Opened
from stillroom.workbook.ooxml.package import Package
from stillroom.workbook.ooxml.recalculation import Dependents
from stillroom.workbook.ooxml.row_heights import Fitted, Heights, height_text, row_heights, with_heights
from stillroom.workbook.ooxml.sheet_data import SheetText, formula_pattern, merged_ranges
from stillroom.workbook.ooxml.styles import Styles
from stillroom.workbook.ooxml.tables import FoundTable, TablePart, grown_part
from stillroom.workbook.ooxml.values import LAST_ROW, Cell, Rectangle, Value, parse_range, whole
from stillroom.workbook.ooxml.verify import ClaimedFormula, Claims
from stillroom.workbook.ooxml.write_cells import Contents, Edit, NewFormula, write_cells
from stillroom.workbook.ooxml.xml import attribute, find_element, holds


@dataclass(frozen=True)
class Forbidden:
    """A block of cells that may not be written to, with its kind of problem; ``but`` is the one cell of it that may."""

    block: Rectangle
    kind: str
    table: str = ""
    but: tuple[int, int] | None = None


def forbidden_in(sheet: SheetText) -> list[Forbidden]:
    """List the blocks of a sheet that cannot be written into: merges, arrays, data tables (18.3.1.55, 18.3.1.40)."""
    merged = merged_ranges(sheet)
    found = [Forbidden(block, "cell merged", but=(block.first_row, block.first_column)) for block in merged]
    kinds = {"an array formula": "cell of an array", "a data table": "cell of a data table"}
    return found + [Forbidden(block, kinds[kind]) for kind, block in array_ranges(sheet)]


def array_ranges(sheet: SheetText) -> list[tuple[str, Rectangle]]:
    """List the blocks of array formulas and data tables of a sheet, each with what it is called."""
    area = sheet.sheet_data
    kinds = (b"array", b"dataTable")
    if not has_formulas(sheet) or not any(holds(sheet.data, one, area.tag_end, area.content_end) for one in kinds):
        return []
    found = []
    for match in formula_pattern(sheet.prefix).finditer(sheet.markup.text, area.tag_end, area.content_end):
        tag = b"<f" + match[1] + b">"
        kind, ref = attribute(tag, "t"), attribute(tag, "ref")
        if ref and kind in ("array", "dataTable"):
            found.append(("an array formula" if kind == "array" else "a data table", parse_range(ref)))
    return found


def refuse(
    sheet: SheetText, name: str, cells: Collection[tuple[int, int]], forbidden: Iterable[Forbidden]
) -> list[Problem]:
    """Give a problem for each cell that may not be written to, in the order of the sheet."""
    problems = []
    blocks = list(forbidden)
    shares = has_formulas(sheet) and holds(sheet.data, b"shared")
    by_row: dict[int, set[int]] = {}
    for row, column in cells:
        by_row.setdefault(row, set()).add(column)
    for row in sorted(by_row):
        near = [one for one in blocks if one.block.first_row <= row <= one.block.last_row]
        masters = _masters(sheet, row) if shares else ()
        for column in sorted(by_row[row]) if near or masters else ():
            where = f"{name}!{address(row, column)}"
            found = next((one for one in near if one.block.holds(row, column) and (row, column) != one.but), None)
            if found is not None:
                problems.append(Problem(where, found.kind, (found.table,) if found.table else ()))
            elif column in masters:
                problems.append(Problem(where, "cell of a shared formula"))
    if cells and not sheet.in_order:
        problems.append(Problem(name, "rows not in order"))
    if cells and sheet.blank_elsewhere():
        problems.append(Problem(name, "rows written oddly"))
    return problems


def _masters(sheet: SheetText, row: int) -> set[int]:
    """Give the columns of a row in which a formula stands that other cells share (18.3.1.40 si, ref)."""
    element = sheet.row(row)
    if element is None or sheet.markup.text.find(b"shared", element.tag_end, element.content_end) < 0:
        return set()
    found = set()
    for span in sheet.cells(element):
        formula = find_element(sheet.markup.text, sheet.prefix + b"f", span.element.tag_end, span.element.content_end)
        if formula is not None:
            tag = sheet.data[formula.start : formula.tag_end]
            if attribute(tag, "t") == "shared" and attribute(tag, "ref") is not None:
                found.add(span.column)
    return found


def forbidden_by_tables(tables: list[TablePart]) -> list[Forbidden]:
    """List the heading rows and totals rows of tables, and the whole of those filled by a query (18.5.1.2)."""
    found = []
    for table in tables:
        area = table.area
        if table.is_query:
            found.append(Forbidden(area, "cell of a query", table.name))
        if table.header_rows:
            found.append(
                Forbidden(
                    area._replace(last_row=area.first_row + table.header_rows - 1),
                    "cell of a heading",
                    table.name,
                )
            )
        if table.totals_rows:
            found.append(Forbidden(area._replace(first_row=table.last_row + 1), "cell of a totals row", table.name))
    return found


Cells = dict[tuple[int, int], Edit]
Results = dict[str, set[tuple[int, int]]]

_NO_CELLS: Mapping[int, Cell] = {}
_KINDS = {"number": (int, float), "text": (str,), "date": (datetime.date, datetime.time)}


@dataclass
class Pending:
    """
    The edits that wait: sheet part to cell to edit, table part to its new last row, sheet part to fitted tables.

    `joined` are the ids of another branch that is joined by them, `right` formula cells whose saved result stays right.
    """

    edits: dict[str, Cells] = field(default_factory=dict)
    grown: dict[str, int] = field(default_factory=dict)
    fitted: dict[str, dict[str, Fitted]] = field(default_factory=dict)
    joined: History = ()
    right: dict[str, set[tuple[int, int]]] = field(default_factory=dict)

    def put(self, part: str, row: int, column: int, edit: Edit) -> None:
        """Wait to write one cell; a later edit of the same cell takes the place of an earlier one."""
        self.edits.setdefault(part, {})[row, column] = edit


@dataclass(frozen=True)
class Written:
    """The package as it is to be saved, and what may be told about it."""

    package: Package
    claims: Claims
    cells_written: int
    results_cleared: tuple[str, ...]
    cleared_to_be_safe: tuple[str, ...]
    too_short: tuple[tuple[str, str, str], ...] = ()

    @property
    def changed(self) -> bool:
        """Whether it differs from the file at all."""
        return bool(self.package.changed or self.package.added or self.package.dropped)


def write_edits(opened: Opened, pending: Pending) -> Written:
    """
    Give the package with all edits made; the opened workbook itself is not changed.

    Raises WorkbookRefused, with every cell that may not be written to.
    """
    package = opened.package.copy()
    strings, styles = opened.strings.on(package), opened.styles.on(package)
    contents = Contents(strings, styles, date1904=opened.layout.date1904)
    edits, formulas_lost = _effective(opened, pending)
    _refuse_all(opened, edits)
    grown = _grow(opened, package, pending)
    results, unsure, formulas, too_short = _stale(opened, edits, grown)
    cleared: dict[str, frozenset[tuple[int, int]]] = {}
    for part in sorted({*edits, *results}):
        mine = edits.get(part, {})
        stale = results.get(part, set()) - set(mine) - pending.right.get(part, set())
        content, really = write_cells(opened.text(part), mine, stale, contents)
        package.replace(part, content)
        if really:
            cleared[part] = frozenset(really)
    heights = _fit_rows(opened, package, pending, styles)
    strings.write()
    if formulas_lost:
        _drop_calculation_chain(package)
    if formulas:
        opened.layout.on(package).recalculate()
    is_new = package.changed or package.added or package.dropped or pending.joined
    history = stamp(package, pending.joined) if is_new else ""
    claims = Claims(
        cells={part: {cell: _claimed(edit.value) for cell, edit in cells.items()} for part, cells in edits.items()},
        cleared=cleared,
        grown={part: str(table.area) for part, table in grown.items()},
        added=tuple(package.added),
        dropped=tuple(sorted(package.dropped)),
        date1904=opened.layout.date1904,
        heights={part: {row: height_text(points) for row, points in rows.items()} for part, rows in heights.items()},
        fitted={part: tuple(pending.fitted[part]) for part in heights},
        history=history,
    )
    names = {sheet.part: sheet.name for sheet in opened.layout.sheets}
    told, told_unsure = (
        tuple(f"{names[part]}!{address(*cell)}" for part in names for cell in sorted(cells.get(part, ())))
        for cells in (cleared, {part: unsure.get(part, set()) & cells for part, cells in cleared.items()})
    )
    return Written(package, claims, sum(map(len, edits.values())), told, told_unsure, too_short)


def _stale(
    opened: Opened, edits: Mapping[str, Cells], grown: Mapping[str, TablePart]
) -> tuple[Results, Results, bool, tuple[tuple[str, str, str], ...]]:
    """
    Give the cells whose saved results go stale, and those of them that are only feared to.

    Gives also whether the workbook has to be calculated anew on loading: there are formulas, and something changed; and
    the formulas that end where a table did before it grew: table, formula, and the heading of a column they look at.
    """
    if edits or grown:
        tables = [grown.get(table.part, table) for table in opened.tables()]
        rows = functools.partial(opened.written_rows, formats=False)
        dependents = Dependents(opened.layout, tables, opened.texts(), rows)
        results = dependents.stale(_changed_cells(opened, edits, grown))
        unsure, any_formulas = dependents.unsure(), dependents.any_formulas
        ending = dependents.ending_at(table for table in opened.tables() if table.part in grown)
        too_short = tuple((table.display_name, cell, heading) for table, cell, heading in ending)
        return results, unsure, any_formulas, too_short
    added = [opened.text(sheet.part) for sheet in opened.layout.sheets if sheet.part in opened.package.added]
    return {}, {}, any(has_formulas(text) for text in added), ()


def _claimed(value: Value | NewFormula) -> object:
    return ClaimedFormula(value.text) if isinstance(value, NewFormula) else value


def _effective(opened: Opened, pending: Pending) -> tuple[dict[str, Cells], bool]:
    """Leave out edits that would write what is there; say whether a formula is overwritten or written."""
    effective: dict[str, Cells] = {}
    formulas = False
    for part, edits in sorted(pending.edits.items()):
        formats = any(edit.style is not None for edit in edits.values())
        rows = opened.written_rows(part, {row for row, _ in edits}, formats=formats)
        kept = {}
        for place in sorted(edits):
            edit, cell = edits[place], rows.get(place[0], _NO_CELLS).get(place[1])
            if same(cell, edit):
                continue
            kept[place] = edit
            formulas = formulas or isinstance(edit.value, NewFormula) or (cell is not None and cell.formula is not None)
        if kept:
            effective[part] = kept
    return effective, formulas


def same(cell: Cell | None, edit: Edit) -> bool:
    """Whether a cell already holds what an edit would write, by kind and value."""
    value = edit.value
    if isinstance(value, NewFormula):
        return False
    if cell is None or (cell.kind == "blank" and cell.formula is None):
        return value is None and (edit.style is None or cell is not None)
    if cell.formula is not None or value is None:
        return False
    if isinstance(value, datetime.datetime) and value.time() == datetime.time():
        value = value.date()
    if isinstance(value, bool) or isinstance(cell.value, bool):
        return cell.kind == "bool" and value is cell.value
    return value == cell.value and isinstance(value, _KINDS.get(cell.kind, ()))


def _refuse_all(opened: Opened, edits: Mapping[str, Cells]) -> None:
    problems: list[Problem] = []
    for part, cells in edits.items():
        text = opened.text(part)
        sheet = opened.layout.by_part(part)
        forbidden = forbidden_in(text) + forbidden_by_tables([t for t in opened.tables() if t.sheet_part == part])
        problems += refuse(text, sheet.name if sheet else part, cells, forbidden)
    if problems:
        raise WorkbookRefused(problems)


def _grow(opened: Opened, package: Package, pending: Pending) -> dict[str, TablePart]:
    grown = {}
    for table in opened.tables():
        last = pending.grown.get(table.part, 0)
        if last > table.area.last_row:
            package.replace(table.part, grown_part(package.part(table.part), table.part, last))
            grown[table.part] = replace(table, area=table.area._replace(last_row=last))
    return grown


def _changed_cells(
    opened: Opened, edits: Mapping[str, Cells], grown: Mapping[str, TablePart]
) -> dict[str, set[tuple[int, int]]]:
    changed = {part: set(cells) for part, cells in edits.items()}
    for table in opened.tables():
        if table.part in grown:
            new = Rectangle(
                table.area.last_row + 1,
                table.area.first_column,
                grown[table.part].area.last_row,
                table.area.last_column,
            )
            cells = {
                (row, column)
                for row in range(new.first_row, new.last_row + 1)
                for column in range(new.first_column, new.last_column + 1)
            }
            changed.setdefault(table.sheet_part, set()).update(cells)
    return changed


def _fit_rows(opened: Opened, package: Package, pending: Pending, styles: Styles) -> dict[str, Heights]:
    """Give the rows of fitted tables the heights that what stands in them needs; gives those that were changed."""
    changed: dict[str, Heights] = {}
    for part, tables in pending.fitted.items():
        sheet, now = opened.text(part), package.part(part)
        sheet = sheet if now is sheet.data else SheetText(now, part)
        rows = range(min(one.first_row for one in tables.values()), max(one.last_row for one in tables.values()) + 1)
        values = _values(opened, part, rows, pending.edits.get(part, {}))
        heights = row_heights(sheet, list(tables.values()), values, styles)
        if heights:
            package.replace(part, with_heights(sheet, heights))
            changed[part] = heights
    return changed


def _values(
    opened: Opened, part: str, rows: range, edits: Mapping[tuple[int, int], Edit]
) -> dict[int, dict[int, Value]]:
    """What will stand in the cells of some rows, every column of the sheet among them; blank rows are left out."""
    standing = opened.written_rows(part, rows, formats=False)
    values = {
        row: {
            column: 0 if cell.value is None and cell.formula is not None else cell.value  # 0: never worked out
            for column, cell in cells.items()
        }
        for row, cells in standing.items()
        if cells and row in rows
    }
    for (row, column), edit in edits.items():
        if row in rows and (edit.value is not None or row in values):
            values.setdefault(row, {})[column] = 0 if isinstance(edit.value, NewFormula) else edit.value
    return values


def _drop_calculation_chain(package: Package) -> None:
    """Drop the calculation chain (ECMA-376 Part 1, 18.6): a leftover entry is an error, a missing part is made anew."""
    for relation in package.relations(package.workbook_part):
        if relation.kind == "calcChain" and relation.target and package.has(relation.target):
            package.drop(relation.target)


# Making a table longer: what may stand in the way, and what its new rows begin with.


def grown_edits(opened: Opened, table: FoundTable, last_row: int) -> tuple[dict[tuple[int, int], Edit], dict[int, int]]:
    """
    Give the first edits of a longer table: formats, and formulas of calculated columns, for every new row.

    Gives also the format of the last row for each column. Raises WorkbookRefused, naming every cell, when something
    stands below.
    """
    if last_row > LAST_ROW:
        where = f"{table.sheet}!{letters(table.first_column)}{table.header_row}"
        raise WorkbookRefused.because(where, "table too long", table.name)
    text = opened.text(table.sheet_part)
    first = table.last_row + 1
    others = [
        (f"the table {part.name}", part.area)
        for part in opened.tables()
        if part.sheet_part == table.sheet_part and part.part != table.table_part
    ]
    others += [("a merged block", block) for block in merged_ranges(text)]
    problems = in_the_way(table, last_row, opened.reader.rows(text, first, last_row), others)
    if problems:
        raise WorkbookRefused(problems)
    styles = _styles(opened, table)
    part = next((one for one in opened.tables() if one.part == table.table_part), None)
    edits = {}
    for column in range(table.first_column, table.last_column + 1):
        formula = _column_formula(part, table, column) if part else None
        for row in range(first, last_row + 1):
            value = NewFormula(shifted(formula, row - table.last_row)) if formula is not None else None
            edits[row, column] = Edit(value, styles.get(column))
    return edits, styles


def _column_formula(part: TablePart, table: FoundTable, column: int) -> str | None:
    """Give the formula of a calculated column as it reads in the last row, or None."""
    number = column - table.first_column
    if part.formulas[number] is None:
        return None
    above = table.rows[-1][number].formula if table.rows else None
    return above or part.formulas[number]


def _styles(opened: Opened, table: FoundTable) -> dict[int, int]:
    """Give the cell formats of a table's last row by column."""
    text = opened.text(table.sheet_part)
    row = text.row(table.last_row) if table.last_row >= table.first_row else None
    if row is None:
        return {}
    styles = {}
    for span in text.cells(row):
        if table.first_column <= span.column <= table.last_column and (style := attribute(span.tag, "s")):
            styles[span.column] = whole(style, 0)
    return styles


def in_the_way(
    table: FoundTable, last_row: int, rows: Mapping[int, Mapping[int, Cell]], others: Iterable[tuple[str, Rectangle]]
) -> list[Problem]:
    """
    Say what stands where a table has to grow: cells with something in them, other tables, merged cells.

    ``rows`` are the written cells below the table, ``others`` the blocks of the same sheet with what they are.
    """
    block = Rectangle(table.last_row + 1, table.first_column, last_row, table.last_column)
    if table.totals_rows:
        where = f"{table.sheet}!{letters(table.first_column)}{table.last_row + 1}"
        return [Problem(where, "totals row below", (table.name,))]
    problems = []
    for row in sorted(rows):
        for column, cell in sorted(rows[row].items()):
            if block.holds(row, column) and (cell.kind != "blank" or cell.formula is not None):
                problems.append(Problem(f"{table.sheet}!{cell.address}", "cell below", (table.name,)))
    for what, other in others:
        if block.meets(other):
            problems.append(Problem(f"{table.sheet}!{other}", "block below", (what, table.name)))
    return problems
