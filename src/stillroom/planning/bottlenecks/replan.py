"""A plan made quickly again for a changed household: fixed lines and needs, then little lost, money and crop fed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from typing import TypeVar

from stillroom.errors import StillroomError
from stillroom.household.audit import violated_constraints
from stillroom.household.plan import ObjectiveResult, Plan
from stillroom.household.progress import Progress
from stillroom.household.records import Household
from stillroom.household.results.bottlenecks import Bottleneck
from stillroom.planning.bottlenecks.resolve import (
    WORTH_SAYING_KG,
    WORTH_SAYING_MONEY,
    Quick,
    changed,
    filled_by,
    gained,
    keeps_every_row,
    margin,
    no_gain_up_to,
    reach_from,
    relaxed,
    sendable,
    sendable_plan,
    spent_by,
)
from stillroom.planning.bottlenecks.resources import columns_from, columns_of
from stillroom.planning.highs import Effort, Solver
from stillroom.planning.model import Sum, at_least
from stillroom.planning.objectives import Objective, objectives_for
from stillroom.planning.parameters import Parameters
from stillroom.planning.solution import read_off
from stillroom.planning.solve import Search, build, reach, without_idle_setups
from stillroom.planning.variables import Variables

__all__ = ["Quick", "filled_by", "gained", "margin", "quick_plan", "relaxed", "sendable", "sendable_plan"]


@dataclass
class Again:
    """
    A quick plan on its way: the search, what was reached before, and the aims reached now.

    `stands` says that the plan at hand keeps every rule and has everything that was reached before, so that an aim may
    end as soon as it is sure that nothing is gained.
    """

    search: Search
    before: Quick | None
    stands: bool
    reached: list[ObjectiveResult] = field(default_factory=list)

    def was(self, objective: Objective) -> ObjectiveResult | None:
        """What an aim reached before."""
        return None if self.before is None else self.before.objective(objective)

    def targets_changed(self) -> bool:
        """Whether fixed lines or needs surely gained or lost against before."""
        return self.before is None or changed(self.reached, self.before.objectives)


def quick_plan(
    household: Household,
    at_hand: Plan | None = None,
    before: Quick | None = None,
    *,
    targets_only: bool = False,
    objectives_only: bool = False,
    forced: tuple[str, float] | None = None,
) -> Quick:
    """
    Plan a settled household quickly, starting from the plan at hand.

    The same aims in the same order as a full plan, but without least change and hands. With `before`, what the plan at
    hand reached: a need aim that is not proved to gain is held where it was, and within the needs as little as possible
    of what each need had is lost, so that a difference between the two is a gain or a loss and not another way to the
    same end. Where both are given the search starts from what `before` ended with, and an aim ends as soon as it is
    sure that it does not gain.

    With `targets_only` money and crop fed are left as they fall, with `objectives_only` also what each need has;
    without a plan at hand that ends at the first importance that surely changes. `forced` is a preserve and how many of
    it are to be made at least, whatever that costs; it must be possible.

    Raises StillroomError when the plan found does not pass the audit.
    """
    parameters, variables = build(household)
    filled = {} if before is None else before.filled
    lost = loss_terms(parameters, variables, filled)
    if forced is not None:
        variables.programme.add("forced", at_least(variables.made(forced[0]), forced[1]))
    again = Again(Search(parameters, variables, Solver(variables.programme)), before, stands=False)
    if at_hand is not None and forced is None:
        start_from(again, at_hand)
    reach_targets(again, to_the_end=not objectives_only or at_hand is not None)
    if again.search.best is None:
        any_plan(again.search)
    if lost and not objectives_only and again.targets_changed():
        reach(
            again.search,
            Objective("helper", "shares", lambda _parameters, _variables: lost, gap=0.01, patient_gap=0.01),
        )
    if targets_only or objectives_only:
        return read_quick(again.search, tuple(again.reached))
    money, surplus = (
        next(objective for objective in objectives_for(parameters) if objective.kind == kind)
        for kind in ("money", "surplus")
    )
    spent = reached_later(again, money, WORTH_SAYING_MONEY)
    return read_quick(again.search, tuple(again.reached), spent, reached_later(again, surplus, WORTH_SAYING_KG))


def any_plan(search: Search) -> None:
    """Find a plan where no aim so far has asked for one: nothing is fixed, and nothing is wanted."""
    reach(search, Objective("helper", "", lambda _parameters, _variables: []))
    for noted in (search.results, search.costs, search.objectives):
        noted.pop()


def start_from(again: Again, at_hand: Plan) -> None:
    """Begin the search with what was reached before, or else with the plan at hand."""
    search, before = again.search, again.before
    if before is not None and before.columns:
        columns = columns_from(search.parameters, search.variables, before.columns, before.filled)
        again.stands = keeps_every_row(search.solver, columns)
        search.best = columns
    if not again.stands:
        search.best = columns_of(search.parameters, search.variables, at_hand, {} if before is None else before.filled)


def reach_targets(again: Again, *, to_the_end: bool) -> None:
    """Reach fixed lines and needs; not to the end is until the first of them that surely changes."""
    for objective in objectives_for(again.search.parameters):
        if objective.kind in ("fixed", "target"):
            again.reached.append(reached_first(again, objective))
            if not to_the_end and again.before is not None and again.targets_changed():
                return


def reached_first(again: Again, objective: Objective) -> ObjectiveResult:
    """
    Reach an aim and hold it; where nothing is proved to be gained by the change, hold it where it was before.

    Against what was reached before it is reached only to a quarter of what the slack of earlier aims might give it.
    """
    search, was, unsure = again.search, again.was(objective), margin(again.reached)
    if was is not None:
        objective = replace(objective, close_enough=max(objective.close_enough, unsure / 4))
    if was is not None and objective.most and again.stands:
        found = reach_from(search, objective, was, no_gain_up_to(was, unsure))
        again.stands = not gained(found, was, unsure)
        return found
    at_hand = search.best
    reach(search, objective)
    found = search.results[-1]
    if was is None:
        return found
    if objective.most and search.solver.held and not gained(found, was, unsure):
        slack = max(objective.slack_share * abs(was.value), objective.least_slack)
        search.solver.rehold(min(found.value, was.value) - slack)
    again.stands = again.stands and not objective.most and found.value >= was.value - objective.least_slack
    if again.stands:
        search.best = at_hand  # it keeps as much of the fixed lines, and has the needs that were reached before
    return found


def reached_later(again: Again, objective: Objective, worth_saying: float) -> ObjectiveResult:
    """Reach the least money or crop fed, unless the needs are as before and it cannot fall by what is worth saying."""
    was = again.was(objective)
    roughly = replace(objective, close_enough=max(objective.close_enough, worth_saying / 4))
    if was is not None and again.stands:
        return reach_from(again.search, roughly, was, min(was.value, was.bound) - worth_saying)
    reach(again.search, roughly)
    return again.search.results[-1]


def loss_terms(parameters: Parameters, variables: Variables, filled: Mapping[str, float]) -> Sum:
    """
    Decisions for what each need loses against before, in shares of what is wanted.

        loss[n] >= filled_before[n] - sum over b of filled[n, b]
    """
    terms: Sum = []
    for target in parameters.targets:
        was = filled.get(target.name, 0.0)
        if target.wanted <= 0 or was <= 0:
            continue
        loss = variables.programme.variable(variables.name("loss", target.name), most=was)
        bands = [(1.0, variables.filled[target.name, band]) for band in range(len(parameters.gains))]
        variables.programme.add(variables.name("as_it_was", target.name), at_least([*bands, (1.0, loss)], was))
        terms.append((1.0 / target.wanted, loss))
    return terms


def read_quick(
    search: Search,
    reached: tuple[ObjectiveResult, ...],
    money: ObjectiveResult | None = None,
    surplus: ObjectiveResult | None = None,
) -> Quick:
    """Set whole numbers exactly, read the plan off, hold it against the audit, and give its figures."""
    columns, plan = finished(search)
    household = search.parameters.household
    broken = violated_constraints(household, plan)
    if broken:
        msg = "a plan that was tried does not keep every rule: " + "; ".join(broken[:3])
        raise StillroomError(msg)
    return Quick(
        objectives=reached,
        filled=filled_by(household, plan),
        surplus_kg=sum(plan.surplus_kg.values()) + sum(plan.spoil_kg.values()),
        spent=spent_by(household, plan),
        made={item.name: made for item in household.preserves if (made := plan.made(item.name)) > 0},
        money=money,
        surplus=surplus,
        columns={name: value for name, value in columns.items() if value},
    )


def finished(search: Search) -> tuple[dict[str, float], Plan]:
    """The plan at hand with its whole numbers exact and its amounts decided once more; it names no aims."""
    solver = search.solver
    search.best = without_idle_setups(search)
    solver.fix_whole(search.best)
    solver.loosen_holds(1e-6)
    outcome = solver.run(search.best, Effort())
    best = outcome.columns if outcome.found else search.best
    columns = dict(zip(solver.columns, best, strict=True))
    return columns, read_off(search.parameters, search.variables, columns, ())


# One thing to be planned again, made so that it can be sent to another process.

Given = TypeVar("Given")
Got = TypeVar("Got")


@dataclass(frozen=True)
class Trial:
    """
    Limits with how much more of each, and what is needed to plan with that.

    `before` is what was reached without it, or with less of it: the search starts there, and ends where it is sure to
    gain nothing on it. `targets_only` leaves money and crop fed as they fall, `objectives_only` also what each need
    has.
    """

    household: Household
    plan: Plan
    before: Quick | None
    more: tuple[tuple[Bottleneck, float], ...] = ()
    targets_only: bool = False
    objectives_only: bool = False


def tried(trial: Trial) -> Quick:
    """Plan once more with the limits of a trial loosened; can run in another process."""
    household = trial.household
    for bottleneck, amount in trial.more:
        household = bottleneck.loosened(household, amount)
    at_hand = trial.plan if all(amount > 0 for _, amount in trial.more) else None
    return quick_plan(
        household, at_hand, trial.before, targets_only=trial.targets_only, objectives_only=trial.objectives_only
    )


def on_from(trial: Trial, reached: Quick, *more: tuple[Bottleneck, float]) -> Trial:
    """The trial with more of something, from what was reached with less of it; losses are counted as before."""
    filled = {} if trial.before is None else trial.before.filled
    return replace(trial, before=replace(reached, filled=filled), more=more, targets_only=True)


def spread(executor: Executor | None, work: Callable[[Given], Got], tasks: Sequence[Given]) -> Iterator[Got]:
    """Do the tasks, over the executor's workers when there is one; what comes back stands in the tasks' order."""
    return iter(map(work, tasks)) if executor is None else executor.map(work, tasks)


def told(results: Iterable[Got], number: int, tell: Progress) -> Iterator[Got]:
    """Pass results on and say how many of them there are by now."""
    for count, result in enumerate(results, start=1):
        tell(f"planned again {count} of {number} times")
        yield result
