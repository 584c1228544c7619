"""The read side of one opened workbook: its parts, sheets and tables, each looked up once."""

from __future__ import annotations

import copy
import io
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lxml import etree

from stillroom.errors import WorkbookRefused
from stillroom.workbook.ooxml.package import Package
from stillroom.workbook.ooxml.read_cells import Reader
from stillroom.workbook.ooxml.shared_strings import Strings
from stillroom.workbook.ooxml.sheet_data import Body, SheetText, merged_ranges
from stillroom.workbook.ooxml.styles import Styles
from stillroom.workbook.ooxml.tables import FoundTable, TablePart, read_table_part
from stillroom.workbook.ooxml.values import Cell, escape_text, whole
from stillroom.workbook.ooxml.xml import (
    MAIN,
    RELATIONS,
    Change,
    Markup,
    attribute,
    escape_attribute,
    holds,
    set_attribute,
    splice,
)
from stillroom.workbook.ooxml.zip import damaged

_AFTER_CALC: tuple[str, ...] = (
    "oleSize",
    "customWorkbookViews",
    "pivotCaches",
    "smartTagPr",
    "smartTagTypes",
    "webPublishing",
)
_AFTER_CALC += ("fileRecoveryPr", "webPublishObjects", "extLst")
_BEFORE_NAMES = ("sheets", "functionGroups", "externalReferences")


@dataclass(frozen=True)
class Sheet:
    """One sheet with cells: its name, its part, and whether it is hidden."""

    name: str
    part: str
    state: str


@dataclass(frozen=True)
class DefinedName:
    """A defined name with its formula text; ``sheet`` is the number of the sheet it belongs to, if any."""

    name: str
    sheet: int | None
    text: str


class Layout:
    """What the workbook part says (ECMA-376 Part 1, 18.2)."""

    def __init__(self, package: Package) -> None:
        """Read the workbook part."""
        self._package = package
        self.refresh()

    def refresh(self) -> None:
        """Read it again after a change."""
        root = self._package.root(self._package.workbook_part)
        properties = root.find(f"{{{MAIN}}}workbookPr")
        self.date1904 = properties is not None and properties.get("date1904") in ("1", "true")
        targets = {one.id: one for one in self._package.relations(self._package.workbook_part)}
        self.all_names: list[str] = []
        self.sheets: list[Sheet] = []
        self.sheet_order: list[str | None] = []
        for node in root.iterfind(f"{{{MAIN}}}sheets/{{{MAIN}}}sheet"):
            name = node.get("name", "")
            self.all_names.append(name)
            relation = targets.get(node.get(f"{{{RELATIONS}}}id", ""))
            is_cells = relation is not None and relation.kind == "worksheet" and relation.target is not None
            if relation is not None and relation.target is not None and is_cells and self._package.has(relation.target):
                self.sheets.append(Sheet(name, relation.target, node.get("state", "visible")))
                self.sheet_order.append(relation.target)
            else:
                self.sheet_order.append(None)
        self.names = [_defined_name(node) for node in root.iterfind(f"{{{MAIN}}}definedNames/{{{MAIN}}}definedName")]
        self._highest_id = max(
            (whole(n.get("sheetId"), 0) for n in root.iterfind(f"{{{MAIN}}}sheets/{{{MAIN}}}sheet")), default=0
        )

    def on(self, package: Package) -> Layout:
        """Give the same layout for a copy of the package."""
        other = copy.copy(self)
        other.use(package)
        return other

    def use(self, package: Package) -> None:
        """Make changes in this package from now on."""
        self._package = package

    def by_name(self, name: str) -> Sheet | None:
        """Find a sheet by its name; capitals do not matter, as in every office program."""
        return next((sheet for sheet in self.sheets if sheet.name.casefold() == name.casefold()), None)

    def by_part(self, part: str) -> Sheet | None:
        """Find a sheet by its part."""
        return next((sheet for sheet in self.sheets if sheet.part == part), None)

    def recalculate(self) -> None:
        """Set full calculation on load (18.2.2 calcPr)."""
        part = self._package.workbook_part
        markup = Markup(self._package.part(part), part)
        element = markup.find("calcPr")
        if element is not None:
            change = Change(element.start, element.tag_end, set_attribute(markup.tag(element), "fullCalcOnLoad", "1"))
        else:
            after = [one.start for name in _AFTER_CALC if (one := markup.find(name)) is not None]
            place = min(after, default=markup.root_close)
            change = Change(place, place, b"<" + markup.prefix + b'calcPr fullCalcOnLoad="1"/>')
        self._package.replace(part, splice(markup.data, [change]))

    def append(self, name: str, part: str, names: list[tuple[str, str]], state: str = "visible") -> None:
        """Put a sheet after the last one, with defined names of its own such as print titles (18.2.19, 18.2.5)."""
        relation = self._package.relate(self._package.workbook_part, f"{RELATIONS}/worksheet", part)
        workbook = self._package.workbook_part
        markup = Markup(self._package.part(workbook), workbook)
        sheets = markup.find("sheets")
        if sheets is None:
            return
        space = _relations_prefix(markup)
        declared = b"" if space else b' xmlns:r="' + RELATIONS.encode() + b'"'
        hidden = "" if state == "visible" else f' state="{state}"'
        line = f'sheet name="{escape_attribute(name)}" sheetId="{self._highest_id + 1}"{hidden}'.encode()
        entry = b"<" + markup.prefix + line + declared + b" " + (space or b"r") + f':id="{relation}"/>'.encode()
        changes = [markup.opened(sheets, "sheets", entry)]
        if names:
            changes.append(_names_change(markup, names, len(self.all_names)))
        self._package.replace(workbook, splice(markup.data, changes))
        self.refresh()


