"""What stands on the shelf on the first day: what was counted, what was made since, less what other preserves used."""

from __future__ import annotations

import calendar
import datetime
from collections import defaultdict, deque
from collections.abc import Iterable, Mapping
from dataclasses import replace

from stillroom.errors import Problem
from stillroom.household.amounts import shown
from stillroom.household.happened import EATEN, MADE, Event
from stillroom.household.records import Household, Preserve, ShelfRow


def best_by(made_on: datetime.date, keeps_months: float) -> datetime.date:
    """
    Give the day until which something made on a day is good; part of a month counts thirty days a month.

    >>> best_by(datetime.date(2026, 8, 31), 6), best_by(datetime.date(2026, 8, 14), 0.5)
    (datetime.date(2027, 2, 28), datetime.date(2026, 8, 29))
    """
    months = made_on.month - 1 + int(keeps_months)
    year, month = made_on.year + months // 12, months % 12 + 1
    day = min(made_on.day, calendar.monthrange(year, month)[1])
    return datetime.date(year, month, day) + datetime.timedelta(days=round(keeps_months % 1 * 30))


def with_best_by(household: Household) -> Household:
    """
    Fill a blank *Best by* from *Made on* and *Keeps months*; without both it stays unknown and counts as good.

    May be called again once the handbook has said how long a preserve keeps.
    """
    months = {preserve.name: preserve.keeps_months for preserve in household.preserves}
    rows = []
    for row in household.shelf:
        keeps = months.get(row.preserve)
        known = row.best_by is None and row.made_on is not None and keeps is not None
        rows.append(
            replace(row, best_by=best_by(row.made_on, keeps)) if known and row.made_on and keeps is not None else row
        )
    return replace(household, shelf=tuple(rows))


def on_the_shelf(household: Household, made: Iterable[Event]) -> list[ShelfRow]:
    """Give the rows of the shelf with what was made since put beside them, oldest first."""
    rows = list(household.shelf)
    rows += [
        ShelfRow(event.name, event.made, made_on=event.day, where=event.where)
        for event in made
        if event.kind == MADE and event.made > 0
    ]
    whole = with_best_by(replace(household, shelf=tuple(rows)))
    never = datetime.date.min
    return sorted(whole.shelf, key=lambda row: (row.preserve, row.made_on or never, row.count, row.where))


def taken_from_shelf(
    household: Household, rows: list[ShelfRow], made: Iterable[Event]
) -> tuple[tuple[ShelfRow, ...], tuple[Problem, ...]]:
    """
    Take what was eaten, and what preserves used of one another, off the oldest rows.

    More than there is counts as none, and is said. `rows` stand oldest first, `made` in the order of days.
    """
    problems = []
    preserves = {preserve.name: preserve for preserve in household.preserves}
    places: dict[str, deque[int]] = defaultdict(deque)
    for number, row in enumerate(rows):
        places[row.preserve].append(number)
    for event in made:
        for name, wanted in _wanted(preserves, event):
            short = _take(rows, places[name], wanted, event.day)
            if short > 1e-9:
                what = (
                    f"*{event.name}* made on {event.day} took {shown(short)} more of *{name}* than stood on the shelf"
                )
                if event.kind == EATEN:
                    what = f"{shown(short)} more of *{name}* were eaten by {event.day} than stood on the shelf"
                problems.append(
                    Problem(event.where, f"{what}; it counts as 0", "count the shelf again", "stock below zero")
                )
    return tuple(row for row in rows if row.count > 1e-9), tuple(problems)


def _wanted(preserves: Mapping[str, Preserve], event: Event) -> list[tuple[str, float]]:
    """Give the preserves that an event took off the shelf, and how many of each."""
    if event.kind == EATEN:
        return [(event.name, event.made)]
    if event.kind != MADE:
        return []
    lines = preserves[event.name].ingredients
    return [(line.item, line.amount_each * event.filled) for line in lines if line.source == "preserve"]


def _take(rows: list[ShelfRow], places: deque[int], wanted: float, day: datetime.date) -> float:
    """
    Take so many of a preserve off the oldest rows there were on a day; gives how many were missing.

    `places` says where the rows of that preserve stand, those not yet empty.
    """
    while places and wanted > 1e-9:
        row = rows[places[0]]
        if row.made_on is not None and row.made_on > day:
            break
        taken = min(row.count, wanted)
        rows[places[0]] = replace(row, count=row.count - taken)
        wanted -= taken
        if taken == row.count:
            places.popleft()
    return wanted
