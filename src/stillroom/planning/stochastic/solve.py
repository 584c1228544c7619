"""Solve for several harvest scenarios together: expected value, or the worst scenario first."""

from __future__ import annotations

import math
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace

from stillroom.errors import NoPlanInTime, StillroomError
from stillroom.household.audit import violated_constraints
from stillroom.household.audit.objectives import proved_within
from stillroom.household.plan import Hedge, Kind, ObjectiveResult, Plan, Progress, SeasonPlan
from stillroom.household.records import Household
from stillroom.household.scenarios import LIKELY, days_decided_now, harvest_cases, planned_for_several
from stillroom.planning import solve
from stillroom.planning.bottlenecks.resolve import sendable_plan
from stillroom.planning.highs import HighsSession
from stillroom.planning.model import Sum, Variable, at_least, at_most
from stillroom.planning.objectives import Objective, Part, objectives_for
from stillroom.planning.parameters import Parameters
from stillroom.planning.solution import explain_violations, extract_plan
from stillroom.planning.solve import (
    LAST,
    Search,
    build,
    final_results,
    limit_objective,
    optimize,
    parts_in,
    polish,
    settings_for,
    trivial_result,
    value_of,
    with_full_segments,
    without_idle_setups,
)
from stillroom.planning.stochastic.scenarios import Case, Joint, build_cases, move_all_earlier
from stillroom.planning.variables import Variables


def weighted(parts: Iterable[tuple[float, Sum]]) -> Sum:
    """Return the weighted sum: an expectation where the weights add up to 1."""
    return [(weight * coefficient, variable) for weight, terms in parts for coefficient, variable in terms]


def expected_value(objective: Objective, joint: Joint) -> Objective:
    """
    Return the expected value of an objective.

        sum over s of weight[s] * objective[s]
    """

    def terms(_parameters: Parameters, _variables: Variables) -> Sum:
        return weighted((case.weight, objective.terms(case.parameters, case.variables)) for case in joint.cases)

    return replace(objective, terms=terms, parts=tuple(expected_part(part, joint) for part in objective.parts))


def expected_part(part: Part, joint: Joint) -> Part:
    """Return the expected value of a part of a priced sum."""

    def terms(_parameters: Parameters, _variables: Variables) -> Sum:
        return weighted((case.weight, part.terms(case.parameters, case.variables)) for case in joint.cases)

    return replace(part, terms=terms)


def worst_season_value(objective: Objective, joint: Joint) -> Objective:
    """
    Return the value of an objective in the worst scenario; adds its constraints to the model.

        maximize worst   where worst <= objective[s] for every scenario s
    """
    name = f"worst.{objective.name.replace(' ', '_')}"
    value = joint.model.variable(name)
    for case in joint.cases:
        terms = [(-coefficient, variable) for coefficient, variable in objective.terms(case.parameters, case.variables)]
        joint.model.add(f"{case.name}.{name}", at_most([(1.0, value), *terms], 0.0))
    return replace(objective, worst_season=True, terms=lambda _parameters, _variables: [(1.0, value)])


def objectives_over(joint: Joint, objectives: Iterable[Objective], *, worst_first: bool) -> tuple[Objective, ...]:
    """
    Return objectives by expected value; with `worst_first` each target objective for the worst scenario first.

    Call it before the model is loaded, since the worst scenario adds constraints.
    """
    found = []
    for objective in objectives:
        if worst_first and objective.kind == "target":
            found.append(worst_season_value(objective, joint))
        found.append(expected_value(objective, joint))
    return tuple(found)


def distance_terms(joint: Joint, case: Case) -> Sum:
    """
    Return the number of containers by which a scenario's later days differ from the likely one; adds its constraints.

        apart[p, t] >= make[p, t] - make_likely[p, t]
        apart[p, t] >= make_likely[p, t] - make[p, t]

    Without it scenarios would differ by days that are equal in every objective.
    """
    likely = joint.case("likely").variables.make
    terms: Sum = []
    for (name, number), made in case.variables.make.items():
        other = likely[name, number]
        if made is other:
            continue
        period = case.parameters.periods[number]
        label = case.variables.name("apart", name, period.label)
        apart: Variable = case.variables.model.variable(label)
        for sign, which in ((1.0, "more"), (-1.0, "less")):
            row = at_least([(1.0, apart), (-sign, made), (sign, other)], 0.0)
            case.variables.model.add(f"{label}.{which}", row)
        terms.append((1.0, apart))
    return terms


# The late objectives, scenario by scenario.

