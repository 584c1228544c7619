"""The workbook without a sheet from which a new one is made."""

from __future__ import annotations

import io
import zipfile

from stillroom.workbook.ooxml.values import escape_text
from stillroom.workbook.ooxml.xml import MAIN, RELATIONS

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
