"""The check of a sheet: owned cells and heights are cut out of the old part and the new; the rest is the same."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import zip_longest
from types import MappingProxyType
from typing import NamedTuple

from stillroom.workbook.claims import ClaimedFormula
from stillroom.workbook.verify_parts import TAG, Body, Wrong, column_number, parsed, plain_text, take, visible, whole

HIGHEST = 409.5
"""Points a row may be high, as spreadsheet programs keep it."""
BLOCK = 1 << 20
"""How many bytes are compared at a time, so that no part is copied whole."""

Cell = tuple[int, int]
Heights = Mapping[int, str | None]
Strings = Callable[[int], str | None]
NO_HEIGHTS: Heights = MappingProxyType({})

_DATA = re.compile(rb"<((?:[\w.\-]+:)?)sheetData(?=[\s/>])" + TAG + rb"(/?)>")
_CELL_NAME = re.compile(rb"([A-Za-z]{1,3})[0-9]+")
_CELL_TAG = re.compile(rb"<((?:[\w.\-]+:)?)c(?=[\s/>])" + TAG + rb"/?>")
_USUAL_FORMAT = re.compile(rb'<c r="[A-Z]{1,3}[0-9]+" s="([0-9]+)"')
_CONTENT = re.compile(rb"<(?:[\w.\-]+:)?(?:v|f|is)[\s/>]")
_NUMBER = re.compile(rb"-?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+\-]?[0-9]+)?")
_PLAIN_CELL = re.compile(
    rb'<c r="([A-Z]{1,3}[0-9]+)"(?: s="[0-9]+")?(?: t="([A-Za-z]+)")?(?:/>|>(?:<f>([^<>&\r]*)</f>)?'
    rb'(?:<v>([^<>&\r]*)</v>)?(?:<is><t(?: xml:space="preserve")?>([^<>&\r]*)</t></is>)?</c>)'
)


def check_sheet(
    old: bytes,
    new: bytes,
    cells: Mapping[Cell, object],
    cleared: Collection[Cell],
    strings: Strings,
    *,
    date1904: bool,
    heights: Heights = NO_HEIGHTS,
) -> None:
    """Compare a changed sheet with the old one; ``strings`` gives shared strings of the new file. Raises Wrong."""
    before = _Cut(old)
    after = _Cut(new, before)
    owned = _by_row((*cells, *cleared, *((row, 0) for row in heights)))
    for number in sorted(owned):
        row, other = before.cut(number, owned[number]), after.cut(number, owned[number])
        if other is not None:
            _check_tags(number, row, other, after, heights)
        elif row is not None:
            raise Wrong(f"row {number} is gone")
    _check_places(before, after)
    _check_same(before.rest(), after.rest())
    for cell in cleared:
        if cell not in before.cells or _without_result(before.cells[cell]) != after.cells.get(cell):
            raise Wrong(f"{_name(cell)}: more than its saved result was changed")
    _check_cells(after, cells, before.cells, strings, date1904=date1904)


def check_new_sheet(part: bytes, cells: Mapping[Cell, object], strings: Strings, *, date1904: bool) -> None:
    """Raise Wrong unless the cells of an added sheet hold what is claimed."""
    sheet, owned = _Cut(part), _by_row(cells)
    for number in sorted(owned):
        sheet.cut(number, owned[number])
    _check_cells(sheet, cells, {}, strings, date1904=date1904)


def check_fitted(part: bytes, rows: Collection[int], bodies: Sequence[Body]) -> None:
    """Raise Wrong unless each row with a new height lies in one of these tables, and nothing else stands in it."""
    sheet, place = _Sheet(part), 0
    for number in sorted(rows):
        here = [body for body in bodies if number in body.rows]
        if not here:
            raise Wrong(f"the height of row {number} was changed, and no table of the planner's is there")
        row = sheet.row(number, place)
        if row is None:
            continue
        place = row.end
        for column, start, end, _ in sheet.cells_in(row):
            if all(column not in body.columns for body in here) and _CONTENT.search(part, start, end):
                raise Wrong(f"the height of row {number} was changed, and more than the planner's table stands there")


def _by_row(cells: Iterable[Cell]) -> dict[int, set[int]]:
    rows: dict[int, set[int]] = {}
    for row, column in cells:
        rows.setdefault(row, set()).add(column)
    return rows


# ---- where rows and cells lie --------------------------------------------------------------------------------------


class _Row(NamedTuple):
    """Where a row lies; one written as a single tag has its content and its end where its tag ends."""

    start: int
    tag_end: int
    content_end: int
    end: int


class _Sheet:
    """One sheet part, and where its rows and cells lie; they are looked for in ``seen``, the part without comments."""

    def __init__(self, data: bytes) -> None:
        """Find the rows; raises Wrong when there are none."""
        self.data, self.seen = data, visible(data)
        opened = _DATA.search(self.seen)
        if opened is None:
            raise Wrong("it has no rows")
        self.prefix, self.is_single = opened[1], bool(opened[2])
        self.opening, self.start = opened.span()
        self.stop = self.closing = self.start
        if not self.is_single:
            self.stop = self.seen.rfind(b"</" + self.prefix + b"sheetData")
            self.closing = self.seen.find(b">", self.stop) + 1
        if self.stop < self.start:
            raise Wrong("its rows have no end")
        self._tag = re.compile(
            rb"<" + re.escape(self.prefix) + rb'row(?:\s+r="([0-9]{1,9})")?(?=[\s/>])(' + TAG + rb")(/?)>"
        )
        self._usual_tag = b"<" + self.prefix + b'row r="%d"'
        self._cell = _cell_pattern(self.prefix)
        self._places: dict[int, int] | None = None

    def places(self) -> dict[int, int]:
        """Where each row begins, by its number, in the order of the file."""
        if self._places is None:
            self._places, number = {}, 0
            for tag in self._tag.finditer(self.seen, self.start, self.stop):
                given = tag[1] or take(tag[2], b"r")[1]
                number = whole(given.decode()) if given else number + 1
                self._places.setdefault(number, tag.start())
        return self._places

    def row(self, number: int, place: int) -> _Row | None:
        """Find a row at or behind a place, by its usual spelling or by counting; raises Wrong when it lies before."""
        start = self.seen.find(self._usual_tag % number, place, self.stop) if self._places is None else -1
        if start < 0:
            start = self.places().get(number, -1)
        if start < 0:
            return None
        tag = self._tag.match(self.seen, start, self.stop)
        if start < place or tag is None:
            raise Wrong(f"row {number} is not in its place")
        if tag[3]:
            return _Row(start, tag.end(), tag.end(), tag.end())
        close = self.seen.find(b"</" + self.prefix + b"row", tag.end(), self.stop)
        if close < 0:
            raise Wrong(f"row {number} has no end")
        return _Row(start, tag.end(), close, self.seen.find(b">", close) + 1)

    def cells_in(self, row: _Row) -> Iterator[tuple[int, int, int, bool]]:
        """Give the column of each cell of a row, where it begins and ends, and whether it says its column itself."""
        column = 0
        for match in self._cell.finditer(self.seen, row.tag_end, row.content_end):
            letters = match[1]
            if letters is None:
                name = _CELL_NAME.fullmatch(take(match[2], b"r")[1] or b"")
                letters = name[1].upper() if name else None
            column = column + 1 if letters is None else column_number(letters)
            yield column, match.start(), match.end(), letters is not None


@lru_cache(maxsize=64)
def _cell_pattern(prefix: bytes) -> re.Pattern[bytes]:
    name = re.escape(prefix) + rb"c"
    usual = rb'(?:\s+r="([A-Z]{1,3})[0-9]+")?(?=[\s/>])'
    inside = rb"[^<]*(?>(?:<(?!/" + name + rb"[\s>])[^<]*)*)"
    return re.compile(rb"<" + name + usual + rb"(" + TAG + rb")(?:/>|>" + inside + rb"</" + name + rb"\s*>)")


# ---- cutting, and comparing the rest -------------------------------------------------------------------------------


class _Tags(NamedTuple):
    """The start and the end tag of a row, the latter b"" when it is written as a single tag."""

    start: bytes
    end: bytes


class _Cut:
    """
    One sheet part being cut, from its first owned row to its last.

    ``cells`` are the cells that were cut out. A mark stays where the old part has the row or the cell too; what only
    the new one has are ``rows_put_in`` and, by row, the columns of ``added`` cells.
    """

    def __init__(self, part: bytes, old: _Cut | None = None) -> None:
        """Begin with what stands before the rows, the area taken out of the dimension."""
        sheet = self.sheet = _Sheet(part)
        self.cells: dict[Cell, bytes] = {}
        self.rows_put_in: set[int] = set()
        self.added: dict[int, list[int]] = {}
        self.rows: set[int] = set()
        self._old, self._place = old, sheet.start
        pattern = re.compile(rb"<" + re.escape(sheet.prefix) + rb"dimension(?=[\s/>])" + TAG + rb"/?>")
        found = pattern.search(sheet.seen, 0, sheet.opening)
        start, end = found.span() if found else (0, 0)
        dimension, self.area = take(part[start:end], b"ref")
        opening = part[sheet.opening : sheet.start]
        self._rest: list[bytes | memoryview] = [part[:start], dimension, part[end : sheet.opening]]
        self._rest.append(opening[:-2].rstrip() + b">" if sheet.is_single else opening)

    def cut(self, number: int, columns: Collection[int]) -> _Tags | None:
        """Cut a row's tags and its owned cells out; None when there is no such row. Rows are asked for in order."""
        sheet, old, cells, rest = self.sheet, self._old, self.cells, self._rest
        row = sheet.row(number, self._place)
        if row is None:
            return None
        rest.append(memoryview(sheet.data)[self._place : row.start])
        if old is not None and number not in old.rows:
            self.rows_put_in.add(number)
        else:
            rest.append(b"\0row")
        self.rows.add(number)
        place, highest, newest = row.tag_end, 0, 0
        for column, start, end, is_named in sheet.cells_in(row):
            cell = (number, column)
            is_owned = column in columns
            is_new = is_owned and old is not None and cell not in old.cells
            if column <= (highest if is_new else newest):
                raise Wrong(f"{_name(cell)} is not in its place")
            highest = max(highest, column)
            if is_owned:
                if cell in cells:
                    raise Wrong(f"{_name(cell)} stands there twice")
                cells[cell] = sheet.data[start:end]
                rest.append(sheet.data[place:start])
                place = end
            if is_new:
                newest = column
                self.added.setdefault(number, []).append(column)
            elif is_owned or not is_named:
                rest.append(b"\0%d" % column)
        rest.append(sheet.data[place : row.content_end])
        self._place = row.end
        return _Tags(sheet.data[row.start : row.tag_end], sheet.data[row.content_end : row.end])

    def rest(self) -> list[bytes | memoryview]:
        """Give all that was not cut out, in pieces."""
        sheet, view = self.sheet, memoryview(self.sheet.data)
        closing = b"</" + sheet.prefix + b"sheetData>" if sheet.is_single else view[sheet.stop : sheet.closing]
        return [*self._rest, view[self._place : sheet.stop], closing, view[sheet.closing :]]


