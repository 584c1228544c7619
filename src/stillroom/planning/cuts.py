"""Bound tightening by reduced costs, and valid inequalities."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from stillroom.household.plan import Period
from stillroom.household.records import Crop, Preserve
from stillroom.planning.constraints.crops import used_kg
from stillroom.planning.highs import HighsSession
from stillroom.planning.model import Row, Sum, Variable, at_least
from stillroom.planning.parameters import Parameters
from stillroom.planning.parameters.fixed import LastLine
from stillroom.planning.variables import Variables

SMALL = 1e-6
"""Reduced costs below this are ignored."""

MARGIN = 1e-5
"""Relative margin added to an objective bound, far above the solver's tolerance."""


def tighten_by_reduced_costs(
    solver: HighsSession, held: Sequence[tuple[Mapping[int, float], bool, float]], best: tuple[float, ...]
) -> int:
    """
    Tighten the bounds of integer variables by reduced costs; return how many bounds were tightened.

    `held` has, for each bounded objective, its coefficients by column, whether it is maximized, and its bound; `best`
    is a plan that satisfies them all and always stays feasible.

        |reduced_cost[k]| * steps <= |relaxation value - objective bound| + margin

    where steps is the distance of variable k from the bound at which the relaxation has it.
    """
    drawn = 0
    for costs, most, value in held:
        solver.set_objective(costs, maximize=most)
        relaxed = solver.solve_relaxation()
        if relaxed is None:
            continue
        spare = abs(relaxed.value - value) + MARGIN * max(1.0, abs(value))
        drawn += _tighten(solver, relaxed.columns, relaxed.reduced_costs, spare, np.array(best))
    return drawn


def _tighten(solver: HighsSession, at: np.ndarray, reduced: np.ndarray, spare: float, best: np.ndarray) -> int:
    lower, upper = solver.column_bounds()
    cost = np.abs(reduced)
    steps = np.floor(spare / np.maximum(cost, SMALL) + SMALL)
    worth = np.array(solver.whole) & (cost > SMALL) & (steps < upper - lower - 0.5)
    low = worth & (at < lower + SMALL)
    high = worth & (at > upper - SMALL) & ~low
    lowest = np.where(high, np.minimum(upper - steps, np.round(best)), lower)
    highest = np.where(low, np.maximum(lower + steps, np.round(best)), upper)
    columns = np.flatnonzero((lowest > lower) | (highest < upper)).astype(np.int32)
    solver.highs.changeColsBounds(len(columns), columns, lowest[columns], highest[columns])
    return len(columns)


def tighten_by_relaxation(solver: HighsSession, columns: Sequence[int], best: tuple[float, ...]) -> int:
    """
    Tighten integer variables to the range the linear relaxation leaves them; return how many bounds were tightened.

    Each is minimized and maximized under what is held, and its bounds are rounded inward:

        ceil(least - 1e-6) <= variable <= floor(most + 1e-6)
    """
    drawn = 0
    for column in columns:
        lower, upper = (float(ends[column]) for ends in solver.column_bounds())
        ends = {}
        for maximize in (False, True):
            solver.set_objective({column: 1.0}, maximize=maximize)
            relaxed = solver.solve_relaxation()
            if relaxed is not None:
                ends[maximize] = relaxed.value
        low = max(lower, min(math.ceil(ends.get(False, lower) - SMALL), round(best[column])))
        high = min(upper, max(math.floor(ends[True] + SMALL), round(best[column]))) if True in ends else upper
        if low > lower or high < upper:
            solver.highs.changeColBounds(column, low, high)
            drawn += (low > lower) + (high < upper)
    return drawn


# Valid inequalities on the change from the last plan.

NEAR = 1e-6


def valid_inequalities(parameters: Parameters, variables: Variables) -> Iterator[Row]:
    """
    Yield valid inequalities on the change from the last plan.

        less[i] >= part * (ceil(amount[i]) - made)              where part = amount[i] - floor(amount[i])
        more[i] >= (1 - part) * (made - floor(amount[i]))       since made is integer and amount[i] is not
        less[i] >= last * (loads_before - sum of loads)         where last = containers in the last of those loads
        less[i] >= amount[i] * (1 - sum of setup)               since nothing is made without a setup

    where made = sum over t of line i of make[p, t]. Without them a fraction of a load satisfies a whole line in the
    relaxation.
    """
    for number, line in enumerate(parameters.last_lines):
        keys = [(line.name, day) for day in line.numbers if (line.name, day) in variables.make]
        if keys:
            yield from _of_line(parameters, variables, number, line, keys)


def _of_line(
    parameters: Parameters, variables: Variables, number: int, line: LastLine, keys: list[tuple[str, int]]
) -> Iterator[Row]:
    before, more, less = line.amount, variables.more[number], variables.less[number]
    made: Sum = [(1.0, variables.make[key]) for key in keys]
    down = math.floor(before + NEAR)
    part = before - down
    if part > NEAR:
        yield at_least([(1.0, less), *((part, variable) for _, variable in made)], part * (down + 1))
        yield at_least([(1.0, more), *((part - 1.0, variable) for _, variable in made)], (part - 1.0) * down)
    load = parameters.household.preserve(line.name).load
    if before > NEAR and load is not None and all(key in variables.loads for key in keys):
        loads = math.ceil(before / load - NEAR)
        last = before - load * (loads - 1)
        yield at_least([(1.0, less), *((last, variables.loads[key]) for key in keys)], last * loads)
    if before > NEAR and all(key in variables.setup for key in keys):
        yield at_least([(1.0, less), *((before, variables.setup[key]) for key in keys)], before)


