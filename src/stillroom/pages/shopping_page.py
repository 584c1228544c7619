"""The shopping list on paper: what to buy by which day, what for and what it costs, a box before each."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from stillroom.household.answer.units import Row
from stillroom.household.answer.words import amount_words, day_words
from stillroom.pages.paper import Below, Cell, Column, Paper, Section, Sentence, table
from stillroom.pages.terminal_days import day_of, figure, said
from stillroom.pages.terminal_lists import item_words

COLUMNS = (
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
        Section(by_words(day), (table(COLUMNS, [row_cells(row) for row in several]),), cost_words(several))
        for day, several in by_day.items()
    ]
    last = "Nothing has to be bought." if not wanted else f"All together: {cost_words(wanted)}."
    return Paper("shopping", "To buy", title, (*sections, Section("", (Sentence(last),))))


def by_words(day: datetime.date) -> str:
    """By when; a row without a day is wanted some time."""
    return "No day is given" if day == datetime.date.min else f"By {day_words(day)}"


def row_cells(row: Row) -> tuple[Cell, ...]:
    """One thing to buy."""
    amount, unit = figure(row, "Buy"), said(row, "Unit")
    uses = said(row, "For")
    cost = "" if row.get("Cost") is None else f"{figure(row, 'Cost'):,.2f}"
    below = (Below(f"for {uses}"),) if uses else ()
    return (
        Cell(),
        Cell(amount_words(amount, unit)),
        Cell(item_words(said(row, "Item"), unit, amount), below),
        Cell(cost),
    )


def cost_words(rows: Sequence[Row]) -> str:
    """
    What rows cost together, and how many have no price.

    >>> cost_words([{"Cost": 18.0}, {"Cost": 1.352}, {"Cost": None}]), cost_words([{"Cost": None}])
    ('19.35, and 1 without a price', 'no price is typed')
    """
    unpriced = sum(1 for row in rows if row.get("Cost") is None)
    if unpriced == len(rows):
        return "no price is typed"
    total = f"{sum(figure(row, 'Cost') for row in rows):,.2f}"
    return f"{total}, and {unpriced} without a price" if unpriced else total
