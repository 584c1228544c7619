"""The one way through: workbook to household to plan and back; every problem is found before it stops."""

from __future__ import annotations

import dataclasses
import datetime
import hashlib
import re
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from stillroom import __version__
from stillroom.errors import Problem, StillroomError, WorkbookRefused
from stillroom.handbook.cautions import cautions_for
from stillroom.handbook.settle import settle as settle_by_handbook
from stillroom.household import answer, checks, ledger
from stillroom.household.answer.units import Row
from stillroom.household.digest import digest
from stillroom.household.plan import AimResult
from stillroom.household.records import Household
from stillroom.household.still_to_do import still_to_do
from stillroom.workbook import read, write
from stillroom.workbook.book import Book, Receipt

Tell = Callable[[str], None]


def silent(_: str) -> None:
    """Tell nobody."""


@dataclass(frozen=True)
class Reading:
    """A workbook that was read: the household as typed and as settled, with every problem."""

    book: Book
    typed: Household
    household: Household
    problems: tuple[Problem, ...]

    @property
    def stops(self) -> bool:
        """Whether anything stops a plan."""
        return any(problem.stops for problem in self.problems)


@dataclass(frozen=True)
class Planned:
    """
    What came of planning: the tables, and what was written.

    `unchanged` says that the workbook held the plan of these inputs already; the tables are then those that stand in
    it, and there are no aims, for nothing was worked out again.
    """

    tables: dict[str, list[Row]]
    aims: tuple[AimResult, ...]
    receipt: Receipt
    unchanged: bool
    seconds: float


def read_workbook(path: Path, today: datetime.date) -> Reading:
    """
    Read a workbook and find everything that is wrong with it, in one pass; writes nothing.

    Raises WorkbookRefused when the file cannot be opened as a workbook at all.
    """
    book = Book.open(path)
    typed, said = read.household(book, today)
    problems = [*said, *checks.problems(typed)]
    counted, said = ledger.settle(typed)
    problems += said
    household, said = settle_by_handbook(counted)
    problems += said
    return Reading(book, typed, household, in_order_of_place(problems, book.sheet_names))


def in_order_of_place(problems: Iterable[Problem], sheets: Sequence[str]) -> tuple[Problem, ...]:
    """
    Problems as one walks through the workbook, sheet by sheet and down each; the same one is said once.

    >>> two = [Problem(f"Lids!B{row}", "is blank", "fill it", "blank required") for row in (10, 9)]
    >>> [problem.where for problem in in_order_of_place(two + two, ["Lids"])]
    ['Lids!B9', 'Lids!B10']
    """
    number = {name.casefold(): place for place, name in enumerate(sheets)}

    def place(problem: Problem) -> tuple[int, int, int, str, str]:
        sheet, _, cell = problem.where.rpartition("!")
        found = re.match(r"([A-Z]{1,3})(\d+)", cell)
        column, row = (found[1], int(found[2])) if found else ("", 0)
        return number.get(sheet.strip("'").casefold(), -1), row, len(column), column, problem.what

    return tuple(sorted(dict.fromkeys(problems), key=place))


def plan_workbook(
    reading: Reading, out: Path | None = None, time_limit_seconds: float | None = None, tell: Tell = silent
) -> Planned:
    """
    Plan what was read, audit the plan, and write it into the workbook, or into a copy at `out`.

    A workbook that holds the plan of these inputs, this version and these settings keeps its bytes.

    Raises WorkbookRefused with every problem when any stops, NoPlanInTime, CouldNotWrite; nothing is written then.
    """
    if reading.stops:
        raise WorkbookRefused(problem for problem in reading.problems if problem.stops)
    began = time.monotonic()
    inputs = mark_of(reading.typed, time_limit_seconds)
    if write.is_unchanged(reading.book, inputs):
        tables = said_again(reading)
        return Planned(tables, (), reading.book.save(out), unchanged=True, seconds=time.monotonic() - began)
    tables, aims = planned_tables(reading, time_limit_seconds, tell)
    tell("writing the workbook")
    write.write(reading.book, tables, reading.household.kitchen.first_day, inputs)
    receipt = reading.book.save(out)
    return Planned(tables, aims, receipt, unchanged=False, seconds=time.monotonic() - began)


def mark_of(typed: Household, time_limit_seconds: float | None) -> str:
    """Digest of all that a plan rests on: what the household typed, the version of the planner, and its settings."""
    settings = "" if time_limit_seconds is None else f"at most {time_limit_seconds:g} s"
    return hashlib.sha256("\n".join((digest(typed), __version__, settings)).encode()).hexdigest()


def planned_tables(
    reading: Reading, time_limit_seconds: float | None, tell: Tell
) -> tuple[dict[str, list[Row]], tuple[AimResult, ...]]:
    """Plan and audit; the rows of every output table, and the aims."""
    tell("setting up the kitchen")
    from stillroom.household.audit import broken_rules  # the solver's room and the audit are slow to import
    from stillroom.planning.solve import plan

    to_plan = still_to_do(reading.household)
    found = plan(to_plan, time_limit_seconds, lambda aim: tell(f"planning: {aim}"))
    broken = broken_rules(to_plan, found)
    if broken:
        msg = "the plan that was found does not keep every rule, so nothing was written: " + "; ".join(broken[:5])
        raise StillroomError(msg)
    said = [problem for problem in reading.problems if not problem.stops]
    as_typed = dataclasses.replace(reading.household, plan_lines=reading.typed.plan_lines)
    return answer.tables(as_typed, found, said, cautions_for(reading.household, found)), found.aims


def said_again(reading: Reading) -> dict[str, list[Row]]:
    """The tables as they stand in the workbook, with the units that stand beside amounts elsewhere."""
    tables: dict[str, list[Row]] = {name: list(rows) for name, rows in write.standing_tables(reading.book).items()}
    tables["Plan"] = [row for row in tables["Plan"] if row["Preserve"] is not None]
    units = {need.name: need.unit or None for need in reading.household.needs}
    for row in tables["Coverage"]:
        row["Unit"] = units.get(str(row["Need"]))
    for row in tables["Space"]:
        row["Unit"] = reading.household.kitchen.volume_unit
    tables["Messages"] = write.without_mark(tables["Messages"])
    return tables


def end_words(planned: Planned, name: str) -> Sequence[str]:
    """The last lines of a plan: what was written and where the workbook as it was is kept."""
    receipt = planned.receipt
    if planned.unchanged:
        where = f"{name} holds this plan already: nothing in it has changed since, and nothing was written."
        return [where] if not receipt.written else [f"{where} {receipt.path.name} is a copy of it."]
    kept = f"{receipt.members_kept} parts of the file kept byte for byte"
    wrote = f"Written into {receipt.path.name}: {receipt.cells_written} cells; {kept}."
    lines = [f"{wrote} Planned in {planned.seconds:.1f} s."]
    if receipt.backup is not None:
        lines.append(f"The workbook as it was: {receipt.backup.name}")
    if receipt.results_cleared:
        cells = ", ".join(receipt.results_cleared[:4]) + (" and others" if len(receipt.results_cleared) > 4 else "")
        lines.append(f"Formulas to be worked out anew when you open it: {cells}")
    return lines
