"""The week sheet: one page for the fridge door with what to make each day, boxes to tick, sources and cautions."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.journal.overview import Today, due_soon, today_of
from stillroom.household.records import FREEZE_WHOLE, THAW, Household, Preserve
from stillroom.household.results.clock import DayOnClock, pairs_words
from stillroom.household.results.messages import CAUTION
from stillroom.household.results.plan_table import FROM_MEMORY, OWN_RECIPE
from stillroom.household.results.values import Row, in_crop_unit
from stillroom.household.text import (
    format_amount,
    format_clock,
    format_containers,
    format_count,
    format_crop,
    format_date,
    format_fraction,
    format_full_date,
    format_list,
    format_long_date,
    format_moment,
    format_number,
    format_weekday,
    plural,
)
from stillroom.reports.print.document import Below, Block, Cell, Column, Group, Paper, Points, Section, Sentence, Table
from stillroom.reports.terminal.lists import day_of, figure, said
from stillroom.reports.terminal.today import freezer_moves, lot_fate, put_away_lines

# Amounts of bought ingredients as one measures them out: cups and spoons, never less than the recipe takes.

TABLESPOONS = {"tsp": 1 / 3, "tbsp": 1.0, "cup": 16.0}
STEPS = {"tsp": 0.25, "tbsp": 0.5, "cup": 0.25}
SMALL = {"g": 1.0, "ml": 1.0, "kg": 0.05, "L": 0.05}
"""Smallest steps that are measured in these units; in any other a quarter is."""


def measured(amount: float, unit: str) -> str:
    """
    So much of something bought, rounded up: what is measured out is never less acid than the recipe asks.

    >>> measured(14, "tbsp"), measured(1.35, "cup"), measured(0.375, "tsp"), measured(2, "cup")
    ('¾ cup and 2 tbsp', '1¼ cups and 2 tbsp', '½ tsp', '2 cups')
    >>> measured(210.2, "ml"), measured(1.03, "lb"), measured(0.4, "L")
    ('211 ml', '1¼ lb', '0.4 L')
    """
    if unit in TABLESPOONS:
        return in_cups_and_spoons(amount * TABLESPOONS[unit])
    step = SMALL.get(unit, 0.25)
    up = math.ceil(amount / step - 1e-6) * step
    said = format_amount(up, unit) if unit in SMALL else format_fraction(up, step)
    return f"{said} {plural(up, unit)}".strip()


def in_cups_and_spoons(tablespoons: float) -> str:
    """
    A small volume in the largest measures it fills, the rest rounded up.

    >>> in_cups_and_spoons(4), in_cups_and_spoons(2.6), in_cups_and_spoons(0.5), in_cups_and_spoons(15.9)
    ('¼ cup', '3 tbsp', '1½ tsp', '1 cup')
    """
    if tablespoons < 1 - 1e-6:
        return part(tablespoons * 3, "tsp")
    if tablespoons < 4 - 1e-6:
        return part(tablespoons, "tbsp")
    cups = math.floor(tablespoons / 4 + 1e-6) / 4
    rest = math.ceil((tablespoons - 16 * cups) / STEPS["tbsp"] - 1e-6) * STEPS["tbsp"]
    if rest >= 4:
        return part(cups + 0.25, "cup")
    return part(cups, "cup") + (f" and {part(rest, 'tbsp')}" if rest > 0 else "")


def part(amount: float, unit: str) -> str:
    """So much of one measure, rounded up to what is marked on it."""
    up = math.ceil(amount / STEPS[unit] - 1e-6) * STEPS[unit]
    return f"{format_fraction(up, STEPS[unit])} {plural(up, unit)}"


# What stands on the week sheet, before it is a page: each day's lines with amounts, process, source and cautions.

Tables = Mapping[str, Sequence[Row]]


@dataclass(frozen=True)
class SheetLine:
    """One thing to make: how many of what, in how many loads, out of what, how long, and by whose word."""

    name: str
    amount: str
    loads: str = ""
    takes: str = ""
    process: str = ""
    source: str = ""
    warning: str = ""
    note: str = ""


@dataclass(frozen=True)
class SheetDay:
    """One day with its lines, in the order of the plan."""

    day: datetime.date
    lines: tuple[SheetLine, ...]


def sheet_days(household: Household, tables: Tables) -> list[SheetDay]:
    """The single days of the plan that stands in the workbook, those with nothing planned among them."""
    preserves = {item.name: item for item in household.preserves}
    singles = [day_of(row, "Period") for row in tables.get("Space", ()) if figure(row, "Days") == 1]
    rows: dict[datetime.date, list[SheetLine]] = {day: [] for day in singles}
    for row in tables["Plan"]:
        if figure(row, "Days") == 1 and figure(row, "Make") > 0 and day_of(row) in rows:
            rows[day_of(row)].append(line_of(household, preserves.get(said(row, "Preserve")), row))
    return [SheetDay(day, tuple(lines)) for day, lines in rows.items()]


def line_of(household: Household, item: Preserve | None, row: Row) -> SheetLine:
    """One line of the plan; `item` is None for crop frozen whole or taken out."""
    name, make, unit = said(row, "Preserve"), figure(row, "Make"), said(row, "Unit")
    if item is None:
        whole = name.startswith((FREEZE_WHOLE, THAW))
        amount = format_amount(make, unit) if whole else format_containers(make, whole=True)
        return SheetLine(name, f"{amount} {plural(make, unit)}", takes=said(row, "Uses"), note=said(row, "Note"))
    loads = round(figure(row, "Loads"))
    marks = [words for words, is_so in ((OWN_RECIPE, item.own_recipe), (FROM_MEMORY, item.from_memory)) if is_so]
    return SheetLine(
        name,
        f"{format_number(make)} {plural(make, unit)}",
        format_count(loads, "load") if loads else "",
        takes_words(household, item, make),
        item.process_text,
        item.process_source if item.process_text else "",
        "; ".join(marks),
        said(row, "Note"),
    )


def takes_words(household: Household, item: Preserve, make: float) -> str:
    """
    What so many containers take: crops in their own unit, what is bought in kitchen measures, for each container too.

    >>> from stillroom.household.records import Ingredient, Kitchen
    >>> lemon = Ingredient("lemon juice", "pantry", 0.03, amount_typed=2.0, unit="tbsp")
    >>> home = Household(Kitchen(datetime.date(2026, 8, 14)))
    >>> takes_words(home, Preserve("juice", "boiling-water canned", "quart jar", ingredients=(lemon,)), 7)
    '¾ cup and 2 tbsp lemon juice (2 tbsp to each)'
    """
    crops = {crop.name: crop for crop in household.crops}
    words = []
    for line in item.ingredients:
        if line.source == "crop":
            crop = crops[line.item]
            words.append(format_crop(in_crop_unit(line.amount_each * make, crop), crop))
        elif line.source == "pantry" and line.amount_typed > 0:
            each = measured(line.amount_typed, line.unit)
            words.append(f"{measured(line.amount_typed * make, line.unit)} {line.item} ({each} to each)")
        else:
            words.append(f"{format_amount(line.amount_each * make)} {line.item}")
    return format_list(words, 0, ", ")


def cautions(tables: Tables) -> list[tuple[str, str]]:
    """The cautions of the plan, each with its source."""
    return [(said(row, "What"), said(row, "Where")) for row in tables["Messages"] if said(row, "Severity") == CAUTION]


# This morning's list as lines for the week sheet: the freezer, what to put away, what does not keep until
# tomorrow.

MOST_WAITING = 8


@dataclass(frozen=True)
class Morning:
    """What is to be done this morning besides what is made, a line each; and in one line what keeps longer."""

    tasks: tuple[str, ...] = ()
    waiting: str = ""


def morning_of(typed: Household, settled: Household) -> Morning:
    """This morning's list; `settled` has the record taken off."""
    today = today_of(typed, settled)
    tasks = [*lot_lines(today), *freezer_moves(today, due_soon(settled)), *put_away_lines(today.put_away)]
    waiting = [
        f"{format_amount(lot.amount, lot.unit)} {lot.unit} {lot.crop} by {format_long_date(lot.until)}"
        for lot in today.lots
        if not lot.must_today(today.day)
    ]
    said = f"Keeps longer, ripest first: {format_list(waiting, MOST_WAITING, '; ')}." if waiting else ""
    return Morning(tuple(tasks), said)


