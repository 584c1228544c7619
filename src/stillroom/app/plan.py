"""The one way through: workbook to household to plan and back; every problem is found before it stops."""

from __future__ import annotations

import dataclasses
import datetime
import hashlib
import re
import time
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from stillroom import __version__
from stillroom.app.model_file import write_model
from stillroom.errors import Problem, StillroomError, WorkbookRefused
from stillroom.handbook.cautions import cautions_for
from stillroom.handbook.settle import settle as settle_by_handbook
from stillroom.handbook.settle import within_recipes
from stillroom.household import checks
from stillroom.household.journal import stocks
from stillroom.household.journal.events import MadeLine, made_lines, made_twice, still_to_do, with_made_recorded
from stillroom.household.journal.fingerprint import (
    counted_text,
    digest,
    parts,
    parts_in,
    parts_text,
    recounted,
    why_words,
)
from stillroom.household.journal.learning import Learned, learned, learned_problems, with_learned
from stillroom.household.journal.overview import failed_seals, not_recorded
from stillroom.household.plan import Hedge, ObjectiveResult, Plan, objectives_from, objectives_text
from stillroom.household.records import Household
from stillroom.household.results import tables as answer
from stillroom.household.results.messages import NOTE, WARNING
from stillroom.household.results.plan_table import change_words, changes
from stillroom.household.results.sums import Sums
from stillroom.household.results.values import Row
from stillroom.household.text import format_list, format_long_date, format_number
from stillroom.timetable.audit import broken_promises, too_much_to_freeze
from stillroom.timetable.clock import on_the_clock
from stillroom.timetable.schedule import DayOnClock
from stillroom.timetable.sessions import Session, sessions_of_plan
from stillroom.timetable.table import clock_messages, timetable_rows
from stillroom.workbook.ooxml.book import Book, Receipt
from stillroom.workbook.reader import household as read
from stillroom.workbook.writer import plan as write
from stillroom.workbook.writer.notices import hidden_answers, looked_at_by_pivots, older_copy, saved_day, times_written
from stillroom.workbook.writer.plan_mark import Notes, mark_in, notes_in
from stillroom.workbook.writer.record import keys_in, record_made

# The clock beside the other tables of a plan: the Timetable, and what to say of days that do not fit their hours.


def checked_clock(household: Household, sessions: Sequence[Session]) -> tuple[tuple[DayOnClock, ...], tuple[str, ...]]:
    """The days on the clock with what is wrong with them: a clock that cannot be kept is not to be shown."""
    clock = on_the_clock(household, sessions)
    return clock, broken_promises(household, sessions, clock)


def add_clock(tables: dict[str, list[Row]], household: Household, sessions: Sequence[Session]) -> None:
    """Add the Timetable to the tables of a plan, and its messages after the others that are to be looked at."""
    clock, broken = checked_clock(household, sessions)
    broken += tuple(too_much_to_freeze(household, sessions))
    if broken:
        what = f"there are no times for the days: the clock that was made cannot be kept ({broken[0]})"
        fix = "the plan itself holds"
        told: list[Row] = [{"Severity": NOTE, "Where": "Timetable", "What": what, "What to do": fix}]
    else:
        told = list(clock_messages(clock))
    again = planned_again(household, {day.day for day in clock if not day.fits})
    tables["Timetable"] = [] if broken else timetable_rows(clock)
    messages = tables["Messages"]
    place = sum(row["Severity"] == WARNING for row in messages)
    messages[place:place] = [row for row in told if row["Severity"] == WARNING]
    place = sum(row["Severity"] in (WARNING, NOTE) for row in messages)
    messages[place:place] = [*(row for row in told if row["Severity"] != WARNING), *again]


def planned_again(household: Household, over: Collection[datetime.date]) -> list[Row]:
    """Say which days were planned again to fit the clock; one that is still over is said to be, elsewhere."""
    return [
        {
            "Severity": NOTE,
            "Where": f"Timetable, {format_long_date(day)}",
            "What": f"the day's loads were within its hours as a sum, but not one after the other: {words}; "
            "the day was planned again and fits now",
            "What to do": "to have more on that day, begin earlier or write more hours of stove and hands",
        }
        for day, words in household.tighter.told
        if day not in over
    ]


Tell = Callable[[str], None]

NOT_GIVEN = ("altitude missing", "gauge missing")
"""Kinds of problem of a setting that is blank, or could not be read."""


def silent(_: str) -> None:
    """Tell nobody."""


@dataclass(frozen=True)
class Reading:
    """
    A workbook that was read: the household as typed and as settled, with every problem.

    `moves` are the plan lines with *Made* filled: `typed` has them in its record already, and a plan writes them there.
    `lessons` is what the record teaches; `household` is planned with it.
    """

    book: Book
    typed: Household
    household: Household
    problems: tuple[Problem, ...]
    moves: tuple[MadeLine, ...] = ()
    lessons: tuple[Learned, ...] = ()

    @property
    def stops(self) -> bool:
        """Whether anything stops a plan."""
        return any(problem.stops for problem in self.problems)


