"""The one way through: workbook to household to plan and back; every problem is found before it stops."""

from __future__ import annotations

import datetime
import hashlib
import re
import time
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stillroom.app.fit_day import plan_that_fits
from stillroom.errors import Problem, StillroomError, WorkbookRefused
from stillroom.handbook.cautions import cautions_for
from stillroom.handbook.settle import settle as settle_by_handbook
from stillroom.handbook.settle import within_recipes
from stillroom.household import checks, refusals
from stillroom.household.audit import violated_constraints
from stillroom.household.cells import address
from stillroom.household.journal import stocks
from stillroom.household.journal.events import MadeLine, made_lines, made_twice, still_to_do, with_made_recorded
from stillroom.household.journal.fingerprint import digest, recounted
from stillroom.household.journal.learning import Learned, learned, learned_problems, with_learned
from stillroom.household.journal.overview import failed_seals, not_recorded
from stillroom.household.plan import Plan, Progress, no_progress
from stillroom.household.records import Household, PlanLine
from stillroom.household.results import tables as answer
from stillroom.household.results.bottlenecks import WouldHelp, would_help_from
from stillroom.household.results.clock import DayOnClock
from stillroom.household.results.messages import ERROR, NOTE, WARNING, message_row, weighed_row
from stillroom.household.results.rows import Row
from stillroom.household.results.sums import ALMOST, Sums
from stillroom.household.results.tables import change_words, changes
from stillroom.household.scenarios import LIKELY_HARVEST, planned_for_several
from stillroom.household.text import format_long_date, format_number
from stillroom.reports.problems import gathered, line, sentences
from stillroom.timetable.audit import broken_promises, too_much_to_freeze
from stillroom.timetable.clock import on_the_clock
from stillroom.timetable.schedule import Session, sessions_of_plan
from stillroom.timetable.text import clock_messages, timetable_rows
from stillroom.version import VERSION
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader import household as read
from stillroom.workbook.reader.tables import typed_tables
from stillroom.workbook.writer import plan as write
from stillroom.workbook.writer.notices import another_branch, hidden_answers, plan_lines_twice, saved_day
from stillroom.workbook.writer.plan import Notes, mark_in, notes_in
from stillroom.workbook.writer.record import places_of_keys

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
    again = replanned_rows(household, {day.day for day in clock if not day.fits})
    tables["Timetable"] = [] if broken else timetable_rows(clock)
    messages = tables["Messages"]
    place = sum(row["Severity"] in (ERROR, WARNING) for row in messages)
    messages[place:place] = [row for row in told if row["Severity"] == WARNING]
    place = sum(row["Severity"] in (ERROR, WARNING, NOTE) for row in messages)
    messages[place:place] = [*(row for row in told if row["Severity"] != WARNING), *again]


def replanned_rows(household: Household, over: Collection[datetime.date]) -> list[Row]:
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


FOLLOWS = {
    "altitude missing": "Kitchen",
    "gauge missing": "Kitchen",
    "hours unlimited": "Hours",
    "counts toward no target": "Counts toward",
    "only an ingredient": "Counts toward",
    "target without preserve": "Counts toward",
    "no ingredients": "Ingredients",
    "no load for container": "Equipment",
}
"""Kinds of problem that follow when a table is missing: only the table is then worth a line."""
MISSING = ("table missing", "required table renamed", "former table name")


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

    @property
    def errors(self) -> tuple[Problem, ...]:
        """What stops the plan or keeps a preserve out of it, the altitude and the gauge first."""
        errors = (problem for problem in self.problems if problem.is_error)
        return tuple(sorted(errors, key=refusals.kitchen_first))

    def refuse_if_stopped(self, *, strict: bool = False) -> None:
        """Raise WorkbookRefused with every error if one stops the plan; if `strict`, also if one refuses a preserve."""
        if self.stops or (strict and self.errors):
            raise WorkbookRefused(self.errors)


def read_workbook(path: Path, today: datetime.date) -> Reading:
    """
    Read a workbook and find everything that is wrong with it, in one pass; writes nothing.

    Raises WorkbookRefused when the file cannot be opened as a workbook at all.
    """
    return read_book(Book.open(path), today)


