"""Which resources are binding in a plan, and over which amounts more of one helps."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace

from stillroom.household.plan import Plan
from stillroom.household.records import Container, Household, Lid, PantryItem
from stillroom.household.results.bottlenecks import Bottleneck, Range
from stillroom.household.results.sums import Sums
from stillroom.household.suppose.more import SPACES
from stillroom.planning.bottlenecks.gains import better
from stillroom.planning.bottlenecks.replan import ReSolve, continued_from, re_solve, run_all
from stillroom.planning.bottlenecks.resolve import Quick, changes
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


# Over which amounts a resource helps, by re-solving at doubling steps and by bisection.

MOST_DOUBLINGS = 3

ABOUT_AS_MUCH = 0.75
"""A step is similar if it gives at least this share of what the first one gave."""


@dataclass(frozen=True)
class Method:
    """A resource to follow: what one unit more reached, and how many units can be removed (0: follow it up)."""

    trial: ReSolve
    bottleneck: Bottleneck
    one_more: Quick
    fewer: int = 0


def ranges(base: ReSolve, more_of: dict[Bottleneck, Quick], executor: Executor | None) -> dict[Bottleneck, Range]:
    """
    Return the range of each of these resources, of which one unit more helps; each direction is a task.

    Where one unit more had to be made to fit the clock, more of them have to fit as well.
    """
    loose = replace(base, tighten=None)
    ups = [Method(base if quick.tightened else loose, bottleneck, quick) for bottleneck, quick in more_of.items()]
    downs = [replace(method, fewer=available_units(base.household, method.bottleneck)) for method in ups]
    every = [*ups, *(method for method in downs if method.fewer)]
    found = dict(
        zip([(method.bottleneck, method.fewer > 0) for method in every], run_all(executor, follow, every), strict=True)
    )
    return {
        bottleneck: replace(found[bottleneck, False], least=found[bottleneck, True].least)
        if (bottleneck, True) in found
        else found[bottleneck, False]
        for bottleneck in more_of
    }


def follow(method: Method) -> Range:
    """Follow a resource in one direction; can run in another process."""
    return range_below(method) if method.fewer else range_above(method)


def range_above(method: Method) -> Range:
    """Return up to how many more units help, and up to how many each gives about as much as the first."""
    before = method.trial.before
    if before is None:
        msg = "a range is followed from what was reached before"
        raise ValueError(msg)
    known: dict[int, Quick] = {0: before, 1: method.one_more}

    def at(units: int) -> Quick:
        if units not in known:
            nearest = max(number for number in known if number < units)
            trial = continued_from(method.trial, known[nearest], (method.bottleneck, units * method.bottleneck.step))
            known[units] = re_solve(replace(trial, objectives_only=True))
        return known[units]

    helps_to, seen_end = useful_units(lambda more, fewer: better(at(more), at(fewer)))
    most = 1
    for units in sorted(known):
        if units > most and is_similar_gain(before, method.one_more, known[units], units):
            most = units
    return Range(helps_to, seen_end, most=min(most, helps_to))


def range_below(method: Method) -> Range:
    """Return from how many fewer units on each unit changes the plan by about as much as the next one more."""
    before = method.trial.before
    if before is None:
        msg = "a range is followed from what was reached before"
        raise ValueError(msg)

    def holds(units: int) -> bool:
        less = re_solve(
            replace(method.trial, more=((method.bottleneck, -units * method.bottleneck.step),), objectives_only=True)
        )
        return is_similar_gain(before, method.one_more, less, -units)

    return Range(1, seen_end=True, least=-last_true_number(holds, min(method.fewer, 2**MOST_DOUBLINGS)))


def is_similar_gain(before: Quick, one_more: Quick, now: Quick, units: int) -> bool:
    """
    Return whether so many units (negative: fewer) change the targets by about as much each as one more.

    Compared at the first importance that one more helps, if no more important one changes.
    """
    first = changes(one_more.objectives, before.objectives)
    found = changes(now.objectives, before.objectives)
    place = next((number for number, change in enumerate(first) if change), None)
    if place is None or any(found[:place]):
        return False
    each = found[place] / (units * first[place])
    return ABOUT_AS_MUCH <= each <= 1 / ABOUT_AS_MUCH


def useful_units(above: Callable[[int, int], bool], most_doublings: int = MOST_DOUBLINGS) -> tuple[int, bool]:
    """
    Return how many more units help, and whether more were seen not to help.

    `above(more, fewer)` is whether so many units give more than fewer of them; it is monotone and one unit helps. The
    number is doubled until twice as many give nothing further, then bisected. When the last doubling still helps, it is
    returned with False.

    >>> useful_units(lambda more, fewer: min(more, 5) > min(fewer, 5), most_doublings=4)
    (5, True)
    >>> useful_units(lambda more, fewer: more > fewer, most_doublings=2)
    (4, False)
    """
    units = 1
    for _ in range(most_doublings):
        if not above(2 * units, units):
            break
        units *= 2
    else:
        if above(units, units - 1):
            return units, False
    low = units // 2
    while units - low > 1:
        middle = (low + units) // 2
        low, units = (middle, units) if above(units, middle) else (low, middle)
    return units, True


def last_true_number(holds: Callable[[int], bool], end: int) -> int:
    """
    Return the last whole number up to `end` for which a monotone condition is true; 0 if none.

    >>> [last_true_number(lambda number: number <= last, 8) for last in (0, 1, 3, 5, 8, 20)]
    [0, 1, 3, 5, 8, 8]
    """
    low, high = 0, 1
    while high <= end and holds(high):
        low, high = high, 2 * high
    high = min(high, end + 1)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def available_units(household: Household, bottleneck: Bottleneck) -> int:
    """
    Return how many units of a resource can be removed.

    >>> from stillroom.household.examples import tiny_household
    >>> available_units(tiny_household(), Bottleneck("container", "quart jar", "quart jars", (), "jar", 1.0, 12.0, ""))
    1
    """
    return int(available_amount(household, bottleneck) / bottleneck.step + 1e-9)


def available_amount(household: Household, bottleneck: Bottleneck) -> float:
    """Return how much of a resource can be removed, in its base unit; of equipment all but one piece."""
    stocks: dict[str, tuple[Container | Lid | PantryItem, ...]] = {
        "container": household.containers,
        "lid": household.lids,
        "pantry": household.pantry,
    }
    if bottleneck.kind in stocks:
        return sum(one.on_hand for one in stocks[bottleneck.kind] if one.name == bottleneck.name)
    if bottleneck.kind == "crop":
        return sum(lot.kg for lot in household.lots if lot.crop == bottleneck.name and lot.frozen_on is None)
    if bottleneck.kind == "equipment":
        return max(
            (piece.how_many - 1.0 for piece in household.equipment if piece.name == bottleneck.name), default=0.0
        )
    return hours_or_space(household, bottleneck)


def hours_or_space(household: Household, bottleneck: Bottleneck) -> float:
    """Return the available hours (the least of the days), space, freezing capacity, preserves in a day, or money."""
    kitchen = household.kitchen
    if bottleneck.kind == "hours":
        rows = [row for row in household.hours if row.what.casefold() == bottleneck.name.casefold()]
        hours: Sequence[float] = [row.by_weekday[day] for row in rows for day in bottleneck.weekdays]
        return min([*hours, *(row.each_later_week for row in rows if bottleneck.weeks)], default=0.0) / bottleneck.shown
    if bottleneck.kind == "freezing":
        return kitchen.freeze_kg_a_day
    if bottleneck.kind == "begun":
        return kitchen.most_preserves_a_day - 1
    if bottleneck.kind == "space":
        return float(getattr(kitchen, SPACES[bottleneck.name]))
    return kitchen.left_to_spend
