"""How high the rows of the planner's tables must be for what it wrote: some programs do not work it out on opening."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from stillroom.workbook.ooxml.sheet_data import SheetText
from stillroom.workbook.ooxml.styles import (
    EDGES,
    INDENT,
    LINE_POINTS,
    USUAL_POINTS,
    WIDEST,
    Letters,
    Styles,
    text_points,
)
from stillroom.workbook.ooxml.values import Value, whole
from stillroom.workbook.ooxml.xml import Change, Element, attribute, set_attribute, splice

HIGHEST_POINTS = 409.0
"""Height no row is given more of (409.5 points, as spreadsheet programs keep it)."""
PLAIN_WIDTH, PLAIN_HEIGHT = 8.43, 15.0
"""Width of a column and height of a row that a sheet says nothing of."""
_TRUE = ("1", "true")
_UNUSUAL = re.compile(rb"=\s*'")
_FORMATS = re.compile(rb's\s*=\s*"([0-9]+)"')
_SAID = re.compile(r"""\s(min|max|width|hidden)\s*=\s*["']([^"']*)["']""")
_COLUMN = re.compile(rb"<(?:[\w.\-]+:)?col(\s[^<>]*)>")

Heights = Mapping[int, float | None]
"""Row to its new height in points; None takes the height out, so that the row has the sheet's usual one."""


@dataclass(frozen=True)
class Fitted:
    """
    The body of a table whose rows are to fit what stands in them.

    ``table_part`` names the table's definition; rows and columns count from 1.
    """

    table_part: str
    first_row: int
    last_row: int
    columns: range


def row_heights(
    sheet: SheetText, tables: Sequence[Fitted], values: Mapping[int, Mapping[int, Value]], styles: Styles
) -> dict[int, float | None]:
    """
    Give the rows of a sheet whose height is to change; `values` are what stands in its rows, by column.

    A row is left as it is when its height was set by hand, when it is hidden, when something stands in it outside
    these tables, and when none of its cells in them wraps.
    """
    wanted_rows = {row for table in tables for row in range(table.first_row, table.last_row + 1)}
    places = sheet.places(min(wanted_rows), max(wanted_rows)) if wanted_rows else []
    widths, usual = _widths(sheet) if values else {}, _usual_height(sheet)
    largest = _largest(sheet, [place for place in places if sheet.numbers[place] in values], usual, styles)
    short = _short(widths, largest)
    found: dict[int, float | None] = {}
    for place in places:
        row, tag = sheet.numbers[place], sheet.tag_at(place)
        if b"ht" not in tag and (row not in values or _is_one_line(values[row], short, widths, largest)):
            continue
        if row not in wanted_rows:
            continue
        if any(attribute(tag, name) in _TRUE for name in ("customHeight", "hidden")):
            continue
        around = [table for table in tables if table.first_row <= row <= table.last_row]
        held = {column: value for column, value in values.get(row, {}).items() if value is not None}
        if any(all(column not in table.columns for table in around) for column in held):
            continue
        wanted = _wanted(_cells(sheet, sheet.row_at(place), styles), around, held, widths, usual)
        if wanted is not _AS_IT_IS and attribute(tag, "ht") != height_text(wanted):
            found[row] = wanted
    return found


def _largest(sheet: SheetText, places: Sequence[int], usual: float, styles: Styles) -> Letters | None:
    """
    Give letters as large and as far in as any in these rows.

    None where one line of them is higher than the usual row, and where formats are written in an unusual way.
    """
    block = sheet.data[sheet.row_at(places[0]).start : sheet.row_at(places[-1]).end] if places else b""
    if not block or (b"'" in block and _UNUSUAL.search(block)):
        return None
    letters = [styles.letters(int(number)) for number in {b"0", *_FORMATS.findall(block)}]
    points, indent = max(one.points for one in letters), max(one.indent for one in letters)
    return Letters(True, points, indent) if LINE_POINTS * points / USUAL_POINTS <= usual + 1.0 else None


