"""The check of a changed sheet: with the owned cells cut out of both, the old and the new part are the same bytes."""

from __future__ import annotations

import datetime
import re
import xml.parsers.expat as expat
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import zip_longest

from stillroom.workbook.claims import ClaimedFormula
from stillroom.workbook.verify_parts import plain_text

_TAG = rb"""(?>[^>"'/]+|"[^"]*"|'[^']*'|/(?!>))*+"""
_CELL = re.compile(rb'<((?:[\w.\-]+:)?)c(?:\s+r="([A-Z]{1,3})[0-9]+")?(?=[\s/>])' + _TAG + rb"(/?)>")
_R = re.compile(rb"""\sr\s*=\s*["']([A-Za-z]*)([0-9]*)["']""")
_FORMAT = re.compile(rb"""\ss\s*=\s*["']([0-9]+)["']""")
_SPANS = re.compile(rb"""\sspans\s*=\s*("[^"]*"|'[^']*')""")
_DIMENSION = re.compile(rb"(<(?:[\w.\-]+:)?dimension\s[^>]*?\bref\s*=\s*)(\"[^\"]*\"|'[^']*')")
_DATA = re.compile(rb"(<(?:[\w.\-]+:)?sheetData)(\s[^>]*?)?(/?)>")
_BARE_ROW = re.compile(rb'<[\w.\-:]*row\s+r="[0-9]+">')
_BLOCK = 1 << 20
_HIDDEN = re.compile(rb"<!--.*?-->|<!\[CDATA\[.*?\]\]>", re.DOTALL)
_VALUE = re.compile(rb"<((?:[\w.\-]+:)?v)(?=[\s/>])" + _TAG + rb"(?:/>|>[^<]*</\1\s*>)")
_TYPE = re.compile(rb"""\st\s*=\s*("[^"]*"|'[^']*')""")

Cell = tuple[int, int]
Read = tuple[dict[str, str], dict[str, str]]


def sheet_complaints(
    old: bytes,
    new: bytes,
    cells: Mapping[Cell, object],
    cleared: Collection[Cell],
    text_of: Callable[[int], str | None],
    *,
    date1904: bool,
) -> list[str]:
    """Say what is wrong with a changed sheet part; ``text_of`` gives shared strings of the new file."""
    owned: dict[int, set[int]] = {}
    for row, column in (*cells, *cleared):
        owned.setdefault(row, set()).add(column)
    rest_old, cut_old, rows_old = _cut(old, owned)
    rest_new, cut_new, rows_new = _cut(new, owned)
    head_old, head_new = (data[: data.find(b"sheetData")] for data in (old, new))
    found = []
    place = _first_difference(rest_old, rest_new)
    if place is not None:
        found.append(f"bytes that nothing claims were changed, about {place} bytes in")
    added = set(cut_new) - set(cut_old)
    found += _frame_complaints(head_old, head_new, added)
    added_in: dict[int, list[int]] = {}
    for row, column in added:
        added_in.setdefault(row, []).append(column)
    for row, tag in rows_old.items():
        if _wrong_spans(tag, rows_new.get(row, b""), added_in.get(row, ())):
            found.append(f"the spans of row {row} do not fit its cells")
    for cell in cleared:
        if cell not in cut_old or cell not in cut_new or _without_result(cut_old[cell]) != cut_new[cell]:
            found.append(f"{cell}: more than its saved result was changed")
    after = _read({cell: cut_new[cell] for cell in cells if cell in cut_new})
    for cell, value in cells.items():
        complaint = _wrong_value(after.get(cell), value, text_of, date1904=date1904)
        if complaint is None:
            complaint = _wrong_format(cut_old.get(cell), cut_new.get(cell), value)
        if complaint:
            found.append(f"{cell}: {complaint}")
    return found


def cell_complaints(
    new: bytes, cells: Mapping[Cell, object], text_of: Callable[[int], str | None], *, date1904: bool
) -> list[str]:
    """Say which cells of an added sheet do not hold what is claimed."""
    owned: dict[int, set[int]] = {}
    for row, column in cells:
        owned.setdefault(row, set()).add(column)
    _, cut, _ = _cut(new, owned)
    read = _read(cut)
    wrong = {cell: _wrong_value(read.get(cell), value, text_of, date1904=date1904) for cell, value in cells.items()}
    return [f"{cell}: {complaint}" for cell, complaint in wrong.items() if complaint]