def _relations_prefix(markup: Markup) -> bytes | None:
    for piece in markup.root_tag.split():
        name, _, value = piece.partition(b"=")
        if name.startswith(b"xmlns:") and value.strip(b"\"'>/") == RELATIONS.encode():
            return name[6:]
    return None


def _names_change(markup: Markup, names: list[tuple[str, str]], sheet: int) -> Change:
    prefix = markup.prefix
    lines = b"".join(
        b"<"
        + prefix
        + f'definedName name="{name}" localSheetId="{sheet}">{escape_text(text)}</'.encode()
        + prefix
        + b"definedName>"
        for name, text in names
    )
    existing = markup.find("definedNames")
    if existing is not None:
        return markup.opened(existing, "definedNames", lines)
    place = max(one.end for name in _BEFORE_NAMES if (one := markup.find(name)) is not None)
    return Change(place, place, b"<" + prefix + b"definedNames>" + lines + b"</" + prefix + b"definedNames>")


def _defined_name(node: etree._Element) -> DefinedName:
    sheet = node.get("localSheetId")
    return DefinedName(node.get("name", ""), whole(sheet, 0) if sheet is not None else None, node.text or "")


# The workbook without a sheet from which a new one is made.

FIXED_DATE = (1980, 1, 1, 0, 0, 0)
_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_OFFICE = "application/vnd.openxmlformats-officedocument."
_DAY = '<dcterms:{0} xsi:type="dcterms:W3CDTF">2026-01-01T00:00:00Z</dcterms:{0}>'
_PARTS = {
    "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="xml" ContentType="application/xml"/>'
    f'<Override PartName="/xl/workbook.xml" ContentType="{_OFFICE}spreadsheetml.sheet.main+xml"/>'
    f'<Override PartName="/xl/sharedStrings.xml" ContentType="{_OFFICE}spreadsheetml.sharedStrings+xml"/>'
    '<Override PartName="/docProps/core.xml" ContentType="application/vnd.openxmlformats-package.core-properties+xml"/>'
    f'<Override PartName="/docProps/app.xml" ContentType="{_OFFICE}extended-properties+xml"/></Types>',
    "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">'
    f'<Relationship Id="rId1" Type="{RELATIONS}/officeDocument" Target="xl/workbook.xml"/>'
    f'<Relationship Id="rId2" Type="{_PACKAGE}/relationships/metadata/core-properties" Target="docProps/core.xml"/>'
    f'<Relationship Id="rId3" Type="{RELATIONS}/extended-properties" Target="docProps/app.xml"/></Relationships>',
    "docProps/core.xml": f'<cp:coreProperties xmlns:cp="{_PACKAGE}/metadata/core-properties" '
    'xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:dcterms="http://purl.org/dc/terms/" '
    'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"><dc:title>TITLE</dc:title>'
    f"<dc:creator>stillroom</dc:creator>{_DAY.format('created')}{_DAY.format('modified')}</cp:coreProperties>",
    "docProps/app.xml": '<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties">'
    "<Application>stillroom</Application></Properties>",
    "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{RELATIONS}"><bookViews><workbookView/></bookViews>'
    "<sheets/></workbook>",
    "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">'
    f'<Relationship Id="rId1" Type="{RELATIONS}/sharedStrings" Target="sharedStrings.xml"/></Relationships>',
    "xl/sharedStrings.xml": f'<sst xmlns="{MAIN}" count="0" uniqueCount="0"/>',
}


def empty_workbook(title: str) -> bytes:
    """
    Give the bytes of a workbook that has no sheet yet (ECMA-376 part 2, 6 and 10); the same title, the same bytes.

    No person and no moment stands in it: its dates are fixed.
    """
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in _PARTS.items():
            entry = zipfile.ZipInfo(name, FIXED_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 3
            archive.writestr(entry, _HEAD + text.replace("TITLE", escape_text(title)))
    return out.getvalue()


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
