"""Moving in: the tables that a household's own workbook lacks are added to it."""

from __future__ import annotations

from pathlib import Path

from stillroom.household.results.commands import Adoption, Receipt
from stillroom.reports.problems import sentences
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.starter.first_rows import Filling
from stillroom.workbook.starter.start import Adopted, adopt, stopped
from stillroom.workbook.writer.notices import count_writing

__all__ = ["Adoption", "Filling", "adopt_workbook", "adoption_of"]


def adopt_workbook(
    path: Path, out: Path | None, filling: Filling | None = None, *, replace: bool = False
) -> tuple[Adopted, Receipt]:
    """
    Add the tables that a workbook lacks, into the file itself or into a copy at `out`.

    With a `filling` they hold the rows of a starting workbook; what the check would stop at is added at Include = no.
    Raises WorkbookRefused, CouldNotWrite and CommandWrong; nothing is written then.
    """
    book = Book.open(path)
    adopted = adopt(book, filling)
    if filling is not None and (wrong := stopped(book, adopted)):
        book = Book.open(path)
        adopted = adopt(book, filling, {name: sentences(problem)[0] for name, problem in wrong.items()})
    if adopted.added:
        count_writing(book)
    return adopted, book.save(out, replace=replace)


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
