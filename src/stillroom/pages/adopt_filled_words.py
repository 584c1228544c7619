"""What is said of the rows that new tables were filled with: how many came, and what was left out and why."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.workbook.adopt_filled import Filled
from stillroom.workbook.adopt_fitting import LeftOut, few


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
    what = "at Make = no" if left.made_no else "left out"
    return f"{left.table}: {len(left.names)} {what} ({shown}): {why}."


SHOWN = 3
"""So many names are said of each reason."""
