"""The way from a workbook and some changes to plans side by side; the household's own file is never written."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.app.parallel import two_workers
from stillroom.app.plan import Reading, plan_on_the_clock, read_and_plan, read_workbook, told_at_cells
from stillroom.errors import CommandWrong, Problem, WorkbookRefused
from stillroom.handbook.settle import settle as settle_by_handbook
from stillroom.household import checks
from stillroom.household.journal import stocks
from stillroom.household.journal.events import still_to_do
from stillroom.household.journal.learning import with_learned
from stillroom.household.plan import Plan, Progress
from stillroom.household.records import Household, Tighter
from stillroom.household.refusals import NO_DAY, refused_preserves
from stillroom.household.results.compare import STORE_VALUE, Line, Supposed, list_words, side_by_side
from stillroom.household.suppose import ALL_OF_THEM, FORMS, Case, ChangeWrong, cases_from, help_page
from stillroom.household.suppose.grammar import case_of
from stillroom.household.text import format_amount, format_list, format_money
from stillroom.reports.json import as_json, errors_object, text
from stillroom.reports.problems import reason
from stillroom.reports.terminal.plan import with_errors
from stillroom.reports.terminal.suppose import sheet_rows, suppose_object, suppose_page
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.writer.notices import SupposeRow, add_comparison, has_answers, suppose_rows, write_answers
from stillroom.workbook.writer.plan import Notes, notes_in

if TYPE_CHECKING:
    from rich.console import RenderableType

    from stillroom.app.plan import Reading
    from stillroom.household.results.commands import Receipt
    from stillroom.household.suppose import Case


__all__ = ["Compared", "Copied", "forms_json", "help_page", "suppose", "suppose_json", "suppose_view", "write_copy"]


@dataclass(frozen=True)
class Compared(Supposed):
    """Cases beside the plan as it is, with the workbook they were read from."""

    book: Book


def suppose(
    path: Path, changes: Sequence[str], today: datetime.date, progress: Progress, *, workers: bool = True
) -> Compared:
    """
    Plan a workbook as it is and with changes; without changes, the cases of its table Suppose.

    Each case is settled by the handbook again after its changes, so that none revives what the tables refuse.

    Raises CommandWrong for a change that cannot be read, WorkbookRefused when the workbook itself is stopped or every
    case is.
    """
    first = read_workbook(path, today)
    counted, _ = stocks.settle(first.typed)
    cases = cases_from(counted, changes) if changes else cases_of_table(first, counted)
    settled = [settle_again(first, case) for case in cases]
    if all(stops for _, stops in settled):
        raise WorkbookRefused(dict.fromkeys(problem for _, stops in settled for problem in stops))
    with two_workers(wanted=workers and len(cases) > 1) as executor:
        reading, household, plan = read_and_plan(path, today, progress)
        return beside_it(reading, household, plan, cases, settled, executor, progress)


def beside_it(
    reading: Reading,
    household: Household,
    plan: Plan,
    cases: Sequence[Case],
    settled: Sequence[tuple[Household, tuple[Problem, ...]]],
    executor: Executor | None,
    progress: Progress,
) -> Compared:
    """
    Plan the cases that nothing stops beside a plan of the household as it is.

    `settled` are the cases' households as the handbook settled them, with what stops them.
    """
    from stillroom.planning.why import plan_cases

    as_typed = replace(household, tighter=Tighter())
    sound = [still_to_do(changed) for changed, stops in settled if not stops]
    found = iter(plan_cases(as_typed, plan, sound, executor, progress, plan_on_the_clock))
    plans = tuple(None if stops else next(found) for _, stops in settled)
    beside = [None if one is None else (changed, one) for (changed, _), one in zip(settled, plans, strict=True)]
    lines = side_by_side([(household, plan), *beside])
    refused = tuple(stops for _, stops in settled)
    return Compared(household, plan, tuple(cases), refused, plans, lines, reading.book)


def settle_again(reading: Reading, case: Case) -> tuple[Household, tuple[Problem, ...]]:
    """
    The case's household settled by the handbook after its changes, and the problems that stop it.

    A preserve that the handbook refuses only with the changes stops the case; one refused anyway is left out of it, and
    so is one for a load of which the changes leave no day.
    """
    household, said = told_at_cells(reading.book, *settle_by_handbook(case.household))
    before = {item.name for item in refused_preserves(reading.household)}
    newly = [
        problem
        for item in refused_preserves(household)
        for problem in item.refused
        if item.name not in before and problem.kind != NO_DAY
    ]
    stops = [one for one in (*checks.problems(case.household), *said) if one.stops]
    return with_learned(household, reading.lessons), tuple(dict.fromkeys((*stops, *newly)))


def cases_of_table(reading: Reading, counted: Household) -> tuple[Case, ...]:
    """
    The cases of the table Suppose: rows with the same Case belong together.

    Raises CommandWrong when the workbook has no such table, or a change in it cannot be read, naming its cell.
    """
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
        return (f"Saved in {self.receipt.path.name}, sheet {self.sheet}. {self.kept} is not changed.",)


def write_copy(supposed: Compared, copy: Path, *, replace: bool = False) -> Copied:
    """
    Put the comparison on a sheet Suppose of a copy of the workbook.

    Raises CommandWrong when the copy would be the workbook itself, CouldNotWrite, WorkbookRefused.
    """
    book = supposed.book
    if copy.resolve() == book.path.resolve():
        raise CommandWrong("the copy would be the workbook itself; give --out another name")
    headings, rows = sheet_rows(supposed)
    sheet = add_comparison(book, headings, rows)
    return Copied(book.save(copy, replace=replace), sheet, book.path.name)


def suppose_view(supposed: Supposed, copied: Copied | None = None) -> RenderableType:
    """The comparison for the terminal, and what was written."""
    return with_errors(supposed.household, suppose_page(supposed, () if copied is None else copied.words()))


def suppose_json(supposed: Supposed, copied: Copied | None = None) -> str:
    """The same for other programs; `receipt` and `sheet` where a copy was written."""
    whole = suppose_object(supposed) | errors_object(supposed.household)
    if copied is not None:
        whole |= {"receipt": as_json(copied.receipt), "sheet": copied.sheet}
    return text(whole)


def forms_json() -> str:
    """How changes are written, for other programs: `changes`, a list of `example` and `means`."""
    return text({"changes": [{"example": one.example, "means": one.means} for one in FORMS]})


# The table Suppose beside a new plan: its cases planned, and what would differ put beside them, where it has
# room.

CUT_SHORT = "not planned: a time limit was set"


def digest_of_cases(book: Book) -> str:
    """What the table Suppose asks of a plan, in short; empty where it asks nothing or has no room for answers."""
    if not has_answers(book):
        return ""
    asked = "\n".join(f"{row.case}: {row.change}" for row in suppose_rows(book))
    return hashlib.sha256(asked.encode()).hexdigest()[:16]


def are_answered(book: Book) -> bool:
    """Whether the last plan that was written answered these very cases; yes where there are none."""
    return notes_in(book).get("cases", "") == digest_of_cases(book)


def note_of_cases(book: Book) -> Notes:
    """The planner's note to itself of the cases that a plan answers; blank where there are none."""
    return {"cases": digest_of_cases(book)}


