"""The way from a settled household to a plan: aim after aim, each reached, proved and held."""

from __future__ import annotations

import math
import time
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from stillroom.errors import NoPlanInTime, StillroomError
from stillroom.household.plan import Kind, ObjectiveResult, Plan
from stillroom.household.progress import Progress
from stillroom.household.records import Household
from stillroom.planning.constraints import CONSTRAINTS
from stillroom.planning.cuts import narrow, sharper
from stillroom.planning.highs import Effort, Outcome, Solver
from stillroom.planning.model import Programme
from stillroom.planning.objectives import LARGE, Objective, objectives_for
from stillroom.planning.parameters import Parameters
from stillroom.planning.show import Constraint
from stillroom.planning.solution import read_off, sooner
from stillroom.planning.variables import Variables, variables
from stillroom.planning.violations import explained

# The programme, built once: decisions made, every rule's rows added.


def build(household: Household, constraints: Mapping[str, Constraint] = CONSTRAINTS) -> tuple[Parameters, Variables]:
    """
    Build the programme of a settled household with these rules; the programme hangs on the decisions.

    Raises KeyError when two rows or decisions would get one name.
    """
    parameters = Parameters(household)
    define_variables = variables(parameters, Programme("stillroom"))
    for constraint in constraints.values():
        for label, row in constraint(parameters, define_variables):
            define_variables.programme.add(label, row)
    return parameters, define_variables


PATIENT_NODES = 20
"""Nodes of the search after which the wider of an aim's two gaps is good enough."""

CUTS_KEPT = 500
"""Cuts kept in hand for a programme that is not large: with HiGHS's own 10,000 a node took half as long again."""

LAST: Kind = "labor"
"""The kind of the aim that is searched for in what the others have left: all that they rule out is said beforehand."""

CRUMBS = (0.5, 0.2, 0.05, 0.01)
"""Parts of a container in a week that are left out where the aims held allow it, the largest first."""


@dataclass
class Search:
    """The state of a solve: HiGHS, the best plan so far, and the seconds that are left."""

    parameters: Parameters
    variables: Variables
    solver: Solver
    best: tuple[float, ...] | None = None
    results: list[ObjectiveResult] = field(default_factory=list)
    costs: list[dict[int, float]] = field(default_factory=list)
    objectives: list[Objective] = field(default_factory=list)
    ends_at: float | None = None

    def seconds_left(self) -> float | None:
        """Seconds until the time limit, None without one."""
        return None if self.ends_at is None else max(0.01, self.ends_at - time.monotonic())

    def large(self) -> bool:
        """Whether the programme is so large that its aims have settings of their own, and a relaxation takes long."""
        return sum(self.solver.whole) > LARGE

    def out_of_time(self) -> bool:
        """Whether the time limit has passed."""
        return self.ends_at is not None and time.monotonic() >= self.ends_at


def plan(household: Household, time_limit_seconds: float | None = None, tell: Progress | None = None) -> Plan:
    """
    Plan a settled household.

    The same household gives the same plan, whatever the order of its records and however fast the machine, unless a
    time limit cuts the search; a limit never passes for a proof and never loses the best plan found. `tell` is called
    with a few words before each aim.

    Raises NoPlanInTime when there is no plan at all within the limit.
    """
    ends_at = None if time_limit_seconds is None else time.monotonic() + time_limit_seconds
    parameters, variables = build(household)
    search = Search(parameters, variables, Solver(variables.programme), ends_at=ends_at)
    for objective in objectives_for(parameters):
        if tell is not None:
            tell(objective.name)
        if objective.kind == LAST and not search.large():
            close_in(search)
        reach(search, objective)
    if search.best is None:
        reach(search, Objective("helper", "", lambda _parameters, _variables: []))
        search.results.pop()
        search.costs.pop()
        search.objectives.pop()
    if search.best is None:  # pragma: no cover - reach has raised
        raise NoPlanInTime("no plan was found")
    polish(search)
    search.best = without_idle_setups(search)
    search.best = with_full_bands(search)
    columns = dict(zip(search.solver.columns, search.best, strict=True))
    found = sooner(search.parameters, read_off(search.parameters, search.variables, columns, as_it_is(search)))
    return (
        replace(found, violations=explained(search.parameters, search.variables, found.violations))
        if found.violations
        else found
    )


