"""The plan read off the solver's columns; nothing else in the house looks at them."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Amounts, ObjectiveResult, Period, Plan, Violation
from stillroom.household.records import Container, Preserve
from stillroom.planning.model import Variable
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables

NOTHING = 1e-6


def read_off(
    parameters: Parameters, variables: Variables, columns: Mapping[str, float], objectives: tuple[ObjectiveResult, ...]
) -> Plan:
    """Turn the columns (value by name of the decision) into a Plan; whole decisions are rounded to whole numbers."""

    def value(variable: Variable) -> float:
        amount = columns[variable.name]
        amount = float(round(amount)) if variable.whole else amount
        return 0.0 if abs(amount) < NOTHING else amount

    def amounts(variables: Mapping[tuple[str, int], Variable]) -> Amounts:
        found = {key: value(variable) for key, variable in variables.items()}
        return MappingProxyType({key: amount for key, amount in found.items() if amount != 0.0})

    def bought(variables: Mapping[str, Variable]) -> Mapping[str, Any]:
        found = {key: value(variable) for key, variable in variables.items()}
        return MappingProxyType({key: amount for key, amount in found.items() if amount != 0.0})

    violations = tuple(
        Violation(fix.name, fix.numbers[0], fix.amount, value(variables.short[number]), where=fix.where)
        for number, fix in enumerate(parameters.fixes)
        if value(variables.short[number]) > 1e-4
    )
    fresh, surplus = kept_where_it_keeps(parameters, amounts(variables.fresh), amounts(variables.surplus))
    return Plan(
        periods=parameters.periods,
        make=amounts(variables.make),
        loads=loads_of(parameters, amounts(variables.make)),
        fresh_kg=fresh,
        frozen_kg=amounts(variables.frozen),
        freeze_kg=amounts(variables.freeze),
        thaw_kg=amounts(variables.thaw),
        spoil_kg=amounts(variables.spoil),
        surplus_kg=surplus,
        buy_containers=bought(variables.buy_container),
        buy_lids=bought(variables.buy_lid),
        buy_items=bought(variables.buy_item),
        bands=amounts(variables.filled),
        objectives=objectives,
        violations=violations,
    )


def loads_of(parameters: Parameters, make: Amounts) -> Amounts:
    """
    The loads that what is made needs, and no more: whole ones on single days, shares of one in weeks.

    On single days this is what the solver decided, since no load may stay empty; in weeks a load costs nothing by
    itself, so the solver may leave more than are needed.
    """
    found = {}
    for item in parameters.preserves:
        if item.load is None:
            continue
        for period in parameters.periods:
            amount = make.get((item.name, period.number), 0.0)
            if amount > 0:
                share = amount / item.load
                found[item.name, period.number] = float(math.ceil(share - NOTHING)) if period.single else share
    return MappingProxyType(found)


def kept_where_it_keeps(parameters: Parameters, fresh: Amounts, surplus: Amounts) -> tuple[Amounts, Amounts]:
    """
    What is fed in the last period although it keeps is held fresh instead: both weigh the same in the aim.

    Only where a preserve with Include = yes can use the crop; elsewhere holding weighs more than feeding does.
    """
    last = parameters.periods[-1]
    held, given = dict(fresh), dict(surplus)
    for crop in parameters.crops:
        key = (crop.name, last.number)
        spare = parameters.keepable(crop, last) - held.get(key, 0.0)
        kept = min(given.get(key, 0.0), spare)
        if last.number and crop.name in parameters.usable_crops and kept > NOTHING:
            held[key] = held.get(key, 0.0) + kept
            given[key] -= kept
            if given[key] < NOTHING:
                del given[key]
    return MappingProxyType(held), MappingProxyType(given)


# Sessions moved to the earliest day that has room for them, when nothing else about the plan changes. To the aims
# one single day is as good as another (a sum over makes times day was measured to keep the solver from ever
# proving a plan), but not to a cook: crop in the kitchen does not get better, and tomorrow is not certain. So the
# finished plan is walked once, from its second day on, and each session goes to the first earlier day on which
# its crop is there fresh and hands, stove, equipment, containers and space are free. No aim changes by it: the
# same things are made with the same loads and set-ups, nothing is fed or frozen otherwise, and the change from
# the last plan does not grow.

ROOM = 1e-6
"""Hours, litres and kilograms by which a limit must hold."""

Used = dict[tuple[str, int], float]


@dataclass
class Day:
    """What the plan uses of everything, by (what, period), and how its sessions stand while they are moved."""

    parameters: Parameters
    make: dict[tuple[str, int], float]
    loads: dict[tuple[str, int], float]
    fresh_kg: dict[tuple[str, int], float]
    bought: Mapping[str, float]
    used: Used = field(default_factory=lambda: defaultdict(float))
    first: int = 0


def sooner(parameters: Parameters, plan: Plan, among: tuple[int, int] | None = None) -> Plan:
    """
    Give the plan with its sessions moved forward; the plan itself when that would break a rule.

    With `among` only single days from its first number to before its second give or take sessions.
    """
    first, end = among or (0, len(parameters.singles))
    if end - first < 2:
        return plan
    day = day_of(parameters, plan, first)
    before = dict(day.make)
    for period in parameters.singles[first + 1 : end]:
        for item in sorted(parameters.preserves, key=lambda item: (keeps(parameters, item), item.name)):
            if may_move(parameters, plan, item, period) and (item.name, period.number) in day.make:
                move(day, item, period)
    if day.make == before:
        return plan
    moved = with_moves(plan, day)
    return plan if violated_constraints(parameters.household, moved) else moved


def day_of(parameters: Parameters, plan: Plan, first: int = 0) -> Day:
    """What a plan uses of everything, its sessions ready to be moved to no day before number `first`."""
    day = Day(parameters, dict(plan.make), dict(plan.loads), dict(plan.fresh_kg), plan.buy_containers, first=first)
    for (name, number), amount in plan.make.items():
        count(day, parameters.household.preserve(name), parameters.periods[number], amount, 1.0)
    for crop in parameters.freezable:
        for period in parameters.periods:
            kg = plan.freeze_kg.get((crop.name, period.number), 0.0)
            day.used["hands", period.number] += crop.freeze_hours_per_kg * kg
            day.used["freezing", period.number] += kg
            frozen = plan.frozen_kg.get((crop.name, period.number), 0.0) - parameters.frozen_at_start(crop)
            day.used["freezer", period.number] += crop.freezer_litres_per_kg * frozen
    return day


def with_moves(plan: Plan, day: Day) -> Plan:
    """Give the plan with its sessions where they were moved to."""
    return replace(
        plan,
        make=MappingProxyType(day.make),
        loads=MappingProxyType(day.loads),
        fresh_kg=MappingProxyType({key: kg for key, kg in day.fresh_kg.items() if kg > ROOM}),
    )


def keeps(parameters: Parameters, item: Preserve) -> float:
    """Days that the shortest-lived crop of a preserve keeps: what keeps least goes first."""
    days = {crop.name: crop.keeps_days for crop in parameters.crops}
    return min((days[name] for name in parameters.crops_of(item)), default=math.inf)


def may_move(parameters: Parameters, plan: Plan, item: Preserve, period: Period) -> bool:
    """Whether a session stands free: not fixed, made of fresh crop alone, and of no other preserve."""
    if not item.include or (item.name, period.number) in parameters.fixed_at:
        return False
    if any(line.source == "preserve" for line in item.ingredients) or item.name in parameters.users:
        return False
    return not any(plan.thaw_kg.get((crop, period.number), 0.0) > 0 for crop in parameters.crops_of(item))


def count(day: Day, item: Preserve, period: Period, amount: float, sign: float) -> None:
    """Add what a session uses (or take it away again, with sign -1)."""
    parameters, used, number = day.parameters, day.used, period.number
    loads = sign * day.loads.get((item.name, number), 0.0)
    made = sign * amount
    used["hands", number] += parameters.hands_each(item) * made + parameters.hands_load(item) * loads
    used["stove", number] += parameters.stove_each(item) * made
    if item.load is not None:
        for held, hours in parameters.stove_hours_load(item, period).items():
            used["stove", held] += hours * loads
        for piece, hours in parameters.piece_hours(item):
            for held, taken in parameters.spread(hours, period, overnight=piece.runs_overnight).items():
                used[f"piece {piece.name}", held] += taken * loads
    if item.kept_in == "freezer":
        used["freezing", number] += sum(parameters.crops_of(item).values()) * made
    for later in parameters.periods[number:]:
        used[item.kept_in, later.number] += item.space_litres_each * made
        used[f"container {item.container}", later.number] += made
    for line in item.ingredients:
        if line.source == "preserve":
            other = parameters.household.preserve(line.item)
            emptied = line.amount_each * made
            for after in parameters.periods[number:]:
                used[other.kept_in, after.number] -= other.space_litres_each * emptied
                used[f"container {other.container}", after.number] -= emptied


def move(day: Day, item: Preserve, period: Period) -> None:
    """Move a session to the first earlier day that has room for it; leave it where there is none."""
    for earlier in day.parameters.singles[day.first : period.number]:
        if move_to(day, item, period, earlier):
            return


def move_to(day: Day, item: Preserve, period: Period, earlier: Period) -> bool:
    """Move a session to an earlier day if it has room there; whether it had."""
    parameters, key = day.parameters, (item.name, period.number)
    amount, loads = day.make[key], day.loads.get(key)
    there = (item.name, earlier.number)
    if there in day.make or there in parameters.fixed_at or amount < parameters.batch(item, earlier) - ROOM:
        return False
    if item.name in parameters.held_by_clock and amount > parameters.most_made[there] + ROOM:
        return False
    if not crop_is_there(day, item, amount, earlier, period) or changes_more(day, item, amount, earlier, period):
        return False
    count(day, item, period, amount, -1.0)
    day.make[there] = day.make.pop(key)
    if loads is not None:
        day.loads[there] = day.loads.pop(key)
    count(day, item, earlier, amount, 1.0)
    if within_limits(day, item):
        for crop, each in parameters.crops_of(item).items():
            for number in range(earlier.number, period.number):
                day.fresh_kg[crop, number] -= each * amount
        return True
    count(day, item, earlier, amount, -1.0)
    day.make[key] = day.make.pop(there)
    if loads is not None:
        day.loads[key] = day.loads.pop(there)
    count(day, item, period, amount, 1.0)
    return False


def crop_is_there(day: Day, item: Preserve, amount: float, earlier: Period, period: Period) -> bool:
    """Whether the crop that a session takes was carried fresh from the earlier day to its own."""
    return all(
        day.fresh_kg.get((crop, number), 0.0) >= each * amount - ROOM
        for crop, each in day.parameters.crops_of(item).items()
        for number in range(earlier.number, period.number)
    )


def changes_more(day: Day, item: Preserve, amount: float, earlier: Period, period: Period) -> bool:
    """Whether the move would take the plan further from the last one."""
    change = 0.0
    for line in day.parameters.last_lines:
        if line.name == item.name:
            now = sum(day.make.get((item.name, number), 0.0) for number in line.numbers)
            then = now + amount * ((earlier.number in line.numbers) - (period.number in line.numbers))
            change += abs(then - line.amount) - abs(now - line.amount)
    return change > ROOM


def within_limits(day: Day, item: Preserve) -> bool:
    """Whether everything that the session uses is still within its limit in every period."""
    parameters, kitchen = day.parameters, day.parameters.household.kitchen
    free = {
        "freezer": kitchen.freezer_free_litres,
        "refrigerator": kitchen.refrigerator_free_litres,
        "shelf": kitchen.shelf_free_litres,
        "cellar": kitchen.cellar_free_litres,
    }
    container = parameters.household.container(item.container)
    days = 0
    for period in parameters.periods:
        limits = {
            "hands": parameters.hands_hours(period),
            "stove": parameters.stove_hours(period),
            "freezing": kitchen.freeze_kg_a_day * period.days,
            item.kept_in: free[item.kept_in],
            f"container {container.name}": stock(container, days) + day.bought.get(container.name, 0.0),
        }
        limits |= {
            f"piece {piece.name}": parameters.equipment_hours(piece, period) for piece in parameters.pieces[item.name]
        }
        days += period.days
        if any(day.used[what, period.number] > limit + ROOM for what, limit in limits.items()):
            return False
    return True


def stock(container: Container, days_gone: int) -> float:
    """Containers on hand or come back by a day."""
    return container.on_hand + math.floor(container.back_each_week * days_gone / 7 + ROOM)
