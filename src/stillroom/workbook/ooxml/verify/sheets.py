"""The check of a sheet: owned cells and heights are cut out of the old part and the new; the rest is the same."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import chain, zip_longest
from types import MappingProxyType
from typing import NamedTuple

from stillroom.workbook.ooxml.verify import ClaimedFormula
from stillroom.workbook.ooxml.verify.parts import (
    TAG,
    Body,
    Wrong,
    column_number,
    parsed,
    plain_text,
    take,
    visible,
    whole,
)

HIGHEST = 409.5
"""Points a row may be high, as spreadsheet programs keep it."""
BLOCK = 1 << 20
"""How many bytes are compared at a time, so that no part is copied whole."""

Cell = tuple[int, int]
Heights = Mapping[int, str | None]
Strings = Callable[[int], str | None]
NO_HEIGHTS: Heights = MappingProxyType({})
Held = tuple[bytes | None, ...]
"""What a cell says: its name, its format, its type, and the text of f, v and is in it (None: there is none)."""

_KEEP_FORMAT = (str, bool, type(None), ClaimedFormula)
_DATA = re.compile(rb"<((?:[\w.\-]+:)?)sheetData(?=[\s/>])" + TAG + rb"(/?)>")
_PLACE = re.compile(rb"([A-Za-z]{0,9})([0-9]{0,20})")
_CELL_TAG = re.compile(rb"<((?:[\w.\-]+:)?)c(?=[\s/>])" + TAG + rb"/?>")
_USUAL_FORMAT = re.compile(rb'<c r="[A-Z]{1,3}[0-9]+" s="([0-9]+)"')
_CONTENT = re.compile(rb"<(?:[\w.\-]+:)?(?:v|f|is)[\s/>]")
_NUMBER = re.compile(rb"-?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+\-]?[0-9]+)?")
_PLAIN_CELL = re.compile(
    rb'<c r="([A-Z]{1,3}[0-9]+)"(?: s="([0-9]+)")?(?: t="([A-Za-z]+)")?(?:/>|>(?:<f>([^<>&\r]*)</f>)?'
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
    before = _Sheet(old)
    after = _Sheet(new, before)
    owned = _by_row((*cells, *cleared))
    for number in sorted({*owned, *heights}):
        row, other = before.cut(number, owned.get(number, [])), after.cut(number, owned.get(number, []))
        if other is not None:
            _check_row(number, (before, row), (after, other), heights)
        elif row is not None:
            raise Wrong(f"row {number} is gone")
    _check_places(before, after)
    _check_same(before.rest(), after.rest())
    for cell in cleared:
        if cell not in before.cells or _without_result(before.cells[cell]) != after.cells.get(cell):
            raise Wrong(f"{_name(*cell)}: more than its saved result was changed")
    _check_cells(after, cells, before.cells, strings, date1904=date1904)


def check_new_sheet(part: bytes, cells: Mapping[Cell, object], strings: Strings, *, date1904: bool) -> None:
    """Raise Wrong unless the cells of an added sheet hold what is claimed."""
    sheet, owned = _Sheet(part), _by_row(cells)
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
        place = place if row is None else row.end
        for column, start, end in () if row is None else sheet.all_cells(row):
            if all(column not in body.columns for body in here) and _CONTENT.search(part, start, end):
                raise Wrong(f"the height of row {number} was changed, and more than the planner's table stands there")


def _by_row(cells: Iterable[Cell]) -> dict[int, list[int]]:
    rows: dict[int, list[int]] = {}
    for row, column in sorted(cells):
        rows.setdefault(row, []).append(column)
    return rows


# ---- cutting -------------------------------------------------------------------------------------------------------


class _Row(NamedTuple):
    """Where a row lies; one written as a single tag has its content and its end where its tag ends."""

    start: int
    tag_end: int
    content_end: int
    end: int


class _Sheet:
    """
    One sheet part, where its rows and cells lie, and what was cut out of it.

    Rows and cells are looked for in ``seen``, the part without comments: by their usual spelling, or else by counting.
    ``cells`` are the cells that were cut out, ``rows`` their columns by row. A mark stays where ``old`` has the row or
    the cell too.
    """

    def __init__(self, data: bytes, old: _Sheet | None = None) -> None:
        """Find the rows, and take the area out of the dimension; raises Wrong when there are no rows."""
        self.data, self.seen, self.old = data, visible(data), old
        opened = _DATA.search(self.seen)
        if opened is None:
            raise Wrong("it has no rows")
        prefix = self.prefix = opened[1]
        name = re.escape(prefix)
        self.tags = re.compile(rb"<" + name + rb'row(?:\s+r="([0-9]{1,9})")?(?=[\s/>])(' + TAG + rb")(/?)>")
        self.cell = _cell_pattern(prefix)
        self.usual_row = b"<" + prefix + b'row r="%d"'
        self.start = self.place = self.stop = self.tail = opened.end()
        self.is_single = bool(opened[2])
        opening, self.closing = opened[0][:-2].rstrip() + b">", b"</" + prefix + b"sheetData>"
        if not self.is_single:
            self.stop = self.seen.rfind(b"</" + prefix + b"sheetData")
            self.tail = self.seen.find(b">", self.stop) + 1
            opening, self.closing = opened[0], data[self.stop : self.tail]
        dimension = re.compile(rb"<" + name + rb"dimension(?=[\s/>])" + TAG + rb"/?>").search(self.seen, 0, self.start)
        start, end = dimension.span() if dimension else (0, 0)
        tag, self.area = take(data[start:end], b"ref", b"\0")
        self.pieces: list[bytes | memoryview] = [data[:start], tag, data[end : opened.start()], opening]
        self.cells: dict[Cell, bytes] = {}
        self.rows: dict[int, list[int]] = {}
        self._places: dict[int, int] | None = None

    def cut(self, number: int, columns: list[int]) -> _Row | None:
        """Cut a row's tags and its owned cells out; None when there is no such row. Rows are asked for in order."""
        row = self.row(number, self.place)
        if row is None:
            return None
        gaps, mine, cells = self.apart(row, columns)
        if len({*mine}) != len(mine):
            raise Wrong(f"a cell of row {number} stands there twice")
        self.rows[number] = mine
        self.cells.update(zip([(number, column) for column in mine], cells, strict=True))
        theirs = mine if self.old is None else self.old.rows.get(number)
        if mine == theirs:
            inside = b"\0".join(gaps)
        else:
            standing = set(theirs or ())
            if [column for column in mine if column in standing] != (theirs or []):
                raise Wrong(f"cells of row {number} are gone, or in another order")
            marks = [b"\0" if column in standing else b"" for column in mine]
            inside = b"".join(chain.from_iterable(zip(gaps, [*marks, b""], strict=True)))
        mark = b"" if theirs is None else b"\0row"
        self.pieces += [memoryview(self.data)[self.place : row.start], mark + inside]
        self.place = row.end
        return row

    def rest(self) -> list[bytes | memoryview]:
        """Give all that was not cut out, in pieces."""
        view = memoryview(self.data)
        return [*self.pieces, view[self.place : self.stop], self.closing, view[self.tail :]]

    def row(self, number: int, place: int) -> _Row | None:
        """Find a row at or behind a place; raises Wrong when it lies before."""
        start = self.seen.find(self.usual_row % number, place, self.stop) if self._places is None else -1
        start = self.places().get(number, -1) if start < 0 else start
        tag = self.tags.match(self.seen, start, self.stop) if start >= 0 else None
        if tag is None:
            return None
        if start < place:
            raise Wrong(f"row {number} is not in its place")
        if tag[3]:
            return _Row(start, tag.end(), tag.end(), tag.end())
        close = self.seen.find(b"</" + self.prefix + b"row", tag.end(), self.stop)
        if close < 0:
            raise Wrong(f"row {number} has no end")
        return _Row(start, tag.end(), close, self.seen.find(b">", close) + 1)

    def places(self) -> dict[int, int]:
        """Where each row begins, by its number, in the order of the file."""
        if self._places is None:
            self._places, number = {}, 0
            for tag in self.tags.finditer(self.seen, self.start, self.stop):
                said = None if tag[1] else _PLACE.fullmatch(take(tag[2], b"r")[1] or b"")
                digits = said[2] if said else tag[1]
                number = int(digits) if digits else number + 1
                self._places.setdefault(number, tag.start())
        return self._places

    def apart(self, row: _Row, columns: list[int]) -> tuple[list[bytes], list[int], list[bytes]]:
        """Take a row apart: what stands between its owned cells, their columns, and the cells."""
        if self.seen is self.data:
            pattern = _cell_pattern(self.prefix, tuple(columns))
            parts = pattern.split(self.data[row.tag_end : row.content_end])
            found = [column_number(letters) for letters in parts[2::4]]
            if found == columns:
                return parts[::4], found, parts[1::4]
        gaps, place, wanted = [], row.tag_end, set(columns)
        owned = [cell for cell in self.all_cells(row) if cell[0] in wanted]
        for _, start, end in owned:
            gaps.append(self.data[place:start])
            place = end
        gaps.append(self.data[place : row.content_end])
        return gaps, [column for column, *_ in owned], [self.data[start:end] for _, start, end in owned]

    def all_cells(self, row: _Row) -> Iterator[tuple[int, int, int]]:
        """Count the cells of a row out: the column of each, and where it begins and ends."""
        column = 0
        for cell in self.cell.finditer(self.seen, row.tag_end, row.content_end):
            said = None if cell[2] else _PLACE.fullmatch(take(cell[3], b"r")[1] or b"")
            letters = said[1].upper() if said else cell[2]
            column = column_number(letters) if letters else column + 1
            yield column, cell.start(), cell.end()


