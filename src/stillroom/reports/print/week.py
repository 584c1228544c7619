"""The week sheet: one page for the fridge door with what to make each day, boxes to check, sources and cautions."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from stillroom.handbook.cautions import PageCautions
from stillroom.handbook.jars import measured
from stillroom.household.journal.lots import LotToday
from stillroom.household.journal.overview import Today, due_soon, today_of
from stillroom.household.records import FREEZE_WHOLE, THAW, Household, Preserve
from stillroom.household.results.clock import DayOnClock
from stillroom.household.results.deadlines import CANNOT_WAIT, DAY_CAN_WAIT, LATER, STOP, wait_words
from stillroom.household.results.rows import Row, day_in, in_crop_unit, number_in, text_in
from stillroom.household.results.tables import OWN_RECIPE
from stillroom.household.standing import standing_text
from stillroom.household.text import (
    format_amount,
    format_clock,
    format_containers,
    format_count,
    format_crop,
    format_full_date,
    format_list,
    format_long_date,
    format_moment,
    format_quantity,
    plural,
)
from stillroom.reports.print.document import (
    Below,
    Block,
    Cell,
    Column,
    Group,
    Paper,
    Points,
    Section,
    Sentence,
    Table,
    caution_sections,
    sources_text,
)
from stillroom.reports.print.labels import NOT_VERIFIED
from stillroom.reports.terminal.day import explained, jar_words, pack_words
from stillroom.reports.terminal.today import freezer_moves, lot_fate, put_away_lines

# The lines of each day

Tables = Mapping[str, Sequence[Row]]


@dataclass(frozen=True)
class SheetLine:
    """
    One thing to make: how many, in how many loads, of what, for how long, and by which source.

    `jar` is the jar of a canned line with its pack, headspace and acid, or how another is packed or kept, `waits` how
    long its food stands, `can_wait` until when the line itself can wait; empty where that is past the days of the page.
    """

    name: str
    amount: str
    loads: str = ""
    takes: str = ""
    process: str = ""
    source: str = ""
    warning: str = ""
    note: str = ""
    verified: bool = True
    jar: str = ""
    waits: str = ""
    can_wait: str = ""


@dataclass(frozen=True)
class SheetDay:
    """One day with its lines, in the order of the plan, and where one may stop at the least cost."""

    day: datetime.date
    lines: tuple[SheetLine, ...]
    stop: str = ""


def sheet_days(household: Household, tables: Tables, waiting: Sequence[Row] = ()) -> list[SheetDay]:
    """
    Return the days that the workbook plans in detail, those with nothing planned included.

    `waiting` are the rows of the table Can wait, where it was filled for this plan.
    """
    preserves = {item.name: item for item in household.preserves}
    singles = [day_in(row, "Period") for row in tables.get("Space", ()) if number_in(row, "Days") == 1]
    rows: dict[datetime.date, list[SheetLine]] = {day: [] for day in singles}
    for row in tables["Plan"]:
        if number_in(row, "Days") == 1 and number_in(row, "Make") > 0 and day_in(row) in rows:
            rows[day_in(row)].append(line_of(household, preserves.get(text_in(row, "Preserve")), row))
    stop = {day_in(row): text_in(row, "Else") for row in waiting if row.get("Preserve") == STOP}
    return [SheetDay(day, tuple(lines), stop.get(day, "")) for day, lines in rows.items()]


def line_of(household: Household, item: Preserve | None, row: Row) -> SheetLine:
    """Return one line of the plan; `item` is None for crop frozen whole or thawed."""
    name, make, unit = text_in(row, "Preserve"), number_in(row, "Make"), text_in(row, "Unit")
    until = text_in(row, "Can wait until")
    can_wait = "" if until.startswith(LATER) else wait_words(day_in(row), until)
    if item is None:
        of_crop = name.startswith((FREEZE_WHOLE, THAW))
        amount = format_amount(make, unit) if of_crop else format_containers(make, whole=True)
        takes, note = text_in(row, "Uses"), text_in(row, "Note")
        return SheetLine(name, f"{amount} {plural(make, unit)}", takes=takes, note=note, can_wait=can_wait)
    loads = round(number_in(row, "Loads"))
    return SheetLine(
        name,
        format_count(make, unit),
        format_count(loads, "load") if loads else "",
        takes_text(household, item, make),
        item.process_text,
        item.process_source if item.process_text else "",
        OWN_RECIPE if item.own_recipe else "",
        text_in(row, "Note"),
        not item.from_memory,
        jar_words(item) or pack_words(item),
        standing_text(item.standing),
        can_wait,
    )


def takes_text(household: Household, item: Preserve, make: float) -> str:
    """
    Return what containers take: crops in their own unit, bought ingredients in kitchen measures, also for each one.

    >>> from stillroom.household.records import Ingredient, Kitchen
    >>> lemon = Ingredient("lemon juice", "pantry", 0.03, amount_typed=2.0, unit="tbsp")
    >>> home = Household(Kitchen(datetime.date(2026, 8, 14)))
    >>> takes_text(home, Preserve("juice", "boiling-water canned", "quart jar", ingredients=(lemon,)), 7)
    '¾ cup and 2 tbsp lemon juice (2 tbsp in each)'
    """
    crops = {crop.name: crop for crop in household.crops}
    words = []
    for line in item.ingredients:
        if line.source == "crop":
            crop = crops[line.item]
            words.append(format_crop(in_crop_unit(line.amount_each * make, crop), crop))
        elif line.source == "pantry" and line.amount_typed > 0:
            each = measured(line.amount_typed, line.unit)
            words.append(f"{measured(line.amount_typed * make, line.unit)} {line.item} ({each} in each)")
        else:
            words.append(f"{format_amount(line.amount_each * make)} {line.item}")
    return format_list(words)


@dataclass(frozen=True)
class ThisMorning:
    """What to do this morning apart from what is made, and which lots to use within two days, a line each."""

    tasks: tuple[str, ...] = ()
    soon: tuple[str, ...] = ()


def this_morning_of(typed: Household, settled: Household) -> ThisMorning:
    """Return this morning's list; `settled` has the records subtracted."""
    today = today_of(typed, settled)
    tasks = [*last_day_lines(today), *freezer_moves(today, due_soon(settled)), *put_away_lines(today.put_away)]
    return ThisMorning(tuple(tasks), tuple(soon_lines(today)))


