"""The way from a settled household to a plan: aim after aim, each reached, proved and held."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from stillroom.errors import NoPlanInTime, StillroomError
from stillroom.household.plan import Kind, ObjectiveResult, Plan
from stillroom.household.records import Household
from stillroom.planning.constraints import CONSTRAINTS
from stillroom.planning.cuts import tighten_by_reduced_costs, valid_inequalities
from stillroom.planning.highs import HighsSession, Outcome, SolveSettings
from stillroom.planning.model import Model
from stillroom.planning.objectives import LARGE, Objective, objectives_for
from stillroom.planning.parameters import Parameters
from stillroom.planning.show import Constraint
from stillroom.planning.solution import extract_plan, move_sessions_earlier
from stillroom.planning.variables import Variables, define_variables
from stillroom.planning.violations import explain_violations

# The model, built once: variables made, every constraint's rows added.


def build(household: Household, constraints: Mapping[str, Constraint] = CONSTRAINTS) -> tuple[Parameters, Variables]:
    """
    Build the model of a settled household with these constraints; the model hangs on the variables.

    Raises KeyError when two rows or variables would get one name.
    """
    parameters = Parameters(household)
    variables = define_variables(parameters, Model("stillroom"))
    for constraint in constraints.values():
        for label, row in constraint(parameters, variables):
            variables.model.add(label, row)
    return parameters, variables


PATIENT_NODES = 20
"""Nodes of the search after which the wider of an objective's two gaps is good enough."""

CUT_POOL_LIMIT = 500
"""Cuts kept in hand for a model that is not large: with HiGHS's own 10,000 a node took half as long again."""

LAST: Kind = "labor"
"""
The kind of the objective that is searched for in what the others have left: all that they constraint out is said
beforehand.
"""

SMALL_AMOUNTS = (0.5, 0.2, 0.05, 0.01)
"""Parts of a container in a week that are left out where the objectives held allow it, the largest first."""

Report = Callable[[str], None]


@dataclass
class Search:
    """The state of a solve: HiGHS, the best plan so far, and the seconds that are left."""

    parameters: Parameters
    variables: Variables
    solver: HighsSession
    best: tuple[float, ...] | None = None
    results: list[ObjectiveResult] = field(default_factory=list)
    costs: list[dict[int, float]] = field(default_factory=list)
    objectives: list[Objective] = field(default_factory=list)
    ends_at: float | None = None

    def seconds_left(self) -> float | None:
        """Seconds until the time limit, None without one."""
        return None if self.ends_at is None else max(0.01, self.ends_at - time.monotonic())

    def large(self) -> bool:
        """
        Return whether the model is so large that its objectives have settings of their own, and a relaxation takes
        long.
        """
        return sum(self.solver.whole) > LARGE

    def out_of_time(self) -> bool:
        """Return whether the time limit has passed."""
        return self.ends_at is not None and time.monotonic() >= self.ends_at


def plan(household: Household, time_limit_seconds: float | None = None, report: Report | None = None) -> Plan:
    """
    Plan a settled household.

    The same household gives the same plan, whatever the order of its records and however fast the machine, unless a
    time limit cuts the search; a limit never passes for a proof and never loses the best plan found. `report` is called
    with a few words before each objective.

    Raises NoPlanInTime when there is no plan at all within the limit.
    """
    ends_at = None if time_limit_seconds is None else time.monotonic() + time_limit_seconds
    parameters, variables = build(household)
    search = Search(parameters, variables, HighsSession(variables.model), ends_at=ends_at)
    for objective in objectives_for(parameters):
        if report is not None:
            report(objective.name)
        if objective.kind == LAST and not search.large():
            tighten_bounds(search)
        optimize(search, objective)
    if search.best is None:
        optimize(search, Objective("helper", "", lambda _parameters, _variables: []))
        search.results.pop()
        search.costs.pop()
        search.objectives.pop()
    if search.best is None:  # pragma: no cover - reach has raised
        raise NoPlanInTime("no plan was found")
    polish(search)
    search.best = without_idle_setups(search)
    search.best = with_full_segments(search)
    columns = dict(zip(search.solver.columns, search.best, strict=True))
    found = move_sessions_earlier(search.parameters, extract_plan(search.parameters, search.variables, columns, final_results(search)))
    return (
        replace(found, violations=explain_violations(search.parameters, search.variables, found.violations))
        if found.violations
        else found
    )