def reach(search: Search, objective: Objective) -> None:
    """Reach one aim as well as possible and hold it."""
    began = time.monotonic()
    costs = search.solver.vector(objective.terms(search.parameters, search.variables))
    search.costs.append(costs)
    search.objectives.append(objective)
    trivial = trivial_result(search, objective, costs)
    if trivial is not None:
        search.results.append(trivial)
        hold(search, objective, costs, trivial.value)
        return
    search.solver.aim_at(costs, most=objective.most)
    if objective.made_ready:
        make_ready(search)
    outcome = with_bound(search, run_patiently(search, objective))
    if not outcome.found:
        if search.best is None:
            raise NoPlanInTime(f"no plan was found within the time limit ({objective.name} was being worked on)")
        outcome = keep_best(search, objective, costs, outcome)
    search.best = outcome.columns
    seconds = time.monotonic() - began
    away = abs(outcome.value - outcome.bound)
    proved = outcome.gap <= objective.patient_gap + 1e-9 or away <= max(objective.close_enough, objective.least_slack)
    stopped = "" if proved else outcome.stopped
    search.results.append(
        objective.result(outcome.value, outcome.bound, proved=proved, seconds=seconds, stopped=stopped)
    )
    hold(search, objective, costs, outcome.value)


def close_in(search: Search) -> None:
    """Say what the aims that are held rule out, so that the search for the last one need not find it out."""
    if search.best is None:
        return
    search.solver.add_rows(sharper(search.parameters, search.variables))
    held = [
        (costs, objective.most, held_at(objective, result.value))
        for objective, result, costs in zip(search.objectives, search.results, search.costs, strict=True)
        if costs
    ]
    narrow(search.solver, held, search.best)


def make_ready(search: Search) -> None:
    """
    Make the plan at hand a better start for the aim at hand: idle set-ups taken back, amounts decided for it.

    The aims before leave set-ups standing that cost them nothing, and a search that starts from those can take longer
    to find that out than to prove the plan.
    """
    if search.best is not None:
        search.best = search.solver.amounts(without_idle_setups(search)) or search.best


def with_bound(search: Search, outcome: Outcome) -> Outcome:
    """Give an outcome a bound where the search ended without: that of the aim when nothing has to be whole."""
    if not outcome.found or math.isfinite(outcome.bound):
        return outcome
    relaxed = search.solver.relaxed()
    return outcome if relaxed is None else replace(outcome, bound=relaxed.value)


def trivial_result(search: Search, objective: Objective, costs: dict[int, float]) -> ObjectiveResult | None:
    """An aim that needs no search: nothing in it, or the plan at hand already has the least that is possible, 0."""
    if not costs and objective.kind != "helper":
        return objective.result(0.0, 0.0, proved=True)
    if search.best is None or objective.most or min(costs.values(), default=0.0) < 0:
        return None
    value = sum(cost * search.best[column] for column, cost in costs.items())
    return objective.result(0.0, 0.0, proved=True) if value <= 1e-9 else None


def run_patiently(search: Search, objective: Objective) -> Outcome:
    """
    Run to the aim's own gap; after a stated number of nodes its wider gap is enough; then it is left unproved.

    The plan at hand keeps every rule and every hold, so an answer that nothing does comes from slack below the
    solver's tolerance: the holds get more of it and the aim is tried again.
    """
    solver = search.solver
    large = search.large()
    helped_by = objective.helped_by_when_large if large else objective.helped_by
    last_nodes = objective.last_nodes_when_large if large else objective.last_nodes
    effort = Effort(
        objective.gap,
        objective.close_enough,
        objective.patient_gap,
        PATIENT_NODES,
        last_nodes,
        helped_by,
        objective.trials,
    )
    effort = effort if large else replace(effort, help_share=objective.help_share, cuts_kept=CUTS_KEPT)
    outcome = solver.run(search.best, effort, search.seconds_left())
    for share in (1e-6, 1e-5, 1e-4):
        if not outcome.infeasible or not solver.held:
            break
        solver.loosen_holds(share)
        outcome = solver.run(search.best, effort, search.seconds_left())
    if outcome.infeasible and not solver.held:
        raise StillroomError("no plan keeps every rule; please send the workbook's figures to whoever keeps this tool")
    return outcome