DIFFERENCE_HOURS = 0.02
"""Weight in hours of a container by which a season differs from the likely one; a choice of this project without a
source: large enough to keep equal days equal, too small to move a load."""

NODE_LIMIT_PER_SEASON = 60
"""Node limit for one season: 400 took ten times as long on a demo household and saved no hours."""

SMALL = 300
"""Up to this many integer variables all seasons are solved at once; the demo households have about 1,300."""

SEASON_BY_SEASON = "decided season by season"
"""Why a late objective is not proved: all seasons at once took ten times as long and ended further from the bound."""


def optimize_late(search: Search, joint: Joint, objective: Objective, apart: Mapping[str, dict[int, float]]) -> None:
    """Solve for a late objective: all scenarios at once in a small model, else scenario by scenario."""
    if len(joint.cases) > 1 and sum(search.solver.whole) > SMALL:
        optimize_by_season(search, joint, objective, apart)
        return
    optimize(search, objective)
    for case in joint.cases:
        if case.name in apart:
            optimize_one_season(search, joint, case, objective, search.costs[-1], apart[case.name])


def optimize_by_season(
    search: Search, joint: Joint, objective: Objective, apart: Mapping[str, dict[int, float]]
) -> None:
    """
    Minimize an objective in one scenario after the other, the likely one first, and bound it.

    First-stage variables are free with the likely scenario. `apart` has the cost of differing from it, by scenario. The
    bound is that of the linear relaxation.
    """
    began = time.monotonic()
    costs = search.solver.vector(objective.terms(search.parameters, search.variables))
    search.costs.append(costs)
    search.objectives.append(objective)
    result = trivial_result(search, objective, costs)
    if result is None:
        search.solver.set_objective(costs, maximize=objective.maximize)
        relaxed = search.solver.solve_relaxation()
        bound = -math.inf if relaxed is None else relaxed.value
        for case in sorted(joint.cases, key=lambda case: case.name != LIKELY):
            optimize_one_season(search, joint, case, objective, costs, apart.get(case.name, {}))
        value = sum(cost * (search.best or ())[column] for column, cost in costs.items())
        proved = value - bound <= max(objective.patient_gap * abs(value), objective.absolute_gap)
        seconds = time.monotonic() - began
        stopped = "" if proved else SEASON_BY_SEASON
        result = objective.result(value, bound, proved=proved, seconds=seconds, stopped=stopped)
    search.results.append(result)
    limit_objective(search, objective, costs, result.value)


def optimize_one_season(
    search: Search,
    joint: Joint,
    case: Case,
    objective: Objective,
    costs: Mapping[int, float],
    apart: Mapping[int, float],
) -> None:
    """Solve for one scenario's later days while those of the others are fixed."""
    hours = {column: DIFFERENCE_HOURS * case.weight * cost for column, cost in apart.items()}
    search.solver.set_objective({**hours, **costs}, maximize=False)
    with fixed_columns(search, columns_to_fix(search, joint, case)):
        fewer = replace(objective, node_limit=min(objective.node_limit, NODE_LIMIT_PER_SEASON))
        outcome = search.solver.run(search.best, settings_for(fewer), search.seconds_left())
    if outcome.found:
        search.best = outcome.columns


def columns_to_fix(search: Search, joint: Joint, case: Case) -> list[int]:
    """
    Return the columns to fix while one scenario is solved for.

    For the likely one the integers of the others' later days; for any other all that is not its own.
    """
    own = f"{case.name}."
    others = tuple(f"{other.name}." for other in joint.cases if other.name != case.name)
    columns, whole = search.solver.columns, search.solver.whole
    if case.name == LIKELY:
        return [column for name, column in columns.items() if whole[column] and name.startswith(others)]
    return [column for name, column in columns.items() if not name.startswith(own)]


@contextmanager
def fixed_columns(search: Search, columns: Sequence[int]) -> Iterator[None]:
    """Fix columns at their values within the context, and restore their bounds after it."""
    highs, best = search.solver.highs, search.best or ()
    model = highs.getLp()
    ends = [(column, model.col_lower_[column], model.col_upper_[column]) for column in columns]
    for column in columns:
        value = round(best[column]) if search.solver.whole[column] else best[column]
        highs.changeColBounds(column, value, value)
    try:
        yield
    finally:
        for column, lower, upper in ends:
            highs.changeColBounds(column, lower, upper)


LATE: tuple[Kind, ...] = ("surplus", "effort")
"""The kinds of objectives that are solved season by season."""