def _check_same(old: Iterable[bytes | memoryview], new: Iterable[bytes | memoryview]) -> None:
    for block, other in zip_longest(_blocks(old), _blocks(new), fillvalue=b""):
        if block != other:
            place = next((place for place, (a, b) in enumerate(zip(block, other, strict=False)) if a != b), 0)
            near = other[max(place - 40, 0) : place + 20].replace(b"\0", b"").decode(errors="replace")
            raise Wrong(f"bytes that nothing claims were changed, near {near!r}")


def _blocks(pieces: Iterable[bytes | memoryview]) -> Iterator[bytes]:
    """Join pieces, and cut them into blocks of the same length."""
    block = bytearray()
    for piece in pieces:
        for start in range(0, len(piece), BLOCK):
            block += piece[start : start + BLOCK]
            if len(block) >= BLOCK:
                yield bytes(block[:BLOCK])
                del block[:BLOCK]
    yield bytes(block)


def _check_tags(number: int, row: _Tags | None, other: _Tags, cut: _Cut, heights: Heights) -> None:
    """A row's own tags differ in nothing but a claimed height, and in what new cells ask for."""
    prefix, added = cut.sheet.prefix, cut.added.get(number)
    closing = b"</" + prefix + b"row>"
    tag, end = row or (b"<" + prefix + b'row r="%d">' % number, closing)
    new_tag, new_end = other
    if number in heights:
        _check_height(number, tag, new_tag, heights[number])
        tag, new_tag = take(tag, b"ht")[0], take(new_tag, b"ht")[0]
    if added:
        (tag, spans), (new_tag, new_spans) = take(tag, b"spans"), take(new_tag, b"spans")
        if spans != new_spans and (spans is None or new_spans != _wide_spans(spans, added)):
            raise Wrong(f"the spans of row {number} do not fit its cells")
        if not end:
            tag, end = tag[:-2].rstrip() + b">", closing
    if (tag, end) != (new_tag, new_end):
        raise Wrong(f"the tags of row {number} were changed")


