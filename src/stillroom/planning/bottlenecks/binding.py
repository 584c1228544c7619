"""Which limits a plan runs up against, by what its rows leave over."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.plan import Plan
from stillroom.household.results.sums import Sums
from stillroom.planning.bottlenecks.resources import Bottleneck, columns_of
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables

NEARLY_ALL = 0.01
"""A limit of which less than this share is left is run up against."""

NEAR = 1e-6


@dataclass(frozen=True)
class Tight:
    """A limit that a plan runs up against: `used` of `of`, in its inside unit, and in which of its rows."""

    bottleneck: Bottleneck
    used: float
    of: float
    rows: tuple[str, ...] = ()


class Leaves:
    """What a plan leaves of each row of the programme, and what one more load or container would take of it."""

    def __init__(self, parameters: Parameters, variables: Variables, plan: Plan) -> None:
        """Work out the columns that say the plan."""
        self.parameters, self.variables, self.plan = parameters, variables, plan
        columns = columns_of(parameters, variables, plan)
        self.value = dict(zip(variables.programme.variables, columns, strict=True))
        by_name = {}
        for made in (variables.make, variables.loads):
            for key, variable in made.items():
                by_name[variable.name] = key
        self.makes = by_name
        self.to_be_made = {item.name for item in parameters.preserves if item.include}
        bought = (variables.buy_container, variables.buy_lid, variables.buy_item)
        self.bought = {variable.name for several in bought for variable in several.values()}

    def row(self, name: str) -> tuple[float, float]:
        """What is used of one row, and of how much, what is and could be bought included."""
        row = self.variables.programme.rows[name]
        used, there = 0.0, row.bound
        for coefficient, variable in row.terms:
            if variable.name in self.bought and coefficient < 0:
                there += math.inf if variable.most is None else -coefficient * variable.most
            else:
                used += coefficient * self.value[variable.name]
        return used, there

    def next_takes(self, name: str) -> float:
        """The least that one more load or container of anything to be made would take of a row; inf when nothing is."""
        takes: dict[tuple[str, int], float] = {}
        for coefficient, variable in self.variables.programme.rows[name].terms:
            key = self.makes.get(variable.name)
            if key is not None and key[0] in self.to_be_made:
                takes[key] = takes.get(key, 0.0) + coefficient
        return min((taken for taken in takes.values() if taken > NEAR), default=math.inf)


def tight_limits(
    parameters: Parameters, variables: Variables, plan: Plan, bottlenecks: Sequence[Bottleneck]
) -> tuple[Tight, ...]:
    """The limits of which less is left than one more load or container would take, or under a hundredth."""
    leaves = Leaves(parameters, variables, plan)
    sums = Sums(parameters.household, plan)
    found = []
    for bottleneck in bottlenecks:
        one = (
            tight_crop(sums, parameters, bottleneck) if bottleneck.kind == "crop" else tight_by_rows(leaves, bottleneck)
        )
        if one is not None:
            found.append(one)
    return tuple(found)


def tight_by_rows(leaves: Leaves, bottleneck: Bottleneck) -> Tight | None:
    """A limit by its rows: the one with least left is said; hours over many days only when several are full."""
    full: dict[str, tuple[float, float]] = {}
    every = {}
    for name in bottleneck.rows:
        used, there = leaves.row(name)
        every[name] = (used, there)
        left = there - used
        if there > NEAR and left < max(NEARLY_ALL * there, least_step(leaves, name)) - NEAR:
            full[name] = (used, there)
    days = len(bottleneck.weekdays) > 1
    if not full or (days and len(full) < 2):
        return None
    if days or bottleneck.kind == "equipment" or bottleneck.weeks:
        said = every if days else full
        return Tight(
            bottleneck, sum(one[0] for one in said.values()), sum(one[1] for one in said.values()), tuple(full)
        )
    least = min(full, key=lambda name: (full[name][1] - full[name][0], bottleneck.rows.index(name)))
    return Tight(bottleneck, *full[least], tuple(full))


def least_step(leaves: Leaves, name: str) -> float:
    """What the next load or container takes; nothing when no more of anything could take from the row."""
    takes = leaves.next_takes(name)
    return takes if math.isfinite(takes) else 0.0


def tight_crop(sums: Sums, parameters: Parameters, bottleneck: Bottleneck) -> Tight | None:
    """A crop over the whole plan: what is put up of it, when one container more would take the rest."""
    crop = sums.crop_named[bottleneck.name]
    there = sums.harvested_kg(crop) - sums.eaten_kg(crop)
    last = sums.periods[-1].number
    left = sum(amount_of(several, crop.name) for several in (sums.plan.surplus_kg, sums.plan.spoil_kg))
    left += sums.plan.fresh_kg.get((crop.name, last), 0.0) + sums.plan.frozen_kg.get((crop.name, last), 0.0)
    each = [item.crop_kg_each(crop.name) for item in parameters.preserves if item.include]
    takes = min((kg for kg in each if kg > 0), default=0.0)
    if not takes or left >= max(NEARLY_ALL * there, takes) - NEAR:
        return None
    return Tight(bottleneck, max(0.0, there - left), there)


def amount_of(amounts: Mapping[tuple[str, int], float], name: str) -> float:
    """What all periods have of one thing."""
    return sum(amount for (whose, _), amount in amounts.items() if whose == name)
