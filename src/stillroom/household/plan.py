"""The plan: the whole answer, frozen, with no solver and no spreadsheet in it; and until when what it makes is good."""

from __future__ import annotations

import calendar
import datetime
import json
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType
from typing import Literal

from stillroom.household.records import Effort, Kitchen, Preserve, ShelfRow

# The periods of a plan: days planned in detail, then whole weeks.


@dataclass(frozen=True)
class Period:
    """
    One stretch of the plan: a single day, or a week planned as one.

    `number` counts from 0; `days` is 1 or 7; whole numbers are asked for only in single days.
    """

    number: int
    first_day: datetime.date
    days: int

    @cached_property
    def last_day(self) -> datetime.date:
        """The last day that belongs to the period."""
        return self.first_day + datetime.timedelta(days=self.days - 1)

    @property
    def single(self) -> bool:
        """Whether the period is one day, so that its containers and loads are whole."""
        return self.days == 1

    @cached_property
    def label(self) -> str:
        """
        How the period is named in solver names and printed rules.

        >>> Period(0, datetime.date(2026, 8, 14), 1).label, Period(7, datetime.date(2026, 8, 21), 7).label
        ('08-14', 'week_08-21')
        """
        day = self.first_day.strftime("%m-%d")
        return day if self.single else f"week_{day}"


def periods(kitchen: Kitchen) -> tuple[Period, ...]:
    """
    The days planned in detail from the first day on, then the weeks planned roughly.

    >>> [p.label for p in periods(Kitchen(datetime.date(2026, 8, 14), days_planned_singly=2, weeks_after_that=1))]
    ['08-14', '08-15', 'week_08-16']
    """
    found = []
    day = kitchen.first_day
    lengths = [1] * kitchen.days_planned_singly + [7] * kitchen.weeks_after_that
    for number, days in enumerate(lengths):
        found.append(Period(number, day, days))
        day += datetime.timedelta(days=days)
    return tuple(found)


Amounts = Mapping[tuple[str, int], float]
"""Amount by (name, number of the period)."""


def no_amounts() -> Amounts:
    """Nothing in any period."""
    return MappingProxyType({})


Kind = Literal["fixed", "target", "money", "effort", "surplus", "stability", "labor", "helper"]
"""
What an objective is about: fixed lines kept, targets of one importance, money spent, and the effort, a priced sum of
crop with no better use, change from the last plan and hands-on hours. A helper only finds a plan for the objectives to
begin from.
"""


@dataclass(frozen=True)
class Prices:
    """What a household would do to save a kg of surplus, or the change of a container in its plan, in hours of work."""

    surplus_kg: float
    change: float


EFFORT_PRICES: Mapping[Effort, Prices] = {
    "light": Prices(0.25, 0.25),
    "normal": Prices(1.0, 0.25),
    "all out": Prices(4.0, 0.25),
}
"""
The prices of each *Effort*; a choice of this project without a source, by plans of the demos and varied households.

Above an hour a kg a plan adds freezing sessions of 4 to 9 lb that save next to nothing in all, for those who go all
out, and at a quarter of an hour it drops the odd session of a dryer or freezer first. A changed container costs the
same in all three: at a tenth of an hour, all out changed 22 instead of 4 in one plan to save a pound.
"""

NAMES: Mapping[Kind, str] = {
    "fixed": "fixed lines",
    "target": "targets",
    "money": "money",
    "effort": "effort",
    "surplus": "surplus",
    "stability": "plan stability",
    "labor": "labor",
    "helper": "any plan",
}
"""What an objective is called in print."""


@dataclass(frozen=True)
class Kinded:
    """
    Which objective something belongs to: its kind, and for targets their importance, and whether in the worst season.

    Branch on these; `name` is for print alone.
    """

    kind: Kind
    importance: int = field(default=0, kw_only=True)
    worst_season: bool = field(default=False, kw_only=True)

    @property
    def key(self) -> tuple[Kind, int, bool]:
        """All three, to tell one objective from another."""
        return self.kind, self.importance, self.worst_season

    @property
    def name(self) -> str:
        """
        What it is called in print.

        >>> Kinded("target", importance=1).name, Kinded("target", importance=2, worst_season=True).name
        ('targets 1', 'targets 2 in the worst season')
        """
        name = f"{NAMES[self.kind]} {self.importance}" if self.kind == "target" else NAMES[self.kind]
        return f"{name} in the worst season" if self.worst_season else name


@dataclass(frozen=True)
class Stated(Kinded):
    """A value that a plan states, in its unit."""

    value: float
    unit: str


@dataclass(frozen=True)
class ObjectivePart(Stated):
    """A part of a priced sum: how much of it there is, in its unit, and the hours that one unit counts."""

    price: float


@dataclass(frozen=True)
class ObjectiveResult(Stated):
    """
    How far one aim was reached.

    `value` and `bound` are in `unit`; `proved` says whether the bound is within the aim's own gap; `stopped` says why
    not, when it is not. `parts` are those of a priced sum: value = sum of price * part.
    """

    bound: float
    proved: bool
    seconds: float = field(compare=False, default=0.0)
    stopped: str = ""
    parts: tuple[ObjectivePart, ...] = ()

    @property
    def gap(self) -> float:
        """
        How far the value may be from the best possible, as a share of the value.

        >>> ObjectiveResult("surplus", 10.0, "kg", 9.0, False).gap
        0.1
        """
        away = abs(self.value - self.bound)
        return 0.0 if away < 1e-9 else away / max(abs(self.value), 1e-9)