def _short(widths: Mapping[int, float], largest: Letters | None) -> dict[int, float]:
    """How many letters are one line in each column, however wide they are."""
    if largest is None:
        return {}
    share = WIDEST * largest.points / USUAL_POINTS
    return {column: (width - EDGES - INDENT * largest.indent) / share for column, width in widths.items()}


def _is_one_line(
    held: Mapping[int, Value], short: Mapping[int, float], widths: Mapping[int, float], largest: Letters | None
) -> bool:
    """Whether a row is surely one line high, whatever letters each of its cells has."""
    if largest is None:
        return False
    one_line = LINE_POINTS * largest.points / USUAL_POINTS
    for column, value in held.items():
        if isinstance(value, str) and (len(value) > short.get(column, 0.0) or "\n" in value):
            width = widths.get(column, PLAIN_WIDTH)
            if text_points(value, width, largest.points, largest.indent) > one_line:
                return False
    return True


def with_heights(sheet: SheetText, heights: Heights) -> bytes:
    """Give a sheet part with the heights of these rows (ECMA-376 Part 1, 18.3.1.73 row) changed, and nothing else."""
    changes = []
    for row, points in heights.items():
        element = sheet.row(row)
        if element is not None:
            tag = set_attribute(sheet.data[element.start : element.tag_end], "ht", height_text(points))
            changes.append(Change(element.start, element.tag_end, tag))
    return splice(sheet.data, changes)


def height_text(points: float | None) -> str | None:
    """
    Write a height as it stands in the file.

    >>> height_text(31.0), height_text(15.5), height_text(None)
    ('31', '15.5', None)
    """
    return None if points is None else f"{points:g}"


_AS_IT_IS = -1.0


def _wanted(
    cells: Mapping[int, Letters],
    tables: Collection[Fitted],
    held: Mapping[int, Value],
    widths: Mapping[int, float],
    usual: float,
) -> float | None:
    """How high one row must be; None for the sheet's usual height, below 0 for as it is."""
    ours = {column: letters for column, letters in cells.items() if any(column in table.columns for table in tables)}
    if not any(letters.wraps for letters in ours.values()):
        return _AS_IT_IS
    points = 0.0
    for column, letters in ours.items():
        value = held.get(column)
        if value is None:
            continue
        if letters.wraps and isinstance(value, str):
            points = max(points, text_points(value, widths.get(column, PLAIN_WIDTH), letters.points, letters.indent))
        else:
            points = max(points, LINE_POINTS * letters.points / USUAL_POINTS)
    return min(points, HIGHEST_POINTS) if points > usual + 1.0 else None


def _cells(sheet: SheetText, row: Element, styles: Styles) -> dict[int, Letters]:
    """How the letters of every written cell of a row are set."""
    return {span.column: styles.letters(whole(attribute(span.tag, "s"), 0)) for span in sheet.cells(row)}


def _widths(sheet: SheetText) -> dict[int, float]:
    """The widths of the sheet's columns, in digits (18.3.1.13 col); what stands in a hidden one takes no room."""
    return {column: width for first, last, width in _columns(sheet) for column in range(first, min(last, 1000) + 1)}


def _columns(sheet: SheetText) -> Iterator[tuple[int, int, float]]:
    around = sheet.markup.find("cols", sheet.markup.root_end, sheet.sheet_data.start)
    for tag in _COLUMN.findall(sheet.markup.text, around.tag_end, around.content_end) if around else ():
        said: dict[str, str] = dict(_SAID.findall(tag.decode()))
        width = math.inf if said.get("hidden") in _TRUE else _number(said.get("width"), PLAIN_WIDTH)
        yield whole(said.get("min"), 1), whole(said.get("max"), 0), width


def _usual_height(sheet: SheetText) -> float:
    """The height of the sheet's rows that say none of their own (18.3.1.81 sheetFormatPr)."""
    element = sheet.markup.find("sheetFormatPr", sheet.markup.root_end, sheet.sheet_data.start)
    return PLAIN_HEIGHT if element is None else _number(attribute(sheet.markup.tag(element), "defaultRowHeight"), 15.0)


def _number(text: str | None, default: float) -> float:
    try:
        return float(text or "")
    except ValueError:
        return default
