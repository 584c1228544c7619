"""The plan extracted from the solver's columns, and its sessions moved to earlier days."""

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


def extract_plan(
    parameters: Parameters, variables: Variables, columns: Mapping[str, float], objectives: tuple[ObjectiveResult, ...]
) -> Plan:
    """Return the plan in the columns (value by variable name); integers are rounded."""

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
    fresh, surplus = keep_instead_of_surplus(parameters, amounts(variables.fresh), amounts(variables.surplus))
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
    Return the loads of what is made: whole ones on detailed days, fractions in weeks.

    On detailed days these are the `loads` of the solution. In weeks a load costs nothing by itself, so the solver may
    have more than are used.
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


def keep_instead_of_surplus(parameters: Parameters, fresh: Amounts, surplus: Amounts) -> tuple[Amounts, Amounts]:
    """
    Return fresh crop and surplus, where surplus of the last period is kept fresh if it keeps, at equal weight.

    Only for crops that an included preserve can use; others weigh more when they are kept.
    """
    last = parameters.periods[-1]
    held, given = dict(fresh), dict(surplus)
    for crop in parameters.crops:
        key = (crop.name, last.number)
        spare = parameters.keepable(crop, last) - held.get(key, 0.0)
        kept = min(given.get(key, 0.0), spare)
        if last.number and crop.name in parameters.crops_in_use and kept > NOTHING:
            held[key] = held.get(key, 0.0) + kept
            given[key] -= kept
            if given[key] < NOTHING:
                del given[key]
    return MappingProxyType(held), MappingProxyType(given)


# Sessions moved to earlier days. To the objectives all detailed days are equal (a sum of make times day was measured
# to keep the solver from proving any plan), but crop in the kitchen gets no better. So each session moves to the first
# earlier day on which its crop is fresh and labor, stove, equipment, containers and space are free. No objective
# changes.

ROOM = 1e-6
"""Tolerance of a limit, in hours, liters or kilograms."""

Used = dict[tuple[str, int], float]


@dataclass
class Day:
    """What the plan uses of every resource, by (resource, period), while sessions are moved."""

    parameters: Parameters
    make: dict[tuple[str, int], float]
    loads: dict[tuple[str, int], float]
    fresh_kg: dict[tuple[str, int], float]
    bought: Mapping[str, float]
    used: Used = field(default_factory=lambda: defaultdict(float))
    first: int = 0