@lru_cache(maxsize=2000)
def _cell_pattern(prefix: bytes, columns: tuple[int, ...] | None = None) -> re.Pattern[bytes]:
    """Give the pattern of every cell, or of those in some columns that are written in the usual way."""
    name = re.escape(prefix) + rb"c"
    first = rb'(?:\s+r="([A-Z]{1,3})[0-9]+")?'
    if columns is not None:
        first = rb' r="(' + b"|".join(_letters(column) for column in columns) + rb')[0-9]+"'
    inside = rb"[^<]*(?>(?:<(?!/" + name + rb"[\s>])[^<]*)*)"
    start = rb"<" + name + first + rb"(?=[\s/>])(" + TAG + rb")"
    return re.compile(rb"(" + start + rb"(?:/>|>" + inside + rb"</" + name + rb"\s*>))")


# ---- comparing -----------------------------------------------------------------------------------------------------


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


def _check_row(number: int, old: tuple[_Sheet, _Row | None], new: tuple[_Sheet, _Row], heights: Heights) -> None:
    """A row's tags differ in nothing but a claimed height and what added cells ask for; these are in their places."""
    (before, row), (after, other) = old, new
    closing = b"</" + after.prefix + b"row>"
    new_tag, new_end = after.data[other.start : other.tag_end], after.data[other.content_end : other.end]
    tag, end = after.usual_row % number + b">", closing
    if row is not None:
        tag, end = before.data[row.start : row.tag_end], before.data[row.content_end : row.end]
    if number in heights:
        _check_height(number, tag, new_tag, heights[number])
        tag, new_tag = take(tag, b"ht")[0], take(new_tag, b"ht")[0]
    added = set(after.rows[number]).difference(before.rows.get(number, ()))
    if added:
        columns = [column for column, *_ in before.all_cells(row)] if row is not None else []
        _check_order(columns, [column for column, *_ in after.all_cells(other)], added)
        (tag, spans), (new_tag, new_spans) = take(tag, b"spans", b"\0"), take(new_tag, b"spans", b"\0")
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


