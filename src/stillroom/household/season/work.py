"""A day's work as it is really done: what the plan says, less where there is less of something."""

from __future__ import annotations

import datetime
import math
from collections import defaultdict
from collections.abc import Iterator, Mapping

from stillroom.household.plan import Plan
from stillroom.household.records import FREEZE_WHOLE, THAW, Lot, Preserve
from stillroom.household.season.standing import NOTHING, Standing

ALMOST = 1e-6


def work(standing: Standing, plan: Plan, day: datetime.date) -> None:
    """
    Do what a plan says for a day that it plans singly; nothing where it has no such day.

    Preserves that others are made of come first, each after its own ingredients, then by importance and name. Each is
    made as often as planned, or as often as crop, jars, lids, larder, room and money really allow, in whole containers;
    what jars or room were wanting for is gone on with where another preserve gave some back. Crop is taken out of the
    freezer only as it is cooked. Stocks are bought when they are needed. Then crop is frozen whole.
    """
    period = next((one for one in plan.periods if one.first_day == day and one.single), None)
    if period is None:
        return
    thaw = {name: kg for (name, number), kg in plan.thaw_kg.items() if number == period.number}
    planned = [(name, count) for (name, number), count in plan.make.items() if number == period.number]
    planned.sort(key=lambda one: order(standing, one[0]))
    left = dict(planned)
    while sum(left.values()) > ALMOST:
        made = {name: make(standing, standing.preserves[name], count, day, thaw) for name, count in left.items()}
        if not any(made.values()):
            break
        left = {name: count - made[name] for name, count in left.items() if count - made[name] > ALMOST}
    for (name, number), kg in sorted(plan.freeze_kg.items()):
        if number == period.number:
            freeze(standing, name, kg, day)


def order(standing: Standing, name: str) -> tuple[int, int, int, str]:
    """In which order a preserve is made: ingredients of others, each after its own, then importance, then name."""
    used = any(line.item == name for item in standing.preserves.values() for line in item.ingredients)
    counts = [need.importance for need in standing.household.needs if name in need.counts]
    return 0 if used else 1, steps_before(standing, name), min(counts, default=9), name


def steps_before(standing: Standing, name: str) -> int:
    """How many preserves come before one, each an ingredient of the next; ingredient loops are refused before this."""
    lines = standing.preserves[name].ingredients
    return max((1 + steps_before(standing, line.item) for line in lines if line.source == "preserve"), default=0)


def make(standing: Standing, item: Preserve, wanted: float, day: datetime.date, thaw: dict[str, float]) -> float:
    """Make so many of a preserve, or as many as can be; gives how many. `thaw` is the crop that may be taken out."""
    taken = standing.draw.crop_taken(item.name, day)
    most = min(limits(standing, item, taken, thaw), default=math.inf)
    count = math.floor(min(wanted, most) + ALMOST)
    while count > 0 and price(standing, item, count) > standing.money - standing.spent + NOTHING:
        count -= 1
    if count <= 0:
        return 0.0
    for crop, (each, from_frozen) in crops_each(item).items():
        out = min(thaw.get(crop, 0.0), from_frozen * taken * count)
        out = standing.take(standing.frozen[crop], out)
        thaw[crop] = thaw.get(crop, 0.0) - out
        if out > NOTHING:
            standing.done.append((day, THAW + crop, out))
        standing.used += out + standing.take(standing.fresh[crop], each * taken * count - out)
    for key, each in stocks_each(standing, item):
        use_stock(standing, key, each * count)
    for line in item.ingredients:
        if line.source == "preserve":
            standing.use_up(line.item, line.amount_each * count)
    hold_equipment(standing, item, count, day)
    standing.put_up(item, float(count), day)
    standing.done.append((day, item.name, float(count)))
    return float(count)


def crops_each(item: Preserve) -> Mapping[str, tuple[float, float]]:
    """Kilograms of each crop that one container takes: in all, and of it what may be from frozen."""
    found: dict[str, tuple[float, float]] = {}
    for line in item.ingredients:
        if line.source == "crop" and line.amount_each > 0:
            each, frozen = found.get(line.item, (0.0, 0.0))
            found[line.item] = (each + line.amount_each, frozen + (line.amount_each if line.from_frozen else 0.0))
    return found


