"""
Seasons with bad evenings, lived three ways: by what can wait, top down, and ripest crop first.

Every morning of a demo household's season is planned again from what is there then. Three evenings in ten are bad: lost
to everybody, or with half the hands-on hours, by the toss of a coin. On the halved ones the day's lines are made one
after the other until the hours are over; the ways differ in what comes first. Who follows the deadlines takes first
what can wait the least, then what loses the most for each hour of it, then the ripest crop. What is left undone is
carried on: crop, jars, lids, pantry, money, shelf and equipment go from day to day. Harvests and yields are as
expected. The days are counted in hours, not put on the clock.
"""

from __future__ import annotations

import dataclasses
import datetime
import math
import random
import statistics
from collections.abc import Callable, Mapping, Sequence
from functools import cache, partial
from pathlib import Path

from tests.season_replay.households import SURE

from stillroom.app.plan import audited_plan, read_workbook
from stillroom.household.plan import Plan
from stillroom.household.records import FREEZE_WHOLE, Household, Tighter
from stillroom.household.results.deadlines import Deadline, Deadlines
from stillroom.household.simulation.seasons import Draw, mean_interval
from stillroom.household.simulation.state import SeasonState, crops_each, freeze, make
from stillroom.household.units import POUND_KG
from stillroom.planning.deadlines import KG, NOTHING, WEIGHTS, Key, amounts_of, find_deadlines, lines_of_day
from stillroom.planning.rolling import anything_to_do, hands_on, light_plan, season_end
from stillroom.timetable.audit import hands_minutes

DEMOS = Path(__file__).resolve().parents[2] / "demo"
BAD, LOST = 0.3, 0.5
"""The share of evenings that are bad, and of those that are lost; the others are halved."""
WHOLE_DAYS = 4


@dataclasses.dataclass(frozen=True)
class Evening:
    """An evening with too few hours: what is there, the plan of its morning, and how long its lines can wait."""

    state: SeasonState
    day: datetime.date
    plan: Plan
    deadlines: Callable[[], Deadlines]

    def hours(self, name: str, amount: float) -> float:
        """Return the hands-on hours of so much of a line."""
        if name.startswith(FREEZE_WHOLE):
            return self.state.crops[name.removeprefix(FREEZE_WHOLE)].freeze_hours_per_kg * amount
        item = self.state.preserves[name]
        loads = 0 if item.load is None else math.ceil(amount / item.load - 1e-6)
        setup = self.state.household.kitchen.setup_hours_a_kind if amount > 0 else 0.0
        return setup + hands_minutes(item, amount, loads) / 60

    def days_left(self, name: str) -> int:
        """Return how many days the ripest crop of a line still keeps."""
        frozen = name.startswith(FREEZE_WHOLE)
        crops = [name.removeprefix(FREEZE_WHOLE)] if frozen else list(crops_each(self.state.preserves[name]))
        picked = [(lot.picked_on, crop) for crop in crops for lot in self.state.fresh[crop]]
        return min(
            (self.state.crops[crop].days_after_picking - (self.day - on).days for on, crop in picked), default=999
        )


Rank = Callable[[Evening, Key, int], tuple[float, ...]]
"""What a cook takes first, smallest first, by line and place in the plan."""


def by_deadline(evening: Evening, key: Key, place: int) -> tuple[float, ...]:
    """Take what can wait the least, then what loses the most for each hour, then the ripest crop."""
    found = evening.deadlines().of(evening.day, key[0]) or Deadline(evening.day, key[0], None, NOTHING)
    targets = {target.name: target for target in evening.state.household.targets}
    cost = KG * sum(found.loss.crops_kg.values()) + sum(
        WEIGHTS[targets[name].importance] * amount / targets[name].wanted for name, amount in found.loss.targets.items()
    )
    hours = evening.hours(key[0], amounts_of(evening.plan)[key])
    until = found.until or datetime.date.max
    return until.toordinal(), -cost / max(hours, 0.05), *ripest_first(evening, key, place)


def top_down(_evening: Evening, _key: Key, place: int) -> tuple[float, ...]:
    """Take the lines as the plan has them."""
    return (place,)


def ripest_first(evening: Evening, key: Key, place: int) -> tuple[float, ...]:
    """Take what keeps the shortest."""
    return evening.days_left(key[0]), place


WAYS: dict[str, Rank] = {"deadlines": by_deadline, "top down": top_down, "ripest first": ripest_first}