def optimize(search: Search, objective: Objective) -> None:
    """Reach one objective as well as possible and hold it."""
    began = time.monotonic()
    costs = search.solver.vector(objective.terms(search.parameters, search.variables))
    search.costs.append(costs)
    search.objectives.append(objective)
    trivial = trivial_result(search, objective, costs)
    if trivial is not None:
        search.results.append(trivial)
        limit_objective(search, objective, costs, trivial.value)
        return
    search.solver.set_objective(costs, most=objective.most)
    if objective.improve_start_first:
        improve_start(search)
    outcome = with_bound(search, solve_objective(search, objective))
    if not outcome.found:
        if search.best is None:
            raise NoPlanInTime(f"no plan was found within the time limit ({objective.name} was being worked on)")
        outcome = keep_incumbent(search, objective, costs, outcome)
    search.best = outcome.columns
    seconds = time.monotonic() - began
    away = abs(outcome.value - outcome.bound)
    proved = outcome.gap <= objective.patient_gap + 1e-9 or away <= max(objective.absolute_gap, objective.absolute_tolerance)
    stopped = "" if proved else outcome.stopped
    search.results.append(
        objective.result(outcome.value, outcome.bound, proved=proved, seconds=seconds, stopped=stopped)
    )
    limit_objective(search, objective, costs, outcome.value)


def tighten_bounds(search: Search) -> None:
    """
    Say what the objectives that are held constraint out, so that the search for the last one need not find it out.
    """
    if search.best is None:
        return
    search.solver.add_rows(valid_inequalities(search.parameters, search.variables))
    held = [
        (costs, objective.most, objective_limit(objective, result.value))
        for objective, result, costs in zip(search.objectives, search.results, search.costs, strict=True)
        if costs
    ]
    tighten_by_reduced_costs(search.solver, held, search.best)


def improve_start(search: Search) -> None:
    """
    Make the plan at hand a better start for the objective at hand: idle setups taken back, amounts decided for it.

    The objectives before leave setups standing that cost them nothing, and a search that starts from those can take
    longer to find that out than to prove the plan.
    """
    if search.best is not None:
        search.best = search.solver.solve_amounts(without_idle_setups(search)) or search.best


def with_bound(search: Search, outcome: Outcome) -> Outcome:
    """Return an outcome a bound where the search ended without: that of the objective when nothing has to be whole."""
    if not outcome.found or math.isfinite(outcome.bound):
        return outcome
    relaxed = search.solver.solve_relaxation()
    return outcome if relaxed is None else replace(outcome, bound=relaxed.value)


def trivial_result(search: Search, objective: Objective, costs: dict[int, float]) -> ObjectiveResult | None:
    """
    Return an objective that needs no search: nothing in it, or the plan at hand already has the least that is possible,
    0.
    """
    if not costs and objective.kind != "helper":
        return objective.result(0.0, 0.0, proved=True)
    if search.best is None or objective.most or min(costs.values(), default=0.0) < 0:
        return None
    value = sum(cost * search.best[column] for column, cost in costs.items())
    return objective.result(0.0, 0.0, proved=True) if value <= 1e-9 else None


def solve_objective(search: Search, objective: Objective) -> Outcome:
    """
    Run to the objective's own gap; after a stated number of nodes its wider gap is enough; then it is left unproved.

    The plan at hand keeps every constraint and every hold, so an answer that nothing does comes from slack below the
    solver's tolerance: the holds get more of it and the objective is tried again.
    """
    solver = search.solver
    large = search.large()
    heuristics = objective.heuristics_when_large if large else objective.heuristics
    node_limit = objective.node_limit_when_large if large else objective.node_limit
    effort = SolveSettings(
        objective.gap,
        objective.absolute_gap,
        objective.patient_gap,
        PATIENT_NODES,
        node_limit,
        heuristics,
        objective.branching_trials,
    )
    effort = effort if large else replace(effort, heuristic_effort=objective.heuristic_effort, cut_pool_limit=CUT_POOL_LIMIT)
    outcome = solver.run(search.best, effort, search.seconds_left())
    for share in (1e-6, 1e-5, 1e-4):
        if not outcome.infeasible or not solver.objective_rows:
            break
        solver.relax_objective_bounds(share)
        outcome = solver.run(search.best, effort, search.seconds_left())
    if outcome.infeasible and not solver.objective_rows:
        raise StillroomError("no plan keeps every rule; please send the workbook's figures to whoever keeps this tool")
    return outcome


