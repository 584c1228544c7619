"""An evening: today's plan lines and whatever else happened entered, counted and planned again, in one save."""

from __future__ import annotations

import datetime
import os
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.app.day import asked_day, morning_of
from stillroom.app.plan import Reading, read_book
from stillroom.app.record.entries import BOUGHT, CAME, MADE, Entered, enter, entered_list
from stillroom.app.record.journal import Log
from stillroom.app.write_plan import Queued, queue_found
from stillroom.errors import CommandWrong, CouldNotWrite, Problem, StillroomError, WorkbookRefused
from stillroom.household.amounts import typed_amount
from stillroom.household.journal.events import MadeLine, is_known, with_made_recorded
from stillroom.household.journal.lots import wanted
from stillroom.household.journal.overview import CANNED, LOOK_BACK_DAYS, without_record
from stillroom.household.journal.stocks import FROZEN_WHOLE, stock_cards
from stillroom.household.names import find_crop, key, tidy_text
from stillroom.household.plan import Progress, no_progress
from stillroom.household.records import FREEZE_WHOLE, HAPPENED, THAW, Crop, Household, PlanLine
from stillroom.household.results.commands import Receipt, save_words
from stillroom.household.results.rows import in_crop_unit
from stillroom.household.text import format_count, format_long_date, format_number, format_quantity, quoted
from stillroom.household.units import MeasureWrong
from stillroom.reports.json import as_json, plain, text
from stillroom.reports.problems import line as sentence
from stillroom.reports.terminal.day import evening_page
from stillroom.reports.terminal.today import today_object
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.save import refuse_locked
from stillroom.workbook.reader import household as read
from stillroom.workbook.writer.plan import EVENING, NO_NOTES, Notes, notes_in
from stillroom.workbook.writer.undo import move_first_day, note_before

if TYPE_CHECKING:
    from rich.console import RenderableType


@dataclass(frozen=True)
class LineToRecord:
    """A plan line that no row of the record tells of; `planned` is containers, or crop in its own unit."""

    day: datetime.date
    name: str
    planned: float
    unit: str = ""
    canned: bool = False

    @property
    def words(self) -> str:
        """
        What was planned.

        >>> LineToRecord(datetime.date(2026, 8, 14), "juice, quart", 14.0).words
        '14 juice, quart'
        >>> LineToRecord(datetime.date(2026, 8, 14), "freeze whole: corn", 12.0, "lb").words
        'freeze whole: corn, 12 lb'
        """
        if self.unit:
            return f"{self.name}, {format_quantity(self.planned, self.unit)}"
        return f"{format_number(self.planned)} {self.name}"


@dataclass
class Evening:
    """
    An evening that is being entered: nothing is written before `save_evening`.

    `lines` are those still to be recorded, oldest day first; `done` what of this day is in the record already; `said`
    what to look at of what was entered. `moves` are plan lines with *Made* filled, `today` is the real date.
    """

    log: Log
    day: datetime.date
    today: datetime.date
    lines: tuple[LineToRecord, ...]
    done: tuple[str, ...]
    problems: tuple[Problem, ...] = ()
    moves: tuple[MadeLine, ...] = ()
    said: list[str] = field(default_factory=list)

    @property
    def entered(self) -> list[str]:
        """What was entered, in words."""
        return [step.words for step in self.log.steps]


def evening_of(typed: Household, note: str, today: datetime.date) -> datetime.date:
    """
    Return the day an evening is about: this day where the plan has it, else the workbook's first day.

    `note` has the day of the last evening and the date it was entered on: entered again on that date, it is about the
    same day, though the first day has moved on.

    >>> from stillroom.household.records import Kitchen
    >>> first = datetime.date(2026, 8, 14)
    >>> kitchen = Household(Kitchen(first, first_day_typed=True, days_planned_singly=3))
    >>> [evening_of(kitchen, "", datetime.date(2026, 8, day)).day for day in (1, 14, 16, 25)]
    [14, 14, 16, 14]
    >>> evening_of(kitchen, "2026-08-13 2026-11-30", datetime.date(2026, 11, 30)).day
    13
    """
    first = typed.kitchen.first_day
    if first <= today <= last_single_day(typed):
        return today
    before = first - datetime.timedelta(days=1)
    return before if today == before or note == f"{before} {today}" else first