def stocks_each(standing: Standing, item: Preserve) -> list[tuple[tuple[str, str], float]]:
    """What one container of a preserve takes of containers, lids and larder, in the stocks' own units."""
    container = standing.containers[item.container]
    found = [(("Container", container.name), 1.0)]
    if container.lid is not None and container.lid in standing.lids:
        found.append((("Lid", container.lid), 1.0))
    larder: dict[str, float] = defaultdict(float)
    for line in item.ingredients:
        if line.source == "larder":
            larder[line.item] += line.amount_each
    return [*found, *((("LarderItem", name), each) for name, each in larder.items() if each > 0)]


def limits(standing: Standing, item: Preserve, taken: float, thaw: Mapping[str, float]) -> Iterator[float]:
    """How many containers each thing allows."""
    for crop, (each, from_frozen) in crops_each(item).items():
        fresh = standing.there(standing.fresh[crop])
        out = min(thaw.get(crop, 0.0), standing.there(standing.frozen[crop]))
        yield (fresh + out) / (each * taken)
        if each - from_frozen > NOTHING:
            yield fresh / ((each - from_frozen) * taken)
    for key, each in stocks_each(standing, item):
        yield (standing.on_hand[key] + standing.can_buy[key]) / each
    for line in item.ingredients:
        if line.source == "preserve" and line.amount_each > 0:
            yield standing.on_shelf(line.item) / line.amount_each
    if item.space_litres_each > 0:
        yield standing.room(item.kept_in) / item.space_litres_each


def price(standing: Standing, item: Preserve, count: int) -> float:
    """Money for what has to be bought to make so many; what has no price typed costs nothing here."""
    cost = 0.0
    for key, each in stocks_each(standing, item):
        short = each * count - standing.on_hand[key]
        if short > NOTHING:
            cost += (to_buy(key, short)) * (price_of(standing, key) or 0.0)
    return cost


def to_buy(key: tuple[str, str], short: float) -> float:
    """How much is bought when so much is missing: whole containers and lids, larder as it is."""
    return short if key[0] == "LarderItem" else math.ceil(short - ALMOST)


def price_of(standing: Standing, key: tuple[str, str]) -> float | None:
    """The price of one unit of a stock."""
    kind, name = key
    if kind == "Container":
        return standing.containers[name].price
    return standing.lids[name].price if kind == "Lid" else standing.larder[name].price


def use_stock(standing: Standing, key: tuple[str, str], amount: float) -> None:
    """Take from a stock; what is missing is bought."""
    short = amount - standing.on_hand[key]
    if short > NOTHING:
        bought = min(to_buy(key, short), standing.can_buy[key])
        standing.can_buy[key] -= bought
        standing.on_hand[key] += bought
        standing.spent += bought * (price_of(standing, key) or 0.0)
    standing.on_hand[key] = max(0.0, standing.on_hand[key] - amount)


def hold_equipment(standing: Standing, item: Preserve, count: float, day: datetime.date) -> None:
    """Note until when the last piece of equipment is held by a process longer than a day."""
    if not item.equipment or item.load is None:
        return
    piece = standing.household.equipment_named(item.equipment[-1])
    hours = piece.heat_up_hours + piece.cool_down_hours + (item.vent_minutes + item.process_minutes) / 60
    if hours > 24 + ALMOST:
        until = day + datetime.timedelta(days=math.ceil(hours / 24 - ALMOST))
        standing.busy += [(piece.name, until)] * math.ceil(count / item.load - ALMOST)


def freeze(standing: Standing, name: str, kg: float, day: datetime.date) -> None:
    """Freeze a crop whole, as much as there is and as there is room for."""
    litres = standing.crops[name].freezer_litres_per_kg
    room = standing.room("freezer") / litres if litres > 0 else math.inf
    frozen = standing.take(standing.fresh[name], min(kg, room))
    if frozen > NOTHING:
        standing.frozen[name].append(Lot(name, day, frozen, frozen_on=day))
        standing.done.append((day, FREEZE_WHOLE + name, frozen))
