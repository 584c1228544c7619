"""The way from a workbook and some changes to plans side by side; the household's own file is never written."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.errors import CommandWrong, Problem, WorkbookRefused
from stillroom.handbook.settle import settle as settle_by_handbook
from stillroom.household import checks, ledger
from stillroom.household.answer.compare import Line, side_by_side
from stillroom.household.learning import with_learned
from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.household.still_to_do import still_to_do
from stillroom.household.suppose import ALL_OF_THEM, FORMS, Case, ChangeWrong, cases_from, help_page
from stillroom.household.suppose.cases import case_of
from stillroom.household.tighter import Tighter
from stillroom.pages.limits_way import planned_again
from stillroom.pages.way import Reading, read_workbook
from stillroom.pages.workers import two_workers

__all__ = ["Copied", "Supposed", "forms_json", "help_page", "suppose", "suppose_json", "suppose_view", "write_copy"]

if TYPE_CHECKING:
    from rich.console import RenderableType

    from stillroom.workbook.book import Receipt

Tell = Callable[[str], None]


@dataclass(frozen=True)
class Supposed:
    """
    Cases beside the plan as it is.

    `refused` are, for each case, the problems that stop it; a case without a plan has them. `lines` are what differs.
    """

    reading: Reading
    household: Household
    plan: Plan
    cases: tuple[Case, ...]
    refused: tuple[tuple[Problem, ...], ...]
    plans: tuple[Plan | None, ...]
    lines: tuple[Line, ...]


def suppose(path: Path, changes: Sequence[str], today: datetime.date, tell: Tell, *, workers: bool = True) -> Supposed:
    """
    Plan a workbook as it is and with changes; without changes, the cases of its table Suppose.

    Each case is settled by the handbook again after its changes, so that none revives what the tables refuse.

    Raises CommandWrong for a change that cannot be read, WorkbookRefused when the workbook itself is stopped or every
    case is.
    """
    first = read_workbook(path, today)
    counted, _ = ledger.settle(first.typed)
    cases = cases_from(counted, changes) if changes else cases_of_table(first, counted)
    settled = [settle_again(first, case) for case in cases]
    if all(stops for _, stops in settled):
        raise WorkbookRefused(dict.fromkeys(problem for _, stops in settled for problem in stops))
    with two_workers(wanted=workers and len(cases) > 1) as executor:
        reading, household, plan = planned_again(path, today, tell)
        return beside_it(reading, household, plan, cases, settled, executor, tell)


def beside_it(
    reading: Reading,
    household: Household,
    plan: Plan,
    cases: Sequence[Case],
    settled: Sequence[tuple[Household, tuple[Problem, ...]]],
    executor: Executor | None,
    tell: Tell,
) -> Supposed:
    """
    Plan the cases that nothing stops beside a plan of the household as it is.

    `settled` are the cases' households as the handbook settled them, with what stops them.
    """
    from stillroom.planning.suppose import plan_cases

    as_typed = replace(household, tighter=Tighter())
    sound = [still_to_do(changed) for changed, stops in settled if not stops]
    found = iter(plan_cases(as_typed, plan, sound, executor, tell, plan_on_the_clock))
    plans = tuple(None if stops else next(found) for _, stops in settled)
    beside = [None if one is None else (changed, one) for (changed, _), one in zip(settled, plans, strict=True)]
    lines = side_by_side([(household, plan), *beside])
    return Supposed(reading, household, plan, tuple(cases), tuple(stops for _, stops in settled), plans, lines)


def plan_on_the_clock(household: Household) -> Plan:
    """Plan a household so that every day fits the clock, as `plan` would; can run in another process."""
    return planned_on_the_clock(household)[1]


def planned_on_the_clock(household: Household) -> tuple[Household, Plan]:
    """The same with the household as it was planned, with the tighter limits that the clock asked for."""
    from stillroom.pages.fit_clock import plan_that_fits
    from stillroom.planning.hedge.solve import hedged_plan

    return plan_that_fits(household, hedged_plan, lambda _: None)


def settle_again(reading: Reading, case: Case) -> tuple[Household, tuple[Problem, ...]]:
    """The case's household settled by the handbook after its changes, and the problems that stop it."""
    household, said = settle_by_handbook(case.household)
    problems = [*checks.problems(case.household), *said]
    return with_learned(household, reading.lessons), tuple(one for one in problems if one.stops)


def cases_of_table(reading: Reading, counted: Household) -> tuple[Case, ...]:
    """
    The cases of the table Suppose: rows with the same Case belong together.

    Raises CommandWrong when the workbook has no such table, or a change in it cannot be read, naming its cell.
    """
    from stillroom.workbook.suppose_rows import suppose_rows

    groups: dict[str, list[str]] = {}
    errors = []
    for row in suppose_rows(reading.book):
        groups.setdefault(row.case, []).append(row.change)
        try:
            case_of(counted, [row.change])
        except ChangeWrong as error:
            errors.append(f"{row.where}: {error}")
    if errors:
        raise ChangeWrong("\n".join(errors))
    if not groups:
        msg = f"no change is given, and the workbook has no rows in a table Suppose. {ALL_OF_THEM}"
        raise CommandWrong(msg)
    return tuple(case_of(counted, changes, name) for name, changes in groups.items())


@dataclass(frozen=True)
class Copied:
    """The copy of a workbook that the comparison went into, and on which sheet of it."""

    receipt: Receipt
    sheet: str
    kept: str

    def words(self) -> tuple[str, ...]:
        """What is to be said of it."""
        return (f"Written into {self.receipt.path.name}, sheet {self.sheet}; {self.kept} stays as it is.",)


def write_copy(supposed: Supposed, copy: Path) -> Copied:
    """
    Put the comparison on a sheet Suppose of a copy of the workbook.

    Raises CommandWrong when the copy would be the workbook itself, CouldNotWrite, WorkbookRefused.
    """
    from stillroom.pages.suppose_words import sheet_rows
    from stillroom.workbook.suppose_rows import add_comparison

    book = supposed.reading.book
    if copy.resolve() == book.path.resolve():
        raise CommandWrong("the copy would be the workbook itself; give --out another name")
    headings, rows = sheet_rows(supposed)
    sheet = add_comparison(book, headings, rows)
    return Copied(book.save(copy), sheet, book.path.name)


def suppose_view(supposed: Supposed, copied: Copied | None = None) -> RenderableType:
    """The comparison for the terminal, and what was written."""
    from stillroom.pages.suppose_words import suppose_page

    return suppose_page(supposed, () if copied is None else copied.words())


def suppose_json(supposed: Supposed, copied: Copied | None = None) -> str:
    """The same for other programs; `receipt` and `sheet` where a copy was written."""
    from stillroom.pages.as_json import receipt_object, text
    from stillroom.pages.suppose_words import suppose_object

    whole = suppose_object(supposed)
    if copied is not None:
        whole |= {"receipt": receipt_object(copied.receipt), "sheet": copied.sheet}
    return text(whole)


def forms_json() -> str:
    """How changes are written, for other programs: `changes`, a list of `example` and `means`."""
    from stillroom.pages.as_json import text

    return text({"changes": [{"example": one.example, "means": one.means} for one in FORMS]})
