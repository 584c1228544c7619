"""
The index sets, and the parameters that are known before the solve: `Parameters` has them all.

    p in preserves    preserves that may be planned, by name
    c in crops        crops; freezable: those that may be frozen whole or are in the freezer
    t in periods      days planned in detail (singles), then weeks; T is the last one
    j in containers, l in lids, g in pantry, e in equipment
    n in targets      lines of the winter list
    b in segments     the four quarters of a target, or one segment where targets are not filled evenly
    i in fixes        fixed lines; i in last_lines: lines of the last plan
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from functools import cached_property

from stillroom.household.plan import Period, lasts
from stillroom.household.records import Container, Crop, Preserve, Target
from stillroom.planning.parameters.crops import ALMOST, NOT_QUITE_ONE, OrderedParameters, in_order
from stillroom.planning.parameters.fixed import Fix, FixedParameters
from stillroom.planning.parameters.work import WorkParameters

__all__ = ["Fix", "Parameters"]


class TargetParameters(OrderedParameters):
    """Targets, their room, and preserves used by other preserves."""

    @cached_property
    def good_on_shelf(self) -> Mapping[str, float]:
        """Containers of each preserve on the shelf that are still good on the last day."""
        found: dict[str, float] = {item.name: 0.0 for item in self.household.preserves}
        for row in self.household.shelf:
            if row.best_by is None or row.best_by >= self.last_day:
                found[row.preserve] = found.get(row.preserve, 0.0) + row.count
        return found

    @cached_property
    def users(self) -> Mapping[str, tuple[tuple[Preserve, float], ...]]:
        """For each preserve, the planned preserves that use it as an ingredient, and how many containers."""
        found: dict[str, list[tuple[Preserve, float]]] = {}
        for item in self.preserves:
            for line in item.ingredients:
                if line.source == "preserve" and line.amount_each > 0:
                    found.setdefault(line.item, []).append((item, line.amount_each))
        return {name: tuple(users) for name, users in found.items()}

    @cached_property
    def old_on_shelf(self) -> Mapping[tuple[str, int], float]:
        """Containers for other preserves on the shelf, good on the last day of a period but not of the plan."""
        found: dict[tuple[str, int], float] = defaultdict(float)
        for row in self.household.shelf:
            if row.preserve in self.users and row.best_by is not None and row.best_by < self.last_day:
                for period in self.periods:
                    if period.last_day <= row.best_by:
                        found[row.preserve, period.number] += row.count
        return dict(found)

    def lasts(self, name: str, period: Period) -> bool:
        """Return whether what is made of a preserve in a period is good on the last day, counted from its first day."""
        return lasts(self.household.preserve(name), period.first_day, self.last_day)

    def room(self, target: Target) -> float:
        """Return the room of a target: max(0, at most - good on the shelf), in its unit."""
        shelf = sum(each * self.good_on_shelf.get(name, 0.0) for name, each in target.counts.items())
        return max(0.0, target.at_most - shelf)

    @cached_property
    def target_of(self) -> Mapping[str, Target]:
        """The target of each preserve: the one with the most room for it, ties by name."""
        found: dict[str, Target] = {}
        best: dict[str, float] = {}
        for target in self.targets:
            room = self.room(target)
            for name, each in target.counts.items():
                if each > 0 and (name not in found or room / each > best[name] + 1e-9):
                    found[name] = target
                    best[name] = room / each
        return found

    @cached_property
    def groups(self) -> Mapping[str, tuple[Preserve, ...]]:
        """
        The preserves of each target, by name.

        Those that are not planned are included where others use what is on the shelf, since that frees room.
        """
        found: dict[str, list[Preserve]] = {}
        for item in in_order(self.household.preserves):
            if item.name in self.target_of and (item.name in self._planned or item.name in self.users):
                found.setdefault(self.target_of[item.name].name, []).append(item)
        return {name: tuple(items) for name, items in found.items()}

    @cached_property
    def _planned(self) -> frozenset[str]:
        return frozenset(item.name for item in self.preserves)

    def allowed(self, target: Target) -> float:
        """
        Return the most that the preserves of a target may make together, in its unit.

        Its room, rounded up to whole containers where days are planned in detail: 23 quarts of two pints for a target
        of 45 pints. Where others use some of them the excess may be any part of a container.
        """
        room = self.room(target)
        if not self.singles:
            return room
        items = self.groups.get(target.name, ())
        made = [target.counts[item.name] for item in items if item.name in self._planned]
        if any(item.name in self.users for item in items):
            return room + NOT_QUITE_ONE * max(made, default=0.0)
        return max([room, *(each * math.ceil(room / each - ALMOST) for each in made)])


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