def lot_lines(today: Today) -> Iterator[str]:
    """Each lot that is at its last day."""
    for lot in today.lots:
        if lot.must_today(today.day):
            amount = f"{format_amount(lot.amount, lot.unit)} {lot.unit} {lot.crop}"
            yield f"Today at the latest: {amount}; {lot_fate(lot, today)}."


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
        sections.append(Section("This morning", tuple(first), format_long_date(days[0].day) if days else ""))
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
    ('Friday, August 14, 2026', 'Nothing planned day by day')
    """
    if not days:
        return "Nothing planned day by day"
    first = format_full_date(days[0].day)
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
    below = [Below(format_date(day.day))]
    if clock is not None:
        below.append(Below(f"{format_clock(clock.kitchen.starts)}–{format_moment(clock.ends, clock.day)}"))
        below.append(Below(f"{clock.kitchen.persons} at it" if clock.kitchen.persons > 1 else "one at it"))
    head = Cell(format_weekday(day.day)[:3], tuple(below))
    if not day.lines:
        none = Cell(unmarked=True)
        return Group(((none, none, Cell("", (Below(NOTHING),)), none, none),), head)
    return Group(tuple(line_cells(line, sources) for line in day.lines), head)


def times_words(clock: DayOnClock) -> str:
    """From when to when, with how many hands."""
    return (
        f"{format_clock(clock.kitchen.starts)} to {format_moment(clock.ends, clock.day)}, "
        f"{pairs_words(clock.kitchen.persons)}"
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
