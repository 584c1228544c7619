"""The state of a household on a day of a drawn season: crop, jars, shelf and space."""

from __future__ import annotations

import datetime
import math
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace

from stillroom.household.load_steps import hours_in_piece
from stillroom.household.plan import Plan, best_by
from stillroom.household.records import (
    FREEZE_WHOLE,
    PLACES,
    THAW,
    Container,
    Equipment,
    Household,
    Lid,
    Lot,
    PantryItem,
    PlanLine,
    Preserve,
    ShelfRow,
)
from stillroom.household.simulation.seasons import Draw, coming, lots_as_drawn

NOTHING = 1e-9
SPACE_OF = {place: f"{place}_free_litres" for place in PLACES}


class SeasonState:
    """
    The state of a household in a drawn season, day by day; weights in kg, space in liters.

    `household` is settled. The season ends with the last day of its plan. Surplus is fresh crop that no longer keeps
    and frozen crop past its weeks.
    """

    def __init__(self, household: Household, draw: Draw, end: datetime.date) -> None:
        """Begin on the household's first day."""
        first = household.kitchen.first_day
        self.household, self.draw, self.first, self.end = household, draw, first, end
        self.crops = {crop.name: crop for crop in household.crops}
        self.preserves = {item.name: item for item in household.preserves}
        self.containers = {one.name: one for one in household.containers}
        self.lids = {one.name: one for one in household.lids}
        self.pantry = {one.name: one for one in household.pantry}
        self.comes = lots_as_drawn(household, draw)
        self.expected = [lot for lot in household.lots if coming(lot, first) and lot.picked_on <= end]
        self.fresh: dict[str, list[Lot]] = defaultdict(list)
        self.frozen: dict[str, list[Lot]] = defaultdict(list)
        for lot in sorted(household.lots, key=lambda lot: (lot.frozen_on or lot.picked_on, lot.picked_on, lot.kg)):
            if not coming(lot, first):
                (self.fresh if lot.frozen_on is None else self.frozen)[lot.crop].append(lot)
        stocks: tuple[Container | Lid | PantryItem, ...]
        stocks = (*household.containers, *household.lids, *household.pantry)
        self.on_hand = {(type(one).__name__, one.name): one.on_hand for one in stocks}
        self.can_buy = {(type(one).__name__, one.name): one.can_buy for one in stocks}
        self.money = household.kitchen.left_to_spend
        self.spent = 0.0
        self.shelf = list(household.shelf)
        self.made: dict[str, float] = defaultdict(float)
        self.done: list[tuple[datetime.date, str, float]] = []
        self.busy: list[tuple[str, datetime.date]] = []
        self.surplus: dict[str, float] = defaultdict(float)
        self.eaten = self.used = self.harvest = 0.0
        self.ran_out: dict[str, datetime.date] = {}
        self.frozen_first = self.frozen_litres()

    # ------------------------------------------------------------------ room

    def frozen_litres(self) -> float:
        """Room that crop frozen whole takes in the freezer."""
        return sum(
            self.crops[name].freezer_litres_per_kg * lot.kg for name, lots in self.frozen.items() for lot in lots
        )

    def room(self, place: str) -> float:
        """Return the free liters in a place; crop frozen before the first day is not part of it."""
        taken = sum(
            self.preserves[name].space_litres_each * count
            for name, count in self.made.items()
            if self.preserves[name].kept_in == place
        )
        if place == "freezer":
            taken += self.frozen_litres() - self.frozen_first
        return max(0.0, float(getattr(self.household.kitchen, SPACE_OF[place])) - taken)

    # ------------------------------------------------------------------ morning and evening

    def morning(self, day: datetime.date) -> None:
        """Add what is picked and the empty containers returned."""
        for crop, kg in self.comes.get(day, ()):
            if day <= self.end:
                self.fresh[crop].append(Lot(crop, day, kg))
                self.harvest += kg
        self.expected = [lot for lot in self.expected if lot.picked_on > day]
        gone_by = (day - self.first).days
        for container in self.containers.values():
            week = container.back_each_week
            if week and gone_by:
                came = math.floor(week * gone_by / 7 + NOTHING) - math.floor(week * (gone_by - 1) / 7 + NOTHING)
                self.on_hand["Container", container.name] += came

    def eat(self) -> None:
        """Take what is eaten fresh in a day from the oldest lots."""
        for crop in self.crops.values():
            self.eaten += self.take(self.fresh[crop.name], crop.eaten_kg_a_week / 7)

    def evening(self, day: datetime.date) -> None:
        """Move crop that no longer keeps to surplus, and record what ran out."""
        for name, crop in self.crops.items():
            fresh_days, weeks = crop.days_after_picking, math.floor(crop.frozen_keeps_weeks * 7)
            for lots, keeps in ((self.fresh[name], fresh_days), (self.frozen[name], weeks)):
                for place, lot in enumerate(lots):
                    if (day - (lot.frozen_on or lot.picked_on)).days >= keeps:
                        self.surplus[name] += lot.kg
                        lots[place] = replace(lot, kg=0.0)
                lots[:] = [lot for lot in lots if lot.kg > NOTHING]
        for name in self.containers:
            key = ("Container", name)
            if self.on_hand[key] + self.can_buy[key] < 1 - NOTHING:
                self.ran_out.setdefault(name, day)

    @staticmethod
    def take(lots: list[Lot], kg: float) -> float:
        """Take a weight from the oldest lots; return what there was."""
        taken = 0.0
        for place, lot in enumerate(lots):
            bite = min(lot.kg, kg - taken)
            if bite > 0:
                lots[place] = replace(lot, kg=lot.kg - bite)
                taken += bite
        return taken

    @staticmethod
    def there(lots: list[Lot]) -> float:
        """Return the weight of some lots."""
        return sum(lot.kg for lot in lots)

    # ------------------------------------------------------------------ the shelf

    def put_up(self, item: Preserve, count: float, day: datetime.date) -> None:
        """Add a number of a preserve to the shelf."""
        keeps = item.keeps_months
        good = None if keeps is None else best_by(day, keeps)
        self.shelf.append(ShelfRow(item.name, count, made_on=day, best_by=good))
        self.made[item.name] += count

    def on_shelf(self, name: str) -> float:
        """Return the containers of a preserve on the shelf."""
        return sum(row.count for row in self.shelf if row.preserve == name)

    def use_up(self, name: str, count: float) -> None:
        """Take a number of a preserve from the shelf, the oldest first; its containers are returned."""
        self.made[name] -= count
        self.on_hand["Container", self.preserves[name].container] += count
        for place, row in enumerate(self.shelf):
            if row.preserve == name and count > NOTHING:
                bite = min(row.count, count)
                self.shelf[place] = replace(row, count=row.count - bite)
                count -= bite
        self.shelf = [row for row in self.shelf if row.count > NOTHING]

    def filled(self) -> dict[str, float]:
        """Return how far each target is filled by what is good on the last day, at most as wanted, in its unit."""
        good: dict[str, float] = defaultdict(float)
        for row in self.shelf:
            if row.best_by is None or row.best_by >= self.end:
                good[row.preserve] += row.count
        found = {}
        for target in self.household.targets:
            found[target.name] = min(target.wanted, sum(each * good[name] for name, each in target.counts.items()))
        return found

    # ------------------------------------------------------------------ a household again

    def as_household(self, day: datetime.date) -> Household:
        """
        Return the household on the morning of a day, with what is still expected, ready to be planned.

        Occupied equipment is free from later on when all pieces are occupied, and fewer otherwise.
        """
        lots = [*(lot for lots in self.fresh.values() for lot in lots), *self.expected]
        lots += [lot for lots in self.frozen.values() for lot in lots]
        kitchen = replace(
            self.household.kitchen,
            first_day=day,
            spending_limit=max(0.0, self.money - self.spent),
            already_spent=0.0,
            freezer_free_litres=self.room("freezer"),
            refrigerator_free_litres=self.room("refrigerator"),
            shelf_free_litres=self.room("shelf"),
            cellar_free_litres=self.room("cellar"),
        )
        return replace(
            self.household,
            kitchen=kitchen,
            equipment=tuple(self._piece(piece, day) for piece in self.household.equipment),
            lots=tuple(lot for lot in lots if lot.kg > NOTHING),
            containers=tuple(
                replace(one, on_hand=self.on_hand["Container", one.name], can_buy=self.can_buy["Container", one.name])
                for one in self.household.containers
            ),
            lids=tuple(
                replace(one, on_hand=self.on_hand["Lid", one.name], can_buy=self.can_buy["Lid", one.name])
                for one in self.household.lids
            ),
            pantry=tuple(
                replace(one, on_hand=self.on_hand["PantryItem", one.name], can_buy=self.can_buy["PantryItem", one.name])
                for one in self.household.pantry
            ),
            shelf=tuple(self.shelf),
            record=(),
            plan_lines=self._lines(day),
        )

    def _piece(self, piece: Equipment, day: datetime.date) -> Equipment:
        """Return a piece of equipment less what is occupied on this day."""
        held = sorted(until for name, until in self.busy if name == piece.name and until > day)
        if not held:
            return piece
        if len(held) >= piece.how_many:
            free = held[len(held) - piece.how_many]
            return replace(piece, free_from=max(free, piece.free_from or free))
        return replace(piece, how_many=piece.how_many - len(held))

    def _lines(self, day: datetime.date) -> tuple[PlanLine, ...]:
        """Return the fixed lines that are not past, each less what was made of it."""
        lines = []
        for line in self.household.plan_lines:
            if line.fix is None or line.day + datetime.timedelta(days=line.days) <= day:
                continue
            done = sum(
                count for on, name, count in self.done if name == line.name and 0 <= (on - line.day).days < line.days
            )
            lines.append(replace(line, fix=max(0.0, line.fix - done), made=None))
        return tuple(lines)


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
