"""What strict importance costs: how far the targets would be filled if the importances were weighed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.household.plan import Plan
from stillroom.household.records import Household, Target
from stillroom.household.simulation.seasons import filled_by_plan
from stillroom.planning.highs import HighsSession
from stillroom.planning.objectives import points_of
from stillroom.planning.solve import build

COUNTS = {1: 4.0, 2: 2.0, 3: 1.0}
"""What a target of each importance counts where they are weighed."""

MORE = 0.15
"""The share by which all targets together have to gain before it is worth a note."""

LESS = 0.10
"""The share that the targets of the highest importance have to lose: with less, it is no trade of importances."""

KEPT_FIRST = 1000.0
"""Points for each container that a fixed line is short of: more than any target is worth."""


@dataclass(frozen=True)
class Weighed:
    """How far the targets of the highest importance, and all of them, are filled: as planned, and weighed; shares."""

    importance: int
    first: float
    whole: float
    first_weighed: float
    whole_weighed: float


def cost_of_importance(household: Household, plan: Plan) -> Weighed | None:
    """
    Return what strict importance costs the targets together, where that is much; `household` as it was planned.

    The targets are weighed in the linear relaxation, in which jars may be parts, so the shares are rough. None where no
    lower importance falls short or little would be gained.
    """
    targets = [target for target in household.targets if target.wanted > 0]
    first = [target for target in targets if target.importance == min(one.importance for one in targets)]
    filled = filled_by_plan(household, plan)
    if len(first) == len(targets) or share(targets, filled) > 1 - MORE:
        return None
    weighed = filled_when_weighed(household)
    found = Weighed(
        first[0].importance,
        share(first, filled),
        share(targets, filled),
        share(first, weighed),
        share(targets, weighed),
    )
    much = found.whole_weighed - found.whole >= MORE and found.first - found.first_weighed >= LESS
    return found if much else None


def share(targets: list[Target], filled: Mapping[str, float]) -> float:
    """
    Return how far targets are filled on average.

    >>> share([Target("juice", 20, 20), Target("soup", 10, 10)], {"juice": 20.0, "soup": 2.0})
    0.6
    """
    return sum(filled.get(target.name, 0.0) / target.wanted for target in targets) / len(targets)


def filled_when_weighed(household: Household) -> dict[str, float]:
    """
    Return how far each target is filled, in its unit, by the linear relaxation with all importances in one sum.

        maximize sum over n of count[importance[n]] * points[n] - 1000 * sum over i of short[i]

    where count is 4, 2 and 1. Empty when there is no solution.
    """
    parameters, variables = build(household)
    solver = HighsSession(variables.model)
    weights = {one.name: one.weight * COUNTS[one.importance] for one in parameters.targets if one.wanted > 0}
    terms = points_of(parameters, variables, weights)
    terms += [(-KEPT_FIRST, variable) for variable in variables.short.values()]
    solver.set_objective(solver.vector(terms), maximize=True)
    found = solver.solve_relaxation()
    if found is None:
        return {}
    return {
        name: sum(
            float(found.columns[solver.columns[variables.filled[name, segment].name]])
            for segment in range(len(parameters.gains))
        )
        for name in weights
    }