def move_sessions_earlier(parameters: Parameters, plan: Plan, among: tuple[int, int] | None = None) -> Plan:
    """
    Return the plan with its sessions moved to earlier days; unchanged if that would violate a constraint.

    With `among` only detailed days from its first number to before its second are used.
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
    """Return what a plan uses of every resource; sessions may move to day number `first` or later."""
    day = Day(parameters, dict(plan.make), dict(plan.loads), dict(plan.fresh_kg), plan.buy_containers, first=first)
    for (name, number), amount in plan.make.items():
        count(day, parameters.household.preserve(name), parameters.periods[number], amount, 1.0)
    for crop in parameters.freezable:
        for period in parameters.periods:
            kg = plan.freeze_kg.get((crop.name, period.number), 0.0)
            day.used["hands", period.number] += crop.freeze_hours_per_kg * kg
            day.used["freezing", period.number] += kg
            day.used["begun", period.number] += kg > 0
            frozen = plan.frozen_kg.get((crop.name, period.number), 0.0) - parameters.frozen_at_start(crop)
            day.used["freezer", period.number] += crop.freezer_litres_per_kg * frozen
    return day


def with_moves(plan: Plan, day: Day) -> Plan:
    """Return the plan with its moved sessions."""
    return replace(
        plan,
        make=MappingProxyType(day.make),
        loads=MappingProxyType(day.loads),
        fresh_kg=MappingProxyType({key: kg for key, kg in day.fresh_kg.items() if kg > ROOM}),
    )


def keeps(parameters: Parameters, item: Preserve) -> float:
    """Return the days that the shortest-lived crop of a preserve keeps."""
    days = {crop.name: crop.keeps_days for crop in parameters.crops}
    return min((days[name] for name in parameters.crops_of(item)), default=math.inf)


def may_move(parameters: Parameters, plan: Plan, item: Preserve, period: Period) -> bool:
    """Return whether a session may move: not fixed, of fresh crop only, without preserves as ingredients or users."""
    if not item.include or (item.name, period.number) in parameters.fixed_at:
        return False
    if any(line.source == "preserve" for line in item.ingredients) or item.name in parameters.users:
        return False
    return not any(plan.thaw_kg.get((crop, period.number), 0.0) > 0 for crop in parameters.crops_of(item))


def count(day: Day, item: Preserve, period: Period, amount: float, sign: float) -> None:
    """Add what a session uses; subtract it with sign -1."""
    parameters, used, number = day.parameters, day.used, period.number
    loads = sign * day.loads.get((item.name, number), 0.0)
    made = sign * amount
    used["hands", number] += parameters.hands_each(item) * made + parameters.hands_load(item) * loads
    used["begun", number] += sign
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
    """Move a session to the first earlier day that has room for it, if any."""
    for earlier in day.parameters.singles[day.first : period.number]:
        if move_to(day, item, period, earlier):
            return


def move_to(day: Day, item: Preserve, period: Period, earlier: Period) -> bool:
    """Move a session to an earlier day if it has room there; return whether it was moved."""
    parameters, key = day.parameters, (item.name, period.number)
    amount, loads = day.make[key], day.loads.get(key)
    there = (item.name, earlier.number)
    if there in day.make or there in parameters.fixed_at or not parameters.worth_starting(item, earlier, amount):
        return False
    if item.name in parameters.limited_by_timetable and amount > parameters.upper_bound[there] + ROOM:
        return False
    if not crop_is_available(day, item, amount, earlier, period) or increases_changes(
        day, item, amount, earlier, period
    ):
        return False
    count(day, item, period, amount, -1.0)
    day.make[there] = day.make.pop(key)
    if loads is not None:
        day.loads[there] = day.loads.pop(key)
    count(day, item, earlier, amount, 1.0)
    if is_within_limits(day, item):
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


def crop_is_available(day: Day, item: Preserve, amount: float, earlier: Period, period: Period) -> bool:
    """Return whether the crop of a session was carried fresh from the earlier day to its own."""
    return all(
        day.fresh_kg.get((crop, number), 0.0) >= each * amount - ROOM
        for crop, each in day.parameters.crops_of(item).items()
        for number in range(earlier.number, period.number)
    )


def increases_changes(day: Day, item: Preserve, amount: float, earlier: Period, period: Period) -> bool:
    """Return whether the move would increase the change from the last plan."""
    before = {line.number: line.amount for line in day.parameters.last_lines if line.name == item.name}
    change = 0.0
    for number, added in ((earlier.number, amount), (period.number, -amount)):
        if number in day.parameters.compared:
            away = day.make.get((item.name, number), 0.0) - before.get(number, 0.0)
            change += abs(away + added) - abs(away)
    return change > ROOM


def is_within_limits(day: Day, item: Preserve) -> bool:
    """Return whether every resource of the session is within its limit in every period."""
    parameters, kitchen = day.parameters, day.parameters.household.kitchen
    container = parameters.household.container(item.container)
    days = 0
    for period in parameters.periods:
        limits = {
            "begun": parameters.most_begun(period),
            "hands": parameters.hands_hours(period),
            "stove": parameters.stove_hours(period),
            "freezing": kitchen.freeze_kg_a_day * period.days,
            item.kept_in: kitchen.free_litres(item.kept_in),
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
    """Return the containers on hand or returned by a day."""
    return container.on_hand + math.floor(container.back_each_week * days_gone / 7 + ROOM)
