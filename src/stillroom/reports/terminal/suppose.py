"""Plans compared: for the terminal, for a sheet of a copy, and as JSON."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from functools import partial
from typing import TYPE_CHECKING

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.plan import Plan, Violation
from stillroom.household.records import FREEZE_WHOLE, THAW, Household
from stillroom.household.results.compare import PART, Line, when_words
from stillroom.household.results.rows import Row, cell_number, in_crop_unit
from stillroom.household.text import format_amount, format_list, format_money, format_period
from stillroom.reports.json import objectives_json, plain, problems_object
from stillroom.reports.terminal.lists import QUIET, Fitted, grid, heading, indented, spaced
from stillroom.reports.terminal.plan import problem_line

if TYPE_CHECKING:
    from stillroom.household.results.compare import Supposed


# The fixed lines a plan could not keep, each in a sentence with what it ran out of.


def not_kept(household: Household, plan: Plan, before: Plan | None = None) -> Iterator[str]:
    """
    Return a sentence for each fixed line that a plan breaks, except those that the plan `before` breaks too.

    >>> from stillroom.household.plan import periods
    >>> from stillroom.household.examples import tiny_household
    >>> home = tiny_household()
    >>> violation = Violation("juice", 1, 14.0, 4.0, ("quart jars",))
    >>> list(not_kept(home, Plan(periods(home.kitchen), violations=(violation,))))
    ['cannot keep juice on Sat Aug 15: 4 short of 14; it runs out of quart jars']
    """
    known = {(one.name, one.period, one.typed, one.short) for one in before.violations} if before is not None else set()
    for violation in plan.violations:
        if (violation.name, violation.period, violation.typed, violation.short) not in known:
            yield f"cannot keep {violation_words(household, plan, violation)}"


def violation_words(household: Household, plan: Plan, violation: Violation) -> str:
    """Return one broken fixed line: by how much, and for lack of what."""
    period = plan.periods[violation.period]
    name = violation.name.removeprefix(FREEZE_WHOLE).removeprefix(THAW)
    crop = next((one for one in household.crops if one.name == name and name != violation.name), None)
    typed, away, unit = violation.typed, abs(violation.short), ""
    if crop is not None:
        typed, away, unit = in_crop_unit(typed, crop), in_crop_unit(away, crop), f" {crop.unit}"
    sense = "short of" if violation.short > 0 else "over"
    when = f"{'on' if period.single else 'in'} {format_period(period.first_day, period.days)}"
    words = f"{violation.name} {when}: {format_amount(away)}{unit} {sense} {format_amount(typed)}"
    return f"{words}; it runs out of {format_list(violation.limits)}" if violation.limits else words


MOST_LINES = 16
"""Lines of one part shown in the terminal; the rest are counted."""

NAME_LETTERS = 22
"""The least width of the column of names."""

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def letter(number: int) -> str:
    """
    What a case is called in the head of a column.

    >>> letter(0), letter(27)
    ('A', 'case 28')
    """
    return LETTERS[number] if number < len(LETTERS) else f"case {number + 1}"


def suppose_page(supposed: Supposed, end: Sequence[str] = ()) -> RenderableType:
    """The cases, then what differs, part by part: the biggest, of the plan by day in the order of its days."""
    parts: list[RenderableType] = [cases_part(supposed)]
    for part, words in PART.items():
        lines = [line for line in supposed.lines if line.part == part and seen_to_differ(line)]
        if lines:
            largest = sorted(lines[:MOST_LINES], key=lambda line: (line.day or datetime.date.min, line.days))
            table = Fitted(partial(lines_tables, len(supposed.cases), largest))
            parts.append(Group(heading(words, "only what differs"), indented(table)))
            if len(lines) > MOST_LINES:
                more = f"{len(lines) - MOST_LINES} smaller differences. --json or --out shows all."
                parts.append(indented(Text(more, QUIET)))
    if len(parts) == 1 and any(plan is not None for plan in supposed.plans):
        parts.append(Text("Nothing would change."))
    several = several_words(supposed)
    if several:
        parts.append(indented(Text(several, QUIET)))
    unproved = [letter(number) for number, plan in enumerate(supposed.plans) if plan is not None and not proved(plan)]
    if unproved:
        parts.append(indented(Text(f"A better plan may be possible for: {format_list(unproved)}.", QUIET)))
    if end:
        parts.append(Group(*(Text(line) for line in end)))
    return spaced(parts)


def seen_to_differ(line: Line) -> bool:
    """Return whether any case has another figure than the plan now, once rounded for the kitchen."""
    first, *others = (figure_words(line, figure) for figure in line.figures)
    return any(words not in (first, "-") for words in others)


def several_words(supposed: Supposed) -> str:
    """Which plans are for several harvests, whose figures are then those of the likely one; empty when none is."""
    names = ["now", *(letter(number) for number in range(len(supposed.plans)))]
    plans = (supposed.plan, *supposed.plans)
    several = [name for name, plan in zip(names, plans, strict=True) if plan is not None and plan.hedge is not None]
    if not several:
        return ""
    return f"Planned for several harvests: {format_list(several)}. The figures are for the likely one."


def proved(plan: object) -> bool:
    """Return whether every objective of a plan is proved."""
    return all(objective.proved for objective in getattr(plan, "objectives", ()))


def cases_part(supposed: Supposed) -> RenderableType:
    """Each case with its changes as they were understood, and why it cannot be planned where it cannot."""
    lines: list[RenderableType] = []
    several = zip(supposed.cases, supposed.refused, supposed.plans, strict=True)
    for number, (case, stops, plan) in enumerate(several):
        title = "" if case.name == "; ".join(case.typed) else f"{case.name}: "
        understood = title + (format_list(case.understood, 0, "; ") or "no change")
        lines.append(indented(Text.assemble((f"{letter(number)}  ", "bold"), understood)))
        reasons = [Text.assemble("cannot be planned: ", problem_line(problem)) for problem in stops[:3]]
        lines += [indented(indented(reason)) for reason in reasons]
        if len(stops) > 3:
            lines.append(indented(indented(Text(f"and {len(stops) - 3} more reasons", QUIET))))
        if plan is not None:
            lines += [indented(indented(Text(words))) for words in not_kept(supposed.household, plan, supposed.plan)]
    return Group(heading("Suppose"), *lines)


def lines_tables(count: int, lines: Sequence[Line], wide: int) -> RenderableType:
    """The tables for a width: so many cases beside each other that what a line is about can still be read."""
    as_it_is, width = (9, 9) if count < 3 else (8, 7)
    beside = max(1, (wide - NAME_LETTERS - as_it_is - 2) // (width + 2))
    tables: list[RenderableType] = []
    for first in range(0, count, beside):
        cases = range(first, min(first + beside, count))
        table = grid(None, as_it_is, *([width] * len(cases)), right=range(1, 2 + len(cases)))
        table.add_row(*(Text(word, QUIET) for word in ("", "now", *map(letter, cases))))
        for line in lines:
            figures = [figure_words(line, line.figures[number + 1]) for number in cases]
            words = (Text(line_words(line)), figure_words(line, line.figures[0]))
            table.add_row(*words, *(Text(figure, "bold") for figure in figures))
        tables.append(table)
    return Group(*tables)


def line_words(line: Line) -> str:
    """What a line is about, with its unit and its day."""
    unit = "" if not line.unit or line.unit == "money" else f" ({line.unit})"
    when = when_words(line)
    return f"{when}: {line.what}{unit}" if when else f"{line.what}{unit}"


def figure_words(line: Line, figure: float | None) -> str:
    """A figure of a line; a dash for a case without a plan."""
    if figure is None:
        return "-"
    if line.unit == "money":
        return format_money(figure)
    return format_amount(figure, line.unit) if abs(figure) > 1e-6 else "0"


def sheet_rows(supposed: Supposed) -> tuple[tuple[str, ...], list[Row]]:
    """Headings and rows of the comparison as a table, unrounded."""
    names: list[str] = []
    for number, case in enumerate(supposed.cases):
        name = f"{letter(number)}: {case.name}"[:200]
        names.append(name)
    headings = ("Part", "Day", "Days", "What", "Unit", "Now", *names)
    rows: list[Row] = []
    for line in supposed.lines:
        row: Row = {
            "Part": PART[line.part],
            "Day": line.day,
            "Days": line.days or None,
            "What": line.what,
            "Unit": line.unit or None,
            "Now": number_of(line.figures[0]),
        }
        row |= {name: number_of(figure) for name, figure in zip(names, line.figures[1:], strict=True)}
        rows.append(row)
    return headings, rows


def number_of(figure: float | None) -> float | int | None:
    """A figure fit for a cell."""
    return None if figure is None else cell_number(figure)


def suppose_object(supposed: Supposed) -> dict[str, object]:
    """The cases and what differs, for other programs; figures in the order now, then the cases."""
    cases = [
        {
            "name": case.name,
            "changes": list(case.typed),
            "understood": list(case.understood),
            **plan_object(plan),
            "problems": problems_object(stops),
            "not_kept": [] if plan is None else list(not_kept(supposed.household, plan, supposed.plan)),
        }
        for case, plan, stops in zip(supposed.cases, supposed.plans, supposed.refused, strict=True)
    ]
    containers = {item.name: item.container for item in supposed.household.preserves}
    currency = supposed.household.kitchen.currency or None
    parts: dict[str, object] = {"now": plan_object(supposed.plan), "cases": cases}
    for part, key in (("list", "coverage"), ("whole", "whole"), ("plan", "plan")):
        parts[key] = [
            {
                "what": line.what,
                "unit": currency if line.unit == "money" else line.unit or containers.get(line.what),
                "day": plain(line.day),
                "days": line.days or None,
                "now": number_of(line.figures[0]),
                "cases": [number_of(figure) for figure in line.figures[1:]],
            }
            for line in supposed.lines
            if line.part == part
        ]
    return parts


def plan_object(plan: Plan | None) -> dict[str, object]:
    """Whether there is a plan, how good it is, and its objectives in the order solved."""
    return {
        "planned": plan is not None,
        "planned_for_several_harvests": plan is not None and plan.hedge is not None,
        "proved": plan is not None and proved(plan),
        "objectives": [] if plan is None else objectives_json(plan.objectives),
    }
