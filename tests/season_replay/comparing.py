"""Other planners of a season, and how two of them are compared over the same seasons."""

from __future__ import annotations

import datetime
import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.household.simulation.seasons import SeasonPlayed, mean_interval
from stillroom.planning.rolling import Planned, Settings, season_end, with_days
from stillroom.planning.solve import plan
from stillroom.planning.stochastic.solve import hedged_plan


def triangular_share(amount: float, least: float, usual: float, most: float) -> float:
    """
    Return the cumulative probability of an amount: the inverse of `triangular`.

    >>> triangular_share(2.0, 0, 10, 20), triangular_share(25, 0, 10, 20)
    (0.02, 1.0)
    """
    if amount <= least:
        return 0.0
    if amount >= most:
        return 1.0
    if amount <= usual:
        return (amount - least) ** 2 / ((most - least) * (usual - least))
    return 1 - (most - amount) ** 2 / ((most - least) * (most - usual))


@dataclass(frozen=True)
class Difference:
    """How much more one planner reaches than another over the same seasons: mean, and its interval."""

    mean: float
    low: float
    high: float


def difference(
    one: Sequence[SeasonPlayed], other: Sequence[SeasonPlayed], figure: Callable[[SeasonPlayed], float]
) -> Difference:
    """
    Compare two planners season by season over the same draws (common random numbers).

    Raises ValueError when the draws differ.
    """
    if [played.number for played in one] != [played.number for played in other]:
        msg = "two ways can be compared only over the same seasons"
        raise ValueError(msg)
    gaps = [figure(first) - figure(second) for first, second in zip(one, other, strict=True)]
    low, high = mean_interval(gaps)
    return Difference(statistics.fmean(gaps), low, high)


def share_of_list(household: Household, importance: int) -> Callable[[SeasonPlayed], float]:
    """Return how far the targets of one importance are filled in a season, as a share, by their weights."""
    targets = [target for target in household.targets if target.importance == importance and target.wanted > 0]
    weights = sum(target.weight for target in targets) or 1.0

    def share(played: SeasonPlayed) -> float:
        return sum(target.weight * played.filled[target.name] / target.wanted for target in targets) / weights

    return share


def full_plan(household: Household, whole_days: int, end: datetime.date) -> Planned:
    """Plan in full, as the household itself would."""
    shaped = with_days(household, max(whole_days, household.kitchen.days_planned_singly), end)
    return shaped, plan(shaped)


def hedged_opening(household: Household, whole_days: int, end: datetime.date) -> Planned:
    """Plan for a poor, a likely and a good harvest together; return the plan of the likely one."""
    shaped = with_days(household, max(whole_days, household.kitchen.days_planned_singly), end)
    for_all = replace(shaped, kitchen=replace(shaped.kitchen, plan_for="expected harvest"))
    return shaped, replace(hedged_plan(for_all), hedge=None)


def opening_of(household: Household, settings: Settings) -> tuple[Household, Plan]:
    """Plan the first day by the opener of the settings, or by its planner."""
    opener = settings.opener or settings.planner
    return opener(household, settings.plan_every_days, season_end(household))
