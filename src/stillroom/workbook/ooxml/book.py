"""One opened workbook: its tables and cells as they stand in the file, and the edits waiting to be saved."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from copy import deepcopy
from dataclasses import replace
from functools import cached_property
from pathlib import Path

from stillroom.errors import THE_FILE, Problem, WorkbookRefused
from stillroom.household.cells import address
from stillroom.household.results.commands import Receipt
from stillroom.workbook.ooxml.edits import Pending, grown_edits, write_edits
from stillroom.workbook.ooxml.files.copies import history
from stillroom.workbook.ooxml.new_sheet import NewSheet, SheetAdder
from stillroom.workbook.ooxml.opened import Opened, empty_workbook
from stillroom.workbook.ooxml.package import refusing_damage
from stillroom.workbook.ooxml.read_cells import body_below, heading_numbers, heading_rows
from stillroom.workbook.ooxml.row_heights import Fitted
from stillroom.workbook.ooxml.save import save_workbook, verify_new
from stillroom.workbook.ooxml.tables import FoundTable, TablePart, key_of
from stillroom.workbook.ooxml.values import LAST_COLUMN, LAST_ROW, Cell, Rectangle, Value
from stillroom.workbook.ooxml.write_cells import Edit, check_value

__all__ = ["Book", "Cell", "FoundTable", "NewSheet", "Value"]


class Book:
    """
    One workbook, opened.

    Reading never changes the file. What is read is what stood in the file when it was opened (and what was put on
    sheets that were added since); edits wait until :meth:`save`. An edit that would write what is already there is no
    edit. After a save open the workbook anew.
    """

    def __init__(self, path: Path, data: bytes, *, is_new: bool = False, in_file: bytes | None = None) -> None:
        """Open the bytes of a file; use :meth:`open` or :meth:`new`. `in_file` is what the file has, if not these."""
        self.path = path
        self.source = data
        self._in_file = data if in_file is None else in_file
        self._opened = Opened(data, may_be_empty=is_new)
        self._pending = Pending()
        self._adder = SheetAdder(self._opened)

    @classmethod
    def open(cls, path: Path) -> Book:
        """
        Open a workbook; raises WorkbookRefused, with the reason, for any that cannot be read and written whole.

        Refused are: files that are missing or cannot be read, encrypted and old binary files, other documents, Strict
        Open XML, document types and entities, signatures, tracked changes, files that would unfold too far, damaged
        or doubled members, member names that lead elsewhere.
        """
        try:
            data = Path(path).read_bytes()
        except FileNotFoundError:
            raise WorkbookRefused.because("", "no such file", str(path)) from None
        except IsADirectoryError:
            raise WorkbookRefused.because("", "a folder", str(path)) from None
        except OSError as error:
            raise WorkbookRefused.because("", "file not readable", str(path), str(error.strerror)) from None
        return cls.of(Path(path), data)

    @classmethod
    def of(cls, path: Path, data: bytes, in_file: bytes | None = None) -> Book:
        """Open the bytes of a workbook that is called so; raises WorkbookRefused as :meth:`open` does."""
        try:
            return refusing_damage(cls)(path, data, in_file=in_file)
        except WorkbookRefused as refusal:
            name = path.name
            problems = [replace(one, where=name) if one.where == THE_FILE else one for one in refusal.problems]
            raise WorkbookRefused(problems) from None

    @cached_property
    def digest(self) -> str:
        """The digest of the file as it was read, in hexadecimal: it tells one copy of a workbook from another."""
        return hashlib.sha256(self.source).hexdigest()

    @classmethod
    def new(cls, path: Path, title: str) -> Book:
        """Give a workbook without a sheet, to which sheets are added; it becomes a file when it is saved."""
        return cls(path, empty_workbook(title), is_new=True)

    # ---- what there is ---------------------------------------------------------------------------------------------

    @property
    def date1904(self) -> bool:
        """Whether dates count from 1904."""
        return self._opened.layout.date1904

    @property
    def sheet_names(self) -> tuple[str, ...]:
        """The names of all sheets, chart sheets included, in their order."""
        return tuple(self._opened.layout.all_names)

    @property
    @refusing_damage
    def protected_sheets(self) -> tuple[str, ...]:
        """The sheets that are protected; they are written to all the same, and stay protected."""
        return tuple(sheet.name for sheet in self._opened.layout.sheets if self._opened.is_protected(sheet.part))

    @property
    @refusing_damage
    def table_names(self) -> tuple[str, ...]:
        """The names of all tables that are defined, in the order of the sheets."""
        return tuple(part.name for part in self._opened.tables())

    @property
    @refusing_damage
    def table_parts(self) -> tuple[TablePart, ...]:
        """What the definition of every table says, without its cells, in the order of the sheets."""
        return self._opened.tables()

    @refusing_damage
    def table(self, name: str) -> FoundTable | None:
        """
        Find a table by its name, wherever it is, without regard to capitals, spaces and underscores; or None.

        Where two tables have the name, the first is given: see :meth:`tables_named`.
        """
        found = self.tables_named(name)
        return found[0] if found else None

    @refusing_damage
    def tables_named(self, name: str) -> list[FoundTable]:
        """Find every table whose name reads so."""
        wanted = key_of(name)
        return [
            self._opened.found(part)
            for part in self._opened.tables()
            if wanted in (key_of(part.display_name), key_of(part.name))
        ]

    @refusing_damage
    def tables_by_headings(self, headings: Sequence[str], name: str) -> list[FoundTable]:
        """
        Find the blocks of cells, outside every table, whose first row holds all the headings in any order.

        Capitals and spaces do not matter. A block reaches down to the first row that is blank from its first to its
        last column.
        """
        numbers = heading_numbers(self._opened.strings, headings)
        found = []
        texts = self._opened.texts()
        for sheet in self._opened.layout.sheets:
            if sheet.part not in texts:
                continue
            text = texts[sheet.part]
            areas = [part.area for part in self._opened.tables() if part.sheet_part == sheet.part]
            for row, first, cells in heading_rows(text, self._opened.reader, headings, numbers):
                block = Rectangle(row, first, row, first + len(cells) - 1)
                if any(area.meets(block) for area in areas):
                    continue
                last = body_below(text, self._opened.reader, row, first, block.last_column, areas)
                area = block._replace(last_row=last)
                names = tuple(str(cell.value) for cell in cells)
                part = TablePart(
                    name, name, sheet.name, sheet.part, "", area, 1, 0, names, (None,) * len(names), is_query=False
                )
                found.append(self._opened.found(part))
        return found

    @refusing_damage
    def cell(self, sheet: str, row: int, column: int) -> Cell:
        """Read one cell; raises WorkbookRefused when there is no such sheet."""
        text = self._opened.text(self._opened.sheet(sheet).part)
        cells = self._opened.reader.rows(text, row, row).get(row, {})
        return cells.get(column, Cell(row, column, None, "blank"))

    @refusing_damage
    def cells(self, sheet: str) -> dict[int, dict[int, Cell]]:
        """Read every cell of a sheet, by row and column; raises WorkbookRefused when there is no such sheet."""
        return self._opened.reader.rows(self._opened.text(self._opened.sheet(sheet).part), 1, LAST_ROW)

    # ---- edits -----------------------------------------------------------------------------------------------------

    @refusing_damage
    def set(self, sheet: str, row: int, column: int, value: Value) -> None:
        """
        Wait to write one cell; its format stays, except that a date gets a date format where it has none.

        Raises WorkbookRefused when there is no such sheet or no cell can hold the value. Whether the cell may be
        written to (merged cells, headings, array formulas) is found when saving.
        """
        found = self._opened.sheet(sheet)
        problems = _wrong(found.name, row, column, value)
        if problems:
            raise WorkbookRefused(problems)
        before = self._pending.edits.get(found.part, {}).get((row, column))
        self._pending.put(found.part, row, column, Edit(value, before.style if before is not None else None))

    @refusing_damage
    def keep_result(self, sheet: str, row: int, column: int) -> None:
        """Keep the saved result of a formula cell, of which the caller knows that no waiting edit changes it."""
        self._pending.right.setdefault(self._opened.sheet(sheet).part, set()).add((row, column))

    @refusing_damage
    def fill_table(self, table: FoundTable, columns: Mapping[str, Sequence[Value]], rows: int) -> None:
        """
        Wait to write the body of some columns of a table, ``rows`` rows from its first.

        What these columns held below is blanked. Other columns are left alone. A table that is too short grows: its
        new rows take the formats of its last one, and the formulas of calculated columns. Raises WorkbookRefused,
        naming the cells, when something stands in the way, and when a heading is not there or a value cannot be held.
        """
        places = _columns(table, columns)
        problems = []
        for heading, values in columns.items():
            if len(values) != rows:
                msg = f"{heading} has {len(values)} values for {rows} rows"
                raise ValueError(msg)
            try:
                for value in values:
                    check_value(value)
            except ValueError:
                for number, value in enumerate(values):
                    problems += _wrong(table.sheet, table.first_row + number, places[heading], value)
        if problems:
            raise WorkbookRefused(problems)
        styles = self._grow(table, table.first_row + rows - 1)
        waiting = self._pending.edits.setdefault(table.sheet_part, {})
        filled = dict(table.rows.filled())
        surplus = {*filled, *(row - table.first_row for row, _ in waiting)}
        numbers = [*range(rows), *sorted(one for one in surplus if rows <= one < len(table.rows))]
        for heading, values in columns.items():
            column = places[heading]
            for number in numbers:
                row = table.first_row + number
                value = values[number] if number < rows else None
                if value is None and (row, column) not in waiting and _is_blank(table, filled, number, column):
                    continue
                style = styles.get(column) if row > table.last_row else None
                waiting[row, column] = Edit(value, style)

    def fit_rows(self, table: FoundTable) -> None:
        """
        Wait to make the rows of a table as high as what will stand in them, where the cells' format wraps it.

        A table without a definition is left as it is, and so is every row that is hidden, whose height was set by
        hand, or in which something stands outside the tables to be fitted.
        """
        if table.table_part is None:
            return
        last_row = max(table.last_row, self._pending.grown.get(table.table_part, 0))
        columns = range(table.first_column, table.last_column + 1)
        fitted = Fitted(table.table_part, table.first_row, last_row, columns)
        self._pending.fitted.setdefault(table.sheet_part, {})[table.table_part] = fitted

    @refusing_damage
    def add_sheet(self, name: str, sheet: NewSheet) -> str:
        """Put a new sheet after the last one; gives the name it got, made unique if there was one of that name."""
        return self._adder.add(name, sheet)

    @refusing_damage
    def free_sheet_name(self, name: str) -> str:
        """Give the name that a new sheet would get: the given one, made unique and fit to be a sheet's name."""
        return self._adder.free_name(name)

    @refusing_damage
    def free_table_name(self, name: str) -> str:
        """Give the name that a new table would get."""
        return self._adder.free_table_name(name)

    @contextmanager
    def all_or_none(self) -> Iterator[None]:
        """Drop the edits that were made in this block where it raises; sheets that were added stay."""
        before = deepcopy(self._pending)
        try:
            yield
        except Exception:
            self._pending = before
            raise

    def join(self, other: Book) -> None:
        """Wait to let the workbook descend from another, as that was read; what only it has is to be set as well."""
        ids = history(other.source)
        if ids and ids[0] not in history(self.source):
            self._pending.joined = ids

    @refusing_damage
    def content(self) -> bytes:
        """Give the bytes of the file as it would be saved now."""
        return b"".join(write_edits(self._opened, self._pending).package.pieces())

    @refusing_damage
    def verified(self) -> bytes:
        """Give these bytes once they are verified; raises CouldNotWrite when the check of them fails."""
        written = write_edits(self._opened, self._pending)
        new = b"".join(written.package.pieces())
        verify_new(self.source, new, written, self.path)
        return new

    def reopened(self) -> Book:
        """
        Give the workbook as it would be saved now, opened again; a save of that one puts both their edits into FILE.

        Raises CouldNotWrite when the check of the edits fails, WorkbookRefused as :meth:`save` does.
        """
        return Book.of(self.path, self.verified(), self._in_file)

    @refusing_damage
    def changed(self) -> bool:
        """Whether saving now would change anything."""
        return write_edits(self._opened, self._pending).changed

    @refusing_damage
    def save(
        self, out: Path | None = None, today: datetime.datetime | None = None, *, replace: bool = False
    ) -> Receipt:
        """
        Write the edits: into the file itself, keeping a dated copy of it as it was, or to another file.

        Another file that is not as we last wrote it is refused, or with `replace` kept as a dated copy.

        Raises CouldNotWrite (open elsewhere, changed since it was read, disk full, read-only) or WorkbookRefused (a
        cell that may not be written to); in both cases nothing is changed. Without edits the file keeps its bytes.
        """
        written = write_edits(self._opened, self._pending)
        self._opened.forget_texts()
        return save_workbook(self.path, self.source, written, out, today, replace=replace, in_file=self._in_file)

    def _grow(self, table: FoundTable, last_row: int) -> dict[int, int]:
        """Wait to make a table longer; gives the format of its last row for each column. Refuses what is in the way."""
        if last_row <= table.last_row:
            return {}
        edits, styles = grown_edits(self._opened, table, last_row)
        for (row, column), edit in edits.items():
            if (row, column) not in self._pending.edits.get(table.sheet_part, {}):
                self._pending.put(table.sheet_part, row, column, edit)
        if table.table_part is not None:
            self._pending.grown[table.table_part] = max(last_row, self._pending.grown.get(table.table_part, 0))
        return styles


