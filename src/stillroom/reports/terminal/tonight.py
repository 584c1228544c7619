"""What can wait and where one may stop, for the terminal."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from functools import partial

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from stillroom.household.plan import Plan
from stillroom.household.records import FREEZE_WHOLE, Household
from stillroom.household.results.deadlines import (
    Deadline,
    Deadlines,
    Outcome,
    changes_words,
    else_words,
    lost_words,
    stop_words,
    stops_to_show,
    until_words,
)
from stillroom.household.results.rows import in_crop_unit
from stillroom.household.text import format_containers, format_crop, format_full_date
from stillroom.reports.terminal.lists import QUIET, WIDE, Fitted, grid, heading, indented, section, spaced

MEANING = (
    "Can wait until: the last day, and hour, to begin it so that the winter list stays as planned and no more crop is "
    "lost by the end of the plan; the day's other lines are done around it. "
    "Next week is planned roughly, so it is less sure."
)
IF_WRONG = "If things go wrong"
AT_MOST = (
    "Lost: the most that is lost by the end of the plan, against the plan as it is. "
    "Nothing is bought that the plan does not buy."
)
FINISH = "Finish every load that is in a canner: a process time is never cut short."


def tonight_page(household: Household, plan: Plan, found: Deadlines, end: Sequence[str] = ()) -> RenderableType:
    """Return the page: the lines of each day with their deadlines, and where one may stop on the first."""
    days = list(dict.fromkeys(one.day for one in found.lines))
    if not days:
        nothing = "Nothing is planned for these days, so everything can wait."
        return spaced([Group(heading("What can wait"), indented(Text(nothing))), *map(Text, end)])
    parts: list[RenderableType | None] = []
    for day in days:
        lines = [one for one in found.lines if one.day == day]
        parts.append(Group(heading(format_full_date(day)), Fitted(partial(day_grid, household, plan, lines))))
        shown = [stop_words(household, stop) for stop in stops_to_show(found.stops, day)]
        parts.append(section("You may stop", shown, "lines in the order in which stopping costs least"))
    return spaced([*parts, Text(f"{MEANING} {FINISH}", QUIET), *map(Text, end)])


def if_page(household: Household, found: Sequence[Outcome], end: Sequence[str] = ()) -> RenderableType:
    """Return what changes on the first two days when something goes wrong, and what is lost."""
    return spaced(
        [Group(heading(IF_WRONG), Fitted(partial(if_grid, household, found))), Text(AT_MOST, QUIET), *map(Text, end)]
    )


def if_grid(household: Household, found: Sequence[Outcome], wide: int) -> Table:
    """Return a row for each disruption: what changes, and what is lost."""
    table = grid(30 if wide >= WIDE else 24, None)
    for one in found:
        lost = lost_words(household, one)
        style = "bold" if one.loss is not None and not one.loss.nothing else ""
        words = changes_words(household, one)
        table.add_row(Text(one.name, style), Text(f"{words} Lost: {lost}." if lost else words))
    return table


def day_grid(household: Household, plan: Plan, lines: Sequence[Deadline], wide: int) -> Table:
    """Return the lines of a day, the most urgent first."""
    table = grid(30 if wide >= WIDE else 22, 13, None)
    table.add_row("", Text("can wait until", QUIET), Text("if it is not done by then", QUIET))
    for one in sorted(lines, key=lambda one: (one.until or datetime.date.max, one.name)):
        style = "bold" if one.until == one.day else ""
        table.add_row(
            Text(line_words(household, plan, one), style),
            Text(until_words(household, one), style),
            else_words(household, one),
        )
    return table


def line_words(household: Household, plan: Plan, one: Deadline) -> str:
    """Return a line of the plan with its amount."""
    number = next(period.number for period in plan.periods if period.first_day == one.day)
    if one.name.startswith(FREEZE_WHOLE):
        crop = household.crop(one.name.removeprefix(FREEZE_WHOLE))
        return f"freeze {format_crop(in_crop_unit(plan.freeze_kg[crop.name, number], crop), crop)}"
    return f"{format_containers(plan.make[one.name, number], whole=True)} {one.name}"
