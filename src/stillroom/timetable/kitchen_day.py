"""How long the kitchen is open on a day, and for how many pairs of hands: read from the hours that were typed."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass

from stillroom.household.records import Household

DAY_MINUTES = 24 * 60


@dataclass(frozen=True)
class KitchenDay:
    """
    One day of the kitchen.

    `starts` is when the day begins, `open_minutes` how long from then on there is work, `persons` how many pairs of
    hands there are at once, `burners` how many burners.
    """

    day: datetime.date
    starts: datetime.datetime
    open_minutes: int
    persons: int
    burners: int


def hours_on(household: Household, what: str, day: datetime.date) -> float | None:
    """Give the hours typed for a thing on a day; None without a row."""
    for row in household.hours:
        if row.what.casefold() == what.casefold():
            return row.by_weekday[day.weekday()]
    return None


def kitchen_day(household: Household, day: datetime.date) -> KitchenDay:
    """
    Read one day.

    Stove hours by burners are one stretch, as they are for a canner without hours of its own. Pairs of hands: the
    fewest whose hours each are no longer than that stretch, at most the people of the household. The day is open for
    the stretch and, before or after it, each pair of hands' hours; at most until midnight, and until midnight where
    either has no row.

    >>> from stillroom.household.records import Hours, Kitchen
    >>> saturday = datetime.date(2026, 8, 15)
    >>> hours = [Hours(what, (figure,) * 7, 0.0) for what, figure in (("hands", 6.0), ("stove", 16.0))]
    >>> home = Household(Kitchen(saturday, people=5.0), hours=tuple(hours))
    >>> found = kitchen_day(home, saturday)
    >>> found.persons, found.open_minutes / 60
    (2, 7.0)
    """
    kitchen = household.kitchen
    starts = datetime.datetime.combine(day, kitchen.day_starts_at)
    to_midnight = DAY_MINUTES - (starts.hour * 60 + starts.minute)
    hands, stove = hours_on(household, "hands", day), hours_on(household, "stove", day)
    people = max(1, math.floor(kitchen.people)) if kitchen.people else None
    burners = math.floor(kitchen.burners)
    if hands is None:
        return KitchenDay(day, starts, to_midnight, people or 1, burners)
    together = stove / kitchen.burners if stove is not None and kitchen.burners > 0 else to_midnight / 60
    persons = math.ceil(hands / together - 1e-9) if together > 0 else 1
    persons = max(1, min(persons, people or persons))
    minutes = to_midnight if stove is None else round((together + hands / persons) * 60)
    return KitchenDay(day, starts, min(minutes, to_midnight), persons, burners)
