"""The read side of one opened workbook: its parts, sheets and tables, each looked up once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from stillroom.errors import WorkbookRefused
from stillroom.workbook.ooxml.package import Package
from stillroom.workbook.ooxml.read_cells import Reader
from stillroom.workbook.ooxml.shared_strings import Strings
from stillroom.workbook.ooxml.sheet_data import Body, SheetText
from stillroom.workbook.ooxml.styles import Styles
from stillroom.workbook.ooxml.tables import FoundTable, TablePart, read_table_part
from stillroom.workbook.ooxml.values import Cell
from stillroom.workbook.ooxml.workbook_part import Layout, Sheet
from stillroom.workbook.ooxml.write_guards import merged_ranges
from stillroom.workbook.ooxml.xml import attribute, holds
from stillroom.workbook.ooxml.zip import damaged


class Opened:
    """Everything that is read from a workbook; raises WorkbookRefused where the file is not whole."""

    def __init__(self, data: bytes, *, may_be_empty: bool = False) -> None:
        """Open the bytes of a file; only one that is to become a workbook may have no sheet."""
        self.package = Package(data)
        self.layout = Layout(self.package)
        if not (self.layout.all_names or may_be_empty):
            raise damaged("no sheets")
        self.strings = Strings(self.package)
        self.styles = Styles(self.package)
        self.reader = Reader(self.strings, self.styles, date1904=self.layout.date1904)
        self._texts: dict[str, SheetText] = {}
        self._tables: tuple[TablePart, ...] | None = None
        self._rows: dict[str, dict[int, dict[int, Cell]]] = {}
        self._looked_at: dict[str, list[range]] = {}
        self._found: dict[TablePart, FoundTable] = {}

    def refresh(self) -> None:
        """Forget what a new sheet may have changed."""
        self._tables = None
        self.layout.refresh()

    def sheet(self, name: str) -> Sheet:
        """Find a sheet; raises WorkbookRefused when there is none of that name."""
        found = self.layout.by_name(name)
        if found is None:
            raise WorkbookRefused.because("", "no such sheet", name)
        return found

    def text(self, part: str) -> SheetText:
        """Give a sheet part, ready to find rows in."""
        if part not in self._texts:
            self._texts[part] = SheetText(self.package.part(part), part)
        return self._texts[part]

    def written_rows(self, part: str, rows: Iterable[int], *, formats: bool) -> Mapping[int, Mapping[int, Cell]]:
        """
        Read rows of a sheet by their numbers, those of tables that were read before from memory.

        Without ``formats`` a row of blank cells, which only have formats, may be left out.
        """
        text, known = self.text(part), self._rows.get(part, {})
        unread = set(rows) - known.keys()
        if not formats:
            unread -= {row for seen in self._looked_at.get(part, ()) for row in seen}
        places = [text.place(row) for row in sorted(unread) if text.row(row) is not None]
        return known | self.reader.rows_at(text, places) if places else known

    def texts(self) -> dict[str, SheetText]:
        """Give every sheet that has rows of cells, by its part; sheets of another kind are left out."""
        found = {}
        for sheet in self.layout.sheets:
            try:
                found[sheet.part] = self.text(sheet.part)
            except WorkbookRefused:
                continue
        return found

    def forget_texts(self) -> None:
        """Let go of the sheets' bytes; they are read again when next asked for."""
        self._texts.clear()
        self._rows.clear()
        self._looked_at.clear()
        self._found.clear()

    def tables(self) -> tuple[TablePart, ...]:
        """List all tables that are defined, in the order of the sheets."""
        if self._tables is None:
            found = []
            for sheet in self.layout.sheets:
                for relation in self.package.relations(sheet.part) if self._may_have_tables(sheet.part) else ():
                    if relation.kind == "table" and relation.target and self.package.has(relation.target):
                        table = read_table_part(self.package, relation.target, sheet.name, sheet.part)
                        if table is not None:
                            found.append(table)
            self._tables = tuple(found)
        return self._tables

    def _may_have_tables(self, part: str) -> bool:
        """Whether a sheet's relationships can name a table; most need not be read to say no."""
        lines = self.package.relations_bytes(part)
        return b"table" in lines or b"&" in lines

    def is_protected(self, part: str) -> bool:
        """Whether a sheet is protected (18.3.1.85 sheetProtection)."""
        text = self.text(part)
        element = text.markup.find("sheetProtection", text.sheet_data.end)
        return element is not None and attribute(text.markup.tag(element), "sheet") in ("1", "true")

    def found(self, table: TablePart) -> FoundTable:
        """Read a table's body, once: what is read is what stood in the file when it was opened."""
        if table not in self._found:
            self._found[table] = self._read(table)
        return self._found[table]

    def _read(self, table: TablePart) -> FoundTable:
        """Read a table's body; rows that a table beside it has read are not read again."""
        text = self.text(table.sheet_part)
        area = table.area
        rows = self._rows.setdefault(table.sheet_part, {})
        filled = text.filled_places(table.first_row, table.last_row)
        rows.update(self.reader.rows_at(text, [place for place in filled if text.numbers[place] not in rows]))
        self._looked_at.setdefault(table.sheet_part, []).append(range(table.first_row, table.last_row + 1))
        columns = range(area.first_column, area.first_column + len(table.headings))
        sheet = self.layout.by_part(table.sheet_part)
        return FoundTable(
            name=table.name,
            sheet=table.sheet,
            sheet_part=table.sheet_part,
            table_part=table.part or None,
            header_row=area.first_row if table.header_rows else 0,
            first_column=area.first_column,
            last_column=area.last_column,
            first_row=table.first_row,
            last_row=table.last_row,
            headings=table.headings,
            rows=Body(table.first_row, table.last_row, columns, rows),
            hidden_rows=_hidden(text, table.first_row, table.last_row),
            merged=tuple(str(block) for block in merged_ranges(text) if block.meets(area)),
            totals_rows=table.totals_rows,
            is_query=table.is_query,
            sheet_state=sheet.state if sheet else "visible",
            protected=self.is_protected(table.sheet_part),
        )


def _hidden(text: SheetText, first: int, last: int) -> frozenset[int]:
    hidden: set[int] = set()
    area = text.sheet_data
    for place in text.places(first, last) if holds(text.data, b"hidden", area.tag_end, area.content_end) else ():
        row = text.row_at(place)
        if attribute(text.data[row.start : row.tag_end], "hidden") in ("1", "true"):
            hidden.add(text.numbers[place])
    return frozenset(hidden)