def _frame_complaints(old: bytes, new: bytes, added: Collection[Cell]) -> list[str]:
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


def _blocks(pieces: Sequence[bytes | memoryview]) -> Iterator[bytes]:
    """Give the bytes of many pieces in blocks of one size."""
    held: list[bytes | memoryview] = []
    size = 0
    for piece in pieces:
        place = 0
        while place < len(piece):
            part = piece[place : place + _BLOCK - size]
            held.append(part)
            size += len(part)
            place += len(part)
            if size == _BLOCK:
                yield b"".join(held)
                held, size = [], 0
    yield b"".join(held)


def _first_difference(old: Sequence[bytes | memoryview], new: Sequence[bytes | memoryview]) -> int | None:
    """Compare two runs of pieces byte by byte; gives about where they first differ, None when they are the same."""
    for number, (one, other) in enumerate(zip_longest(_blocks(old), _blocks(new))):
        if one != other:
            return number * _BLOCK
    return None


def _cut(
    data: bytes, owned: Mapping[int, set[int]]
) -> tuple[list[bytes | memoryview], dict[Cell, bytes], dict[int, bytes]]:
    """
    Take the owned cells out of a sheet part, with the spans of their rows, rows of nothing else, and the dimension.

    Gives what is left in pieces, the cells, and the start tags of their rows.
    """
    seen = _HIDDEN.sub(lambda match: b" " * len(match[0]), data) if b"<!" in data else data
    opened = _DATA.search(seen)
    if opened is None:
        raise ValueError("it has no rows")
    view = memoryview(data)
    head = _DIMENSION.sub(rb"\1", data[: opened.start()], count=1) + opened[1] + (opened[2] or b"") + b">"
    pieces: list[bytes | memoryview] = [head]
    if opened[3]:
        return [*pieces, b"</" + opened[1][1:] + b">", view[opened.end() :]], {}, {}
    cut: dict[Cell, bytes] = {}
    tags: dict[int, bytes] = {}
    place, number, before = opened.end(), 0, 0
    prefix = opened[1][1:].removesuffix(b"sheetData")
    rows = re.compile(rb"<" + re.escape(prefix) + rb'row(?:\s+r="([0-9]+)")?(?=[\s/>])' + _TAG + rb"(/?)>")
    for match in rows.finditer(seen, opened.end(), seen.rindex(b"sheetData")):
        given = match[1] or ((found := _R.search(match[0])) and found[2])
        number = int(given) if given else number + 1
        if number in owned:
            if number <= before:
                raise ValueError(f"row {number} is not in its place")
            close = match.end() if match[2] else seen.index(b"</" + prefix + b"row", match.end())
            end = match.end() if match[2] else seen.index(b">", close) + 1
            inside, mine = _cut_row(data, seen, match.end(), close, owned[number])
            cut.update({(number, column): raw for column, raw in mine.items()})
            tags[number] = match[0]
            tag = _SPANS.sub(b"", data[match.start() : match.end()])
            tag = tag.removesuffix(b"/>").rstrip() + b">" if match[2] else tag
            pieces.append(view[place : match.start()])
            if inside.strip() or not _BARE_ROW.fullmatch(tag):
                pieces.append(tag + inside + (data[close:end] or b"</" + prefix + b"row>"))
            place = end
        before = max(before, number)
    return [*pieces, view[place:]], cut, tags


def _cut_row(data: bytes, seen: bytes, start: int, stop: int, columns: set[int]) -> tuple[bytes, dict[int, bytes]]:
    mine: dict[int, bytes] = {}
    pieces, place, column, before = [], start, 0, 0
    while (match := _CELL.search(seen, start, stop)) is not None:
        given = match[2] or ((found := _R.search(match[0])) and found[1])
        column = _column(given) if given else column + 1
        start = match.end() if match[3] else seen.index(b">", seen.index(b"</" + match[1] + b"c", match.end())) + 1
        if column in columns:
            if column <= before:
                raise ValueError(f"column {column} is not in its place")
            pieces.append(data[place : match.start()])
            mine[column] = data[match.start() : start]
            place = start
        before = max(before, column)
    pieces.append(data[place:stop])
    return b"".join(pieces), mine


