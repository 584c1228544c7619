"""
The best plan of a small household found by trying every plan there is.

Written from the sentences of the rules, with no code of the planning room or of the audit: for each day every number
of containers of each preserve that the day's hours allow, for all days together every combination that crop, jars,
lids, money, room and the winter list allow. Loads are what those containers need. Then the aims are gone through in
their order over the plans that are left.

Covered: crop with its keeping time and the dinners that come off it, hands, stove, canners, whole loads, smallest
batches, jars, lids, buying and the spending limit, shelf space, what is on the shelf already, room in the needs.
Not covered (no household here has it): weeks, freezing whole, jobs longer than a day, preserves inside others, the
larder, fixed lines, a former plan.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from stillroom.household.records import Household, Preserve, Target

NEAR = 1e-9
GAINS = (4, 3, 2, 1)


class TooMany(Exception):
    """There are more plans than may be tried."""


@dataclass(frozen=True)
class Tried:
    """
    A plan that keeps every constraint: its points by importance, money, weighted kilograms fed, and hours of hands.
    """

    points: tuple[float, float, float]
    money: float
    surplus: float
    hands: float


@dataclass(frozen=True)
class Heap:
    """Crop lying there: (last day it is sound, kg), the one that goes first in front."""

    lots: tuple[tuple[int, float], ...]

    def with_lot(self, last_day: int, kg: float) -> Heap:
        """The heap with one more lot."""
        return Heap(tuple(sorted((*self.lots, (last_day, kg)))))

    def less(self, kg: float) -> Heap | None:
        """The heap after so much is taken, what goes first taken first; None when it does not hold so much."""
        left = kg
        lots = []
        for last_day, there in self.lots:
            taken = min(there, left)
            left -= taken
            if there - taken > NEAR:
                lots.append((last_day, there - taken))
        return Heap(tuple(lots)) if left <= 1e-7 else None

    def past(self, day: int) -> tuple[Heap, float]:
        """What can be carried past a day, and the kilograms that cannot."""
        gone = sum(kg for last_day, kg in self.lots if last_day <= day)
        return Heap(tuple(lot for lot in self.lots if lot[0] > day)), gone


def every_plan(household: Household, most: int = 400_000) -> list[Tried]:
    """Every plan that keeps the constraints; TooMany when more than so many would have to be looked at."""
    days = household.kitchen.days_planned_singly
    items = [item for item in household.preserves if item.include]
    choices = [list(day_choices(household, items, day)) for day in range(days)]
    if math.prod(len(one) for one in choices) > most:
        raise TooMany
    found: list[Tried] = []
    heaps = {crop.name: Heap(()) for crop in household.crops}
    walk(household, items, choices, 0, [0] * len(items), heaps, 0.0, 0.0, found)
    return found


def walk(
    household: Household,
    items: list[Preserve],
    choices: list[list[tuple[tuple[int, ...], float]]],
    day: int,
    made: list[int],
    heaps: dict[str, Heap],
    surplus: float,
    hands: float,
    found: list[Tried],
) -> None:
    """Go through the choices of one day, and for each through the days after it."""
    last = len(choices) - 1
    if day > last:
        end = sum(kg * at_the_end(items, name, last) for name, heap in heaps.items() for _, kg in heap.lots)
        tried = judged(household, items, made, surplus + end, hands)
        if tried is not None:
            found.append(tried)
        return
    morning = {name: arrived(household, name, heap, day) for name, heap in heaps.items()}
    for counts, hours in choices[day]:
        evening, over = {}, 0.0
        for name, heap in morning.items():
            used = sum(count * item.crop_kg_each(name) for count, item in zip(counts, items, strict=True))
            left = heap.less(used + dinner(household, name)[day])
            if left is None:
                break
            evening[name], gone = left.past(day)
            over += gone
        else:
            totals = [one + count for one, count in zip(made, counts, strict=True)]
            if enough_left(household, items, totals):
                weight = 1 - 0.5 * day / last if last else 1.0
                walk(household, items, choices, day + 1, totals, evening, surplus + weight * over, hands + hours, found)


def at_the_end(items: list[Preserve], crop: str, last: int) -> float:
    """
    What a kilogram left at the end weighs at the least.

    Still held: a half where something is made of the crop, else 1. Fed on the last day: a half, or 1 on the only day.
    """
    held = 0.5 if any(item.crop_kg_each(crop) > 0 for item in items) else 1.0
    return min(held, 0.5 if last else 1.0)


def arrived(household: Household, crop: str, heap: Heap, day: int) -> Heap:
    """The heap with what comes in on a day; what was picked before the first day comes in on it."""
    for picked, last_day, kg in lots_of(household, crop):
        if max(picked, 0) == day:
            heap = heap.with_lot(last_day, kg)
    return heap


def lots_of(household: Household, crop: str) -> list[tuple[int, int, float]]:
    """The sound lots of a crop: day picked, last day sound, kg; days counted from the first."""
    first = household.kitchen.first_day
    keeps = math.floor(household.crop(crop).keeps_days)
    lots = [((lot.picked_on - first).days, lot.kg) for lot in household.lots if lot.crop == crop]
    return sorted((picked, picked + keeps, kg) for picked, kg in lots if picked + keeps >= 0)


def dinner(household: Household, crop: str) -> list[float]:
    """What is eaten fresh on each day: a seventh of the week's, off the lots sound that day, before anything else."""
    left = [kg for _, _, kg in lots_of(household, crop)]
    eaten = []
    for day in range(household.kitchen.days_planned_singly):
        wish = household.crop(crop).eaten_kg_a_week / 7
        got = 0.0
        for place, (picked, last_day, _) in enumerate(lots_of(household, crop)):
            if picked <= day <= last_day:
                bite = min(left[place], wish - got)
                left[place] -= bite
                got += bite
        eaten.append(got)
    return eaten


