"""What to eat first, on paper: by best-by day, with where it stands; then what there is more of than is wanted."""

from __future__ import annotations

from stillroom.household.answer.words import amount_words, long_day_words
from stillroom.household.eat_first import EatFirst, eat_first, over
from stillroom.household.records import Household
from stillroom.household.today import due_soon
from stillroom.pages.paper import Below, Cell, Column, Paper, Section, Sentence, table
from stillroom.pages.shelf_page import date

COLUMNS = (
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
        sections.append(Section("By their day", (table(COLUMNS, rows),), f"best by within {WITHIN_DAYS} days"))
    whole = [
        (
            Cell(),
            Cell(f"{amount_words(one.amount, one.unit)} {one.unit}"),
            Cell(one.crop),
            Cell(date(due)),
            days_cell((due - settled.kitchen.first_day).days),
        )
        for one, due in due_soon(settled, WITHIN_DAYS)
    ]
    if whole:
        columns = (*COLUMNS[:3], Column("Cook by", "time", labelled=True), COLUMNS[4])
        sections.append(Section("Frozen whole, to be cooked", (table(columns, whole),)))
    more = [(Cell(amount_words(amount)), Cell(name)) for name, amount in sorted(over(settled).items())]
    if more:
        sections.append(Section("More than is wanted", (table(OVER_COLUMNS, more),), "so over in spring: eat or give"))
    nothing = [Section("", (Sentence("Nothing on the shelf is near its day, and nothing is over."),))]
    day = f"as of {long_day_words(settled.kitchen.first_day)}"
    return Paper("eat-first", "Eat first", f"{title}; {day}", tuple(sections or nothing))


def eat_cells(one: EatFirst, places: list[str]) -> tuple[Cell, ...]:
    """One preserve with its day and its places."""
    where = (Below("; ".join(places)),) if places else ()
    return (
        Cell(),
        Cell(amount_words(one.count)),
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
