"""Pivot tables that look at what the planner writes: they keep a copy of the figures until somebody refreshes them."""

from __future__ import annotations

import io
import re
import zipfile

from stillroom.workbook.book import Book
from stillroom.workbook.inputs import output_tables
from stillroom.workbook.markup import attribute
from stillroom.workbook.tables import key_of
from stillroom.workbook.values import Unreadable, parse_range

_CACHE = re.compile(r"(?:^|/)pivotCacheDefinition[^/]*\.xml$", re.IGNORECASE)
_SOURCE = re.compile(rb"<(?:\w+:)?worksheetSource\b[^>]*>")


def looked_at_by_pivots(book: Book) -> tuple[str, ...]:
    """The planner's tables that a pivot table takes its figures from, by name or by their cells (18.10.1.95)."""
    sources = _sources(book.source)
    if not sources:
        return ()
    ours = {key_of(table.name): table.name for table in output_tables()}
    found = []
    for part in book.table_parts:
        name = ours.get(key_of(part.display_name))
        if name is None:
            continue
        for tag in sources:
            named = attribute(tag, "name")
            sheet, cells = attribute(tag, "sheet"), attribute(tag, "ref")
            if named is not None and key_of(named) == key_of(part.display_name):
                found.append(name)
            elif sheet is not None and cells is not None and sheet.casefold() == part.sheet.casefold():
                try:
                    meets = parse_range(cells).meets(part.area)
                except Unreadable:
                    continue
                found += [name] if meets else []
    return tuple(dict.fromkeys(found))


def _sources(content: bytes) -> list[bytes]:
    """The tags that say where pivot tables have their figures from."""
    with zipfile.ZipFile(io.BytesIO(content)) as whole:
        names = [name for name in whole.namelist() if _CACHE.search(name)]
        return [tag for name in names for tag in _SOURCE.findall(whole.read(name))]
