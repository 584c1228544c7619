"""Finish a workbook file that was just built: saved values beside formulas, fixed dates, the same bytes every time."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping
from xml.sax.saxutils import escape

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
