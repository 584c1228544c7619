"""The results of planning a folder of workbooks: a table for the terminal, and JSON."""

from __future__ import annotations

from functools import partial

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.results.batch import AllPlanned, WorkbookDone
from stillroom.household.text import format_count, format_fixed, format_weight
from stillroom.reports.json import as_json
from stillroom.reports.terminal.lists import QUIET, Fitted, grid, heading, indented, spaced

MOST_PROBLEMS = 5
WIDE = 76
"""From so many letters on all figures have room."""


def plan_all_page(found: AllPlanned) -> RenderableType:
    """A line for each workbook, then the problems of those without a plan."""
    table = Fitted(partial(results_table, found))
    planned = len(found.done) - found.failed
    parts: list[RenderableType] = [Group(heading("Planned", f"{planned} of {len(found.done)}"), indented(table))]
    failed = [one for one in found.done if one.problems]
    if failed:
        parts.append(Group(heading("Not planned"), *(indented(Text(line)) for one in failed for line in reasons(one))))
    parts.append(Text(f"Saved in {found.out}."))
    return spaced(parts)


def results_table(found: AllPlanned, wide: int) -> RenderableType:
    """A line for each workbook; on a narrow screen its name has the room that the lesser figures would take."""
    shown = range(6) if wide >= WIDE else (0, 2, 5)
    widths = (max(22, wide - 56 if wide >= WIDE else wide - 34), 5, 8, 8, 7, 14)
    table = grid(*(widths[number] for number in shown))
    for number, column in zip(shown, table.columns, strict=True):
        column.justify = "right" if 0 < number < 5 else "left"
    heads = ("file", "lines", "filled", "surplus", "seconds", "")
    table.add_row(*(Text(heads[number], QUIET) for number in shown))
    for one in found.done:
        words = cells(one)
        table.add_row(*(Text(words[number]) for number in shown))
    return table


def cells(one: WorkbookDone) -> tuple[str, ...]:
    """
    One workbook's line.

    >>> cells(WorkbookDone("hill.xlsx", None, 41, 19, 17, 120.4, 3, seconds=2.61))
    ('hill.xlsx', '41', '17 of 19', '265 lb', '2.6', '3 notes')
    >>> cells(WorkbookDone("mill.xlsx", problems=("Harvest!C5: it is blank; fill it",)))
    ('mill.xlsx', '', '', '', '', 'not planned: 1 problem')
    """
    if one.problems:
        return one.name, "", "", "", "", f"not planned: {format_count(len(one.problems), 'problem')}"
    notes = format_count(one.said, "note") if one.said else ""
    return (
        one.name,
        str(one.lines),
        f"{one.filled} of {one.targets}",
        format_weight(one.surplus_kg),
        format_fixed(one.seconds, 1),
        "no change" if one.unchanged else notes,
    )


def reasons(one: WorkbookDone) -> list[str]:
    """
    Why a workbook has no plan, a few of them.

    >>> reasons(WorkbookDone("a.xlsx", problems=("The file is empty.", "Lids!B2: Lid is blank.")))
    ['a.xlsx: The file is empty.', 'a.xlsx: Lids!B2: Lid is blank.']
    """
    start = f"{one.name}: "
    lines = [f"{start}{problem}" for problem in one.problems[:MOST_PROBLEMS]]
    more = len(one.problems) - MOST_PROBLEMS
    return lines if more <= 0 else [*lines, f"{one.name}: and {more} more. To see all, run: stillroom check {one.name}"]


def plan_all_object(found: AllPlanned) -> dict[str, object]:
    """The whole for other programs."""
    done = [
        {"file": one.name, "planned": not one.problems, "notes": one.said}
        | as_json(one, leave_out=("name", "content", "said"))
        for one in found.done
    ]
    return {"workbooks": done} | as_json(found, "failed", leave_out=("done", "folder"))