def keep_incumbent(search: Search, objective: Objective, costs: dict[int, float], outcome: Outcome) -> Outcome:
    """Return the plan at hand, when an objective gave nothing better in its time: never lost, never called proved."""
    best = search.best or ()
    value = sum(cost * best[column] for column, cost in costs.items())
    far = sum(max(0.0, cost) for cost in costs.values()) if objective.most else 0.0
    bound = outcome.bound if abs(outcome.bound) < 1e15 else far
    return Outcome(
        found=True, value=value, bound=bound, stopped=outcome.stopped or "unsolved", nodes=outcome.nodes, columns=best
    )


def limit_objective(search: Search, objective: Objective, costs: dict[int, float], value: float) -> None:
    """Hold an objective at its value, less a slack well above the solver's tolerance."""
    if not costs:
        return
    if objective.most:
        search.solver.add_objective_bound(costs, least=objective_limit(objective, value), most=None)
    else:
        search.solver.add_objective_bound(costs, least=None, most=objective_limit(objective, value))


def objective_limit(objective: Objective, value: float) -> float:
    """Return the worst that an objective may come to while later ones are improved."""
    slack = max(objective.relative_tolerance * abs(value), objective.absolute_tolerance)
    return value - slack if objective.most else value + slack


def polish(search: Search) -> None:
    """
    Set every whole number exactly, and decide the amounts again for the last objective, without crumbs.

    A part of a container in a week is nobody's work where the plan is as good without it: mostly it is what the slack
    of the holds let fall. (Measured and left: deciding every objective again without slack gives a later importance
    less, up to 0.7 % on the demo households, than was proved for it while the earlier ones were held with theirs.)
    """
    solver = search.solver
    search.best = without_idle_setups(search)
    solver.fix_integers(search.best)
    solver.relax_objective_bounds(1e-6)
    outcome = solver.run(search.best, SolveSettings())
    if outcome.found:
        search.best = outcome.columns
    for crumb in SMALL_AMOUNTS:
        small = small_weekly_amounts(search, crumb)
        solver.fix_at_zero(small, fix=True)
        outcome = solver.run(search.best, SolveSettings())
        if outcome.found:
            search.best = outcome.columns
            return
        solver.fix_at_zero(small, fix=False)


def small_weekly_amounts(search: Search, below: float) -> list[int]:
    """Return the columns of what is made in a week of less than a part of a container."""
    columns, best = search.solver.columns, search.best or ()
    made = search.variables.make.items()
    weekly = [columns[v.name] for (_, number), v in made if not search.parameters.periods[number].single]
    return [column for column in weekly if 0.0 < best[column] < below]


def without_idle_setups(search: Search) -> tuple[float, ...]:
    """Return the plan at hand, where a setup that nothing is made or frozen under is taken back."""
    best = list(search.best or ())
    column = search.solver.columns
    variables = search.variables
    for setups, amounts in ((variables.setup, variables.make), (variables.setup_freeze, variables.freeze)):
        for key, setup in setups.items():
            if best[column[amounts[key].name]] < 1e-6:
                best[column[setup.name]] = 0.0
    return tuple(best)


def with_full_segments(search: Search) -> tuple[float, ...]:
    """
    Return the plan at hand, where every target is filled as far as what is made fills it: later objectives let segments
    go slack.
    """
    best = list(search.best or ())
    column, parameters = search.solver.columns, search.parameters
    for target in parameters.targets:
        if target.wanted <= 0:
            continue
        covered = 0.0
        for name, each in target.counts.items():
            made = sum(share * best[column[v.name]] for share, v in search.variables.net(parameters, name))
            covered += each * (parameters.good_on_shelf.get(name, 0.0) + made)
        size = target.wanted / len(parameters.gains)
        for segment in range(len(parameters.gains)):
            best[column[search.variables.filled[target.name, segment].name]] = min(size, max(0.0, covered - segment * size))
    return tuple(best)


def final_results(search: Search) -> tuple[ObjectiveResult, ...]:
    """
    Return the objectives with the values that the finished plan has, later objectives and rounding included; bounds as
    proved.

    Where the slack given up by earlier objectives let a later one come out better than its bound was then, the value
    itself is the bound.
    """
    best = search.best or ()
    found = []
    for objective, result, costs in zip(search.objectives, search.results, search.costs, strict=True):
        value = sum(cost * best[column] for column, cost in costs.items())
        value = 0.0 if abs(value) < 1e-9 else value
        bound = max(result.bound, value) if objective.most else min(result.bound, value)
        found.append(replace(result, value=value, bound=bound))
    return tuple(found)
