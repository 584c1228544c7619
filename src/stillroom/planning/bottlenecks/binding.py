"""Which resources are binding in a plan."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.plan import Plan
from stillroom.household.results.bottlenecks import Bottleneck
from stillroom.household.results.sums import Sums
from stillroom.planning.bottlenecks.resources import columns_of
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables

NEARLY_ALL = 0.01
"""A resource of which less than this share is left is binding."""

NEAR = 1e-6


@dataclass(frozen=True)
class Binding:
    """A binding resource: `used` of `of`, in its base unit, and its binding constraints."""

    bottleneck: Bottleneck
    used: float
    of: float
    rows: tuple[str, ...] = ()


class RowUse:
    """What a plan uses of each constraint, and what one more load or container would use."""

    def __init__(self, parameters: Parameters, variables: Variables, plan: Plan) -> None:
        """Compute the columns of the plan."""
        self.parameters, self.variables, self.plan = parameters, variables, plan
        columns = columns_of(parameters, variables, plan)
        self.value = dict(zip(variables.model.variables, columns, strict=True))
        by_name = {}
        for made in (variables.make, variables.loads):
            for key, variable in made.items():
                by_name[variable.name] = key
        self.makes = by_name
        self.to_be_made = {item.name for item in parameters.preserves if item.include}
        bought = (variables.buy_container, variables.buy_lid, variables.buy_item)
        self.bought = {variable.name for several in bought for variable in several.values()}

    def row(self, name: str) -> tuple[float, float]:
        """Return the use of a constraint and its limit, purchases included."""
        row = self.variables.model.rows[name]
        used, there = 0.0, row.bound
        for coefficient, variable in row.terms:
            if variable.name in self.bought and coefficient < 0:
                there += math.inf if variable.most is None else -coefficient * variable.most
            else:
                used += coefficient * self.value[variable.name]
        return used, there

    def next_use_of(self, name: str) -> float:
        """Return the least that one more load or container would use of a constraint; inf when nothing is made."""
        takes: dict[tuple[str, int], float] = {}
        for coefficient, variable in self.variables.model.rows[name].terms:
            key = self.makes.get(variable.name)
            if key is not None and key[0] in self.to_be_made:
                takes[key] = takes.get(key, 0.0) + coefficient
        return min((taken for taken in takes.values() if taken > NEAR), default=math.inf)


def binding_resources(
    parameters: Parameters, variables: Variables, plan: Plan, bottlenecks: Sequence[Bottleneck]
) -> tuple[Binding, ...]:
    """Return the resources with less left than one more load or container uses, or under 1%."""
    leaves = RowUse(parameters, variables, plan)
    sums = Sums(parameters.household, plan)
    found = []
    for bottleneck in bottlenecks:
        one = (
            binding_crop(sums, parameters, bottleneck)
            if bottleneck.kind == "crop"
            else binding_by_rows(leaves, bottleneck)
        )
        if one is not None:
            found.append(one)
    return tuple(found)


def binding_by_rows(leaves: RowUse, bottleneck: Bottleneck) -> Binding | None:
    """Return a resource if it binds: by its tightest constraint; hours of many days only if several days bind."""
    full: dict[str, tuple[float, float]] = {}
    every = {}
    for name in bottleneck.rows:
        used, there = leaves.row(name)
        every[name] = (used, there)
        left = there - used
        if there > NEAR and left < max(NEARLY_ALL * there, next_use(leaves, name)) - NEAR:
            full[name] = (used, there)
    days = len(bottleneck.weekdays) > 1
    if not full or (days and len(full) < 2):
        return None
    if days or bottleneck.kind == "equipment" or bottleneck.weeks:
        said = every if days else full
        return Binding(
            bottleneck, sum(one[0] for one in said.values()), sum(one[1] for one in said.values()), tuple(full)
        )
    least = min(full, key=lambda name: (full[name][1] - full[name][0], bottleneck.rows.index(name)))
    return Binding(bottleneck, *full[least], tuple(full))


def next_use(leaves: RowUse, name: str) -> float:
    """Return what the next load or container uses; 0 when nothing more could use the constraint."""
    takes = leaves.next_use_of(name)
    return takes if math.isfinite(takes) else 0.0


def binding_crop(sums: Sums, parameters: Parameters, bottleneck: Bottleneck) -> Binding | None:
    """Return a crop if one more container would use up what is left of it over the whole plan."""
    crop = sums.crop_named[bottleneck.name]
    there = sums.harvested_kg(crop) - sums.eaten_kg(crop)
    last = sums.periods[-1].number
    left = sum(amount_of(several, crop.name) for several in (sums.plan.surplus_kg, sums.plan.spoil_kg))
    left += sums.plan.fresh_kg.get((crop.name, last), 0.0) + sums.plan.frozen_kg.get((crop.name, last), 0.0)
    each = [item.crop_kg_each(crop.name) for item in parameters.preserves if item.include]
    takes = min((kg for kg in each if kg > 0), default=0.0)
    if not takes or left >= max(NEARLY_ALL * there, takes) - NEAR:
        return None
    return Binding(bottleneck, max(0.0, there - left), there)


def amount_of(amounts: Mapping[tuple[str, int], float], name: str) -> float:
    """Return the sum over all periods."""
    return sum(amount for (whose, _), amount in amounts.items() if whose == name)
