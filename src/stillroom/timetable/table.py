"""The timetable as rows, and messages about days that do not fit their hours."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence

from stillroom.household.results.clock import DayOnClock, Step, people_words, step_words
from stillroom.household.results.messages import WARNING
from stillroom.household.results.values import Row
from stillroom.household.text import format_clock, format_long_date, format_minutes, format_moment


def timetable_rows(clock: Sequence[DayOnClock]) -> list[Row]:
    """Return a row for every step, by day and time."""
    return [row_of(step) for step in in_order(clock)]


def in_order(clock: Sequence[DayOnClock]) -> list[Step]:
    """Return every step by its start; a step on a later day is with the steps of that day."""
    steps = [step for day in clock for step in day.steps]
    return sorted(steps, key=lambda step: step.start)


def row_of(step: Step) -> Row:
    """Return the row of a step."""
    return {
        "Day": step.start.date(),
        "Start": step.start.time(),
        "End": step.end.time(),
        "Step": step_words(step),
        "Preserve": step.name,
        "Equipment": ", ".join(step.equipment) or None,
        "Hands": ", ".join(step.persons) or None,
    }


def clock_messages(clock: Sequence[DayOnClock]) -> Iterator[Row]:
    """Yield a message for each day that does not fit its hours: by how much, and what to move."""
    for day in clock:
        for words in day.left_off:
            fix = "put 0 under Keep at in its plan line, or change its equipment"
            yield message(day.day, f"cannot be scheduled: {words}", fix)
        for name, minutes in day.overworked:
            what = f"is too long for {name}: {format_minutes(minutes)} more than the hours typed"
            yield message(day.day, what, f"have somebody else do it, or type more hours for {name}")
        if day.evening_ends is not None and day.evening_ends > day.kitchen.latest:
            yield late_dryer(day, day.evening_ends)
        if day.ends > day.closes:
            yield past_its_hours(day)


def late_dryer(day: DayOnClock, filled: datetime.datetime) -> Row:
    """Return the message about a dryer load that would start when nobody is up."""
    until = format_moment(day.kitchen.latest, day.day)
    name = next((step.name for step in day.steps if step.kind == "run" and step.start == filled), "")
    what = f"has a dryer load of {name} to start at {format_moment(filled, day.day)}, and nobody is up after {until}"
    return message(day.day, what, f"make less of {name} that day (type it under Keep at)")


def past_its_hours(day: DayOnClock) -> Row:
    """Return the message about a day that ends past its hours."""
    past = (day.ends - day.closes).total_seconds() / 60
    what = (
        f"ends at {format_moment(day.ends, day.day)}, {format_minutes(past)} past its hours "
        f"({format_clock(day.kitchen.starts)} to {format_moment(day.closes, day.day)}, from the rows hands and stove "
        f"free for {people_words(day.kitchen.persons)}); {day.last_to_end} ends last"
    )
    fix = f"move {day.last_to_end} to another day (put 0 under Keep at), start earlier, or type more hours"
    return message(day.day, what, fix)


def message(day: datetime.date, what: str, fix: str) -> Row:
    """Return a row of Messages."""
    return {
        "Severity": WARNING,
        "Where": f"Timetable, {format_long_date(day)}",
        "What": f"the day {what}",
        "What to do": fix,
    }