def keep_best(search: Search, objective: Objective, costs: dict[int, float], outcome: Outcome) -> Outcome:
    """The plan at hand, when an aim gave nothing better in its time: never lost, never called proved."""
    best = search.best or ()
    value = sum(cost * best[column] for column, cost in costs.items())
    far = sum(max(0.0, cost) for cost in costs.values()) if objective.most else 0.0
    bound = outcome.bound if abs(outcome.bound) < 1e15 else far
    return Outcome(
        found=True, value=value, bound=bound, stopped=outcome.stopped or "unsolved", nodes=outcome.nodes, columns=best
    )


def hold(search: Search, objective: Objective, costs: dict[int, float], value: float) -> None:
    """Hold an aim at its value, less a slack well above the solver's tolerance."""
    if not costs:
        return
    if objective.most:
        search.solver.hold(costs, least=held_at(objective, value), most=None)
    else:
        search.solver.hold(costs, least=None, most=held_at(objective, value))


def held_at(objective: Objective, value: float) -> float:
    """The worst that an aim may come to while later ones are improved."""
    slack = max(objective.slack_share * abs(value), objective.least_slack)
    return value - slack if objective.most else value + slack


def polish(search: Search) -> None:
    """
    Set every whole number exactly, and decide the amounts once more for the last aim, without crumbs.

    A part of a container in a week is nobody's work where the plan is as good without it: mostly it is what the slack
    of the holds let fall. (Measured and left: deciding every aim again without slack gives a later importance less, up
    to 0.7 % on the demo households, than was proved for it while the earlier ones were held with theirs.)
    """
    solver = search.solver
    search.best = without_idle_setups(search)
    solver.fix_whole(search.best)
    solver.loosen_holds(1e-6)
    outcome = solver.run(search.best, Effort())
    if outcome.found:
        search.best = outcome.columns
    for crumb in CRUMBS:
        small = crumbs(search, crumb)
        solver.forbid(small, forbid=True)
        outcome = solver.run(search.best, Effort())
        if outcome.found:
            search.best = outcome.columns
            return
        solver.forbid(small, forbid=False)


def crumbs(search: Search, below: float) -> list[int]:
    """The columns of what is made in a week of less than a part of a container."""
    columns, best = search.solver.columns, search.best or ()
    made = search.variables.make.items()
    weekly = [columns[v.name] for (_, number), v in made if not search.parameters.periods[number].single]
    return [column for column in weekly if 0.0 < best[column] < below]


def without_idle_setups(search: Search) -> tuple[float, ...]:
    """The plan at hand, where a set-up that nothing is made or frozen under is taken back."""
    best = list(search.best or ())
    column = search.solver.columns
    variables = search.variables
    for setups, amounts in ((variables.setup, variables.make), (variables.setup_freeze, variables.freeze)):
        for key, setup in setups.items():
            if best[column[amounts[key].name]] < 1e-6:
                best[column[setup.name]] = 0.0
    return tuple(best)


def with_full_bands(search: Search) -> tuple[float, ...]:
    """The plan at hand, where every need is filled as far as what is made fills it: later aims let bands go slack."""
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
        for band in range(len(parameters.gains)):
            best[column[search.variables.filled[target.name, band].name]] = min(size, max(0.0, covered - band * size))
    return tuple(best)


def as_it_is(search: Search) -> tuple[ObjectiveResult, ...]:
    """
    The aims with the values that the finished plan has, later aims and rounding included; bounds as proved.

    Where the slack given up by earlier aims let a later one come out better than its bound was then, the value itself
    is the bound.
    """
    best = search.best or ()
    found = []
    for objective, result, costs in zip(search.objectives, search.results, search.costs, strict=True):
        value = sum(cost * best[column] for column, cost in costs.items())
        value = 0.0 if abs(value) < 1e-9 else value
        bound = max(result.bound, value) if objective.most else min(result.bound, value)
        found.append(replace(result, value=value, bound=bound))
    return tuple(found)
