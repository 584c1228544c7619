"""The table Suppose beside a new plan: its cases planned, and what would differ put beside them, where it has room."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from stillroom.errors import Problem
from stillroom.household.answer.compare import Line
from stillroom.household.answer.gains import list_words
from stillroom.household.answer.words import amount_words, listed
from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.workbook.book import Book
from stillroom.workbook.mark import Notes, notes_in
from stillroom.workbook.suppose_rows import SupposeRow, has_answers, suppose_rows, write_answers

if TYPE_CHECKING:
    from stillroom.household.suppose import Case
    from stillroom.pages.suppose_way import Supposed
    from stillroom.pages.way import Reading

Tell = Callable[[str], None]

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


def fill_suppose(reading: Reading, household: Household, plan: Plan, tell: Tell, *, in_time: bool = True) -> None:
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
    answers = dict.fromkeys(groups, CUT_SHORT) if not in_time else answered(reading, household, plan, groups, tell)
    first = {case: several[0].where for case, several in groups.items()}
    write_answers(book, {first[case]: answer for case, answer in answers.items()})


def answered(
    reading: Reading, household: Household, plan: Plan, groups: Mapping[str, Sequence[SupposeRow]], tell: Tell
) -> dict[str, str]:
    """The answer to each case, by its name."""
    from stillroom.household import ledger
    from stillroom.household.suppose import ChangeWrong
    from stillroom.household.suppose.cases import case_of
    from stillroom.pages.suppose_way import beside_it, settle_again
    from stillroom.pages.workers import two_workers

    counted, _ = ledger.settle(reading.typed)
    answers, cases = {}, []
    for name, rows in groups.items():
        try:
            cases.append(case_of(counted, [row.change for row in rows], name))
        except ChangeWrong as error:
            answers[name] = str(error)
    settled = [settle_again(reading, case) for case in cases]
    with two_workers(wanted=len(cases) > 1) as executor:
        supposed = beside_it(reading, household, plan, cases, settled, executor, tell)
    for place, case in enumerate(cases):
        answers[case.name] = case_words(supposed, place, case)
    return answers


def case_words(supposed: Supposed, place: int, case: Case) -> str:
    """What a case would give, in one line: the list, crop fed, hours and money; or why it cannot be planned."""
    stops = supposed.refused[place]
    if stops:
        return f"cannot be planned: {listed([problem_words(one) for one in stops], 2, '; ')}"
    lines = [line for line in supposed.lines if line.figures[place + 1] is not None]
    household = replace(supposed.household, needs=case.household.needs)
    needs = {line.what: change_of(line, place) for line in lines if line.part == "list"}
    known = {need.name for need in household.needs}
    changed = {name: change for name, change in needs.items() if name in known and abs(change) > 0.05}
    words = [list_words(household, changed, 6)] if changed else []
    words += [whole_words(line, place) for line in lines if line.part == "whole"]
    return "; ".join(word for word in words if word) or "nothing would change"


def problem_words(problem: Problem) -> str:
    """A problem on one line."""
    return f"{problem.what}; {problem.fix}"


def change_of(line: Line, place: int) -> float:
    """How much more a case has of something than the plan as it is."""
    return (line.figures[place + 1] or 0.0) - (line.figures[0] or 0.0)


def whole_words(line: Line, place: int) -> str:
    """
    What a case has more or less of in all, as `4 lb less fed`; empty for a crumb.

    >>> whole_words(Line("whole", "hands", "h", (10.0, 12.5), 0.25), 0)
    '2½ h more hands'
    >>> whole_words(Line("whole", "to buy", "money", (10.0, 6.8), 0.3), 0)
    '3.20 less to buy'
    """
    change = change_of(line, place)
    if abs(change) < 0.125 or line.what.startswith("what the list"):
        return ""
    side = "more" if change > 0 else "less"
    much = f"{abs(change):.2f}" if line.unit == "money" else f"{amount_words(abs(change), line.unit)} {line.unit}"
    return f"{much} {side} {line.what}"
