"""What moving in says: the tables that were there, those that were added, and what the household has to decide."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.text import format_list
from stillroom.reports.problems import sentences
from stillroom.reports.terminal.lists import heading, indented, spaced
from stillroom.reports.terminal.plan import problem_line
from stillroom.workbook.ooxml.book import Book, Receipt
from stillroom.workbook.starter.adopt import Adopted, adopt, stopped
from stillroom.workbook.starter.fill_rows import Filled, Filling
from stillroom.workbook.starter.fit_rows import LeftOut, few
from stillroom.workbook.writer.notices import count_writing

# What is said of the rows that new tables were filled with: how many came, and what was left out and why.


def filled_lines(filled: Filled) -> Iterator[str]:
    """One line of how many rows each table got, then a line for each thing that did not come as it is."""
    counts = [f"{table} {len(rows)}" for table, rows in filled.rows.items() if rows]
    if counts:
        yield f"Rows: {', '.join(counts)}."
    if filled.called:
        yield f"Yours are used for ours: {few([f'{theirs} for {ours}' for ours, theirs in filled.called])}."
    yield from (left_line(left) for left in filled.left_out)
    yield from (f"{note[:1].upper()}{note[1:]}." for note in filled.notes)


def left_line(left: LeftOut) -> str:
    """
    Say what was left out of one table, and why.

    >>> left_line(LeftOut("Preserves", ("plums, quart", "pears, quart"), "your *Crops* has no plums, pears"))
    'Preserves: 2 left out (plums, quart; pears, quart): your Crops has no plums, pears.'
    """
    why = left.why.replace("*", "")
    if left.whole:
        return f"{left.table}: not filled, because {why}."
    shown, more = "; ".join(left.names[:SHOWN]), len(left.names) - SHOWN
    shown = f"{shown} and {more} more" if more > 0 else shown
    what = "at Include = no" if left.made_no else "left out"
    return f"{left.table}: {len(left.names)} {what} ({shown}): {why}."


SHOWN = 3
"""So many names are said of each reason."""


def adopt_workbook(path: Path, out: Path | None, filling: Filling | None = None) -> tuple[Adopted, Receipt]:
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
    return adopted, book.save(out)


def adopt_page(adopted: Adopted, receipt: Receipt, name: str) -> RenderableType:
    """Say all of it, the next command last."""
    parts: list[RenderableType] = []
    if adopted.problems:
        parts.append(Group(heading("For you to decide"), *(indented(problem_line(one)) for one in adopted.problems)))
    if adopted.used:
        places = [f"{table} ({place})" for table, place in adopted.used]
        parts.append(Group(heading("Used where they stand"), indented(Text(format_list(places)))))
    if adopted.added:
        sheets = f"on new sheets after yours: {format_list(adopted.sheets)}"
        parts.append(Group(heading("Added", sheets), indented(Text(format_list(adopted.added)))))
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