def day_choices(household: Household, items: list[Preserve], day: int) -> Iterator[tuple[tuple[int, ...], float]]:
    """What can be made on a day by its hours and batches, with the labor hours and setups that takes."""
    ends = [range(most_of(household, item, day) + 1) for item in items]
    weekday = (household.kitchen.first_day.weekday() + day) % 7
    rows = {row.what: row.by_weekday[weekday] for row in household.hours}
    for counts in itertools.product(*ends):
        if all(worth_it(household, item, day, n) for n, item in zip(counts, items, strict=True)) and has_time(
            household, items, counts, rows
        ):
            hands, _, _, starts = work_of(household, items, counts)
            yield counts, hands + household.kitchen.setup_hours_a_kind * starts


def has_time(household: Household, items: list[Preserve], counts: tuple[int, ...], rows: dict[str, float]) -> bool:
    """Whether a day with these rows of hours has time for so many containers."""
    hands, stove, pieces, _ = work_of(household, items, counts)
    burner_hours = rows.get("stove free", math.inf) * household.kitchen.burners
    if hands > rows.get("hands", math.inf) + 1e-7 or stove > burner_hours + 1e-7:
        return False
    return all(hours <= piece_free(household, name, rows) + 1e-7 for name, hours in pieces.items())


def work_of(
    household: Household, items: list[Preserve], counts: tuple[int, ...]
) -> tuple[float, float, dict[str, float], int]:
    """Hours of hands, of burners and of each piece of equipment for a day's containers; loads and sessions begun."""
    hands = stove = 0.0
    pieces: dict[str, float] = {}
    starts = 0
    for count, item in zip(counts, items, strict=True):
        loads = math.ceil(count / item.load) if item.load else (1 if count else 0)
        starts += loads
        times = loads if item.load else count / item.smallest_batch
        hands += (item.hands_minutes_each * count + item.hands_minutes_load * times) / 60
        stove += (item.stove_minutes_each * count + item.stove_minutes_load * times) / 60
        if item.load:
            piece = household.equipment_named(item.equipment[-1])
            heating = piece.heat_up_hours + (item.process_minutes + item.vent_minutes) / 60
            stove += piece.burners * heating * loads
            pieces[piece.name] = pieces.get(piece.name, 0.0) + (heating + piece.cool_down_hours) * loads
    return hands, stove, pieces, starts


def piece_free(household: Household, name: str, rows: dict[str, float]) -> float:
    """Hours all pieces of a name can run on a day: by a row of their own, else while the stove is free, else always."""
    many = household.equipment_named(name).how_many
    if name in rows:
        return rows[name] * many
    return rows.get("stove free", 24.0) * many


def worth_it(household: Household, item: Preserve, day: int, count: int) -> bool:
    """Whether so many are none, or enough for the smallest batch and in the last load, at most half a load there."""
    if not count:
        return True
    batch = batch_of(household, item, day)
    last = (count - 1) % item.load + 1 if item.load else count
    return count >= batch and last >= (min(batch, math.ceil(item.load / 2)) if item.load else batch)


def batch_of(household: Household, item: Preserve, day: int) -> int:
    """
    The fewest worth starting for: the smallest batch as typed, or what the target has room for.

    Where it is blank four or a third of a load, or what crop, containers, lids or target would give if that is less;
    hours, space and pantry do not make it less.
    """
    if item.batch_typed:
        return max(1, min(item.smallest_batch, room_for(household, item)))
    box = next(box for box in household.containers if box.name == item.container)
    boxes = box.on_hand + box.can_buy + math.ceil(box.back_each_week * household.kitchen.days_planned_singly / 7)
    lids = [lid.on_hand + lid.can_buy for lid in household.lids if lid.name == box.lid]
    base = math.ceil(item.load / 3) if item.load else 4
    return max(1, math.floor(min([base, most_of(household, item, day), boxes, *lids])))


