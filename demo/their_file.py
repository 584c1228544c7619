"""A household's own workbook as another program leaves it: tables, formulas with their values, fixed dates."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping, Sequence
from itertools import count
from xml.sax.saxutils import escape

from openpyxl.workbook import Workbook
from openpyxl.worksheet.table import Table, TableColumn, TableFormula, TableStyleInfo
from openpyxl.worksheet.worksheet import Worksheet

from stillroom.workbook.starter.layout import Entry, Formula, Place, Row

SavedValues = dict[tuple[str, str], float | str]
"""Sheet and cell of every formula, with the value it has now."""
FIXED_DATE = (2026, 1, 1, 0, 0, 0)
CORE = (
    '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    '<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties" '
    'xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:dcterms="http://purl.org/dc/terms/" '
    'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"><dc:title>{title}</dc:title><dc:creator>stillroom</dc:creator>'
    '<dcterms:created xsi:type="dcterms:W3CDTF">2026-01-01T00:00:00Z</dcterms:created>'
    '<dcterms:modified xsi:type="dcterms:W3CDTF">2026-01-01T00:00:00Z</dcterms:modified></cp:coreProperties>'
)
APP = (
    '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    '<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties">'
    "<Application>stillroom</Application></Properties>"
)
SHEET_MEMBER = re.compile(r"xl/worksheets/sheet(\d+)\.xml")
FORMULA_CELL = re.compile(r'<c r="([A-Z]+[0-9]+)"((?: s="\d+")?)(?: t="\w+")?><f>(.*?)</f><v\s*/?>(?:</v>)?</c>')


def put(worksheet: Worksheet, row: int, column: int, entry: Entry, saved: SavedValues) -> None:
    """Put one entry into a cell; of a formula the value is kept aside, to be saved with it."""
    cell = worksheet.cell(row, column)
    if isinstance(entry, Formula):
        cell.value = "=" + entry.text
        saved[worksheet.title, cell.coordinate] = entry.value
    elif isinstance(entry, bool):
        cell.value = "yes" if entry else "no"
    elif entry is not None:
        cell.value = entry
        if isinstance(entry, str) and entry[:1] in "=+-@":
            cell.data_type = "s"


def define_table(workbook: Workbook, place: Place, rows: Sequence[Row] = ()) -> None:
    """
    Make the cells of a place a spreadsheet table (ECMA-376 part 1, 18.5.1 `table`).

    Tables that share a sheet get no filter buttons: a filter hides whole rows, and with them the neighbour's.
    A column whose every row is one formula is a calculated column, so that rows added below get it too.
    """
    number = next(number for number in count(1) if all(number != table.id for table in tables_of(workbook)))
    columns = [TableColumn(id=index, name=heading) for index, heading in enumerate(place.headings, start=1)]
    for column in columns:
        entries = [row.get(column.name) for row in rows]
        texts = {entry.text if isinstance(entry, Formula) else None for entry in entries}
        if len(texts) == 1 and (text := texts.pop()) is not None:
            column.calculatedColumnFormula = TableFormula(attr_text=text)
    table = Table(
        id=number,
        name=place.table.name.replace(" ", "_"),
        displayName=place.table.name.replace(" ", "_"),
        ref=place.reference,
        tableColumns=columns,
        tableStyleInfo=TableStyleInfo(showRowStripes=False, showColumnStripes=False),
    )
    workbook[place.sheet].add_table(table)


def tables_of(workbook: Workbook) -> list[Table]:
    """Every table of a workbook."""
    return [table for worksheet in workbook.worksheets for table in worksheet.tables.values()]


def finished(workbook: Workbook, title: str, saved: SavedValues) -> bytes:
    """The bytes of a built workbook, with saved values and fixed dates."""
    raw = io.BytesIO()
    workbook.save(raw)
    return finish(raw.getvalue(), title, workbook.sheetnames, saved)


def finish(built: bytes, title: str, sheets: list[str], saved: Mapping[tuple[str, str], float | str]) -> bytes:
    """
    Give every formula its value and the file fixed dates; the same content gives the same bytes.

    `sheets` are the names in the order of their parts; `saved` holds the value of every formula by sheet and cell.
    """
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(built)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            found = SHEET_MEMBER.fullmatch(name)
            if found:
                sheet = sheets[int(found.group(1)) - 1]
                content = free_heights(with_values(content.decode(), sheet, saved)).encode()
            elif name == "docProps/core.xml":
                content = CORE.format(title=escape(title)).encode()
            elif name == "docProps/app.xml":
                content = APP.encode()
            entry = zipfile.ZipInfo(name, FIXED_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 3
            new.writestr(entry, content)
    return out.getvalue()


def with_values(xml: str, sheet: str, saved: Mapping[tuple[str, str], float | str]) -> str:
    """
    Write the saved value beside each formula of one sheet (ECMA-376 part 1, 18.3.1.96 `v`).

    >>> with_values('<c r="B2" s="3"><f>1+1</f><v /></c>', "Kitchen", {("Kitchen", "B2"): 2})
    '<c r="B2" s="3"><f>1+1</f><v>2</v></c>'
    """

    def filled(match: re.Match[str]) -> str:
        address, style, formula = match.group(1), match.group(2), match.group(3)
        value = saved[sheet, address]
        if isinstance(value, str):
            return f'<c r="{address}"{style} t="str"><f>{formula}</f><v>{escape(value)}</v></c>'
        return f'<c r="{address}"{style}><f>{formula}</f><v>{value:.15g}</v></c>'

    return FORMULA_CELL.sub(filled, xml)


def free_heights(xml: str) -> str:
    """
    Leave row heights free to follow the text once somebody edits it (`customHeight` of 18.3.1.73 `row` taken away).

    >>> free_heights('<row r="6" customHeight="1" ht="31">')
    '<row r="6" ht="31">'
    """
    return xml.replace(' customHeight="1"', "")
