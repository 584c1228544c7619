"""What a quick plan reaches, in figures that can be sent to another process, and when it surely gained or lost."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import highspy
import numpy as np

from stillroom.household.plan import AimResult, Kinded, Plan
from stillroom.household.records import Household
from stillroom.household.results.sums import Sums
from stillroom.planning.highs import Effort, Solver
from stillroom.planning.objectives import Aim
from stillroom.planning.solve import PATIENT_NODES, Search, hold, reach

WORTH_SAYING_KG = 0.5
"""A change of the crop fed, as its aim weighs it, below which it is neither looked for nor said: about a pound."""

WORTH_SAYING_MONEY = 0.05
"""A change of the money spent below which it is neither looked for nor said."""

GIVEN_UP = 4e-4
"""What earlier needs aims may give up together, as a share of them: so much more of a later one is no sure gain."""


@dataclass(frozen=True)
class Quick:
    """
    What a quick plan reaches.

    `aims` are fixed lines and needs at the moment they were reached, before a later aim gave anything up. `filled` is
    how far each need is filled, at most as wanted, in its unit; `fed_kg` is what is fed or spoils; `spent` is money.
    `made` counts containers by preserve. `money` and `fed` are the aims of those names, None when only the needs were
    asked for. `columns` are the decisions above nothing by name, from which another search can start.
    """

    aims: tuple[AimResult, ...]
    filled: Mapping[str, float]
    fed_kg: float
    spent: float
    made: Mapping[str, float] = field(default_factory=dict)
    money: AimResult | None = None
    fed: AimResult | None = None
    columns: Mapping[str, float] = field(default_factory=dict, repr=False)

    @property
    def proved(self) -> bool:
        """Whether every fixed line and every need is proved to be as good as it can be."""
        return all(aim.proved for aim in self.aims)

    def aim(self, one: Kinded) -> AimResult | None:
        """How far that aim was reached, None when it was not reached for."""
        others = [aim for aim in (self.money, self.fed) if aim is not None]
        return next((aim for aim in (*self.aims, *others) if aim.key == one.key), None)


def sendable(household: Household) -> Household:
    """Give the same household in plain mappings, so that it can be sent to another process."""
    return replace(household, needs=tuple(replace(need, counts=dict(need.counts)) for need in household.needs))


def sendable_plan(plan: Plan) -> Plan:
    """Give the same plan in plain mappings, so that it can be sent to another process."""
    plain: dict[str, Any] = {name: dict(value) for name, value in vars(plan).items() if isinstance(value, Mapping)}
    return replace(plan, **plain)


def filled_by(household: Household, plan: Plan) -> dict[str, float]:
    """How far a plan fills each need, what is good on the shelf included, at most as wanted; in the need's unit."""
    sums = Sums(household, plan)
    found = {}
    for need in household.needs:
        there = sum(
            each * (sums.good_on_shelf.get(name, 0.0) + sums.net_made(name)) for name, each in need.counts.items()
        )
        found[need.name] = max(0.0, min(need.wanted, there))
    return found


def spent_by(household: Household, plan: Plan) -> float:
    """Money for what a plan buys; what has no price typed costs nothing here."""
    return sum(
        (record.price or 0.0) * bought.get(record.name, 0.0)
        for records, bought in (
            (household.containers, plan.buy_containers),
            (household.lids, plan.buy_lids),
            (household.larder, plan.buy_items),
        )
        for record in records
    )


def margin(earlier: Sequence[AimResult]) -> float:
    """
    How much of a needs aim the slack of the earlier ones could buy, in points: no less of a gain is sure.

    The slack of an aim does not shrink with a value below one point, so neither does this.

    >>> round(margin([AimResult("target", value, "points", value, True) for value in (0.2, 5.0)]), 6)
    0.0024
    """
    return GIVEN_UP * sum(max(1.0, abs(aim.value)) for aim in earlier if aim.kind == "target")


def no_gain_up_to(was: AimResult, unsure: float = 0.0) -> float:
    """The value up to which an aim to be made most has not surely gained: what was proved to be the most, and a bit."""
    return max(was.bound, was.value) + unsure + 1e-6 * max(1.0, abs(was.value))


def gained(now: AimResult, was: AimResult, unsure: float = 0.0) -> bool:
    """
    Whether an aim to be made most is surely better than before: above what was proved to be the most then.

    By more than `unsure`, what the slack of earlier aims may have bought.

    >>> was = AimResult("target", 10.0, "points", 10.001, True)
    >>> gained(AimResult("target", 10.0005, "points", 10.001, True), was)
    False
    >>> gained(AimResult("target", 10.2, "points", 10.2, True), was)
    True
    """
    return now.value > no_gain_up_to(was, unsure)


def changes(reached: Sequence[AimResult], before: Sequence[AimResult]) -> tuple[float, ...]:
    """What each needs aim surely gained (above 0) or lost; 0 where that is not sure."""
    found = []
    for place, (now, was) in enumerate(zip(reached, before, strict=False)):
        if now.kind == "target":
            unsure = margin(before[:place])
            surely = gained(now, was, unsure) or gained(was, now, unsure)
            found.append(now.value - was.value if surely else 0.0)
    return tuple(found)


def changed(reached: Sequence[AimResult], before: Sequence[AimResult]) -> bool:
    """Whether some needs aim surely gained or lost; when none did, what each need has is one way among equals."""
    return any(changes(reached, before))


# Reaching an aim again from a plan at hand, ended as soon as it is sure that nothing is gained by going on.

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
