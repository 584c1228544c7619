"""
The calendar file (RFC 5545): what is made when, what is taken out of the freezer, seals to check, what to buy by when.

Times are floating, as a kitchen's are: 8 o'clock wherever it is read. The same thing on the same day has the same UID
in every plan, so that a calendar into which the file is taken again brings it up to date and has nothing twice;
SEQUENCE counts how often the workbook was written (RFC 5545, 3.8.7.4). Where a file of a former plan stands in the
folder, `calendar_earlier` keeps the UID of what moved to another day and cancels what is gone.
"""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence

from icalendar import Calendar, Event

from stillroom.household.answer.units import Row
from stillroom.household.answer.words import amount_words, unit_words
from stillroom.pages.calendar_earlier import THING
from stillroom.pages.terminal_days import day_of, figure, said
from stillroom.pages.week_sheet_lines import SheetDay, SheetLine
from stillroom.timetable.steps import Step

PRODUCT = "-//stillroom//plan of a season//EN"
FOLLOWS = ("thaw", "seals", "empty")
"""Kinds of step that are events of their own."""


def calendar_file(
    days: Sequence[SheetDay],
    steps: Mapping[datetime.date, Sequence[Step]],
    shopping: Sequence[Row],
    stamp: datetime.datetime,
    sequence: int,
) -> bytes:
    """
    The whole file; `stamp` says when it was made (in UTC), `sequence` how often the workbook was written.

    `steps` are by the day they begin on.
    """
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for event in [*sessions(days, steps), *what_follows(steps), *to_buy(shopping)]:
        event.add("dtstamp", stamp)
        event.add("sequence", sequence)
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def uid(kind: str, day: datetime.date, name: str) -> str:
    """
    The same for the same thing on the same day.

    >>> uid("make", datetime.date(2026, 8, 14), "juice") == uid("make", datetime.date(2026, 8, 14), "juice")
    True
    """
    return f"{hashlib.sha256(f'{kind}|{day.isoformat()}|{name}'.encode()).hexdigest()[:32]}@stillroom"


def new_event(
    kind: str, name: str, words: str, start: datetime.date, end: datetime.date | None, more: Iterable[str] = ()
) -> Event:
    """One event; `start` with a time is floating, without one it is a whole day."""
    event = Event()
    day = start.date() if isinstance(start, datetime.datetime) else start
    event.add("uid", uid(kind, day, name))
    event.add("summary", words)
    event.add(THING, f"{kind}|{name}")
    event.add("dtstart", start)
    if end is not None and end > start:
        event.add("dtend", end)
    description = "\n".join(line for line in more if line)
    if description:
        event.add("description", description)
    return event


def sessions(days: Sequence[SheetDay], steps: Mapping[datetime.date, Sequence[Step]]) -> Iterator[Event]:
    """One event for each thing made on a day, from its first step to its last that day."""
    for day in days:
        for line in day.lines:
            mine = [one for one in steps.get(day.day, ()) if one.name == line.name and one.kind not in FOLLOWS]
            if mine:
                end = max((one.end for one in mine if one.kind != "run"), default=mine[0].start)
                yield new_event(
                    "make", line.name, f"{line.name}: {line.amount}", min(one.start for one in mine), end, details(line)
                )


def details(line: SheetLine) -> list[str]:
    """What is written into a session: loads, what it takes, the process with its source, what to know of the recipe."""
    process = f"{line.process} ({line.source})" if line.source else line.process
    return [line.loads, line.takes, process, line.warning, line.note]


def what_follows(steps: Mapping[datetime.date, Sequence[Step]]) -> Iterator[Event]:
    """Take out of the freezer, empty the dryer, check the seals: a moment each."""
    for several in steps.values():
        for step in several:
            if step.kind in FOLLOWS:
                number = f" {step.load}" if step.of > 1 else ""
                yield new_event(step.kind, f"{step.name}{number}", f"{step.name}: {step.words}", step.start, None)


def to_buy(shopping: Sequence[Row]) -> Iterator[Event]:
    """One event of a whole day for each day by which something has to be bought."""
    by_day: dict[datetime.date, list[str]] = {}
    for row in shopping:
        if figure(row, "Buy") > 0 and isinstance(row.get("Needed by"), datetime.date):
            words = buy_words(figure(row, "Buy"), said(row, "Unit"), said(row, "Item"))
            by_day.setdefault(day_of(row, "Needed by"), []).append(words)
    for day, items in sorted(by_day.items()):
        yield new_event("buy", "", f"Buy by today: {'; '.join(items)}", day, day + datetime.timedelta(days=1))


def buy_words(buy: float, unit: str, item: str) -> str:
    """
    So much of something to buy; what is its own unit is not said twice.

    >>> buy_words(12, "lid", "regular lid"), buy_words(1.5, "cup", "vinegar")
    ('12 regular lids', '1½ cups vinegar')
    """
    if not unit or item.endswith(unit):
        return f"{amount_words(buy, unit)} {unit_words(buy, item)}"
    return f"{amount_words(buy, unit)} {unit_words(buy, unit)} {item}"