def last_day_lines(today: Today) -> Iterator[str]:
    """Yield a line for each lot that must be used today."""
    for lot in today.lots:
        if lot.must_today(today.day):
            yield f"Use today: {format_quantity(lot.amount, lot.unit)} {lot.crop} ({lot_fate(lot, today)})."


def soon_lines(today: Today) -> list[str]:
    """Return a line for each crop with lots that keep beyond today, but no longer than two days, the ripest first."""
    soon = today.day + datetime.timedelta(days=SOON_DAYS)
    by_crop: dict[str, list[LotToday]] = {}
    for lot in today.lots:
        if today.day < lot.until <= soon:
            by_crop.setdefault(lot.crop, []).append(lot)
    return [
        f"{crop}: "
        + ", ".join(f"{format_quantity(lot.amount, lot.unit)} by {format_long_date(lot.until)}" for lot in lots)
        for crop, lots in by_crop.items()
    ]


# The page

COLUMNS = (
    Column("", "box"),
    Column("How many", "number"),
    Column("What, and what it takes", "main", 0.75),
    Column("In canner or dryer", "plain", 0.25),
    Column("Made", "write"),
)
SOON_DAYS = 2
DAYS_A_WEEK = 7
NO_MORNING = ThisMorning()
NOTHING = "nothing to put up"
NO_DAYS = "This plan has no days planned in detail."