@dataclass(frozen=True)
class Planned:
    """
    What came of planning: the tables, and what was written.

    `unchanged` is whether the workbook had the plan of these inputs already; the tables and objectives are then those
    kept in it. `why` says what was put into the record, what changed
    since the last plan, and how many lines changed by it. `hedge` are the other seasons of a plan for several.
    """

    tables: dict[str, list[Row]]
    objectives: tuple[ObjectiveResult, ...]
    receipt: Receipt
    unchanged: bool
    seconds: float
    why: tuple[str, ...] = ()
    hedge: Hedge | None = None


def read_workbook(path: Path, today: datetime.date) -> Reading:
    """
    Read a workbook and find everything that is wrong with it, in one pass; writes nothing.

    Raises WorkbookRefused when the file cannot be opened as a workbook at all.
    """
    book = Book.open(path)
    raw, said = read.household(book, today)
    problems = [*said, *checks.problems(raw), *made_twice(raw)]
    notes = notes_in(book)
    moves = moves_of(book, raw, notes)
    typed = with_made_recorded(raw, moves)
    counted, said = stocks.settle(typed)
    problems += said
    household, said = settle_by_handbook(counted)
    problems += not_told_already(said, problems)
    lessons = within_recipes(counted, learned(typed))
    problems += [*learned_problems(typed, lessons), *failed_seals(typed), *not_recorded(raw)]
    problems += [*recounted(typed, notes.get("counted", "")), *older_copy(book), *write.protected(book)]
    problems += [*hidden_answers(book), *saved_day(book, raw.kitchen.first_day, today)]
    household = with_learned(household, lessons)
    return Reading(book, typed, household, in_order_of_place(problems, book.sheet_names), moves, lessons)


def not_told_already(said: Iterable[Problem], before: Sequence[Problem]) -> list[Problem]:
    """
    Leave out that a setting is not given where its row was told to be unreadable: it is given, and that is told.

    >>> wrong = Problem("Kitchen!B6", "*altitude* is 99,999 ft", "write less", "out of range")
    >>> not_told_already([Problem("Kitchen!B6", "it is not given", "write it", "altitude missing")], [wrong])
    []
    """
    rows = {re.sub(r"![A-Z]+", "!", one.where) for one in before if one.stops}
    return [one for one in said if one.kind not in NOT_GIVEN or re.sub(r"![A-Z]+", "!", one.where) not in rows]


def moves_of(book: Book, raw: Household, notes: Notes) -> tuple[MadeLine, ...]:
    """The plan lines that say what was made; a line is known by its plan, or without one by all that is typed."""
    if all(line.made is None for line in raw.plan_lines):
        return ()
    mark = mark_in(notes)
    return made_lines(raw, "-".join(mark) if mark else digest(raw), keys_in(book))


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
    reading: Reading,
    out: Path | None = None,
    time_limit_seconds: float | None = None,
    tell: Tell = silent,
    *,
    with_bottlenecks: bool = False,
    model: Path | None = None,
) -> Planned:
    """
    Plan what was read, audit the plan, and write it into the workbook, or into a copy at `out`.

    A workbook that holds the plan of these inputs, this version and these settings keeps its bytes. With
    `with_bottlenecks` it is planned in any case, and the table Bottlenecks is filled; else one of an older plan is emptied.
    With `model` the model that is solved first is written to that .lp or .mps file, before it is solved.

    Raises WorkbookRefused with every problem when any stops, NoPlanInTime, CouldNotWrite; the file is as it was then.
    """
    if reading.stops:
        raise WorkbookRefused(problem for problem in reading.problems if problem.stops)
    if model is not None:
        tell("writing the model")
        write_model(still_to_do(reading.household), model)
    began = time.monotonic()
    from stillroom.app import bottlenecks, suppose  # they go this way themselves

    inputs = mark_of(reading.typed, time_limit_seconds)
    asked = with_bottlenecks or bool(reading.moves) or not suppose.are_answered(reading.book)
    if not asked and write.is_unchanged(reading.book, inputs):
        objectives = objectives_from(notes_in(reading.book).get("objectives", ""))
        receipt = reading.book.save(out)
        return Planned(said_again(reading), objectives, receipt, unchanged=True, seconds=time.monotonic() - began)
    tables, objectives, lines, household, plan = planned_tables(reading, time_limit_seconds, tell)
    tell("writing the workbook")
    why = why_words(parts_in(notes_in(reading.book).get("inputs", "")), parts(reading.typed))
    told = [*recorded_words(reading.moves), *(line for line in (why, lines) if line)]
    notes = {
        "inputs": parts_text(parts(reading.typed)),
        "counted": counted_text(reading.typed),
        "written": str(times_written(reading.book) + 1),
        "objectives": objectives_text(objectives),
        **suppose.note_of_cases(reading.book),
    }
    recorded = {move.line.where: move.done for move in reading.moves}
    write.write(reading.book, tables, reading.household.kitchen.first_day, inputs, notes, recorded)
    record_made(reading.book, reading.moves)
    suppose.fill_suppose(reading, household, plan, tell, in_time=time_limit_seconds is None)
    if with_bottlenecks:
        tables["Bottlenecks"] = bottlenecks.fill_bottlenecks(reading.book, household, plan, tell)
    else:
        told += bottlenecks.empty_bottlenecks(reading.book)
    told += pivot_words(looked_at_by_pivots(reading.book))
    receipt = reading.book.save(out)
    seconds = time.monotonic() - began
    return Planned(tables, objectives, receipt, unchanged=False, seconds=seconds, why=tuple(told), hedge=plan.hedge)


