"""The calendar after the next plan: what moved keeps its UID, what is gone is canceled, nothing stands twice."""

import datetime

import icalendar
import pytest
import vobject

from stillroom.household.results.clock import Step
from stillroom.reports.calendar import calendar_file, continued
from stillroom.reports.print.week import SheetDay, SheetLine

FRIDAY = datetime.date(2026, 8, 14)
STAMP = datetime.datetime(2026, 8, 14, 6, 0, tzinfo=datetime.UTC)


def plan_of(*sessions, sequence=1):
    """A calendar file with sessions (name, days after Friday), each from 8 to 10."""
    by_day = {}
    for name, later in sessions:
        by_day.setdefault(FRIDAY + datetime.timedelta(days=later), []).append(name)
    days = [SheetDay(day, tuple(SheetLine(name, "7 jars") for name in names)) for day, names in by_day.items()]
    steps = {
        day: [Step(at(day, 8), at(day, 10), "process", "process", name) for name in names]
        for day, names in by_day.items()
    }
    return calendar_file(days, steps, [], STAMP, sequence)


def at(day, hour):
    """A time of a day."""
    return datetime.datetime.combine(day, datetime.time(hour))


def seen(content):
    """The events by UID: name with day, status and sequence."""
    events = icalendar.Calendar.from_ical(content).walk("VEVENT")
    found = {
        str(event["uid"]): (
            str(event["summary"]).split(":")[-2].strip(),
            (event["dtstart"].dt.date() - FRIDAY).days,
            str(event.get("status", "")),
            int(event["sequence"]),
        )
        for event in events
    }
    assert len(found) == len(events)
    return found


def test_a_session_that_moves_keeps_its_uid():
    """Juice from Friday to Monday; a calendar moves it."""
    first = plan_of(("juice", 0), ("beans", 1))
    second = continued(plan_of(("juice", 3), ("beans", 1), sequence=2), first, FRIDAY)
    before = {what[0]: uid for uid, what in seen(first).items()}
    after = {what[0]: uid for uid, what in seen(second).items()}
    assert before == after
    assert seen(second)[after["juice"]] == ("juice", 3, "", 2)


def test_what_stood_still_is_not_taken_for_what_moved():
    """Juice on Friday and Sunday; then on Sunday and Monday: Sunday is Sunday, and Friday became Monday."""
    first = plan_of(("juice", 0), ("juice", 2))
    second = continued(plan_of(("juice", 2), ("juice", 3), sequence=2), first, FRIDAY)
    old = {what[1]: uid for uid, what in seen(first).items()}
    new = {what[1]: uid for uid, what in seen(second).items()}
    assert new == {2: old[2], 3: old[0]}


def test_a_session_back_on_its_old_day_beside_another_never_has_the_same_uid():
    """Friday's juice moved to Saturday and kept Friday's UID; then there is juice on both days."""
    first = plan_of(("juice", 0))
    second = continued(plan_of(("juice", 1), sequence=2), first, FRIDAY)
    third = continued(plan_of(("juice", 0), ("juice", 1), sequence=3), second, FRIDAY)
    assert sorted(what[1] for what in seen(third).values()) == [0, 1]
    (kept,) = seen(second)
    assert seen(third)[kept][1] == 1


def test_what_is_gone_is_canceled_until_its_day_is_past():
    """Beans of Saturday are planned no more: canceled, and still so in the next file; on Sunday they are left out."""
    first = plan_of(("juice", 0), ("beans", 1))
    second = continued(plan_of(("juice", 0), sequence=2), first, FRIDAY)
    third = continued(plan_of(("juice", 0), sequence=3), second, FRIDAY)
    for content, sequence in ((second, 2), (third, 3)):
        (beans,) = (what for what in seen(content).values() if what[0] == "beans")
        assert beans == ("beans", 1, "CANCELLED", sequence)
        assert content.count(b"Canceled") == 1
    sunday = FRIDAY + datetime.timedelta(days=2)
    last = continued(plan_of(("juice", 2), sequence=4), third, sunday)
    assert {what[0] for what in seen(last).values()} == {"juice"}


def test_a_session_of_a_past_day_is_neither_moved_nor_canceled():
    """Friday's juice was made; Monday's is another session."""
    first = plan_of(("juice", 0))
    second = continued(plan_of(("juice", 3), sequence=2), first, FRIDAY + datetime.timedelta(days=1))
    assert set(seen(first)).isdisjoint(seen(second))
    assert [what[2] for what in seen(second).values()] == [""]


def test_what_was_canceled_and_comes_back_is_one_event():
    first = plan_of(("juice", 0), ("beans", 1))
    second = continued(plan_of(("juice", 0), sequence=2), first, FRIDAY)
    third = continued(plan_of(("juice", 0), ("beans", 2), sequence=3), second, FRIDAY)
    assert set(seen(third)) == set(seen(first))
    assert {what[2] for what in seen(third).values()} == {""}


def test_sequence_rises_when_anything_changed_and_never_falls():
    """A workbook begun anew counts from 1 again; the calendar does not."""
    first = plan_of(("juice", 0), sequence=5)
    same = continued(plan_of(("juice", 0), sequence=1), first, FRIDAY)
    other = continued(plan_of(("juice", 1), sequence=1), first, FRIDAY)
    assert [what[3] for what in seen(same).values()] == [5]
    assert [what[3] for what in seen(other).values()] == [6]
    assert continued(plan_of(("juice", 0), sequence=5), first, FRIDAY) == first


@pytest.mark.parametrize("earlier", [None, b"", b"not a calendar", b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n"])
def test_without_an_earlier_file_that_can_be_read_the_new_one_is_as_it_is(earlier):
    new = plan_of(("juice", 0))
    assert continued(new, earlier, FRIDAY) == new


def test_events_of_others_in_the_earlier_file_are_left_alone():
    """A file that somebody put their own events into: those are not ours to cancel."""
    theirs = plan_of(("juice", 0)).replace(b"@stillroom", b"@example.org")
    new = plan_of(("beans", 1))
    assert continued(new, theirs, FRIDAY) == new


def test_a_canceled_event_is_read_by_the_second_library_too():
    first = plan_of(("juice, mild; for guests", 0), ("beans", 1))
    content = continued(plan_of(("beans", 1), sequence=2), first, FRIDAY).decode()
    statuses = {
        event.summary.value: event.status.value if hasattr(event, "status") else ""
        for event in vobject.readOne(content).vevent_list
    }
    assert statuses == {"Canceled: juice, mild; for guests: 7 jars": "CANCELLED", "beans: 7 jars": ""}