def read_book(book: Book, today: datetime.date, first_day: datetime.date | None = None) -> Reading:
    """Find everything that is wrong with an opened workbook, as `read_workbook` does; `first_day` may be another."""
    raw, said = read.household(book, today)
    raw = raw if first_day is None else raw.with_kitchen(first_day=first_day)
    problems = [*said, *checks.problems(raw), *made_twice(raw)]
    notes = notes_in(book)
    moves = moves_of(book, raw, notes)
    typed = with_made_recorded(raw, moves)
    counted, said = stocks.settle(typed)
    problems += said
    household, found = told_at_cells(book, *settle_by_handbook(counted))
    problems += [one for one in found if not setting_unreadable(one, problems)]
    problems += refusals.consequences(household)
    lessons = within_recipes(counted, learned(typed))
    problems += [*learned_problems(typed, lessons), *failed_seals(typed), *not_recorded(raw)]
    problems += [*recounted(typed, notes.get("counted", "")), *another_branch(book.path, book.source)]
    problems += [
        *plan_lines_twice(book),
        *write.protected(book),
        *hidden_answers(book),
        *saved_day(book, raw.kitchen.first_day, today),
    ]
    problems = without_consequences(problems)
    household = with_learned(household, lessons)
    return Reading(book, typed, household, in_order_of_place(problems, book.sheet_names), moves, lessons)


CELLS = {
    "handbook line unknown": "Handbook line",
    "method not published": "Handbook line",
    "method unknown": "Method",
    "minutes below table": "Minutes",
    "minutes below table: own recipe": "Minutes",
    "minutes below table: own fruit": "Minutes",
    "far more minutes than table": "Minutes",
    "more minutes than table": "Minutes",
    "longer than it keeps": "Keeps months",
    "longer than it keeps: frozen crop": "Frozen keeps weeks",
    "matched to nothing": "Handbook food",
    "food of no list": "Handbook food",
    "food read as": "Handbook food",
    "typed food not listed": "Handbook food",
    "name of another food": "Handbook food",
}
"""The heading under which stands what a problem of the handbook is about, where that is one cell of a row."""


def told_at_cells(book: Book, household: Household, problems: Sequence[Problem]) -> tuple[Household, Sequence[Problem]]:
    """Return a settled household and its problems, each about one cell of a row at that cell."""
    refused = [problem for preserve in household.preserves for problem in preserve.refused]
    if not any(problem.kind in CELLS for problem in (*problems, *refused)):
        return household, problems
    cells = filled_cells(book)
    preserves = tuple(replace(one, refused=tuple(at_their_cells(one.refused, cells))) for one in household.preserves)
    return replace(household, preserves=preserves), at_their_cells(problems, cells)


def filled_cells(book: Book) -> dict[tuple[str, str], str]:
    """Return the place of each filled cell of the input tables by its row and its heading."""
    return {
        (f"{table.sheet}!{row}", heading): f"{table.sheet}!{address(row, column)}"
        for table in typed_tables(book)
        for row, cells in table.rows
        for heading, column, cell in zip(table.headings, table.columns, cells, strict=True)
        if cell is not None
    }


def at_their_cells(problems: Iterable[Problem], cells: Mapping[tuple[str, str], str]) -> list[Problem]:
    """
    Return the problems, those about one cell of a row at that cell; `cells` are the filled ones by row and heading.

    >>> at_their_cells([Problem("Preserves!A8", "method unknown", ("jam", "boiled", "frozen"))],
    ...                {("Preserves!8", "Method"): "Preserves!C8"})[0].where
    'Preserves!C8'
    """
    found = []
    for problem in problems:
        heading = problem.field or CELLS.get(problem.kind, "")
        named = problem.kind in CELLS and (row_of(problem.where), heading) in cells
        found.append(replace(problem, where=cells[row_of(problem.where), heading]) if named else problem)
    return found


def setting_unreadable(problem: Problem, before: Sequence[Problem]) -> bool:
    """Whether a setting seems missing only because its row cannot be read, which `before` has."""
    if FOLLOWS.get(problem.kind) != "Kitchen":
        return False
    rows = {row_of(one.where) for one in before if one.stops}
    return row_of(problem.where) in rows


def row_of(where: str) -> str:
    """Return the sheet and the row of a place, such as Kitchen!6."""
    return re.sub(r"![A-Z]+", "!", where)


def without_consequences(problems: Sequence[Problem]) -> list[Problem]:
    """Leave out what only follows from a missing table."""
    missing = {one.suggestion or one.names[0] for one in problems if one.kind in MISSING}
    return [one for one in problems if FOLLOWS.get(one.kind) not in missing]


def moves_of(book: Book, raw: Household, notes: Notes) -> tuple[MadeLine, ...]:
    """The plan lines that say what was made; a line is known by its plan, or without one by all that is typed."""
    if all(line.made is None for line in raw.plan_lines):
        return ()
    mark = mark_in(notes)
    return made_lines(raw, "-".join(mark) if mark else digest(raw), places_of_keys(book).keys())


