"""The way from a workbook to its limits: read, planned in full, planned again with more of each."""

from __future__ import annotations

import datetime
from concurrent.futures import Executor, Future
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.app.fit_day import tightened
from stillroom.app.parallel import two_workers
from stillroom.app.plan import (
    Reading,
    at_their_cells,
    audited_plan,
    filled_cells,
    for_the_likely,
    inputs_of,
    likely_words,
    planned_on_the_clock,
    read_for_the_likely,
    read_workbook,
    readable,
)
from stillroom.errors import CommandWrong, Problem
from stillroom.handbook.settle import settle as settle_by_handbook
from stillroom.household.journal import stocks
from stillroom.household.journal.events import still_to_do
from stillroom.household.names import Names, unknown
from stillroom.household.plan import Plan, Progress
from stillroom.household.records import Household, Preserve, Tighter
from stillroom.household.results.bottlenecks import PAST_NOTE, Answer, Past, gains_of, past_in, past_text, with_gains
from stillroom.household.results.commands import save_words
from stillroom.household.results.rows import Row
from stillroom.household.scenarios import LIKELY_HARVEST
from stillroom.reports.json import as_json, errors_object, text
from stillroom.reports.problems import error_lines
from stillroom.reports.terminal.bottlenecks import (
    answer_lines,
    answer_object,
    bottleneck_rows,
    bottlenecks_object,
    bottlenecks_page,
    would_help,
)
from stillroom.reports.terminal.plan import with_errors
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.schema import output_tables
from stillroom.workbook.writer.notices import count_writing
from stillroom.workbook.writer.plan import WOULD_HELP, found_table, notes_in, write_table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from stillroom.household.results.bottlenecks import BottlenecksFound, WouldHelp
    from stillroom.household.results.commands import Receipt
    from stillroom.planning.bottlenecks.resolve import Quick


@dataclass(frozen=True)
class Limited:
    """
    A workbook that was read, its household to be planned, its full plan, and what holds that back.

    `likely` says, where the workbook is planned for several harvests, that this is for the likely one.
    """

    reading: Reading
    household: Household
    plan: Plan
    found: BottlenecksFound
    likely: str = ""


def bottlenecks_of(path: Path, today: datetime.date, progress: Progress, *, workers: bool = True) -> Limited:
    """
    Find what holds the plan of a workbook back; with `workers` on two processes, with the same answer.

    A workbook that is planned for several harvests is planned for the likely one here. Raises what `read_and_plan`
    raises.
    """
    with two_workers(wanted=workers) as executor:
        reading, likely = read_for_the_likely(readable(path, today))
        progress("setting up the kitchen")
        from stillroom.planning.bottlenecks import begun_ahead

        first = still_to_do(reading.household)
        ahead = begun_ahead(first, executor)
        household, plan = audited_plan(reading, None, progress)
        found = bottlenecks_found(household, plan, executor, progress, ahead if household == first else None)
        return Limited(reading, household, plan, found, likely)


def bottlenecks_found(
    household: Household,
    plan: Plan,
    executor: Executor | None,
    progress: Progress,
    ahead: Future[Quick] | None = None,
) -> BottlenecksFound:
    """What holds a full plan of a household back, what is gained fitting the clock; see `find_bottlenecks`."""
    from stillroom.planning.bottlenecks import find_bottlenecks

    return find_bottlenecks(household, plan, executor, progress, ahead, tightened)


def write_bottlenecks(limited: Limited) -> Receipt:
    """
    Fill the table Bottlenecks of the workbook, on a new sheet when it has none; gives what was written.

    Raises CouldNotWrite or WorkbookRefused; nothing is changed then.
    """
    rows = bottleneck_rows(limited.household, limited.found, limited.likely)
    book = limited.reading.book
    write_table(book, "Bottlenecks", rows)
    notes, day = notes_in(book), limited.household.kitchen.first_day
    helps = would_help(limited.household, limited.found, inputs_of(limited.reading)).text
    if book.changed() or notes.get(WOULD_HELP) != helps:
        past = with_gains(past_in(notes.get(PAST_NOTE, "")), day, gains_of(day, limited.found))
        count_writing(book, {WOULD_HELP: helps, PAST_NOTE: past_text(past)})
    return book.save()


def written_words(receipt: Receipt, table: str = "Bottlenecks") -> tuple[str, ...]:
    """What is to be said of a table that was filled on its own."""
    if not receipt.written:
        return (f"The {table} table holds this already. Nothing was written.",)
    lines = [f"Saved in the {table} table of {receipt.path.name}."]
    if receipt.backup is not None:
        lines.append(f"The workbook as it was: {receipt.backup.name}")
    return (*lines, *save_words(receipt))


def bottlenecks_view(limited: Limited, receipt: Receipt | None = None) -> RenderableType:
    """What holds the plan back, for the terminal, and what was written."""
    end = () if receipt is None else written_words(receipt)
    page = bottlenecks_page(limited.household, limited.found, [limited.likely, *end] if limited.likely else end)
    return with_errors(limited.household, page)


