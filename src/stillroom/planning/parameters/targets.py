"""The winter list: what is on the shelf, the room of each target, and the target of each preserve."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from functools import cached_property

from stillroom.household.plan import Period, lasts
from stillroom.household.records import Preserve, Target
from stillroom.planning.parameters.crops import ALMOST, NOT_QUITE_ONE, OrderedParameters, in_order


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
