"""The way from a workbook to its limits: read, planned in full, planned again with more of each."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.errors import StillroomError, WorkbookRefused
from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.household.still_to_do import still_to_do
from stillroom.pages.way import Reading, read_workbook
from stillroom.pages.workers import two_workers

if TYPE_CHECKING:
    from rich.console import RenderableType

    from stillroom.planning.limits import LimitsFound

Tell = Callable[[str], None]


@dataclass(frozen=True)
class Limited:
    """A workbook that was read, its household to be planned, its full plan, and what holds that back."""

    reading: Reading
    household: Household
    plan: Plan
    found: LimitsFound


def planned_again(path: Path, today: datetime.date, tell: Tell) -> tuple[Reading, Household, Plan]:
    """
    Read a workbook and plan it in full, as `plan` would; nothing is written.

    Raises WorkbookRefused when something stops the plan, StillroomError when the plan breaks a rule.
    """
    reading = read_workbook(path, today)
    if reading.stops:
        raise WorkbookRefused(problem for problem in reading.problems if problem.stops)
    tell("setting up the kitchen")
    from stillroom.planning.solve import plan

    household = still_to_do(reading.household)
    found = plan(household, None, lambda aim: tell(f"planning: {aim}"))
    refuse_broken(household, found)
    return reading, household, found


def refuse_broken(household: Household, plan: Plan) -> None:
    """Raise StillroomError when a plan does not keep every rule."""
    from stillroom.household.audit import broken_rules

    broken = broken_rules(household, plan)
    if broken:
        msg = "the plan that was found does not keep every rule, so it is not used: " + "; ".join(broken[:5])
        raise StillroomError(msg)


def limits_of(path: Path, today: datetime.date, tell: Tell, *, workers: bool = True) -> Limited:
    """
    Find what holds the plan of a workbook back; with `workers` on two processes, with the same answer.

    Raises what `planned_again` raises.
    """
    with two_workers(wanted=workers) as executor:
        reading, household, found = planned_again(path, today, tell)
        from stillroom.planning.limits import find_limits

        return Limited(reading, household, found, find_limits(household, found, executor, tell))


def write_limits(limited: Limited) -> tuple[str, ...]:
    """
    Fill the table Limits of the workbook, on a new sheet when it has none; gives what is to be said of it.

    Raises CouldNotWrite or WorkbookRefused; nothing is changed then.
    """
    from stillroom.pages.limits_words import limit_rows
    from stillroom.workbook.write import write_table

    rows = limit_rows(limited.household, limited.found)
    book = limited.reading.book
    write_table(book, "Limits", rows)
    receipt = book.save()
    if not receipt.written:
        return ("The table Limits holds this already: nothing was written.",)
    lines = [f"Written into the table Limits of {receipt.path.name}: {receipt.cells_written} cells."]
    if receipt.backup is not None:
        lines.append(f"The workbook as it was: {receipt.backup.name}")
    return tuple(lines)


def limits_view(limited: Limited, end: Sequence[str] = ()) -> RenderableType:
    """What holds the plan back, for the terminal; `end` says what was written."""
    from stillroom.pages.limits_words import limits_page

    return limits_page(limited.household, limited.found, end)


def limits_json(limited: Limited) -> str:
    """The same for other programs."""
    from stillroom.pages.as_json import text
    from stillroom.pages.limits_words import limits_object

    return text(limits_object(limited.household, limited.found))
