"""Sessions of every season moved to earlier days, without telling apart what all of them do today and tomorrow."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace

from stillroom.household.audit import broken_rules
from stillroom.household.harvest_cases import DAYS_DECIDED_NOW, LIKELY
from stillroom.household.periods import Period
from stillroom.household.plan import Plan
from stillroom.household.records import Preserve
from stillroom.planning.facts import Facts
from stillroom.planning.sooner import Day, Used, day_of, keeps, may_move, move_to, sooner, with_moves

NOTHING = 1e-6


def moved_forward(facts: Mapping[str, Facts], plans: Mapping[str, Plan], decided_now: int) -> dict[str, Plan]:
    """
    Give the plans, by season, with sessions moved forward.

    Into the days decided now a session comes only if every season makes the same later on and has room for it; then
    within those days alike in all; then the later days of each season by themselves.
    """
    start = together_forward(facts, from_later(facts, plans, decided_now), decided_now)
    return {name: sooner(facts[name], plan, (decided_now, len(facts[name].singles))) for name, plan in start.items()}


def from_later(facts: Mapping[str, Facts], plans: Mapping[str, Plan], decided_now: int) -> Mapping[str, Plan]:
    """Move sessions from later days into the days decided now where every season can."""
    days = {name: day_of(facts[name], plan) for name, plan in plans.items()}
    likely = facts[LIKELY]
    moved = False
    for item in sorted(likely.preserves, key=lambda item: (keeps(likely, item), item.name)):
        for period in likely.singles[decided_now:]:
            for earlier in likely.singles[:decided_now]:
                amount = days[LIKELY].make.get((item.name, period.number), 0.0)
                if amount > 0 and every_season_moves(days, plans, item, amount, earlier):
                    moved = True
    found = {name: with_moves(plans[name], day) for name, day in days.items()}
    if not moved or any(broken_rules(facts[name].household, plan) for name, plan in found.items()):
        return plans
    return found


def every_season_moves(
    days: dict[str, Day], plans: Mapping[str, Plan], item: Preserve, amount: float, earlier: Period
) -> bool:
    """Move a session of so many containers to an earlier day in every season, or in none."""
    before = {name: copied(day) for name, day in days.items()}
    for name, day in days.items():
        source = next(
            (
                period
                for period in day.facts.singles[DAYS_DECIDED_NOW:]
                if abs(day.make.get((item.name, period.number), 0.0) - amount) < NOTHING
                and may_move(day.facts, plans[name], item, period)
            ),
            None,
        )
        if source is None or not move_to(day, item, source, earlier):
            days.update(before)
            return False
    return True


def copied(day: Day) -> Day:
    """The same day, to go back to."""
    used: Used = defaultdict(float, day.used)
    return replace(day, make=dict(day.make), loads=dict(day.loads), fresh_kg=dict(day.fresh_kg), used=used)


def together_forward(facts: Mapping[str, Facts], plans: Mapping[str, Plan], decided_now: int) -> Mapping[str, Plan]:
    """Move what the likely season can move from tomorrow to today in every season, if every season can."""
    likely = plans[LIKELY]
    moved = sooner(facts[LIKELY], likely, (0, decided_now))
    if moved.make == likely.make:
        return plans
    found = {name: like(plan, likely, moved, decided_now) for name, plan in plans.items()}
    if any(broken_rules(facts[name].household, plan) for name, plan in found.items()):
        return plans
    return found


def like(plan: Plan, before: Plan, after: Plan, decided_now: int) -> Plan:
    """A season's plan with the same moves in the days decided now as were made from one plan to another."""

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
