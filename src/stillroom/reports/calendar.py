"""
The calendar file (RFC 5545): what to make when, what to take out of the freezer, seals to check, what to buy.

Times are floating: 8:00 AM wherever it is read. An event keeps its UID from plan to plan, so that importing the file
again updates a calendar and duplicates nothing. `continued` finds, in the file of the last plan, the UID of what moved
to another day, and cancels what is gone (RFC 5546, 3.2.1: STATUS in METHOD:PUBLISH) until its day is past. SEQUENCE
counts how often the workbook was written; it never falls, and rises when anything changes (RFC 5545, 3.8.7.4).
"""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence

from icalendar import Calendar, Component, Event

from stillroom.household.results.clock import FOLLOWS, Step
from stillroom.household.results.rows import Row, day_in, item_in, number_in, text_in
from stillroom.household.text import format_amount
from stillroom.reports.print.labels import NOT_VERIFIED
from stillroom.reports.print.week import SheetDay, SheetLine

THING = "X-STILLROOM-THING"
"""The property that holds what an event is about, whatever its day: kind and name."""
OURS = "@stillroom"
CANCELED = "Canceled: "
PASSING = ("DTSTAMP", "SEQUENCE")


def continued(content: bytes, earlier: bytes | None, today: datetime.date) -> bytes:
    """
    Return a new calendar file as the successor of an earlier one, if that can be read.

    Only our own events from `today` on count in the earlier file.
    """
    events = events_in(earlier)
    if not events:
        return content
    calendar = Calendar.from_ical(content)
    new = sorted(calendar.walk("VEVENT"), key=lambda event: (moment(event), str(event.get("summary"))))
    coming = {key: event for key, event in events.items() if moment(event) >= moment_of(today)}
    matched = matches(new, coming)
    used = set(matched.values())
    for place, event in enumerate(new):
        own = str(event["uid"])
        if place in matched:
            own = matched[place]
        elif own in events or own in used:
            own = unused(own, used | set(events))
        used.add(own)
        event["uid"] = own
    for key, event in coming.items():
        if key not in used:
            calendar.add_component(canceled(event))
    renumber(calendar, events)
    return bytes(calendar.to_ical())


def events_in(content: bytes | None) -> dict[str, Component]:
    """Return our own events of a calendar file by UID; none if it cannot be read."""
    try:
        calendar = Calendar.from_ical(content) if content else None
    except ValueError:
        return {}
    found = [] if calendar is None else calendar.walk("VEVENT")
    ours = [event for event in found if str(event.get("uid", "")).endswith(OURS) and "DTSTART" in event]
    return {str(event["uid"]): event for event in ours}


def moment(event: Component) -> datetime.datetime:
    """Return when an event begins."""
    begins: datetime.date = event.decoded("dtstart")
    return moment_of(begins)


def moment_of(day: datetime.date) -> datetime.datetime:
    """
    Return a day or a time as a time.

    >>> moment_of(datetime.date(2026, 8, 14))
    datetime.datetime(2026, 8, 14, 0, 0)
    """
    if isinstance(day, datetime.datetime):
        return day.replace(tzinfo=None)
    return datetime.datetime.combine(day, datetime.time())


def matches(new: Sequence[Component], earlier: Mapping[str, Component]) -> dict[int, str]:
    """
    Return the UID that each new event had before, by its place: the same thing on the same day, else the nearest day.

    Events on their old day are matched before those that moved, and planned ones before canceled ones.
    """
    left = dict(earlier)
    found: dict[int, str] = {}
    for same_day in (True, False):
        for place, event in enumerate(new):
            if place in found:
                continue
            candidates = [
                (str(old.get("status")) == "CANCELLED", abs(moment(old) - moment(event)), key)
                for key, old in left.items()
                if THING in old and str(old.get(THING)) == str(event.get(THING))
                if not same_day or moment(old).date() == moment(event).date()
            ]
            if candidates:
                found[place] = min(candidates)[2]
                del left[found[place]]
    return found


def unused(own: str, used: Iterable[str]) -> str:
    """
    Return a UID that is not used yet.

    >>> unused("ab@stillroom", {"ab@stillroom"})
    'ab-2@stillroom'
    """
    number = 2
    start = own.removesuffix(OURS)
    while f"{start}-{number}{OURS}" in used:
        number += 1
    return f"{start}-{number}{OURS}"


