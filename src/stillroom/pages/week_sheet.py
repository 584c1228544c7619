"""The week sheet: one page for the fridge door with what to make each day, boxes to tick, sources and cautions."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence

from stillroom.household.answer.words import day_words, long_day_words
from stillroom.household.records import FREEZE_WHOLE, THAW
from stillroom.pages.paper import Below, Block, Cell, Column, Group, Paper, Points, Section, Sentence, Table
from stillroom.pages.week_sheet_lines import SheetDay, SheetLine
from stillroom.pages.week_sheet_today import Morning
from stillroom.timetable.rows import moment_words, pairs_words
from stillroom.timetable.steps import DayOnClock

COLUMNS = (
    Column("", "box"),
    Column("How many", "number"),
    Column("What, and what it takes", "main", 0.75),
    Column("In canner or dryer", "plain", 0.25),
    Column("Made", "write"),
)
MORE_CAUTIONS = "in Messages, in the workbook: read that too"
DAYS_A_WEEK = 7
NO_MORNING = Morning()
NOTHING = "nothing has to be put up"


def week_sheet(
    title: str,
    days: Sequence[SheetDay],
    clock: Mapping[datetime.date, DayOnClock],
    cautions: Sequence[tuple[str, str]],
    said: str = "",
    morning: Morning = NO_MORNING,
) -> Paper:
    """
    The page: this morning's list, then what to make each day, where the times come from, and what to be careful of.

    `clock` is by day, `cautions` words with their source, `said` a line on top, `morning` what comes first.
    """
    sources = list(dict.fromkeys(line.source for day in days for line in day.lines if line.source))
    sections = []
    first: list[Block] = [Points(tuple((line, "") for line in morning.tasks), "ticked")] if morning.tasks else []
    first += [Sentence(morning.waiting)] if morning.waiting else []
    if first:
        sections.append(Section("This morning", tuple(first), day_words(days[0].day) if days else ""))
    sections.append(Section("", tuple(days_blocks(days, clock, sources))))
    if sources:
        sections.append(Section("", (Sentence(f"Times from {sources_words(sources)}.", small=True),)))
    if cautions:
        items = tuple((words, f"({source})" if source else "") for words, source in cautions)
        sections.append(Section("Take care", (Points(items, "dash", may_be_cut=True, cut_words=MORE_CAUTIONS),)))
    return Paper("week", heading_words(days), title, tuple(sections), said, "door")


def heading_words(days: Sequence[SheetDay]) -> str:
    """
    Which days are on the page.

    >>> heading_words([SheetDay(datetime.date(2026, 8, 14), ())]), heading_words([])
    ('Friday 14 August 2026', 'Nothing planned day by day')
    """
    if not days:
        return "Nothing planned day by day"
    first = long_day_words(days[0].day)
    return first if len(days) == 1 else f"Week of {first}" if len(days) <= DAYS_A_WEEK else f"From {first}"


def sources_words(sources: Sequence[str]) -> str:
    """
    Where the times were read, by the numbers in the lines, places in one publication together.

    >>> sources_words(["Guide A, p. 2", "Guide B", "Guide A, p. 7"])
    'Guide A: [1] p. 2, [3] p. 7; Guide B: [2]'
    """
    places: dict[str, list[str]] = {}
    for number, source in enumerate(sources, 1):
        book, comma, place = source.rpartition(", ")
        places.setdefault(book if comma else source, []).append(f"[{number}] {place}" if comma else f"[{number}]")
    return "; ".join(f"{book}: {', '.join(several)}" for book, several in places.items())


def days_blocks(
    days: Sequence[SheetDay], clock: Mapping[datetime.date, DayOnClock], sources: Sequence[str]
) -> list[Block]:
    """The days in one table, days with nothing to do in a line of it; a sentence when there is nothing at all."""
    if not any(day.lines for day in days):
        return [Sentence("Nothing has to be put up." if days else "This plan has no days planned one by one.")]
    return [Table(COLUMNS, tuple(day_group(day, clock.get(day.day), sources) for day in days), with_heads=True)]


def day_group(day: SheetDay, clock: DayOnClock | None, sources: Sequence[str]) -> Group:
    """One day: its name and hours beside its lines."""
    below = [Below(day_words(day.day).partition(" ")[2])]
    if clock is not None:
        below.append(Below(f"{clock.kitchen.starts:%H:%M}–{moment_words(clock.ends, clock.day)}"))
        below.append(Below(f"{clock.kitchen.persons} at it" if clock.kitchen.persons > 1 else "one at it"))
    head = Cell(f"{day.day:%A}"[:3], tuple(below))
    if not day.lines:
        none = Cell(unmarked=True)
        return Group(((none, none, Cell("", (Below(NOTHING),)), none, none),), head)
    return Group(tuple(line_cells(line, sources) for line in day.lines), head)


def times_words(clock: DayOnClock) -> str:
    """From when to when, with how many hands."""
    return (
        f"{clock.kitchen.starts:%H:%M} to {moment_words(clock.ends, clock.day)}, {pairs_words(clock.kitchen.persons)}"
    )


def line_cells(line: SheetLine, sources: Sequence[str]) -> tuple[Cell, ...]:
    """One line of a day, a box before it and a place for what was made behind it."""
    number = f" [{sources.index(line.source) + 1}]" if line.source else ""
    below = tuple(
        Below(words, warns) for words, warns in ((line.takes, False), (line.warning, True), (line.note, False)) if words
    )
    of_crop = line.name.startswith((FREEZE_WHOLE, THAW))
    count, _, unit = (line.amount, "", "") if of_crop else line.amount.partition(" ")
    process = Cell(f"{line.process}{number}", (Below(line.loads),) if line.loads else ())
    return (Cell(), Cell(count, (Below(unit),)), Cell(line.name, below), process, Cell())
