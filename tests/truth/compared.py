"""A week planned twice, by the planner and by the careful cook, and how far apart the two are."""

from __future__ import annotations

import time
from dataclasses import dataclass

from tests.truth.careful_cook import HABITS, Habit, cook_week
from tests.truth.targets_only import plan_targets
from tests.truth.weeks import Week

from stillroom.household.audit import violated_constraints
from stillroom.household.audit.hours import hands_in
from stillroom.household.audit.objectives import crop_surplus, targets_reached
from stillroom.household.audit.tally import Tally
from stillroom.household.audit.targets import covered
from stillroom.household.plan import Plan
from stillroom.household.records import Household

SAME = 3e-4
"""Share by which needs may be lower and still count as the same: an objective is proved to 1e-4 and held with 1e-4."""


@dataclass(frozen=True)
class Result:
    """
    What a week's plan comes to.

    `coverage` and `musts` are percent of the winter list and of its musts, weighted; `targets` points by importance;
    `surplus_kg` what the hens, the bin and the end of the week get, weighted as in the objective; `given_kg` what is
    surplus or spoiled, unweighted; `hours` of hands.
    """

    coverage: float
    musts: float
    targets: tuple[float, ...]
    surplus_kg: float
    given_kg: float
    hours: float
    broken: tuple[str, ...]


def result(household: Household, found: Plan) -> Result:
    """Count a plan again from what it does, by the audit's own sums."""
    tally = Tally(household, found)
    return Result(
        coverage=coverage(tally, (1, 2, 3)),
        musts=coverage(tally, (1,)),
        targets=tuple(targets_reached(tally, importance) for importance in (1, 2, 3)),
        surplus_kg=crop_surplus(tally),
        given_kg=sum(found.surplus_kg.values()) + sum(found.spoil_kg.values()),
        hours=sum(hands_in(tally)),
        broken=violated_constraints(household, found),
    )


def coverage(tally: Tally, importances: tuple[int, ...]) -> float:
    """Percent of the list that is covered: each target by its share, at most all of it, weighted by its weight."""
    targets = [target for target in tally.household.targets if target.importance in importances and target.wanted > 0]
    weights = sum(target.weight for target in targets)
    got = sum(target.weight * min(1.0, covered(tally, target) / target.wanted) for target in targets)
    return 100.0 * got / weights if weights else 100.0


@dataclass(frozen=True)
class Pair:
    """
    A week with the planner's result, the cook's by each habit, the planner's seconds of processor time, and the
    objectives it left unproved. `most` is the bound of the first objective of the targets: points that no plan can go
    beyond.
    """

    week: Week
    planner: Result
    cooks: dict[Habit, Result]
    seconds: float
    unproved: tuple[str, ...]
    most: float = 0.0

    def best_cook(self) -> Result:
        """
        The best of the cook's habits for this week, known only afterwards: by needs in their order, then least fed.
        """
        return max(self.cooks.values(), key=lambda one: (*one.targets, -one.surplus_kg))


def both(week: Week, habits: tuple[Habit, ...] = HABITS) -> Pair:
    """
    Plan a week by all means; the planner for targets and fed alone.

    Where a target is not proved and some cook has more, the planner searches as long as the product does.
    """
    cooks = {habit: result(week.household, cook_week(week.household, habit)) for habit in habits}
    began = time.process_time()
    found = plan_targets(week.household)
    ours = result(week.household, found)
    if any(worse(ours, one) for one in cooks.values()) and any(
        not objective.proved for objective in found.objectives[:-1]
    ):
        found = plan_targets(week.household, nodes=None)
        ours = result(week.household, found)
    taken = time.process_time() - began
    most = next((objective.bound for objective in found.objectives if objective.name.startswith("targets")), 0.0)
    return Pair(
        week, ours, cooks, taken, tuple(objective.name for objective in found.objectives if not objective.proved), most
    )


def worse(one: Result, other: Result) -> bool:
    """
    Whether one is worse than the other by the targets in their order; equal within what the objectives may give up.
    """
    for mine, theirs in zip(one.targets, other.targets, strict=True):
        slack = SAME * max(1.0, theirs)
        if mine < theirs - slack:
            return True
        if mine > theirs + slack:
            return False
    return False
