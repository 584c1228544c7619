"""A week planned twice, by the planner and by the careful cook, and how far apart the two are."""

from __future__ import annotations

import time
from dataclasses import dataclass

from tests.truth.careful_cook import HABITS, Habit, cook_week
from tests.truth.needs_only import plan_needs
from tests.truth.weeks import Week

from stillroom.household.audit import broken_rules
from stillroom.household.audit.hours import hands_in
from stillroom.household.audit.objectives import crop_fed, needs_reached
from stillroom.household.audit.tally import Tally
from stillroom.household.audit.targets import covered
from stillroom.household.plan import Plan
from stillroom.household.records import Household

SAME = 3e-4
"""Share by which needs may be lower and still count as the same: an aim is proved to 1e-4 and held with 1e-4."""


@dataclass(frozen=True)
class Result:
    """
    What a week's plan comes to.

    `coverage` and `musts` are percent of the winter list and of its musts, weighted; `needs` points by importance;
    `fed_kg` what the hens, the bin and the end of the week get, weighted as in the aim; `given_kg` what is fed or
    spoiled, unweighted; `hours` of hands.
    """

    coverage: float
    musts: float
    needs: tuple[float, ...]
    fed_kg: float
    given_kg: float
    hours: float
    broken: tuple[str, ...]


def result(household: Household, found: Plan) -> Result:
    """Count a plan again from what it does, by the audit's own sums."""
    tally = Tally(household, found)
    return Result(
        coverage=coverage(tally, (1, 2, 3)),
        musts=coverage(tally, (1,)),
        needs=tuple(needs_reached(tally, importance) for importance in (1, 2, 3)),
        fed_kg=crop_fed(tally),
        given_kg=sum(found.fed_kg.values()) + sum(found.spoil_kg.values()),
        hours=sum(hands_in(tally)),
        broken=broken_rules(household, found),
    )


def coverage(tally: Tally, importances: tuple[int, ...]) -> float:
    """Percent of the list that is covered: each need by its share, at most all of it, weighted by its weight."""
    needs = [need for need in tally.household.needs if need.importance in importances and need.wanted > 0]
    weights = sum(need.weight for need in needs)
    got = sum(need.weight * min(1.0, covered(tally, need) / need.wanted) for need in needs)
    return 100.0 * got / weights if weights else 100.0


@dataclass(frozen=True)
class Pair:
    """
    A week with the planner's result, the cook's by each habit, the planner's seconds of processor time, and the aims it
    left unproved. `most` is the bound of the first aim of the needs: points that no plan can go beyond.
    """

    week: Week
    planner: Result
    cooks: dict[Habit, Result]
    seconds: float
    unproved: tuple[str, ...]
    most: float = 0.0

    def best_cook(self) -> Result:
        """The best of the cook's habits for this week, known only afterwards: by needs in their order, then least fed."""
        return max(self.cooks.values(), key=lambda one: (*one.needs, -one.fed_kg))


def both(week: Week, habits: tuple[Habit, ...] = HABITS) -> Pair:
    """
    Plan a week by all means; the planner for needs and fed alone.

    Where a need is not proved and some cook has more, the planner searches as long as the product does.
    """
    cooks = {habit: result(week.household, cook_week(week.household, habit)) for habit in habits}
    began = time.process_time()
    found = plan_needs(week.household)
    ours = result(week.household, found)
    if any(worse(ours, one) for one in cooks.values()) and any(not aim.proved for aim in found.aims[:-1]):
        found = plan_needs(week.household, nodes=None)
        ours = result(week.household, found)
    taken = time.process_time() - began
    most = next((aim.bound for aim in found.aims if aim.name.startswith("needs")), 0.0)
    return Pair(week, ours, cooks, taken, tuple(aim.name for aim in found.aims if not aim.proved), most)


def worse(one: Result, other: Result) -> bool:
    """Whether one is worse than the other by the needs in their order; equal within what the aims may give up."""
    for mine, theirs in zip(one.needs, other.needs, strict=True):
        slack = SAME * max(1.0, theirs)
        if mine < theirs - slack:
            return True
        if mine > theirs + slack:
            return False
    return False