def _check_places(old: _Sheet, new: _Sheet) -> None:
    """Rows that were put in are in their places, and the dimension is as before or just covers the added cells."""
    rows_put_in = new.rows.keys() - old.rows.keys()
    if rows_put_in:
        _check_order(list(old.places()), list(new.places()), rows_put_in)
    elif old.is_single != new.is_single:
        raise Wrong("the rows were opened for nothing")
    if old.area != new.area:
        added = [cell for cell in new.cells if cell not in old.cells]
        if old.area is None or not added or new.area != _wide_area(old.area, added):
            raise Wrong("the dimension does not fit the cells")


def _check_order(old: Sequence[int], new: Sequence[int], added: Collection[int]) -> None:
    """Raise Wrong unless added rows or cells stand between lower and higher ones, and the others count as before."""
    if [number for number in new if number not in added] != old:
        raise Wrong("rows or cells that nothing claims were moved")
    highest = newest = 0
    for number in new:
        if number <= (highest if number in added else newest):
            raise Wrong(f"row or column {number} is not in its place")
        highest, newest = max(highest, number), number if number in added else newest


def _wide_spans(spans: bytes, columns: Collection[int]) -> bytes:
    ends = [*(int(end) for end in re.findall(rb"[0-9]{1,9}", spans)), *columns]
    return b"%d:%d" % (min(ends), max(ends))


