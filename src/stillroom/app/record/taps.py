"""What was tapped on the kitchen page: put into a workbook in one save, or into a copy in memory that is only shown."""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from stillroom.app.day import Clock, clock_in, morning_of
from stillroom.app.files import alone
from stillroom.app.plan import Reading, read_book
from stillroom.app.record.catch_up import Count, count_one, countable
from stillroom.app.record.entries import Entered, enter
from stillroom.app.record.evening import LineToRecord, done_on, evening_of, lines_of, to_next_day
from stillroom.app.record.journal import Log, take_back_one
from stillroom.errors import CommandWrong, Problem, StillroomError, WorkbookRefused
from stillroom.handbook.cautions import Caution, page_cautions, step_cautions
from stillroom.household.journal.overview import Morning
from stillroom.household.results.clock import Step
from stillroom.household.text import format_long_date
from stillroom.reports.problems import line as sentence
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.files.copies import History, history
from stillroom.workbook.ooxml.save import refuse_locked
from stillroom.workbook.reader import household as read
from stillroom.workbook.writer.plan import EVENING, notes_in

COUNT, UNDO = "count", "undo"


@dataclass(frozen=True)
class Tapped:
    """
    One thing tapped, with an id of its own; of UNDO the name is the words of the entry that is taken back.

    What is `of_plan` is what came of a line of the plan: it is recorded once.
    """

    id: str
    entered: Entered
    of_plan: bool = False


@dataclass(frozen=True)
class Outcome:
    """What came of a tap: the words of its entry and what else to say, or why it was `refused`."""

    words: str
    said: tuple[str, ...] = ()
    refused: bool = False


def pour(
    path: Path,
    tapped: Sequence[Tapped],
    today: datetime.date,
    before_save: Callable[[str, Mapping[str, Outcome]], None],
) -> dict[str, Outcome]:
    """
    Put what was tapped into a workbook, in its order and in one save; what came of each, by its id.

    `before_save` is given the id that the workbook will have (see `written_in`), and what came of each: if it is among
    the ids of the workbook later on, they are in it. Raises CouldNotWrite or WorkbookRefused; nothing is changed then.
    """
    with alone(path):
        refuse_locked(Path(os.path.realpath(path)))
        book, outcomes = with_tapped(Book.open(path), tapped, today)
        if not all(one.refused for one in outcomes.values()):
            before_save(history(book.content())[0], outcomes)
            book.save()
    return outcomes


def refuse_unreadable(path: Path) -> None:
    """Raise WorkbookRefused where a workbook cannot be read at all."""
    Book.open(path)


def written_in(path: Path) -> History:
    """Return the ids of what a workbook has gone through, its present state first."""
    return history(path)


def with_tapped(book: Book, tapped: Sequence[Tapped], today: datetime.date) -> tuple[Book, dict[str, Outcome]]:
    """
    Return a workbook with what was tapped in it, in memory, and what came of each.

    Raises CouldNotWrite or WorkbookRefused when the workbook cannot take any of them.
    """
    outcomes: dict[str, Outcome] = {}
    for several in in_turns(tapped):
        typed, problems = read.household(book, today)
        log = Log(book, typed, today=today)
        outcomes |= {one.id: outcome_of(log, one, problems) for one in several}
        if log.steps:
            log.keep_steps()
        book = book.reopened()
    return book, outcomes


def in_turns(tapped: Sequence[Tapped]) -> Iterator[list[Tapped]]:
    """Give what can be entered together: what takes an entry back is by itself, and the workbook read again after."""
    several: list[Tapped] = []
    for one in tapped:
        if one.entered.kind != UNDO:
            several.append(one)
            continue
        if several:
            yield several
        yield [one]
        several = []
    if several:
        yield several


def outcome_of(log: Log, tapped: Tapped, problems: Sequence[Problem]) -> Outcome:
    """Enter one thing, or say why it cannot be."""
    entered = tapped.entered
    try:
        if tapped.of_plan:
            refuse_twice(log, entered)
        with log.all_or_none():
            before = len(log.steps)
            said = tap(log, entered, problems)
            words = "; ".join(step.words for step in log.steps[before:]) or words_of(entered)
    except WorkbookRefused as refused:
        return Outcome("", tuple(sentence(problem) for problem in refused.problems), refused=True)
    except StillroomError as wrong:
        return Outcome("", (str(wrong),), refused=True)
    return Outcome(words, tuple(line for line in said if not line.startswith(words)))


def words_of(entered: Entered) -> str:
    """
    Return what was tapped, as it was.

    >>> words_of(Entered("came", "corn", "12 lb", datetime.date(2026, 8, 14)))
    '12 lb corn'
    """
    return entered.name if entered.kind == UNDO else f"{entered.amount} {entered.name}"


