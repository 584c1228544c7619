"""Where everything is: what stands on the shelf and in the freezer, place by place, with a line to count on."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from stillroom.household.answer.words import amount_words, long_day_words
from stillroom.household.records import Household, ShelfRow
from stillroom.household.today import due_soon
from stillroom.pages.paper import Below, Cell, Column, Paper, Section, Sentence, table

COLUMNS = (
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
        places.setdefault(place, []).append(row_cells(row, settled.kitchen.first_day))
    whole = [
        (Cell(f"{amount_words(one.amount, one.unit)} {one.unit}"), Cell(one.crop), Cell(date(due)), Cell())
        for one, due in due_soon(settled, ALL_OF_TIME)
    ]
    sections = [Section(place, (table(COLUMNS, rows),)) for place, rows in places.items()]
    if whole:
        sections.append(
            Section(FROZEN_WHOLE, (table((*COLUMNS[:2], Column("Cook by", "time", labelled=True), COLUMNS[4]), whole),))
        )
    nothing = [Section("", (Sentence("Nothing stands on the shelf yet, by the workbook."),))]
    day = f"as of {long_day_words(settled.kitchen.first_day)}"
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


def row_cells(row: ShelfRow, today: datetime.date) -> tuple[Cell, ...]:
    """One row of the shelf."""
    over = row.best_by is not None and row.best_by < today
    best = Cell(date(row.best_by), (Below("past its day", warns=True),) if over else ())
    return Cell(amount_words(row.count)), Cell(row.preserve), Cell(date(row.made_on)), best, Cell()


def date(day: datetime.date | None) -> str:
    """
    A day with its year, for what stands for longer than one.

    >>> date(datetime.date(2027, 8, 4)), date(None)
    ('4 Aug 2027', 'not known')
    """
    return UNKNOWN if day is None else f"{day.day} {day:%b} {day.year}"