def last_single_day(typed: Household) -> datetime.date:
    """Return the last of the days that are planned in detail, by the settings or by the plan in the workbook."""
    days = datetime.timedelta(days=max(1, typed.kitchen.days_planned_singly) - 1)
    return max([typed.kitchen.first_day + days, *(line.day for line in typed.plan_lines if line.days == 1)])


MOST_MISSED_DAYS = 31


def last_missed_day(typed: Household, note: str, today: datetime.date) -> datetime.date:
    """
    Return the day up to which days are caught up with: this day, or the last of the plan where it is far from that.

    A second time on the same date it is the same day; `note` is as in `evening_of`.

    >>> from stillroom.household.records import Kitchen
    >>> kitchen = Household(Kitchen(datetime.date(2026, 8, 14), first_day_typed=True, days_planned_singly=3))
    >>> [last_missed_day(kitchen, "", datetime.date(2026, 8, day)).day for day in (1, 14, 15, 25)]
    [16, 14, 15, 25]
    >>> last_missed_day(kitchen, "", datetime.date(2026, 11, 30)).day
    16
    """
    day, last = evening_of(typed, note, today), last_single_day(typed)
    if day in (today, typed.kitchen.first_day - datetime.timedelta(days=1)):
        return day
    return today if last < today <= last + datetime.timedelta(days=MOST_MISSED_DAYS) else last


def open_evening(
    path: Path,
    today: datetime.date,
    on: str | None = None,
    since: str | None = None,
    day_of: Callable[[Household, str, datetime.date], datetime.date] = evening_of,
) -> Evening:
    """
    Open a workbook for an evening; with `since`, lines from that day on are asked for too, recorded after or not.

    Without `on`, `day_of` gives the day from the household, the note of the last evening and this day.
    Raises WorkbookRefused, CommandWrong, and CouldNotWrite where the file is open in another program.
    """
    book = Book.open(path)
    refuse_locked(Path(os.path.realpath(path)))
    raw, problems = read.household(book, today)
    log = Log(book, raw, today=today)
    day = day_of(raw, notes_in(book).get(EVENING, ""), today) if on is None else asked_day(on, raw, today)
    since_day = None if since is None else asked_day(since, raw, today, option="--since")
    moves = read_book(book, today).moves
    typed = with_made_recorded(raw, moves)
    lines, done = tuple(lines_of(typed, day, since_day)), tuple(done_on(typed, day))
    return Evening(log, day, today, lines, done, problems, moves)


def lines_of(typed: Household, day: datetime.date, since: datetime.date | None) -> list[LineToRecord]:
    """
    Return the plan's lines up to a day that no row of the record tells of, oldest first.

    Lines of earlier days are those after the last day of work in the record, a week back at most; or those from `since`
    on.
    """
    recorded = {(row.date, row.preserve) for row in typed.record}
    a_week_ago = day - datetime.timedelta(days=LOOK_BACK_DAYS)
    start = max(a_week_ago, after_work(typed, day)) if since is None else since
    known = [line for line in typed.plan_lines if is_known(typed, line.name)]
    dated = [line for line in known if line.days == 1 and line.made is None and wanted(line) > 0]
    late = without_record([line for line in dated if start <= line.day < day], recorded)
    now = [line for line in dated if line.day == day and (line.day, line.name) not in recorded]
    return [line_to_record(typed, line) for line in (*sorted(late, key=lambda one: one.day), *now)]


def after_work(typed: Household, day: datetime.date) -> datetime.date:
    """Return the day after the last day of work in the record before a day; what was eaten or bought is no work."""
    work = [row.date for row in typed.record if row.preserve is not None and not row.preserve.startswith(HAPPENED)]
    return max((when + datetime.timedelta(days=1) for when in work if when < day), default=datetime.date.min)


