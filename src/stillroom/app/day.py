"""This morning's list, the day on the clock, stocktaking and what was learned; nothing is written."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.app.frames import rows_of
from stillroom.app.plan import Reading, audited_plan, checked_clock, mark_of, read_workbook
from stillroom.errors import CommandWrong, StillroomError
from stillroom.handbook.cautions import page_cautions
from stillroom.household.amounts import parse_date
from stillroom.household.journal.fingerprint import changed, parts, parts_in
from stillroom.household.journal.overview import (
    Morning,
    due_soon,
    eat_first,
    freezer_things,
    kept_until_yesterday,
    over,
    season_rows,
    tally,
    today_of,
)
from stillroom.household.journal.stocks import stock_cards
from stillroom.household.records import Household, PlanLine
from stillroom.household.results.clock import DayOnClock, Step
from stillroom.household.results.commands import Entry
from stillroom.household.results.deadlines import STOP, wait_words
from stillroom.household.results.rows import Row, day_in, text_in
from stillroom.household.results.sums import keeps_until
from stillroom.household.text import format_clock, format_full_date, format_long_date
from stillroom.household.units import MeasureWrong
from stillroom.reports.json import as_json, errors_object, problems_object, tables_object, text
from stillroom.reports.terminal.day import canned_lines, day_page, explained
from stillroom.reports.terminal.plan import with_errors
from stillroom.reports.terminal.stock import (
    STOCK_PROBLEMS,
    stock_page,
    stock_rows,
    tally_object,
    yields_object,
    yields_page,
)
from stillroom.reports.terminal.today import to_eat_page, today_object, today_page
from stillroom.timetable.audit import too_much_to_freeze
from stillroom.timetable.schedule import Session, sessions_of_lines, sessions_of_plan
from stillroom.timetable.text import clock_messages, message, row_of
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader import household as read
from stillroom.workbook.writer import plan as write
from stillroom.workbook.writer.plan import later_rows, mark_in, notes_in

if TYPE_CHECKING:
    from rich.console import RenderableType

NO_END_DAYS = 36_500
"""More days than anything keeps."""
FOR_TODAY = (
    "seal failed",
    "past line not recorded",
    "expected lot not weighed",
    "lot below zero",
    "another branch",
    "copy put back",
    "plan line twice",
)
"""Kinds of problem that belong on this morning's list."""


SAID_FIRST = ("another branch", "copy put back")
"""Kinds of problem that the program says before the page of any command."""


def morning_of(reading: Reading) -> Morning:
    """Return this morning's list; it follows the plan in the workbook and can be made without one."""
    household = reading.household
    today = today_of(reading.typed, household)
    stale = stale_words(reading)
    today = replace(today, planned=today.planned or not stale)
    yesterday = today.day - datetime.timedelta(days=1)
    put_away = {row.where for row in reading.typed.record if row.date == yesterday}
    old = past_keeping(reading.typed) | put_away
    return Morning(
        today,
        tuple(one for one in reading.problems if one.kind in FOR_TODAY and one.where not in old),
        tuple(one for one in due_soon(household) if one[1] >= yesterday),
        eat_first(household),
        over(household),
        freezer_things(household),
        stale if today.planned else "",
        kept_until_yesterday(reading.typed),
        reading.book.path.name,
    )


def past_keeping(typed: Household) -> frozenset[str]:
    """Return the places of expected lots that would be past their keeping days by now: they are not asked after."""
    crops = {crop.name: crop for crop in typed.crops}
    first_day = typed.kitchen.first_day
    old = [lot for lot in typed.lots if lot.expected and keeps_until(lot, crops[lot.crop]) < first_day]
    return frozenset(lot.where for lot in old)


def today_view(reading: Reading) -> RenderableType:
    """This morning's list for the terminal."""
    morning = morning_of(reading)
    problems = tuple(problem for problem in morning.problems if problem.kind not in SAID_FIRST)
    return with_errors(reading.household, today_page(replace(morning, problems=problems)))


def today_json(reading: Reading) -> str:
    """The same for other programs."""
    found = today_object(morning_of(reading), reading.household)
    return text({**found, **errors_object(reading.household)})


