"""One season played through for a household: planned every few days, worked day by day, counted at its end."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from stillroom.errors import StillroomError
from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Plan, periods
from stillroom.household.records import Household
from stillroom.household.simulation.outcome import SeasonPlayed
from stillroom.household.simulation.random import Draw, Uncertainty
from stillroom.household.simulation.state import NOTHING, Standing, work
from stillroom.planning.bottlenecks.resolve import sendable, sendable_plan
from stillroom.planning.rolling.light import Planned, light_plan

Planner = Callable[[Household, int, datetime.date], Planned]
"""Plans a household to the end of the season, with this many days until it is planned again."""

AUDIT_EVERY = 1
"""Every plan of every such draw is audited before it is worked by: of all of them, for a fifth of the time."""


@dataclass(frozen=True)
class Settings:
    """
    How a season is played.

    `planner` makes the plans; the first `openings` plans are made by `opener`, when it is not None. Both are functions
    of a module, so that they can be sent to another process. A day after an evening was lost is planned anew.
    """

    seed: int = 1
    unsure: Uncertainty = field(default_factory=Uncertainty)
    plan_every_days: int = 3
    planner: Planner = light_plan
    opener: Planner | None = None
    openings: int = 1
    audit_every: int = AUDIT_EVERY


@dataclass(frozen=True)
class SeasonTask:
    """Some draws of one household, as they are sent to whoever plays them; `opening` is the plan of the first day."""

    household: Household
    settings: Settings
    numbers: tuple[int, ...]
    opening: Plan | None = None


def task(household: Household, settings: Settings, numbers: tuple[int, ...], opening: Plan | None = None) -> SeasonTask:
    """Give a task in plain mappings, so that it can be sent to another process."""
    plain = None if opening is None else sendable_plan(replace(opening, hedge=None))
    return SeasonTask(sendable(household), settings, numbers, plain)


def play_some(some: SeasonTask) -> tuple[SeasonPlayed, ...]:
    """Play the draws of a task; the same figures wherever this runs."""
    settings = some.settings
    draws = (Draw(settings.seed, number, settings.unsure) for number in some.numbers)
    return tuple(play(some.household, draw, settings, some.opening) for draw in draws)


def season_end(household: Household) -> datetime.date:
    """The last day of the household's plan, with which its season ends."""
    return periods(household.kitchen)[-1].last_day


def play(household: Household, draw: Draw, settings: Settings, opening: Plan | None = None) -> SeasonPlayed:
    """
    Play one drawn season.

    Every few days, and on the morning after a lost evening, the household is planned as it stands, with what it still
    expects; what happens in between it does not foresee. `opening` is its plan on the first day, for the household as
    it is, None to make it here.

    Raises StillroomError when a plan that is audited breaks a rule.
    """
    end, day = season_end(household), household.kitchen.first_day
    standing = Standing(household, draw, end)
    plan, next_plan = (opening if opening is not None and days_ahead(opening) else None), day
    made = audited = lost = 0
    while day <= end:
        standing.morning(day)
        if day >= next_plan:
            if (plan is None or made) and anything_to_do(standing, day, settings.plan_every_days):
                opener = settings.opener if made < settings.openings else None
                planner = opener or settings.planner
                shaped, plan = planner(standing.as_household(day), settings.plan_every_days, end)
                if draw.number % settings.audit_every == 0:
                    refuse_broken(shaped, plan)
                    audited += 1
            made += 1
            ahead = settings.plan_every_days if plan is None else min(settings.plan_every_days, days_ahead(plan) or 1)
            next_plan = day + datetime.timedelta(days=ahead)
        standing.eat()
        if hands_on(household, day) > 0 and draw.evening_lost(day):
            lost += 1
            next_plan = day + datetime.timedelta(days=1)
        elif plan is not None:
            work(standing, plan, day)
        standing.evening(day)
        day += datetime.timedelta(days=1)
    return counted(standing, lost, made, audited)


def days_ahead(plan: Plan) -> int:
    """How many days a plan plans singly: so long it can be worked by."""
    return sum(period.single for period in plan.periods)


def anything_to_do(standing: Standing, day: datetime.date, days: int) -> bool:
    """Whether there is any crop now or in the next days; a preserve without crop may be made at any time."""
    soon = day + datetime.timedelta(days=days)
    if any(lot.picked_on < soon for lot in standing.expected):
        return True
    if any(lot.kg > NOTHING for lots in (*standing.fresh.values(), *standing.frozen.values()) for lot in lots):
        return True
    planned = standing.household.planned()
    return any(all(line.source != "crop" for line in item.ingredients) for item in planned)


def hands_on(household: Household, day: datetime.date) -> float:
    """Hours of hands there are on a day; one where no hours are typed, for then there is no limit."""
    row = next((row for row in household.hours if row.what.casefold() == "hands"), None)
    return 1.0 if row is None else row.by_weekday[day.weekday()]


def refuse_broken(household: Household, plan: Plan) -> None:
    """Raise StillroomError when a plan does not keep every rule."""
    broken = violated_constraints(household, plan)
    if broken:
        msg = "a plan within a played season does not keep every rule: " + "; ".join(broken[:3])
        raise StillroomError(msg)


def counted(standing: Standing, lost: int, plans: int, audited: int) -> SeasonPlayed:
    """Count a season that is over."""
    left = [lot for lots in (*standing.fresh.values(), *standing.frozen.values()) for lot in lots]
    made: dict[str, float] = {}
    for _, name, count in standing.done:
        if name in standing.preserves:
            made[name] = made.get(name, 0.0) + count
    return SeasonPlayed(
        number=standing.draw.number,
        filled=standing.filled(),
        surplus_kg={name: kg for name, kg in sorted(standing.surplus.items()) if kg > NOTHING},
        left_kg=standing.there(left),
        harvest_kg=standing.harvest,
        eaten_kg=standing.eaten,
        used_kg=standing.used,
        spent=standing.spent,
        ran_out=dict(sorted(standing.ran_out.items())),
        made=dict(sorted(made.items())),
        evenings_lost=lost,
        plans=plans,
        audited=audited,
    )


def in_its_days(household: Household, plan: Plan) -> Household:
    """Give the household with the single days and weeks that a plan was made for."""
    singles = days_ahead(plan)
    kitchen = replace(household.kitchen, days_planned_singly=singles, weeks_after_that=len(plan.periods) - singles)
    return replace(household, kitchen=kitchen)


def opening_of(household: Household, settings: Settings) -> tuple[Household, Plan]:
    """Make the plan of the first day by the opener of the settings, or by its planner."""
    opener = settings.opener or settings.planner
    return opener(household, settings.plan_every_days, season_end(household))
