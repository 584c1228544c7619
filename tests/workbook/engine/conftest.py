"""Workbooks made by hand at the level of their parts, for the tests of the engine."""

from __future__ import annotations

import datetime
import zipfile
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import pytest

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
TYPES = "application/vnd.openxmlformats-officedocument.spreadsheetml."
TODAY = datetime.datetime(2026, 8, 14, 9, 30)
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'

STYLES = (
    f'{HEAD}<styleSheet xmlns="{MAIN}"><numFmts count="1"><numFmt numFmtId="164" formatCode="yyyy\\-mm\\-dd"/></numFmts>'
    '<fonts count="1"><font><sz val="11"/><name val="Arial"/></font></fonts>'
    '<fills count="2"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill></fills>'
    '<borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>'
    '<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>'
    '<cellXfs count="5"><xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/>'
    '<xf numFmtId="164" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/>'
    '<xf numFmtId="20" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/>'
    '<xf numFmtId="22" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/>'
    '<xf numFmtId="46" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/></cellXfs>'
    '<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>'
)


def table_xml(number: int, name: str, ref: str, columns: Sequence[str], more: str = "") -> str:
    lines = "".join(
        column if column.startswith("<") else f'<tableColumn id="{place}" name="{column}"/>'
        for place, column in enumerate(columns, 1)
    )
    return (
        f'{HEAD}<table xmlns="{MAIN}" id="{number}" name="{name}" displayName="{name}" ref="{ref}"{more}>'
        f'<autoFilter ref="{ref}"/><tableColumns count="{len(columns)}">{lines}</tableColumns></table>'
    )


def sheet_xml(rows: str, before: str = "", after: str = "", more: str = "") -> str:
    """Wrap the rows of a sheet; a text that begins with < ?xml or a root is taken whole."""
    return f'{HEAD}<worksheet xmlns="{MAIN}" xmlns:r="{RELATIONS}"{more}>{before}<sheetData>{rows}</sheetData>{after}</worksheet>'


def parts(
    sheets: Mapping[str, str],
    *,
    strings: str | None = None,
    styles: str | None = STYLES,
    tables: Mapping[str, Sequence[str]] | None = None,
    workbook_more: str = "",
    workbook_properties: str = "",
    chain: str | None = None,
    extra: Mapping[str, bytes] | None = None,
    main_type: str = "sheet.main+xml",
) -> dict[str, bytes]:
    """Give the members of a workbook by name. ``sheets`` are whole sheet parts by sheet name; ``tables`` table parts."""
    members: dict[str, bytes] = {}
    types, relations = [], []
    entries = ""
    number_of_tables = 0
    for place, (name, text) in enumerate(sheets.items(), 1):
        part = f"xl/worksheets/sheet{place}.xml"
        entries += f'<sheet name="{name}" sheetId="{place}" r:id="rId{place}"/>'
        relations.append((f"rId{place}", "worksheet", f"worksheets/sheet{place}.xml"))
        types.append((part, TYPES + "worksheet+xml"))
        lines, ids = "", ""
        for table in (tables or {}).get(name, ()):
            number_of_tables += 1
            members[f"xl/tables/table{number_of_tables}.xml"] = table.encode()
            types.append((f"xl/tables/table{number_of_tables}.xml", TYPES + "table+xml"))
            lines += f'<Relationship Id="rId{number_of_tables}" Type="{RELATIONS}/table" Target="../tables/table{number_of_tables}.xml"/>'
            ids += f'<tablePart r:id="rId{number_of_tables}"/>'
        if lines:
            space = "http://schemas.openxmlformats.org/package/2006/relationships"
            members[f"xl/worksheets/_rels/sheet{place}.xml.rels"] = (
                f'{HEAD}<Relationships xmlns="{space}">{lines}</Relationships>'.encode()
            )
            text = text.replace("</worksheet>", f"<tableParts>{ids}</tableParts></worksheet>")
        members[part] = text.encode()
    optional = (
        ("xl/styles.xml", styles, "styles"),
        ("xl/sharedStrings.xml", strings, "sharedStrings"),
        ("xl/calcChain.xml", chain, "calcChain"),
    )
    for part, content, kind in optional:
        if content is not None:
            members[part] = content.encode()
            types.append((part, TYPES + kind + "+xml"))
            relations.append((f"rId{90 + len(relations)}", kind, part.removeprefix("xl/")))
    members["xl/workbook.xml"] = (
        f'{HEAD}<workbook xmlns="{MAIN}" xmlns:r="{RELATIONS}"><workbookPr{workbook_properties}/><sheets>{entries}</sheets>{workbook_more}</workbook>'
    ).encode()
    types.append(("xl/workbook.xml", main_type if "/" in main_type else TYPES + main_type))
    space = "http://schemas.openxmlformats.org/package/2006/relationships"
    lines = "".join(
        f'<Relationship Id="{one}" Type="{RELATIONS}/{kind}" Target="{target}"/>' for one, kind, target in relations
    )
    members["xl/_rels/workbook.xml.rels"] = f'{HEAD}<Relationships xmlns="{space}">{lines}</Relationships>'.encode()
    members["_rels/.rels"] = (
        f'{HEAD}<Relationships xmlns="{space}"><Relationship Id="rId1" Type="{RELATIONS}/officeDocument" Target="xl/workbook.xml"/></Relationships>'
    ).encode()
    overrides = "".join(f'<Override PartName="/{part}" ContentType="{kind}"/>' for part, kind in types)
    members = {
        "[Content_Types].xml": (
            f'{HEAD}<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
            '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
            f'<Default Extension="xml" ContentType="application/xml"/><Default Extension="bin" ContentType="application/octet-stream"/>{overrides}</Types>'
        ).encode(),
        **members,
    }
    return {**members, **(extra or {})}