def canceled(event: Component) -> Component:
    """Return the event as canceled, also in its words for a calendar that ignores STATUS."""
    words = str(event.get("summary", ""))
    if "STATUS" in event:
        del event["STATUS"]
    event.add("status", "CANCELLED")
    event["summary"] = words if words.startswith(CANCELED) else f"{CANCELED}{words}"
    return event


def renumber(calendar: Calendar, earlier: Mapping[str, Component]) -> None:
    """Set SEQUENCE of all events: never lower than before, and higher if any event changed."""
    events = list(calendar.walk("VEVENT"))
    stamps: list[datetime.datetime] = [event.decoded("dtstamp") for event in events if "DTSTAMP" in event]
    before = max((sequence_of(event) for event in earlier.values()), default=0)
    now = max((sequence_of(event) for event in events), default=0)
    number = max(now, before)
    changed = any(key not in earlier for key in (str(event["uid"]) for event in events)) or any(
        plain(event) != plain(earlier[str(event["uid"])]) for event in events
    )
    for event in events:
        for name in PASSING:
            if name in event:
                del event[name]
        event.add("dtstamp", max(stamps))
        event.add("sequence", number + 1 if changed and number == before else number)


def sequence_of(event: Component) -> int:
    """Return how often an event was changed, 0 if it has no number."""
    return int(str(event.get("sequence", 0)))


def plain(event: Component) -> bytes:
    """Return an event without the properties that change every time."""
    copy = Event()
    for name, value in event.items():
        if name.upper() not in PASSING:
            copy[name] = value
    return bytes(copy.to_ical())


PRODUCT = "-//stillroom//plan of a season//EN"


def calendar_file(
    days: Sequence[SheetDay],
    steps: Mapping[datetime.date, Sequence[Step]],
    shopping: Sequence[Row],
    stamp: datetime.datetime,
    sequence: int,
) -> bytes:
    """
    Return the whole file; `stamp` is when it was made (in UTC), `sequence` how often the workbook was written.

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
    Return a UID that is the same for the same thing on the same day.

    >>> uid("make", datetime.date(2026, 8, 14), "juice") == uid("make", datetime.date(2026, 8, 14), "juice")
    True
    """
    return f"{hashlib.sha256(f'{kind}|{day.isoformat()}|{name}'.encode()).hexdigest()[:32]}@stillroom"


def new_event(
    kind: str, name: str, words: str, start: datetime.date, end: datetime.date | None, more: Iterable[str] = ()
) -> Event:
    """Return one event; `start` is a floating time or a whole day."""
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
    """Yield an event for each thing made on a day, from its first step to its last that day."""
    for day in days:
        for line in day.lines:
            mine = [one for one in steps.get(day.day, ()) if one.name == line.name and one.kind not in FOLLOWS]
            if mine:
                end = max((one.end for one in mine if one.kind != "run"), default=mine[0].start)
                yield new_event(
                    "make", line.name, f"{line.name}: {line.amount}", min(one.start for one in mine), end, details(line)
                )


def details(line: SheetLine) -> list[str]:
    """Return the description of a session: loads, what it takes, the process with its source, and notes."""
    process = f"{line.process} ({line.source})" if line.source else line.process
    mark = "" if line.verified else NOT_VERIFIED
    return [line.loads, line.takes, line.jar, line.waits, process, mark, line.warning, line.note]


def what_follows(steps: Mapping[datetime.date, Sequence[Step]]) -> Iterator[Event]:
    """Yield the moments: take out of the freezer, empty the dryer, check the seals."""
    for several in steps.values():
        for step in several:
            if step.kind in FOLLOWS:
                number = f" {step.load}" if step.of > 1 else ""
                yield new_event(step.kind, f"{step.name}{number}", f"{step.name}: {step.words}", step.start, None)


def to_buy(shopping: Sequence[Row]) -> Iterator[Event]:
    """Yield a whole-day event for each day by which something must be bought."""
    by_day: dict[datetime.date, list[str]] = {}
    for row in shopping:
        if number_in(row, "Buy") > 0 and isinstance(row.get("Needed by"), datetime.date):
            item = f"{format_amount(number_in(row, 'Buy'), text_in(row, 'Unit'))} {item_in(row)}"
            by_day.setdefault(day_in(row, "Needed by"), []).append(item)
    for day, items in sorted(by_day.items()):
        yield new_event("buy", "", f"Buy by today: {'; '.join(items)}", day, day + datetime.timedelta(days=1))
