"""A day's work in a drawn season: what the plan has for the day, or less where there is less of something."""

from __future__ import annotations

import datetime
import math
from collections import defaultdict
from collections.abc import Iterator, Mapping

from stillroom.household.load_steps import hours_in_piece
from stillroom.household.plan import Plan
from stillroom.household.records import FREEZE_WHOLE, THAW, Lot, Preserve
from stillroom.household.simulation.state import NOTHING, SeasonState

ALMOST = 1e-6


def work(state: SeasonState, plan: Plan, day: datetime.date) -> None:
    """
    Carry out a plan on one of its detailed days.

    Ingredients of other preserves come first, each after its own ingredients, then by importance and name. Each is made
    as planned, or as often as crop, jars, lids, pantry, space and money allow, in whole containers, and again where
    another preserve freed jars or space. Crop is thawed only as it is used, and stocks are bought when they are used.
    Then crop is frozen whole.
    """
    period = next((one for one in plan.periods if one.first_day == day and one.single), None)
    if period is None:
        return
    thaw = {name: kg for (name, number), kg in plan.thaw_kg.items() if number == period.number}
    planned = [(name, count) for (name, number), count in plan.make.items() if number == period.number]
    planned.sort(key=lambda one: order(state, one[0]))
    left = dict(planned)
    while sum(left.values()) > ALMOST:
        made = {name: make(state, state.preserves[name], count, day, thaw) for name, count in left.items()}
        if not any(made.values()):
            break
        left = {name: count - made[name] for name, count in left.items() if count - made[name] > ALMOST}
    for (name, number), kg in sorted(plan.freeze_kg.items()):
        if number == period.number:
            freeze(state, name, kg, day)


def order(state: SeasonState, name: str) -> tuple[int, int, int, str]:
    """Return the sort key in which preserves are made: ingredients of others first, then importance, then name."""
    used = any(line.item == name for item in state.preserves.values() for line in item.ingredients)
    counts = [target.importance for target in state.household.targets if name in target.counts]
    return 0 if used else 1, steps_before(state, name), min(counts, default=9), name


def steps_before(state: SeasonState, name: str) -> int:
    """Return the length of the chain of ingredients below a preserve; loops are refused before this."""
    lines = state.preserves[name].ingredients
    return max((1 + steps_before(state, line.item) for line in lines if line.source == "preserve"), default=0)


def make(state: SeasonState, item: Preserve, wanted: float, day: datetime.date, thaw: dict[str, float]) -> float:
    """Make up to this many of a preserve; return how many. `thaw` is the crop that may be thawed."""
    taken = state.draw.crop_taken(item.name, day)
    most = min(limits(state, item, taken, thaw), default=math.inf)
    count = math.floor(min(wanted, most) + ALMOST)
    while count > 0 and price(state, item, count) > state.money - state.spent + NOTHING:
        count -= 1
    if count <= 0:
        return 0.0
    for crop, (each, from_frozen) in crops_each(item).items():
        out = min(thaw.get(crop, 0.0), from_frozen * taken * count)
        out = state.take(state.frozen[crop], out)
        thaw[crop] = thaw.get(crop, 0.0) - out
        if out > NOTHING:
            state.done.append((day, THAW + crop, out))
        state.used += out + state.take(state.fresh[crop], each * taken * count - out)
    for key, each in stocks_each(state, item):
        use_stock(state, key, each * count)
    for line in item.ingredients:
        if line.source == "preserve":
            state.use_up(line.item, line.amount_each * count)
    hold_equipment(state, item, count, day)
    state.put_up(item, float(count), day)
    state.done.append((day, item.name, float(count)))
    return float(count)


def crops_each(item: Preserve) -> Mapping[str, tuple[float, float]]:
    """Return the kg of each crop in one container: in all, and of it from frozen."""
    found: dict[str, tuple[float, float]] = {}
    for line in item.ingredients:
        if line.source == "crop" and line.amount_each > 0:
            each, frozen = found.get(line.item, (0.0, 0.0))
            found[line.item] = (each + line.amount_each, frozen + (line.amount_each if line.from_frozen else 0.0))
    return found