def _check_height(number: int, tag: bytes, new_tag: bytes, wanted: str | None) -> None:
    """A row has the claimed height, a possible one; neither a height set by hand nor a hidden row is changed."""
    if any(take(tag, name)[1] in (b"1", b"true") for name in (b"customHeight", b"hidden")):
        raise Wrong(f"the height of row {number} was set by hand, and is changed")
    if take(new_tag, b"ht")[1] != (None if wanted is None else wanted.encode()):
        raise Wrong(f"row {number} does not have its height")
    if wanted is not None and not 0 < float(wanted) <= HIGHEST:
        raise Wrong(f"row {number} cannot be so high")


def _wide_spans(spans: bytes, columns: Sequence[int]) -> bytes:
    ends = [*(int(end) for end in re.findall(rb"[0-9]{1,9}", spans)), *columns]
    return b"%d:%d" % (min(ends), max(ends))


def _check_places(old: _Cut, new: _Cut) -> None:
    """Rows that were put in stand in order and move no other; the dimension is as wide as needed."""
    if new.rows_put_in:
        numbers = list(new.sheet.places())
        if [number for number in numbers if number not in new.rows_put_in] != list(old.sheet.places()):
            raise Wrong("rows that nothing claims were moved")
        highest = newest = 0
        for number in numbers:
            is_new = number in new.rows_put_in
            if number <= (highest if is_new else newest):
                raise Wrong(f"row {number} is not in its place")
            highest, newest = max(highest, number), number if is_new else newest
    elif old.sheet.is_single != new.sheet.is_single:
        raise Wrong("the rows were opened for nothing")
    if old.area != new.area and (old.area is None or new.area != _wide_area(old.area, new.added)):
        raise Wrong("the dimension does not fit the cells")


