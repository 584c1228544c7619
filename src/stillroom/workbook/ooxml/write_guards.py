"""Which cells may not be written to: inside merges and arrays, headings and totals, and formulas that others share."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from stillroom.errors import Problem
from stillroom.household.cells import address
from stillroom.workbook.ooxml.formulas import has_formulas
from stillroom.workbook.ooxml.sheet_data import SheetText, formula_pattern
from stillroom.workbook.ooxml.tables import TablePart
from stillroom.workbook.ooxml.values import Rectangle, parse_range
from stillroom.workbook.ooxml.xml import attribute, find_element, holds


@dataclass(frozen=True)
class Forbidden:
    """A block of cells that may not be written to, with its kind of problem; ``but`` is the one cell of it that may."""

    block: Rectangle
    kind: str
    table: str = ""
    but: tuple[int, int] | None = None


def forbidden_in(sheet: SheetText) -> list[Forbidden]:
    """List the blocks of a sheet that cannot be written into: merges, arrays, data tables (18.3.1.55, 18.3.1.40)."""
    merged = merged_ranges(sheet)
    found = [Forbidden(block, "cell merged", but=(block.first_row, block.first_column)) for block in merged]
    kinds = {"an array formula": "cell of an array", "a data table": "cell of a data table"}
    return found + [Forbidden(block, kinds[kind]) for kind, block in array_ranges(sheet)]


def merged_ranges(sheet: SheetText) -> list[Rectangle]:
    """List the merged blocks of a sheet."""
    if sheet.merged is None:
        markup = sheet.markup
        cells = markup.find("mergeCells", sheet.sheet_data.end)
        found = [] if cells is None else markup.find_all("mergeCell", cells.tag_end, cells.content_end)
        sheet.merged = [parse_range(ref) for one in found if (ref := attribute(markup.tag(one), "ref"))]
    return sheet.merged


def array_ranges(sheet: SheetText) -> list[tuple[str, Rectangle]]:
    """List the blocks of array formulas and data tables of a sheet, each with what it is called."""
    area = sheet.sheet_data
    kinds = (b"array", b"dataTable")
    if not has_formulas(sheet) or not any(holds(sheet.data, one, area.tag_end, area.content_end) for one in kinds):
        return []
    found = []
    for match in formula_pattern(sheet.prefix).finditer(sheet.markup.text, area.tag_end, area.content_end):
        tag = b"<f" + match[1] + b">"
        kind, ref = attribute(tag, "t"), attribute(tag, "ref")
        if ref and kind in ("array", "dataTable"):
            found.append(("an array formula" if kind == "array" else "a data table", parse_range(ref)))
    return found


def refuse(
    sheet: SheetText, name: str, cells: Collection[tuple[int, int]], forbidden: Iterable[Forbidden]
) -> list[Problem]:
    """Give a problem for each cell that may not be written to, in the order of the sheet."""
    problems = []
    blocks = list(forbidden)
    shares = has_formulas(sheet) and holds(sheet.data, b"shared")
    by_row: dict[int, set[int]] = {}
    for row, column in cells:
        by_row.setdefault(row, set()).add(column)
    for row in sorted(by_row):
        near = [one for one in blocks if one.block.first_row <= row <= one.block.last_row]
        masters = _masters(sheet, row) if shares else ()
        for column in sorted(by_row[row]) if near or masters else ():
            where = f"{name}!{address(row, column)}"
            found = next((one for one in near if one.block.holds(row, column) and (row, column) != one.but), None)
            if found is not None:
                problems.append(Problem(where, found.kind, (found.table,) if found.table else ()))
            elif column in masters:
                problems.append(Problem(where, "cell of a shared formula"))
    if cells and not sheet.in_order:
        problems.append(Problem(name, "rows not in order"))
    if cells and sheet.blank_elsewhere():
        problems.append(Problem(name, "rows written oddly"))
    return problems


def _masters(sheet: SheetText, row: int) -> set[int]:
    """Give the columns of a row in which a formula stands that other cells share (18.3.1.40 si, ref)."""
    element = sheet.row(row)
    if element is None or sheet.markup.text.find(b"shared", element.tag_end, element.content_end) < 0:
        return set()
    found = set()
    for span in sheet.cells(element):
        formula = find_element(sheet.markup.text, sheet.prefix + b"f", span.element.tag_end, span.element.content_end)
        if formula is not None:
            tag = sheet.data[formula.start : formula.tag_end]
            if attribute(tag, "t") == "shared" and attribute(tag, "ref") is not None:
                found.add(span.column)
    return found


def forbidden_by_tables(tables: list[TablePart]) -> list[Forbidden]:
    """List the heading rows and totals rows of tables, and the whole of those filled by a query (18.5.1.2)."""
    found = []
    for table in tables:
        area = table.area
        if table.is_query:
            found.append(Forbidden(area, "cell of a query", table.name))
        if table.header_rows:
            found.append(
                Forbidden(
                    area._replace(last_row=area.first_row + table.header_rows - 1),
                    "cell of a heading",
                    table.name,
                )
            )
        if table.totals_rows:
            found.append(Forbidden(area._replace(first_row=table.last_row + 1), "cell of a totals row", table.name))
    return found
