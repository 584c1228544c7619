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

from icalendar import Calendar, Component, Event

from stillroom.household.results.clock import Step
from stillroom.household.results.values import Row
from stillroom.household.text import format_amount, plural
from stillroom.reports.print.week import SheetDay, SheetLine
from stillroom.reports.terminal.lists import day_of, figure, said

# A calendar file brought on from the one before it: what moved to another day keeps its UID, what is gone is
# cancelled. A calendar knows an event by its UID alone. A session that the plan moves from Friday to Saturday is
# the same session, so it keeps the UID of Friday, and the calendar moves it. What was planned and is no more
# stands in the file as cancelled (RFC 5546, 3.2.1: STATUS in METHOD:PUBLISH) until its day is past. SEQUENCE
# never falls, and rises when anything changed (RFC 5545, 3.8.7.4).

THING = "X-STILLROOM-THING"
"""Property that says what an event is about, whatever its day: the kind and the name."""
OURS = "@stillroom"
GONE = "Not planned any more: "
PASSING = ("DTSTAMP", "SEQUENCE")


def brought_on(content: bytes, earlier: bytes | None, today: datetime.date) -> bytes:
    """
    Give a new calendar file as the next one after an earlier; as it is when there is none, or none that can be read.

    Of the earlier file only our own events from `today` on count.
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
            calendar.add_component(cancelled(event))
    number_again(calendar, events)
    return bytes(calendar.to_ical())


def events_in(content: bytes | None) -> dict[str, Component]:
    """Our own events of a calendar file by UID; none where it cannot be read."""
    try:
        calendar = Calendar.from_ical(content) if content else None
    except ValueError:
        return {}
    found = [] if calendar is None else calendar.walk("VEVENT")
    ours = [event for event in found if str(event.get("uid", "")).endswith(OURS) and "DTSTART" in event]
    return {str(event["uid"]): event for event in ours}


def moment(event: Component) -> datetime.datetime:
    """When an event begins; a whole day at its first moment."""
    begins: datetime.date = event.decoded("dtstart")
    return moment_of(begins)


def moment_of(day: datetime.date) -> datetime.datetime:
    """
    A day or a time as a time.

    >>> moment_of(datetime.date(2026, 8, 14))
    datetime.datetime(2026, 8, 14, 0, 0)
    """
    if isinstance(day, datetime.datetime):
        return day.replace(tzinfo=None)
    return datetime.datetime.combine(day, datetime.time())


def matches(new: Sequence[Component], earlier: Mapping[str, Component]) -> dict[int, str]:
    """
    The UID that each new event had before, by its place: the same thing on the same day, else on the nearest other.

    What stood still is found before what moved, and what was to be before what was cancelled.
    """
    left = dict(earlier)
    found: dict[int, str] = {}
    for same_day in (True, False):
        for place, event in enumerate(new):
            if place in found:
                continue
            alike = [
                (str(old.get("status")) == "CANCELLED", abs(moment(old) - moment(event)), key)
                for key, old in left.items()
                if THING in old and str(old.get(THING)) == str(event.get(THING))
                if not same_day or moment(old).date() == moment(event).date()
            ]
            if alike:
                found[place] = min(alike)[2]
                del left[found[place]]
    return found


def unused(own: str, used: Iterable[str]) -> str:
    """
    A UID that nothing has yet.

    >>> unused("ab@stillroom", {"ab@stillroom"})
    'ab-2@stillroom'
    """
    number = 2
    start = own.removesuffix(OURS)
    while f"{start}-{number}{OURS}" in used:
        number += 1
    return f"{start}-{number}{OURS}"


def cancelled(event: Component) -> Component:
    """The event as one that is not to be any more; a calendar that does not know STATUS shows it in the words."""
    words = str(event.get("summary", ""))
    if "STATUS" in event:
        del event["STATUS"]
    event.add("status", "CANCELLED")
    event["summary"] = words if words.startswith(GONE) else f"{GONE}{words}"
    return event


def number_again(calendar: Calendar, earlier: Mapping[str, Component]) -> None:
    """SEQUENCE of all events: never lower than before, and higher when any is another than it was."""
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
    """How often an event was changed, 0 where it does not say."""
    return int(str(event.get("sequence", 0)))


def plain(event: Component) -> bytes:
    """An event without what changes every time."""
    copy = Event()
    for name, value in event.items():
        if name.upper() not in PASSING:
            copy[name] = value
    return bytes(copy.to_ical())


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
        return f"{format_amount(buy, unit)} {plural(buy, item)}"
    return f"{format_amount(buy, unit)} {plural(buy, unit)} {item}"
