"""
A week kept by hand: what lies there, what is used up, and whether one more session still fits.

Kept for the careful cook, who looks at one day at a time. It knows nothing of any solver; what it lets through is
audited afterwards by `household.audit.broken_rules` like every plan.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass, field
from types import MappingProxyType

from stillroom.household.plan import Period, Plan
from stillroom.household.records import Crop, Household, Preserve, Target
from stillroom.planning.parameters import Parameters

NEAR = 1e-6
"""Hours, liters, kilograms and money that rounding may take."""

ByPeriod = dict[tuple[str, int], float]


@dataclass
class KitchenBook:
    """
    What is made, held, frozen, fed and bought so far, and the sums of what that uses.

    `fresh` and `frozen` are kilograms in hand now, by crop; `frozen_before` what lay frozen on the evening before and has
    not been taken out. `used` is by (what, period): hours, liters and kilograms.
    """

    parameters: Parameters
    fresh: dict[str, float] = field(default_factory=dict)
    frozen: dict[str, float] = field(default_factory=dict)
    frozen_before: dict[str, float] = field(default_factory=dict)
    make: dict[tuple[str, int], float] = field(default_factory=dict)
    thaw: ByPeriod = field(default_factory=dict)
    freeze: ByPeriod = field(default_factory=dict)
    surplus: ByPeriod = field(default_factory=dict)
    held_fresh: ByPeriod = field(default_factory=dict)
    held_frozen: ByPeriod = field(default_factory=dict)
    spoil: ByPeriod = field(default_factory=dict)
    used: ByPeriod = field(default_factory=lambda: defaultdict(float))
    made: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    emptied: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    bought: dict[str, dict[str, float]] = field(default_factory=lambda: {"containers": {}, "lids": {}, "pantry": {}})
    spent: float = 0.0

    def __post_init__(self) -> None:
        for crop in self.parameters.crops:
            self.fresh[crop.name] = 0.0
            self.frozen[crop.name] = self.parameters.frozen_at_start(crop)

    @property
    def household(self) -> Household:
        """The household of these parameters."""
        return self.parameters.household

    def open_day(self, day: Period) -> None:
        """The morning: what is picked comes in, dinner comes off, frozen crop past its date is thrown out."""
        for crop in self.parameters.crops:
            self.fresh[crop.name] += self.parameters.harvest(crop, day) - self.parameters.eaten(crop, day)
            yesterday = self.freeze.get((crop.name, day.number - 1), 0.0)
            self.frozen_before[crop.name] = self.frozen[crop.name] - yesterday

    def close_day(self, day: Period) -> None:
        """The evening: what does not keep is frozen whole as far as that goes, the rest of it is surplus."""
        for crop in self.parameters.crops:
            over = self.fresh[crop.name] - self.parameters.keepable(crop, day)
            if over > NEAR:
                kept = self.freezes(crop, day, over)
                self.note_frozen(crop, day, kept)
                if over - kept > 0:
                    self.surplus[crop.name, day.number] = over - kept
                self.fresh[crop.name] -= over
            self.throw_out(crop, day)
            self.held_fresh[crop.name, day.number] = max(0.0, self.fresh[crop.name])
            self.held_frozen[crop.name, day.number] = self.frozen[crop.name]

    def throw_out(self, crop: Crop, day: Period) -> None:
        """Frozen crop that is due before it could be cooked another day is thrown out."""
        judged = self.parameters.frozen_until(day)
        good = sum(
            lot.kg
            for lot in self.parameters.frozen_lots[crop.name]
            if lot.frozen_on is not None and self.parameters.frozen_due(crop, lot.frozen_on) >= judged
        )
        good += sum(
            kg
            for (name, number), kg in self.freeze.items()
            if name == crop.name
            and self.parameters.frozen_due(crop, self.parameters.periods[number].first_day) >= judged
        )
        over = self.frozen[crop.name] - good
        if over > NEAR:
            self.spoil[crop.name, day.number] = over
            self.frozen[crop.name] -= over

    def freezes(self, crop: Crop, day: Period, kg: float) -> float:
        """How much of so many kilograms can be frozen whole today: by hands, a day's freezing, and room."""
        if not crop.may_be_frozen_whole:
            return 0.0
        kitchen = self.household.kitchen
        limits = [kg, kitchen.freeze_kg_a_day * day.days - self.used["freezing", day.number]]
        if crop.freeze_hours_per_kg > 0:
            limits.append(
                (self.parameters.hands_hours(day) - self.used["hands", day.number]) / crop.freeze_hours_per_kg
            )
        if crop.freezer_litres_per_kg > 0:
            limits.append((kitchen.freezer_free_litres - self.used["freezer", 0]) / crop.freezer_litres_per_kg)
        most = max(0.0, min(limits))
        enough = self.freeze.get((crop.name, day.number), 0.0) + most >= self.parameters.smallest_freeze(crop, day)
        return most if enough else 0.0

    def note_frozen(self, crop: Crop, day: Period, kg: float) -> None:
        """Write down that so much is frozen whole today."""
        if kg > NEAR:
            self.freeze[crop.name, day.number] = kg
            self.frozen[crop.name] += kg
            self.used["hands", day.number] += crop.freeze_hours_per_kg * kg
            self.used["freezing", day.number] += kg
            self.used["freezer", 0] += crop.freezer_litres_per_kg * kg

    def dinner_to_come(self, crop: Crop, day: Period) -> float:
        """Kilograms of what lies there that later dinners take before new crop comes in."""
        kept = 0.0
        for later in reversed(self.parameters.periods[day.number + 1 :]):
            kept = max(0.0, self.parameters.eaten(crop, later) + kept - self.parameters.harvest(crop, later))
        return kept

    def there(self, crop: Crop, day: Period) -> float:
        """Kilograms that can be put up fresh today: what lies there less what dinners of the next days need."""
        return max(0.0, self.fresh[crop.name] - self.dinner_to_come(crop, day))

    def covered(self, target: Target) -> float:
        """What counts toward a target so far, in its unit."""
        return sum(
            each * (self.parameters.good_on_shelf.get(name, 0.0) + self.made[name] - self.emptied[name])
            for name, each in target.counts.items()
        )

    def room(self, target: Target) -> float:
        """How much the preserves that belong to a target may still make, in its unit."""
        made = sum(
            target.counts[item.name] * (self.made[item.name] - self.emptied[item.name])
            for item in self.parameters.groups.get(target.name, ())
        )
        return self.parameters.allowed(target) - made

    def fits(self, item: Preserve, day: Period, count: int) -> bool:
        """Whether so many more of a preserve can be made today."""
        return (
            count > 0
            and self._batch_is_enough(item, day, count)
            and self._crop_is_there(item, day, count)
            and self._hours_are_there(item, day, count)
            and self._space_is_there(item, day, count)
            and self._bill(item, count) is not None
        )

    def _batch_is_enough(self, item: Preserve, day: Period, count: int) -> bool:
        made = self.make.get((item.name, day.number), 0.0) + count
        return self.parameters.worth_starting(item, day, made)

    def _crop_is_there(self, item: Preserve, day: Period, count: int) -> bool:
        crops = {crop.name: crop for crop in self.parameters.crops}
        from_frozen = self.parameters.frozen_crops_of(item)
        for name, each in self.parameters.crops_of(item).items():
            wanted = each * count
            frozen = min(self.frozen_before[name], from_frozen.get(name, 0.0) * count)
            if wanted > self.there(crops[name], day) + frozen + NEAR:
                return False
        return all(
            line.amount_each * count
            <= self.parameters.good_on_shelf.get(line.item, 0.0) + self.made[line.item] - self.emptied[line.item] + NEAR
            for line in item.ingredients
            if line.source == "preserve"
        )

    def _hours(self, item: Preserve, day: Period, count: int) -> ByPeriod:
        """The hours that so many more take, by (what, period)."""
        parameters, number = self.parameters, day.number
        found: ByPeriod = defaultdict(float)
        found["hands", number] += parameters.hands_each(item) * count
        found["stove", number] += parameters.stove_each(item) * count
        if item.load is not None:
            before = self.make.get((item.name, number), 0.0)
            loads = math.ceil((before + count) / item.load - NEAR) - math.ceil(before / item.load - NEAR)
            found["hands", number] += parameters.hands_load(item) * loads
            for held, hours in parameters.stove_hours_load(item, day).items():
                found["stove", held] += hours * loads
            for piece, hours in parameters.piece_hours(item):
                for held, taken in parameters.spread(hours, day, overnight=piece.runs_overnight).items():
                    found[f"piece: {piece.name}", held] += taken * loads
        return found

    def _hours_are_there(self, item: Preserve, day: Period, count: int) -> bool:
        pieces = {piece.name: piece for piece in self.parameters.equipment}
        for (what, number), hours in self._hours(item, day, count).items():
            period = self.parameters.periods[number]
            if what == "hands":
                free = self.parameters.hands_hours(period)
            elif what == "stove":
                free = self.parameters.stove_hours(period)
            else:
                free = self.parameters.equipment_hours(pieces[what.removeprefix("piece: ")], period)
            if self.used[what, number] + hours > free + NEAR:
                return False
        return True

    def _space_is_there(self, item: Preserve, day: Period, count: int) -> bool:
        kitchen = self.household.kitchen
        free = getattr(kitchen, f"{item.kept_in}_free_litres")
        if self.used[item.kept_in, 0] + item.space_litres_each * count > free + NEAR:
            return False
        kg = sum(self.parameters.crops_of(item).values()) * count if item.kept_in == "freezer" else 0.0
        return self.used["freezing", day.number] + kg <= kitchen.freeze_kg_a_day * day.days + NEAR

    def _bill(self, item: Preserve, count: int) -> list[tuple[str, str, float, float]] | None:
        """What would have to be bought for so many: (kind, name, amount, money); None where it is not to be had."""
        household = self.household
        container = household.container(item.container)
        filled = sum(
            self.made[one.name] - self.emptied[one.name]
            for one in household.preserves
            if one.container == container.name
        )
        wanted = [("containers", container, filled + count, True)]
        for lid in household.lids:
            if lid.name == container.lid:
                closed = sum(
                    self.made[one.name]
                    for one in household.preserves
                    if household.container(one.container).lid == lid.name
                )
                wanted.append(("lids", lid, closed + count, True))
        for goods in household.pantry:
            each = sum(
                line.amount_each for line in item.ingredients if (line.source, line.item) == ("pantry", goods.name)
            )
            if each > 0:
                wanted.append(("pantry", goods, self.used[f"larder: {goods.name}", 0] + each * count, False))
        bill, money = [], self.spent
        for kind, stock, amount, whole in wanted:
            missing = amount - stock.on_hand - self.bought[kind].get(stock.name, 0.0)
            missing = math.ceil(missing - NEAR) if whole else missing
            if missing > NEAR:
                if self.bought[kind].get(stock.name, 0.0) + missing > stock.can_buy + NEAR:
                    return None
                money += missing * (stock.price or 0.0)
                bill.append((kind, stock.name, float(missing), missing * (stock.price or 0.0)))
        return bill if money <= household.kitchen.spending_limit + NEAR else None

    def note_made(self, item: Preserve, day: Period, count: int) -> None:
        """Write down that so many are made today, with all they use; `fits` must have been asked before."""
        for kind, name, amount, money in self._bill(item, count) or ():
            self.bought[kind][name] = self.bought[kind].get(name, 0.0) + amount
            self.spent += money
        for key, hours in self._hours(item, day, count).items():
            self.used[key] += hours
        crops = {crop.name: crop for crop in self.parameters.crops}
        for name, each in self.parameters.crops_of(item).items():
            fresh = min(each * count, self.there(crops[name], day))
            thawed = each * count - fresh
            self.fresh[name] -= fresh
            if thawed > NEAR:
                self.thaw[name, day.number] = self.thaw.get((name, day.number), 0.0) + thawed
                self.frozen[name] -= thawed
                self.frozen_before[name] -= thawed
                self.used["freezer", 0] -= crops[name].freezer_litres_per_kg * thawed
            if item.kept_in == "freezer":
                self.used["freezing", day.number] += each * count
        for line in item.ingredients:
            if line.source == "preserve":
                self.emptied[line.item] += line.amount_each * count
            elif line.source == "pantry":
                self.used[f"larder: {line.item}", 0] += line.amount_each * count
        self.used[item.kept_in, 0] += item.space_litres_each * count
        self.make[item.name, day.number] = self.make.get((item.name, day.number), 0.0) + count
        self.made[item.name] += count

    def as_plan(self) -> Plan:
        """The week as a plan, its loads counted from what is made."""

        def kept(amounts: ByPeriod) -> MappingProxyType[tuple[str, int], float]:
            return MappingProxyType({key: amount for key, amount in amounts.items() if amount > NEAR})

        loads = {}
        for (name, number), amount in self.make.items():
            load = self.household.preserve(name).load
            if load is not None:
                loads[name, number] = float(math.ceil(amount / load - NEAR))
        return Plan(
            periods=self.parameters.periods, make=kept(self.make), loads=MappingProxyType(loads),
            fresh_kg=kept(self.held_fresh), frozen_kg=kept(self.held_frozen), freeze_kg=kept(self.freeze),
            thaw_kg=kept(self.thaw), spoil_kg=kept(self.spoil), surplus_kg=kept(self.surplus),
            buy_containers=self.bought["containers"], buy_lids=self.bought["lids"], buy_items=self.bought["pantry"],
        )  # fmt: skip
