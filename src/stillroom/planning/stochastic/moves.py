"""Sessions moved to earlier days, alike in all scenarios today and tomorrow."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Period, Plan
from stillroom.household.records import Preserve
from stillroom.household.scenarios import DAYS_DECIDED_NOW, LIKELY
from stillroom.planning.parameters import Parameters
from stillroom.planning.solution import (
    Day,
    Used,
    day_of,
    keeps,
    may_move,
    move_sessions_earlier,
    move_to,
    with_moves,
)

NOTHING = 1e-6


def move_all_earlier(
    parameters: Mapping[str, Parameters], plans: Mapping[str, Plan], decided_now: int
) -> dict[str, Plan]:
    """
    Return the plans, by scenario, with sessions moved to earlier days.

    A session moves into the first-stage days only if every scenario makes it later and has room for it; then within
    those days in all scenarios alike; then within the later days of each scenario.
    """
    start = move_opening_earlier(parameters, move_into_opening(parameters, plans, decided_now), decided_now)
    return {
        name: move_sessions_earlier(parameters[name], plan, (decided_now, len(parameters[name].singles)))
        for name, plan in start.items()
    }


def move_into_opening(
    parameters: Mapping[str, Parameters], plans: Mapping[str, Plan], decided_now: int
) -> Mapping[str, Plan]:
    """Move sessions from later days into the first-stage days where every scenario can."""
    days = {name: day_of(parameters[name], plan) for name, plan in plans.items()}
    likely = parameters[LIKELY]
    moved = False
    for item in sorted(likely.preserves, key=lambda item: (keeps(likely, item), item.name)):
        for period in likely.singles[decided_now:]:
            for earlier in likely.singles[:decided_now]:
                amount = days[LIKELY].make.get((item.name, period.number), 0.0)
                if amount > 0 and every_season_moves(days, plans, item, amount, earlier):
                    moved = True
    found = {name: with_moves(plans[name], day) for name, day in days.items()}
    if not moved or any(violated_constraints(parameters[name].household, plan) for name, plan in found.items()):
        return plans
    return found


def every_season_moves(
    days: dict[str, Day], plans: Mapping[str, Plan], item: Preserve, amount: float, earlier: Period
) -> bool:
    """Move a session to an earlier day in every scenario, or in none; return whether it was moved."""
    before = {name: copied(day) for name, day in days.items()}
    for name, day in days.items():
        source = next(
            (
                period
                for period in day.parameters.singles[DAYS_DECIDED_NOW:]
                if abs(day.make.get((item.name, period.number), 0.0) - amount) < NOTHING
                and may_move(day.parameters, plans[name], item, period)
            ),
            None,
        )
        if source is None or not move_to(day, item, source, earlier):
            days.update(before)
            return False
    return True


def copied(day: Day) -> Day:
    """Return a copy of a day to restore."""
    used: Used = defaultdict(float, day.used)
    return replace(day, make=dict(day.make), loads=dict(day.loads), fresh_kg=dict(day.fresh_kg), used=used)


def move_opening_earlier(
    parameters: Mapping[str, Parameters], plans: Mapping[str, Plan], decided_now: int
) -> Mapping[str, Plan]:
    """Move what the likely season can move from tomorrow to today in every season, if every season can."""
    likely = plans[LIKELY]
    moved = move_sessions_earlier(parameters[LIKELY], likely, (0, decided_now))
    if moved.make == likely.make:
        return plans
    found = {name: with_same_opening(plan, likely, moved, decided_now) for name, plan in plans.items()}
    if any(violated_constraints(parameters[name].household, plan) for name, plan in found.items()):
        return plans
    return found


def with_same_opening(plan: Plan, before: Plan, after: Plan, decided_now: int) -> Plan:
    """Return a scenario's plan with the same moves in the first-stage days as between two plans."""

    def now(amounts: Mapping[tuple[str, int], float]) -> dict[tuple[str, int], float]:
        return {key: amount for key, amount in amounts.items() if key[1] < decided_now}

    def later(amounts: Mapping[tuple[str, int], float]) -> dict[tuple[str, int], float]:
        return {key: amount for key, amount in amounts.items() if key[1] >= decided_now}

    fresh = dict(plan.fresh_kg)
    for key in set(before.fresh_kg) | set(after.fresh_kg):
        fresh[key] = fresh.get(key, 0.0) + after.fresh_kg.get(key, 0.0) - before.fresh_kg.get(key, 0.0)
    return replace(
        plan,
        make=now(after.make) | later(plan.make),
        loads=now(after.loads) | later(plan.loads),
        fresh_kg={key: kg for key, kg in fresh.items() if kg > NOTHING},
    )
