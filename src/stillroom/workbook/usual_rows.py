"""Changing owned cells of a row that is written in the usual way, in one pass over its bytes."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

from stillroom.workbook.contents import Contents, Edit
from stillroom.workbook.markup import find_element
from stillroom.workbook.rows import column_of
from stillroom.workbook.values import letters


class _Unusual(Exception):
    """A cell holds something that has to be looked at more closely."""


class UsualRows:
    """Rewrites rows of one sheet; what a value becomes in a cell of a format is written once."""

    def __init__(self, prefix: bytes, contents: Contents) -> None:
        """Keep how the sheet's elements are called, and what writes values."""
        self._prefix, self._contents = prefix, contents
        self._end = b"</" + prefix + b"c"
        self._written: dict[tuple[type, object, int | None, bytes | None], bytes] = {}

    def rewritten(self, inside: bytes, edits: Mapping[int, Edit | None]) -> tuple[bytes, list[int]] | None:
        """
        Give the cells of a row with ``edits`` made (None takes out a saved result), and the columns of results taken.

        None when a cell is not there yet, when one is not as every office program writes it (its name first, then at
        most its format and its type), or when one holds more than a formula and a value.
        """
        by_name = {name_of(column): edit for column, edit in edits.items()}
        cleared: list[int] = []

        def one(match: re.Match[bytes]) -> bytes:
            place, name, style, kind, content = match.groups()
            edit = by_name[name]
            if content and b"extLst" in content:
                raise _Unusual
            if edit is None:
                without = self._without_result(content or b"", style, kind)
                if without is not None:
                    cleared.append(column_of(name))
                return match[0] if without is None else place + without
            value, own_style = edit
            key = (type(value), value, own_style, style)
            written = self._written.get(key)
            if written is None:
                written = self._written[key] = self._write(edit, style)
            return place + written

        try:
            written, count = _wanted_cells(self._prefix, frozenset(by_name)).subn(one, inside)
        except _Unusual:
            return None
        return (written, cleared) if count == len(edits) else None

    def _write(self, edit: Edit, style: bytes | None) -> bytes:
        """Write what follows a cell's name: its format, its type, its content, its end."""
        before = int(style) if style is not None else 0
        new = self._contents.of(edit.value, before if edit.style is None else edit.style, self._prefix)
        tag = b"" if style is None else b' s="' + style + b'"'
        if new.style != before:
            tag = b' s="%d"' % new.style
        if new.type is not None:
            tag += b' t="' + new.type.encode() + b'"'
        return tag + b">" + new.inside + self._end + b">" if new.inside else tag + b"/>"

    def _without_result(self, content: bytes, style: bytes | None, kind: bytes | None) -> bytes | None:
        """Give what follows a cell's name without its saved result; None when there is none (18.3.1.96 v)."""
        value = find_element(content, self._prefix + b"v", 0, len(content))
        if value is None or (value.tag_end == value.content_end and kind != b"str"):
            return None
        tag = b"" if style is None else b' s="' + style + b'"'
        return tag + b">" + content[: value.start] + content[value.end :] + self._end + b">"


@lru_cache(maxsize=20_000)
def name_of(column: int) -> bytes:
    """Name a column."""
    return letters(column).encode()


@lru_cache(maxsize=2000)
def _wanted_cells(prefix: bytes, names: frozenset[bytes]) -> re.Pattern[bytes]:
    name = re.escape(prefix) + rb"c"
    some = b"|".join(sorted(names))
    inside = rb"[^<]*+(?>(?:<(?!/?" + name + rb"[\s/>])[^<]*+)*)"
    return re.compile(
        rb"(<" + name + rb' r="(' + some + rb')[0-9]++")(?>(?: s="([0-9]++)")?)(?>(?: t="([A-Za-z]++)")?)'
        rb"(?:/>|>(" + inside + rb")</" + name + rb">)"
    )
