"""What moving in says: the tables that were there, those that were added, and what the household has to decide."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.pages.adopt_filled_words import filled_lines
from stillroom.pages.terminal import problem_line
from stillroom.pages.terminal_days import heading, indented, spaced
from stillroom.workbook.adopt import Adopted, adopt
from stillroom.workbook.adopt_filled import Filling
from stillroom.workbook.adopt_trial import stopped
from stillroom.workbook.book import Book, Receipt
from stillroom.workbook.older_copy import count_writing


def adopt_workbook(path: Path, out: Path | None, filling: Filling | None = None) -> tuple[Adopted, Receipt]:
    """
    Add the tables that a workbook lacks, into the file itself or into a copy at `out`.

    With a `filling` they hold the rows of a starting workbook; what the check would stop at is added at Make = no.
    Raises WorkbookRefused, CouldNotWrite and CommandWrong; nothing is written then.
    """
    book = Book.open(path)
    adopted = adopt(book, filling)
    if filling is not None and (wrong := stopped(book, adopted)):
        book = Book.open(path)
        adopted = adopt(book, filling, wrong)
    if adopted.added:
        count_writing(book)
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
    if adopted.filled.rows or adopted.filled.left_out:
        lines = filled_lines(adopted.filled)
        parts.append(Group(heading("Filled with examples"), *(indented(Text(line)) for line in lines)))
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
    if adopted.filled.rows:
        lines.append("The numbers in the new tables are examples: type your own over them.")
    elif {"Crops", "Preserves"} & set(adopted.added):
        lines.append(
            "The new tables are empty. The crops, preserves and winter needs of the handbook stand in a new workbook: "
            "stillroom start example.xlsx makes one; copy the rows you want out of it. To have them filled at once, "
            f"adopt {name if receipt.backup is None else receipt.backup.name} with --filled."
        )
    return [*lines, f"Fill in the straw-coloured cells; what is still lacking says: stillroom check {file}"]


def listed(names: Sequence[str]) -> str:
    """
    Names with commas.

    >>> listed(["Plan", "Record"])
    'Plan, Record'
    """
    return ", ".join(names)