def in_order_of_place(problems: Iterable[Problem], sheets: Sequence[str]) -> tuple[Problem, ...]:
    """
    Return the problems sheet by sheet and down each, the same one once.

    >>> two = [Problem(f"Lids!B{row}", "blank text", field="Lid") for row in (10, 9)]
    >>> [problem.where for problem in in_order_of_place(two + two, ["Lids"])]
    ['Lids!B9', 'Lids!B10']
    """
    number = {name.casefold(): place for place, name in enumerate(sheets)}

    def place(problem: Problem) -> tuple[int, int, int, str, Problem]:
        sheet, _, cell = problem.where.rpartition("!")
        found = re.match(r"([A-Z]{1,3})(\d+)", cell)
        column, row = (found[1], int(found[2])) if found else ("", 0)
        return number.get(sheet.strip("'").casefold(), -1), row, len(column), column, problem

    return tuple(sorted(dict.fromkeys(problems), key=place))


def mark_of(typed: Household, time_limit_seconds: float | None) -> str:
    """Digest of all that a plan rests on: what the household typed, the version of the planner, and its settings."""
    settings = "" if time_limit_seconds is None else f"at most {format_number(time_limit_seconds)} s"
    return hashlib.sha256("\n".join((digest(typed), VERSION, settings)).encode()).hexdigest()


def inputs_of(reading: Reading) -> str:
    """Return the digest of what is planned, by which the last bottlenecks are known to be those of a plan."""
    return mark_of(reading.typed, None)[:16]


def last_would_help(reading: Reading) -> WouldHelp | None:
    """Return what the last bottlenecks of a workbook found; None where none were ever written into it."""
    return would_help_from(notes_in(reading.book).get(write.WOULD_HELP, ""), inputs_of(reading))


def audited_plan(
    reading: Reading, time_limit_seconds: float | None = None, progress: Progress = no_progress
) -> tuple[Household, Plan]:
    """
    Plan what was read so that every day fits the clock, and audit it; the household it was planned for, and the plan.

    The audit is by what the household has, not by the tighter limits that the clock asked for. Raises NoPlanInTime, and
    StillroomError when the plan does not keep every rule.
    """
    progress("setting up the kitchen")
    to_plan, found = planned_on_the_clock(still_to_do(reading.household), time_limit_seconds, progress)
    broken = violated_constraints(to_plan, found)
    if broken:
        msg = "the plan that was found does not keep every rule, so nothing was written: " + "; ".join(broken[:5])
        raise StillroomError(msg)
    return to_plan, found


def planned_on_the_clock(
    household: Household, time_limit_seconds: float | None = None, progress: Progress = no_progress
) -> tuple[Household, Plan]:
    """Plan a household so that every day fits the clock; the household with its tighter limits, and the plan."""
    from stillroom.planning.stochastic.solve import hedged_plan

    ends_at = None if time_limit_seconds is None else time.monotonic() + time_limit_seconds

    def planner(household: Household) -> Plan:
        left = None if ends_at is None else max(0.01, ends_at - time.monotonic())
        return hedged_plan(household, left, lambda objective: progress(f"planning: {objective}"))

    return plan_that_fits(household, planner, progress)


@dataclass(frozen=True)
class PlanFound:
    """
    A plan that was found and audited, with the rows of every output table.

    `household` is what was planned, with the tighter limits that the clock asked for; `change` says how many lines
    differ from the plan before, `gone` are those of it that are left out.
    """

    reading: Reading
    household: Household
    plan: Plan
    tables: dict[str, list[Row]]
    change: str
    time_limit_seconds: float | None = None
    gone: tuple[PlanLine, ...] = ()


def find_plan(reading: Reading, time_limit_seconds: float | None = None, progress: Progress = no_progress) -> PlanFound:
    """Plan and audit what was read; nothing is written. Raises WorkbookRefused, and what `audited_plan` raises."""
    reading.refuse_if_stopped()
    to_plan, found = audited_plan(reading, time_limit_seconds, progress)
    said = problem_rows(reading, found)
    as_typed = replace(reading.household, plan_lines=reading.typed.plan_lines)
    tables = answer.tables(as_typed, found, said, cautions_for(reading.household, found), reading.typed)
    add_clock(tables, to_plan, sessions_of_plan(found))
    add_cost_of_importance(tables, to_plan, found)
    add_reasons(tables, reading.household)
    change = changes(Sums(as_typed, found))
    return PlanFound(reading, to_plan, found, tables, change_words(change), time_limit_seconds, tuple(change.gone))


