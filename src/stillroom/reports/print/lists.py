"""The shopping list, the jars to wash, the shelf, what to eat first, and the days by the clock, on paper."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from stillroom.handbook.cautions import PageCautions
from stillroom.handbook.jars import is_jar
from stillroom.household.journal.overview import EatFirst, due_soon, eat_first, over
from stillroom.household.records import Household, ShelfRow
from stillroom.household.results.clock import DayOnClock, Step, step_words
from stillroom.household.results.rows import Row, day_in, item_in, number_in, text_in
from stillroom.household.results.winter import Winter, share_words
from stillroom.household.text import (
    format_amount,
    format_containers,
    format_date_and_year,
    format_full_date,
    format_long_date,
    format_money,
    format_quantity,
    format_span,
    plural,
)
from stillroom.reports.charts.day import times_text
from stillroom.reports.print.document import (
    Below,
    Cell,
    Column,
    Paper,
    Points,
    Section,
    Sentence,
    caution_sections,
    table,
)
from stillroom.reports.print.week import NO_DAYS

BOX, HOW_MANY, WHAT = Column("", "box"), Column("How many", "number"), Column("What", "main")
BEST_BY, COOK_BY = Column("Best by", "time", labeled=True), Column("Cook by", "time", labeled=True)

# To buy, by the day it is needed

SHOPPING_COLUMNS = (BOX, Column("Buy", "number"), Column("What, and what for", "main"), Column("Cost", "money"))


def shopping_page(title: str, rows: Sequence[Row]) -> Paper:
    """Return the page from the rows of the Shopping table, the soonest day first."""
    to_buy = [row for row in rows if number_in(row, "Buy") > 0]
    by_day: dict[datetime.date, list[Row]] = {}
    for row in sorted(to_buy, key=lambda row: (day_in(row, "Needed by"), text_in(row, "Item"))):
        by_day.setdefault(day_in(row, "Needed by"), []).append(row)
    sections = [
        Section(by_text(day), (table(SHOPPING_COLUMNS, [shopping_cells(row) for row in several]),), cost_text(several))
        for day, several in by_day.items()
    ]
    last = f"Total: {cost_text(to_buy)}." if to_buy else "Nothing to buy."
    return Paper("shopping", "To buy", title, (*sections, Section("", (Sentence(last),))))


def by_text(day: datetime.date) -> str:
    """Return by when; a row without a day comes first."""
    return "Any day" if day == datetime.date.min else f"By {format_long_date(day)}"


def shopping_cells(row: Row) -> tuple[Cell, ...]:
    """Return one thing to buy."""
    uses = text_in(row, "For")
    cost = "" if row.get("Cost") is None else format_money(number_in(row, "Cost"))
    amount = Cell(format_amount(number_in(row, "Buy"), text_in(row, "Unit")))
    return Cell(), amount, Cell(item_in(row), (Below(f"for {uses}"),) if uses else ()), Cell(cost)


def cost_text(rows: Sequence[Row]) -> str:
    """
    Return what rows cost together, and how many have no price.

    >>> cost_text([{"Cost": 18.0}, {"Cost": 1.352}, {"Cost": None}]), cost_text([{"Cost": None}])
    ('$19.35, and 1 without a price', 'no prices typed')
    """
    unpriced = sum(1 for row in rows if row.get("Cost") is None)
    if unpriced == len(rows):
        return "no prices typed"
    total = format_money(sum(number_in(row, "Cost") for row in rows))
    return f"{total}, and {unpriced} without a price" if unpriced else total


# The jars of each day, to wash the evening before

WASH_COLUMNS = (BOX, HOW_MANY, WHAT)
DAY = datetime.timedelta(days=1)


def wash_page(
    title: str, settled: Household, days: Sequence[datetime.date], rows: Sequence[Row], warning: str = ""
) -> Paper:
    """
    Return the page with the jars, lids and bands filled each day, from the rows of the Plan table.

    `days` are those planned in detail, `warning` is a line at the top.
    """
    sections = []
    for day in days:
        to_wash = wash_cells(settled, filled_on(day, rows))
        evening = f"wash on the evening of {format_long_date(day - DAY)}" if to_wash else ""
        block = table(WASH_COLUMNS, to_wash) if to_wash else Sentence("No jars.")
        sections.append(Section(format_long_date(day), (block,), evening))
    return Paper("jars-to-wash", "Jars to wash", title, sections_or(sections, NO_DAYS), warning)


def filled_on(day: datetime.date, rows: Sequence[Row]) -> Counter[str]:
    """Return how many containers of each preserve the plan fills on a day planned in detail."""
    filled: Counter[str] = Counter()
    for row in rows:
        if day_in(row) == day and number_in(row, "Days") == 1:
            filled[text_in(row, "Preserve")] += round(number_in(row, "Make"))
    return filled


def wash_cells(settled: Household, filled: Mapping[str, int]) -> list[tuple[Cell, ...]]:
    """Return the jars of each size, the lids and the bands; a jar that takes a lid takes a band too."""
    in_each: Counter[str] = Counter()
    for item in settled.preserves:
        in_each[item.container] += filled.get(item.name, 0)
    jars = [(one, in_each[one.name]) for one in settled.containers if is_jar(one)]
    lids = Counter({lid.name: 0 for lid in settled.lids})
    for jar, count in jars:
        if jar.lid is not None:
            lids[jar.lid] += count
    things = [(count, plural(count, jar.name)) for jar, count in jars]
    things += [(count, plural(count, lid)) for lid, count in lids.items()]
    things += [(count, f"{plural(count, 'band')} ({lid})") for lid, count in lids.items()]
    return [(Cell(), Cell(format_containers(count, whole=True)), Cell(words)) for count, words in things if count]


# Where everything is, with a line to write a count on

SHELF_COLUMNS = (HOW_MANY, WHAT, Column("Made", "time", labeled=True), BEST_BY, Column("Counted", "write"))
FROZEN_WHOLE = "Freezer: frozen whole, to cook"
ALL_OF_TIME = 100_000
"""More days than any crop lies in a freezer."""


def shelf_page(title: str, settled: Household) -> Paper:
    """Return the page; `settled` has the records subtracted and best-by days filled in."""
    places: dict[str, list[tuple[Cell, ...]]] = {}
    for place, row in sorted(
        placed(settled), key=lambda one: (one[0].casefold(), one[1].preserve, one[1].made_on or datetime.date.min)
    ):
        places.setdefault(place, []).append(shelf_cells(row, settled.kitchen.first_day))
    sections = [Section(place, (table(SHELF_COLUMNS, rows),)) for place, rows in places.items()]
    whole = [
        (Cell(format_quantity(one.amount, one.unit)), Cell(one.crop), Cell(format_date_and_year(due)), Cell())
        for one, due in due_soon(settled, ALL_OF_TIME)
    ]
    if whole:
        columns = (*SHELF_COLUMNS[:2], COOK_BY, SHELF_COLUMNS[4])
        sections.append(Section(FROZEN_WHOLE, (table(columns, whole),)))
    return Paper(
        "where-everything-is", "Where everything is", dated(title, settled), sections_or(sections, EMPTY_SHELF)
    )


EMPTY_SHELF = "Nothing is on the shelf yet."


def dated(title: str, settled: Household) -> str:
    """Return the title with the first day."""
    return f"{title}; as of {format_full_date(settled.kitchen.first_day)}"


def sections_or(sections: Iterable[Section], nothing: str) -> tuple[Section, ...]:
    """Return the sections, or a sentence if there are none."""
    return tuple(sections) or (Section("", (Sentence(nothing),)),)


def placed(settled: Household) -> Iterator[tuple[str, ShelfRow]]:
    """Yield every row of the shelf with its place: as typed, else the kind of place its preserve is kept in."""
    kept = {item.name: item.kept_in for item in settled.preserves}
    for row in settled.shelf:
        if row.count > 0:
            place = row.place or f"{kept.get(row.preserve, 'shelf')} (no place typed)"
            yield place[:1].upper() + place[1:], row


def shelf_cells(row: ShelfRow, today: datetime.date) -> tuple[Cell, ...]:
    """Return one row of the shelf."""
    over = row.best_by is not None and row.best_by < today
    best = Cell(date_text(row.best_by), (PAST,) if over else ())
    return Cell(format_amount(row.count)), Cell(row.preserve), Cell(date_text(row.made_on)), best, Cell()


PAST = Below("past its date", warns=True)


def date_text(day: datetime.date | None) -> str:
    """Return a day with its year, which may be unknown."""
    return "not known" if day is None else format_date_and_year(day)


# What to eat first, then what the shelf has more of than the winter list wants

EAT_FIRST_COLUMNS = (BOX, HOW_MANY, WHAT, BEST_BY, Column("Days left", "number", labeled=True))
OVER_COLUMNS = (Column("More than wanted", "number"), Column("Target", "main"))
WITHIN_DAYS = 240


def eat_first_page(title: str, settled: Household) -> Paper:
    """Return the page; `settled` has the records subtracted and best-by days filled in."""
    sections = []
    rows = [eat_cells(one, places_of(settled, one)) for one in eat_first(settled, WITHIN_DAYS)]
    if rows:
        sections.append(
            Section("On the shelf", (table(EAT_FIRST_COLUMNS, rows),), f"best by within {WITHIN_DAYS} days")
        )
    whole = [
        (
            Cell(),
            Cell(format_quantity(one.amount, one.unit)),
            Cell(one.crop),
            Cell(format_date_and_year(due)),
            days_cell((due - settled.kitchen.first_day).days),
        )
        for one, due in due_soon(settled, WITHIN_DAYS)
    ]
    if whole:
        columns = (*EAT_FIRST_COLUMNS[:3], COOK_BY, EAT_FIRST_COLUMNS[4])
        sections.append(Section("Frozen whole, to cook", (table(columns, whole),)))
    more = [(Cell(format_amount(amount)), Cell(name)) for name, amount in sorted(over(settled).items())]
    if more:
        sections.append(Section("More than the winter list wants", (table(OVER_COLUMNS, more),), "eat or give away"))
    nothing = "Nothing on the shelf is near its date, and there is no more than the winter list wants."
    return Paper("eat-first", "Eat first", dated(title, settled), sections_or(sections, nothing))


# The fair share of each target, for the door of the pantry

SHARE_COLUMNS = (HOW_MANY, WHAT, Column("A fair share", "plain", 0.5), Column("Until", "time", labeled=True))


def winter_sheet(title: str, settled: Household, found: Winter) -> Paper:
    """Return the page: what is on the shelf for each target, and an even share a week that lasts."""
    rows = [
        (
            Cell(format_quantity(cover.amount, cover.unit)),
            Cell(cover.target),
            Cell(share_words(cover.share, cover.unit)),
            Cell(date_text(cover.share_until)),
        )
        for cover in found.covers
        if cover.amount > 0
    ]
    about = f"from {date_text(found.first)}, oldest first; throw out what is past its date or not sealed"
    sections = [Section("Eat evenly", (table(SHARE_COLUMNS, rows),), about)] if rows else []
    return Paper("winter", "Through the winter", dated(title, settled), sections_or(sections, EMPTY_SHELF))


def eat_cells(one: EatFirst, places: list[str]) -> tuple[Cell, ...]:
    """Return one preserve with its day and its places."""
    where = (Below("; ".join(places)),) if places else ()
    what, best_by = Cell(one.preserve, where), Cell(date_text(one.best_by))
    return Cell(), Cell(format_amount(one.count)), what, best_by, days_cell(one.days_left)


def days_cell(left: int) -> Cell:
    """
    Return how many days are left.

    >>> days_cell(12).words, days_cell(-1).below[0].words
    ('12', 'past its date')
    """
    return Cell(str(left)) if left >= 0 else Cell("", (PAST,))


def places_of(settled: Household, one: EatFirst) -> list[str]:
    """Return the places typed for the preserve with this best-by day."""
    rows = [row for row in settled.shelf if row.preserve == one.preserve and row.best_by == one.best_by]
    return sorted({row.place for row in rows if row.place})


# The days by the clock

CLOCK_COLUMNS = (
    BOX,
    Column("Time", "time"),
    Column("People", "time"),
    Column("Step", "plain", 0.66),
    Column("For", "plain", 0.34),
)
NO_CARE = PageCautions()
NONE_CANNED: Mapping[datetime.date, Sequence[str]] = {}
EARSHOT = "earshot"
KEY = (
    "People: letters or names are people at the step; earshot means stay within earshot; blank means nobody is needed."
)


def clock_sheet(
    title: str,
    clock: Mapping[datetime.date, DayOnClock],
    steps: Mapping[datetime.date, Sequence[Step]],
    warning: str = "",
    care: PageCautions = NO_CARE,
    canned: Mapping[datetime.date, Sequence[str]] = NONE_CANNED,
    marks: Sequence[str] = (),
) -> Paper:
    """
    Return the page; `clock` and `steps` are by day, `warning` is a line at the top.

    `canned` are the canned lines of each day in words, and `marks` say what their marks mean.
    """
    first = next(iter(steps), None)
    heading = f"By the clock from {format_full_date(first)}" if first is not None else "Nothing to do by the clock"
    sections = [
        Section(
            format_long_date(day),
            (
                Points(tuple((words, "") for words in canned.get(day, ()))),
                table(CLOCK_COLUMNS, [step_cells(step) for step in joined(several)]),
            ),
            times_text(clock[day]) if day in clock else "",
        )
        for day, several in steps.items()
    ]
    if sections:
        sections.insert(0, Section("", tuple(Sentence(words) for words in (KEY, *marks))))
    else:
        sections.append(Section("", (Sentence("Nothing to put up on any day."),)))
    sections += caution_sections(care)
    return Paper("by-the-clock", heading, title, tuple(sections), warning)


def joined(steps: Iterable[Step]) -> list[Step]:
    """Return the steps with pieces that follow at once for one load, with the same words and people, as one."""
    found: list[Step] = []
    last: dict[tuple[object, ...], int] = {}
    for step in steps:
        key = step.name, step.load, step.words, step.persons, step.equipment
        place = last.get(key)
        if place is not None and found[place].end == step.start < step.end:
            found[place] = replace(found[place], end=step.end)
            continue
        last[key] = len(found)
        found.append(step)
    return found


def step_cells(step: Step) -> tuple[Cell, ...]:
    """Return one step with its times, people and equipment."""
    inside = f" (in {', '.join(step.equipment)})" if step.equipment else ""
    people = ", ".join(step.persons) or (EARSHOT if step.heard else "")
    return (
        Cell(),
        Cell(format_span(step.start, step.end, "–")),
        Cell(people),
        Cell(step_words(step) + inside),
        Cell(step.name),
    )