def _wide_area(area: bytes, added: Iterable[Cell]) -> bytes:
    """Widen the area of a sheet so that it just covers the added cells."""
    ends = [(int(row), column_number(letters)) for letters, row in re.findall(rb"([A-Z]{1,3})([0-9]{1,9})", area)]
    rows, columns = zip(*ends, *added, strict=True)
    first, last = _name(min(rows), min(columns)), _name(max(rows), max(columns))
    return (first if first == last else f"{first}:{last}").encode()


# ---- what the owned cells hold -------------------------------------------------------------------------------------


def _check_cells(
    sheet: _Sheet, cells: Mapping[Cell, object], before: Mapping[Cell, bytes], strings: Strings, *, date1904: bool
) -> None:
    """Each cell holds just what is claimed, and keeps its format unless a number or a date needed another."""
    for cell, value in cells.items():
        raw = sheet.cells.get(cell)
        if raw is None:
            if value is not None:
                raise Wrong(f"{_name(*cell)} was not written")
            continue
        plain = _PLAIN_CELL.fullmatch(raw)
        name, style, *held = _read(raw, sheet.prefix) if plain is None else plain.groups()
        if name != b"%s%d" % (_letters(cell[1]), cell[0]) and name is not None:
            raise Wrong(f"the cell at {_name(*cell)} is called {name.decode()}")
        if not _is_right(value, held, strings, date1904=date1904):
            raise Wrong(f"{_name(*cell)} does not hold what is claimed")
        if cell in before and isinstance(value, _KEEP_FORMAT) and (style or b"0") != _format(before[cell]):
            raise Wrong(f"the format of {_name(*cell)} was changed")


def _read(raw: bytes, prefix: bytes) -> Held:
    """Read a cell that is not written in the usual way, and give what the groups of ``_PLAIN_CELL`` give."""
    node = parsed(raw)
    inside: dict[str, str] = {}
    for child in node:
        kind = child.tag.removeprefix(prefix.decode())
        if kind not in ("f", "v", "is", "extLst") or kind in inside or child.tail or (kind == "f" and child.attrib):
            raise Wrong(f"{node.get('r')} holds more than a value")
        inside[kind] = "".join(child.itertext())
    if node.text:
        raise Wrong(f"{node.get('r')} holds more than a value")
    said = *(node.get(key) for key in ("r", "s", "t")), *(inside.get(kind) for kind in ("f", "v", "is"))
    return tuple(None if text is None else text.encode() for text in said)


def _is_right(value: object, held: Sequence[bytes | None], strings: Strings, *, date1904: bool) -> bool:
    kind, formula, written, text = held
    is_blank = written is None and text is None
    if isinstance(value, ClaimedFormula):
        return formula is not None and is_blank and plain_text(formula.decode()) == value.text
    if value is None or formula is not None:
        return value is None and formula is None and is_blank
    if isinstance(value, str) and kind == b"inlineStr":
        return written is None and text is not None and plain_text(text.decode()) == value
    if written is None or text is not None:
        return False
    if isinstance(value, str):
        return kind == b"s" and strings(whole(written)) == value
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


def _name(row: int, column: int) -> str:
    return f"{_letters(column).decode()}{row}"


@lru_cache(maxsize=20_000)
def _letters(column: int) -> bytes:
    name = b""
    while column:
        column, rest = divmod(column - 1, 26)
        name = b"%c" % (65 + rest) + name
    return name