def eat_first_view(reading: Reading) -> RenderableType:
    """What goes out of date first for the terminal: all of the shelf, not only what is due soon, and the freezer."""
    return with_errors(reading.household, to_eat_page(all_to_eat(reading)))


def eat_first_json(reading: Reading) -> str:
    """The same for other programs: `eat_first`, `more_than_wanted` and `freezer` as `today` has them."""
    found = today_object(all_to_eat(reading), reading.household)
    kept = {name: found[name] for name in ("day", "eat_first", "more_than_wanted", "freezer")}
    return text({**kept, **errors_object(reading.household)})


def all_to_eat(reading: Reading) -> Morning:
    """Return this morning's list with everything on the shelf that has a day."""
    return replace(morning_of(reading), eat=eat_first(reading.household, NO_END_DAYS))


def stock_view(reading: Reading) -> RenderableType:
    """Every stock and the season so far."""
    figures = tally(reading.typed, reading.household)
    problems = [problem for problem in reading.problems if problem.kind not in SAID_FIRST]
    return stock_page(stock_cards(reading.typed), season_rows(reading.typed), figures, problems)


def stock_tables(reading: Reading) -> dict[str, list[Row]]:
    """The stocks and the season so far, for CSV too."""
    return {"Stocks": stock_rows(stock_cards(reading.typed)), "Season so far": season_rows(reading.typed)}


def yields_tables(reading: Reading) -> dict[str, list[Row]]:
    """What the record teaches, for CSV."""
    return {"Yields": rows_of(yields_object(reading.typed, reading.lessons))}


def stock_json(reading: Reading) -> str:
    """The same for other programs: `stocks`, `season_so_far`, `tally`, `problems`."""
    about = [problem for problem in reading.problems if problem.kind in STOCK_PROBLEMS]
    figures = tally_object(tally(reading.typed, reading.household), reading.household)
    return text({**tables_object(stock_tables(reading)), "tally": figures, "problems": problems_object(about)})


def entry_json(entry: Entry, today: datetime.date) -> str:
    """
    Return an entry of the journal for other programs: `table`, `rows`, `stocks`, `receipt` and `messages`.

    `stocks` are those that it changed, as they are now; none while something else in the workbook must be fixed.
    """
    typed, problems = read.household(Book.open(entry.receipt.path), today)
    before = set(stock_cards(entry.before))
    cards = () if any(problem.stops for problem in problems) else stock_cards(typed)
    tables = tables_object({"Rows": entry.rows, "Stocks": stock_rows([card for card in cards if card not in before])})
    end = {"receipt": as_json(entry.receipt), "messages": list(entry.messages)}
    return text({"table": entry.table, **tables, **end})


def yields_view(reading: Reading) -> RenderableType:
    """What the record teaches."""
    return yields_page(reading.typed, reading.lessons)


def yields_json(reading: Reading) -> str:
    """The same for other programs: `yields`."""
    return text({"yields": yields_object(reading.typed, reading.lessons)})


# Whether the plan that stands in a workbook is still that of what is typed there, in a sentence.

CHANGED = "The workbook has changed since this plan was made; plan again to be sure of it."
ONLY_THE_DAY = ("first day",)


def stale_words(reading: Reading) -> str:
    """
    Say what makes the plan in the workbook an older one; empty while it holds.

    A plan made with a time limit, or by another version, holds as long as nothing that it rests on is typed anew.
    """
    notes = notes_in(reading.book)
    mark = mark_in(notes)
    if mark is None or not write.is_unchanged(reading.book, mark[0]):
        return CHANGED
    if mark[0] == mark_of(reading.typed, None)[: len(mark[0])]:
        return ""
    before, now = parts_in(notes.get("inputs", "")), parts(reading.typed)
    if not before:
        return CHANGED
    other = tuple(name for name in now if changed({name: before[name]} if name in before else {}, {name: now[name]}))
    if other == ONLY_THE_DAY:
        then = datetime.date.fromordinal(int(before["first day"][0]))
        return f"This plan begins on {format_long_date(then)}; plan again to begin with the first day of now."
    return CHANGED if other else ""