def _wide_area(area: bytes, added: Mapping[int, Sequence[int]]) -> bytes:
    """Widen the area of a sheet so that it just covers the added cells."""
    ends = re.findall(rb"([A-Z]{1,3})([0-9]{1,9})", area)
    rows = [*(int(row) for _, row in ends), *added]
    columns = [*(column_number(letters) for letters, _ in ends), *(column for one in added.values() for column in one)]
    if not rows:
        return area
    names = [_name((end(rows), end(columns))) for end in (min, max)]
    return (names[0] if names[0] == names[1] else ":".join(names)).encode()


# ---- what the owned cells hold -------------------------------------------------------------------------------------


class _Held(NamedTuple):
    """What a cell says: its name, its type, and the text of f, v and is in it (None: there is none)."""

    name: bytes | None
    kind: bytes | None
    formula: bytes | None = None
    value: bytes | None = None
    text: bytes | None = None


def _check_cells(
    cut: _Cut, cells: Mapping[Cell, object], before: Mapping[Cell, bytes], strings: Strings, *, date1904: bool
) -> None:
    """Each cell holds just what is claimed, and keeps its format unless a number or a date needed another."""
    for cell, value in cells.items():
        raw = cut.cells.get(cell)
        if raw is None:
            if value is not None:
                raise Wrong(f"{_name(cell)} was not written")
            continue
        held, name = _read(raw, cut.sheet.prefix.decode()), _name(cell)
        if held.name is not None and held.name.decode() != name:
            raise Wrong(f"a cell is called {held.name.decode()}, and stands at {name}")
        if not _is_right(held, value, strings, date1904=date1904):
            raise Wrong(f"{name} does not hold what is claimed")
        may_change_format = isinstance(value, (int, float, datetime.date, datetime.time)) and not isinstance(
            value, bool
        )
        if cell in before and not may_change_format and _format(before[cell]) != _format(raw):
            raise Wrong(f"the format of {name} was changed")


