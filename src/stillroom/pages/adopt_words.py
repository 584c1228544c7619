"""What moving in says: the tables that were there, those that were added, and what the household has to decide."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.pages.terminal import problem_line
from stillroom.pages.terminal_days import heading, indented, spaced
from stillroom.workbook.adopt import Adopted, adopt
from stillroom.workbook.book import Book, Receipt


def adopt_workbook(path: Path, out: Path | None) -> tuple[Adopted, Receipt]:
    """
    Add the tables that a workbook lacks, into the file itself or into a copy at `out`.

    Raises WorkbookRefused and CouldNotWrite; nothing is written then.
    """
    book = Book.open(path)
    adopted = adopt(book)
    return adopted, book.save(out)


def adopt_page(adopted: Adopted, receipt: Receipt, name: str) -> RenderableType:
    """Say all of it, the next command last."""
    parts: list[RenderableType] = []
    if adopted.problems:
        parts.append(Group(heading("For you to decide"), *(indented(problem_line(one)) for one in adopted.problems)))
    if adopted.used:
        places = [f"{table} ({place})" for table, place in adopted.used]
        parts.append(Group(heading("Used where they stand"), indented(Text(listed(places)))))
    if adopted.added:
        sheets = f"on new sheets after yours: {listed(adopted.sheets)}"
        parts.append(Group(heading("Added", sheets), indented(Text(listed(adopted.added)))))
    parts.append(Text("\n".join(end_words(adopted, receipt, name))))
    return spaced(parts)


def end_words(adopted: Adopted, receipt: Receipt, name: str) -> Sequence[str]:
    """What was written, where the workbook as it was is kept, and what to do next."""
    if not adopted.added:
        lines = [f"Nothing to add to {name}, so nothing in it was changed."]
        if receipt.written:
            lines.append(f"{receipt.path.name} is a copy of it.")
    else:
        kept = f"{receipt.members_kept} parts of the file kept byte for byte"
        changed = f"{len(receipt.members_changed)} lengthened, {len(receipt.members_added)} added"
        lines = [f"Written into {receipt.path.name}: {kept}, {changed}; no cell of yours was touched."]
        if receipt.backup is not None:
            lines.append(f"The workbook as it was: {receipt.backup.name}")
    file = receipt.path.name
    return [*lines, f"Fill in the straw-coloured cells; what is still lacking says: stillroom check {file}"]


def listed(names: Sequence[str]) -> str:
    """
    Names with commas.

    >>> listed(["Plan", "Record"])
    'Plan, Record'
    """
    return ", ".join(names)
