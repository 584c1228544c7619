"""A table that has the headings of one of ours under another name, as a copied sheet leaves it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stillroom.workbook.inputs import Table, tables
from stillroom.workbook.tables import key_of
from stillroom.workbook.values import address

if TYPE_CHECKING:
    from stillroom.workbook.book import Book


def renamed(book: Book, table: Table) -> tuple[str, str] | None:
    """
    Give the name and the first cell of a table that has all the headings of a missing one; None without one.

    Tables that have the name of another of ours are none.
    """
    ours = {key_of(name) for name in tables()}
    wanted = {key_of(column.heading) for column in table.columns if column.field != "note"}
    for part in book.table_parts:
        known = {key_of(part.name), key_of(part.display_name)} & ours
        if not known and wanted <= {key_of(heading) for heading in part.headings}:
            return (
                part.display_name or part.name,
                f"{part.sheet}!{address(part.area.first_row, part.area.first_column)}",
            )
    return None
