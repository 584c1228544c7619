"""The timetable of a day as a list of steps."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass, field

from stillroom.household.records import STOVE_FREE, Household

# How long a day is, and how many people work: from the typed hours.

DAY_MINUTES = 24 * 60
EVENING_MINUTES = 14 * 60
"""So long after the day's start somebody is still up to fill a dryer for the night: common practice, no source."""


@dataclass(frozen=True)
class KitchenDay:
    """
    One day of the kitchen.

    `starts` is when the day begins, `open_minutes` how long it lasts, `persons` how many people work at once, `burners`
    how many burners there are. `names` are the people's, with `minutes_of_each`; both empty if hours are not typed by
    name.
    """

    day: datetime.date
    starts: datetime.datetime
    open_minutes: int
    persons: int
    burners: int
    names: tuple[str, ...] = ()
    minutes_of_each: tuple[int, ...] = ()

    @property
    def latest_minutes(self) -> int:
        """Until when somebody is up to fill a dryer for the night, in minutes."""
        to_midnight = DAY_MINUTES - (self.starts.hour * 60 + self.starts.minute)
        return max(self.open_minutes, min(EVENING_MINUTES, to_midnight))

    @property
    def latest(self) -> datetime.datetime:
        """`latest_minutes` as a time."""
        return self.starts + datetime.timedelta(minutes=self.latest_minutes)


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

    Hours have no time of day. The hours the stove is free are taken as one stretch. The number of people is how
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


KINDS = (
    "thaw", "empty", "seals", "prepare", "cook", "jars", "boil jars", "fill", "heat", "vent", "process", "cool",
    "take out", "pack", "run",
)  # fmt: skip
"""Every kind of step, in the order in which steps of one minute are listed."""
HEARD = ("cook", "jars", "boil jars", "heat", "vent", "process")
"""Kinds that take no hands all the time, but somebody within earshot: a pot is stirred, a pressure has to be kept."""
ROUNDED_MINUTES = 5
"""Minutes people may work beyond their hours, since every step of a day is rounded up."""


@dataclass(frozen=True)
class Step:
    """
    One step: when, what to do, for which preserve, in which equipment, with which people and burners.

    `load` and `of` number the loads of a preserve that day, 0 where there are none. `persons` are letters or names,
    `containers` how many it is about; `setup_minutes` of the labor are setup.
    """

    start: datetime.datetime
    end: datetime.datetime
    kind: str
    words: str
    name: str
    load: int = 0
    of: int = 0
    equipment: tuple[str, ...] = ()
    burners: int = 0
    persons: tuple[str, ...] = ()
    containers: float = 0.0
    setup_minutes: float = 0.0

    @property
    def minutes(self) -> float:
        """Its length in minutes."""
        return (self.end - self.start).total_seconds() / 60

    @property
    def hands(self) -> int:
        """How many people it takes."""
        return len(self.persons)

    @property
    def heard(self) -> bool:
        """Whether nobody is needed but within earshot."""
        return not self.persons and self.kind in HEARD


@dataclass(frozen=True)
class DayOnClock:
    """
    The timetable of one day.

    `ends` is when labor and burners are over, but for a dryer filled in the evening (`evening_ends`); `could_end` a
    proved lower bound on it. `last_to_end` names the last load, `overworked` who works how many minutes too much,
    `left_off` what could not be scheduled, and why.
    """

    kitchen: KitchenDay
    steps: tuple[Step, ...]
    ends: datetime.datetime
    could_end: datetime.datetime
    last_to_end: str = ""
    left_off: tuple[str, ...] = ()
    loads: int = field(default=0)
    evening_ends: datetime.datetime | None = None
    overworked: tuple[tuple[str, float], ...] = ()

    @property
    def day(self) -> datetime.date:
        """The day."""
        return self.kitchen.day

    @property
    def closes(self) -> datetime.datetime:
        """When the typed hours of the day are over."""
        return self.kitchen.starts + datetime.timedelta(minutes=self.kitchen.open_minutes)

    @property
    def over_minutes(self) -> float:
        """By how many minutes the day ends past its hours, or its evening past the time somebody is up; else 0."""
        evening = self.kitchen.starts if self.evening_ends is None else self.evening_ends
        late = max(self.ends - self.closes, evening - self.kitchen.latest)
        return max(0.0, late.total_seconds() / 60)

    @property
    def fits(self) -> bool:
        """Whether everything is scheduled within the day's hours and everybody's own."""
        return not (self.over_minutes or self.left_off or self.overworked)

    @property
    def gap(self) -> float:
        """Relative gap between the day's length and its lower bound."""
        bound = (self.could_end - self.kitchen.starts).total_seconds()
        return 0.0 if bound <= 0 else max(0.0, (self.ends - self.could_end).total_seconds() / bound)
