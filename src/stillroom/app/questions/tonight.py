"""What can wait, and what changes when something goes wrong: the plan made again for each, shown and written."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.app.fit_day import latest_begin, tightened
from stillroom.app.plan import (
    PlanFound,
    Reading,
    audited_plan,
    for_the_likely,
    likely_words,
    mark_of,
    planned_on_the_clock,
    read_for_the_likely,
    readable,
)
from stillroom.app.questions.bottlenecks import written_words
from stillroom.app.questions.less import with_less
from stillroom.app.questions.suppose import settle_again
from stillroom.errors import CommandWrong
from stillroom.household.journal import stocks
from stillroom.household.journal.events import still_to_do
from stillroom.household.names import tidy_text
from stillroom.household.plan import Plan, Progress
from stillroom.household.records import Household, Tighter
from stillroom.household.results.deadlines import (
    Deadlines,
    Outcome,
    deadline_rows,
    deadlines_object,
    disruption_rows,
    disruptions_object,
    else_words,
    until_words,
)
from stillroom.household.results.rows import Row, day_in, number_in, text_in
from stillroom.household.suppose import ChangeWrong
from stillroom.household.suppose.disruptions import TEN, Disruption, the_ten, with_lines_of
from stillroom.household.suppose.grammar import case_of
from stillroom.reports.json import as_json, errors_object, text
from stillroom.reports.problems import reason
from stillroom.reports.terminal.day import if_page, tonight_page
from stillroom.reports.terminal.plan import with_errors
from stillroom.workbook.writer.notices import count_writing, typed_disruptions
from stillroom.workbook.writer.plan import is_unchanged, write_deadlines, write_table, write_tables

if TYPE_CHECKING:
    from rich.console import RenderableType

    from stillroom.household.results.commands import Receipt

NO_PLAN = "There is no plan in the workbook yet; this is for the plan that would be made. To write it: stillroom plan"
NOT_THIS_PLAN = "The workbook has changed since it was planned; this is for a new plan. To write it: stillroom plan"
CANNOT_HAPPEN = "This plan has no part of it."
DAYS = 7
"""Of so many days the lines are looked at beside a new plan."""
TABLES = CAN_WAIT, IF_WRONG = "Can wait", "If things go wrong"


@dataclass(frozen=True)
class Tonight:
    """
    A workbook that was read, its plan, and how long each line of it can wait; `notes` are to be shown with it.

    `outcomes` are there instead where it was asked what changes when something goes wrong. `standing` is whether the
    workbook holds this plan.
    """

    reading: Reading
    household: Household
    plan: Plan
    deadlines: Deadlines
    notes: tuple[str, ...]
    outcomes: tuple[Outcome, ...] | None = None
    standing: bool = False


def tonight_of(
    path: Path, today: datetime.date, days: int, progress: Progress, *, disruptions: bool = False
) -> Tonight:
    """
    Plan a workbook and find how long the lines of its first days can wait, or what changes when something goes wrong.

    A workbook that is planned for several harvests is planned for the likely one here. Raises what `read_and_plan`
    raises, and ChangeWrong for a row of the table Disruptions that cannot be read.
    """
    from stillroom.planning.deadlines import find_deadlines  # the solver is slow to import

    reading = readable(path, today)
    planned = any(line.make is not None for line in reading.typed.plan_lines)
    standing = is_unchanged(reading.book, mark_of(reading.typed, None))
    notes = () if standing else (NOT_THIS_PLAN if planned else NO_PLAN,)
    reading, likely = read_for_the_likely(reading)
    notes = (*notes, *([likely] if likely else []))
    typed = typed_disruptions(reading.book) if disruptions else ()
    household, plan = audited_plan(reading, None, progress)
    if disruptions:
        outcomes = outcomes_of(reading, household, plan, typed, progress)
        return Tonight(reading, household, plan, Deadlines(), notes, outcomes, standing)
    progress("holding back one line after the other")
    return Tonight(
        reading, household, plan, find_deadlines(household, plan, tightened, latest_begin, days), notes, None, standing
    )


def outcomes_of(
    reading: Reading, household: Household, plan: Plan, typed: Sequence[tuple[str, str]], progress: Progress
) -> tuple[Outcome, ...]:
    """
    Return what each disruption does to a plan: those typed, by (words, place), else the ten likeliest.

    Raises ChangeWrong with every row that cannot be read.
    """
    from stillroom.planning.deadlines import outcome_of

    asked: list[Disruption | Outcome] = list(the_ten(household, plan)) if not typed else []
    wrong = []
    for words, where in typed:
        try:
            asked.append(disruption_typed(reading, household, plan, words))
        except CommandWrong as error:
            wrong.append(f"{where}: {error}")
    if wrong:
        raise ChangeWrong("\n".join(wrong))
    found = []
    for one in asked:
        progress(f"planning again: {one.name}")
        found.append(one if isinstance(one, Outcome) else outcome_of(one, plan, tightened))
    return tuple(found)


def disruption_typed(reading: Reading, household: Household, plan: Plan, words: str) -> Disruption | Outcome:
    """
    Return what the household typed: one of the ten, less of something today, or a change as in Suppose.

    A change is settled by the handbook again; one that it stops is an outcome by itself. Raises CommandWrong.
    """
    as_planned, name = with_lines_of(household, plan), tidy_text(words)
    one_of_ten = TEN.get(name.casefold())
    if one_of_ten is not None:
        found = one_of_ten(as_planned, plan)
        return Outcome(name, refused=CANNOT_HAPPEN) if found is None else found
    try:
        return Disruption(name, with_less(as_planned, [name])[0])
    except CommandWrong:
        counted, _ = stocks.settle(reading.typed)
        case = case_of(counted, [part.strip() for part in name.split(";") if part.strip()])
        changed, stops = settle_again(reading, case)
        if stops:
            return Outcome(name, refused="; ".join(reason(one) for one in stops))
        likely = for_the_likely(still_to_do(changed))
        return Disruption(name, with_lines_of(replace(likely, plan_lines=household.plan_lines), plan))


def write_tonight(found: Tonight) -> Receipt:
    """
    Fill the table Can wait of the workbook, or If things go wrong, on a new sheet when it has none.

    A workbook that holds this plan also gets the columns *Can wait until* and *Else* of Plan. Raises CouldNotWrite or
    WorkbookRefused; nothing is changed then.
    """
    book = found.reading.book
    if found.outcomes is not None:
        write_table(book, IF_WRONG, disruption_rows(found.household, found.outcomes))
    else:
        write_table(book, CAN_WAIT, deadline_rows(found.household, found.deadlines))
        if found.standing:
            write_deadlines(book, dict(waits(found.household, found.deadlines)))
    if book.changed():
        count_writing(book)
    return book.save()


def waits(household: Household, found: Deadlines) -> Iterator[tuple[tuple[datetime.date, str], tuple[str, str]]]:
    """Yield the two cells of Plan for each line, by day and name."""
    for one in found.lines:
        yield (one.day, one.name), (until_words(household, one, dated=True), else_words(household, one))


def tonight_view(found: Tonight, receipt: Receipt | None = None) -> RenderableType:
    """What can wait, or what changes when something goes wrong, for the terminal, and what was written."""
    table = CAN_WAIT if found.outcomes is None else IF_WRONG
    end = found.notes if receipt is None else (*found.notes, *written_words(receipt, table))
    if found.outcomes is not None:
        return with_errors(found.household, if_page(found.household, found.outcomes, end))
    return with_errors(found.household, tonight_page(found.household, found.plan, found.deadlines, end))


def tonight_tables(found: Tonight) -> dict[str, list[Row]]:
    """The table Can wait, or If things go wrong, for CSV."""
    if found.outcomes is not None:
        return {IF_WRONG: disruption_rows(found.household, found.outcomes)}
    return {CAN_WAIT: deadline_rows(found.household, found.deadlines)}


def tonight_json(found: Tonight, receipt: Receipt | None = None) -> str:
    """The same for other programs: `lines` and `stops`, or `disruptions`; `receipt` where a table was to be filled."""
    if found.outcomes is not None:
        whole: dict[str, object] = {"disruptions": disruptions_object(found.household, found.outcomes)}
    else:
        whole = deadlines_object(found.household, found.deadlines)
    whole |= {"notes": list(found.notes)} | errors_object(found.household)
    return text(whole if receipt is None else whole | {"receipt": as_json(receipt)})


# Both beside a new plan.


def fill_deadlines(found: PlanFound, progress: Progress) -> None:
    """
    Fill the columns of Plan in the rows of a new plan, and queue the tables Can wait and If things go wrong.

    A household planned for several harvests is planned again for the likely one. Raises ChangeWrong for a row of the
    table Disruptions that cannot be read.
    """
    from stillroom.planning.deadlines import find_deadlines

    reading, household, plan = found.reading, found.household, found.plan
    if likely_words(household):
        progress("planning for the likely harvest alone")
        household, plan = planned_on_the_clock(for_the_likely(replace(household, tighter=Tighter())))
    outcomes = outcomes_of(reading, household, plan, typed_disruptions(reading.book), progress)
    progress("holding back one line after the other")
    deadlines = find_deadlines(household, plan, tightened, latest_begin, DAYS)
    cells = dict(waits(household, deadlines))
    for row in found.tables["Plan"]:
        if number_in(row, "Days") == 1:
            until, otherwise = cells.get((day_in(row), text_in(row, "Preserve")), ("", ""))
            row |= {"Can wait until": until or None, "Else": otherwise or None}
    filled = {CAN_WAIT: deadline_rows(household, deadlines), IF_WRONG: disruption_rows(household, outcomes)}
    write_tables(reading.book, filled)
    found.tables.update(filled)