def problem_rows(reading: Reading, plan: Plan) -> list[Row]:
    """Return the rows of Messages: errors, warnings and notes; a warning about what is not made is a note."""
    not_made = {
        row_of(item.where) for item in reading.household.preserves if item.where and plan.made(item.name) <= ALMOST
    }
    nothing = refusals.nothing_words(reading.household)
    rows = [message_row(ERROR, "Preserves", nothing, "Fix the errors below.")] if nothing else []
    others = [one for one in reading.problems if not one.is_error]
    for problem in (*gathered(reading.errors), *gathered(others)):
        what, fix = sentences(problem)
        warns = problem.severe and row_of(problem.where) not in not_made
        severity = ERROR if problem.is_error else WARNING if warns else NOTE
        rows.append(message_row(severity, problem.where, what, fix))
    return rows


def add_cost_of_importance(tables: dict[str, list[Row]], household: Household, plan: Plan) -> None:
    """Add a note where strict importance costs the targets together much; `household` as it was planned."""
    from stillroom.planning.why import cost_of_importance

    one = cost_of_importance(household, plan)
    if one is not None:
        messages = tables["Messages"]
        place = sum(row["Severity"] in (ERROR, WARNING, NOTE) for row in messages)
        note = weighed_row(one.importance, (one.first, one.whole), (one.first_weighed, one.whole_weighed))
        messages.insert(place, note)


def add_reasons(tables: dict[str, list[Row]], household: Household) -> None:
    """Add why it gets nothing to each row of Coverage whose target only refused preserves could fill."""
    reasons = {one.names[0]: one.cause[0] for one in refusals.targets_without(household) if one.cause}
    for row in tables["Coverage"]:
        cause = reasons.get(str(row["Target"]))
        row["Why"] = None if cause is None else line(cause)


def left_out(reading: Reading) -> frozenset[str]:
    """Return the preserves that the last plan has and the published tables refuse now; their lines are not shown."""
    kept = {one.name for one in reading.household.plan_lines if one.make is not None}
    return frozenset(one.name for one in reading.typed.plan_lines if one.make is not None) - kept


def standing_tables(reading: Reading) -> dict[str, list[Row]]:
    """Return the output tables as they stand in the workbook, without the plan's lines for what is refused now."""
    tables: dict[str, list[Row]] = {name: list(rows) for name, rows in write.standing_tables(reading.book).items()}
    refused = left_out(reading)
    tables["Plan"] = [row for row in tables["Plan"] if row["Preserve"] not in refused]
    return tables


def said_again(reading: Reading) -> dict[str, list[Row]]:
    """The tables as they stand in the workbook, with the units that stand beside amounts elsewhere."""
    tables = standing_tables(reading)
    tables["Plan"] = [row for row in tables["Plan"] if row["Preserve"] is not None]
    units = {target.name: target.unit or None for target in reading.household.targets}
    for row in tables["Coverage"]:
        row["Unit"] = units.get(str(row["Target"]))
    for row in tables["Space"]:
        row["Unit"] = reading.household.kitchen.volume_unit
    add_reasons(tables, reading.household)
    return tables


def for_the_likely(household: Household) -> Household:
    """
    The household planned for its likely harvest alone.

    >>> from stillroom.household.examples import tiny_household
    >>> for_the_likely(tiny_household()) == tiny_household()
    True
    """
    return household.with_kitchen(plan_for=LIKELY_HARVEST)


def read_for_the_likely(reading: Reading) -> tuple[Reading, str]:
    """
    The workbook as it was read, to be planned for its likely harvest alone, and what is to be said of that.

    The words are empty where it would have been planned so in any case.
    """
    words = likely_words(still_to_do(reading.household))
    return replace(reading, household=for_the_likely(reading.household)), words


def likely_words(household: Household) -> str:
    """
    What is said of an answer worked out for the likely harvest; empty where the household is planned so anyway.

    >>> from stillroom.household.examples import tiny_household
    >>> likely_words(tiny_household())
    ''
    """
    if not planned_for_several(household):
        return ""
    whole = "the worst harvest" if household.kitchen.plan_for == "worst harvest" else "all harvests"
    return f"Worked out for the likely harvest alone; the plan itself is for {whole}, so a few jars may differ."


def readable(path: Path, today: datetime.date) -> Reading:
    """Read a workbook that is to be planned; raises WorkbookRefused when something stops the plan."""
    reading = read_workbook(path, today)
    reading.refuse_if_stopped()
    return reading


def read_and_plan(path: Path, today: datetime.date, progress: Progress) -> tuple[Reading, Household, Plan]:
    """
    Read a workbook and plan it in full, as `plan` would; nothing is written.

    Raises WorkbookRefused when something stops the plan, StillroomError when the plan breaks a rule.
    """
    reading = readable(path, today)
    return reading, *audited_plan(reading, None, progress)


def plan_on_the_clock(household: Household) -> Plan:
    """Plan a household so that every day fits the clock, as `plan` would; can run in another process."""
    return planned_on_the_clock(household)[1]
