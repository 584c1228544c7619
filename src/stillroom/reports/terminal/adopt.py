"""What `adopt` did: the tables found, the tables added, and what the household must decide."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.results.adopted import Adoption, LeftOut
from stillroom.household.results.receipt import Receipt
from stillroom.household.text import format_list
from stillroom.reports.json import as_json, problems_object
from stillroom.reports.terminal.lists import heading, indented, spaced
from stillroom.reports.terminal.plan import problem_line

# The rows that new tables were filled with: how many, and what was left out and why.


def filled_lines(filled: Adoption) -> Iterator[str]:
    """Return how many rows each table got, then a line for each thing that was left out or changed."""
    counts = [f"{table} {count}" for table, count in filled.rows.items() if count]
    if counts:
        yield f"Rows: {', '.join(counts)}."
    if filled.renamed:
        yield f"Your names are used: {format_list([f'{theirs} for {ours}' for ours, theirs in filled.renamed], 5)}."
    yield from (left_line(left) for left in filled.left_out)
    yield from (f"{note[:1].upper()}{note[1:]}." for note in filled.notes)


def left_line(left: LeftOut) -> str:
    """
    Return what was left out of one table, and why.

    >>> left_line(LeftOut("Preserves", ("plums, quart", "pears, quart"), "your *Crops* has no plums, pears"))
    'Preserves: 2 left out (plums, quart; pears, quart): your Crops has no plums, pears.'
    """
    why = left.why.replace("*", "")
    if left.whole:
        return f"{left.table}: not filled, because {why}."
    shown, more = "; ".join(left.names[:SHOWN]), len(left.names) - SHOWN
    shown = f"{shown} and {more} more" if more > 0 else shown
    what = "with Include no" if left.made_no else "left out"
    return f"{left.table}: {len(left.names)} {what} ({shown}): {why}."


SHOWN = 3
"""So many names are shown for each reason."""


def adopt_page(adopted: Adoption, receipt: Receipt, name: str) -> RenderableType:
    """Return the page, the next command last."""
    parts: list[RenderableType] = []
    if adopted.problems:
        parts.append(Group(heading("Please decide"), *(indented(problem_line(one)) for one in adopted.problems)))
    if adopted.used:
        places = [f"{table} ({place})" for table, place in adopted.used]
        parts.append(Group(heading("Found in your workbook"), indented(Text(format_list(places)))))
    if adopted.added:
        sheets = f"on new sheets: {format_list(adopted.sheets)}"
        parts.append(Group(heading("Added", sheets), indented(Text(format_list(adopted.added)))))
    if adopted.rows or adopted.left_out:
        lines = filled_lines(adopted)
        parts.append(Group(heading("Example rows"), *(indented(Text(line)) for line in lines)))
    parts.append(Text("\n".join(end_words(adopted, receipt, name))))
    return spaced(parts)


def adopt_object(adopted: Adoption, receipt: Receipt, name: str) -> dict[str, object]:
    """The same for other programs."""
    return {
        "added": list(adopted.added),
        "sheets": list(adopted.sheets),
        "found": [{"table": table, "where": place} for table, place in adopted.used],
        "rows": dict(adopted.rows),
        "left_out": [left_line(left) for left in adopted.left_out],
        "problems": problems_object(adopted.problems),
        "receipt": as_json(receipt),
        "messages": list(end_words(adopted, receipt, name)),
    }


def end_words(adopted: Adoption, receipt: Receipt, name: str) -> Sequence[str]:
    """Return what was saved, where the backup is, and what to do next."""
    if not adopted.added:
        lines = [f"{name} has every table already. Nothing was changed."]
        if receipt.written:
            lines.append(f"{receipt.path.name} is a copy of it.")
    else:
        lines = [f"Saved in {receipt.path.name}. Nothing of yours was changed."]
        if receipt.backup is not None:
            lines.append(f"Backup: {receipt.backup.name}")
    file = receipt.path.name
    if adopted.rows:
        lines.append("The numbers in the new tables are examples. Type your own over them.")
    elif {"Crops", "Preserves"} & set(adopted.added):
        lines.append(
            "The new tables are empty. To fill them with examples, run: stillroom adopt "
            f"{name if receipt.backup is None else receipt.backup.name} --filled"
        )
    return [*lines, f"Fill in the yellow cells, then run: stillroom check {file}"]
