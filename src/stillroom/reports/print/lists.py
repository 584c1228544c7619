"""The shopping list on paper: what to buy by which day, what for and what it costs, a box before each."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence

from stillroom.household.journal.overview import EatFirst, due_soon, eat_first, over
from stillroom.household.records import Household, ShelfRow
from stillroom.household.results.values import Row
from stillroom.household.text import (
    format_amount,
    format_date_and_year,
    format_full_date,
    format_long_date,
    format_money,
    format_span,
)
from stillroom.reports.print.document import Below, Cell, Column, Paper, Section, Sentence, table
from stillroom.reports.print.week import times_words
from stillroom.reports.terminal.lists import day_of, figure, item_words, said
from stillroom.timetable.schedule import DayOnClock, Step
from stillroom.timetable.table import step_words

SHOPPING_COLUMNS = (
    Column("", "box"),
    Column("Buy", "number"),
    Column("What, and what for", "main"),
    Column("Cost", "money"),
)


def shopping_page(title: str, rows: Sequence[Row]) -> Paper:
    """The page by the rows of the Shopping table, soonest day first."""
    wanted = [row for row in rows if figure(row, "Buy") > 0]
    by_day: dict[datetime.date, list[Row]] = {}
    for row in sorted(wanted, key=lambda row: (day_of(row, "Needed by"), said(row, "Item"))):
        by_day.setdefault(day_of(row, "Needed by"), []).append(row)
    sections = [
        Section(
            by_words(day), (table(SHOPPING_COLUMNS, [shopping_cells(row) for row in several]),), cost_words(several)
        )
        for day, several in by_day.items()
    ]
    last = "Nothing has to be bought." if not wanted else f"All together: {cost_words(wanted)}."
    return Paper("shopping", "To buy", title, (*sections, Section("", (Sentence(last),))))


def by_words(day: datetime.date) -> str:
    """By when; a row without a day is wanted some time."""
    return "No day is given" if day == datetime.date.min else f"By {format_long_date(day)}"


def shopping_cells(row: Row) -> tuple[Cell, ...]:
    """One thing to buy."""
    amount, unit = figure(row, "Buy"), said(row, "Unit")
    uses = said(row, "For")
    cost = "" if row.get("Cost") is None else format_money(figure(row, "Cost"))
    below = (Below(f"for {uses}"),) if uses else ()
    return (
        Cell(),
        Cell(format_amount(amount, unit)),
        Cell(item_words(said(row, "Item"), unit, amount), below),
        Cell(cost),
    )


def cost_words(rows: Sequence[Row]) -> str:
    """
    What rows cost together, and how many have no price.

    >>> cost_words([{"Cost": 18.0}, {"Cost": 1.352}, {"Cost": None}]), cost_words([{"Cost": None}])
    ('$19.35, and 1 without a price', 'no price is typed')
    """
    unpriced = sum(1 for row in rows if row.get("Cost") is None)
    if unpriced == len(rows):
        return "no price is typed"
    total = f"{format_money(sum(figure(row, 'Cost') for row in rows))}"
    return f"{total}, and {unpriced} without a price" if unpriced else total


# Where everything is: what stands on the shelf and in the freezer, place by place, with a line to count on.

SHELF_COLUMNS = (
    Column("How many", "number"),
    Column("What", "main"),
    Column("Made", "time", labelled=True),
    Column("Best by", "time", labelled=True),
    Column("Counted", "write"),
)
UNKNOWN = "not known"
FROZEN_WHOLE = "Freezer, frozen whole to be cooked"
ALL_OF_TIME = 100_000
"""More days than any crop lies in a freezer."""


def shelf_page(title: str, settled: Household) -> Paper:
    """The page; `settled` has the record taken off, and best-by days filled in."""
    places: dict[str, list[tuple[Cell, ...]]] = {}
    for place, row in sorted(placed(settled), key=lambda one: (one[0].casefold(), one[1].preserve, made(one[1]))):
        places.setdefault(place, []).append(shelf_cells(row, settled.kitchen.first_day))
    whole = [
        (Cell(f"{format_amount(one.amount, one.unit)} {one.unit}"), Cell(one.crop), Cell(date(due)), Cell())
        for one, due in due_soon(settled, ALL_OF_TIME)
    ]
    sections = [Section(place, (table(SHELF_COLUMNS, rows),)) for place, rows in places.items()]
    if whole:
        sections.append(
            Section(
                FROZEN_WHOLE,
                (table((*SHELF_COLUMNS[:2], Column("Cook by", "time", labelled=True), SHELF_COLUMNS[4]), whole),),
            )
        )
    nothing = [Section("", (Sentence("Nothing stands on the shelf yet, by the workbook."),))]
    day = f"as of {format_full_date(settled.kitchen.first_day)}"
    return Paper("where-everything-is", "Where everything is", f"{title}; {day}", tuple(sections or nothing))


def placed(settled: Household) -> Iterator[tuple[str, ShelfRow]]:
    """Every row of the shelf with its place: the one typed beside it, else the kind that its preserve is kept in."""
    kept = {item.name: item.kept_in for item in settled.preserves}
    for row in settled.shelf:
        if row.count > 0:
            place = row.place or f"{kept.get(row.preserve, 'shelf')}, no place typed"
            yield place[:1].upper() + place[1:], row


def made(row: ShelfRow) -> datetime.date:
    """When a row was made, first of all when that is not known."""
    return row.made_on or datetime.date.min


def shelf_cells(row: ShelfRow, today: datetime.date) -> tuple[Cell, ...]:
    """One row of the shelf."""
    over = row.best_by is not None and row.best_by < today
    best = Cell(date(row.best_by), (Below("past its day", warns=True),) if over else ())
    return Cell(format_amount(row.count)), Cell(row.preserve), Cell(date(row.made_on)), best, Cell()


def date(day: datetime.date | None) -> str:
    """
    A day with its year, for what stands for longer than one.

    >>> date(datetime.date(2027, 8, 4)), date(None)
    ('Aug 4, 2027', 'not known')
    """
    return UNKNOWN if day is None else format_date_and_year(day)


# What to eat first, on paper: by best-by day, with where it stands; then what there is more of than is wanted.

EAT_FIRST_COLUMNS = (
    Column("", "box"),
    Column("How many", "number"),
    Column("What", "main"),
    Column("Best by", "time", labelled=True),
    Column("Days left", "number", labelled=True),
)
OVER_COLUMNS = (Column("More than wanted", "number"), Column("Line of the winter list", "main"))
WITHIN_DAYS = 240


def eat_first_page(title: str, settled: Household) -> Paper:
    """The page; `settled` has the record taken off, and best-by days filled in."""
    rows = [eat_cells(one, places_of(settled, one)) for one in eat_first(settled, WITHIN_DAYS)]
    sections = []
    if rows:
        sections.append(
            Section("By their day", (table(EAT_FIRST_COLUMNS, rows),), f"best by within {WITHIN_DAYS} days")
        )
    whole = [
        (
            Cell(),
            Cell(f"{format_amount(one.amount, one.unit)} {one.unit}"),
            Cell(one.crop),
            Cell(date(due)),
            days_cell((due - settled.kitchen.first_day).days),
        )
        for one, due in due_soon(settled, WITHIN_DAYS)
    ]
    if whole:
        columns = (*EAT_FIRST_COLUMNS[:3], Column("Cook by", "time", labelled=True), EAT_FIRST_COLUMNS[4])
        sections.append(Section("Frozen whole, to be cooked", (table(columns, whole),)))
    more = [(Cell(format_amount(amount)), Cell(name)) for name, amount in sorted(over(settled).items())]
    if more:
        sections.append(Section("More than is wanted", (table(OVER_COLUMNS, more),), "so over in spring: eat or give"))
    nothing = [Section("", (Sentence("Nothing on the shelf is near its day, and nothing is over."),))]
    day = f"as of {format_full_date(settled.kitchen.first_day)}"
    return Paper("eat-first", "Eat first", f"{title}; {day}", tuple(sections or nothing))


def eat_cells(one: EatFirst, places: list[str]) -> tuple[Cell, ...]:
    """One preserve with its day and its places."""
    where = (Below("; ".join(places)),) if places else ()
    return (
        Cell(),
        Cell(format_amount(one.count)),
        Cell(one.preserve, where),
        Cell(date(one.best_by)),
        days_cell(one.days_left),
    )


def days_cell(left: int) -> Cell:
    """
    How many days are left.

    >>> days_cell(12).words, days_cell(-1).below[0].words
    ('12', 'past its day')
    """
    return Cell(str(left)) if left >= 0 else Cell("", (Below("past its day", warns=True),))


def places_of(settled: Household, one: EatFirst) -> list[str]:
    """Where the preserve with this day stands, by what was typed."""
    rows = [row for row in settled.shelf if row.preserve == one.preserve and row.best_by == one.best_by]
    return sorted({row.place for row in rows if row.place})


# The days by the clock on paper: each day's steps with their times, for whoever stands at the stove.

CLOCK_COLUMNS = (
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
    heading = f"By the clock from {format_full_date(first)}" if first is not None else "Nothing to do by the clock"
    sections = [
        Section(
            format_long_date(day),
            (table(CLOCK_COLUMNS, [step_cells(step) for step in several]),),
            times_words(clock[day]) if day in clock else "",
        )
        for day, several in steps.items()
    ]
    nothing = [Section("", (Sentence("No day has anything to put up."),))]
    return Paper("by-the-clock", heading, title, tuple(sections or nothing), said)


def step_cells(step: Step) -> tuple[Cell, ...]:
    """One step with its times, hands and equipment."""
    inside = f" (in {', '.join(step.equipment)})" if step.equipment else ""
    return (
        Cell(),
        Cell(format_span(step.start, step.end, "–")),
        Cell(", ".join(step.persons)),
        Cell(step_words(step) + inside),
        Cell(step.name),
    )