def hedged_plan(household: Household, time_limit_seconds: float | None = None, report: Progress | None = None) -> Plan:
    """
    Plan a settled household for a poor, a likely and a good harvest together.

    The plan is that of the likely scenario; today and tomorrow are the same in all of them, and `hedge` has the other
    plans and the objectives over all. Without uncertainty, or when the household plans for the likely harvest alone, it
    is the plain plan.

    Raises NoPlanInTime when there is no plan within the limit, StillroomError when the plan of another scenario
    violates a constraint.
    """
    if not planned_for_several(household):
        return solve.plan(household, time_limit_seconds, report)
    cases = harvest_cases(household)
    ends_at = None if time_limit_seconds is None else time.monotonic() + time_limit_seconds
    joint = build_cases(cases)
    search = solve_objectives(joint, household.kitchen.plan_for == "worst harvest", ends_at, report)
    if search.best is None:
        raise NoPlanInTime("no plan was found")
    polish(search)
    return finished(household, joint, search)


def solve_objectives(joint: Joint, worst_first: bool, ends_at: float | None, report: Progress | None) -> Search:
    """Solve for every objective over the scenarios, one after the other."""
    objectives, apart = state_objectives(joint, worst_first=worst_first)
    search = Search(joint.case(LIKELY).parameters, joint.together, HighsSession(joint.model), ends_at=ends_at)
    columns = {name: search.solver.vector(terms) for name, terms in apart.items()}
    for objective in objectives:
        if report is not None:
            report(f"{objective.name}, all seasons")
        if objective.kind in LATE and search.best is not None:
            optimize_late(search, joint, objective, columns if objective.kind == LAST else {})
        else:
            optimize(search, objective)
    return search


def state_objectives(joint: Joint, *, worst_first: bool) -> tuple[tuple[Objective, ...], dict[str, Sum]]:
    """Return every objective over the scenarios, and each one's distance from the likely scenario."""
    given = joint.cases[0].parameters
    objectives = objectives_over(joint, objectives_for(given), worst_first=worst_first)
    return objectives, {case.name: distance_terms(joint, case) for case in joint.cases if case.name != LIKELY}


def finished(household: Household, joint: Joint, search: Search) -> Plan:
    """Return the plan with those of all scenarios, sessions moved earlier; all but the likely one audited."""
    search.best = without_idle_setups(search)
    for case in joint.cases:
        search.best = with_full_segments(replace(search, parameters=case.parameters, variables=case.variables))
    over_all = final_results(search)
    columns = dict(zip(search.solver.columns, search.best, strict=True))
    plans = {
        case.name: extract_plan(case.parameters, case.variables, columns, objectives_in(search, case, over_all))
        for case in joint.cases
    }
    parameters = {case.name: case.parameters for case in joint.cases}
    plans = move_all_earlier(parameters, plans, days_decided_now(household))
    seasons = []
    for case in joint.cases:
        if case.name != LIKELY:
            one = sendable_plan(plans[case.name])
            broken = violated_constraints(case.parameters.household, one)
            if broken:
                msg = f"the plan for a {case.name} harvest violates a constraint: " + "; ".join(broken[:3])
                raise StillroomError(msg)
            seasons.append(SeasonPlan(case.name, case.weight, one))
    likely = plans[LIKELY]
    if likely.violations:
        likely = replace(
            likely, violations=explain_violations(*build(joint.case(LIKELY).parameters.household), likely.violations)
        )
    hedge = Hedge(tuple(seasons), joint.case(LIKELY).weight, days_decided_now(household), over_all)
    return replace(likely, hedge=hedge)


def objectives_in(search: Search, case: Case, over_all: tuple[ObjectiveResult, ...]) -> tuple[ObjectiveResult, ...]:
    """
    Return the objectives' results in one scenario.

        bound[s] = value[s] + (bound - value) / weight[s]

    where value and bound are those over all scenarios: with the others as they are, this one cannot be better.
    """
    results = {result.key: result for result in over_all}
    best = search.best or ()
    found = []
    for objective in objectives_for(case.parameters):
        result = results[objective.key]
        costs = search.solver.vector(objective.terms(case.parameters, case.variables))
        value = value_of(costs, best)
        away = (result.bound - result.value) / case.weight
        proved = result.proved and abs(away) <= proved_within(replace(result, value=value))
        stopped = "" if proved else result.stopped or SEASON_BY_SEASON
        parts = parts_in(replace(search, parameters=case.parameters, variables=case.variables), objective)
        found.append(replace(result, value=value, bound=value + away, proved=proved, stopped=stopped, parts=parts))
    return tuple(found)