def pack(path: Path, members: Mapping[str, bytes], *, stored: Sequence[str] = (), comment: bytes = b"") -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.comment = comment
        for name, content in members.items():
            info = zipfile.ZipInfo(name, (2024, 5, 17, 10, 0, 2))
            info.compress_type = zipfile.ZIP_STORED if name in stored else zipfile.ZIP_DEFLATED
            info.external_attr = 0o644 << 16
            archive.writestr(info, content)
    return path


class Hand:
    """What the tests use to make workbooks by hand."""

    main, relations, head, today, styles = MAIN, RELATIONS, HEAD, TODAY, STYLES
    table_xml = staticmethod(table_xml)
    sheet_xml = staticmethod(sheet_xml)
    parts = staticmethod(parts)
    pack = staticmethod(pack)

    @staticmethod
    def plan_parts(**more: object) -> dict[str, bytes]:
        """A small workbook: a Plan table with styled rows and shared strings, and sheets that look at it in many ways."""
        strings = (
            f'{HEAD}<sst xmlns="{MAIN}" count="9" uniqueCount="7"><si><t>Day</t></si><si><t>Preserve</t></si><si><t>Make</t></si>'
            "<si><t>Note</t></si><si><t>plum jam</t></si><si><r><t>rich </t></r><r><rPr><b/></rPr><t>text</t></r></si>"
            '<si><t xml:space="preserve"> kept </t></si></sst>'
        )
        head = '<row r="3" spans="2:5"><c r="B3" t="s"><v>0</v></c><c r="C3" t="s"><v>1</v></c><c r="D3" t="s"><v>2</v></c><c r="E3" t="s"><v>3</v></c></row>'
        body = "".join(
            f'<row r="{row}" spans="2:5" ht="15"><c r="B{row}" s="1"><v>{46244 + row}</v></c><c r="C{row}" t="s"><v>4</v></c>'
            f'<c r="D{row}" s="0"><v>{row}</v></c><c r="E{row}"/></row>'
            for row in range(4, 8)
        )
        plan = sheet_xml(
            head + body,
            '<dimension ref="B3:E7"/>',
            '<pageMargins left="1" right="1" top="1" bottom="1" header="0" footer="0"/>',
        )
        looking = sheet_xml(
            '<row r="1"><c r="A1"><f>SUM(Plan[Make])</f><v>22</v></c><c r="B1"><f>1+1</f><v>2</v></c><c r="C1"><f>A1*2</f><v>44</v></c>'
            '<c r="D1"><f>\'Plan\'!D5</f><v>5</v></c><c r="E1"><f>makes</f><v>4</v></c><c r="F1" t="str"><f>Plan!C4</f><v>plum jam</v></c></row>'
        )
        given = {
            "strings": strings,
            "tables": {"Plan": [table_xml(1, "Plan", "B3:E7", ["Day", "Preserve", "Make", "Note"])]},
        }
        given |= {
            "workbook_more": '<definedNames><definedName name="makes">Plan!$D$4</definedName></definedNames>',
            **more,
        }
        return parts({"Plan": plan, "Looking": looking}, **given)


@pytest.fixture(scope="session")
def hand() -> Hand:
    return Hand()


@pytest.fixture
def plan_file(tmp_path: Path, hand: Hand) -> Path:
    return hand.pack(tmp_path / "pantry.xlsx", hand.plan_parts())


@pytest.fixture
def one_sheet(tmp_path: Path, hand: Hand) -> Callable[..., Path]:
    """Make a workbook of one sheet called Here from its rows."""

    def make(rows: str, before: str = "", after: str = "", name: str = "one.xlsx", **more: object) -> Path:
        return hand.pack(tmp_path / name, hand.parts({"Here": hand.sheet_xml(rows, before, after)}, **more))

    return make
