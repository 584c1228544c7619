"""Noticing that an older copy of the workbook was saved over what was written since."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from stillroom.errors import Problem, WorkbookRefused
from stillroom.workbook import backups
from stillroom.workbook.book import Book
from stillroom.workbook.mark import notes_in, write_notes, written_in


def older_copy(book: Book) -> Iterator[Problem]:
    """
    Say that the newest dated copy beside the workbook was written as often as the workbook itself, or more often.

    A dated copy is the file as it was before a write, so the file is always one ahead of it, unless somebody saved a
    copy opened before that write over it. A dated copy that was put back as it was is no such thing.
    """
    copy = newest_copy(book.path)
    if copy is None or copy.digest == book.digest:
        return
    mine, theirs = written_in(notes_in(book)), written_in(notes_in(copy))
    if mine is not None and theirs is not None and mine <= theirs:
        what = (
            f"this is an older copy: {copy.path.name} was written over since, and that is not in here; another "
            "household member may have saved a copy that was opened before"
        )
        fix = "see with them what was typed in between (lots, record), and type it again; your own rows are kept"
        yield Problem(book.path.name, what, fix, "older copy")


def newest_copy(path: Path) -> Book | None:
    """Open the newest of our dated copies of a workbook; None without one that can be read."""
    target = Path(os.path.realpath(path))
    for _, name in reversed(backups.listed(target)):
        copy = target.with_name(name)
        if copy.is_file():
            try:
                return Book.open(copy)
            except WorkbookRefused:
                return None
    return None


def times_written(book: Book) -> int:
    """How often the workbook was written, or its newest dated copy if that was more often."""
    copy = newest_copy(book.path)
    counts = [written_in(notes_in(one)) for one in (book, copy) if one is not None]
    return max((count for count in counts if count is not None), default=0)


def count_writing(book: Book) -> None:
    """Queue that the workbook is written once more; nothing where no plan has left a note of it."""
    notes = notes_in(book)
    if written_in(notes) is not None:
        write_notes(book, {**notes, "written": str(times_written(book) + 1)})