def objectives_text(objectives: Sequence[ObjectiveResult]) -> str:
    """
    Return objectives as one line of JSON, without their seconds, to be kept with the plan.

    >>> surplus = ObjectiveResult("surplus", 10.0, "kg", 9.0, False, 2.5, "time limit")
    >>> objectives_from(objectives_text([surplus])) == (surplus,)
    True
    """
    rows = []
    for one in objectives:
        figures = (rounded(one.value), one.unit, rounded(one.bound), one.proved, one.stopped)
        parts = [[part.kind, rounded(part.value), part.unit, part.price] for part in one.parts]
        rows.append([one.kind, *figures, one.importance, one.worst_season, parts])
    return json.dumps(rows)


def rounded(value: float) -> float | None:
    """Return a value to ten digits; None for infinity."""
    return float(f"{value:.10g}") if math.isfinite(value) else None


def objectives_from(text: str) -> tuple[ObjectiveResult, ...]:
    """Return the objectives that `objectives_text` wrote; none for a text it did not write."""
    try:
        return tuple(
            ObjectiveResult(
                kind,
                value,
                unit,
                -math.inf if bound is None else bound,
                proved,
                0.0,
                stopped,
                tuple(ObjectivePart(*part) for part in parts),
                importance=importance,
                worst_season=worst,
            )
            for kind, value, unit, bound, proved, stopped, importance, worst, parts in json.loads(text)
        )
    except (ValueError, TypeError):
        return ()


@dataclass(frozen=True)
class Violation:
    """A fixed line that could not be kept whole: `short` containers (or kg) of it, and the limits it ran into."""

    name: str
    period: int
    typed: float
    short: float
    limits: tuple[str, ...] = ()
    where: str = ""


@dataclass(frozen=True)
class Plan:
    """
    What is made, frozen, thawed, fed and bought in each period, and how far the winter list is filled.

    Amounts of containers and loads are plain numbers, crop amounts kilograms. Amounts that are zero are left out.
    `make` and `loads` are by (preserve, period); the crop amounts by (crop, period): `fresh` and `frozen` are held at
    the end of the period. `bands` is by (need, band), in the need's own unit. `hedge` is there when it was made for
    several seasons together; the plan is then that of the likely one.
    """

    periods: tuple[Period, ...]
    make: Amounts = field(default_factory=no_amounts)
    loads: Amounts = field(default_factory=no_amounts)
    fresh_kg: Amounts = field(default_factory=no_amounts)
    frozen_kg: Amounts = field(default_factory=no_amounts)
    freeze_kg: Amounts = field(default_factory=no_amounts)
    thaw_kg: Amounts = field(default_factory=no_amounts)
    spoil_kg: Amounts = field(default_factory=no_amounts)
    surplus_kg: Amounts = field(default_factory=no_amounts)
    buy_containers: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    buy_lids: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    buy_items: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    bands: Amounts = field(default_factory=no_amounts)
    objectives: tuple[ObjectiveResult, ...] = ()
    violations: tuple[Violation, ...] = ()
    hedge: Hedge | None = None

    def made(self, preserve: str, until: int | None = None) -> float:
        """
        Containers of a preserve made up to and including a period (all of them when `until` is None).

        >>> Plan((), make={("juice", 0): 7.0, ("juice", 3): 7.0}).made("juice", 2)
        7.0
        """
        return sum(
            amount
            for (name, number), amount in self.make.items()
            if name == preserve and (until is None or number <= until)
        )


@dataclass(frozen=True)
class SeasonPlan:
    """What is done should the season turn out otherwise than likely: its name, its weight, its whole plan."""

    name: str
    weight: float
    plan: Plan


@dataclass(frozen=True)
class Hedge:
    """
    The other seasons a plan was made for.

    `weight` is that of the likely season; the periods before number `decided_now` are alike in all seasons;
    `objectives` are those over all seasons, by their expectation.
    """

    seasons: tuple[SeasonPlan, ...]
    weight: float
    decided_now: int
    objectives: tuple[ObjectiveResult, ...] = ()


Progress = Callable[[str], None]
"""Takes a few words on what is being done now."""


def no_progress(_: str) -> None:
    """Report nothing."""


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


def lasts(preserve: Preserve, made_on: datetime.date, until: datetime.date) -> bool:
    """Return whether a preserve made on a day is still good on another; one without keeping months always is."""
    return preserve.keeps_months is None or best_by(made_on, preserve.keeps_months) >= until


def used_in_time(shelf: Iterable[ShelfRow], used: Sequence[float], periods: Sequence[Period]) -> tuple[float, ...]:
    """
    Return how many containers used in each period may be jars that go out of date before the plan ends.

    `shelf` are the rows of one preserve; the earliest date goes first, and a week counts by its last day.

    >>> days = [Period(number, datetime.date(2026, 8, 14 + number), 1) for number in range(4)]
    >>> shelf = [ShelfRow("broth", 3, best_by=datetime.date(2026, 8, day)) for day in (14, 15)]
    >>> used_in_time(shelf, [1.0, 4.0, 1.0, 0.0], days)
    (1.0, 3.0, 0.0, 0.0)
    """
    last_day = periods[-1].last_day
    dated = [(row.best_by, row.count) for row in shelf if row.best_by is not None and row.best_by < last_day]
    left = sorted(dated)
    found = []
    for period, wanted in zip(periods, used, strict=True):
        left = [(day, count) for day, count in left if day >= period.last_day]
        taken = min(wanted, sum((count for _, count in left), 0.0))
        found.append(taken)
        left = _less(left, taken)
    return tuple(found)


def _less(dated: Sequence[tuple[datetime.date, float]], taken: float) -> list[tuple[datetime.date, float]]:
    """Return what is left by date once so many were taken, the earliest first."""
    left = []
    for day, count in dated:
        bite = min(count, taken)
        taken -= bite
        left.append((day, count - bite))
    return left
