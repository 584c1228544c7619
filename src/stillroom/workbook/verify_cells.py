"""The check of the owned cells of a changed sheet: each holds just what is claimed, in the format it had."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Collection, Mapping
from functools import lru_cache
from typing import NamedTuple
from xml.etree import ElementTree

from stillroom.workbook.claims import ClaimedFormula
from stillroom.workbook.verify_parts import plain_text
from stillroom.workbook.verify_rows import NO_HEIGHTS, Compared, Heights, compared, letters_of, owned_cells

_TAG = rb"""(?>(?>[^>"'/]+|"[^"]*"|'[^']*'|/(?!>))*)"""
_CELL = re.compile(rb"<(?:[\w.\-]+:)?c(?=[\s/>])" + _TAG + rb"/?>")
_FORMAT = re.compile(rb"""\ss\s*=\s*["']([0-9]+)["']""")
_VALUE = re.compile(rb"<((?:[\w.\-]+:)?v)(?=[\s/>])" + _TAG + rb"(?:/>|>[^<]*</\1\s*>)")
_TYPE = re.compile(rb"""\st\s*=\s*("[^"]*"|'[^']*')""")
_ROOT = re.compile(rb"<((?:[\w.\-]+:)?worksheet)(?=[\s/>])" + _TAG + rb">")

_NUMBERS = (int, float)
_MAY_CHANGE_FORMAT = (*_NUMBERS, datetime.date, datetime.time)

_PLAIN = re.compile(
    rb'(<c r="([A-Z]{1,3}[0-9]+)"(?: s="[0-9]+")?)(?: t="([A-Za-z]+)")?'
    rb'(?:/>|>(?:<v>([^<>&\r]*)</v>|<is><t(?: xml:space="preserve")?>([^<>&\r]*)</t></is>)</c>)'
)
_USUAL_FORMAT = re.compile(rb'<c r="[A-Z]{1,3}[0-9]+" s="([0-9]+)"')

Cell = tuple[int, int]


class Held(NamedTuple):
    """What a cell element says: its format, its type, and the text of v, f and t in it (None: there is none)."""

    style: str
    kind: str
    value: str | None
    formula: str | None = None
    text: str | None = None


def sheet_complaints(
    old: bytes,
    new: bytes,
    cells: Mapping[Cell, object],
    cleared: Collection[Cell],
    text_of: Callable[[int], str | None],
    *,
    date1904: bool,
    heights: Heights = NO_HEIGHTS,
) -> list[str]:
    """Say what is wrong with a changed sheet part; ``text_of`` gives shared strings of the new file."""
    owned: dict[int, set[int]] = {row: set() for row in heights}
    found = compared(old, new, owned | _by_row((*cells, *cleared)), heights)
    if found.complaints:
        return found.complaints
    complaints = [
        f"{cell}: more than its saved result was changed"
        for cell in cleared
        if cell not in found.old or cell not in found.new or _without_result(found.old[cell]) != found.new[cell]
    ]
    doubtful = _doubtful(cells, found, text_of, date1904=date1904)
    after = _read(new, {cell: found.new[cell] for cell in doubtful if cell in found.new})
    for cell in doubtful:
        held = after.get(cell)
        complaint = _wrong_value(held, cells[cell], text_of, date1904=date1904)
        if complaint is None and cell in found.old:
            complaint = _wrong_format(found.old[cell], held, cells[cell])
        if complaint:
            complaints.append(f"{cell}: {complaint}")
    return complaints


def _doubtful(
    cells: Mapping[Cell, object], found: Compared, text_of: Callable[[int], str | None], *, date1904: bool
) -> Collection[Cell]:
    """
    Give the cells that have to be looked at one by one: all but those that plainly hold what is claimed.

    A plain cell bears the name of its place and has at most a format, a type and a value or a text. Blank ones, texts,
    numbers and days are judged here; the first two only where the old cell began with the same name and format.
    """
    letters = {column: letters_of(column).encode() for column in {column for _, column in cells}}
    numbers = {row: b"%d" % row for row in {row for row, _ in cells}}
    doubtful = []
    for cell, value in cells.items():
        plain = _PLAIN.fullmatch(found.new.get(cell, b""))
        right: object = False
        if plain is not None:
            head, name, kind, held, text = plain.groups()
            sort = type(value)
            if sort is float or sort is int:
                right = not kind and held and float(held) == value
            elif sort is datetime.date:
                right = not kind and held and float(held) == _serial(value, date1904=date1904)
            elif value is None:
                right = held is None and text is None
            elif sort is str and text is None:
                right = kind == b"s" and text_of(int(held or -1)) == value
            elif sort is str:
                right = kind == b"inlineStr" and b"_x" not in text and text.decode() == value
            if sort is str or value is None:
                right = right and b" " in head[3:] and found.old.get(cell, b"").startswith(head)
            right = right and name == letters[cell[1]] + numbers[cell[0]]
        if not right:
            doubtful.append(cell)
    return doubtful


def cell_complaints(
    new: bytes, cells: Mapping[Cell, object], text_of: Callable[[int], str | None], *, date1904: bool
) -> list[str]:
    """Say which cells of an added sheet do not hold what is claimed."""
    read = _read(new, owned_cells(new, _by_row(cells)))
    wrong = {cell: _wrong_value(read.get(cell), value, text_of, date1904=date1904) for cell, value in cells.items()}
    return [f"{cell}: {complaint}" for cell, complaint in wrong.items() if complaint]


def _by_row(cells: Collection[Cell]) -> dict[int, set[int]]:
    rows: dict[int, set[int]] = {}
    for row, column in cells:
        rows.setdefault(row, set()).add(column)
    return rows


def _without_result(raw: bytes) -> bytes:
    tag = _CELL.match(raw)
    if tag is None:
        return b""
    return _TYPE.sub(b"", tag[0], count=1) + _VALUE.sub(b"", raw[tag.end() :], count=1)


def _read(part: bytes, cells: Mapping[Cell, bytes]) -> dict[Cell, Held]:
    """
    Read cell elements with the XML parser, inside the root tag of their part.

    Raises ValueError unless each is one whole element that bears the name of its place.
    """
    root = _ROOT.search(part)
    if root is None:
        raise ValueError("it is no sheet of cells")
    nodes = ElementTree.fromstring(root[0] + b"".join(cells.values()) + b"</" + root[1] + b">")
    read: dict[Cell, Held] = {}
    for cell, node in zip(cells, nodes, strict=True):
        if nodes.text or node.tail or node.tag.rpartition("}")[2] != "c":
            raise ValueError("there is something between cells")
        name = f"{letters_of(cell[1])}{cell[0]}"
        if node.get("r") not in (None, name):
            raise ValueError(f"a cell is called {node.get('r')} and stands at {name}")
        inside: dict[str, str] = {}
        for child in node if node.get("t") != "inlineStr" else node.iter():
            kind = child.tag.rpartition("}")[2]
            inside[kind] = inside.get(kind, "") + (child.text or "")
        read[cell] = Held(
            node.get("s", "0"), node.get("t", "n"), inside.get("v"), inside.get("f"), inside.get("t", inside.get("is"))
        )
    return read


def _wrong_value(
    cell: Held | None, value: object, text_of: Callable[[int], str | None], *, date1904: bool
) -> str | None:
    if cell is None:
        return None if value is None else "it was not written"
    if cell.kind == "s" and isinstance(value, str) and cell.formula is None:
        held = text_of(int(cell.value or "-1"))
        return None if held == value else f"it holds another text ({held!r})"
    if isinstance(value, ClaimedFormula):
        right = cell.formula is not None and plain_text(cell.formula) == value.text and cell.value is None
        return None if right else "it does not hold its formula"
    if cell.formula is not None:
        return "it still holds a formula"
    if value is None:
        return None if cell.value is None and cell.text is None else "it is not blank"
    if isinstance(value, bool):
        return None if cell.kind == "b" and cell.value == str(int(value)) else "it does not hold its value"
    if isinstance(value, str):
        held = plain_text(cell.text or "") if cell.kind == "inlineStr" else None
        return None if held == value else f"it holds another text ({held!r})"
    wanted = float(value) if isinstance(value, _NUMBERS) else _serial(value, date1904=date1904)
    right = cell.kind == "n" and cell.value is not None and float(cell.value) == wanted
    return None if right else "it does not hold its number"


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
        raise ValueError("a value of no known kind was claimed")
    if days:
        days -= datetime.date(1904, 1, 1).toordinal() if date1904 else datetime.date(1899, 12, 30).toordinal()
        days -= not date1904 and days < 61
    thousandths = clock.hour * 3_600_000 + clock.minute * 60_000 + clock.second * 1000 + clock.microsecond // 1000
    return days + thousandths / 86_400_000


def _wrong_format(old: bytes, new: Held | None, value: object) -> str | None:
    """A cell stays, and keeps its format, unless a number or a date needed another."""
    if new is None:
        return "it is gone"
    if isinstance(value, _MAY_CHANGE_FORMAT) and not isinstance(value, bool):
        return None
    found = _USUAL_FORMAT.match(old) or ((tag := _CELL.match(old)) and _FORMAT.search(tag[0]))
    before = found[1].decode() if found else "0"
    return None if before == new.style else "its format was changed"
