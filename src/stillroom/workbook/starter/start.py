"""Make a new workbook: what is added to a household's own, put into one without a sheet."""

from __future__ import annotations

from pathlib import Path

from stillroom.errors import CouldNotWrite
from stillroom.household.text import METRIC, US, in_style
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.schema.schema import tables
from stillroom.workbook.starter.builder import NO_TABLES, add_all
from stillroom.workbook.starter.first_rows import starting_contents
from stillroom.workbook.starter.positions import Contents


def start(
    path: Path,
    *,
    metric: bool = False,
    people: float | None = None,
    altitude: str | None = None,
    gauge: str | None = None,
) -> None:
    """
    Write a starting workbook, filled with the handbook's crops and preserves.

    `people` sets the people of the winter list, `altitude` is a height with its unit ("1450 ft", "440 m"); without it
    the cell stays blank, and red, until it is typed. A metric workbook weighs in kg and fills liter jars. With a
    `gauge` (dial or weighted) the most common pressure-canned preserves are set to yes.

    Raises `CommandWrong` for a wrong altitude or gauge, `CouldNotWrite` when the file cannot be written.
    """
    contents = starting_contents(metric=metric, people=people, altitude=altitude, gauge=gauge)
    if path.exists():
        msg = f"{path} already exists; choose another name, or move that file first"
        raise CouldNotWrite(msg)
    new_book(path, contents, metric=metric).save(path)


def new_book(path: Path, contents: Contents, *, metric: bool = False) -> Book:
    """Give a workbook of all input and output tables, to be saved at `path`; a metric one is printed on A4."""
    book = Book.new(path, contents.title)
    wanted = [table for table in tables().values() if not (table.optional or table.later)]
    with in_style(METRIC if metric else US):
        add_all(book, wanted, contents, NO_TABLES, metric=metric)
    return book


def build(contents: Contents, *, metric: bool = False) -> bytes:
    """Give the bytes of such a workbook; the same contents give the same bytes."""
    return new_book(Path("new.xlsx"), contents, metric=metric).content()
