"""
A linter of workbooks, written from ECMA-376 and not from the program: the rules that hold within parts and across them.

Part 1, 18 (worksheets, styles, tables), annex A.2 (order of elements, in `tests/workbook/corpus/element_order.py`);
Part 2 (names of parts, content types, relationships). `tests/conftest.py` runs it over every workbook that a test
writes. What is known of a part is kept by its checksum, because most parts of most workbooks are the same; and of the
last workbooks all is kept, because what one save wrote is what the next one begins with.
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from urllib.parse import unquote

from lxml import etree
from tests.workbook.corpus.element_order import COMPATIBILITY, MAIN, complaints_in, how_many

RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
TYPES = "[Content_Types].xml"
OWN_FORMATS = 164
"""Number formats below are built in (18.8.30)."""
CELL, VALUE, INLINE = (f"{{{MAIN}}}{name}" for name in ("c", "v", "is"))
POINTS_TO = {"fontId": "fonts", "fillId": "fills", "borderId": "borders"}


@dataclass
class Facts:
    """What one part says that other parts have to bear out, and what is wrong with it alone."""

    root: str = ""
    wrong: set[str] = field(default_factory=set)
    named: frozenset[str] = frozenset()
    style: int = -1
    mark: int = -1
    string: int = -1
    counts: Mapping[str, int] = field(default_factory=dict)
    texts: Mapping[str, str | int] = field(default_factory=dict)
    table: etree._Element | None = None
    sheets: tuple[str, ...] = ()
    strings: tuple[str, ...] = ()


_KNOWN: dict[tuple[int, int, str], Facts] = {}
_LINES: dict[tuple[int, int, str], dict[str, tuple[str, str]]] = {}


@lru_cache(maxsize=16)
def faults(content: bytes) -> frozenset[str]:
    """Return which rules a workbook breaks, the same fault always in the same words; none of a file that is no zip."""
    try:
        package = zipfile.ZipFile(io.BytesIO(content))
    except zipfile.BadZipFile:
        return frozenset()
    with package:
        names = [info.filename for info in package.infolist() if not info.is_dir()]
        found = {f"{name} is there twice" for name, count in Counter(map(str.casefold, names)).items() if count > 1}
        facts = {info.filename: facts_of(package, info) for info in package.infolist() if not info.is_dir()}
        lines = {name: lines_of(package, package.getinfo(name)) for name in names if name.endswith(".rels")}
        found |= {f"{name}: {wrong}" for name, one in facts.items() for wrong in one.wrong}
        found |= set(type_faults(package, names)) | set(relation_faults(names, facts, lines))
        return frozenset(found | set(cross_faults(facts, lines)))


def facts_of(package: zipfile.ZipFile, info: zipfile.ZipInfo) -> Facts:
    """Return what a part says, from memory if a part of the same bytes was read before."""
    kind = info.filename.rpartition(".")[2]
    if kind not in ("xml", "rels") or info.filename == TYPES:
        return Facts()
    key = (info.CRC, info.file_size, kind)
    if key not in _KNOWN:
        _KNOWN[key] = read(package.read(info))
    return _KNOWN[key]


def read(content: bytes) -> Facts:
    """Read the facts of a part."""
    try:
        root = etree.fromstring(content, etree.XMLParser(huge_tree=True, resolve_entities=False))
    except etree.XMLSyntaxError:
        return Facts(wrong={"is no XML"})
    name = etree.QName(root)
    if name.namespace != MAIN:
        return Facts(name.localname, named=links(root))
    facts = Facts(name.localname, set(complaints_in(root)), links(root))
    if facts.root == "worksheet":
        sheet_facts(root, facts)
    elif facts.root == "styleSheet":
        style_facts(root, facts)
    elif facts.root == "table":
        table_facts(root, facts)
    elif facts.root == "workbook":
        workbook_facts(root, facts)
    elif facts.root == "sst":
        facts.strings = tuple("".join(run_texts(item)) for item in root.iterchildren(tag("si")))
    return facts


def tag(name: str) -> str:
    """Return the name of an element of spreadsheets."""
    return f"{{{MAIN}}}{name}"


def links(root: etree._Element) -> frozenset[str]:
    """Return the relationships that a part names (Part 1, 22.8)."""
    return frozenset(str(value) for value in root.xpath(f"//@*[namespace-uri()='{RELATIONS}']") if value)


def run_texts(node: etree._Element) -> Iterator[str]:
    """Return the pieces of a text, without what it is read as (18.4.8, 18.4.6)."""
    for text in node.iter(tag("t")):
        parent = text.getparent()
        if parent is None or etree.QName(parent).localname != "rPh":
            yield text.text or ""


def sheet_facts(root: etree._Element, facts: Facts) -> None:
    """Read the highest style, text and mark that a sheet uses, and the words in its cells."""
    strings, texts = {-1}, dict[str, str | int]()
    styles = {node.get("style") for node in root.iter(tag("col"))} | {node.get("s") for node in root.iter(tag("row"))}
    for node in root.iter(CELL):
        styles.add(node.get("s"))
        kind = node.get("t")
        if kind == "s":
            strings.add(value := number(node.findtext(VALUE)))
            texts[node.get("r", "")] = value
        elif kind in ("str", "inlineStr"):
            inline = node.find(INLINE)
            text = node.findtext(VALUE) if inline is None else "".join(run_texts(inline))
            texts[node.get("r", "")] = text or ""
    facts.style, facts.string, facts.texts = max([-1, *map(number, styles)]), max(strings), texts
    facts.mark = max([-1, *map(number, set(root.xpath("//@dxfId")))])
    merged = [area(node.get("ref", "")) for node in root.iter(tag("mergeCell"))]
    for at, one in enumerate(merged):
        if any(meet(one, other) for other in merged[:at]):
            facts.wrong.add("two merged ranges overlap")


def style_facts(root: etree._Element, facts: Facts) -> None:
    """Count what may be pointed to, and see that what points within the part points into it (18.8)."""
    lists = {etree.QName(node).localname: items(node) for node in root.iterchildren(tag("*"))}
    facts.counts = {etree.QName(node).localname: max(how_many(node)) for node in root.iterchildren(tag("*"))}
    formats = [node.get("numFmtId") for node in lists.get("numFmts", [])]
    facts.wrong |= {f"the number format {one} is there twice" for one, count in Counter(formats).items() if count > 1}
    for name in ("cellStyleXfs", "cellXfs"):
        for xf in lists.get(name, []):
            for at, of in POINTS_TO.items():
                if number(xf.get(at)) >= facts.counts.get(of, 0):
                    facts.wrong.add(f"{at} {xf.get(at)} of {name} is out of range")
            if number(xf.get("numFmtId")) >= OWN_FORMATS and xf.get("numFmtId") not in formats:
                facts.wrong.add(f"the number format {xf.get('numFmtId')} is not there")
            if name == "cellXfs" and number(xf.get("xfId")) >= facts.counts.get("cellStyleXfs", 0) > 0:
                facts.wrong.add(f"xfId {xf.get('xfId')} is out of range")
    for style in lists.get("cellStyles", []):
        if number(style.get("xfId")) >= facts.counts.get("cellStyleXfs", 0):
            facts.wrong.add(f"the style {style.get('name')} is out of range")


def items(node: etree._Element) -> list[etree._Element]:
    """Return the items of a list, of alternatives those of the fallback (Part 3, 7.5)."""
    found = []
    for child in node:
        if child.tag == f"{{{COMPATIBILITY}}}AlternateContent":
            fallback = child.find(f"{{{COMPATIBILITY}}}Fallback")
            found += [] if fallback is None else list(fallback)
        elif isinstance(child.tag, str):
            found.append(child)
    return found


def table_facts(root: etree._Element, facts: Facts) -> None:
    """See that the columns of a table are as many as its range is wide, and different (18.5.1.2, 18.5.1.3)."""
    facts.table = root
    columns = list(root.iter(tag("tableColumn")))
    first, last = area(root.get("ref", ""))
    if last[1] - first[1] + 1 != len(columns):
        facts.wrong.add("its range is not as wide as its columns")
    if last[0] - first[0] < number(root.get("headerRowCount", "1")) + number(root.get("totalsRowCount", "0")):
        facts.wrong.add("it has no row for data")
    for what in ("id", "name"):
        given = Counter(column.get(what, "").casefold() for column in columns)
        facts.wrong |= {f"two columns have the {what} {one}" for one, count in given.items() if count > 1}
    filter_of = root.find(tag("autoFilter"))
    if filter_of is not None:
        top, bottom = area(filter_of.get("ref", ""))
        if top != first or bottom[1] != last[1] or bottom[0] > last[0]:
            facts.wrong.add("its filter is not in its range")
    facts.mark = max([-1, *(number(value) for node in root.iter() for at, value in node.attrib.items() if str(at).lower().endswith("dxfid"))])  # fmt: skip


def workbook_facts(root: etree._Element, facts: Facts) -> None:
    """See that sheets have different names and numbers, and that one that opens can be seen (18.2.19)."""
    sheets = list(root.iter(tag("sheet")))
    for what in ("name", "sheetId"):
        given = Counter(sheet.get(what, "").casefold() for sheet in sheets)
        facts.wrong |= {f"two sheets have the {what} {one}" for one, count in given.items() if count > 1}
    names = Counter(
        (node.get("name", "").casefold(), node.get("localSheetId")) for node in root.iter(tag("definedName"))
    )
    facts.wrong |= {f"the name {name} is given twice" for (name, _), count in names.items() if count > 1}
    if any(number(node.get("localSheetId")) >= len(sheets) for node in root.iter(tag("definedName"))):
        facts.wrong.add("a name belongs to a sheet that is not there")
    if sheets and all(sheet.get("state") in ("hidden", "veryHidden") for sheet in sheets):
        facts.wrong.add("no sheet can be seen")
    facts.sheets = tuple(sheet.get(f"{{{RELATIONS}}}id", "") for sheet in sheets)


def number(text: str | None) -> int:
    """Return a whole number; -1 of anything else."""
    return int(text) if text is not None and text.strip().isdigit() else -1


def area(text: str) -> tuple[tuple[int, int], tuple[int, int]]:
    """
    Return the corners of a range, rows before columns.

    >>> area("B3:AA9")
    ((3, 2), (9, 27))
    """
    found = re.findall(r"\$?([A-Z]{1,3})\$?(\d+)", text)
    corners = []
    for letters, row in found or [("A", "1")]:
        column = 0
        for letter in letters:
            column = column * 26 + ord(letter) - 64
        corners.append((int(row), column))
    return corners[0], corners[-1]


def meet(one: tuple[tuple[int, int], tuple[int, int]], other: tuple[tuple[int, int], tuple[int, int]]) -> bool:
    """Whether two ranges have a cell in common."""
    return all(one[0][at] <= other[1][at] and other[0][at] <= one[1][at] for at in (0, 1))


# Across parts: content types, relationships, styles, texts, tables.


def type_faults(package: zipfile.ZipFile, names: list[str]) -> Iterator[str]:
    """Each part has one content type, and each line of the list is for a part (Part 2, 7.2.3)."""
    if TYPES not in names:
        yield "there is no list of content types"
        return
    root = etree.fromstring(package.read(TYPES))
    overrides = Counter(
        unquote(node.get("PartName", "")).casefold() for node in root if etree.QName(node).localname == "Override"
    )
    endings = {node.get("Extension", "").casefold() for node in root if etree.QName(node).localname == "Default"}
    yield from (f"{name} has {count} content types" for name, count in overrides.items() if count > 1)
    there = {f"/{unquote(name)}".casefold() for name in names}
    yield from (f"{name} has a content type and is not there" for name in overrides if name not in there)
    for name in names:
        ending = name.rpartition("/")[2].rpartition(".")[2].casefold()
        if name != TYPES and f"/{unquote(name)}".casefold() not in overrides and ending not in endings:
            yield f"{name} has no content type"


def lines_of(package: zipfile.ZipFile, info: zipfile.ZipInfo) -> dict[str, tuple[str, str]]:
    """Return the relationships of a part, from memory if the same ones were read at the same place before."""
    key = (info.CRC, info.file_size, info.filename)
    if key not in _LINES:
        _LINES[key] = relationships(package, info.filename)
    return _LINES[key]


def relationships(package: zipfile.ZipFile, name: str) -> dict[str, tuple[str, str]]:
    """Return the relationships of a part by their ids: the end of their type, and the part they lead to."""
    folder = name.rpartition("_rels/")[0]
    found: dict[str, tuple[str, str]] = {}
    for node in etree.fromstring(package.read(name)):
        target = unquote(node.get("Target", ""))
        path = target.lstrip("/") if target.startswith("/") else posixpath.normpath(posixpath.join(folder, target))
        outside = node.get("TargetMode") == "External"
        given = node.get("Id", "")
        kind = node.get("Type", "").rpartition("/")[2]
        found[f"{given} again" if given in found else given] = (kind, "" if outside or target.startswith("#") else path)
    return found


def source_of(name: str) -> str:
    """
    Return the part whose relationships these are.

    >>> source_of("xl/_rels/workbook.xml.rels")
    'xl/workbook.xml'
    """
    folder, _, file = name.rpartition("_rels/")
    return folder + file.removesuffix(".rels")


def relation_faults(
    names: list[str], facts: Mapping[str, Facts], lines: Mapping[str, Mapping[str, tuple[str, str]]]
) -> Iterator[str]:
    """Each relationship has an id of its own and leads to a part; each that is named is there (Part 2, 6.5)."""
    there = {name.casefold() for name in names}
    of = {source_of(name): line for name, line in lines.items()}
    for name, line in lines.items():
        if name != "_rels/.rels" and source_of(name).casefold() not in there:
            yield f"{name} belongs to no part"
        for given, (_, target) in line.items():
            if given.endswith(" again"):
                yield f"{name}: two relationships have the id {given.removesuffix(' again')}"
            if target and target.casefold() not in there:
                yield f"{name}: {given} leads to {target}, which is not there"
    for name, one in facts.items():
        missing = one.named - set(of.get(name, {}))
        yield from (f"{name} names the relationship {given}, which is not there" for given in sorted(missing))


def cross_faults(facts: Mapping[str, Facts], lines: Mapping[str, Mapping[str, tuple[str, str]]]) -> Iterator[str]:
    """Styles and texts are in range, and tables agree with their sheets and with one another."""
    styles = next((one for one in facts.values() if one.root == "styleSheet"), None)
    texts = next((one for one in facts.values() if one.root == "sst"), None)
    tables: Counter[str] = Counter()
    numbers: Counter[str] = Counter()
    for name, one in facts.items():
        if styles is not None and one.root == "worksheet" and one.style >= styles.counts.get("cellXfs", 0):
            yield f"{name}: the style {one.style} is out of range"
        if styles is not None and one.mark >= styles.counts.get("dxfs", 0):
            yield f"{name}: the format {one.mark} of a rule or a table is out of range"
        if one.string >= (len(texts.strings) if texts is not None else 0):
            yield f"{name}: the text {one.string} is out of range"
        if one.root == "worksheet":
            folder, _, file = name.rpartition("/")
            mine = lines.get(f"{folder}/_rels/{file}.rels", {})
            parts = [target for kind, target in mine.values() if kind == "table" and target in facts]
            yield from sheet_faults(name, one, [(part, facts[part]) for part in parts], texts)
            for part in parts:
                table = facts[part].table
                if table is not None:
                    tables[table.get("displayName", "").casefold()] += 1
                    numbers[table.get("id", "")] += 1
    yield from (f"two tables are called {name}" for name, count in tables.items() if count > 1)
    yield from (f"two tables have the id {given}" for given, count in numbers.items() if count > 1)


def sheet_faults(name: str, sheet: Facts, tables: list[tuple[str, Facts]], texts: Facts | None) -> Iterator[str]:
    """Tables of a sheet do not overlap, and their headings are the words in its cells (18.5.1.3)."""
    areas = []
    for part, one in tables:
        if one.table is None:
            continue
        first, last = area(one.table.get("ref", ""))
        if any(meet((first, last), other) for other in areas):
            yield f"{part} overlaps another table"
        areas.append((first, last))
        if number(one.table.get("headerRowCount", "1")) < 1:
            continue
        for at, column in enumerate(one.table.iter(tag("tableColumn"))):
            cell = f"{letters(first[1] + at)}{first[0]}"
            found = sheet.texts.get(cell)
            if isinstance(found, int):
                found = texts.strings[found] if texts is not None and found < len(texts.strings) else None
            if found is None or plain(found) != plain(column.get("name", "")):
                yield f"{part}: the heading {column.get('name')} is not in {name}, {cell}"


def letters(column: int) -> str:
    """
    Name a column.

    >>> letters(1), letters(28)
    ('A', 'AB')
    """
    name = ""
    while column:
        column, rest = divmod(column - 1, 26)
        name = chr(65 + rest) + name
    return name


def plain(text: str) -> str:
    """Return a heading as programs compare it: signs written as codes, lines broken in one way (22.9.2.19)."""
    read = re.sub("_x([0-9A-Fa-f]{4})_", lambda found: chr(int(found[1], 16)), text)
    return read.replace("\r\n", "\n").replace("\r", "\n").casefold()