def fill_suppose(
    reading: Reading, household: Household, plan: Plan, progress: Progress, *, in_time: bool = True
) -> None:
    """
    Queue the answers to the table Suppose, one in the first row of each case; nothing where it has no room for them.

    A change that cannot be read, or a case that the handbook stops, is answered with what is wrong. When not in time,
    no case is planned, and that is said.
    """
    book = reading.book
    if not has_answers(book):
        return
    rows = suppose_rows(book)
    groups: dict[str, list[SupposeRow]] = {}
    for row in rows:
        groups.setdefault(row.case, []).append(row)
    answers = dict.fromkeys(groups, CUT_SHORT) if not in_time else answered(reading, household, plan, groups, progress)
    first = {case: several[0].where for case, several in groups.items()}
    write_answers(book, {first[case]: answer for case, answer in answers.items()})


def answered(
    reading: Reading, household: Household, plan: Plan, groups: Mapping[str, Sequence[SupposeRow]], progress: Progress
) -> dict[str, str]:
    """The answer to each case, by its name."""
    counted, _ = stocks.settle(reading.typed)
    answers, cases = {}, []
    for name, rows in groups.items():
        try:
            cases.append(case_of(counted, [row.change for row in rows], name))
        except ChangeWrong as error:
            answers[name] = str(error)
    settled = [settle_again(reading, case) for case in cases]
    with two_workers(wanted=len(cases) > 1) as executor:
        supposed = beside_it(reading, household, plan, cases, settled, executor, progress)
    for place, case in enumerate(cases):
        answers[case.name] = case_words(supposed, place, case)
    return answers


def case_words(supposed: Supposed, place: int, case: Case) -> str:
    """What a case would give, in one line: the list, crop fed, hours and money; or why it cannot be planned."""
    stops = supposed.refused[place]
    if stops:
        return f"cannot be planned: {format_list([reason(one) for one in stops], 2, '; ')}"
    lines = [line for line in supposed.lines if line.figures[place + 1] is not None]
    household = replace(supposed.household, targets=case.household.targets)
    targets = {line.what: change_of(line, place) for line in lines if line.part == "list"}
    known = {target.name for target in household.targets}
    changed = {name: change for name, change in targets.items() if name in known and abs(change) > 0.05}
    words = [list_words(household, changed, 6)] if changed else []
    words += [whole_words(line, place) for line in lines if line.part == "whole"]
    return "; ".join(word for word in words if word) or "nothing would change"


def change_of(line: Line, place: int) -> float:
    """How much more a case has of something than the plan as it is."""
    return (line.figures[place + 1] or 0.0) - (line.figures[0] or 0.0)


def whole_words(line: Line, place: int) -> str:
    """
    What a case has more or less of in all, as `4 lb less fed`; empty for a crumb.

    >>> whole_words(Line("whole", "hands", "h", (10.0, 12.5), 0.25), 0)
    '2½ h more hands'
    >>> whole_words(Line("whole", "to buy", "money", (10.0, 6.8), 0.3), 0)
    '$3.20 less to buy'
    """
    change = change_of(line, place)
    if abs(change) < 0.125 or line.what == STORE_VALUE:
        return ""
    side = "more" if change > 0 else "less"
    amount = abs(change)
    much = format_money(amount) if line.unit == "money" else f"{format_amount(amount, line.unit)} {line.unit}"
    return f"{much} {side} {line.what}"