def line_to_record(typed: Household, line: PlanLine) -> LineToRecord:
    """Return a plan line with what it is for."""
    for start in (FREEZE_WHOLE, THAW):
        if line.name.startswith(start):
            crop = typed.crop(line.name.removeprefix(start))
            return LineToRecord(line.day, line.name, round(in_crop_unit(wanted(line), crop), 2), crop.unit)
    canned = any(one.name == line.name and one.method in CANNED for one in typed.preserves)
    return LineToRecord(line.day, line.name, wanted(line), canned=canned)


def done_on(typed: Household, day: datetime.date) -> Iterable[str]:
    """Return what the record has of a day's work, in words."""
    for row in typed.record:
        if row.date != day or row.preserve is None:
            continue
        crop_alone = row.crop_used_kg is not None and not row.made + row.failed_seals
        if crop_alone and row.preserve.startswith((FREEZE_WHOLE, THAW)):
            crop = typed.crop(row.crop or "")
            yield f"{row.preserve}, {format_quantity(in_crop_unit(row.crop_used_kg or 0.0, crop), crop.unit)}"
        elif not crop_alone and any(one.name == row.preserve for one in typed.preserves):
            yield f"{format_number(row.made)} {row.preserve}"


# What is typed about one line.

STILL_GOING = "s"
_ANSWER = re.compile(r"(?P<made>[^-\s][^-]*?)?\s*(?:-\s*(?P<failed>\d+))?")


def record_line(evening: Evening, line: LineToRecord, answer: str) -> None:
    """Queue what came of a line, as `of_line` reads it. Raises CommandWrong, with nothing queued."""
    one = of_line(line, answer)
    if one is not None:
        add(evening, [one])


def of_line(line: LineToRecord, answer: str) -> Entered | None:
    """
    Read what came of a line: blank is as planned, a number so many, `-1` one jar that did not seal, `s` still going.

    None where there is nothing to record. Raises CommandWrong.

    >>> line = LineToRecord(datetime.date(2026, 8, 14), "juice", 14.0, canned=True)
    >>> [(one.amount, one.failed) for answer in ("", "12", "-1", "12 -2") if (one := of_line(line, answer))]
    [('14', None), ('12', None), ('13', '1'), ('12', '2')]
    >>> [one.amount for answer in ("a dozen", "½") if (one := of_line(line, answer))]
    ['a dozen', '½']
    >>> of_line(line, "s")
    """
    words = tidy_text(answer).replace("−", "-").casefold()
    if words == STILL_GOING or (line.unit and words.strip("0.") == "" != words):
        return None
    found = _ANSWER.fullmatch(words)
    try:
        if found is None:
            raise MeasureWrong("unreadable amount", words)
        if found["made"]:
            typed_amount(found["made"], metric=line.unit in ("kg", "g"))
    except MeasureWrong as wrong:
        if wrong.kind in ("two readings", "comma of two meanings", "unit of two sizes"):
            raise CommandWrong(str(wrong)) from None
        msg = (
            f'"{answer}" is not how many; press Enter for {line.words}, or type a number, -1 for one that did not seal'
        )
        raise CommandWrong(f"{msg}, s if it is still going") from None
    failed = int(found["failed"] or 0)
    if failed and (not line.canned or failed > line.planned):
        why = "only jars of canned food seal" if not line.canned else f"{format_number(line.planned)} were planned"
        raise CommandWrong(f'"{answer}": {why}; type how many you made')
    amount = found["made"] or f"{line.planned - failed:.15g}"
    amount = f"{amount} {line.unit}" if line.unit and amount.replace(".", "").isdigit() else amount
    return Entered(MADE, line.name, amount, line.day, failed=str(failed) if failed else None)


