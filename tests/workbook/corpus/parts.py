"""The members of a small household workbook written by hand, to be bent in every way the format allows."""

from __future__ import annotations

import struct
import zipfile
import zlib
from collections.abc import Mapping, Sequence
from pathlib import Path

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"
TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml."
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\r\n'
SPACES = f'xmlns="{MAIN}" xmlns:r="{OFFICE}"'
ROWS = (
    '<row r="1" spans="1:3"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c></row>'
    '<row r="2" spans="1:3" ht="18.5" customHeight="1"><c r="A2" t="s"><v>2</v></c><c r="B2" s="1"><v>46235</v></c><c r="C2"><f>B2*2</f><v>92470</v></c></row>'
    '<row r="5"><c r="A5" t="b"><v>1</v></c><c r="B5" t="e"><v>#DIV/0!</v></c><c r="C5" t="str"><f>A2&amp;"!"</f><v>Agnes!</v></c></row>'
)
STRINGS = '<si><t>Hen</t></si><si><t>Since</t></si><si><t>Agnes</t></si><si><r><t xml:space="preserve">rich </t></r><r><rPr><b/></rPr><t>text</t></r><phoneticPr fontId="0"/></si>'
STYLES = (
    '<numFmts count="1"><numFmt numFmtId="164" formatCode="d\\ mmm"/></numFmts><fonts count="1"><font><sz val="11"/><name val="Calibri"/></font></fonts>'
    '<fills count="2"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill></fills>'
    '<borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>'
    '<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>'
    '<cellXfs count="2"><xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/><xf numFmtId="164" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/></cellXfs>'
    '<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles>'
)


def worksheet(rows: str = ROWS, before: str = "", after: str = "", spaces: str = SPACES) -> bytes:
    return f"{HEAD}<worksheet {spaces}>{before}<sheetData>{rows}</sheetData>{after}</worksheet>".encode()


def relations(*lines: tuple[str, str, str], base: str = OFFICE) -> bytes:
    """Relationship lines: id, kind (or whole type) and target."""
    text = "".join(
        f'<Relationship Id="{one}" Type="{kind if "//" in kind else f"{base}/{kind}"}" Target="{target}"'
        + (' TargetMode="External"/>' if "://" in target else "/>")
        for one, kind, target in lines
    )
    return f'{HEAD}<Relationships xmlns="{PACKAGE}">{text}</Relationships>'.encode()


def small(
    *,
    sheet: bytes | None = None,
    workbook_before: str = '<workbookPr defaultThemeVersion="124226"/><bookViews><workbookView activeTab="0"/></bookViews>',
    workbook_after: str = '<calcPr calcId="191029"/>',
    extra: Mapping[str, bytes] | None = None,
    types: Sequence[tuple[str, str]] = (),
    more: Sequence[tuple[str, str, str]] = (),
    sheet_relations: bytes | None = None,
    strings: bytes | None = b"",
    styles: bytes | None = b"",
    main: str = SHEET_TYPE + "sheet.main+xml",
) -> dict[str, bytes]:
    """The members of a workbook with one sheet, Hens; ``strings`` and ``styles`` None leave these parts out."""
    lines = [("rId1", "worksheet", "worksheets/sheet1.xml")]
    overrides = [("xl/workbook.xml", main), ("xl/worksheets/sheet1.xml", SHEET_TYPE + "worksheet+xml"), *types]
    members: dict[str, bytes] = {}
    if strings is not None:
        members["xl/sharedStrings.xml"] = (
            strings or f'{HEAD}<sst xmlns="{MAIN}" count="3" uniqueCount="4">{STRINGS}</sst>'.encode()
        )
        lines.append(("rId7", "sharedStrings", "sharedStrings.xml"))
        overrides.append(("xl/sharedStrings.xml", SHEET_TYPE + "sharedStrings+xml"))
    if styles is not None:
        members["xl/styles.xml"] = styles or f'{HEAD}<styleSheet xmlns="{MAIN}">{STYLES}</styleSheet>'.encode()
        lines.append(("rId8", "styles", "styles.xml"))
        overrides.append(("xl/styles.xml", SHEET_TYPE + "styles+xml"))
    text = "".join(f'<Override PartName="/{part}" ContentType="{kind}"/>' for part, kind in overrides)
    defaults = "".join(
        f'<Default Extension="{ending}" ContentType="{kind}"/>'
        for ending, kind in (
            ("rels", "application/vnd.openxmlformats-package.relationships+xml"), ("xml", "application/xml"), ("bin", "application/octet-stream"),
            ("vml", "application/vnd.openxmlformats-officedocument.vmlDrawing"), ("png", "image/png"),
        )
    )  # fmt: skip
    members |= {
        "[Content_Types].xml": f'{HEAD}<Types xmlns="{TYPES}">{defaults}{text}</Types>'.encode(),
        "_rels/.rels": relations(("rId1", "officeDocument", "xl/workbook.xml")),
        "xl/workbook.xml": f'{HEAD}<workbook {SPACES}>{workbook_before}<sheets><sheet name="Hens" sheetId="4" r:id="rId1"/></sheets>{workbook_after}</workbook>'.encode(),
        "xl/_rels/workbook.xml.rels": relations(*lines, *more),
        "xl/worksheets/sheet1.xml": sheet or worksheet(),
        **(extra or {}),
    }
    if sheet_relations is not None:
        members["xl/worksheets/_rels/sheet1.xml.rels"] = sheet_relations
    first = ["[Content_Types].xml", "_rels/.rels", "xl/workbook.xml"]
    return {name: members[name] for name in [*first, *(name for name in members if name not in first)]}


