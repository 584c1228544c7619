"""Results of quick plans, sure gains and losses, and re-solving one objective from a warm start."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import highspy
import numpy as np

from stillroom.household.plan import Kinded, ObjectiveResult, Plan
from stillroom.household.records import Household
from stillroom.planning.highs import HighsSession
from stillroom.planning.objectives import Objective
from stillroom.planning.solve import Search, limit_objective, optimize, reach_relaxation, settings_for

LEAST_CHANGE_KG = 0.5
"""Least change of the surplus objective that is looked for and reported, in kg: about a pound."""

LEAST_CHANGE_MONEY = 0.05
"""Least change of the money spent that is looked for and reported."""

GIVEN_UP = 4e-4
"""Relative tolerance of earlier target objectives together: so much of a later one is no sure gain."""


@dataclass(frozen=True)
class Quick:
    """
    What a quick plan reaches.

    `objectives` are fixed lines and targets when they were reached. `filled` is how far each target is filled, at most
    as wanted, in its unit; `surplus_kg` includes spoilage; `spent` is money; `made` counts containers. `money` and
    `surplus` are None when only the targets were asked for. `columns` are the nonzero variables by name, a warm start.
    `plan` is left out of what is sent to another process. `tightened` is whether days had to be made to fit the clock.
    """

    objectives: tuple[ObjectiveResult, ...]
    filled: Mapping[str, float]
    surplus_kg: float
    spent: float
    made: Mapping[str, float] = field(default_factory=dict)
    money: ObjectiveResult | None = None
    surplus: ObjectiveResult | None = None
    columns: Mapping[str, float] = field(default_factory=dict, repr=False)
    plan: Plan | None = field(default=None, repr=False, compare=False)
    tightened: bool = False

    @property
    def proved(self) -> bool:
        """Whether every fixed line and target objective is proved optimal."""
        return all(objective.proved for objective in self.objectives)

    def objective(self, one: Kinded) -> ObjectiveResult | None:
        """Return the result of an objective, None when it was not solved for."""
        others = [objective for objective in (self.money, self.surplus) if objective is not None]
        return next((objective for objective in (*self.objectives, *others) if objective.key == one.key), None)


def sendable(household: Household) -> Household:
    """Return the household with plain mappings, so that it can be sent to another process."""
    return replace(
        household, targets=tuple(replace(target, counts=dict(target.counts)) for target in household.targets)
    )


def sendable_plan(plan: Plan) -> Plan:
    """Return the plan with plain mappings, so that it can be sent to another process."""
    plain: dict[str, Any] = {name: dict(value) for name, value in vars(plan).items() if isinstance(value, Mapping)}
    return replace(plan, **plain)


def made_by(household: Household, plan: Plan) -> dict[str, float]:
    """Return how many containers of each preserve a plan makes."""
    return {item.name: made for item in household.preserves if (made := plan.made(item.name)) > 0}


def spent_by(household: Household, plan: Plan) -> float:
    """Return the money a plan spends; what has no price costs nothing here."""
    return sum(
        (record.price or 0.0) * bought.get(record.name, 0.0)
        for records, bought in (
            (household.containers, plan.buy_containers),
            (household.lids, plan.buy_lids),
            (household.pantry, plan.buy_items),
        )
        for record in records
    )


def margin(earlier: Sequence[ObjectiveResult]) -> float:
    """
    Return how many points of a target objective the tolerances of earlier ones could buy; less is no sure gain.

    >>> round(margin([ObjectiveResult("target", value, "points", value, True) for value in (0.2, 5.0)]), 6)
    0.0024
    """
    return GIVEN_UP * sum(max(1.0, abs(objective.value)) for objective in earlier if objective.kind == "target")


def gain_threshold(was: ObjectiveResult, unsure: float = 0.0) -> float:
    """Return the value up to which a maximized objective has not surely gained: the proved bound, and `unsure`."""
    return max(was.bound, was.value) + unsure + 1e-6 * max(1.0, abs(was.value))


def gained(now: ObjectiveResult, was: ObjectiveResult, unsure: float = 0.0) -> bool:
    """
    Return whether a maximized objective is surely better than before: above its bound then, by more than `unsure`.

    >>> was = ObjectiveResult("target", 10.0, "points", 10.001, True)
    >>> gained(ObjectiveResult("target", 10.0005, "points", 10.001, True), was)
    False
    >>> gained(ObjectiveResult("target", 10.2, "points", 10.2, True), was)
    True
    """
    return now.value > gain_threshold(was, unsure)


def changes(reached: Sequence[ObjectiveResult], before: Sequence[ObjectiveResult]) -> tuple[float, ...]:
    """Return what each target objective surely gained (above 0) or lost; 0 where that is not sure."""
    found = []
    for place, (now, was) in enumerate(zip(reached, before, strict=False)):
        if now.kind == "target":
            unsure = margin(before[:place])
            surely = gained(now, was, unsure) or gained(was, now, unsure)
            found.append(now.value - was.value if surely else 0.0)
    return tuple(found)


def changed(reached: Sequence[ObjectiveResult], before: Sequence[ObjectiveResult]) -> bool:
    """Return whether some target objective surely gained or lost."""
    return any(changes(reached, before))


# Re-solving one objective from a warm start.

TOLERANCE = 1e-6


def optimize_from(search: Search, objective: Objective, was: ObjectiveResult, enough: float) -> ObjectiveResult:
    """
    Solve for an objective from the plan at hand, which reached `was`, and bound it.

    Stops when the objective cannot be better than `enough`: by the bounds of the variables, by the linear relaxation,
    or during the solve. Then the result is `was` and the plan at hand stays. The solve starts without that plan, which
    its presolve is known to misread: until something is gained only the bound counts.
    """
    solver = search.solver
    costs = solver.vector(objective.terms(search.parameters, search.variables))
    sign = 1.0 if objective.maximize else -1.0
    if sign * (end_of(solver, costs, maximize=objective.maximize) - enough) <= 0:
        return keep_result(search, objective, costs, was)
    solver.set_objective(costs, maximize=objective.maximize)
    relaxed = solver.solve_relaxation()
    if relaxed is not None and sign * (relaxed.value - enough) <= 0:
        return keep_result(search, objective, costs, was)
    at_hand = search.best
    outcome = reach_relaxation(search, objective, relaxed) or solver.run(
        None if search.best is at_hand else search.best,
        settings_for(objective, stop_at_bound=enough),
        search.seconds_left(),
    )
    if math.isfinite(outcome.bound) and sign * (outcome.bound - enough) <= 0:
        search.best = at_hand
        return keep_result(search, objective, costs, was)
    if not outcome.found:
        optimize(search, objective)
        return search.results[-1]
    search.best = at_hand
    proved = objective.is_proved(outcome)
    if sign * (outcome.value - enough) <= 0:
        return keep_result(
            search, objective, costs, replace(was, bound=outcome.bound, proved=proved, stopped=outcome.stopped)
        )
    search.best = outcome.columns
    stopped = "" if proved else outcome.stopped
    found = objective.result(outcome.value, outcome.bound, proved=proved, stopped=stopped)
    record_result(search, objective, costs, found)
    limit_objective(search, objective, costs, found.value)
    return found


def end_of(solver: HighsSession, costs: dict[int, float], *, maximize: bool) -> float:
    """Return the best value of an objective by the bounds of its variables alone."""
    model = solver.highs.getLp()
    ends = {column: (float(model.col_lower_[column]), float(model.col_upper_[column])) for column in costs}
    high = sum(cost * ends[column][cost > 0] for column, cost in costs.items())
    low = sum(cost * ends[column][cost < 0] for column, cost in costs.items())
    return high if maximize else low


def keep_result(search: Search, objective: Objective, costs: dict[int, float], was: ObjectiveResult) -> ObjectiveResult:
    """Bound an objective where it was, or where the plan at hand has it if that is worse."""
    best = search.best or ()
    value = sum(cost * best[column] for column, cost in costs.items())
    slack = objective.tolerance(was.value)
    found = replace(was, seconds=0.0)
    record_result(search, objective, costs, found)
    if not costs:
        return found
    if objective.maximize:
        search.solver.add_objective_bound(costs, least=min(was.value - slack, value - TOLERANCE), most=None)
    else:
        search.solver.add_objective_bound(costs, least=None, most=max(was.value + slack, value + TOLERANCE))
    return found


def record_result(search: Search, objective: Objective, costs: dict[int, float], found: ObjectiveResult) -> None:
    """Record the result of an objective."""
    search.costs.append(costs)
    search.objectives.append(objective)
    search.results.append(found)


def is_feasible(solver: HighsSession, columns: tuple[float, ...]) -> bool:
    """Return whether the columns satisfy every constraint and bound of the loaded model."""
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