def record_list(evening: Evening, kind: str, words: str) -> None:
    """
    Queue a list of things of a kind, all of them or none; nothing for no words.

    Lines of the plan named among what was made are then done, with 0 too. Raises CommandWrong, WorkbookRefused.
    """
    lines = {key(line.name): line for line in evening.lines if kind == MADE and line.day == evening.day}
    several = entered_list(kind, words, evening.log.typed, evening.day, [line.name for line in lines.values()])
    answers = [
        beyond_plan(one, evening.day) if (line := lines.get(key(one.name))) is None else of_line(line, one.amount)
        for one in several
    ]
    add(evening, [one for one in answers if one is not None])
    told = {(row.date, key(row.preserve or "")) for row in evening.log.typed.record}
    told |= {(evening.day, key(one.name)) for one in several if kind == MADE}
    evening.lines = tuple(line for line in evening.lines if (line.day, key(line.name)) not in told)
    if kind == CAME:
        crops = {meant[0] for one in several if len(meant := find_crop(one.name, evening.log.typed)) == 1}
        evening.said += over_by_tomorrow([evening.log.typed.crop(name) for name in sorted(crops)])


def over_by_tomorrow(crops: Sequence[Crop]) -> list[str]:
    """
    Return what to do about each crop that came in this evening and keeps less than a day, so no plan can use it.

    >>> over_by_tomorrow([Crop("plum tomato", 5.0), Crop("sweet corn", 0.5)])
    ['sweet corn keeps 0.5 day, so tomorrow is too late for it in the plan: put it up or eat it this evening.']
    """
    return [
        f"{crop.name} keeps {format_count(crop.keeps_days, 'day')}, so tomorrow is too late for it in the plan: "
        "put it up or eat it this evening."
        for crop in crops
        if not crop.days_after_picking
    ]


def beyond_plan(one: Entered, day: datetime.date) -> Entered:
    """
    Return what no open line of a day plans; "5 -1" are 5 that sealed and one that did not. Raises CommandWrong.

    >>> one = beyond_plan(Entered(MADE, "juice", "5 -1", datetime.date(2026, 8, 14)), datetime.date(2026, 8, 14))
    >>> one.amount, one.failed
    ('5', '1')
    """
    made, below, failed = one.amount.replace("−", "-").rpartition("-")
    if not below or one.kind != MADE:
        return one
    if not made.strip():
        when = format_long_date(day)
        msg = f'"{one.name} {one.amount}": the plan has no such line on {when}; type how many sealed first, such as'
        raise CommandWrong(f"{msg} {one.name} 5 {one.amount}")
    return replace(one, amount=made.strip(), failed=failed.strip())


def add(evening: Evening, several: Sequence[Entered]) -> None:
    """Queue several things, all or none, and keep what there is to say of each beyond its own words."""
    more: list[str] = []
    with evening.log.all_or_none():
        for one in several:
            said = enter(evening.log, one, evening.problems)
            words = evening.log.steps[-1].words
            if one.kind != BOUGHT:
                more += [line for line in said if not line.startswith(words)]
    evening.said += more


# The end: one save, with the new plan where there can be one.


@dataclass(frozen=True)
class EveningDone:
    """
    What came of an evening.

    `failed` is why there is no new plan: what was entered is saved all the same, and the plan in the workbook is out of
    date. `counts` is what is on hand now of all that changed; `tomorrow` the workbook as it was saved.
    """

    evening: Evening
    receipt: Receipt
    counts: tuple[str, ...]
    tomorrow: Reading
    planned: Queued | None = None
    failed: StillroomError | None = None

    @property
    def exit_code(self) -> int:
        """Return 0, or the exit code of planning."""
        return 0 if self.failed is None else self.failed.exit_code


def save_evening(evening: Evening, progress: Progress = no_progress) -> EveningDone:
    """
    Save all that was entered with a new plan from the next day on, in one save.

    Where planning fails, what was entered is saved without. Raises CouldNotWrite or WorkbookRefused when nothing can be
    written; nothing is changed then.
    """
    log = evening.log
    next_day, said, before = to_next_day(log, evening.day, evening.today)
    evening.said += said
    book, planned, failed = planned_again(log.book.reopened(), next_day, before, progress)
    if failed is not None:
        book = log.book.reopened()
    receipt = book.save()
    evening.said += save_words(receipt)
    tomorrow = read_book(Book.open(receipt.path), next_day, next_day)
    return EveningDone(evening, receipt, tuple(changed_stocks(log)), tomorrow, planned, failed)