def pivot_words(names: Sequence[str]) -> list[str]:
    """Say which tables a pivot table has an old copy of; what a spreadsheet works out by itself is not named here."""
    return (
        [f"Refresh the pivot table over {format_list(list(names), 4)}: it still shows the old figures."]
        if names
        else []
    )


def recorded_words(moves: Sequence[MadeLine]) -> list[str]:
    """Say what went from the plan into the record, and what stood there already."""
    words = [f"{move.row.preserve} ({format_long_date(move.row.date)})" for move in moves if not move.known]
    again = [f"{move.row.preserve} ({format_long_date(move.row.date)})" for move in moves if move.known]
    said = [f"Put into Record, and taken out of Made: {format_list(words, 4, '; ')}."] if words else []
    return said + ([f"In Record already, so only taken out of Made: {format_list(again, 4, '; ')}."] if again else [])


def mark_of(typed: Household, time_limit_seconds: float | None) -> str:
    """Digest of all that a plan rests on: what the household typed, the version of the planner, and its settings."""
    settings = "" if time_limit_seconds is None else f"at most {format_number(time_limit_seconds)} s"
    return hashlib.sha256("\n".join((digest(typed), __version__, settings)).encode()).hexdigest()


def audited_plan(
    reading: Reading, time_limit_seconds: float | None = None, tell: Tell = silent
) -> tuple[Household, Plan]:
    """
    Plan what was read so that every day fits the clock, and audit it; the household it was planned for, and the plan.

    The audit is by what the household has, not by the tighter limits that the clock asked for. Raises NoPlanInTime, and
    StillroomError when the plan does not keep every rule.
    """
    tell("setting up the kitchen")
    from stillroom.app.fit_day import plan_that_fits
    from stillroom.household.audit import violated_constraints  # the solver's room and the audit are slow to import
    from stillroom.planning.stochastic.solve import hedged_plan

    ends_at = None if time_limit_seconds is None else time.monotonic() + time_limit_seconds

    def planner(household: Household) -> Plan:
        left = None if ends_at is None else max(0.01, ends_at - time.monotonic())
        return hedged_plan(household, left, lambda objective: tell(f"planning: {objective}"))

    to_plan, found = plan_that_fits(still_to_do(reading.household), planner, tell)
    broken = violated_constraints(to_plan, found)
    if broken:
        msg = "the plan that was found does not keep every rule, so nothing was written: " + "; ".join(broken[:5])
        raise StillroomError(msg)
    return to_plan, found


def planned_tables(
    reading: Reading, time_limit_seconds: float | None, tell: Tell
) -> tuple[dict[str, list[Row]], tuple[ObjectiveResult, ...], str, Household, Plan]:
    """Plan and audit: the rows of every output table, the aims, how many lines changed, what was planned, the plan."""
    to_plan, found = audited_plan(reading, time_limit_seconds, tell)
    said = [problem for problem in reading.problems if not problem.stops]
    as_typed = dataclasses.replace(reading.household, plan_lines=reading.typed.plan_lines)
    tables = answer.tables(as_typed, found, said, cautions_for(reading.household, found), reading.typed)
    add_clock(tables, to_plan, sessions_of_plan(found))
    return tables, found.objectives, change_words(changes(Sums(as_typed, found))), to_plan, found


def said_again(reading: Reading) -> dict[str, list[Row]]:
    """The tables as they stand in the workbook, with the units that stand beside amounts elsewhere."""
    tables: dict[str, list[Row]] = {name: list(rows) for name, rows in write.standing_tables(reading.book).items()}
    tables["Plan"] = [row for row in tables["Plan"] if row["Preserve"] is not None]
    units = {target.name: target.unit or None for target in reading.household.targets}
    for row in tables["Coverage"]:
        row["Unit"] = units.get(str(row["Target"]))
    for row in tables["Space"]:
        row["Unit"] = reading.household.kitchen.volume_unit
    return tables