def pack(path: Path, members: Mapping[str, bytes], *, stored: Sequence[str] = (), comment: bytes = b"") -> None:
    """Write an ordinary zip file."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.comment = comment
        for number, (name, content) in enumerate(members.items()):
            info = zipfile.ZipInfo(name, (2019, 3, 1 + number % 28, 10, 0, 2))
            info.compress_type = zipfile.ZIP_STORED if name in stored or name.endswith("/") else zipfile.ZIP_DEFLATED
            info.external_attr = 0o600 << 16
            archive.writestr(info, content)


def pack_oddly(
    path: Path,
    members: Mapping[str, bytes],
    *,
    descriptors: bool = False,
    large: bool = False,
    extra: bytes = b"",
    before: bytes = b"",
) -> None:
    """Write a zip file record by record: data descriptors, ZIP64 records, extra fields, bytes before the first record."""
    out, directory = bytearray(before), bytearray()
    for name, content in members.items():
        packer = zlib.compressobj(5, zlib.DEFLATED, -15)
        data = packer.compress(content) + packer.flush()
        flags = 0x0808 if descriptors else 0x0800
        sums = (zlib.crc32(content), len(data), len(content))
        told = (0, 0, 0) if descriptors else sums
        place, raw = len(out), name.encode()
        field = struct.pack("<HHQQ", 1, 16, len(content), len(data)) if large else b""
        sizes = (told[0], 0xFFFFFFFF, 0xFFFFFFFF) if large else told
        out += (
            struct.pack(
                "<4sHHHHHIIIHH",
                b"PK\x03\x04",
                45 if large else 20,
                flags,
                8,
                0x4000,
                0x5521,
                *sizes,
                len(raw),
                len(field) + len(extra),
            )
            + raw
            + field
            + extra
        )
        out += data
        if descriptors:
            out += b"PK\x07\x08" + struct.pack("<IQQ" if large else "<III", *sums)
        field = struct.pack("<HHQQQ", 1, 24, len(content), len(data), place) if large else b""
        sizes = (sums[0], 0xFFFFFFFF, 0xFFFFFFFF) if large else sums
        directory += struct.pack("<4sHHHHHHIIIHHHHHII", b"PK\x01\x02", 45, 45 if large else 20, flags, 8, 0x4000, 0x5521, *sizes, len(raw),
                                 len(field) + len(extra), 0, 0, 0, 0, 0xFFFFFFFF if large else place) + raw + field + extra  # fmt: skip
    start, size, count = len(out), len(directory), len(members)
    out += directory
    if large:
        end = len(out)
        out += struct.pack("<4sQHHIIQQQQ", b"PK\x06\x06", 44, 45, 45, 0, 0, count, count, size, start)
        out += struct.pack("<4sIQI", b"PK\x06\x07", 0, end, 1)
        out += struct.pack("<4sHHHHIIH", b"PK\x05\x06", 0, 0, 0xFFFF, 0xFFFF, 0xFFFFFFFF, 0xFFFFFFFF, 0)
    else:
        out += struct.pack("<4sHHHHIIH", b"PK\x05\x06", 0, 0, count, count, size, start, 0)
    path.write_bytes(out)
