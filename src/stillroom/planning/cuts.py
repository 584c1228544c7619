"""The ends of whole numbers drawn in by the aims that are held: what would cost one of them too much cannot happen."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from stillroom.planning.highs import HighsSession
from stillroom.planning.model import Row, Sum, at_least
from stillroom.planning.parameters import Parameters
from stillroom.planning.parameters.fixed import LastLine
from stillroom.planning.variables import Variables

SMALL = 1e-6
"""Costs below this say nothing."""

MARGIN = 1e-5
"""Share of an objective that is left free beyond its hold, far above what the solver's tolerance can add up to."""


def tighten_by_reduced_costs(solver: HighsSession, held: Sequence[tuple[Mapping[int, float], bool, float]], best: tuple[float, ...]) -> int:
    """
    Draw in the ends of whole numbers by each objective that is held; gives how many ends were drawn in.

    `held` has the costs of each objective by column, whether it is made most, and the value it may not be worse than;
    `best` is a plan that keeps them all. Without whole numbers an objective can at best have its relaxed value; each
    unit by which a column leaves the end it has there costs at least its reduced cost. What is more than the difference
    to the value held is never reached. The plan at hand always stays possible.
    """
    drawn = 0
    for costs, most, value in held:
        solver.set_objective(costs, most=most)
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


# Rows that every plan keeps anyway, said so that the solver need not find them out: work follows the last plan.

NEAR = 1e-6


def valid_inequalities(parameters: Parameters, variables: Variables) -> Iterator[Row]:
    """
    Yield rows about the change from the last plan, line by line, that hold wherever the constraints hold.

    Only for lines whose periods are all detailed days. With before[i] containers in line i, made = sum over t of
    make[p, t], sessions = sum over t of loads[p, t] or setup[p, t]:

        less[i] >= part * (before, rounded up, - made)          where part = before - before rounded down
        more[i] >= (1 - part) * (made - before, rounded down)   for made is whole and before is not
        less[i] >= last * (loads of before - sum of loads)      where last = containers in the last of those loads
        less[i] >= before * (1 - sum of setups)                 for without a session nothing is made

    Without them half a session could keep all of a line, and the hours of whole sessions came out late in the search.
    """
    singles = {period.number for period in parameters.singles}
    for number, line in enumerate(parameters.last_lines):
        keys = [(line.name, day) for day in line.numbers if (line.name, day) in variables.make]
        if keys and singles.issuperset(line.numbers):
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