def _is_blank(table: FoundTable, filled: Mapping[int, Sequence[Cell]], number: int, column: int) -> bool:
    """Whether a body cell of a table was read and holds nothing, so that blanking it is no edit."""
    if number not in filled:
        return number < len(table.rows)
    cell = filled[number][column - table.first_column]
    return cell.kind == "blank" and cell.formula is None


def _columns(table: FoundTable, columns: Mapping[str, Sequence[Value]]) -> dict[str, int]:
    """Find the sheet column of each heading; raises WorkbookRefused for those that are not there."""
    problems = []
    places = {}
    for heading in columns:
        column = table.column(heading)
        if column is None:
            where = table.heading_place(table.headings[0])
            problems.append(Problem(where, "column missing", (table.name,), field=heading))
        else:
            places[heading] = column
    if problems:
        raise WorkbookRefused(problems)
    return places


def _wrong(sheet: str, row: int, column: int, value: Value) -> list[Problem]:
    """Say why a value cannot be written to a cell, if it cannot."""
    if not (1 <= row <= LAST_ROW and 1 <= column <= LAST_COLUMN):
        return [Problem(f"{sheet}!{row},{column}", "outside the sheet")]
    try:
        check_value(value)
    except ValueError as error:
        where = f"{sheet}!{address(row, column)}"
        return [Problem(where, "value not writable", (str(error),))]
    return []
