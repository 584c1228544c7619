"""The clock beside the other tables of a plan: the Timetable, and what to say of days that do not fit their hours."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Sequence

from stillroom.household.answer.messages import LOOK, NOTE
from stillroom.household.answer.units import Row
from stillroom.household.answer.words import day_words
from stillroom.household.records import Household
from stillroom.timetable.audit import broken_promises, too_much_to_freeze
from stillroom.timetable.clock import on_the_clock
from stillroom.timetable.rows import clock_messages, timetable_rows
from stillroom.timetable.sessions import Session
from stillroom.timetable.steps import DayOnClock


def checked_clock(household: Household, sessions: Sequence[Session]) -> tuple[tuple[DayOnClock, ...], tuple[str, ...]]:
    """The days on the clock with what is wrong with them: a clock that cannot be kept is not to be shown."""
    clock = on_the_clock(household, sessions)
    return clock, broken_promises(household, sessions, clock)


def add_clock(tables: dict[str, list[Row]], household: Household, sessions: Sequence[Session]) -> None:
    """Add the Timetable to the tables of a plan, and its messages after the others that are to be looked at."""
    clock, broken = checked_clock(household, sessions)
    broken += tuple(too_much_to_freeze(household, sessions))
    if broken:
        what = f"there are no times for the days: the clock that was made cannot be kept ({broken[0]})"
        fix = "the plan itself holds"
        told: list[Row] = [{"Severity": NOTE, "Where": "Timetable", "What": what, "What to do": fix}]
    else:
        told = list(clock_messages(clock))
    again = planned_again(household, {day.day for day in clock if not day.fits})
    tables["Timetable"] = [] if broken else timetable_rows(clock)
    messages = tables["Messages"]
    place = sum(row["Severity"] == LOOK for row in messages)
    messages[place:place] = [row for row in told if row["Severity"] == LOOK]
    place = sum(row["Severity"] in (LOOK, NOTE) for row in messages)
    messages[place:place] = [*(row for row in told if row["Severity"] != LOOK), *again]


def planned_again(household: Household, over: Collection[datetime.date]) -> list[Row]:
    """Say which days were planned again to fit the clock; one that is still over is said to be, elsewhere."""
    return [
        {
            "Severity": NOTE,
            "Where": f"Timetable, {day_words(day)}",
            "What": f"the day's loads were within its hours as a sum, but not one after the other: {words}; "
            "the day was planned again and fits now",
            "What to do": "to have more on that day, begin earlier or write more hours of stove and hands",
        }
        for day, words in household.tighter.told
        if day not in over
    ]
