"""
A calendar file brought on from the one before it: what moved to another day keeps its UID, what is gone is cancelled.

A calendar knows an event by its UID alone. A session that the plan moves from Friday to Saturday is the same session,
so it keeps the UID of Friday, and the calendar moves it. What was planned and is no more stands in the file as
cancelled (RFC 5546, 3.2.1: STATUS in METHOD:PUBLISH) until its day is past. SEQUENCE never falls, and rises when
anything changed (RFC 5545, 3.8.7.4).
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence

from icalendar import Calendar, Component, Event

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
