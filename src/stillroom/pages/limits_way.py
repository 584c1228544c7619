"""The way from a workbook to its limits: read, planned in full, planned again with more of each."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from concurrent.futures import Executor, Future
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.errors import WorkbookRefused
from stillroom.household.harvest_cases import LIKELY_HARVEST
from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.household.still_to_do import still_to_do
from stillroom.pages.cleared import cleared_words
from stillroom.pages.likely_harvest import read_for_the_likely
from stillroom.pages.way import Reading, audited_plan, read_workbook
from stillroom.pages.workers import two_workers

if TYPE_CHECKING:
    from rich.console import RenderableType

    from stillroom.planning.limits import LimitsFound
    from stillroom.planning.limits.quick import Quick
    from stillroom.workbook.book import Receipt

Tell = Callable[[str], None]


@dataclass(frozen=True)
class Limited:
    """
    A workbook that was read, its household to be planned, its full plan, and what holds that back.

    `likely` says, where the workbook is planned for several harvests, that this is for the likely one.
    """

    reading: Reading
    household: Household
    plan: Plan
    found: LimitsFound
    likely: str = ""


def readable(path: Path, today: datetime.date) -> Reading:
    """Read a workbook that is to be planned; raises WorkbookRefused when something stops the plan."""
    reading = read_workbook(path, today)
    if reading.stops:
        raise WorkbookRefused(problem for problem in reading.problems if problem.stops)
    return reading


def planned_again(path: Path, today: datetime.date, tell: Tell) -> tuple[Reading, Household, Plan]:
    """
    Read a workbook and plan it in full, as `plan` would; nothing is written.

    Raises WorkbookRefused when something stops the plan, StillroomError when the plan breaks a rule.
    """
    reading = readable(path, today)
    return reading, *audited_plan(reading, None, tell)


def limits_of(path: Path, today: datetime.date, tell: Tell, *, workers: bool = True) -> Limited:
    """
    Find what holds the plan of a workbook back; with `workers` on two processes, with the same answer.

    A workbook that is planned for several harvests is planned for the likely one here. Raises what `planned_again`
    raises.
    """
    with two_workers(wanted=workers) as executor:
        reading, likely = read_for_the_likely(readable(path, today))
        tell("setting up the kitchen")
        from stillroom.planning.limits import begun_ahead

        first = still_to_do(reading.household)
        ahead = begun_ahead(first, executor)
        household, plan = audited_plan(reading, None, tell)
        found = limits_found(household, plan, executor, tell, ahead if household == first else None)
        return Limited(reading, household, plan, found, likely)


def limits_found(
    household: Household,
    plan: Plan,
    executor: Executor | None,
    tell: Tell,
    ahead: Future[Quick] | None = None,
) -> LimitsFound:
    """What holds a full plan of a household back; see `find_limits`."""
    from stillroom.planning.limits import find_limits

    return find_limits(household, plan, executor, tell, ahead)


def write_limits(limited: Limited) -> Receipt:
    """
    Fill the table Limits of the workbook, on a new sheet when it has none; gives what was written.

    Raises CouldNotWrite or WorkbookRefused; nothing is changed then.
    """
    from stillroom.pages.limits_words import limit_rows
    from stillroom.workbook.older_copy import count_writing
    from stillroom.workbook.write import write_table

    rows = limit_rows(limited.household, limited.found, limited.likely)
    book = limited.reading.book
    write_table(book, "Limits", rows)
    if book.changed():
        count_writing(book)
    return book.save()


def written_words(receipt: Receipt) -> tuple[str, ...]:
    """What is to be said of a table Limits that was filled."""
    if not receipt.written:
        return ("The table Limits holds this already: nothing was written.",)
    lines = [f"Written into the table Limits of {receipt.path.name}: {receipt.cells_written} cells."]
    if receipt.backup is not None:
        lines.append(f"The workbook as it was: {receipt.backup.name}")
    return (*lines, *cleared_words(receipt))


def limits_view(limited: Limited, receipt: Receipt | None = None) -> RenderableType:
    """What holds the plan back, for the terminal, and what was written."""
    from stillroom.pages.limits_words import limits_page

    end = () if receipt is None else written_words(receipt)
    return limits_page(limited.household, limited.found, [limited.likely, *end] if limited.likely else end)


def limits_json(limited: Limited, receipt: Receipt | None = None) -> str:
    """The same for other programs; `receipt` where the table Limits was to be filled."""
    from stillroom.pages.as_json import receipt_object, text
    from stillroom.pages.limits_object import limits_object

    whole = limits_object(limited.household, limited.found) | {"planned_for": LIKELY_HARVEST}
    return text(whole if receipt is None else whole | {"receipt": receipt_object(receipt)})