@lru_cache(maxsize=20_000)
def _column(letters: bytes) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + letter - 64
    return number


def _letters(number: int) -> bytes:
    name = b""
    while number:
        number, rest = divmod(number - 1, 26)
        name = b"%c" % (65 + rest) + name
    return name


def _without_result(raw: bytes) -> bytes:
    tag = _CELL.match(raw)
    if tag is None:
        return b""
    return _TYPE.sub(b"", tag[0], count=1) + _VALUE.sub(b"", raw[tag.end() :], count=1)


def _read(cells: Mapping[Cell, bytes]) -> dict[Cell, Read]:
    """Read cell elements: of each its attributes, and the text of v, f and t inside it. Each must be one element."""
    read: list[Read] = []
    path: list[str] = []

    def start(name: str, given: dict[str, str]) -> None:
        path.append(name.rpartition(":")[2])
        if len(path) == 2:
            read.append((given, {}))
        elif len(path) > 2:
            read[-1][1].setdefault(path[-1], "")

    def characters(text: str) -> None:
        if len(path) > 2:
            read[-1][1][path[-1]] += text
        else:
            raise ValueError("there is text between cells")

    parser = expat.ParserCreate()
    parser.StartElementHandler, parser.CharacterDataHandler = start, characters
    parser.EndElementHandler = lambda _: path.pop()
    parser.Parse(b"<all>" + b"".join(cells.values()) + b"</all>", True)
    return dict(zip(cells, read, strict=True))


def _wrong_value(
    cell: Read | None, value: object, text_of: Callable[[int], str | None], *, date1904: bool
) -> str | None:
    if cell is None:
        return None if value is None else "it was not written"
    attributes, inside = cell
    kind = attributes.get("t", "n")
    if isinstance(value, ClaimedFormula):
        right = inside.get("f") is not None and plain_text(inside["f"]) == value.text and "v" not in inside
        return None if right else "it does not hold its formula"
    if "f" in inside:
        return "it still holds a formula"
    if value is None:
        return None if "v" not in inside and "is" not in inside else "it is not blank"
    if isinstance(value, bool):
        return None if kind == "b" and inside.get("v") == str(int(value)) else "it does not hold its value"
    if isinstance(value, str):
        if kind == "s":
            held = text_of(int(inside.get("v", "-1")))
        else:
            held = plain_text(inside.get("t", "")) if kind == "inlineStr" else None
        return None if held == value else f"it holds another text ({held!r})"
    wanted = float(value) if isinstance(value, int | float) else _serial(value, date1904=date1904)
    right = kind == "n" and "v" in inside and float(inside["v"]) == wanted
    return None if right else "it does not hold its number"


def _serial(value: object, *, date1904: bool) -> float:
    """Count a date's days from the workbook's first, by the calendar's own numbers."""
    if isinstance(value, datetime.time):
        clock, days = value, 0
    elif isinstance(value, datetime.datetime):
        clock, days = value.time(), value.toordinal()
    elif isinstance(value, datetime.date):
        clock, days = datetime.time(), value.toordinal()
    else:
        raise ValueError("a value of no known kind was claimed")
    if days:
        days -= datetime.date(1904, 1, 1).toordinal() if date1904 else datetime.date(1899, 12, 30).toordinal()
        days -= not date1904 and days < 61
    thousandths = clock.hour * 3_600_000 + clock.minute * 60_000 + clock.second * 1000 + clock.microsecond // 1000
    return days + thousandths / 86_400_000


def _wrong_format(old: bytes | None, new: bytes | None, value: object) -> str | None:
    """A cell keeps its format, unless a number or a date needed another."""
    may_change = isinstance(value, int | float | datetime.date | datetime.time) and not isinstance(value, bool)
    if old is None or new is None or may_change:
        return None
    return None if _format_of(old) == _format_of(new) else "its format was changed"


def _format_of(raw: bytes) -> bytes:
    tag = _CELL.match(raw)
    found = _FORMAT.search(tag[0]) if tag else None
    return found[1] if found else b"0"
