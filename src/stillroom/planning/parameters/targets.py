"""The winter list: what is on the shelf, what room is left, and which preserve belongs to which need."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cached_property

from stillroom.household.records import Preserve, Target
from stillroom.planning.parameters.crops import ALMOST, NOT_QUITE_ONE, OrderedParameters, in_order


class TargetParameters(OrderedParameters):
    """Targets, their room, and preserves that are used by others."""

    @cached_property
    def good_on_shelf(self) -> Mapping[str, float]:
        """Containers of each preserve on the shelf that are still good on the last day of the plan."""
        found: dict[str, float] = {item.name: 0.0 for item in self.household.preserves}
        for row in self.household.shelf:
            if row.best_by is None or row.best_by >= self.last_day:
                found[row.preserve] = found.get(row.preserve, 0.0) + row.count
        return found

    @cached_property
    def users(self) -> Mapping[str, tuple[tuple[Preserve, float], ...]]:
        """For each preserve: the planned preserves that use it as an ingredient, and how many containers of it."""
        found: dict[str, list[tuple[Preserve, float]]] = {}
        for item in self.preserves:
            for line in item.ingredients:
                if line.source == "preserve" and line.amount_each > 0:
                    found.setdefault(line.item, []).append((item, line.amount_each))
        return {name: tuple(users) for name, users in found.items()}

    def room(self, target: Target) -> float:
        """
        Return what a target can still take before it is at most full: max(0, at most - good on the shelf), in its unit.
        """
        shelf = sum(each * self.good_on_shelf.get(name, 0.0) for name, each in target.counts.items())
        return max(0.0, target.at_most - shelf)

    @cached_property
    def target_of(self) -> Mapping[str, Target]:
        """The target each preserve belongs to: the one with the largest room for it, ties by name."""
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
        The preserves that belong to each target, by the target's name, in the order of their names.

        Those that are not made are among them where others use what is on the shelf of them: that frees room.
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

        Its room, plus what it takes to make the last container whole where whole ones are planned: 23 quarts of two
        pints for a target of 45 pints. Where others use some of them a part of a container may be gone, so that the
        last one may stand over by any part of it.
        """
        room = self.room(target)
        if not self.singles:
            return room
        items = self.groups.get(target.name, ())
        made = [target.counts[item.name] for item in items if item.name in self._planned]
        if any(item.name in self.users for item in items):
            return room + NOT_QUITE_ONE * max(made, default=0.0)
        return max([room, *(each * math.ceil(room / each - ALMOST) for each in made)])
