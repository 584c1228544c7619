"""The rules of the package that hold across parts: types, relationships, counts, style numbers, headings of tables."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from xml.etree.ElementTree import Element

from stillroom.workbook.ooxml.verify.parts import (
    column_number,
    local,
    parsed,
    plain_text,
    relationships_of,
    visible,
)

_COUNTED = frozenset(
    {"numFmts", "fonts", "fills", "borders", "cellStyleXfs", "cellXfs", "cellStyles", "dxfs", "tableColumns"}
    | {"mergeCells", "dataValidations", "tableParts"}
)
"""The lists whose `count` is that of their items (ECMA-376 Part 1, 18.8, 18.5.1 and 18.3.1)."""
_POINTS_TO = {"fontId": "fonts", "fillId": "fills", "borderId": "borders", "xfId": "cellStyleXfs"}
_FIRST_OWN_FORMAT = 164
_SPACE = rb"http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_STYLE = re.compile(rb"""<(?:[\w.\-]+:)?(?:c|row|col)\s(?:[^<>"']|"[^"]*"|'[^']*')*?\b(?:s|style)=["'](\d+)["']""")
_MARK = re.compile(rb"""[dD]xfId=["'](\d+)["']""")
_AREA = re.compile(r"([A-Z]{1,3})(\d+):([A-Z]{1,3})(\d+)")


@dataclass(frozen=True)
class Files:
    """The members of one file: their names, what they are to the workbook, their content, and its shared strings."""

    names: tuple[str, ...]
    roles: Mapping[str, str]
    read: Callable[[str], bytes]
    text: Callable[[int], str | None]

    @cached_property
    def lengths(self) -> dict[str, int]:
        """How many items each list of the styles has. Raises Wrong."""
        found = [name for name, what in self.roles.items() if what == "styles"]
        return _lengths(parsed(self.read(found[0]))) if found else {}


def faults(files: Files, name: str) -> set[str]:
    """
    Return which rules a part breaks, the same fault always in the same words.

    A household's file may break some already: only what the old file does not have is the writer's doing.
    """
    role, part = files.roles.get(name, ""), files.read(name)
    if role == "types":
        return set(_type_faults(files, parsed(part)))
    if role == "relations":
        return set(_relation_faults(parsed(part)))
    if role == "properties":
        return set(_property_faults(parsed(part)))
    found = set(_id_faults(files, name, part))
    if role == "styles":
        return found | set(_count_faults(parsed(part))) | set(_style_faults(parsed(part)))
    if re.search(rb"<(?:[\w.\-]+:)?worksheet[\s>]", part[:4096]):
        return found | set(_number_faults(files, part)) | set(_tail_faults(part))
    if re.search(rb"<(?:[\w.\-]+:)?table[\s>]", part[:4096]):
        return (
            found
            | set(_count_faults(parsed(part)))
            | set(_mark_faults(files, part))
            | set(_heading_faults(files, name))
        )
    return found


# ---- content types and relationships -------------------------------------------------------------------------------


def _type_faults(files: Files, types: Element) -> Iterator[str]:
    """Each part has a content type, and none two (ECMA-376 Part 2, 7.2.3)."""
    named: set[str] = set()
    for node in types:
        name = node.get("PartName", "").lstrip("/").casefold()
        if local(node) == "Override" and name in named:
            yield f"{name} has two content types"
        if local(node) == "Override":
            named.add(name)
    endings = {node.get("Extension", "").casefold() for node in types if local(node) == "Default"}
    for member in files.names:
        low = member.casefold()
        is_part = not low.endswith("/") and low != "[content_types].xml"
        if is_part and low not in named and low.rpartition(".")[2] not in endings:
            yield f"{member} has no content type"


def _relation_faults(lines: Element) -> Iterator[str]:
    """Each relationship of a part has an id of its own (Part 2, 6.5.3)."""
    known: set[str | None] = set()
    for node in lines:
        if node.get("Id") in known:
            yield f"two relationships have the id {node.get('Id')}"
        known.add(node.get("Id"))


def _property_faults(properties: Element) -> Iterator[str]:
    """Each custom property has a number of its own, from 2 on, and a name of its own (Part 1, 22.3.2.2)."""
    for field in ("pid", "name"):
        given = [node.get(field, "") for node in properties]
        yield from (f"two properties have the {field} {one}" for one in sorted({*given}) if given.count(one) > 1)
    yield from (
        f"a property has the pid {one}" for node in properties if (one := node.get("pid", "")) in ("", "0", "1")
    )


def _id_faults(files: Files, name: str, part: bytes) -> Iterator[str]:
    """Each relationship that a part names is there."""
    prefixes = set(re.findall(rb"""xmlns:([\w.\-]+)=["']""" + re.escape(_SPACE) + rb"""["']""", part[:8192]))
    used = {
        found.decode()
        for prefix in prefixes
        for found in re.findall(rb"\s" + re.escape(prefix) + rb""":(?:id|embed|link)=["']([^"']*)["']""", part)
    }
    if used:
        spelled = {one.casefold(): one for one in files.names}
        rels = spelled.get(relationships_of(name).casefold())
        known = {node.get("Id") for node in parsed(files.read(rels))} if rels is not None else set()
        yield from (f"there is no relationship {one}" for one in sorted(used) if one and one not in known)


# ---- styles --------------------------------------------------------------------------------------------------------


def _count_faults(root: Element) -> Iterator[str]:
    for node in root.iter():
        count = node.get("count")
        if local(node) in _COUNTED and count is not None:
            least, most = _items(node)
            if not (count.isdigit() and least <= int(count) <= most):
                yield f"the count of {local(node)} is wrong"


def _items(node: Element) -> tuple[int, int]:
    """Count the items of a list: the fewest and the most that a program sees, where some stand in two versions."""
    least = most = 0
    for child in node:
        if local(child) == "AlternateContent":
            versions = [_items(version) for version in child] or [(0, 0)]
            least, most = least + min(one[0] for one in versions), most + max(one[1] for one in versions)
        elif local(child) != "extLst":
            least, most = least + 1, most + 1
    return least, most


def _lengths(styles: Element) -> dict[str, int]:
    return {local(node): _items(node)[1] for node in styles}


def _style_faults(styles: Element) -> Iterator[str]:
    """What a cell format points to is there (Part 1, 18.8.45)."""
    lengths = _lengths(styles)
    own = {node.get("numFmtId") for node in styles.iter() if local(node) == "numFmt"}
    for group in styles:
        if local(group) not in ("cellXfs", "cellStyleXfs"):
            continue
        for node in group.iter():
            for field, target in _POINTS_TO.items():
                number = node.get(field, "0")
                if local(node) == "xf" and not (number.isdigit() and int(number) < max(lengths.get(target, 0), 1)):
                    yield f"a cell format has the {field} {number}, which is not there"
            number = node.get("numFmtId", "0")
            if local(node) == "xf" and number.isdigit() and int(number) >= _FIRST_OWN_FORMAT and number not in own:
                yield f"a cell format has the numFmtId {number}, which is not there"


def _number_faults(files: Files, sheet: bytes) -> Iterator[str]:
    """The formats of cells, rows and columns, and those of marks, are there."""
    used = {int(number) for number in {found[1] for found in _STYLE.finditer(sheet)}}
    if max(used, default=0):
        most = files.lengths.get("cellXfs", 0)
        yield from (f"there is no cell format {number}" for number in sorted(used) if number >= max(most, 1))
    yield from _mark_faults(files, sheet)


def _mark_faults(files: Files, part: bytes) -> Iterator[str]:
    marks = {int(number) for number in set(_MARK.findall(part))}
    if marks:
        most = files.lengths.get("dxfs", 0)
        yield from (f"there is no format {number} of marks" for number in sorted(marks) if number >= most)


def _tail_faults(sheet: bytes) -> Iterator[str]:
    """The lists behind the rows of a sheet have the count that they state."""
    for name in ("mergeCells", "dataValidations", "tableParts"):
        found = re.search(rb"<((?:[\w.\-]+:)?)" + name.encode() + rb"[\s>]", sheet)
        if found is None:
            continue
        closing = b"</" + found[1] + name.encode() + b">"
        end = sheet.find(closing, found.end())
        if end >= 0:
            spaces = b" ".join(re.findall(rb"""xmlns:[\w.\-]+=["'][^"']*["']""", sheet[:8192]))
            yield from _count_faults(
                parsed(b"<all " + spaces + b">" + sheet[found.start() : end] + closing + b"</all>")
            )


# ---- tables --------------------------------------------------------------------------------------------------------


def _heading_faults(files: Files, table: str) -> Iterator[str]:
    """The cells above a table's columns have their names (Part 1, 18.5.1.3)."""
    root = parsed(files.read(table))
    area = _AREA.fullmatch(root.get("ref", "").replace("$", ""))
    sheet = _sheet_of(files, table)
    if area is None or sheet is None or root.get("headerRowCount", "1") == "0":
        return
    names = [plain_text(node.get("name", "")) for node in root.iter() if local(node) == "tableColumn"]
    first, last = column_number(area[1].encode()), column_number(area[3].encode())
    if len(names) != last - first + 1:
        yield "it has not one name for each column"
        return
    cells = _row_texts(files, visible(files.read(sheet)), area[2])
    for number, name in enumerate(names):
        if _plain(cells.get(first + number, "")) != _plain(name):
            yield f"the heading of its column {name} is another"


def _plain(text: str) -> str:
    return "".join(text.split())


def _sheet_of(files: Files, table: str) -> str | None:
    """Name the sheet that a table lies on."""
    base = table.rpartition("/")[2].casefold().encode()
    for name in files.names:
        if "/_rels/" in name and name.endswith(".rels") and base in files.read(name).lower():
            folder, _, rest = name.partition("_rels/")
            sheet = folder + rest.removesuffix(".rels")
            if sheet in files.names:
                return sheet
    return None


def _row_texts(files: Files, sheet: bytes, row: str) -> dict[int, str]:
    """Read the texts in one row of a sheet, by column."""
    pattern = (
        rb"""<((?:[\w.\-]+:)?)row\s(?:[^<>"']|"[^"]*"|'[^']*')*?\br=["']""" + row.encode() + rb"""["'].*?</\1row\s*>"""
    )
    found = re.search(pattern, sheet, re.DOTALL)
    if found is None:
        return {}
    texts = {}
    for node in parsed(found[0]):
        place = re.match(r"[A-Z]+", node.get("r", ""))
        if local(node) == "c" and place is not None:
            texts[column_number(place[0].encode())] = _cell_text(files, node)
    return texts


def _cell_text(files: Files, cell: Element) -> str:
    if cell.get("t") == "inlineStr":
        return plain_text("".join(node.text or "" for node in cell.iter() if local(node) == "t"))
    value = next((node.text or "" for node in cell if local(node) == "v"), "")
    return (files.text(int(value)) or "") if cell.get("t") == "s" and value.isdigit() else value