SHOWN = {
    "came": "{} came in",
    "made": "Made {}",
    "ate": "Ate {}",
    "bought": "Bought {}",
    "gave": "Gave away {}",
    "spoiled": "{} spoiled",
    "surplus": "{} surplus",
    COUNT: "Counted {}",
}
"""What was tapped in a sentence, by its kind."""


def shown_words(entered: Entered, unit: str = "") -> str:
    """
    Return what was tapped in a sentence; `unit` is that of an amount that has none.

    >>> shown_words(Entered("came", "corn", "12", datetime.date(2026, 8, 14)), "lb")
    '12 lb corn came in'
    >>> shown_words(Entered("made", "juice", "13", datetime.date(2026, 8, 14), "1"))
    'Made 13 juice, 1 not sealed'
    """
    amount = f"{entered.amount} {unit}" if unit and entered.amount[-1:].isdigit() else entered.amount
    failed = f", {entered.failed} not sealed" if entered.failed else ""
    return SHOWN.get(entered.kind, "{}").format(f"{amount} {entered.name}".strip()) + failed


def tap(log: Log, entered: Entered, problems: Sequence[Problem]) -> list[str]:
    """Check and queue what was tapped; what to say of it. Raises CommandWrong, WorkbookRefused."""
    if entered.kind == UNDO:
        return take_back_one(log, entered.name)
    if entered.kind == COUNT:
        return count_one(log, entered.name, entered.amount, entered.day)
    return enter(log, entered, problems)


def refuse_twice(log: Log, entered: Entered) -> None:
    """Raise CommandWrong where the record has a line of the plan already."""
    if any((row.date, row.preserve) == (entered.day, entered.name) for row in log.typed.record):
        msg = f"{entered.name} of {format_long_date(entered.day)} is in the record already"
        raise CommandWrong(msg)


# What a page shows of a workbook.


@dataclass(frozen=True)
class Look:
    """
    A workbook as it was looked at, with what waits to be written in it: the day it is about, and what is open on it.

    `outcomes` are of what waits. `clock` is None without a plan for the day, or where something stops the plan.
    """

    reading: Reading
    day: datetime.date
    lines: tuple[LineToRecord, ...]
    done: tuple[str, ...]
    morning: Morning | None
    clock: Clock | None
    outcomes: Mapping[str, Outcome]

    def check(self, tapped: Tapped) -> Outcome:
        """Say what would come of a tap; nothing is queued."""
        log = Log(self.reading.book, self.reading.typed, today=self.day, writes=False)
        found = outcome_of(log, tapped, self.reading.problems)
        return found if found.refused else Outcome(words_of(tapped.entered))

    def counts(self) -> list[Count]:
        """Return what can be counted, with what there should be."""
        return countable(Log(self.reading.book, self.reading.typed), self.day)

    def cautions(self, names: Collection[str]) -> Sequence[Caution]:
        """Return the cautions of what is made."""
        return page_cautions(self.reading.household, names).all

    def cautions_at(self, step: Step) -> list[str]:
        """Return the cautions that matter at one step, in words."""
        return [one.text for one in step_cautions(self.reading.household, step.name, step.kind)]


def look(path: Path, waiting: Sequence[Tapped], today: datetime.date) -> Look:
    """
    Look at a workbook as it will be with what waits to be written into it; nothing is written.

    Raises WorkbookRefused when it cannot be read at all.
    """
    book, outcomes = with_tapped(Book.open(path), waiting, today)
    reading = read_book(book, today)
    day = evening_of(reading.typed, notes_in(book).get(EVENING, ""), today)
    on_day = reading if day == reading.typed.kitchen.first_day else read_book(book, today, day)
    lines, done = tuple(lines_of(reading.typed, day, None)), tuple(done_on(reading.typed, day))
    morning = None if on_day.stops else morning_of(on_day)
    return Look(reading, day, lines, done, morning, clock_or_none(reading), outcomes)


def to_plan(path: Path, waiting: Sequence[Tapped], today: datetime.date, after: datetime.date | None = None) -> Reading:
    """
    Read a workbook to plan it, with what waits to be written into it; `after` is a day that is over.

    Raises WorkbookRefused where something stops the plan, CouldNotWrite.
    """
    book, _ = with_tapped(Book.open(path), waiting, today)
    first_day = None
    if after is not None:
        log = Log(book, read.household(book, today)[0], today=today)
        first_day, *_ = to_next_day(log, after, today)
        book = book.reopened()
    reading = read_book(book, today, first_day)
    reading.refuse_if_stopped()
    return reading


def clock_or_none(reading: Reading) -> Clock | None:
    """Return the days of the plan in a workbook on the clock; None without a plan, or without a clock to be kept."""
    if reading.stops or all(line.make is None for line in reading.household.plan_lines):
        return None
    try:
        return clock_in(reading)
    except StillroomError:
        return None
