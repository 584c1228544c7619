"""Finding rows and cells by their bytes in a sheet part, so that a large sheet is never read whole."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from operator import lt
from typing import NamedTuple, overload

from stillroom.errors import WorkbookRefused
from stillroom.household.cells import column_number
from stillroom.workbook.ooxml.values import Cell, Rectangle, Unreadable, parse_address, parse_range
from stillroom.workbook.ooxml.xml import ATTRIBUTES, Element, Markup, attribute, holds, start_pattern

_ROW_NUMBER = re.compile(rb"""\sr\s*=\s*["']([0-9]{1,8})["']""")


class CellSpan(NamedTuple):
    """Where one cell lies in the sheet part."""

    column: int
    element: Element
    tag: bytes


class SheetText:
    """
    A sheet part seen as rows of bytes (ECMA-376 Part 1, 18.3.1.80 sheetData, 18.3.1.73 row, 18.3.1.4 c).

    Rows and cells without an ``r`` attribute follow the one before them. Raises WorkbookRefused when there is no
    sheetData.
    """

    def __init__(self, data: bytes, part: str) -> None:
        """Find the sheet's data; its rows are looked for when they are first asked for."""
        self.markup = Markup(data, part)
        self.part = part
        self.data, self.prefix = data, self.markup.prefix
        self.sheet_data = self._find_sheet_data()
        self._numbers: list[int] | None = None
        self._starts: list[int] = []
        self._tag_ends: list[int] = []
        self.in_order = True
        self.merged: list[Rectangle] | None = None

    def _find_sheet_data(self) -> Element:
        tag = self.prefix + b"sheetData"
        text = self.markup.text
        opened = start_pattern(tag).search(text)
        if opened is not None:
            if text[opened.end() - 2] == 0x2F:
                return Element(opened.start(), opened.end(), opened.end(), opened.end())
            close = text.rfind(b"</" + tag)
            if close >= opened.end():
                return Element(opened.start(), opened.end(), close, text.find(b">", close) + 1)
        raise WorkbookRefused.because(self.part, "no rows of cells")

    @property
    def numbers(self) -> list[int]:
        """The number of each row that is written, in the order of the file."""
        if self._numbers is None:
            self._numbers = self._scan()
        return self._numbers

    def _scan(self) -> list[int]:
        area = self.sheet_data
        matches = list(_row_pattern(self.prefix).finditer(self.markup.text, area.tag_end, area.content_end))
        self._starts = [match.start() for match in matches]
        self._tag_ends = [match.end() for match in matches]
        numbers = [int(match[1] or 0) for match in matches]
        if not numbers or (numbers[0] > 0 and all(map(lt, numbers, numbers[1:]))):
            return numbers
        return self._counted(matches)

    def _counted(self, matches: list[re.Match[bytes]]) -> list[int]:
        """The numbers of rows some of which do not say theirs first of all, or are not in order."""
        numbers = []
        number = 0
        for match in matches:
            given = match[1]
            if given is None and (found := _ROW_NUMBER.search(match[0])):
                given = found[1]
            before = number
            number = int(given) if given else number + 1
            if number <= before:
                self.in_order = False
            numbers.append(number)
        return numbers

    def place(self, row: int) -> int:
        """Where in :attr:`numbers` a row stands or would stand."""
        if self.in_order:
            return bisect_left(self.numbers, row)
        return self.numbers.index(row) if row in self.numbers else len(self.numbers)

    def row(self, number: int) -> Element | None:
        """Where a row lies, None when it is not written."""
        numbers = self.numbers
        place = self.place(number)
        if place == len(numbers) or numbers[place] != number:
            return None
        return self.row_at(place)

    def row_at(self, place: int) -> Element:
        """Where the row at a place in :attr:`numbers` lies."""
        start, tag_end = self._starts[place], self._tag_ends[place]
        text = self.markup.text
        if text[tag_end - 2] == 0x2F:
            return Element(start, tag_end, tag_end, tag_end)
        close = text.find(b"</" + self.prefix + b"row", tag_end)
        end = text.find(b">", close) + 1
        if close < 0 or not end:
            msg = f"a row of {self.part} is never closed"
            raise Unreadable(msg)
        return Element(start, tag_end, close, end)

    def tag_at(self, place: int) -> bytes:
        """The start tag of the row at a place in :attr:`numbers`."""
        return self.data[self._starts[place] : self._tag_ends[place]]

    def filled_places(self, first: int, last: int) -> list[int]:
        """The places of the rows from ``first`` to ``last`` with a value or a formula; a mere format is nothing."""
        places = self.places(first, last)
        if not self.in_order or not places:
            return places
        found, starts, text = [], self._starts, self.markup.text
        end = self.row_at(places[-1]).end
        match = _content_pattern(self.prefix).search(text, starts[places[0]], end)
        while match is not None:
            place = bisect_left(starts, match.end()) - 1
            found.append(place)
            start = starts[place + 1] if place < places[-1] else end
            match = _content_pattern(self.prefix).search(text, start, end)
        return found

    def places(self, first: int, last: int) -> list[int]:
        """The places in :attr:`numbers` of all written rows from ``first`` to ``last``."""
        numbers = self.numbers
        if self.in_order:
            start = bisect_left(numbers, first)
            return list(range(start, bisect_left(numbers, last + 1, start)))
        return [place for place, number in enumerate(numbers) if first <= number <= last]

    def place_of_byte(self, byte: int) -> int:
        """The place in :attr:`numbers` of the row around a byte of the part."""
        _ = self.numbers
        return bisect_left(self._starts, byte + 1) - 1

    def cells(self, row: Element) -> list[CellSpan]:
        """List the cells of a row, in the order of the file."""
        found = []
        column = 0
        data = self.data
        for match in _cell_pattern(self.prefix).finditer(self.markup.text, row.tag_end, row.content_end):
            start, end, tag_end = match.start(), match.end(), match.end(2) + 1
            tag = data[start:tag_end]
            column = column_of(match[1]) if match[1] else cell_column(tag, column)
            content_end = match.end(3) if match[3] is not None else end
            found.append(CellSpan(column, Element(start, tag_end, content_end, end), tag))
        return found

    def blank_elsewhere(self) -> bool:
        """Whether the rows stand inside something else than sheetData itself, such as mc:AlternateContent."""
        return holds(self.markup.text, b"AlternateContent", self.sheet_data.tag_end, self.sheet_data.content_end)


def cell_column(tag: bytes, before: int) -> int:
    """Give the column of a cell from its start tag, or the one after ``before``."""
    name = attribute(tag, "r")
    return parse_address(name)[1] if name else before + 1


@lru_cache(maxsize=64)
def _row_pattern(prefix: bytes) -> re.Pattern[bytes]:
    name = re.escape(prefix) + rb"row"
    return re.compile(rb"<" + name + rb'(?>(?:\s+r="([0-9]{1,8})")?)(?=[\s/>])' + ATTRIBUTES + rb">")


@lru_cache(maxsize=20_000)
def column_of(name: bytes) -> int:
    """Count a column's letters out."""
    return column_number(name.decode())


@lru_cache(maxsize=64)
def _cell_pattern(prefix: bytes) -> re.Pattern[bytes]:
    name = re.escape(prefix) + rb"c"
    first = rb'(?>(?:\s+r="([A-Z]{1,3})[0-9]+")?)(?=[\s/>])'
    return re.compile(
        rb"<" + name + first + rb"(" + ATTRIBUTES + rb")(?:(?<=/)>|>(.*?)</" + name + rb"\s*>)", re.DOTALL
    )


@lru_cache(maxsize=64)
def _content_pattern(prefix: bytes) -> re.Pattern[bytes]:
    return re.compile(rb"<" + re.escape(prefix) + rb"(?:v|f|is)[\s/>]")


@lru_cache(maxsize=64)
def formula_pattern(prefix: bytes) -> re.Pattern[bytes]:
    """Give the pattern of a formula element: its attributes, and its text if it has one (18.3.1.40 f)."""
    name = re.escape(prefix) + rb"f"
    return re.compile(rb"<" + name + rb"(?=[\s/>])(" + ATTRIBUTES + rb")>(?:(?<!/>)([^<]*))?")


# The rows of a table as they stand in the file; those in which nothing stands are made only when looked at.

Row = tuple[Cell, ...]


class Body(Sequence[Row]):
    """
    A table's rows, each a tuple of cells from its first column to its last.

    Tables are long beforehand and mostly blank below, so a row in which nothing stands costs nothing until it is asked
    for; :meth:`filled` passes such rows over.
    """

    def __init__(
        self, first_row: int, last_row: int, columns: range, written: Mapping[int, Mapping[int, Cell]]
    ) -> None:
        """Take the written cells by row and column; rows that are not among them are blank."""
        self._first_row, self._length, self._columns = first_row, max(last_row - first_row + 1, 0), columns
        self._written = written
        self._made: dict[int, Row] = {}

    def __len__(self) -> int:
        """How many rows there are, blank ones among them."""
        return self._length

    @overload
    def __getitem__(self, place: int) -> Row: ...

    @overload
    def __getitem__(self, place: slice) -> Sequence[Row]: ...

    def __getitem__(self, place: int | slice) -> Row | Sequence[Row]:
        """Give a row by its place, 0 for the first, or several."""
        if isinstance(place, slice):
            return tuple(self[one] for one in range(*place.indices(self._length)))
        if place < 0:
            place += self._length
        if not 0 <= place < self._length:
            raise IndexError(place)
        row = self._made.get(place)
        if row is None:
            row = self._made[place] = self._make(self._first_row + place)
        return row

    def __eq__(self, other: object) -> bool:
        """Whether the same cells stand in it."""
        return isinstance(other, Body | tuple) and tuple(self) == tuple(other)

    def __hash__(self) -> int:
        """Go by where it stands."""
        return hash((self._first_row, self._length, self._columns))

    def _make(self, row: int) -> Row:
        written = self._written.get(row)
        if not written:
            return tuple(Cell(row, column, None, "blank") for column in self._columns)
        return tuple(written.get(column) or Cell(row, column, None, "blank") for column in self._columns)

    def filled(self) -> Iterator[tuple[int, Row]]:
        """Give the rows in which something may stand, in any column of the sheet, each with its place."""
        for row in sorted(self._written):
            place = row - self._first_row
            if self._written[row] and 0 <= place < self._length:
                yield place, self[place]


def merged_ranges(sheet: SheetText) -> list[Rectangle]:
    """List the merged blocks of a sheet."""
    if sheet.merged is None:
        markup = sheet.markup
        cells = markup.find("mergeCells", sheet.sheet_data.end)
        found = [] if cells is None else markup.find_all("mergeCell", cells.tag_end, cells.content_end)
        sheet.merged = [parse_range(ref) for one in found if (ref := attribute(markup.tag(one), "ref"))]
    return sheet.merged