def _read(raw: bytes, prefix: str) -> _Held:
    """Read a cell that was cut out: one written in the usual way at once, any other with the XML parser."""
    plain = _PLAIN_CELL.fullmatch(raw)
    if plain is not None:
        return _Held(*plain.groups())
    node = parsed(raw)
    inside: dict[str, str] = {}
    for child in node:
        kind = child.tag.removeprefix(prefix)
        if kind in inside or child.tail or (kind == "f" and child.attrib):
            raise Wrong(f"{node.get('r')} holds more than one value")
        inside[kind] = "".join(child.itertext())
    if node.text or not inside.keys() <= {"f", "v", "is", "extLst"}:
        raise Wrong(f"{node.get('r')} holds more than a value")
    given = (node.get("r"), node.get("t"), inside.get("f"), inside.get("v"), inside.get("is"))
    return _Held(*(None if text is None else text.encode() for text in given))


def _is_right(held: _Held, value: object, strings: Strings, *, date1904: bool) -> bool:
    _, kind, formula, written, text = held
    holds_value = written is not None or text is not None
    if isinstance(value, ClaimedFormula):
        return formula is not None and plain_text(formula.decode()) == value.text and not holds_value
    if formula is not None or (written is not None and text is not None):
        return False
    if value is None:
        return not holds_value
    if isinstance(value, str):
        if kind == b"s":
            return written is not None and strings(whole(written.decode())) == value
        return kind == b"inlineStr" and text is not None and plain_text(text.decode()) == value
    if written is None:
        return False
    if isinstance(value, bool):
        return kind == b"b" and written == b"%d" % value
    wanted = float(value) if isinstance(value, (int, float)) else _serial(value, date1904=date1904)
    return kind in (None, b"n") and _NUMBER.fullmatch(written) is not None and float(written) == wanted


@lru_cache(maxsize=2000)
def _serial(value: object, *, date1904: bool) -> float:
    """Count a date's days from the workbook's first, by the calendar's own numbers."""
    if isinstance(value, datetime.time):
        clock, days = value, 0
    elif isinstance(value, datetime.datetime):
        clock, days = value.time(), value.toordinal()
    elif isinstance(value, datetime.date):
        clock, days = datetime.time(), value.toordinal()
    else:
        raise TypeError(f"a value of no known kind was claimed: {value!r}")
    if days:
        days -= datetime.date(1904, 1, 1).toordinal() if date1904 else datetime.date(1899, 12, 30).toordinal()
        days -= not date1904 and days < 61
    thousandths = clock.hour * 3_600_000 + clock.minute * 60_000 + clock.second * 1000 + clock.microsecond // 1000
    return days + thousandths / 86_400_000


def _format(raw: bytes) -> bytes:
    usual = _USUAL_FORMAT.match(raw)
    if usual is not None:
        return usual[1]
    tag = _CELL_TAG.match(raw)
    return (take(tag[0], b"s")[1] if tag else None) or b"0"


def _without_result(raw: bytes) -> bytes:
    """Give a formula cell as it is without its saved result: without its value and its type."""
    tag = _CELL_TAG.match(raw)
    if tag is None:
        return b""
    name = re.escape(tag[1]) + rb"v"
    value = rb"<" + name + rb"(?=[\s/>])" + TAG + rb"(?:/>|>[^<]*</" + name + rb"\s*>)"
    return take(tag[0], b"t")[0] + re.sub(value, b"", raw[tag.end() :], count=1)


def _name(cell: Cell) -> str:
    return f"{_letters(cell[1])}{cell[0]}"


@lru_cache(maxsize=20_000)
def _letters(column: int) -> str:
    name = ""
    while column:
        column, rest = divmod(column - 1, 26)
        name = chr(65 + rest) + name
    return name
