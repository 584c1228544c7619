"""The clock as rows of the Timetable table, and what has to be said when a day does not fit its hours."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence

from stillroom.household.results.messages import LOOK
from stillroom.household.results.values import Row
from stillroom.household.text import format_clock, format_long_date, format_minutes, format_moment
from stillroom.timetable.schedule import DayOnClock, Step


def timetable_rows(clock: Sequence[DayOnClock]) -> list[Row]:
    """Every step of every day, by day and time."""
    return [row_of(step) for step in in_order(clock)]


def in_order(clock: Sequence[DayOnClock]) -> list[Step]:
    """Every step by the time it begins; what follows on a later day stands among the steps of that day."""
    steps = [step for day in clock for step in day.steps]
    return sorted(steps, key=lambda step: step.start)


def row_of(step: Step) -> Row:
    """One row of the table."""
    return {
        "Day": step.start.date(),
        "Start": step.start.time(),
        "End": step.end.time(),
        "Step": step_words(step),
        "Preserve": step.name,
        "Equipment": ", ".join(step.equipment) or None,
        "Hands": ", ".join(step.persons) or None,
    }


def step_words(step: Step) -> str:
    """What to do, with the number of the load where there are several, and the day it ends when that is another."""
    load = f"load {step.load} of {step.of}: " if step.of > 1 else ""
    until = (
        f", until {format_long_date(step.end.date())} {format_clock(step.end)}"
        if step.end.date() != step.start.date()
        else ""
    )
    return f"{load}{step.words}{until}"


def clock_messages(clock: Sequence[DayOnClock]) -> Iterator[Row]:
    """Say for each day that does not fit its hours by how much and what to move; the plan itself stays."""
    for day in clock:
        for words in day.left_off:
            fix = "write 0 in Fix beside it, or change what it is made in"
            yield message(day.day, f"cannot be put on the clock: {words}", fix)
        for name, minutes in day.overworked:
            what = f"does not suit all: {name} works {format_minutes(minutes)} more than the hours typed"
            yield message(day.day, what, f"do it with somebody else, or write more hours for {name}")
        if day.evening_ends is not None and day.evening_ends > day.kitchen.latest:
            yield late_dryer(day, day.evening_ends)
        if day.ends > day.closes:
            yield past_its_hours(day)


def late_dryer(day: DayOnClock, filled: datetime.datetime) -> Row:
    """Say that a dryer would have to be filled when nobody is up."""
    until = format_moment(day.kitchen.latest, day.day)
    name = next((step.name for step in day.steps if step.kind == "run" and step.start == filled), "")
    what = f"has a dryer to be filled at {format_moment(filled, day.day)}, later than anybody is up ({until})"
    return message(day.day, f"{what}; it is of {name}", f"make less of {name} that day (write it in Fix beside it)")


def past_its_hours(day: DayOnClock) -> Row:
    """Say that a day runs past its hours."""
    past = (day.ends - day.closes).total_seconds() / 60
    what = (
        f"runs until {format_moment(day.ends, day.day)}, {format_minutes(past)} past its hours "
        f"({format_clock(day.kitchen.starts)} to {format_moment(day.closes, day.day)}, read from the hours of "
        "hands and "
        f"stove with {pairs_words(day.kitchen.persons)}); {day.last_to_end} ends last"
    )
    fix = f"move {day.last_to_end} to another day (write 0 in Fix beside it), begin earlier, or stay on longer"
    return message(day.day, what, fix)


def message(day: datetime.date, what: str, fix: str) -> Row:
    """One row of Messages."""
    return {
        "Severity": LOOK,
        "Where": f"Timetable, {format_long_date(day)}",
        "What": f"the day {what}",
        "What to do": fix,
    }


def pairs_words(persons: int) -> str:
    """
    How many pairs of hands.

    >>> pairs_words(1), pairs_words(2)
    ('one pair of hands', '2 pairs of hands')
    """
    return "one pair of hands" if persons == 1 else f"{persons} pairs of hands"
