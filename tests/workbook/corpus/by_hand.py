"""Household workbooks written by hand, part by part: what office programs write and no library does."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from tests.workbook.corpus.parts import (
    HEAD,
    MAIN,
    OFFICE,
    ROWS,
    SHEET_TYPE,
    SPACES,
    pack,
    pack_oddly,
    relations,
    small,
    worksheet,
)

MICROSOFT = "http://schemas.microsoft.com/office"
X14 = f'xmlns:x14="{MICROSOFT}/spreadsheetml/2009/9/main"'
COMPATIBLE = 'xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006"'
KEPT = b"\x00\x01 bytes that nobody may read \xff\xfe" * 30


def prefixed(content: bytes, prefix: bytes = b"x") -> bytes:
    """The same XML with a prefix on every element of the main namespace."""
    content = re.sub(rb"<(/?)(?=[A-Za-z])", rb"<\1" + prefix + b":", content)
    return content.replace(b"xmlns=", b"xmlns:" + prefix + b"=", 1)


def prefixes() -> dict[str, bytes]:
    members = small()
    return {
        name: prefixed(content) if name.startswith("xl/") and "_rels" not in name else content
        for name, content in members.items()
    }


def prefixes_everywhere() -> dict[str, bytes]:
    members = {name: prefixed(content, b"ns0") for name, content in small().items()}
    rels = members["xl/workbook.xml"].replace(b"xmlns:r=", b"xmlns:rel=").replace(b" r:id", b" rel:id")
    return {**members, "xl/workbook.xml": rels}


def without_places() -> dict[str, bytes]:
    return small(sheet=re.sub(rb' (?:r|spans)="[A-Z0-9:]+"', b"", worksheet()))


def alternate_content() -> dict[str, bytes]:
    choice = f'<mc:AlternateContent {COMPATIBLE}><mc:Choice Requires="x15" xmlns:x15="{MICROSOFT}/spreadsheetml/2010/11/main"><x15ac:absPath url="C:\\Hens\\" xmlns:x15ac="{MICROSOFT}/spreadsheetml/2010/11/ac"/></mc:Choice></mc:AlternateContent>'
    return small(workbook_before=f"<workbookPr/>{choice}<bookViews><workbookView/></bookViews>",
                 sheet=worksheet(after=f'<pageMargins left="1" right="1" top="1" bottom="1" header="0" footer="0"/><mc:AlternateContent {COMPATIBLE}><mc:Choice Requires="x14" {X14}><controls/></mc:Choice><mc:Fallback/></mc:AlternateContent>'))  # fmt: skip


def ignorable() -> dict[str, bytes]:
    spaces = f'{SPACES} {COMPATIBLE} mc:Ignorable="x14ac xr" xmlns:x14ac="{MICROSOFT}/spreadsheetml/2009/9/ac" xmlns:xr="{MICROSOFT}/spreadsheetml/2014/revision" xr:uid="{{00000000-0001-0000-0000-000000000000}}"'
    rows = ROWS.replace("<row ", '<row x14ac:dyDescent="0.25" ')
    return small(sheet=worksheet(rows, '<sheetFormatPr defaultRowHeight="15" x14ac:dyDescent="0.25"/>', spaces=spaces))


def comments_in_xml() -> dict[str, bytes]:
    return small(
        sheet=worksheet("<!-- <row r='9'><c r='A9'/></row> -->" + ROWS + "<?hens lay?>", "<!-- <sheetData> -->")
    )


def single_quotes() -> dict[str, bytes]:
    return {
        name: content.replace(b'"', b"'") if name != "xl/worksheets/sheet1.xml" else content.replace(b'"1"', b"'1'")
        for name, content in small().items()
    }


def laid_out() -> dict[str, bytes]:
    """Line breaks between elements and inside tags, a byte order mark in front."""

    def lines(content: bytes) -> bytes:
        return b"\xef\xbb\xbf" + content.replace(b"><", b">\n  <").replace(b' r="', b'\n     r = "')

    members = small()
    return {
        name: lines(content) if name in ("xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/styles.xml") else content
        for name, content in members.items()
    }


def no_styles() -> dict[str, bytes]:
    return small(styles=None, sheet=worksheet(ROWS.replace(' s="1"', "")))


def no_strings() -> dict[str, bytes]:
    rows = re.sub(r' t="s"><v>(\d)</v>', r' t="inlineStr"><is><t>text \1</t></is>', ROWS)
    return small(strings=None, sheet=worksheet(rows))


def empty_sheet() -> dict[str, bytes]:
    return small(sheet=f"{HEAD}<worksheet {SPACES}><sheetData/></worksheet>".encode())


def bare_strings() -> dict[str, bytes]:
    return small(
        strings=f'{HEAD}<sst xmlns="{MAIN}"/>'.encode(), sheet=worksheet('<row r="1"><c r="A1"><v>7</v></c></row>')
    )


def since_1904() -> dict[str, bytes]:
    return small(workbook_before='<workbookPr date1904="true"/>')


def calculation_chain() -> dict[str, bytes]:
    chain = f'{HEAD}<calcChain xmlns="{MAIN}"><c r="C2" i="4" l="1"/><c r="C5" i="4"/></calcChain>'.encode()
    return small(
        extra={"xl/calcChain.xml": chain},
        types=[("xl/calcChain.xml", SHEET_TYPE + "calcChain+xml")],
        more=[("rId20", "calcChain", "calcChain.xml")],
    )


def dynamic_arrays() -> dict[str, bytes]:
    metadata = f'{HEAD}<metadata xmlns="{MAIN}" xmlns:xda="{MICROSOFT}/spreadsheetml/2017/dynamicarray"><metadataTypes count="1"><metadataType name="XLDAPR" minSupportedVersion="120000" copy="1" pasteAll="1" cellMeta="1"/></metadataTypes><futureMetadata name="XLDAPR" count="1"><bk><extLst><ext uri="{{bdbb8cdc-fa1e-496e-a857-3c3f30c029c3}}"><xda:dynamicArrayProperties fDynamic="1" fCollapsed="0"/></ext></extLst></bk></futureMetadata><cellMetadata count="1"><bk><rc t="1" v="0"/></bk></cellMetadata></metadata>'.encode()
    rows = (
        ROWS
        + '<row r="8"><c r="A8" cm="1"><f t="array" ref="A8:A9">_xlfn.UNIQUE(A1:A2)</f><v>1</v></c></row><row r="9"><c r="A9"><v>2</v></c></row>'
    )
    return small(
        sheet=worksheet(rows),
        extra={"xl/metadata.xml": metadata},
        types=[("xl/metadata.xml", SHEET_TYPE + "sheetMetadata+xml")],
        more=[("rId21", "sheetMetadata", "metadata.xml")],
    )


def threaded_comments() -> dict[str, bytes]:
    space = f"{MICROSOFT}/spreadsheetml/2018/threadedcomments"
    extra = {
        "xl/threadedComments/threadedComment1.xml": f'{HEAD}<ThreadedComments xmlns="{space}"><threadedComment ref="A2" dT="2026-08-01T06:30:00.00" personId="{{1}}" id="{{2}}"><text>brown?</text></threadedComment></ThreadedComments>'.encode(),
        "xl/persons/person.xml": f'{HEAD}<personList xmlns="{space}"><person displayName="neighbour" id="{{1}}" userId="n" providerId="None"/></personList>'.encode(),
        "xl/comments1.xml": f'{HEAD}<comments xmlns="{MAIN}"><authors><author>tc={{2}}</author></authors><commentList><comment ref="A2" authorId="0"><text><t>[Threaded comment] brown?</t></text></comment></commentList></comments>'.encode(),
        "xl/drawings/vmlDrawing1.vml": b'<xml xmlns:v="urn:schemas-microsoft-com:vml"><v:shape id="_x0000_s1025" type="#_x0000_t202"></v:shape></xml>',
    }
    rels = relations(
        (
            "rId1",
            f"{MICROSOFT[:-7]}/office/2017/10/relationships/threadedComment",
            "../threadedComments/threadedComment1.xml",
        ),
        ("rId2", "comments", "../comments1.xml"),
        ("rId3", "vmlDrawing", "../drawings/vmlDrawing1.vml"),
    )
    types = [
        ("xl/comments1.xml", SHEET_TYPE + "comments+xml"),
        ("xl/threadedComments/threadedComment1.xml", "application/vnd.ms-excel.threadedcomments+xml"),
        ("xl/persons/person.xml", "application/vnd.ms-excel.person+xml"),
    ]
    more = [("rId22", f"{MICROSOFT[:-7]}/office/2017/10/relationships/person", "persons/person.xml")]
    return small(
        sheet=worksheet(after='<legacyDrawing r:id="rId3"/>'), extra=extra, types=types, more=more, sheet_relations=rels
    )


def sparklines() -> dict[str, bytes]:
    after = f'<extLst><ext uri="{{05C60535-1F16-4fd2-B633-F4F36F0B64E0}}" {X14}><x14:sparklineGroups xmlns:xm="{MICROSOFT}/excel/2006/main"><x14:sparklineGroup displayEmptyCellsAs="gap"><x14:colorSeries rgb="FF376092"/><x14:sparklines><x14:sparkline><xm:f>Hens!B1:B5</xm:f><xm:sqref>E2</xm:sqref></x14:sparkline></x14:sparklines></x14:sparklineGroup></x14:sparklineGroups></ext></extLst>'
    return small(sheet=worksheet(after=after))


def newer_rules() -> dict[str, bytes]:
    after = (
        '<conditionalFormatting sqref="B2:B5"><cfRule type="dataBar" priority="1"><dataBar><cfvo type="min"/><cfvo type="max"/><color rgb="FF63C384"/></dataBar><extLst><ext uri="{B025F937-C7B1-47D3-B67F-A62EFF666E3E}" '
        f"{X14}><x14:id>{{A}}</x14:id></ext></extLst></cfRule></conditionalFormatting>"
        f'<extLst><ext uri="{{CCE6A557-97BC-4b89-ADB6-D9C93CAAB3DF}}" {X14}><x14:dataValidations count="1" xmlns:xm="{MICROSOFT}/excel/2006/main"><x14:dataValidation type="list"><x14:formula1><xm:f>Hens!$A$1:$A$2</xm:f></x14:formula1><xm:sqref>F2</xm:sqref></x14:dataValidation></x14:dataValidations></ext></extLst>'
    )
    return small(sheet=worksheet(after=after))


def slicers() -> dict[str, bytes]:
    table = f'{HEAD}<table xmlns="{MAIN}" id="3" name="Hens" displayName="Hens" ref="A1:B2"><autoFilter ref="A1:B2"/><tableColumns count="2"><tableColumn id="1" name="Hen"/><tableColumn id="2" name="Since"/></tableColumns></table>'.encode()
    extra = {
        "xl/tables/table3.xml": table,
        "xl/slicers/slicer1.xml": f'{HEAD}<slicers xmlns="{MICROSOFT}/spreadsheetml/2009/9/main"><slicer name="Hen" cache="Slicer_Hen" caption="Hen" rowHeight="241300"/></slicers>'.encode(),
        "xl/slicerCaches/slicerCache1.xml": f'{HEAD}<slicerCacheDefinition xmlns="{MICROSOFT}/spreadsheetml/2009/9/main" name="Slicer_Hen" sourceName="Hen"/>'.encode(),
    }
    types = [
        ("xl/tables/table3.xml", SHEET_TYPE + "table+xml"),
        ("xl/slicers/slicer1.xml", "application/vnd.ms-excel.slicer+xml"),
        ("xl/slicerCaches/slicerCache1.xml", "application/vnd.ms-excel.slicerCache+xml"),
    ]
    rels = relations(
        ("rId1", "table", "../tables/table3.xml"),
        ("rId2", f"{MICROSOFT}/2007/relationships/slicer", "../slicers/slicer1.xml"),
    )
    after = f'<tableParts count="1"><tablePart r:id="rId1"/></tableParts><extLst><ext uri="{{3A4CF648-6AED-40f4-86FF-DC5316D8AED3}}" {X14}><x14:slicerList><x14:slicer r:id="rId2"/></x14:slicerList></ext></extLst>'
    workbook = f'<definedNames><definedName name="Slicer_Hen">#N/A</definedName></definedNames><calcPr calcId="191029"/><extLst><ext uri="{{46BE6895-7355-4a93-B00E-2C351335B9C9}}" {X14}><x14:slicerCaches><x14:slicerCache r:id="rId30"/></x14:slicerCaches></ext></extLst>'
    return small(
        sheet=worksheet(after=after),
        extra=extra,
        types=types,
        sheet_relations=rels,
        workbook_after=workbook,
        more=[("rId30", f"{MICROSOFT}/2007/relationships/slicerCache", "slicerCaches/slicerCache1.xml")],
    )


def form_controls() -> dict[str, bytes]:
    extra = {
        "xl/ctrlProps/ctrlProp1.xml": f'{HEAD}<formControlPr xmlns="{MICROSOFT}/spreadsheetml/2009/9/main" objectType="CheckBox" checked="Checked" fmlaLink="$D$1" lockText="1"/>'.encode(),
        "xl/drawings/vmlDrawing1.vml": b'<xml xmlns:v="urn:schemas-microsoft-com:vml"><v:shape id="_x0000_s1026"/></xml>',
        "xl/activeX/activeX1.bin": KEPT,
    }
    rels = relations(
        ("rId1", "vmlDrawing", "../drawings/vmlDrawing1.vml"), ("rId2", "ctrlProp", "../ctrlProps/ctrlProp1.xml")
    )
    after = f'<legacyDrawing r:id="rId1"/><mc:AlternateContent {COMPATIBLE}><mc:Choice Requires="x14" {X14}><controls><control shapeId="1026" r:id="rId2" name="Check 1"><controlPr defaultSize="0"/></control></controls></mc:Choice></mc:AlternateContent>'
    return small(
        sheet=worksheet(after=after),
        extra=extra,
        sheet_relations=rels,
        types=[("xl/ctrlProps/ctrlProp1.xml", "application/vnd.ms-excel.controlproperties+xml")],
    )


def printer_settings() -> dict[str, bytes]:
    rels = relations(("rId1", "printerSettings", "../printerSettings/printerSettings1.bin"))
    return small(
        sheet=worksheet(after='<pageSetup orientation="landscape" r:id="rId1"/>'),
        sheet_relations=rels,
        extra={"xl/printerSettings/printerSettings1.bin": KEPT},
    )


def custom_xml() -> dict[str, bytes]:
    extra = {
        "customXml/item1.xml": b"<?xml version='1.0'?><hens xmlns='urn:hens'><hen n='1'/></hens>",
        "customXml/itemProps1.xml": b'<ds:datastoreItem ds:itemID="{1}" xmlns:ds="http://schemas.openxmlformats.org/officeDocument/2006/customXml"/>',
        "customXml/_rels/item1.xml.rels": relations(("rId1", "customXmlProps", "itemProps1.xml")),
        "docProps/app.xml": b'<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties"><TitlesOfParts/></Properties>',
        "xl/nobody/knows.dat": KEPT,
    }
    return small(
        extra=extra,
        more=[("rId40", "customXml", "../customXml/item1.xml"), ("rId41", "urn://hens/own", "nobody/knows.dat")],
        types=[("xl/nobody/knows.dat", "application/x-hens")],
    )


def macros() -> dict[str, bytes]:
    return small(main="application/vnd.ms-excel.sheet.macroEnabled.main+xml", extra={"xl/vbaProject.bin": KEPT}, types=[("xl/vbaProject.bin", "application/vnd.ms-office.vbaProject")],
                 more=[("rId50", f"{MICROSOFT}/2006/relationships/vbaProject", "vbaProject.bin")])  # fmt: skip


def pivots() -> dict[str, bytes]:
    cache = f'{HEAD}<pivotCacheDefinition {SPACES} r:id="rId1" recordCount="1"><cacheSource type="worksheet"><worksheetSource ref="A1:B2" sheet="Hens"/></cacheSource><cacheFields count="2"><cacheField name="Hen"><sharedItems/></cacheField><cacheField name="Since"><sharedItems/></cacheField></cacheFields></pivotCacheDefinition>'.encode()
    extra = {
        "xl/pivotCache/pivotCacheDefinition1.xml": cache,
        "xl/pivotCache/pivotCacheRecords1.xml": f'{HEAD}<pivotCacheRecords {SPACES} count="1"><r><s v="Agnes"/><n v="46235"/></r></pivotCacheRecords>'.encode(),
        "xl/pivotCache/_rels/pivotCacheDefinition1.xml.rels": relations(
            ("rId1", "pivotCacheRecords", "pivotCacheRecords1.xml")
        ),
    }
    types = [
        ("xl/pivotCache/pivotCacheDefinition1.xml", SHEET_TYPE + "pivotCacheDefinition+xml"),
        ("xl/pivotCache/pivotCacheRecords1.xml", SHEET_TYPE + "pivotCacheRecords+xml"),
    ]
    return small(
        extra=extra,
        types=types,
        more=[("rId60", "pivotCacheDefinition", "pivotCache/pivotCacheDefinition1.xml")],
        workbook_after='<calcPr calcId="1"/><pivotCaches><pivotCache cacheId="9" r:id="rId60"/></pivotCaches>',
    )


def links_outside() -> dict[str, bytes]:
    extra = {
        "xl/externalLinks/externalLink1.xml": f'{HEAD}<externalLink xmlns="{MAIN}"><externalBook xmlns:r="{OFFICE}" r:id="rId1"><sheetNames><sheetName val="Sheet1"/></sheetNames></externalBook></externalLink>'.encode(),
        "xl/externalLinks/_rels/externalLink1.xml.rels": relations(("rId1", "externalLinkPath", "file://hens.xlsx")),
        "xl/connections.xml": f'{HEAD}<connections xmlns="{MAIN}"><connection id="1" name="hens" type="5" refreshedVersion="6"/></connections>'.encode(),
    }
    types = [
        ("xl/externalLinks/externalLink1.xml", SHEET_TYPE + "externalLink+xml"),
        ("xl/connections.xml", SHEET_TYPE + "connections+xml"),
    ]
    more = [("rId70", "externalLink", "externalLinks/externalLink1.xml"), ("rId71", "connections", "connections.xml")]
    return small(
        extra=extra,
        types=types,
        more=more,
        workbook_after='<externalReferences><externalReference r:id="rId70"/></externalReferences><definedNames><definedName name="Plan">Hens!$A$1</definedName></definedNames>',
    )


def other_kinds_of_sheets() -> dict[str, bytes]:
    """A sheet of dialogues and one of old macros between theirs; both have no cells of ours."""
    extra = {
        "xl/dialogsheets/sheet1.xml": f'{HEAD}<dialogsheet {SPACES}><sheetViews><sheetView workbookViewId="0"/></sheetViews></dialogsheet>'.encode(),
        "xl/macrosheets/sheet1.xml": f'{HEAD}<xm:macrosheet xmlns="{MAIN}" xmlns:xm="{MICROSOFT}/excel/2006/main"><sheetData/></xm:macrosheet>'.encode(),
    }
    types = [
        ("xl/dialogsheets/sheet1.xml", SHEET_TYPE + "dialogsheet+xml"),
        ("xl/macrosheets/sheet1.xml", "application/vnd.ms-excel.macrosheet+xml"),
    ]
    members = small(
        extra=extra,
        types=types,
        more=[
            ("rId80", "dialogsheet", "dialogsheets/sheet1.xml"),
            ("rId81", f"{MICROSOFT}/2006/relationships/xlMacrosheet", "macrosheets/sheet1.xml"),
        ],
    )
    more = b'<sheet name="Dialogue" sheetId="5" state="hidden" r:id="rId80"/><sheet name="Macro" sheetId="9" state="veryHidden" r:id="rId81"/></sheets>'
    return {**members, "xl/workbook.xml": members["xl/workbook.xml"].replace(b"</sheets>", more)}


def odd_part_names() -> dict[str, bytes]:
    """Parts elsewhere than usual, targets from the root, capitals that differ."""
    members = small()
    names = {"xl/workbook.xml": "office/Book.xml", "xl/_rels/workbook.xml.rels": "office/_rels/Book.xml.rels", "xl/worksheets/sheet1.xml": "office/pages/Page%201.xml",
             "xl/sharedStrings.xml": "office/words.xml", "xl/styles.xml": "office/looks.xml"}  # fmt: skip
    moved = {names.get(name, name): content for name, content in members.items()}
    for name in ("[Content_Types].xml", "_rels/.rels", "office/_rels/Book.xml.rels"):
        for old, new in names.items():
            moved[name] = (
                moved[name]
                .replace(f'"/{old}"'.encode(), f'"/{new}"'.encode())
                .replace(f'"{old}"'.encode(), f'"/{new}"'.encode())
            )
            moved[name] = moved[name].replace(
                f'Target="{old[3:]}"'.encode(), f'Target="/{new.upper() if "words" in new else new}"'.encode()
            )
    return moved


def shared_formulas() -> dict[str, bytes]:
    rows = (
        ROWS
        + '<row r="7"><c r="D7"><f t="shared" ref="D7:D9" si="0">A7*2</f><v>0</v></c></row><row r="8"><c r="D8"><f t="shared" si="0"/><v>0</v></c></row><row r="9"><c r="D9"><f t="shared" si="0"/><v>0</v></c></row><row r="12"><c r="F12"><f>SUM(Kitchen!B:B)+INDIRECT("A"&amp;1)</f><v>3</v></c></row>'
    )
    return small(sheet=worksheet(rows))


def wide_and_sparse() -> dict[str, bytes]:
    rows = ROWS + '<row r="1048576"><c r="A1048576"><v>1</v></c></row>'
    return small(
        sheet=worksheet(
            rows.replace("</row>", '<c r="XFD1"><v>3</v></c></row>', 1),
            '<dimension ref="A1:XFD1048576"/><cols><col min="1" max="16384" width="3" customWidth="1"/></cols>',
        )
    )


def entities() -> dict[str, bytes]:
    """Characters written as numbers, quotes as entities, and CDATA."""
    rows = '<row r="1"><c r="A1" t="inlineStr"><is><t>&#72;en &amp; cock &#x1F414;</t></is></c><c r="B1" t="inlineStr"><is><t><![CDATA[a < b]]></t></is></c></row>'
    members = small(
        sheet=worksheet(rows),
        workbook_after='<definedNames><definedName name="one" comment="a &quot;b&quot;">Hens!$A$1</definedName></definedNames>',
    )
    return {**members, "xl/workbook.xml": members["xl/workbook.xml"].replace(b'"Hens"', b'"Hens &amp; &#99;ocks"')}


def style_extensions() -> dict[str, bytes]:
    styles = small()["xl/styles.xml"].replace(
        b"</cellStyles>",
        f'</cellStyles><dxfs count="1"><dxf><font><b/></font></dxf></dxfs><tableStyles count="0" defaultTableStyle="TableStyleMedium2"/><extLst><ext uri="{{EB79DEF2-80B8-43e5-95BD-54CBDDF9020C}}" {X14}><x14:slicerStyles defaultSlicerStyle="SlicerStyleLight1"/></ext></extLst>'.encode(),
    )
    return small(styles=styles.replace(b'cellXfs count="2"', b"cellXfs"))


MAKERS: tuple[Callable[[], dict[str, bytes]], ...] = (
    prefixes, prefixes_everywhere, without_places, alternate_content, ignorable, comments_in_xml, single_quotes, laid_out, no_styles, no_strings,
    empty_sheet, bare_strings, since_1904, calculation_chain, dynamic_arrays, threaded_comments, sparklines, newer_rules, slicers, form_controls,
    printer_settings, custom_xml, macros, pivots, links_outside, other_kinds_of_sheets, odd_part_names, shared_formulas, wide_and_sparse, entities,
    style_extensions,
)  # fmt: skip


def cases() -> dict[str, Callable[[Path], None]]:
    """Every workbook of this kind by name: bent parts in a plain zip, and plain parts in bent zips."""
    plain = {f"by hand {make.__name__}": (lambda path, make=make: pack(path, make())) for make in MAKERS}
    whole = small(extra={"xl/printerSettings/printerSettings1.bin": KEPT})
    zips = {
        "stored": lambda path: pack(path, whole, stored=list(whole)),
        "comment": lambda path: pack(path, whole, comment=b"kept by the hens \x00\xff " * 3),
        "folders": lambda path: pack(path, {"xl/": b"", "xl/worksheets/": b"", **whole}),
        "data descriptors": lambda path: pack_oddly(path, whole, descriptors=True),
        "zip64": lambda path: pack_oddly(path, whole, large=True),
        "extra fields": lambda path: pack_oddly(path, whole, extra=b"UT\x05\x00\x01abcd"),
        "other order": lambda path: pack(path, dict(reversed(whole.items()))),
    }
    return plain | {f"by hand zip with {name}": make for name, make in zips.items()}
