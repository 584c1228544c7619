"""A day on the clock: its steps with their times, whether it fits its hours, and times in words."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field

from stillroom.household.text import MINUTES_A_DAY, format_clock, format_long_date

EVENING_MINUTES = 14 * 60
"""So long after the day's start somebody is still up to fill a dryer for the night: common practice, no source."""


@dataclass(frozen=True)
class KitchenDay:
    """
    One day of the kitchen.

    `starts` is when the day begins, `open_minutes` how long it lasts, `persons` how many people work at once, `burners`
    how many burners there are. `names` are the people's, with `minutes_of_each`; both empty if hours are not typed by
    name. A plan fills no more than `planned_minutes` (None: all that it is open), and nobody works after
    `until_minutes`, the latest end (None: midnight).
    """

    day: datetime.date
    starts: datetime.datetime
    open_minutes: int
    persons: int
    burners: int
    names: tuple[str, ...] = ()
    minutes_of_each: tuple[int, ...] = ()
    planned_minutes: int | None = None
    until_minutes: int | None = None

    @property
    def filled_minutes(self) -> int:
        """How long a plan may make it, in minutes: without the share of hours kept free."""
        return self.open_minutes if self.planned_minutes is None else self.planned_minutes

    @property
    def latest_minutes(self) -> int:
        """Until when somebody is up to fill a dryer for the night, in minutes."""
        to_midnight = MINUTES_A_DAY - (self.starts.hour * 60 + self.starts.minute)
        until = to_midnight if self.until_minutes is None else self.until_minutes
        return max(self.open_minutes, min(EVENING_MINUTES, until))

    @property
    def latest(self) -> datetime.datetime:
        """`latest_minutes` as a time."""
        return self.starts + datetime.timedelta(minutes=self.latest_minutes)


LEAST_LATER = datetime.timedelta(minutes=15)
"""A start that may be less later than this is not worth a word."""

KINDS = (
    "thaw", "ahead", "empty", "seals", "prepare", "standing", "cook", "jars", "boil jars", "ready", "fill", "heat",
    "vent", "rise", "process", "cool", "rest", "lid", "take out", "set down", "pack", "run",
)  # fmt: skip
"""Every kind of step, in the order in which steps of one minute are listed."""

HEARD = ("cook", "jars", "boil jars", "heat", "vent", "rise", "process")
"""Kinds that take no hands all the time, but somebody within earshot: a pot is stirred, a pressure has to be kept."""

FOLLOWS = ("thaw", "ahead", "seals", "empty")
"""Kinds that belong to another time than the load's own: before its day, or after it."""

SAID = ("ready", "lid", "set down")
"""Kinds that take no time: what to mind at that moment."""


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
    def late_minutes(self) -> float:
        """By how many minutes it ends past what a plan may fill of its hours; `over_minutes` if that is more."""
        filled = self.kitchen.starts + datetime.timedelta(minutes=self.kitchen.filled_minutes)
        return max(self.over_minutes, (self.ends - filled).total_seconds() / 60)

    @property
    def may_begin_until(self) -> datetime.datetime | None:
        """
        Until when the whole day may begin and still be over within what a plan may fill of its hours.

        All its steps are then so much later. None where that is not sure: the day does not fit, something was begun
        the day before, or something of it runs past its hours. A start less than `LEAST_LATER` later is not worth it.
        """
        if not self.fits_a_plan or self.evening_ends is not None:
            return None
        closes = self.kitchen.starts + datetime.timedelta(minutes=self.kitchen.filled_minutes)
        own = [step for step in self.steps if step.kind not in ("seals", "empty")]
        held = any(step.start < self.kitchen.starts or step.end > closes for step in own)
        later = datetime.timedelta(minutes=(closes - self.ends) // datetime.timedelta(minutes=1))
        return None if held or later < LEAST_LATER else self.kitchen.starts + later

    def starts_of(self, name: str, load: int) -> datetime.datetime | None:
        """Return when a load is begun on this day; None where it is not."""
        own = [step.start for step in self.steps if (step.name, step.load) == (name, load) and step.kind not in FOLLOWS]
        return min(own, default=None)

    @property
    def fits(self) -> bool:
        """Whether everything is scheduled within the day's hours and everybody's own."""
        return not (self.over_minutes or self.left_off or self.overworked)

    @property
    def fits_a_plan(self) -> bool:
        """Whether it fits, and leaves the share of hours free that is to be kept free."""
        return self.fits and not self.late_minutes

    @property
    def gap(self) -> float:
        """Relative gap between the day's length and its lower bound."""
        bound = (self.could_end - self.kitchen.starts).total_seconds()
        return 0.0 if bound <= 0 else max(0.0, (self.ends - self.could_end).total_seconds() / bound)


def step_words(step: Step) -> str:
    """What to do, with the number of the load where there are several, and the day it ends when that is another."""
    load = f"load {step.load} of {step.of}: " if step.of > 1 else ""
    until = (
        f", until {format_long_date(step.end.date())} {format_clock(step.end)}"
        if step.end.date() != step.start.date()
        else ""
    )
    return f"{load}{step.words}{until}"


def people_words(persons: int) -> str:
    """
    Return how many people.

    >>> people_words(1), people_words(2)
    ('1 person', '2 people')
    """
    return "1 person" if persons == 1 else f"{persons} people"
