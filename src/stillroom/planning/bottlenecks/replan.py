"""A quick re-solve for a changed household: fixed lines and targets, small losses, money and surplus."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from typing import TypeVar

from stillroom.errors import StillroomError
from stillroom.household.audit import violated_constraints
from stillroom.household.plan import ObjectiveResult, Plan, Progress
from stillroom.household.records import Household
from stillroom.household.results.bottlenecks import Bottleneck
from stillroom.household.simulation.seasons import filled_by_plan
from stillroom.planning.bottlenecks.resolve import (
    LEAST_CHANGE_KG,
    LEAST_CHANGE_MONEY,
    Quick,
    changed,
    changes,
    gain_threshold,
    gained,
    is_feasible,
    made_by,
    margin,
    optimize_from,
    sendable,
    sendable_plan,
    spent_by,
)
from stillroom.planning.bottlenecks.resources import columns_from, columns_of
from stillroom.planning.highs import HighsSession
from stillroom.planning.model import Sum, at_least
from stillroom.planning.objectives import Objective, worth_for
from stillroom.planning.parameters import Parameters
from stillroom.planning.solution import extract_plan
from stillroom.planning.solve import Search, build, find_any_plan, fix_integers, optimize
from stillroom.planning.variables import Variables

__all__ = ["Quick", "gained", "margin", "quick_plan", "sendable", "sendable_plan"]


SURPLUS_HEURISTICS = ("root_reduced_cost", "rins")
"""Heuristics for surplus alone: measured on varied households, without the second a search took up to ten times."""


@dataclass
class ReSolveState:
    """
    The state of a quick re-solve: the search, what was reached before, and the objectives reached now.

    `feasible` is whether the plan at hand satisfies every constraint and has everything reached before; an objective
    may then stop as soon as it surely gains nothing. `start` is that plan.
    """

    search: Search
    before: Quick | None
    feasible: bool
    reached: list[ObjectiveResult] = field(default_factory=list)
    start: tuple[float, ...] | None = None

    def was(self, objective: Objective) -> ObjectiveResult | None:
        """Return what an objective reached before."""
        return None if self.before is None else self.before.objective(objective)

    def unchanged(self, money: ObjectiveResult | None = None, surplus: ObjectiveResult | None = None) -> Quick | None:
        """Return what was reached before if no objective found another plan: there is nothing to extract or audit."""
        if self.before is None or self.start is None or self.search.best is not self.start:
            return None
        reached = tuple(self.reached)
        return replace(self.before, objectives=reached, money=money, surplus=surplus, plan=None, tightened=False)

    def targets_changed(self) -> bool:
        """Return whether fixed lines or targets surely gained or lost against before."""
        return self.before is None or changed(self.reached, self.before.objectives)


def quick_plan(
    household: Household,
    at_hand: Plan | None = None,
    before: Quick | None = None,
    *,
    targets_only: bool = False,
    objectives_only: bool = False,
    with_plan: bool = True,
    forced: tuple[str, float] | None = None,
) -> Quick:
    """
    Plan a settled household quickly, with the plan at hand as a warm start.

    The objectives are those of what a plan is worth. With `before`, what the plan at hand reached,
    a target objective that is not proved to gain is bounded where it was, and within the targets as little as possible
    is lost; a difference is then a gain or a loss and not another optimum.

    `targets_only` leaves out money and surplus, `objectives_only` also the losses of single targets; without a plan at
    hand it ends at the first importance that surely changes, and without `with_plan` no plan is read from it: how far
    more of something helps is told by the objectives alone. `forced` is a preserve and how many of it are made at
    least.

    Raises StillroomError when the plan does not pass the audit.
    """
    parameters, variables = build(household)
    filled = {} if before is None else before.filled
    lost = loss_terms(parameters, variables, filled)
    if forced is not None:
        variables.model.add("forced", at_least(variables.made(forced[0]), forced[1]))
    again = ReSolveState(Search(parameters, variables, HighsSession(variables.model)), before, feasible=False)
    if at_hand is not None and forced is None:
        start_from(again, at_hand)
    optimize_targets(again, to_the_end=not objectives_only or at_hand is not None)
    if again.search.best is None:
        find_any_plan(again.search)
    if lost and not objectives_only and again.targets_changed():
        optimize(
            again.search,
            Objective("helper", "shares", lambda _parameters, _variables: lost, gap=0.01, patient_gap=0.01),
            quickly=True,
        )
    if targets_only or objectives_only:
        reached = tuple(again.reached)
        if objectives_only and not with_plan:
            return again.unchanged() or Quick(reached, {}, 0.0, 0.0, columns=nonzero(again.search))
        return again.unchanged() or read_quick(again.search, reached)
    money, surplus = (
        next(objective for objective in worth_for(parameters) if objective.kind == kind)
        for kind in ("money", "surplus")
    )
    spent = optimize_later(again, money, LEAST_CHANGE_MONEY)
    left = optimize_later(again, surplus, LEAST_CHANGE_KG)
    return again.unchanged(spent, left) or read_quick(again.search, tuple(again.reached), spent, left)


def start_from(again: ReSolveState, at_hand: Plan) -> None:
    """Set the warm start: what was reached before, or the plan at hand."""
    search, before = again.search, again.before
    if before is not None and before.columns:
        columns = columns_from(search.parameters, search.variables, before.columns, before.filled)
        again.feasible = is_feasible(search.solver, columns)
        search.best = columns
        again.start = columns if again.feasible else None
    if not again.feasible:
        search.best = columns_of(search.parameters, search.variables, at_hand, {} if before is None else before.filled)


def optimize_targets(again: ReSolveState, *, to_the_end: bool) -> None:
    """Solve for fixed lines and targets; with `to_the_end` False only to the first that surely changes."""
    for objective in worth_for(again.search.parameters):
        if objective.kind in ("fixed", "target"):
            again.reached.append(optimize_first(again, objective))
            if not to_the_end and again.before is not None and again.targets_changed():
                return


def optimize_first(again: ReSolveState, objective: Objective) -> ObjectiveResult:
    """Solve for an objective and bound it; where nothing is proved to be gained, bound it where it was."""
    search, was, unsure = again.search, again.was(objective), margin(again.reached)
    if was is not None:
        objective = replace(objective, absolute_gap=max(objective.absolute_gap, unsure / 4))
    if was is not None and objective.maximize and again.feasible:
        found = optimize_from(search, objective, was, gain_threshold(was, unsure))
        again.feasible = not gained(found, was, unsure)
        return found
    at_hand = search.best
    optimize(search, objective, quickly=True)
    found = search.results[-1]
    if was is None:
        return found
    if objective.maximize and search.solver.objective_rows and not gained(found, was, unsure):
        search.solver.change_objective_bound(least=min(found.value, was.value) - objective.tolerance(was.value))
    again.feasible = (
        again.feasible and not objective.maximize and found.value >= was.value - objective.absolute_tolerance
    )
    if again.feasible:
        search.best = at_hand  # it has as much of the fixed lines, and the targets reached before
    return found


def optimize_later(again: ReSolveState, objective: Objective, least_change: float) -> ObjectiveResult:
    """Solve for money or surplus, unless it cannot fall by `least_change` with the targets as before."""
    was = again.was(objective)
    roughly = replace(objective, absolute_gap=max(objective.absolute_gap, least_change / 4))
    if objective.kind == "surplus":
        roughly = replace(roughly, heuristics=SURPLUS_HEURISTICS, beside=None if was is None else was.value)
    if was is not None and again.feasible:
        return optimize_from(again.search, roughly, was, min(was.value, was.bound) - least_change)
    optimize(again.search, roughly, quickly=True)
    return again.search.results[-1]


def loss_terms(parameters: Parameters, variables: Variables, filled: Mapping[str, float]) -> Sum:
    """
    Add variables for what each target loses against before; return their sum, in shares of what is wanted.

        loss[n] >= filled_before[n] - sum over b of filled[n, b]
    """
    terms: Sum = []
    for target in parameters.targets:
        was = filled.get(target.name, 0.0)
        if target.wanted <= 0 or was <= 0:
            continue
        loss = variables.model.variable(variables.name("loss", target.name), most=was)
        bands = [(1.0, variables.filled[target.name, segment]) for segment in range(len(parameters.gains))]
        variables.model.add(variables.name("as_it_was", target.name), at_least([*bands, (1.0, loss)], was))
        terms.append((1.0 / target.wanted, loss))
    return terms


def read_quick(
    search: Search,
    reached: tuple[ObjectiveResult, ...],
    money: ObjectiveResult | None = None,
    surplus: ObjectiveResult | None = None,
) -> Quick:
    """Fix the integers, extract the plan, audit it, and return its figures."""
    columns = nonzero(search)
    plan = extract_plan(
        search.parameters, search.variables, {**dict.fromkeys(search.solver.columns, 0.0), **columns}, ()
    )
    household = search.parameters.household
    broken = violated_constraints(household, plan)
    if broken:
        msg = "a re-solved plan violates a constraint: " + "; ".join(broken[:3])
        raise StillroomError(msg)
    return Quick(
        objectives=reached,
        filled=filled_by_plan(household, plan),
        surplus_kg=sum(plan.surplus_kg.values()) + sum(plan.spoil_kg.values()),
        spent=spent_by(household, plan),
        made=made_by(household, plan),
        money=money,
        surplus=surplus,
        columns=columns,
        plan=sendable_plan(plan),
    )


def nonzero(search: Search) -> dict[str, float]:
    """Return the columns with the integers fixed and the amounts solved again, without those at zero."""
    fix_integers(search)
    return {name: value for name, value in zip(search.solver.columns, search.best or (), strict=True) if value}


# Tasks for other processes.

Given = TypeVar("Given")
Got = TypeVar("Got")


Tighten = Callable[[Household, Plan, int], Household | None]
"""Gives a household with tighter limits where days of its plan do not fit the clock, for the n-th time; else None."""

MOST_ON_THE_CLOCK = 8
"""So often what is gained is planned again to fit the clock, as a plan is."""


@dataclass(frozen=True)
class ReSolve:
    """
    Resources with how much more of each, and what is needed to re-solve with that; can be sent to another process.

    `before` is what was reached without it, or with less of it. See `quick_plan` for the flags.
    What is gained has to fit the clock, where `tighten` is given; a module's own function, so that it can be sent.
    """

    household: Household
    plan: Plan
    before: Quick | None
    more: tuple[tuple[Bottleneck, float], ...] = ()
    targets_only: bool = False
    objectives_only: bool = False
    tighten: Tighten | None = None

    def loosened(self) -> Household:
        """Return the household with the resources increased."""
        household = self.household
        for bottleneck, amount in self.more:
            household = bottleneck.loosened(household, amount)
        return household

    def solve(self, household: Household) -> Quick:
        """Plan a household quickly, from the plan at hand if nothing is taken away."""
        at_hand = self.plan if self.increases() else None
        return quick_plan(
            household,
            at_hand,
            self.before,
            targets_only=self.targets_only,
            objectives_only=self.objectives_only,
            with_plan=self.tighten is not None or not self.objectives_only,
        )

    def increases(self) -> bool:
        """Return whether there is only more of everything."""
        return all(amount > 0 for _, amount in self.more)


def re_solve(trial: ReSolve) -> Quick:
    """Solve again with the resources of a task increased; can run in another process."""
    household = trial.loosened()
    return replace(fitted(trial, household, trial.solve(household)), plan=None)


def fitted(trial: ReSolve, household: Household, quick: Quick) -> Quick:
    """
    Return what was reached; where that gains on the list and does not fit the clock, what is gained so that it fits.

    What was reached before still holds with more of something, so nothing is lost for the sake of the clock.
    """
    before, tighten = trial.before, trial.tighten
    if before is None or tighten is None or not trial.increases():
        return quick
    reached = quick
    for number in range(1, MOST_ON_THE_CLOCK + 1):
        gains = gains_on_list(reached, before)
        tighter = tighten(household, reached.plan, number) if gains and reached.plan is not None else None
        if tighter is None:
            return reached if reached is quick else replace(reached if gains else before, tightened=True)
        household, reached = tighter, trial.solve(tighter)
    return replace(before, tightened=True)


def gains_on_list(now: Quick, before: Quick) -> bool:
    """Return whether the first importance that surely changes gets better."""
    return next((change > 0 for change in changes(now.objectives, before.objectives) if change), False)


def continued_from(trial: ReSolve, reached: Quick, *more: tuple[Bottleneck, float]) -> ReSolve:
    """Return the task with more of something, from what was reached with less of it."""
    filled = {} if trial.before is None else trial.before.filled
    return replace(trial, before=replace(reached, filled=filled), more=more, targets_only=True)


def run_all(executor: Executor | None, work: Callable[[Given], Got], tasks: Sequence[Given]) -> Iterator[Got]:
    """Run the tasks, on the executor's workers if there is one; results are in the order of the tasks."""
    return iter(map(work, tasks)) if executor is None else executor.map(work, tasks)


def report_progress(results: Iterable[Got], number: int, report: Progress) -> Iterator[Got]:
    """Yield the results and report how many there are."""
    for count, result in enumerate(results, start=1):
        report(f"planned again {count} of {number} times")
        yield result
