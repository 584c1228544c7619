"""The days by the clock on paper: each day's steps with their times, for whoever stands at the stove."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence

from stillroom.household.answer.words import day_words, long_day_words
from stillroom.pages.paper import Cell, Column, Paper, Section, Sentence, table
from stillroom.pages.week_sheet import times_words
from stillroom.timetable.rows import step_words
from stillroom.timetable.steps import DayOnClock, Step

COLUMNS = (
    Column("", "box"),
    Column("Time", "time"),
    Column("Hands", "time"),
    Column("Step", "plain", 0.66),
    Column("For", "plain", 0.34),
)


def clock_sheet(
    title: str,
    clock: Mapping[datetime.date, DayOnClock],
    steps: Mapping[datetime.date, Sequence[Step]],
    said: str = "",
) -> Paper:
    """The page; `clock` and `steps` are by day, `said` a line on top."""
    first = next(iter(steps), None)
    heading = f"By the clock from {long_day_words(first)}" if first is not None else "Nothing to do by the clock"
    sections = [
        Section(
            day_words(day),
            (table(COLUMNS, [step_cells(step) for step in several]),),
            times_words(clock[day]) if day in clock else "",
        )
        for day, several in steps.items()
    ]
    nothing = [Section("", (Sentence("No day has anything to put up."),))]
    return Paper("by-the-clock", heading, title, tuple(sections or nothing), said)


def step_cells(step: Step) -> tuple[Cell, ...]:
    """One step with its times, hands and equipment."""
    end = "" if step.end == step.start else f"–{step.end:%H:%M}"
    inside = f" (in {', '.join(step.equipment)})" if step.equipment else ""
    return (
        Cell(),
        Cell(f"{step.start:%H:%M}{end}"),
        Cell(", ".join(step.persons)),
        Cell(step_words(step) + inside),
        Cell(step.name),
    )
