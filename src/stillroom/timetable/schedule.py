"""The timetable of a day as a list of steps."""

from __future__ import annotations

import datetime
import math

from stillroom.household.records import STOVE_FREE, Household
from stillroom.household.results.clock import DAY_MINUTES, KitchenDay

# How long a day is, and how many people work: from the typed hours.


def hours_on(household: Household, what: str, day: datetime.date) -> float | None:
    """Return the hours typed in a row for a day; None without a row."""
    for row in household.hours:
        if row.what.casefold() == what.casefold():
            return row.by_weekday[day.weekday()]
    return None


def named_hands(household: Household, day: datetime.date) -> list[tuple[str, float]]:
    """
    Return the people whose hours are typed by name, with their hours on a day, if any.

    >>> from stillroom.household.records import Hours, Kitchen
    >>> day = datetime.date(2026, 8, 15)
    >>> rows = [Hours(what, (figure,) * 7, 0.0) for what, figure in (("hands", 5.0), ("hands: adult", 3.0))]
    >>> named_hands(Household(Kitchen(day), hours=tuple(rows)), day)
    [('adult', 3.0)]
    """
    found = []
    for row in household.hours:
        start, colon, name = row.what.partition(":")
        hours = row.by_weekday[day.weekday()]
        if colon and start.strip().casefold() == "hands" and name.strip() and hours > 0:
            found.append((name.strip(), hours))
    return found


def kitchen_day(household: Household, day: datetime.date) -> KitchenDay:
    """
    Return when a day begins, how long it lasts and how many people work.

    Hours do not tell the time of day. The hours the stove is free are taken as one stretch. The number of people is how
    many have hours by name that day; without names the fewest whose hours each are no longer than that stretch, at most
    the people of the household. The day lasts for the stretch and each person's hours, at most until midnight, and
    until midnight where either row is missing.

    A day fits when all labor and stove use is over by then and nobody works more than their own hours. Six person-hours
    and a stove free for four hours from 8 AM: two people with three hours each, until 3 PM. Setup minutes take time but
    do not count among anybody's hours, as in the plan. A dryer that is busy until later may be filled in the evening
    (`latest_minutes`).

    >>> from stillroom.household.records import Hours, Kitchen
    >>> saturday = datetime.date(2026, 8, 15)
    >>> hours = [Hours(what, (figure,) * 7, 0.0) for what, figure in (("hands", 6.0), ("stove free", 4.0))]
    >>> home = Household(Kitchen(saturday, people=5.0), hours=tuple(hours))
    >>> found = kitchen_day(home, saturday)
    >>> found.persons, found.open_minutes / 60
    (2, 7.0)
    """
    kitchen = household.kitchen
    named = named_hands(household, day)
    starts = datetime.datetime.combine(day, kitchen.day_starts_at)
    to_midnight = DAY_MINUTES - (starts.hour * 60 + starts.minute)
    hands, stove = hours_on(household, "hands", day), hours_on(household, STOVE_FREE, day)
    people = max(1, math.floor(kitchen.people)) if kitchen.people else None
    burners = math.floor(kitchen.burners)
    if hands is None:
        return KitchenDay(day, starts, to_midnight, people or 1, burners)
    together = to_midnight / 60 if stove is None else stove
    persons = math.ceil(hands / together - 1e-9) if together > 0 else 1
    persons = len(named) or max(1, min(persons, people or persons))
    minutes = to_midnight if stove is None else round((together + hands / persons) * 60)
    names = tuple(name for name, _ in named)
    of_each = tuple(round(hours * 60) for _, hours in named)
    return KitchenDay(day, starts, min(minutes, to_midnight), persons, burners, names, of_each)


ROUNDED_MINUTES = 5
"""So much more than their hours people may work for all the minutes of a day that were rounded up."""