def week_sheet(
    title: str,
    days: Sequence[SheetDay],
    clock: Mapping[datetime.date, DayOnClock],
    care: PageCautions,
    warning: str = "",
    morning: ThisMorning = NO_MORNING,
) -> Paper:
    """
    Return the page: this morning's list, what to make each day, the sources of the times, and the cautions.

    `clock` is by day, `warning` is a line at the top.
    """
    lines = [line for day in days for line in day.lines]
    sources = list(dict.fromkeys(line.source for line in lines if line.source))
    sections = []
    first = days[0].day if days else None
    if morning.tasks and first is not None:
        tasks = Points(tuple((task, "") for task in morning.tasks), "ticked")
        sections.append(Section("This morning", (tasks,), format_long_date(first)))
    sections.append(Section("", tuple(days_blocks(days, clock, sources))))
    if morning.soon:
        sections.append(Section("Use soon", (Points(tuple((line, "") for line in morning.soon)),), "ripest first"))
    marks = explained(own=any(line.warning for line in lines), unverified=not all(line.verified for line in lines))
    small = [Sentence(words) for words in marks]
    small += [Sentence(f"Times from {sources_text(sources)}.", small=True)] if sources else []
    if small:
        sections.append(Section("", tuple(small)))
    sections += caution_sections(care, sources)
    return Paper("week", heading_text(days), title, tuple(sections), warning, "door")


def heading_text(days: Sequence[SheetDay]) -> str:
    """
    Return which days are on the page.

    >>> heading_text([SheetDay(datetime.date(2026, 8, 14), ())]), heading_text([])
    ('Friday, August 14, 2026', 'Nothing planned in detail')
    """
    if not days:
        return "Nothing planned in detail"
    first = format_full_date(days[0].day)
    return first if len(days) == 1 else f"Week of {first}" if len(days) <= DAYS_A_WEEK else f"From {first}"


def days_blocks(
    days: Sequence[SheetDay], clock: Mapping[datetime.date, DayOnClock], sources: Sequence[str]
) -> list[Block]:
    """Return the days as one table, or a sentence if there is nothing to put up."""
    if not any(day.lines for day in days):
        return [Sentence("Nothing to put up." if days else NO_DAYS)]
    return [Table(COLUMNS, tuple(day_group(day, clock.get(day.day), sources) for day in days), with_heads=True)]


def day_group(day: SheetDay, clock: DayOnClock | None, sources: Sequence[str]) -> Group:
    """Return one day: its name and hours at the left of its lines."""
    name, _, date = format_long_date(day.day).partition(" ")
    below = [Below(date)]
    if clock is not None:
        below.append(Below(f"{format_clock(clock.kitchen.starts)} to {format_moment(clock.ends, clock.day)}"))
        below.append(Below(format_count(clock.kitchen.persons, "person")))
    if day.stop == DAY_CAN_WAIT:
        below.append(Below("the day can wait"))
    head = Cell(name, tuple(below))
    if not day.lines:
        none = Cell(unmarked=True)
        return Group(((none, none, Cell("", (Below(NOTHING),)), none, none),), head)
    rows = [line_cells(line, sources) for line in day.lines]
    if day.stop and day.stop != DAY_CAN_WAIT:
        none = Cell(unmarked=True)
        rows.append((none, none, Cell("", (Below(day.stop),)), none, none))
    return Group(tuple(rows), head)


def line_cells(line: SheetLine, sources: Sequence[str]) -> tuple[Cell, ...]:
    """Return one line of a day, with a box before it and a place to write what was made after it."""
    number = f" [{sources.index(line.source) + 1}]" if line.source else ""
    notes = [(line.takes, False), (line.jar, False), (line.waits, False), (line.warning, True), (line.note, False)]
    notes.append((line.can_wait, line.can_wait.startswith(CANNOT_WAIT)))
    below = tuple(Below(words, warns) for words, warns in notes if words)
    in_canner = [words for words in (line.loads, "" if line.verified else NOT_VERIFIED) if words]
    process = Cell(f"{line.process}{number}", tuple(Below(words) for words in in_canner))
    if line.name.startswith((FREEZE_WHOLE, THAW)):
        return Cell(), Cell(line.amount), Cell(line.name.replace(": ", " ", 1), below), process, Cell()
    count, _, unit = line.amount.partition(" ")
    return Cell(), Cell(count, (Below(short_unit(line.name, unit)),)), Cell(line.name, below), process, Cell()


def short_unit(name: str, unit: str) -> str:
    """
    Return the unit without the size that the name ends with.

    >>> short_unit("sweet corn, pint", "pint jars"), short_unit("apples, dried", "quart bags")
    ('jars', 'quart bags')
    """
    size = name.rpartition(", ")[2]
    return unit.removeprefix(f"{size} ")