def room_for(household: Household, item: Preserve) -> int:
    """Whole containers that the target of a preserve has room for."""
    target = target_of(household, item)
    return math.ceil(limit_of(household, target) / target.counts[item.name] - 1e-6) if target is not None else 0


def most_of(household: Household, item: Preserve, day: int) -> int:
    """
    Whole containers of a preserve that the sound crop of a day, or its target, could give if nothing else took any.
    """
    most = math.inf
    for crop in household.crops:
        each = item.crop_kg_each(crop.name)
        if each > 0:
            most = min(most, crop_of_day(household, crop.name, day) / each)
    return max(0, math.floor(min(most, room_for(household, item)) + 1e-6))


def crop_of_day(household: Household, crop: str, day: int) -> float:
    """Kilograms sound on a day that dinners up to and with that day leave."""
    lots = lots_of(household, crop)
    left = [kg for _, _, kg in lots]
    for earlier in range(day + 1):
        wish = household.crop(crop).eaten_kg_a_week / 7
        for place, (picked, last_day, _) in enumerate(lots):
            if picked <= earlier <= last_day:
                bite = min(left[place], wish)
                left[place] -= bite
                wish -= bite
    return sum(kg for kg, (picked, last_day, _) in zip(left, lots, strict=True) if picked <= day <= last_day)


def target_of(household: Household, item: Preserve) -> Target | None:
    """The target a preserve belongs to, where it has most room in containers; by name where two have as much."""
    counting = [target for target in household.targets if target.counts.get(item.name, 0.0) > 0]
    by_room = sorted(counting, key=lambda target: (-room_of(household, target) / target.counts[item.name], target.name))
    return by_room[0] if by_room else None


def on_shelf(household: Household, target: Target) -> float:
    """What stands on the shelf and counts toward a target."""
    return sum(target.counts.get(row.preserve, 0.0) * row.count for row in household.shelf)


def room_of(household: Household, target: Target) -> float:
    """At most, less what stands on the shelf."""
    return max(0.0, target.at_most - on_shelf(household, target))


def limit_of(household: Household, target: Target) -> float:
    """The room of a target, and what it takes to make its last container whole, whichever of its kinds that is."""
    room = room_of(household, target)
    if room <= 0:
        return 0.0
    members = [item for item in household.preserves if item.include and target_of(household, item) is target]
    ends = [math.ceil(room / target.counts[item.name] - 1e-6) * target.counts[item.name] for item in members]
    return max(ends, default=room)


def enough_left(household: Household, items: list[Preserve], made: list[int]) -> bool:
    """Whether jars to be had, room on the shelf and room in the targets hold what is made so far."""
    for box in household.containers:
        if (
            sum(n for n, item in zip(made, items, strict=True) if item.container == box.name)
            > box.on_hand + box.can_buy
        ):
            return False
    litres = sum(n * item.space_litres_each for n, item in zip(made, items, strict=True) if item.kept_in == "shelf")
    if litres > household.kitchen.shelf_free_litres + 1e-7:
        return False
    for target in household.targets:
        members = [(n, item) for n, item in zip(made, items, strict=True) if target_of(household, item) is target]
        if sum(n * target.counts[item.name] for n, item in members) > limit_of(household, target) + 1e-7:
            return False
    return True


def judged(household: Household, items: list[Preserve], made: list[int], surplus: float, hands: float) -> Tried | None:
    """A whole plan with its points and money; None when lids or money do not reach."""
    money = 0.0
    for box in household.containers:
        count = sum(n for n, item in zip(made, items, strict=True) if item.container == box.name)
        money += (box.price or 0.0) * max(0.0, math.ceil(count - box.on_hand))
    for lid in household.lids:
        boxes = {box.name for box in household.containers if box.lid == lid.name}
        missing = math.ceil(
            sum(n for n, item in zip(made, items, strict=True) if item.container in boxes) - lid.on_hand
        )
        if missing > lid.can_buy:
            return None
        money += (lid.price or 0.0) * max(0, missing)
    if money > household.kitchen.spending_limit + 1e-7:
        return None
    points = [0.0, 0.0, 0.0]
    for target in household.targets:
        got = on_shelf(household, target)
        got += sum(n * target.counts.get(item.name, 0.0) for n, item in zip(made, items, strict=True))
        points[target.importance - 1] += worth(target, got, even=household.kitchen.fill_targets_evenly)
    return Tried((points[0], points[1], points[2]), money, surplus, hands)


def worth(target: Target, got: float, *, even: bool) -> float:
    """Points of a target: each quarter by its gain, one segment of gain 1 where targets are not filled evenly."""
    if target.wanted <= 0:
        return 0.0
    gains = GAINS if even else (1,)
    size = target.wanted / len(gains)
    return target.weight * sum(
        gain * min(size, max(0.0, got - band * size)) / target.wanted for band, gain in enumerate(gains)
    )