def bottlenecks_tables(limited: Limited) -> dict[str, list[Row]]:
    """The table Bottlenecks, for CSV."""
    return {"Bottlenecks": list(bottleneck_rows(limited.household, limited.found))}


def bottlenecks_json(limited: Limited, receipt: Receipt | None = None) -> str:
    """The same for other programs; `receipt` where the table Bottlenecks was to be filled."""
    whole = bottlenecks_object(limited.household, limited.found) | {"planned_for": LIKELY_HARVEST}
    whole |= errors_object(limited.household)
    return text(whole if receipt is None else whole | {"receipt": as_json(receipt)})


# Tables beside a new plan: filled when that was asked for, else emptied of what an older plan left there.

NOT_YET = "Not calculated for this plan. To fill this table, run: stillroom"
FILLED_BY = {
    "Bottlenecks": ("Bottleneck", "bottlenecks", "--bottlenecks"),
    "Can wait": ("Else", "tonight", "--deadlines"),
    "If things go wrong": ("What changes", "tonight --if", "--deadlines"),
}
"""Tables beside a plan: the column for a line on how to fill it, and the command and the option of *plan* that do."""


def bottlenecks_beside(
    household: Household, plan: Plan, inputs: str, progress: Progress
) -> tuple[list[Row], WouldHelp, tuple[Past, ...]]:
    """
    Find the bottlenecks of a plan; gives the rows of their table, what would help most, and what the review keeps.

    A household planned for several harvests is planned again for the likely one, and a last row shows that.
    """
    words = likely_words(household)
    if words:
        progress("planning for the likely harvest alone")
        household, plan = planned_on_the_clock(for_the_likely(replace(household, tighter=Tighter())))
    with two_workers() as executor:
        found = bottlenecks_found(household, plan, executor, progress)
    rows, day = list(bottleneck_rows(household, found, words)), household.kitchen.first_day
    return rows, would_help(household, found, inputs), gains_of(day, found)


def empty_older(book: Book, name: str) -> tuple[str, ...]:
    """
    Queue a table of `FILLED_BY`, if there is one, with a line on how to fill it; what it had is out of date.

    Gives what is to be said of it: nothing where there is no such table, or where nothing stood in it.
    """
    column, command, option = FILLED_BY[name]
    headings = next(table.headings for table in output_tables() if table.name == name)
    found = found_table(book, name, headings)
    if found is None:
        return ()
    words = [cell.value for _, cells in found.rows.filled() for cell in cells if cell.value is not None]
    not_yet = f"{NOT_YET} {command} --write"
    row: Row = dict.fromkeys(headings) | {column: not_yet}
    write_table(book, name, [row])
    if not words or not_yet in words:
        return ()
    return (f"The {name} table was for an older plan and has been emptied. To fill it, plan with {option}.",)


def asked(path: Path, name: str, today: datetime.date, progress: Progress) -> Answer:
    """
    Find why a preserve is not made (or not more of it), or why a need falls short.

    Raises CommandWrong when nothing is called so, WorkbookRefused when something stops the plan.
    """
    from stillroom.planning.why import why_preserve, why_target  # the solver is slow to import

    first = read_workbook(path, today)
    preserves = Names("preserve", (item.name for item in first.household.preserves))
    targets = Names("target", (target.name for target in first.household.targets))
    target, preserve = targets.find(name), preserves.find(name)
    if target is None and preserve is None:
        what, fix = unknown(name, preserves, targets, table="the workbook")
        msg = f"{what}; {fix}"
        raise CommandWrong(msg)
    answer = Answer(name, first.household)
    if preserve is not None:
        item = first.household.preserve(preserve)
        if not item.include:
            refused = item.refused or refused_by_handbook(first, item)
            answer = replace(answer, not_made=item, refused=refused)
            preserve = None
    if target is None and preserve is None:
        return answer
    first, likely = read_for_the_likely(readable(path, today))
    household, plan = audited_plan(first, None, progress)
    progress("looking for what is missing")
    return replace(
        answer,
        household=household,
        likely=likely,
        target=None if target is None else why_target(household, plan, target),
        preserve=None if preserve is None else why_preserve(household, plan, preserve),
    )


def refused_by_handbook(reading: Reading, item: Preserve) -> tuple[Problem, ...]:
    """What of a preserve with Include = no the handbook would refuse if it were yes."""
    counted, _ = stocks.settle(reading.typed)
    settled, _ = settle_by_handbook(counted.changed("preserves", item.name, include=True))
    return tuple(at_their_cells(settled.preserve(item.name).refused, filled_cells(reading.book)))


def why(path: Path, name: str, today: datetime.date, progress: Progress) -> tuple[str, ...]:
    """
    Say in a few sentences why a preserve is not made, or a need falls short, after the errors of other preserves.

    Raises what `asked` raises.
    """
    answer = asked(path, name, today, progress)
    return (*error_lines(answer.household, but=answer.refused), *answer_lines(answer))


def why_json(path: Path, name: str, today: datetime.date, progress: Progress) -> str:
    """Give the same for other programs; raises what `asked` raises."""
    answer = asked(path, name, today, progress)
    return text(answer_object(answer) | errors_object(answer.household))