def stocks_each(state: SeasonState, item: Preserve) -> list[tuple[tuple[str, str], float]]:
    """Return what one container uses of containers, lids and pantry, in their own units."""
    container = state.containers[item.container]
    found = [(("Container", container.name), 1.0)]
    if container.lid is not None and container.lid in state.lids:
        found.append((("Lid", container.lid), 1.0))
    pantry: dict[str, float] = defaultdict(float)
    for line in item.ingredients:
        if line.source == "pantry":
            pantry[line.item] += line.amount_each
    return [*found, *((("PantryItem", name), each) for name, each in pantry.items() if each > 0)]


def limits(state: SeasonState, item: Preserve, taken: float, thaw: Mapping[str, float]) -> Iterator[float]:
    """Yield how many containers each resource allows."""
    for crop, (each, from_frozen) in crops_each(item).items():
        fresh = state.there(state.fresh[crop])
        out = min(thaw.get(crop, 0.0), state.there(state.frozen[crop]))
        yield (fresh + out) / (each * taken)
        if each - from_frozen > NOTHING:
            yield fresh / ((each - from_frozen) * taken)
    for key, each in stocks_each(state, item):
        yield (state.on_hand[key] + state.can_buy[key]) / each
    for line in item.ingredients:
        if line.source == "preserve" and line.amount_each > 0:
            yield state.on_shelf(line.item) / line.amount_each
    if item.space_litres_each > 0:
        yield state.room(item.kept_in) / item.space_litres_each


def price(state: SeasonState, item: Preserve, count: int) -> float:
    """Return the money for what has to be bought to make so many."""
    cost = 0.0
    for key, each in stocks_each(state, item):
        short = each * count - state.on_hand[key]
        if short > NOTHING:
            cost += (to_buy(key, short)) * (price_of(state, key) or 0.0)
    return cost


def to_buy(key: tuple[str, str], short: float) -> float:
    """Return the amount bought when so much is missing: whole containers and lids, pantry exactly."""
    return short if key[0] == "PantryItem" else math.ceil(short - ALMOST)


def price_of(state: SeasonState, key: tuple[str, str]) -> float | None:
    """Return the price of one unit of a stock."""
    kind, name = key
    if kind == "Container":
        return state.containers[name].price
    return state.lids[name].price if kind == "Lid" else state.pantry[name].price


def use_stock(state: SeasonState, key: tuple[str, str], amount: float) -> None:
    """Use from a stock; what is missing is bought."""
    short = amount - state.on_hand[key]
    if short > NOTHING:
        bought = min(to_buy(key, short), state.can_buy[key])
        state.can_buy[key] -= bought
        state.on_hand[key] += bought
        state.spent += bought * (price_of(state, key) or 0.0)
    state.on_hand[key] = max(0.0, state.on_hand[key] - amount)


def hold_equipment(state: SeasonState, item: Preserve, count: float, day: datetime.date) -> None:
    """Record until when the last piece is occupied by a process longer than a day."""
    if not item.equipment or item.load is None:
        return
    piece = state.household.equipment_named(item.equipment[-1])
    hours = hours_in_piece(item, piece)
    if hours > 24 + ALMOST:
        until = day + datetime.timedelta(days=math.ceil(hours / 24 - ALMOST))
        state.busy += [(piece.name, until)] * math.ceil(count / item.load - ALMOST)


def freeze(state: SeasonState, name: str, kg: float, day: datetime.date) -> None:
    """Freeze a crop whole, as far as there is crop and room."""
    litres = state.crops[name].freezer_litres_per_kg
    room = state.room("freezer") / litres if litres > 0 else math.inf
    frozen = state.take(state.fresh[name], min(kg, room))
    if frozen > NOTHING:
        state.frozen[name].append(Lot(name, day, frozen, frozen_on=day))
        state.done.append((day, FREEZE_WHOLE + name, frozen))
