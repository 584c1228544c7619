"""
The sessions of a finished plan moved to better days, where no objective changes or one improves.

To the objectives all detailed days are equal: a sum of make times day was measured to keep the solver from proving any
plan. But a cook would do each thing on as few days as it takes, ripe crop first, and what can wait on the emptiest day.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import ObjectiveResult, Period, Plan
from stillroom.household.records import Container, Preserve
from stillroom.planning.parameters import Parameters

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
    saved_hours: float = 0.0

    def hands_of(self, number: int) -> float:
        """Return the share of a day's hands that the plan uses; the hours themselves without a limit."""
        hours = self.parameters.hands_hours(self.parameters.periods[number])
        return self.used["hands", number] / hours if 0 < hours < math.inf else self.used["hands", number]


def move_sessions(parameters: Parameters, plan: Plan, among: tuple[int, int] | None = None) -> Plan:
    """
    Return the plan with its sessions moved to better days; unchanged if that would violate a constraint.

    A preserve scattered over more than two days is gathered on fewer. Then, the shortest-lived crop first, each session
    moves to the first earlier day on which its crop is fresh and everything it takes is free; what is made of crop that
    keeps two weeks stands where the last plan had it, or moves to the emptiest day. With `among` only detailed days
    from its first number to before its second are used.
    """
    first, end = among or (0, len(parameters.singles))
    if end - first < 2:
        return plan
    day = day_of(parameters, plan, first)
    before = dict(day.make)
    days = parameters.singles[first:end]
    by_keeping = sorted(parameters.preserves, key=lambda item: (keeps(parameters, item), item.name))
    for item in by_keeping:
        gather(day, plan, item, days)
    for period in days[1:]:
        for item in by_keeping:
            if item.name not in parameters.long_keeping and is_movable(day, plan, item, period):
                move(day, item, period)
    for item in by_keeping:
        if item.name in parameters.long_keeping:
            spread_out(day, plan, item, days)
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
        objectives=tuple(with_less_labor(objective, day.saved_hours) for objective in plan.objectives),
    )


def with_less_labor(objective: ObjectiveResult, hours: float) -> ObjectiveResult:
    """Return the effort with so many hours less of labor, its bound no higher than that; any other as it is."""
    if objective.kind != "effort" or not hours:
        return objective
    parts = tuple(replace(part, value=part.value - (part.kind == "labor") * hours) for part in objective.parts)
    value = objective.value - hours
    return replace(objective, value=value, bound=min(objective.bound, value), parts=parts)


MOST_DAYS = 2
"""A preserve is made on no more of the detailed days than this, if it fits; dryers run when they are empty."""


def gather(day: Day, plan: Plan, item: Preserve, days: tuple[Period, ...]) -> None:
    """Move the smallest sessions of a preserve to other days on which it is made, until they stand on two."""
    if any(piece.runs_overnight for piece in day.parameters.pieces[item.name]):
        return
    while True:
        made = [period for period in days if (item.name, period.number) in day.make]
        if len(made) <= MOST_DAYS:
            return
        smallest = sorted(made, key=lambda period: (day.make[item.name, period.number], -period.number))
        if not any(
            move_to(day, item, period, other, join=True)
            for period in smallest
            if may_move(day.parameters, plan, item, period)
            for other in made
            if other is not period
        ):
            return


def spread_out(day: Day, plan: Plan, item: Preserve, days: tuple[Period, ...]) -> None:
    """Move each session of a preserve to a day on which the last plan had it, else to the emptiest one."""
    had = {line.day for line in day.parameters.household.plan_lines if line.name == item.name and line.days == 1}
    for period in days:
        if not is_movable(day, plan, item, period) or period.first_day in had:
            continue
        left = (day.hands_of(period.number) - hands_share(day, item, period), period.number)
        rank = {other.number: (day.hands_of(other.number), other.number) for other in days}
        better = [other for other in days if other.first_day in had or rank[other.number] < left]
        for other in sorted(better, key=lambda other: (other.first_day not in had, rank[other.number])):
            if move_to(day, item, period, other):
                break


def hands_share(day: Day, item: Preserve, period: Period) -> float:
    """Return the share of a day's hands that the session of a preserve uses on it."""
    parameters, key = day.parameters, (item.name, period.number)
    taken = parameters.hands_each(item) * day.make[key] + parameters.hands_load(item) * day.loads.get(key, 0.0)
    hours = parameters.hands_hours(period)
    return taken / hours if 0 < hours < math.inf else taken