# Read a workbook and put its days on the clock, by the plan in it or a new one; nothing is written.

# A day as it is typed behind --on, read alike by every command.


def asked_day(
    words: str, household: Household, today: datetime.date | None = None, *, ahead: bool = False, option: str = "--on"
) -> datetime.date:
    """
    Read the day of an option, `ahead` for a day to come. Raises CommandWrong, with the days that may be meant.

    >>> from stillroom.household.examples import tiny_household
    >>> asked_day("8/15", tiny_household())
    datetime.date(2026, 8, 15)
    >>> asked_day("the 9th", tiny_household())
    Traceback (most recent call last):
    stillroom.errors.CommandWrong: --on "the 9th" may be Aug 9, 2026 or Sep 9, 2026; type the one you mean
    """
    try:
        return parse_date(words, household, today, ahead=ahead)
    except MeasureWrong as wrong:
        raise CommandWrong(f"{option} {wrong}") from None


NOT_YET = "There is no plan in the workbook yet: these are the times of the plan that would be made."


@dataclass(frozen=True)
class Clock:
    """A workbook that was read, what is planned in its single days, those days on the clock, and what to say of it."""

    reading: Reading
    sessions: tuple[Session, ...]
    days: tuple[DayOnClock, ...]
    said: str = ""

    def on(self, day: datetime.date) -> DayOnClock | None:
        """The day itself, None when nothing is planned on it."""
        return next((one for one in self.days if one.day == day), None)

    def steps_on(self, day: datetime.date) -> list[Step]:
        """Every step that begins on a day, what follows from the day before among them."""
        steps = [step for one in self.days for step in one.steps if step.start.date() == day]
        return sorted(steps, key=lambda step: step.start)

    def running_on(self, day: DayOnClock) -> list[Step]:
        """Every step that began on a day before and is not over when this one starts: a dryer, a crock."""
        return [step for one in self.days for step in one.steps if one.day < day.day and step.end > day.kitchen.starts]


def clock_of(path: Path, today: datetime.date) -> Clock:
    """
    Put the single days of a workbook's plan on the clock.

    Raises WorkbookRefused with every problem that stops a plan, and StillroomError when no clock can be kept.
    """
    return clock_in(read_workbook(path, today))


def clock_in(reading: Reading) -> Clock:
    """Put the single days of a workbook that was read on the clock. Raises what `clock_of` raises."""
    reading.refuse_if_stopped()
    sessions = sessions_of_lines(reading.household, reading.household.plan_lines)
    household, said = reading.household, ""
    if not any(line.make is not None for line in reading.household.plan_lines):
        household, plan = audited_plan(reading)
        sessions, said = sessions_of_plan(plan), NOT_YET
    else:
        said = stale_words(reading)
    days, broken = checked_clock(household, sessions)
    if broken:
        msg = "no times can be given: the clock that was made cannot be kept: " + "; ".join(broken[:3])
        raise StillroomError(msg)
    return Clock(reading, sessions, days, said)


def day_asked(words: str | None, clock: Clock) -> datetime.date:
    """The day of `--on`, else the workbook's first day. Raises CommandWrong."""
    if words is None:
        return clock.reading.household.kitchen.first_day
    return asked_day(words, clock.reading.household, ahead=True)


def day_view(path: Path, on: str | None, today: datetime.date) -> RenderableType:
    """One day on the clock, for the terminal. Raises what `clock_of` and `day_asked` raise."""
    clock = clock_of(path, today)
    day = day_asked(on, clock)
    found = clock.on(day)
    running = [] if found is None else clock.running_on(found)
    last = [line for line in (nearest(clock, day), clock.said) if line]
    household, names = clock.reading.household, made_names([found] if found is not None else [])
    canned, care = canned_lines(household.preserves, names), page_cautions(household, names)
    last = [*marks_explained(household, names), *last]
    waits = [
        f"{line.name}: {wait_words(day, line.can_wait_until, line.otherwise)}" for line in waiting_lines(clock, day)
    ]
    waits += begin_words(found) + stop_sentences(clock, day)
    page = day_page(day, found, clock.steps_on(day), running, messages_of(clock, day), last, canned, care, waits)
    return with_errors(household, page)


