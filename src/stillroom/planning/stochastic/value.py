"""The value of the stochastic solution, and the value of perfect information."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from stillroom.errors import StillroomError
from stillroom.household.plan import Kinded, ObjectiveResult, Plan
from stillroom.household.records import Household
from stillroom.household.scenarios import LIKELY, HarvestCase, days_decided_now, harvest_cases
from stillroom.planning.highs import HighsSession, SolveSettings
from stillroom.planning.objectives import worth_for
from stillroom.planning.solve import Search, optimize, plan, with_full_segments
from stillroom.planning.stochastic.scenarios import Case, Joint, build_cases
from stillroom.planning.stochastic.solve import objectives_over, optimize_late

CLOSE_KG = 1e-5
"""Tolerance in kg when frozen and thawed crop is fixed at another plan's."""

Filled = Mapping[str, Mapping[str, float]]
"""How far each target is filled, by season and target, in the target's unit."""


@dataclass(frozen=True)
class ObjectiveValue(Kinded):
    """
    The expected value of one objective, three ways.

    `hedged` plans for all scenarios together; `one_harvest` does today and tomorrow what the plan for the likely
    harvest alone does, and goes on from there; `foresight` plans with the harvest known. With `most` more is better.
    """

    unit: str
    most: bool
    hedged: float
    one_harvest: float
    foresight: float

    @property
    def of_hedging(self) -> float:
        """
        The value of the stochastic solution: the gain of planning for all scenarios over the likely one.

        >>> ObjectiveValue("money", "money", True, 108390.0, 107240.0, 115406.0).of_hedging
        1150.0
        """
        return (self.hedged - self.one_harvest) * (1.0 if self.most else -1.0)

    @property
    def of_knowing(self) -> float:
        """
        The value of perfect information: what knowing the harvest today would gain on top.

        >>> ObjectiveValue("money", "money", True, 108390.0, 107240.0, 115406.0).of_knowing
        7016.0
        """
        return (self.foresight - self.hedged) * (1.0 if self.most else -1.0)


@dataclass(frozen=True)
class HedgeValue:
    """The objectives in order, and how far each target is filled in each scenario, hedged and not."""

    objectives: tuple[ObjectiveValue, ...]
    hedged: Filled
    one_harvest: Filled

    def more(self) -> list[tuple[str, dict[str, float]]]:
        """Return how much more of each target hedging fills than planning for one harvest, by scenario."""
        return [
            (season, {name: has - self.one_harvest[season][name] for name, has in targets.items()})
            for season, targets in self.hedged.items()
        ]


@dataclass(frozen=True)
class Reached:
    """What one way of planning reaches: objectives, and how far each target is filled in each scenario."""

    objectives: tuple[ObjectiveResult, ...]
    filled: Filled


def hedge_value(household: Household, report: Callable[[str], None] = lambda _: None) -> HedgeValue:
    """
    Plan a settled household three ways and compare them; takes as long as three hedged plans.

    Fixed lines, targets, money and surplus are compared. A later objective counts only where the earlier ones are
    equal.
    """
    cases = harvest_cases(household)
    report("planning for all harvests together")
    hedged = over_seasons(cases)
    report("planning for the likely harvest, and going on from there")
    one_harvest = over_seasons(cases, plan(household))
    report("planning each harvest as if it were known")
    alone = [over_seasons((HarvestCase(case.name, 1.0, case.household),)) for case in cases]
    found = []
    for place, objective in enumerate(hedged.objectives):
        known = sum(case.weight * one.objectives[place].value for case, one in zip(cases, alone, strict=True))
        alone_value, most = one_harvest.objectives[place].value, objective.kind == "target"
        found.append(
            ObjectiveValue(
                objective.kind,
                objective.unit,
                most,
                objective.value,
                alone_value,
                known,
                importance=objective.importance,
            )
        )
    return HedgeValue(tuple(found), hedged.filled, one_harvest.filled)


def over_seasons(cases: tuple[HarvestCase, ...], start: Plan | None = None) -> Reached:
    """
    Solve for the objectives over the scenarios; with `start` today and tomorrow are as in that plan.

    Where a scenario does not allow that, as much of it is done as all scenarios allow.
    """
    joint = build_cases(cases)
    objectives = objectives_over(joint, worth_for(joint.cases[0].parameters), worst_first=False)
    search = Search(joint.cases[0].parameters, joint.together, HighsSession(joint.model))
    if start is not None:
        likely = joint.case(LIKELY)
        fix_opening_decisions(search, decided_in(likely, start, days_decided_now(likely.parameters.household)))
    for objective in objectives:
        if objective.kind == "surplus" and search.best is not None:
            optimize_late(search, joint, objective, {})
        else:
            optimize(search, objective)
    values = values_of(search, joint)
    return Reached(values, {case.name: filled(search, case) for case in joint.cases})


def values_of(search: Search, joint: Joint) -> tuple[ObjectiveResult, ...]:
    """Return the objectives with their values in the plan at hand, segments full."""
    for case in joint.cases:
        search.best = with_full_segments(replace(search, parameters=case.parameters, variables=case.variables))
    best = search.best or ()
    return tuple(
        replace(result, value=sum(cost * best[column] for column, cost in costs.items()))
        for result, costs in zip(search.results, search.costs, strict=True)
    )


def filled(search: Search, case: Case) -> dict[str, float]:
    """Return how far one scenario fills each target, in its unit, in the plan at hand."""
    best, columns, gains = search.best or (), search.solver.columns, case.parameters.gains
    return {
        target.name: sum(
            best[columns[case.variables.filled[target.name, segment].name]] for segment in range(len(gains))
        )
        for target in case.parameters.targets
        if target.wanted > 0
    }


def decided_in(case: Case, start: Plan, decided_now: int) -> dict[str, tuple[float, float]]:
    """Return the bounds that fix the first-stage variables at a plan's values, by name."""
    found = {}
    for variables, amounts, close in (
        (case.variables.make, start.make, 0.0),
        (case.variables.loads, start.loads, 0.0),
        (case.variables.freeze, start.freeze_kg, CLOSE_KG),
        (case.variables.thaw, start.thaw_kg, CLOSE_KG),
    ):
        for key, variable in variables.items():
            if key[1] < decided_now:
                amount = amounts.get(key, 0.0)
                found[variable.name] = (max(0.0, amount - close), amount + close)
    return found


def fix_opening_decisions(search: Search, ends: Mapping[str, tuple[float, float]]) -> None:
    """Set bounds on variables; where infeasible, fix them as near below as all scenarios allow."""
    solver = search.solver
    set_bounds(solver, ends)
    solver.set_objective({}, maximize=False)
    if solver.run(None, SolveSettings()).found:
        return
    set_bounds(solver, {name: (0.0, most) for name, (_, most) in ends.items()})
    solver.set_objective({solver.columns[name]: 1.0 for name in ends}, maximize=True)
    outcome = solver.run(None, SolveSettings(node_limit=1000))
    if not outcome.found:
        raise StillroomError("no plan satisfies every constraint; please report this with the workbook's numbers")
    found = {name: outcome.columns[solver.columns[name]] for name in ends}
    variables = search.variables.model.variables
    set_bounds(
        solver,
        {name: (round(each), round(each)) if variables[name].whole else (0.0, each) for name, each in found.items()},
    )


def set_bounds(solver: HighsSession, ends: Mapping[str, tuple[float, float]]) -> None:
    """Set the bounds of variables, by name."""
    for name, (least, most) in ends.items():
        solver.highs.changeColBounds(solver.columns[name], least, most)
