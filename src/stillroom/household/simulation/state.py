"""What a household has on one day of a drawn season: crop, jars, shelf and room; and the same as a Household again."""

from __future__ import annotations

import datetime
import math
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace

from stillroom.household.journal.stocks import best_by
from stillroom.household.plan import Plan
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
from stillroom.household.simulation.random import Draw, coming, lots_as_drawn

NOTHING = 1e-9
SPACE_OF = {place: f"{place}_free_litres" for place in PLACES}


class Standing:
    """
    The state of a household in a drawn season, day by day; weights in kg, room in litres.

    `household` is settled and ready to be planned. The season ends with the last day of its plan. What is fed is fresh
    crop that no longer keeps and frozen crop past its weeks.
    """

    def __init__(self, household: Household, draw: Draw, end: datetime.date) -> None:
        """Begin on the household's first day, before anything came or was done."""
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
        self.money = household.kitchen.spending_limit
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
        """Litres still free in a place; what lay frozen on the first day has its place already."""
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
        """What was picked comes in as it is, empty containers come back, and the household eats of the oldest crop."""
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
        """Take what is eaten fresh in a day off the oldest lots."""
        for crop in self.crops.values():
            self.eaten += self.take(self.fresh[crop.name], crop.eaten_kg_a_week / 7)

    def evening(self, day: datetime.date) -> None:
        """Fresh crop that does not keep past this day is fed, and frozen crop past its weeks; see what ran out."""
        for name, crop in self.crops.items():
            fresh_days, weeks = math.floor(crop.keeps_days), math.floor(crop.frozen_keeps_weeks * 7)
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
        """Take a weight from the oldest lots; gives what was really there."""
        taken = 0.0
        for place, lot in enumerate(lots):
            bite = min(lot.kg, kg - taken)
            if bite > 0:
                lots[place] = replace(lot, kg=lot.kg - bite)
                taken += bite
        return taken

    @staticmethod
    def there(lots: list[Lot]) -> float:
        """Give the weight of some lots together."""
        return sum(lot.kg for lot in lots)

    # ------------------------------------------------------------------ the shelf

    def put_up(self, item: Preserve, count: float, day: datetime.date) -> None:
        """Put so many of a preserve on the shelf."""
        keeps = item.keeps_months
        good = None if keeps is None else best_by(day, keeps)
        self.shelf.append(ShelfRow(item.name, count, made_on=day, best_by=good))
        self.made[item.name] += count

    def on_shelf(self, name: str) -> float:
        """Containers of a preserve on the shelf."""
        return sum(row.count for row in self.shelf if row.preserve == name)

    def use_up(self, name: str, count: float) -> None:
        """Take so many of a preserve off the shelf, the oldest first; its containers come back."""
        self.made[name] -= count
        self.on_hand["Container", self.preserves[name].container] += count
        for place, row in enumerate(self.shelf):
            if row.preserve == name and count > NOTHING:
                bite = min(row.count, count)
                self.shelf[place] = replace(row, count=row.count - bite)
                count -= bite
        self.shelf = [row for row in self.shelf if row.count > NOTHING]

    def filled(self) -> dict[str, float]:
        """How far each need is filled by what is good on the last day, at most as wanted, in the need's unit."""
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
        Give the household as it stands on the morning of a day, with what is still expected, ready to be planned.

        A piece of equipment that is held for days is counted out until then: free from that day when all of them are
        held, fewer of them otherwise.
        """
        lots = [*(lot for lots in self.fresh.values() for lot in lots), *self.expected]
        lots += [lot for lots in self.frozen.values() for lot in lots]
        kitchen = replace(
            self.household.kitchen,
            first_day=day,
            spending_limit=max(0.0, self.money - self.spent),
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
        """A piece of equipment less what of it is held on this day."""
        held = sorted(until for name, until in self.busy if name == piece.name and until > day)
        if not held:
            return piece
        if len(held) >= piece.how_many:
            free = held[len(held) - piece.how_many]
            return replace(piece, free_from=max(free, piece.free_from or free))
        return replace(piece, how_many=piece.how_many - len(held))

    def _lines(self, day: datetime.date) -> tuple[PlanLine, ...]:
        """The fixed lines that are not past, each less what was made of it."""
        lines = []
        for line in self.household.plan_lines:
            if line.fix is None or line.day + datetime.timedelta(days=line.days) <= day:
                continue
            done = sum(
                count for on, name, count in self.done if name == line.name and 0 <= (on - line.day).days < line.days
            )
            lines.append(replace(line, fix=max(0.0, line.fix - done), made=None))
        return tuple(lines)


# A day's work as it is really done: what the plan says, less where there is less of something.

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
    counts = [target.importance for target in standing.household.targets if name in target.counts]
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
    pantry: dict[str, float] = defaultdict(float)
    for line in item.ingredients:
        if line.source == "pantry":
            pantry[line.item] += line.amount_each
    return [*found, *((("PantryItem", name), each) for name, each in pantry.items() if each > 0)]


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
    return short if key[0] == "PantryItem" else math.ceil(short - ALMOST)


def price_of(standing: Standing, key: tuple[str, str]) -> float | None:
    """The price of one unit of a stock."""
    kind, name = key
    if kind == "Container":
        return standing.containers[name].price
    return standing.lids[name].price if kind == "Lid" else standing.pantry[name].price


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