def begin_words(found: DayOnClock | None) -> list[str]:
    """Return until when the day may begin; nothing where that is not sure."""
    until = None if found is None else found.may_begin_until
    if found is None or until is None:
        return []
    return [f"the whole day may begin until {format_clock(until)}, and every step is later by the same time"]


def stop_sentences(clock: Clock, day: datetime.date) -> list[str]:
    """Return where one may stop on a day, as the table Can wait has it."""
    rows = later_rows(clock.reading.book, "Can wait")
    return [text_in(row, "Else") for row in rows if row.get("Preserve") == STOP and day_in(row) == day]


def waiting_lines(clock: Clock, day: datetime.date) -> list[PlanLine]:
    """Return the lines of a day of which it was asked how long they can wait."""
    lines = clock.reading.household.plan_lines
    return [line for line in lines if line.day == day and line.days == 1 and line.can_wait_until]


def marks_explained(household: Household, names: Collection[str]) -> list[str]:
    """Return what the marks of these preserves mean, a sentence each."""
    made = [item for item in household.preserves if item.name in names]
    return explained(own=any(item.own_recipe for item in made), unverified=any(item.from_memory for item in made))


def made_names(days: Iterable[DayOnClock]) -> list[str]:
    """Return what is made on these days, each once; what is only checked then was made before."""
    return list(dict.fromkeys(step.name for day in days for step in day.steps if step.kind != "seals"))


def messages_of(clock: Clock, day: datetime.date) -> list[Row]:
    """What has to be said of one day."""
    found = clock.on(day)
    if found is None:
        return []
    todays = [session for session in clock.sessions if session.day == day]
    frozen = too_much_to_freeze(clock.reading.household, todays)
    return [*clock_messages([found]), *(much_to_freeze(day, words.partition(": ")[2]) for words in frozen)]


def much_to_freeze(day: datetime.date, words: str) -> Row:
    """Say that a day would freeze too much at once."""
    return message(day, f"is too much for the freezer: {words}", "freeze a part of it next day, or plan again")


def nearest(clock: Clock, day: datetime.date) -> str:
    """Say which days have something planned, when this one has not."""
    days = [format_full_date(one.day) for one in clock.days]
    return "" if clock.on(day) is not None or not days else f"Something is planned from {days[0]} to {days[-1]}."


def day_json(path: Path, on: str | None, today: datetime.date) -> str:
    """
    The same for other programs: the day, its times, its bound, `timetable` and `messages`.

    Raises what `clock_of` and `day_asked` raise.
    """
    clock = clock_of(path, today)
    day = day_asked(on, clock)
    found = clock.on(day)
    rows = [row_of(step) for step in clock.steps_on(day)]
    words = " ".join(line for line in (nearest(clock, day), clock.said) if line)
    times: dict[str, object] = {"day": day.isoformat(), "note": words or None}
    if found is not None:
        times |= {
            "starts": found.kitchen.starts.isoformat(),
            "ends": found.ends.isoformat(),
            "may_begin_until": None if found.may_begin_until is None else found.may_begin_until.isoformat(),
            "could_end": found.could_end.isoformat(),
            "closes": found.closes.isoformat(),
            "over_minutes": found.over_minutes,
            "gap": found.gap,
            "pairs_of_hands": found.kitchen.persons,
            "people": list(found.kitchen.names),
            "evening_ends": None if found.evening_ends is None else found.evening_ends.isoformat(),
            "fits": found.fits,
        }
    tables = tables_object({"Timetable": rows, "Messages": messages_of(clock, day)})
    household, names = clock.reading.household, made_names([found] if found is not None else [])
    times["can_wait"] = [
        {"preserve": line.name, "can_wait_until": line.can_wait_until, "else": line.otherwise or None}
        for line in waiting_lines(clock, day)
    ]
    times["canned"] = canned_lines(household.preserves, names)
    times["cautions"] = [
        {"text": one.text, "source": one.source, "block": one.block or "particular"}
        for one in page_cautions(household, names).all
    ]
    return text({**times, **tables, **errors_object(household)})
