"""The check of whose rows got another height: those of the planner's own tables, with nothing else in them."""

from __future__ import annotations

import posixpath
import re
import urllib.parse
from collections.abc import Callable, Collection, Sequence
from typing import NamedTuple
from xml.etree import ElementTree

from stillroom.workbook.verify_rows import filled_columns

WRITTEN_TABLES = frozenset(
    {"plan", "timetable", "coverage", "space", "limits", "shopping", "cropuse", "seasonsofar", "messages"}
)
"""The tables the planner writes, by their names in small letters without spaces and underscores."""
_AREA = re.compile(r"\$?([A-Z]+)\$?([0-9]+):\$?([A-Z]+)\$?([0-9]+)")


class _Body(NamedTuple):
    """The rows and columns of a table below its headings."""

    rows: range
    columns: range


def ownership_complaints(
    sheet: str, part: bytes, rows: Collection[int], tables: Sequence[str], read: Callable[[str], bytes]
) -> list[str]:
    """
    Say which rows of a changed sheet are not the planner's to make higher or lower.

    ``sheet`` is the name of the sheet's member and ``part`` its new content, ``tables`` the members of the tables that
    were fitted, ``read`` gives the content of a member of the new file.
    """
    bodies, standing = [], _tables_of(sheet, read)
    for table in tables:
        if table not in standing:
            return [f"{table} is no table of this sheet"]
        body = _body(read(table))
        if body is None:
            return [f"{table} is not a table that the planner writes"]
        bodies.append(body)
    filled = filled_columns(part, rows)
    found = []
    for row in rows:
        here = [body for body in bodies if row in body.rows]
        if not here:
            found.append(f"the height of row {row} was changed, and no table of the planner's is there")
        elif any(all(column not in body.columns for body in here) for column in filled.get(row, ())):
            found.append(f"the height of row {row} was changed, and more than the planner's table stands there")
    return found


def _tables_of(sheet: str, read: Callable[[str], bytes]) -> set[str]:
    """The members that a sheet's relationships name as its tables."""
    folder, _, name = sheet.rpartition("/")
    found = set()
    for node in ElementTree.fromstring(read(posixpath.join(folder, "_rels", f"{name}.rels"))):
        if node.get("Type", "").endswith("/table"):
            path = urllib.parse.unquote(node.get("Target", ""))
            found.add(path[1:] if path.startswith("/") else posixpath.normpath(posixpath.join(folder, path)))
    return found


def _body(part: bytes) -> _Body | None:
    """Read where a table's body lies (ECMA-376 Part 1, 18.5.1.2); None when it is not one of the planner's."""
    root = ElementTree.fromstring(part)
    names = {re.sub(r"[\s_]+", "", root.get(name, "")).casefold() for name in ("name", "displayName")}
    area = _AREA.fullmatch(root.get("ref", ""))
    if area is None or not names & WRITTEN_TABLES:
        return None
    first = int(area[2]) + int(root.get("headerRowCount", "1"))
    last = int(area[4]) - int(root.get("totalsRowCount", "0"))
    return _Body(range(first, last + 1), range(_column(area[1]), _column(area[3]) + 1))


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number
