"""This morning's list as lines for the week sheet: the freezer, what to put away, what does not keep until tomorrow."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stillroom.household.answer.words import amount_words, day_words, listed
from stillroom.household.records import Household
from stillroom.household.today import Today, due_soon, today_of
from stillroom.pages.today_page import lot_words, out_lines, put_away_lines

MOST_WAITING = 8


@dataclass(frozen=True)
class Morning:
    """What is to be done this morning besides what is made, a line each; and in one line what keeps longer."""

    tasks: tuple[str, ...] = ()
    waiting: str = ""


def morning_of(typed: Household, settled: Household) -> Morning:
    """This morning's list; `settled` has the record taken off."""
    today = today_of(typed, settled)
    tasks = [*lot_lines(today), *out_lines(today, due_soon(settled)), *put_away_lines(today.put_away)]
    waiting = [
        f"{amount_words(lot.amount, lot.unit)} {lot.unit} {lot.crop} by {day_words(lot.until)}"
        for lot in today.lots
        if not lot.must_today(today.day)
    ]
    said = f"Keeps longer, ripest first: {listed(waiting, MOST_WAITING, '; ')}." if waiting else ""
    return Morning(tuple(tasks), said)


def lot_lines(today: Today) -> Iterator[str]:
    """Each lot that is at its last day."""
    for lot in today.lots:
        if lot.must_today(today.day):
            amount = f"{amount_words(lot.amount, lot.unit)} {lot.unit} {lot.crop}"
            yield f"Today at the latest: {amount}; {lot_words(lot, today)}."