def to_next_day(log: Log, day: datetime.date, today: datetime.date) -> tuple[datetime.date, list[str], Notes]:
    """
    Queue that a day is over, so that a plan begins with the next one.

    Gives that day, what to say of it, and the notes of what was before, to be kept beside those of the new plan.
    """
    typed_day = log.typed.kitchen.first_day if log.typed.kitchen.first_day_typed else None
    next_day = max(day + datetime.timedelta(days=1), typed_day or today)
    moves = typed_day is not None and next_day != typed_day
    moved = typed_day is not None and moves and move_first_day(log.book, typed_day, next_day)
    said = []
    if moves and not moved:
        said = [f"Type {format_long_date(next_day)} as the first day in Kitchen: the new plan begins then."]
    stamp = f"{day} {today}"
    before = note_before(log.book, log.steps[-1], typed_day if moved else None, next_day) if log.steps else NO_NOTES
    if log.steps or notes_in(log.book).get(EVENING) != stamp:
        log.keep_steps({EVENING: stamp, **before})
    return next_day, said, before


def planned_again(
    book: Book, first_day: datetime.date, notes: Notes, progress: Progress
) -> tuple[Book, Queued | None, StillroomError | None]:
    """Plan a workbook and queue the plan in it, with more notes; why there is none, where there is none."""
    try:
        reading = read_book(book, first_day, first_day)
        reading.refuse_if_stopped()
        return book, queue_found(reading, progress=progress, more=notes), None
    except CouldNotWrite:
        raise
    except StillroomError as error:
        return book, None, error


def changed_stocks(log: Log) -> Iterable[str]:
    """Return what there is now of every stock that the entries changed."""
    before = {(card.kind, card.stock): card.should_be_now for card in stock_cards(log.before)}
    for card in stock_cards(log.typed):
        if before.get((card.kind, card.stock), 0.0) != card.should_be_now:
            unit = "" if card.unit == "each" else card.unit
            frozen = " frozen whole" if card.kind == FROZEN_WHOLE else ""
            yield f"{card.stock}{frozen} {format_quantity(card.should_be_now, unit)}"


def reason(error: StillroomError) -> list[str]:
    """Return why there is no plan, in sentences."""
    if isinstance(error, WorkbookRefused):
        return [sentence(problem) for problem in error.problems[:5]]
    return [str(error)]


def evening_view(done: EveningDone) -> RenderableType:
    """What was recorded, what is on hand now, and tomorrow, for the terminal."""
    evening = done.evening
    why = [] if done.failed is None else reason(done.failed)
    tomorrow = morning_of(done.tomorrow)
    return evening_page(
        evening.day, evening.entered, evening.done, evening.said, done.counts, why, tomorrow, evening.today
    )


def evening_json(done: EveningDone) -> str:
    """The same for other programs: `day`, `recorded`, `done_before`, `on_hand`, `planned`, `tomorrow`, `receipt`."""
    evening = done.evening
    found: dict[str, object] = {
        "day": plain(evening.day),
        "recorded": evening.entered,
        "done_before": list(evening.done),
        "on_hand": list(done.counts),
        "planned": done.failed is None,
        "tomorrow": today_object(morning_of(done.tomorrow), done.tomorrow.household),
        "receipt": as_json(done.receipt),
        "messages": [*evening.said, *([] if done.failed is None else reason(done.failed))],
    }
    return text(found)


def open_lines_words(lines: Sequence[LineToRecord], day: datetime.date, file: str) -> list[str]:
    """Return which lines are in no record, earlier days in one sentence and the lines of this day, with commands."""
    words = []
    days = sorted({line.day for line in lines if line.day < day})
    if days:
        command = f"stillroom evening {quoted(file)} --as-planned --since {days[0]}"
        words = [f"Not recorded yet: {', '.join(map(format_long_date, days))}. Record them as planned: {command}"]
    for line in lines:
        if line.day == day:
            much = f"{line.planned:.15g}{line.unit}"
            command = f"stillroom made {quoted(file)} {quoted(line.name)} {much} --on {day}"
            words.append(f"{line.words}: planned and not recorded. If you made it: {command}")
    return words
