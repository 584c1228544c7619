"""Finding tables by their names or by their headings, and making them longer."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from stillroom.household.cells import letters
from stillroom.workbook.ooxml.package import Package
from stillroom.workbook.ooxml.sheet_data import Body
from stillroom.workbook.ooxml.values import Rectangle, parse_range, unescape_text, whole
from stillroom.workbook.ooxml.xml import MAIN, Change, Markup, attribute, set_attribute, splice


@dataclass(frozen=True)
class TablePart:
    """What a table part says (ECMA-376 Part 1, 18.5.1.2), with the formulas of its calculated columns."""

    name: str
    display_name: str
    sheet: str
    sheet_part: str
    part: str
    area: Rectangle
    header_rows: int
    totals_rows: int
    headings: tuple[str, ...]
    formulas: tuple[str | None, ...]
    is_query: bool

    @property
    def first_row(self) -> int:
        """The first body row."""
        return self.area.first_row + self.header_rows

    @property
    def last_row(self) -> int:
        """The last body row."""
        return self.area.last_row - self.totals_rows


@dataclass(frozen=True)
class FoundTable:
    """
    A table with its cells as they stand in the file.

    Rows and columns count from 1. ``last_row`` below ``first_row`` means no rows; a totals row is not among them.
    ``table_part`` is None for a table that was found by its row of headings.
    """

    name: str
    sheet: str
    sheet_part: str
    table_part: str | None
    header_row: int
    first_column: int
    last_column: int
    first_row: int
    last_row: int
    headings: tuple[str, ...]
    rows: Body
    hidden_rows: frozenset[int]
    merged: tuple[str, ...]
    totals_rows: int = 0
    is_query: bool = False
    sheet_state: str = "visible"
    protected: bool = False

    def column(self, heading: str) -> int | None:
        """Give the sheet column under a heading (capitals and spaces do not matter); None when there is none."""
        wanted = key_of(heading)
        for number, name in enumerate(self.headings):
            if key_of(name) == wanted:
                return self.first_column + number
        return None

    def heading_place(self, heading: str) -> str:
        """Name the heading's cell, ``Sheet!B4``; the first's when there is no such column, the cell below if hidden."""
        column = self.column(heading) or self.first_column
        return f"{self.sheet}!{letters(column)}{self.header_row or self.first_row}"


@lru_cache(maxsize=4096)
def key_of(name: str) -> str:
    """
    Make a table's or a column's name comparable: capitals, spaces and underscores do not matter.

    >>> key_of("Crop use") == key_of("crop_use") == key_of("CropUse")
    True
    """
    return "".join(name.replace("_", " ").split()).casefold()


def read_table_part(package: Package, part: str, sheet: str, sheet_part: str) -> TablePart | None:
    """Read one table part; None when its area or its columns make no sense."""
    root = package.root(part)
    try:
        area = parse_range(root.get("ref", ""))
    except ValueError:
        return None
    headings, formulas = [], []
    for node in root.iterfind(f"{{{MAIN}}}tableColumns/{{{MAIN}}}tableColumn"):
        headings.append(unescape_text(node.get("name", "")))
        formula = node.find(f"{{{MAIN}}}calculatedColumnFormula") if len(node) else None
        formulas.append(formula.text if formula is not None else None)
    if len(headings) != area.last_column - area.first_column + 1:
        return None
    header = whole(root.get("headerRowCount"), 1)
    display = root.get("displayName", "")
    return TablePart(
        name=root.get("name", "") or display,
        display_name=display,
        sheet=sheet,
        sheet_part=sheet_part,
        part=part,
        area=area,
        header_rows=header,
        totals_rows=whole(root.get("totalsRowCount"), 0),
        headings=tuple(headings),
        formulas=tuple(formulas),
        is_query=root.get("tableType") == "queryTable",
    )


def grown_part(content: bytes, part: str, last_row: int) -> bytes:
    """Give a table part whose area, and its filter's, ends at a later row (18.5.1.2 ref, 18.3.1.2 autoFilter)."""
    markup = Markup(content, part)
    changes = []
    for name in ("table", "autoFilter"):
        element = markup.find(name)
        if element is None:
            continue
        tag = markup.tag(element)
        area = parse_range(attribute(tag, "ref") or "")
        new = Rectangle(area.first_row, area.first_column, max(area.last_row, last_row), area.last_column)
        changes.append(Change(element.start, element.tag_end, set_attribute(tag, "ref", str(new))))
    return splice(content, changes)
