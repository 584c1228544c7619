"""What a copy of a workbook may be called: with its ending, and not by the name of something of the household's own."""

from __future__ import annotations

from pathlib import Path

from stillroom.errors import CommandWrong, CouldNotWrite, WorkbookRefused
from stillroom.workbook.book import Book
from stillroom.workbook.tables import key_of

ENDINGS = (".xlsx", ".xlsm", ".xltx", ".xltm")


def refuse_other_ending(path: Path, copy: Path | None) -> None:
    """
    Raise CommandWrong for a copy whose ending is not that of the workbook, which its content stays true to.

    >>> refuse_other_ending(Path("kitchen.xlsx"), Path("planned.xlsx"))
    >>> refuse_other_ending(Path("kitchen.xlsx"), Path("planned.ods"))
    Traceback (most recent call last):
    stillroom.errors.CommandWrong: planned.ods should end in .xlsx, as kitchen.xlsx does
    """
    ending = path.suffix.lower()
    if copy is not None and ending in ENDINGS and copy.suffix.lower() != ending:
        msg = f"{copy.name} should end in {ending}, as {path.name} does"
        raise CommandWrong(msg)


def refuse_copy(path: Path, copy: Path | None) -> None:
    """Raise CommandWrong for another ending, CouldNotWrite where the name is that of a file that is no such copy."""
    refuse_other_ending(path, copy)
    if copy is not None and copy.is_file() and not is_of_ours(copy):
        msg = f"{copy.name} is there already and is no workbook with a plan; choose another name or move it away first"
        raise CouldNotWrite(msg)


def is_of_ours(path: Path) -> bool:
    """Whether a file is a workbook with our tables or a comparison, as a copy written before is; or is empty."""
    if not path.stat().st_size:
        return True
    try:
        book = Book.open(path)
        names = {key_of(name) for name in book.table_names}
    except WorkbookRefused:
        return False
    return bool(names & {"kitchen", "plan"}) or any(name.startswith("Suppose") for name in book.sheet_names)
