"""
The order of elements in the parts we write, as the schema of ECMA-376 Part 1, annex A.2 (sml.xsd) has it.

Tables below: CT_Worksheet (18.3.1.99 worksheet), CT_SheetData and CT_Row and CT_Cell (18.3.1.80, .73, .4),
CT_Table and CT_TableColumn (18.5.1.2 table, 18.5.1.3 tableColumn), CT_Workbook (18.2.27 workbook), CT_Stylesheet
(18.8.39 styleSheet), CT_DataValidation (18.3.1.32). Elements of other namespaces may stand anywhere (Part 3).
"""

from __future__ import annotations

from collections import Counter
from functools import lru_cache
from itertools import pairwise

from lxml import etree

COMPATIBILITY = "http://schemas.openxmlformats.org/markup-compatibility/2006"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
ORDER = {
    "worksheet": (
        "sheetPr dimension sheetViews sheetFormatPr cols sheetData sheetCalcPr sheetProtection protectedRanges scenarios autoFilter sortState "
        "dataConsolidate customSheetViews mergeCells phoneticPr conditionalFormatting dataValidations hyperlinks printOptions pageMargins pageSetup "
        "headerFooter rowBreaks colBreaks customProperties cellWatches ignoredErrors smartTags drawing legacyDrawing legacyDrawingHF drawingHF picture "
        "oleObjects controls webPublishItems tableParts extLst"
    ),
    "row": "c extLst",
    "c": "f v is extLst",
    "table": "autoFilter sortState tableColumns tableStyleInfo extLst",
    "tableColumn": "calculatedColumnFormula totalsRowFormula xmlColumnPr extLst",
    "workbook": (
        "fileVersion fileSharing workbookPr workbookProtection bookViews sheets functionGroups externalReferences definedNames calcPr oleSize "
        "customWorkbookViews pivotCaches smartTagPr smartTagTypes webPublishing fileRecoveryPr webPublishObjects extLst"
    ),
    "styleSheet": "numFmts fonts fills borders cellStyleXfs cellXfs cellStyles dxfs tableStyles colors extLst",
    "dataValidation": "formula1 formula2",
}
MANY = {"c", "conditionalFormatting", "cols", "smartTagTypes", "fileRecoveryPr"}
"""Elements of these tables that may stand more than once (maxOccurs in the schema)."""


PLACES = {kind: {name: place for place, name in enumerate(names.split())} for kind, names in ORDER.items()}
BEFORE_NAME = len(MAIN) + 2
"""Signs of a tag before the name of its element."""


@lru_cache(maxsize=1024)
def complaints(content: bytes) -> tuple[str, ...]:
    """Say what stands out of its order in one part, nothing when all is right; many workbooks get the same parts."""
    return tuple(complaints_in(etree.fromstring(content)))


def complaints_in(root: etree._Element) -> list[str]:
    """Say what stands out of its order under one element."""
    found = []
    for node in root.iter(f"{{{MAIN}}}*"):
        kind = node.tag[BEFORE_NAME:]
        if kind in ORDER and len(node):
            found += in_order(kind, tuple(child.tag[BEFORE_NAME:] for child in node.iterchildren(f"{{{MAIN}}}*")))
        if kind == "sheetData":
            found += rising("row", [child.get("r") for child in node])
        if kind == "row":
            cells = (child.get("r", "") for child in node.iterchildren(f"{{{MAIN}}}c"))
            found += rising("c", [name.rstrip("0123456789") or None for name in cells])
        if (
            node.get("count") is not None
            and kind
            in ("sst", "tableColumns", "dataValidations", "tableParts", "cellXfs", "fonts", "fills", "mergeCells")
            and kind != "sst"
        ):
            numbers = how_many(node)
            if node.get("count") not in map(str, numbers):
                found.append(f"{kind} counts {node.get('count')} and holds {numbers[0]}")
    return found


def how_many(node: etree._Element) -> list[int]:
    """Give how many items a list has; of versions for several programs those of each (Part 3, 7.5)."""
    counts = {len(list(node.iterchildren(f"{{{MAIN}}}*")))}
    for either in node.iterchildren(f"{{{COMPATIBILITY}}}AlternateContent"):
        counts = {count + len(version) for count in counts for version in either}
    return sorted(counts)


@lru_cache(maxsize=1024)
def in_order(kind: str, names: tuple[str, ...]) -> list[str]:
    """Compare the names of an element's children with the table."""
    order = PLACES[kind]
    strangers = [name for name in names if name not in order]
    if strangers:
        return [f"{kind} holds {strangers[0]}"]
    places = [order[name] for name in names]
    twice = {name for name, count in Counter(names).items() if count > 1} - MANY if kind != "row" else set()
    if places != sorted(places):
        return [f"{kind}: {' '.join(names)[:200]} is out of order"]
    return [f"{kind}: {name} stands more than once" for name in sorted(twice)]


def rising(kind: str, given: list[str | None]) -> list[str]:
    """Rows and cells stand in rising order and none stands twice (18.3.1.73, 18.3.1.4)."""
    keys = [(len(one), one) for one in given if one is not None]
    sound = all(name.isdecimal() if kind == "row" else name.isalpha() for _, name in keys)
    return [] if sound and all(a < b for a, b in pairwise(keys)) else [f"{kind} elements do not rise"]
