"""The words of `plan` and `check` in the terminal, as rich renderables that read well at 80 columns without colour."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.errors import Problem
from stillroom.household.plan import AimResult
from stillroom.pages.terminal_days import QUIET, Tables, days_page, grid, heading, indented, spaced
from stillroom.pages.terminal_lists import messages, to_buy, where_crops_end, winter_list


def plan_page(
    tables: Tables, today: datetime.date, aims: Sequence[AimResult] = (), end: Sequence[str] = ()
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
        aims_table(aims),
        Group(*(Text(line) for line in end)) if end else None,
    ]
    return spaced([part for part in parts if part is not None])


def aims_table(aims: Sequence[AimResult]) -> RenderableType | None:
    """How far each aim was reached, in the order solved, with what was proved and the seconds."""
    if not aims:
        return None
    table = grid(14, 12, 14, 12, 8, 7)
    table.columns[0].justify = "left"
    for column in (table.columns[1], table.columns[3], table.columns[4], table.columns[5]):
        column.justify = "right"
    table.add_row(*(Text(word, QUIET) for word in ("aim", "reached", "", "at best", "proved", "seconds")))
    for aim in aims:
        proved = "yes" if aim.proved else f"{100 * aim.gap:.1f} %"
        table.add_row(aim.name, f"{aim.value:,.2f}", aim.unit, f"{aim.bound:,.2f}", proved, f"{aim.seconds:.1f}")
    return Group(heading("How good it is", "each aim is held while the next is improved"), table)


def check_page(problems: Sequence[Problem], name: str) -> RenderableType:
    """Every problem with its cell and its cure: what stops the plan first, then what is only said."""
    stops = [problem for problem in problems if problem.stops]
    others = [problem for problem in problems if not problem.stops]
    parts: list[RenderableType] = []
    if stops:
        count = "one thing" if len(stops) == 1 else f"{len(stops)} things"
        parts.append(Group(heading(f"{count} to put right"), *(indented(problem_line(one)) for one in stops)))
    if others:
        parts.append(Group(heading("Worth knowing"), *(indented(problem_line(one)) for one in others)))
    verdict = f"{name} cannot be planned yet." if stops else f"{name} can be planned."
    return spaced([*parts, Text(verdict)])


def check_text(problems: Sequence[Problem], name: str) -> str:
    """The same for a pipe or a file: every problem in a line of its own, however long."""
    stops = [problem for problem in problems if problem.stops]
    lines = [f"to put right: {problem}" for problem in stops]
    lines += [f"worth knowing: {problem}" for problem in problems if not problem.stops]
    return "\n".join([*lines, f"{name} cannot be planned yet." if stops else f"{name} can be planned."])


def problem_line(problem: Problem) -> Text:
    """One problem as `Sheet!B7: what; what to do`."""
    return Text.assemble((problem.where, "bold"), f": {problem.what}; {problem.fix}")