def is_movable(day: Day, plan: Plan, item: Preserve, period: Period) -> bool:
    """Return whether a preserve is made on a day by a session that may move."""
    return (item.name, period.number) in day.make and may_move(day.parameters, plan, item, period)


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


def move_to(day: Day, item: Preserve, period: Period, other: Period, *, join: bool = False) -> bool:
    """Move a session to another day, with `join` to one that it is added to, if there is room; return whether."""
    parameters, key, there = day.parameters, (item.name, period.number), (item.name, other.number)
    if there in parameters.fixed_at or (there in day.make and not join):
        return False
    amount, joined = day.make[key], day.make[key] + day.make.get(there, 0.0)
    if not parameters.worth_starting(item, other, joined) or joined > parameters.upper_bound[there] + ROOM:
        return False
    if not crop_is_there(day, item, amount, period, other) or increases_changes(day, item, amount, other, period):
        return False
    before = dict(day.make), dict(day.loads), day.used.copy()
    hours = labor_of(day, item, period) + labor_of(day, item, other)
    for one in (period, other):
        if (item.name, one.number) in day.make:
            count(day, item, one, day.make[item.name, one.number], -1.0)
    del day.make[key]
    day.make[there] = joined
    if item.load is not None:
        del day.loads[key]
        day.loads[there] = float(math.ceil(joined / item.load - ROOM))
    count(day, item, other, joined, 1.0)
    if not is_within_limits(day, item):
        day.make, day.loads, day.used = before
        return False
    day.saved_hours += hours - labor_of(day, item, other)
    carry(day, item, amount, period, other)
    return True


def labor_of(day: Day, item: Preserve, period: Period) -> float:
    """Return the hours of a session with its setups; nothing where there is none."""
    parameters, key = day.parameters, (item.name, period.number)
    made, loads = day.make.get(key, 0.0), day.loads.get(key, 0.0)
    setups = (loads if item.load is not None else 1.0) if made else 0.0
    setup_hours = parameters.household.kitchen.setup_hours_a_kind
    return parameters.hands_each(item) * made + parameters.hands_load(item) * loads + setup_hours * setups


def carried(day: Day, item: Preserve, amount: float, period: Period, other: Period) -> Iterator[tuple[str, int, float]]:
    """Yield crop, day and the kg that are carried past it more, or less (negative), when a session moves."""
    sign = 1.0 if other.number > period.number else -1.0
    for crop, each in day.parameters.crops_of(item).items():
        for number in range(min(period.number, other.number), max(period.number, other.number)):
            yield crop, number, sign * each * amount


def crop_is_there(day: Day, item: Preserve, amount: float, period: Period, other: Period) -> bool:
    """Return whether the crop of a session is there on another day: carried from it, or still good until then."""
    crops = {crop.name: crop for crop in day.parameters.crops}
    for crop, number, kg in carried(day, item, amount, period, other):
        then = day.fresh_kg.get((crop, number), 0.0) + kg
        most = day.parameters.keepable(crops[crop], day.parameters.periods[number])
        if then < -ROOM or (kg > 0 and then > most + ROOM):
            return False
    return True


def carry(day: Day, item: Preserve, amount: float, period: Period, other: Period) -> None:
    """Carry the crop of a moved session fresh until its new day, and no longer."""
    for crop, number, kg in carried(day, item, amount, period, other):
        day.fresh_kg[crop, number] = day.fresh_kg.get((crop, number), 0.0) + kg


def increases_changes(day: Day, item: Preserve, amount: float, other: Period, period: Period) -> bool:
    """Return whether the move would increase the change from the last plan."""
    parameters, added = day.parameters, {other.number: amount, period.number: -amount}
    new = [key for key in parameters.new_lines if key[0] == item.name and key[1] in added]
    change = sum(parameters.change_weight(*key) * added[key[1]] for key in new)
    for line in parameters.last_lines:
        if line.name == item.name:
            away = sum(day.make.get((item.name, number), 0.0) for number in line.numbers) - line.amount
            more = abs(away + sum(added.get(number, 0.0) for number in line.numbers)) - abs(away)
            change += parameters.change_weight(item.name, line.numbers[0]) * more
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
