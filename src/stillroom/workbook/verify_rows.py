"""The check of a changed sheet's bytes: between and around the owned cells, the old and the new part are the same."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType
from typing import NamedTuple

_TAG = rb"""(?>(?>[^>"'/]+|"[^"]*"|'[^']*'|/(?!>))*)"""
_R = re.compile(rb"""\sr\s*=\s*["']([A-Za-z]*)([0-9]*)["']""")
_SPANS = re.compile(rb"""\sspans\s*=\s*("[^"]*"|'[^']*')""")
_DIMENSION = re.compile(rb"(<(?:[\w.\-]+:)?dimension\s[^>]*?\bref\s*=\s*)(\"[^\"]*\"|'[^']*')")
_DATA = re.compile(rb"(<((?:[\w.\-]+:)?)sheetData)(\s[^>]*?)?(/?)>")
_HEIGHT = re.compile(rb"""\sht\s*=\s*("[^"]*"|'[^']*')""")
_KEPT = re.compile(rb"""\s(?:customHeight|hidden)\s*=\s*["'](?:1|true)["']""")
_BARE_ROW = re.compile(rb'<[\w.\-:]*row\s+r="[0-9]+">')
_CONTENT = re.compile(rb"<(?:[\w.\-]+:)?(?:v|f|is)[\s/>]")
_HIDDEN = re.compile(rb"<!--.*?-->|<!\[CDATA\[.*?\]\]>", re.DOTALL)
_BLOCK = 1 << 20

Place = tuple[int, int]
Cut = dict[Place, bytes]
Heights = Mapping[int, str | None]
NO_HEIGHTS: Heights = MappingProxyType({})
HIGHEST = 409.5
"""Points a row may be high, as spreadsheet programs keep it."""


@dataclass
class Compared:
    """What comparing two sheet parts gave: complaints, and the owned cells of the old and the new one."""

    complaints: list[str] = field(default_factory=list)
    old: Cut = field(default_factory=dict)
    new: Cut = field(default_factory=dict)
    added: set[Place] = field(default_factory=set)
    rows_put_in: list[int] = field(default_factory=list)


class _Row(NamedTuple):
    """Where a row lies; one written as a single tag has its content and its end where its tag ends."""

    start: int
    tag_end: int
    content_end: int
    end: int


class _Sheet:
    """One sheet part: its bytes, the same with comments blanked, and where its rows lie."""

    def __init__(self, data: bytes) -> None:
        self.data = data
        hidden = b"!" in data and data.rfind(b"<!") >= 0  # from the end: a third of the time
        self.seen = _HIDDEN.sub(lambda match: b" " * len(match[0]), data) if hidden else data
        opened = _DATA.search(self.seen)
        if opened is None:
            raise ValueError("it has no rows")
        self.prefix = opened[2]
        self.head = data[: opened.start()]
        self.opening = data[opened.start() : opened.end()]
        self.start = self.stop = self.tail = opened.end()
        self.closing = b"</" + self.prefix + b"sheetData>"
        self.empty = bool(opened[4])
        if self.empty:
            self.opening = self.opening[:-2].rstrip() + b">"
        else:
            self.stop = self.seen.rindex(b"</" + self.prefix + b"sheetData")
            self.tail = self.seen.index(b">", self.stop) + 1
            self.closing = data[self.stop : self.tail]
        name = re.escape(self.prefix) + rb"row"
        self._tags = re.compile(rb"<" + name + rb'(?:\s+r="([0-9]+)")?(?=[\s/>])' + _TAG + rb"(/?)>")
        self._key = b"<" + self.prefix + b'row r="%d"'
        self._numbers: dict[int, _Row] | None = None

    def row(self, number: int, place: int) -> _Row | None:
        """Find a row at or behind a place, by its usual spelling or by counting; raises when it lies before."""
        start = self.seen.find(self._key % number, place, self.stop)
        if start >= 0:
            tag = self._tags.match(self.seen, start, self.stop)
            return None if tag is None else self._ended(tag)
        row = self.numbers().get(number)
        if row is not None and row.start < place:
            raise ValueError(f"row {number} is not in its place")
        return row

    def numbers(self) -> dict[int, _Row]:
        """Every row by its number, in the order of the file."""
        if self._numbers is None:
            self._numbers = {}
            number = 0
            for tag in self._tags.finditer(self.seen, self.start, self.stop):
                given = tag[1] or ((found := _R.search(tag[0])) and found[2])
                number = int(given) if given else number + 1
                self._numbers.setdefault(number, self._ended(tag))
        return self._numbers

    def _ended(self, tag: re.Match[bytes]) -> _Row:
        if tag[2]:
            return _Row(tag.start(), tag.end(), tag.end(), tag.end())
        close = self.seen.index(b"</" + self.prefix + b"row", tag.end())
        return _Row(tag.start(), tag.end(), close, self.seen.index(b">", close) + 1)

    def tags(self, row: _Row) -> tuple[bytes, bytes]:
        """The start and the end tag of a row, as they would be with something in it; the spans left out."""
        tag = _SPANS.sub(b"", self.data[row.start : row.tag_end], count=1)
        if row.tag_end == row.end:
            return tag[:-2].rstrip() + b">", b"</" + self.prefix + b"row>"
        return tag, self.data[row.content_end : row.end]


def compared(old: bytes, new: bytes, owned: Mapping[int, Collection[int]], heights: Heights = NO_HEIGHTS) -> Compared:
    """
    Walk through both parts from owned row to owned row; ``owned`` gives the owned columns of each row.

    All between these rows must be the same bytes, and in them every piece between two owned cells. Only where cells
    were added may the row be opened, and its spans and the sheet's dimension be widened to just cover them. Rows with
    new ``heights`` must have just these, and nothing else about them may differ. Raises ValueError where rows or
    cells are not in their places.
    """
    before, after = _Sheet(old), _Sheet(new)
    found = Compared(_frame_complaints(before, after))
    place, other_place = before.start, after.start
    for number in sorted(owned):
        row, other = before.row(number, place), after.row(number, other_place)
        if row is None and other is None:
            continue
        if other is None:
            return _somewhere(found, f"row {number} is gone")
        gap = other.start - other_place
        until = row.start if row is not None else place + gap
        if until - place != gap or not _same(old, place, new, other_place, gap):
            return _somewhere(found, f"bytes that nothing claims were changed before row {number}")
        columns = frozenset(owned[number])
        same = _is_right(before, row, after, other, number, columns, found, heights)
        if not same:
            return _somewhere(found, f"bytes that nothing claims were changed in row {number}")
        if number in heights:
            found.complaints += _wrong_height(before, row, after, other, number, heights[number])
        place, other_place = row.end if row is not None else until, other.end
    gap, rest = before.stop - place, len(old) - before.tail
    if after.stop - other_place != gap or not _same(old, place, new, other_place, gap):
        return _somewhere(found, "bytes that nothing claims were changed behind the last owned row")
    if len(new) - after.tail != rest or not _same(old, before.tail, new, after.tail, rest):
        return _somewhere(found, "bytes that nothing claims were changed behind the rows")
    if found.rows_put_in:
        _refuse_misplaced(after, set(found.rows_put_in))
    elif before.empty != after.empty:
        return _somewhere(found, "the rows were opened for nothing")
    found.complaints += _dimension_complaints(before.head, after.head, found.added)
    return found


def owned_cells(new: bytes, owned: Mapping[int, Collection[int]]) -> Cut:
    """Cut the owned cells out of a part that is all new."""
    sheet = _Sheet(new)
    cut: Cut = {}
    for number, columns in owned.items():
        row = sheet.numbers().get(number)
        if row is not None:
            _, names, cells = _cut(sheet, row, frozenset(columns))
            cut.update(zip(((number, _column(name)) for name in names), cells, strict=True))
    return cut


def _somewhere(found: Compared, complaint: str) -> Compared:
    found.complaints.append(complaint)
    return found


def _same(old: bytes, place: int, new: bytes, other: int, length: int) -> bool:
    """Compare so many bytes of both, in blocks, so that no part is copied whole."""
    if length <= _BLOCK:
        return old[place : place + length] == new[other : other + length]
    return all(
        old[place + done : place + min(done + _BLOCK, length)] == new[other + done : other + min(done + _BLOCK, length)]
        for done in range(0, length, _BLOCK)
    )


def _frame_complaints(before: _Sheet, after: _Sheet) -> list[str]:
    """What stands before the rows may differ in the dimension only; the tags around the rows stay."""
    heads = [_DIMENSION.sub(rb"\1", sheet.head, count=1) for sheet in (before, after)]
    same = (before.opening, before.closing) == (after.opening, after.closing)
    return [] if same and heads[0] == heads[1] else ["the head of the sheet was changed"]


# ---- one row -------------------------------------------------------------------------------------------------------


def _is_right(
    before: _Sheet,
    row: _Row | None,
    after: _Sheet,
    other: _Row,
    number: int,
    columns: frozenset[int],
    found: Compared,
    heights: Heights,
) -> bool:
    """Compare an owned row piece by piece, and note its owned cells; False when anything else differs."""
    pieces, names, cells = _cut(after, other, columns)
    places = [(number, _column(name)) for name in names]
    found.new.update(zip(places, cells, strict=True))
    if row is None:
        found.rows_put_in.append(number)
        found.added.update(places)
        tag, closing = after.tags(other)
        tag = _without_height(tag, number, heights)
        return not b"".join(pieces) and bool(_BARE_ROW.fullmatch(tag)) and closing == b"</" + after.prefix + b"row>"
    old_pieces, old_names, old_cells = _cut(before, row, columns)
    old_tag = _without_height(before.data[row.start : row.tag_end], number, heights)
    new_tag = _without_height(after.data[other.start : other.tag_end], number, heights)
    if names == old_names:
        found.old.update(zip(places, old_cells, strict=True))
        ends = before.data[row.content_end : row.end], after.data[other.content_end : other.end]
        return pieces == old_pieces and old_tag == new_tag and ends[0] == ends[1]
    found.old.update(zip([(number, _column(name)) for name in old_names], old_cells, strict=True))
    added = [_column(name) for name in names if name not in old_names]
    found.added.update((number, column) for column in added)
    _refuse_disorder(after, other, columns)
    tags = [(_without_height(tag, number, heights), end) for tag, end in (before.tags(row), after.tags(other))]
    return (
        set(old_names) <= set(names)
        and b"".join(pieces) == b"".join(old_pieces)
        and tags[0] == tags[1]
        and not _wrong_spans(old_tag, new_tag, added)
    )


def _without_height(tag: bytes, number: int, heights: Heights) -> bytes:
    """Give a row's start tag without its height, if this is claimed to be changed."""
    return _HEIGHT.sub(b"", tag, count=1) if number in heights else tag


def _wrong_height(
    before: _Sheet, row: _Row | None, after: _Sheet, other: _Row, number: int, wanted: str | None
) -> list[str]:
    """A row has the claimed height, a possible one; neither a height set by hand nor a hidden row is changed."""
    if row is not None and _KEPT.search(before.data[row.start : row.tag_end]):
        return [f"the height of row {number} was set by hand, and is changed"]
    held = _HEIGHT.search(after.data[other.start : other.tag_end])
    if (None if held is None else held[1][1:-1].decode()) != wanted:
        return [f"row {number} does not have its height"]
    return [] if wanted is None or 0 < float(wanted) <= HIGHEST else [f"row {number} cannot be so high"]


def filled_columns(part: bytes, rows: Collection[int]) -> dict[int, set[int]]:
    """Give the columns of some rows in which a value or a formula stands."""
    sheet = _Sheet(part)
    found: dict[int, set[int]] = {}
    place = sheet.start
    for number in sorted(rows):
        row = sheet.row(number, place)
        place = place if row is None else row.end
        for column, start, end in () if row is None else _all_cells(sheet, row):
            if _CONTENT.search(sheet.data, start, end):
                found.setdefault(number, set()).add(column)
    return found


def _cut(sheet: _Sheet, row: _Row, columns: frozenset[int]) -> tuple[list[bytes], list[bytes], list[bytes]]:
    """Cut the owned cells out of a row: the pieces around them, their columns' letters, and the cells."""
    inside = sheet.data[row.tag_end : row.content_end]
    if not columns:
        return [inside], [], []
    if sheet.seen is not sheet.data:
        return _cut_counted(sheet, row, columns)
    parts = _owned_cell(sheet.prefix, columns).split(inside)
    names = parts[2::3]
    if len(names) != len(columns):  # one is not there, or is written in an unusual way
        usual = b"<" + sheet.prefix + b"c"
        if inside.count(usual) != inside.count(usual + b' r="'):
            return _cut_counted(sheet, row, columns)
    if len(set(names)) != len(names):
        raise ValueError("a cell stands there twice")
    return parts[::3], names, parts[1::3]


@lru_cache(maxsize=2000)
def _owned_cell(prefix: bytes, columns: frozenset[int]) -> re.Pattern[bytes]:
    name = re.escape(prefix) + rb"c"
    letters = b"|".join(_letters(column) for column in sorted(columns))
    usual = rb'(?>(?: s="[0-9]++")?)(?>(?: t="[a-z]++")?)'
    inside = rb"[^<]*+(?>(?:<(?!/" + name + rb"[\s>])[^<]*+)*)"
    return re.compile(
        rb"(<" + name + rb' r="(' + letters + rb')[0-9]++"' + usual
        + rb"(?:(?=/?>)|(?=\s)" + _TAG + rb")(?:/>|>" + inside + rb"</" + name + rb"\s*>))"
    )  # fmt: skip


def _all_cells(sheet: _Sheet, row: _Row) -> list[tuple[int, int, int]]:
    """Every cell of a row, counted out: its column, and where it begins and ends."""
    name = re.escape(sheet.prefix) + rb"c"
    pattern = re.compile(rb"<" + name + rb'(?:\s+r="([A-Z]{1,3})[0-9]+")?(?=[\s/>])' + _TAG + rb"(/?)>")
    closing = b"</" + sheet.prefix + b"c"
    cells, place, column = [], row.tag_end, 0
    while (match := pattern.search(sheet.seen, place, row.content_end)) is not None:
        given = match[1] or ((found := _R.search(match[0])) and found[1])
        column = _column(given.upper()) if given else column + 1
        place = match.end()
        if not match[2]:
            place = sheet.seen.index(b">", sheet.seen.index(closing, place)) + 1
        cells.append((column, match.start(), place))
    return cells


def _cut_counted(sheet: _Sheet, row: _Row, columns: Collection[int]) -> tuple[list[bytes], list[bytes], list[bytes]]:
    """Cut a row whose cells are written in an unusual way, by counting every one of them out."""
    pieces, names, cells, place, before = [], [], [], row.tag_end, 0
    for column, start, end in _all_cells(sheet, row):
        if column in columns:
            if column <= before:
                raise ValueError(f"column {column} is not in its place")
            pieces.append(sheet.data[place:start])
            names.append(_letters(column))
            cells.append(sheet.data[start:end])
            place = end
        before = max(before, column)
    return [*pieces, sheet.data[place : row.content_end]], names, cells


def _refuse_disorder(sheet: _Sheet, row: _Row, columns: Collection[int]) -> None:
    """Raise ValueError unless the owned cells of a row stand between lower and higher columns."""
    before = 0
    for column, *_ in _all_cells(sheet, row):
        if column <= before and (column in columns or before in columns):
            raise ValueError(f"column {column} is not in its place")
        before = max(before, column)


def _refuse_misplaced(sheet: _Sheet, numbers: Collection[int]) -> None:
    """Raise ValueError unless rows that were put in stand between lower and higher ones."""
    before = 0
    for number in sheet.numbers():
        if number <= before and (number in numbers or before in numbers):
            raise ValueError(f"row {number} is not in its place")
        before = max(before, number)


# ---- the dimension, the spans, names -------------------------------------------------------------------------------


def _dimension_complaints(old: bytes, new: bytes, added: Collection[Place]) -> list[str]:
    """The dimension is as before, or just wide enough for the cells that were added."""
    before, after = _DIMENSION.search(old), _DIMENSION.search(new)
    if before is None or after is None or before[2] == after[2]:
        return [] if (before is None) == (after is None) else ["the dimension came or went"]
    ends = [(int(row), _column(letters)) for letters, row in re.findall(rb"([A-Z]+)([0-9]+)", before[2])]
    rows, columns = [row for row, _ in (*ends, *added)], [column for _, column in (*ends, *added)]
    names = [_letters(min(columns)) + b"%d" % min(rows), _letters(max(columns)) + b"%d" % max(rows)]
    wide = names[0] if names[0] == names[1] else b":".join(names)
    return [] if after[2][1:-1] == wide else ["the dimension does not fit the cells"]


def _wrong_spans(old: bytes, new: bytes, columns: Collection[int]) -> bool:
    """Whether a row's spans are neither as before nor just wide enough for its new cells."""
    before, after = _SPANS.search(old), _SPANS.search(new)
    if before is None or after is None or before[1] == after[1]:
        return (before is None) != (after is None)
    ends = [int(end) for end in re.findall(rb"[0-9]+", before[1])]
    wide = [min(*ends, *columns), max(*ends, *columns)] if columns else ends
    return after[1][1:-1] != b"%d:%d" % tuple(wide)


def letters_of(column: int) -> str:
    """Name a column as the cells in it are named: column 2 is B."""
    return _letters(column).decode()


@lru_cache(maxsize=20_000)
def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


@lru_cache(maxsize=20_000)
def _letters(number: int) -> bytes:
    name = b""
    while number:
        number, rest = divmod(number - 1, 26)
        name = b"%c" % (65 + rest) + name
    return name
