"""Files put in their place in one step, so that none is ever half written."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from stillroom.errors import CommandWrong, CouldNotWrite, WorkbookRefused
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.tables import key_of


def put(path: Path, content: bytes) -> Path:
    """Write a file beside its place and move it there; gives the path. Raises OSError, and leaves nothing beside."""
    beside = path.with_name(f".{path.name}.new")
    try:
        beside.write_bytes(content)
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
    return path


# Files of the household's own that stand where a page would be written: they are never written over.

OURS: Mapping[str, bytes] = {".pdf": b"/Creator (stillroom)", ".ics": b"PRODID:-//stillroom//"}
"""What stands in every file of ours, by its ending."""

NAMES: Mapping[str, tuple[str, ...]] = {
    "sheets": (
        *("week.pdf", "by-the-clock.pdf", "jars-to-wash.pdf"),
        *("shopping.pdf", "where-everything-is.pdf", "eat-first.pdf"),
    ),
    "labels": ("labels.pdf",),
    "calendar": ("calendar.ics",),
    "pictures": (),
}
"""The files whose content says whose they are, by the word they are asked for with; others go beside them."""


def refuse_strangers(folder: Path, parts: Iterable[str]) -> None:
    """
    Raise CouldNotWrite, before anything is written, where a file of another's has the name of one that is to be.

    Pages of a former plan are no strangers.
    """
    for part in parts:
        for name in NAMES[part]:
            path = folder / name
            if path.is_file() and OURS[path.suffix] not in path.read_bytes():
                msg = f"{path} is there already and is no page of a plan; name another folder, or move it away"
                raise CouldNotWrite(msg)


# What a copy of a workbook may be called: with its ending, and not by the name of something of the household's
# own.

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
