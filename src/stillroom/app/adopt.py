"""Moving in: the tables that a household's own workbook lacks are added to it."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from pathlib import Path

from stillroom.errors import CommandWrong, Problem
from stillroom.household.results.commands import Addition, Adoption, Receipt
from stillroom.household.text import format_list
from stillroom.reports.problems import sentences
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.starter.first_rows import Filling
from stillroom.workbook.starter.start import Adopted, add_crops, adopt, started, stopped
from stillroom.workbook.writer.notices import count_writing

__all__ = ["Adoption", "Filling", "add_to_workbook", "adopt_workbook", "adoption_of", "start_workbook"]


def start_workbook(path: Path, filling: Filling) -> Addition:
    """
    Write a starting workbook for a kitchen, and return what it holds and what was left out.

    What the check would stop at, such as a load that no day has hours for, is there with Include = no. Raises
    CommandWrong for an altitude or a gauge that cannot be read, and CouldNotWrite.
    """
    book, filled, places = started(path, filling)
    if filling.crops and (wrong := stopped(book, places, filled.rows)):
        book, filled, _ = started(path, filling, {name: why_no(problem) for name, problem in wrong.items()})
    book.save(path)
    return Addition(filled.rows, filled.left_out)


def why_no(problem: Problem) -> str:
    """Return why a preserve of a new workbook is there with Include = no, in a few words."""
    if problem.kind == "no day for a load":
        return "Include is no, because no day has hours enough for one load"
    return f"Include is no: {sentences(problem)[0].rstrip('.')}"


def add_to_workbook(path: Path, names: Sequence[str]) -> tuple[Addition, Receipt | None]:
    """
    Add crops or preserves of the handbook to a workbook in use; None where everything is there already.

    Raises WorkbookRefused, CommandWrong for a name that the handbook does not have, and CouldNotWrite; nothing is
    written then.
    """
    book = Book.open(path)
    addition = add_crops(book, names)
    if addition.unknown:
        unknown = format_list([f'"{name}"' for name in addition.unknown])
        msg = f"The handbook has no crop or preserve called {unknown}. To see all: stillroom handbook"
        raise CommandWrong(msg)
    if not any(addition.rows.values()):
        return addition, None
    count_writing(book)
    return addition, book.save()


def adopt_workbook(
    path: Path, out: Path | None, filling: Filling | None = None, *, replace: bool = False
) -> tuple[Adopted, Receipt]:
    """
    Add the tables that a workbook lacks, into the file itself or into a copy at `out`.

    With a `filling` they hold the rows of a starting workbook; what the check would stop at is added at Include = no.
    Crops that are named are added to tables of crops and preserves that are there. Raises WorkbookRefused,
    CouldNotWrite and CommandWrong; nothing is written then.
    """
    book = Book.open(path)
    adopted = adopt(book, filling)
    if filling is not None and (wrong := stopped(book, adopted.places, adopted.filled.rows)):
        book = Book.open(path)
        adopted = adopt(book, filling, {name: sentences(problem)[0] for name, problem in wrong.items()})
    if filling is not None and filling.crops and {"Crops", "Preserves"} <= {table for table, _ in adopted.used}:
        adopted = with_addition(adopted, add_crops(book, filling.crops))
    if adopted.added or any(adopted.filled.rows.values()):
        count_writing(book)
    return adopted, book.save(out, replace=replace)


def with_addition(adopted: Adopted, addition: Addition) -> Adopted:
    """Return what moving in came to, with rows that tables of theirs got."""
    filled = adopted.filled
    more = {table: rows for table, rows in addition.rows.items() if rows}
    contents = dataclasses.replace(filled.contents, rows={**filled.rows, **more})
    left_out = (*filled.left_out, *addition.left_out)
    return dataclasses.replace(adopted, filled=dataclasses.replace(filled, contents=contents, left_out=left_out))


def adoption_of(adopted: Adopted) -> Adoption:
    """Return what moving in came to, for the page that shows it."""
    filled = adopted.filled
    rows = {table: len(several) for table, several in filled.rows.items()}
    return Adoption(
        adopted.sheets,
        adopted.added,
        adopted.used,
        adopted.problems,
        rows,
        filled.called,
        filled.left_out,
        filled.notes,
    )
