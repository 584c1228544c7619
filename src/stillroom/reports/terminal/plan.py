"""The words of `plan` and `check` in the terminal, as rich renderables that read well at 80 columns without colour."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from functools import partial

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.errors import Problem
from stillroom.household.plan import ObjectiveResult
from stillroom.household.text import format_fixed, format_share
from stillroom.reports.problems import gathered, line, reason
from stillroom.reports.terminal.lists import (
    QUIET,
    WIDE,
    Fitted,
    Tables,
    days_page,
    grid,
    heading,
    indented,
    messages,
    spaced,
    to_buy,
    where_crops_end,
    winter_list,
)


def plan_page(
    tables: Tables, today: datetime.date, objectives: Sequence[ObjectiveResult] = (), end: Sequence[str] = ()
) -> RenderableType:
    """
    A whole plan, what to do first on top; `end` are the lines on what was written.

    `tables` are the rows of the output tables by name and heading.
    """
    parts: list[RenderableType | None] = [
        *days_page(tables, today),
        winter_list(tables),
        where_crops_end(tables),
        to_buy(tables),
        messages(tables),
        objectives_table(objectives),
        Group(*(Text(line) for line in end)) if end else None,
    ]
    return spaced([part for part in parts if part is not None])


def objectives_table(objectives: Sequence[ObjectiveResult]) -> RenderableType | None:
    """How far each aim was reached, in the order solved, with what was proved and the seconds."""
    if not objectives:
        return None
    about = "each aim is held while the next is improved"
    return Group(heading("How good it is", about), Fitted(partial(objectives_grid, objectives)))


def objectives_grid(objectives: Sequence[ObjectiveResult], wide: int) -> RenderableType:
    """The same as columns; on a narrow screen without the seconds."""
    table = grid(14, 12, 14, 12, 8, 7) if wide >= WIDE else grid(12, 9, 10, 9, 6)
    shown = len(table.columns)
    table.columns[0].justify = "left"
    for number in (1, 3, 4, 5)[: shown - 2]:
        table.columns[number].justify = "right"
    heads = ("objective", "reached", "", "at best", "proved", "seconds")
    table.add_row(*(Text(word, QUIET) for word in heads[:shown]))
    for objective in objectives:
        proved = "yes" if objective.proved else format_share(objective.gap, 1)
        cells = (
            objective.name,
            format_fixed(objective.value, 2),
            objective.unit,
            format_fixed(objective.bound, 2),
            proved,
            format_fixed(objective.seconds, 1),
        )
        table.add_row(*cells[:shown])
    return table


def check_page(problems: Sequence[Problem], name: str) -> RenderableType:
    """Return every problem with its cell and what to do: what stops the plan first, then the notes."""
    stops = gathered([problem for problem in problems if problem.stops])
    notes = gathered([problem for problem in problems if not problem.stops])
    parts: list[RenderableType] = []
    if stops:
        parts.append(Group(heading(fix_first(len(stops))), *(indented(problem_line(one)) for one in stops)))
    if notes:
        parts.append(Group(heading("Notes"), *(indented(problem_line(one)) for one in notes)))
    return spaced([*parts, Text(verdict(name, stops=bool(stops)))])


def check_text(problems: Sequence[Problem], name: str) -> str:
    """Return the same for a pipe or a file: each problem in a line of its own, with its label."""
    found = sorted(gathered(problems), key=lambda problem: not problem.stops)
    lines = [f"{'Error' if problem.stops else 'Note'}: {line(problem)}" for problem in found]
    return "\n".join([*lines, verdict(name, stops=any(problem.stops for problem in problems))])


def fix_first(count: int) -> str:
    """Return the heading over what stops the plan."""
    return "Fix this first" if count == 1 else f"Fix these {count} things first"


def verdict(name: str, *, stops: bool) -> str:
    """Return what to do after a check."""
    return "Fix the errors above, then run stillroom plan." if stops else f"No errors. Next: stillroom plan {name}"


def problem_line(problem: Problem) -> Text:
    """Return one problem with its place in bold."""
    return Text.assemble((f"{problem.where}: " if problem.where else "", "bold"), reason(problem))
