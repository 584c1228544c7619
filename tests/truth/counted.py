"""The planner's aims of a small household beside the best of every plan there is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tests.truth.by_counting import Tried, every_plan

from stillroom.household.plan import EFFORT_PRICES, ObjectiveResult
from stillroom.household.records import Household
from stillroom.planning.objectives import OBJECTIVES
from stillroom.planning.solve import plan

COUNTED = ("targets 1", "targets 2", "targets 3", "money", "effort")
"""The objectives that can be counted, in their order; there are no fixed lines and no former plan here."""

ROUNDING = 1e-6


@dataclass(frozen=True)
class Counted:
    """
    One objective of one household.

    `best` is the best of every plan when each objective before it is held exactly; `best_with_slack` when each
    objective before it may give up what the planner's holds allow, twice over. The planner's value lies between them
    but for its own gap.
    """

    objective: str
    planner: ObjectiveResult
    best: float
    best_with_slack: float
    right: bool


def counted(household: Household, most: int = 400_000) -> tuple[int, list[Counted]]:
    """
    How many plans keep the constraints, and each objective of the planner beside the best of them; TooMany when too
    many.
    """
    tried = every_plan(household, most)
    results = {objective.name: objective for objective in plan(household).objectives}
    rows = []
    strict, loose = tried, tried
    for name in COUNTED:
        if name not in results:
            continue
        objective = next(one for one in OBJECTIVES if one.name == name)
        sign = 1.0 if objective.maximize else -1.0
        best = max(sign * figure(one, name) for one in strict)
        with_slack = max(sign * figure(one, name) for one in loose)
        result = results[name]
        gap = (
            (objective.patient_gap + objective.relative_tolerance) * abs(best)
            + max(objective.absolute_tolerance, objective.absolute_gap, objective.patient_absolute_gap)
            + ROUNDING
        )
        right = best - gap <= sign * result.value <= with_slack + ROUNDING
        right = right and best <= sign * result.bound + objective.relative_tolerance * abs(best) + ROUNDING
        rows.append(Counted(name, result, sign * best, sign * with_slack, right))
        slack = (
            2 * max(objective.relative_tolerance * abs(best), objective.absolute_tolerance)
            + objective.patient_gap * abs(best)
            + ROUNDING
        )
        strict = [one for one in strict if sign * figure(one, name) >= best - ROUNDING]
        loose = [one for one in loose if sign * figure(one, name) >= best - slack]
    return len(tried), rows


def figure(tried: Tried, objective: str) -> float:
    """The value of an objective in a plan that was tried."""
    if objective.startswith("targets"):
        return tried.points[int(objective[-1]) - 1]
    price = EFFORT_PRICES["normal"].surplus_kg
    return {"money": tried.money, "effort": price * tried.surplus + tried.hands}[objective]


def wrong(rows: list[Counted]) -> Iterator[str]:
    """A sentence for each objective that the planner and the counting do not agree on."""
    for row in rows:
        if not row.right:
            best = f"{row.best:.4f} (with slack {row.best_with_slack:.4f})"
            yield f"{row.objective}: planned {row.planner.value:.4f}, bound {row.planner.bound:.4f}, counted {best}"
