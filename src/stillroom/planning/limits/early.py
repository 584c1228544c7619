"""Reaching an aim again from a plan at hand, ended as soon as it is sure that nothing is gained by going on."""

from __future__ import annotations

import math
from dataclasses import replace

import highspy
import numpy as np

from stillroom.household.plan import AimResult
from stillroom.planning.aims import Aim
from stillroom.planning.effort import Effort
from stillroom.planning.handover import Solver
from stillroom.planning.solve import PATIENT_NODES, Search, hold, reach

TOLERANCE = 1e-6


def relaxed(search: Search, aim: Aim) -> float:
    """
    The best that an aim could be if nothing had to be whole: the least, or the most of one to be made most.

    Infinitely good when that is not found.
    """
    solver = search.solver
    whole = [column for column, is_whole in enumerate(solver.whole) if is_whole]
    integrality(solver, whole, highspy.HighsVarType.kContinuous)
    kept, solver.whole = solver.whole, [False] * len(solver.whole)
    solver.aim_at(solver.vector(aim.terms(search.facts, search.decide)), most=aim.most)
    outcome = solver.run(None, Effort())
    solver.whole = kept
    integrality(solver, whole, highspy.HighsVarType.kInteger)
    if not outcome.found:
        return math.inf if aim.most else -math.inf
    return outcome.value


def integrality(solver: Solver, columns: list[int], kind: highspy.HighsVarType) -> None:
    """Say of all these columns that they are whole, or that they need not be."""
    kinds = np.full(len(columns), int(kind), dtype=np.uint8)
    solver.highs.changeColsIntegrality(len(columns), np.array(columns, dtype=np.int32), kinds)


def reach_from(search: Search, aim: Aim, was: AimResult, enough: float) -> AimResult:
    """
    Reach an aim from the plan at hand, which reached `was`, and hold it.

    It ends when the aim cannot be better than `enough`: first by what the decisions' ends allow, then by the programme
    in which nothing is whole, then while searching for whole numbers. What is not better than that is what it was, and
    the plan at hand stays.
    """
    solver = search.solver
    costs = solver.vector(aim.terms(search.facts, search.decide))
    sign = 1.0 if aim.most else -1.0
    if sign * (end_of(solver, costs, most=aim.most) - enough) <= 0 or sign * (relaxed(search, aim) - enough) <= 0:
        return stay(search, aim, costs, was)
    solver.aim_at(costs, most=aim.most)
    effort = Effort(
        aim.gap, aim.close_enough, aim.patient_gap, PATIENT_NODES, aim.last_nodes, aim.helped_by, aim.trials, enough
    )
    outcome = solver.run(search.best, effort, search.seconds_left())
    if not outcome.found:
        reach(search, aim)
        return search.results[-1]
    away = abs(outcome.value - outcome.bound)
    proved = outcome.gap <= aim.patient_gap + 1e-9 or away <= max(aim.close_enough, aim.least_slack)
    if sign * (outcome.bound - enough) <= 0:
        return stay(search, aim, costs, was)
    if sign * (outcome.value - enough) <= 0:
        return stay(search, aim, costs, replace(was, bound=outcome.bound, proved=proved, stopped=outcome.stopped))
    search.best = outcome.columns
    stopped = "" if proved else outcome.stopped
    found = aim.result(outcome.value, outcome.bound, proved=proved, stopped=stopped)
    taken(search, aim, costs, found)
    hold(search, aim, costs, found.value)
    return found


def end_of(solver: Solver, costs: dict[int, float], *, most: bool) -> float:
    """The best that an aim could be by the ends of its decisions alone."""
    model = solver.highs.getLp()
    ends = {column: (float(model.col_lower_[column]), float(model.col_upper_[column])) for column in costs}
    high = sum(cost * ends[column][cost > 0] for column, cost in costs.items())
    low = sum(cost * ends[column][cost < 0] for column, cost in costs.items())
    return high if most else low


def stay(search: Search, aim: Aim, costs: dict[int, float], was: AimResult) -> AimResult:
    """Hold an aim where it was, or where the plan at hand has it if that is less by its slack."""
    best = search.best or ()
    value = sum(cost * best[column] for column, cost in costs.items())
    slack = max(aim.slack_share * abs(was.value), aim.least_slack)
    found = replace(was, seconds=0.0)
    taken(search, aim, costs, found)
    if not costs:
        return found
    if aim.most:
        search.solver.hold(costs, least=min(was.value - slack, value - TOLERANCE), most=None)
    else:
        search.solver.hold(costs, least=None, most=max(was.value + slack, value + TOLERANCE))
    return found


def taken(search: Search, aim: Aim, costs: dict[int, float], found: AimResult) -> None:
    """Note an aim as reached."""
    search.costs.append(costs)
    search.aims.append(aim)
    search.results.append(found)


def keeps_every_row(solver: Solver, columns: tuple[float, ...]) -> bool:
    """Whether these columns keep every row and every end of the programme that was handed over."""
    model = solver.highs.getLp()
    values = np.array(columns)
    matrix = model.a_matrix_
    start, index, value = (np.array(one) for one in (matrix.start_, matrix.index_, matrix.value_))
    lines = np.repeat(np.arange(len(start) - 1), np.diff(start))
    across = matrix.format_ == highspy.MatrixFormat.kColwise
    row, column = (index, lines) if across else (lines, index)
    sums = np.bincount(row, weights=value * values[column], minlength=len(model.row_lower_))
    lower, upper = np.array(model.row_lower_), np.array(model.row_upper_)
    slack = TOLERANCE * np.maximum(1.0, np.abs(sums))
    in_rows = np.all(sums >= lower - slack) and np.all(sums <= upper + slack)
    in_ends = np.all(values >= np.array(model.col_lower_) - TOLERANCE) and np.all(
        values <= np.array(model.col_upper_) + TOLERANCE
    )
    return bool(in_rows and in_ends)