def one_evening(evening: Evening, rank: Rank | None, hours: float) -> None:
    """Make the lines of a day one after the other until the hours are over; without a rank all of them as planned."""
    state, day, plan = evening.state, evening.day, evening.plan
    thaw = {name: kg for (name, number), kg in plan.thaw_kg.items() if number == 0}
    places = {key: place for place, key in enumerate(lines_of_day(plan, 0))}
    for key in sorted(places, key=lambda key: rank(evening, key, places[key]) if rank else (places[key],)):
        name, amount = key[0], amounts_of(plan)[key]
        if rank:
            amount = most_in(evening, name, amount, hours)
        if name.startswith(FREEZE_WHOLE):
            freeze(state, name.removeprefix(FREEZE_WHOLE), amount, day)
            hours -= evening.hours(name, amount)
        else:
            hours -= evening.hours(name, make(state, state.preserves[name], amount, day, thaw))


def most_in(evening: Evening, name: str, amount: float, hours: float) -> float:
    """Return how much of a line its hours allow: whole containers of a preserve."""
    if evening.hours(name, amount) <= hours + 1e-6:
        return amount
    if name.startswith(FREEZE_WHOLE):
        return max(0.0, amount * hours / evening.hours(name, amount))
    return next((n for n in range(math.floor(amount), 0, -1) if evening.hours(name, n) <= hours + 1e-6), 0)


@dataclasses.dataclass(frozen=True)
class Came:
    """What a season came to: pounds of crop surplus or spoiled, and containers of musts missed."""

    pounds: float
    musts: float


@dataclasses.dataclass
class Kitchen:
    """A settled household and the plans of its mornings, each made once: ways part on a bad evening only."""

    household: Household

    def __post_init__(self) -> None:
        """Begin without plans."""
        self.end = season_end(self.household)
        self.plans: dict[object, tuple[Household, Plan]] = {}

    def plan_of(self, state: SeasonState, day: datetime.date) -> tuple[Household, Plan]:
        """Return the plan of a morning; what was done until then says all of its state."""
        key = day, tuple(state.done)
        if key not in self.plans:
            self.plans[key] = light_plan(state.as_household(day), WHOLE_DAYS, self.end)
        return self.plans[key]

    def lived(self, number: int, rank: Rank) -> Came:
        """Live a season; the same number has the same bad evenings."""
        state, chance = SeasonState(self.household, Draw(1, 0, SURE), self.end), random.Random(f"evenings {number}")
        day = self.household.kitchen.first_day
        while day <= self.end:
            state.morning(day)
            bad, lost = chance.random() < BAD, chance.random() < LOST
            wanted = not (bad and lost) and anything_to_do(state, day, 1)
            planned = self.plan_of(state, day) if wanted else None
            state.eat()
            if planned is not None:
                world, plan = planned
                ask = cache(partial(find_deadlines, world, plan, lambda *_: None, lambda *_: None, 1))
                hours = hands_on(world, day) / 2 if bad else math.inf
                one_evening(Evening(state, day, plan, ask), rank if bad else None, hours)
            state.evening(day)
            day += datetime.timedelta(days=1)
        filled = state.filled()
        musts = [target for target in self.household.targets if target.importance == 1]
        return Came(
            sum(state.surplus.values()) / POUND_KG,
            sum(max(0.0, target.wanted - filled[target.name]) for target in musts),
        )


def play(draws: int) -> None:
    """Live so many seasons of each demo household each way; print the means with their intervals."""
    came: dict[str, list[Came]] = {name: [] for name in WAYS}
    for path in sorted(DEMOS.glob("*.xlsx")):
        planned, _ = audited_plan(read_workbook(path, datetime.date(2026, 8, 15)))
        kitchen = Kitchen(dataclasses.replace(planned, tighter=Tighter(), plan_lines=()))
        for number in range(draws):
            for name, rank in WAYS.items():
                came[name].append(kitchen.lived(number, rank))
        print_means(path.stem, {name: each[-draws:] for name, each in came.items()})
    print_means("all", came)


def print_means(what: str, came: Mapping[str, Sequence[Came]]) -> None:
    """Print what each way came to, and what following the deadlines saves against the others."""
    print(f"{what}: pounds surplus or spoiled, containers of musts missed in a season, with intervals of 95%")
    for name, each in came.items():
        print(f"  {name}: {interval([one.pounds for one in each])} lb, {interval([one.musts for one in each])} musts")
    for name in list(came)[1:]:
        pairs = list(zip(came["deadlines"], came[name], strict=True))
        pounds = interval([other.pounds - one.pounds for one, other in pairs])
        musts = interval([other.musts - one.musts for one, other in pairs])
        print(f"  deadlines save against {name}: {pounds} lb, {musts} musts", flush=True)


def interval(values: Sequence[float]) -> str:
    """Return a mean with its interval of 95%."""
    if len(values) < 2:
        return f"{values[0]:.1f} (no interval)"
    low, high = mean_interval(values)
    return f"{statistics.fmean(values):.1f} ({low:.1f} to {high:.1f})"
