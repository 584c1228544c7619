"""A day on the clock as a list of steps with their times, and how good it is."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass, field

from stillroom.household.records import STOVE_FREE, Household

# How long the kitchen is open on a day, and for how many people: read from the hours that were typed.

DAY_MINUTES = 24 * 60
EVENING_MINUTES = 14 * 60
"""So long after the day's start somebody is still up to fill a dryer for the night: common practice, no source."""


@dataclass(frozen=True)
class KitchenDay:
    """
    One day of the kitchen.

    `starts` is when the day begins, `open_minutes` how long from then on there is work, `persons` how many pairs of
    hands there are at once, `burners` how many burners. `names` are the people's, with `minutes_of_each` at work at
    most; both are empty where the hours of hands are not typed by name.
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
        """Until when somebody is up to fill a dryer for the night, though the stove's hours are over."""
        to_midnight = DAY_MINUTES - (self.starts.hour * 60 + self.starts.minute)
        return max(self.open_minutes, min(EVENING_MINUTES, to_midnight))

    @property
    def latest(self) -> datetime.datetime:
        """The same as a time."""
        return self.starts + datetime.timedelta(minutes=self.latest_minutes)


def hours_on(household: Household, what: str, day: datetime.date) -> float | None:
    """Return the hours typed for a thing on a day; None without a row."""
    for row in household.hours:
        if row.what.casefold() == what.casefold():
            return row.by_weekday[day.weekday()]
    return None


def named_hands(household: Household, day: datetime.date) -> list[tuple[str, float]]:
    """
    Return the people whose hours of hands are typed by name, with their hours on a day; only those who have any.

    >>> from stillroom.household.records import Hours, Kitchen
    >>> day = datetime.date(2026, 8, 15)
    >>> rows = [Hours(what, (figure,) * 7, 0.0) for what, figure in (("hands", 5.0), ("hands: Jo", 3.0))]
    >>> named_hands(Household(Kitchen(day), hours=tuple(rows)), day)
    [('Jo', 3.0)]
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
    Read one day: from when, for how long and with how many hands a day's work fits.

    Hours of hands and stove do not say at what time of the day they are. They are read so: the hours the stove is free
    are one stretch, as they are for a canner without hours of its own. Pairs of hands: as many as have hours
    by name that day; without names the fewest whose hours each are no longer than that stretch, at most the people of
    the household. The day is open for the stretch and, before or after it, each person' hours; at most until
    midnight, and until midnight where either has no row.

    A day fits when all that takes hands or the stove is over by then, and nobody who is named works more than his
    hours. Six hours of hands and a stove that is free for four hours from 8 o'clock on: two people with three
    hours each, and the day fits when it is over by 15:00. Minutes to set up a kind take
    time on the clock, but are not counted among anybody's hours, as the plan does not count them there. A dryer that
    is busy until later may be filled again in the evening (`latest_minutes`).

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
"""So much more than their hours people may work for all the minutes of a day that were rounded up."""


@dataclass(frozen=True)
class Step:
    """
    One step: from when to when, what to do, for what, in what, with how many hands and burners.

    `load` and `of` number the loads of a preserve that day, 0 where there are none. `persons` are the letters of the
    people at it, or their names, `equipment` the pieces it is in, `containers` how many it is about. Of the
    minutes of all hands, `setup_minutes` are to set up the kind.
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
        """How long it takes."""
        return (self.end - self.start).total_seconds() / 60

    @property
    def hands(self) -> int:
        """How many people are at it."""
        return len(self.persons)

    @property
    def heard(self) -> bool:
        """Whether nobody is at it, but somebody has to stay within earshot."""
        return not self.persons and self.kind in HEARD


@dataclass(frozen=True)
class DayOnClock:
    """
    One day on the clock.

    `ends` is when nothing needs hands or burners any more, but for a dryer that is filled again in the evening, which
    is done by `evening_ends`; `could_end` the earliest that any order could end, proved. `last_to_end` names the load
    that ends last, `overworked` who works how many minutes more than is typed by name. `left_off` says what could not
    be put on the clock at all, and why.
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
        """When the hours that were typed for the day are over."""
        return self.kitchen.starts + datetime.timedelta(minutes=self.kitchen.open_minutes)

    @property
    def over_minutes(self) -> float:
        """By how much the day runs past its hours, or its evening past the time somebody is up; 0 when it does not."""
        evening = self.kitchen.starts if self.evening_ends is None else self.evening_ends
        late = max(self.ends - self.closes, evening - self.kitchen.latest)
        return max(0.0, late.total_seconds() / 60)

    @property
    def fits(self) -> bool:
        """Whether all of it is on the clock, within the day's hours and everybody's own."""
        return not (self.over_minutes or self.left_off or self.overworked)

    @property
    def gap(self) -> float:
        """How much longer the day is than the bound, as a share of the bound."""
        bound = (self.could_end - self.kitchen.starts).total_seconds()
        return 0.0 if bound <= 0 else max(0.0, (self.ends - self.could_end).total_seconds() / bound)