# Valid inequalities on the loads that the crop of a few days asks for.

VIOLATED = 1e-4
"""A valid inequality violated by less than this is not added."""

ROUNDS = 6
"""How often violated inequalities are looked for."""


def add_violated(solver: HighsSession, rows: Sequence[Row]) -> int:
    """Add the rows that the linear relaxation of the current objective needs; return how many are kept."""
    first, needed = solver.highs.getNumRow(), list[Row]()
    found = [(row, solver.vector(list(row.terms))) for row in rows]
    for _ in range(ROUNDS):
        relaxed = solver.solve_relaxation()
        if relaxed is None:
            break
        at = relaxed.columns
        over = {id(row): sum(each * at[column] for column, each in terms.items()) - row.bound for row, terms in found}
        violated = [row for row, _ in found if over[id(row)] < -VIOLATED]
        if not violated:
            needed = [row for row in needed if over[id(row)] < VIOLATED]
            break
        solver.add_rows(violated)
        needed += violated
    solver.remove_rows(first)
    solver.add_rows(needed)
    return len(needed)


def load_inequalities(parameters: Parameters, variables: Variables) -> Iterator[Row]:
    """
    Yield valid inequalities on the loads of a preserve in some consecutive days, from the crop of those days.

        sum of make <= crop - rest * (most - sum of loads) + carried_in          and
        rest * (most - sum of loads) <= crop_left                                where, in containers,

        crop       = harvest of the days less what is eaten, per container; most = ceil(crop / load)
        rest       = crop - load * (most - 1), the last load of them
        carried_in = crop carried into the first day, and thawed if the preserve may use that, per container
        crop_left  = surplus, frozen whole, carried out of the last day, and used by other preserves, per container

    One load fewer than `most` leaves at least `rest`. A setup counts as a load of the most that fits a day. Without
    them the relaxation has a part of a load for a part of a day's crop.
    """
    uses = {
        (crop.name, period.number): crop_of(parameters, variables, crop, period)
        for crop in parameters.crops
        for period in parameters.singles
    }
    numbers = [period.number for period in parameters.singles]
    for item in parameters.preserves:
        for first in numbers:
            for last in numbers[first:]:
                yield from _of_days(parameters, variables, uses, item, range(first, last + 1))


def crop_of(parameters: Parameters, variables: Variables, crop: Crop, period: Period) -> tuple[float, Sum]:
    """Return the harvest of a day less what is eaten, in kg, and where it may go but for what is carried on."""
    key = (crop.name, period.number)
    terms: Sum = [(1.0, kind[key]) for kind in (variables.surplus, variables.freeze) if key in kind]
    there = parameters.harvest(crop, period) - parameters.eaten(crop, period)
    return there, terms + used_kg(parameters, variables, *key)


def _of_days(
    parameters: Parameters,
    variables: Variables,
    uses: Mapping[tuple[str, int], tuple[float, Sum]],
    item: Preserve,
    days: range,
) -> Iterator[Row]:
    keys = [(item.name, day) for day in days]
    begun = variables.loads if item.load is not None else variables.setup
    if not all(key in variables.make and key in begun for key in keys):
        return
    load = float(item.load) if item.load is not None else max(parameters.upper_bound[key] for key in keys)
    made: Sum = [(-1.0, variables.make[key]) for key in keys]
    starts = [begun[key] for key in keys]
    if len(keys) == 1 and parameters.upper_bound[keys[0]] > NEAR:
        yield _fewer_loads(parameters.upper_bound[keys[0]], load, starts, made, most_made=True)
    for crop, each in parameters.crops_of(item).items():
        there = sum(uses[crop, day][0] for day in days) / each
        if there <= NEAR:
            continue
        carried = [variables.fresh[crop, days[0] - 1]] if days[0] else []
        if crop in parameters.frozen_crops_of(item):
            carried += [variables.thaw[crop, day] for day in days if (crop, day) in variables.thaw]
        into: Sum = [(1.0 / each, variable) for variable in carried]
        yield _fewer_loads(there, load, starts, made + into, most_made=True)
        own = {id(variable) for _, variable in made}
        left = [(kg / each, variable) for day in days for kg, variable in uses[crop, day][1] if id(variable) not in own]
        left.append((1.0 / each, variables.fresh[crop, days[-1]]))
        yield _fewer_loads(there, load, starts, left, most_made=False)


def _fewer_loads(crop: float, load: float, starts: Sequence[Variable], others: Sum, *, most_made: bool) -> Row:
    """Return the row: others + rest * starts >= rest * most, less the crop where the others include what is made."""
    most = math.ceil(crop / load - NEAR)
    rest = crop - load * (most - 1)
    terms = [(rest, variable) for variable in starts]
    return Row((*others, *terms), ">=", rest * most - (crop if most_made else 0.0))
