"""The ends of whole numbers drawn in by the aims that are held: what would cost one of them too much cannot happen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from stillroom.planning.handover import Solver

SMALL = 1e-6
"""Costs below this say nothing."""

MARGIN = 1e-5
"""Share of an aim that is left free beyond its hold, far above what the solver's tolerance can add up to."""


def narrow(solver: Solver, held: Sequence[tuple[Mapping[int, float], bool, float]], best: tuple[float, ...]) -> int:
    """
    Draw in the ends of whole numbers by each aim that is held; gives how many ends were drawn in.

    `held` has the costs of each aim by column, whether it is made most, and the value it may not be worse than; `best`
    is a plan that keeps them all. Without whole numbers an aim can at best have its relaxed value; each unit by which a
    column leaves the end it has there costs at least its reduced cost. What is more than the difference to the value
    held is never reached. The plan at hand always stays possible.
    """
    drawn = 0
    for costs, most, value in held:
        solver.aim_at(costs, most=most)
        relaxed = solver.relaxed()
        if relaxed is None:
            continue
        spare = abs(relaxed.value - value) + MARGIN * max(1.0, abs(value))
        drawn += _draw_in(solver, relaxed.columns, relaxed.reduced_costs, spare, np.array(best))
    return drawn


def _draw_in(solver: Solver, at: np.ndarray, reduced: np.ndarray, spare: float, best: np.ndarray) -> int:
    lower, upper = solver.ends()
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
