"""Upper bounds computed from the data; none is an arbitrary large number."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cached_property

from stillroom.household.plan import Period
from stillroom.household.records import Container, Crop, Preserve, Target
from stillroom.planning.parameters.crops import ALMOST
from stillroom.planning.parameters.fixed import FixedParameters
from stillroom.planning.parameters.targets import TargetParameters
from stillroom.planning.parameters.work import WorkParameters

SMALLEST_FREEZE_KG = 4 * 0.45359237
"""Less of a crop is not worth a session of freezing whole. Common practice, no source."""


class Parameters(WorkParameters, TargetParameters, FixedParameters):
    """All parameters of a settled household."""

    @cached_property
    def upper_by_targets(self) -> Mapping[str, float]:
        """
        Upper bound on the containers of each preserve over the plan: room in its target, and what other preserves use.

        Rounded up to whole containers where days are planned in detail. Ingredient loops are refused before this.
        """
        known: dict[str, float] = {}

        def most(item: Preserve) -> float:
            if item.name not in known:
                target = self.target_of.get(item.name)
                wanted = (
                    0.0
                    if target is None
                    else (self.allowed(target) + self.freed(target, item)) / target.counts[item.name]
                )
                used = sum(each * most(user) for user, each in self.users.get(item.name, ()))
                whole = math.ceil(wanted + used - ALMOST) if self.singles else wanted + used
                known[item.name] = max(float(whole), 0.0) + self.fixed_total(item.name)
            return known[item.name]

        return {item.name: most(item) for item in self.preserves}

    def freed(self, target: Target, item: Preserve) -> float:
        """Return the room that other preserves could free in a target by using what is on the shelf, in its unit."""
        others = (one for one in self.groups.get(target.name, ()) if one.name != item.name and one.name in self.users)
        return sum(target.counts[one.name] * self.good_on_shelf[one.name] for one in others)

    def crop_by(self, crop: Crop, period: Period, *, frozen: bool) -> float:
        """Return the upper bound on the kg of a crop cooked in a period, with frozen crop when `frozen`."""
        fresh = self.usable(crop, period)
        if not frozen:
            return fresh
        held = self.frozen_at_start(crop)
        if crop.may_be_frozen_whole:
            held += sum(self.harvest(crop, earlier) for earlier in self.periods[: period.number])
        return fresh + held

    def upper_by_crop(self, item: Preserve, period: Period) -> float:
        """Return the upper bound on the containers of a preserve by the crops of a period."""
        from_frozen = self.frozen_crops_of(item)
        return min(
            (
                self.crop_by(self._crop_named[name], period, frozen=name in from_frozen) / each
                for name, each in self.crops_of(item).items()
            ),
            default=math.inf,
        )

    def jars_in_all(self, container: Container) -> float:
        """Return the containers that the plan could ever use: on hand, bought and returned."""
        days = (self.last_day - self.household.kitchen.first_day).days + 1
        return container.on_hand + container.can_buy + math.ceil(container.back_each_week * days / 7)

    @cached_property
    def upper_by_stock(self) -> Mapping[str, float]:
        """Upper bound on the containers of each preserve by containers and lids, over the plan."""
        lids = {lid.name: lid for lid in self.lids}
        used = {item.container for item in self.household.preserves if item.name in self.users}
        found = {}
        for item in self.preserves:
            container = self.household.container(item.container)
            jars = math.inf if container.name in used else self.jars_in_all(container)
            lid = lids.get(container.lid or "")
            if lid is not None:
                jars = min(jars, lid.on_hand + lid.can_buy)
            found[item.name] = jars
        return found

    def upper_by_hours(self, item: Preserve, period: Period) -> float:
        """Return the upper bound on the containers of a preserve by labor, stove and equipment of a detailed day."""
        each, load = self.hands_each(item), self.hands_load(item)
        stove = self.stove_each(item)
        hands, burners = self.hands_hours(period), self.stove_hours(period)
        most = math.inf
        if each > 0 and math.isfinite(hands):
            most = min(most, hands / each)
        if stove > 0 and math.isfinite(burners):
            most = min(most, burners / stove)
        if item.load is None:
            return most
        loads = math.inf
        if load > 0 and math.isfinite(hands):
            loads = min(loads, hands / load)
        for piece, hours in self.piece_hours(item):
            taken = self.spread(hours, period, overnight=piece.runs_overnight).get(period.number, 0.0)
            if taken > 0:
                loads = min(loads, self.equipment_hours(piece, period) / taken)
        burner = self.stove_hours_load(item, period).get(period.number, 0.0)
        if burner > 0 and math.isfinite(burners):
            loads = min(loads, burners / burner)
        return min(most, math.floor(loads + ALMOST) * item.load) if math.isfinite(loads) else most

    @cached_property
    def upper_bound(self) -> Mapping[tuple[str, int], float]:
        """Upper bound on `make` of each preserve on each detailed day; no fixed line exceeds it."""
        found = {}
        for item in self.preserves:
            for period in self.singles:
                most = min(
                    self.upper_by_targets[item.name],
                    self.upper_by_stock[item.name],
                    self.upper_by_crop(item, period),
                    self.upper_by_hours(item, period),
                )
                if not item.include:
                    most = min(most, self.fixed_in(item.name, period.number))
                most = min(most, self.timetable_limit.get((item.name, period.number), math.inf))
                found[item.name, period.number] = math.floor(most + ALMOST)
        return found

    @cached_property
    def timetable_limit(self) -> Mapping[tuple[str, int], float]:
        """The most containers of a preserve that fit a day's timetable, where that was found; not for fixed lines."""
        by_day = {(name, day): float(most) for name, day, most in self.household.tighter.most}
        return {
            (name, period.number): by_day[name, period.first_day]
            for name in {name for name, _ in by_day}
            for period in self.singles
            if (name, period.first_day) in by_day and (name, period.number) not in self.fixed_at
        }

    def batch(self, item: Preserve, period: Period) -> int:
        """
        Return the fewest containers worth starting for on a day: the smallest batch, or less where there is less.

        One that was typed is reduced only to what the target has room for. A blank one, four or a third of a load, is
        never more than target, crop and containers would each allow. Hours, space and pantry do not reduce it, or more
        of them could ask for a batch that leaves no crop for something better. A preserve without a target is made only
        as far as others use it, and what is tied to a fixed line as far as that asks, so any number is worth starting
        for.
        """
        if item.name not in self.target_of or item.name in self.tied_to_fixed_lines:
            return 1
        if item.batch_typed:
            most = self.upper_by_targets[item.name]
        else:
            most = min(
                self.upper_by_targets[item.name], self.upper_by_stock[item.name], self.upper_by_crop(item, period)
            )
        return max(1, math.floor(min(float(item.fewest), most) + ALMOST))

    def last_load(self, item: Preserve, period: Period) -> int:
        """Return the fewest containers in the last load of a day: the batch, but at most half a load, rounded up."""
        return min(self.batch(item, period), math.ceil((item.load or 1) / 2))

    def needs_setup(self, item: Preserve, period: Period) -> bool:
        """
        Return whether a preserve needs a setup on a day.

        It does without loads, where its last load is no whole batch, and where there is a most in a day.
        """
        limited = math.isfinite(self.most_begun(period))
        return limited or item.load is None or self.batch(item, period) > self.last_load(item, period)

    def worth_starting(self, item: Preserve, period: Period, amount: float) -> bool:
        """Return whether so many containers are enough for a session on a day, and for its last load."""
        if amount < self.batch(item, period) - ALMOST:
            return False
        over = 0.0 if item.load is None else amount - item.load * (math.ceil(amount / item.load - ALMOST) - 1)
        return item.load is None or over >= self.last_load(item, period) - ALMOST

    def smallest_freeze(self, crop: Crop, period: Period) -> float:
        """
        Return the fewest kg of a crop worth freezing whole on a day: 4 lb, or all there is if that is less.

        What a fixed line takes from frozen is exempt.
        """
        if crop.name in self.tied_to_fixed_lines:
            return 0.0
        return min(SMALLEST_FREEZE_KG, self.usable(crop, period))
