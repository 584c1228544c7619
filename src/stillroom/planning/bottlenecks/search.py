"""The bottlenecks of a plan: one unit more, or less, of each is re-solved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import Executor, Future
from dataclasses import replace

from stillroom.household.plan import Plan, Progress, no_progress
from stillroom.household.records import Household
from stillroom.household.results.bottlenecks import Bottleneck, BottleneckGain, BottlenecksFound, ShadowValue
from stillroom.household.simulation.seasons import filled_by_plan
from stillroom.planning.bottlenecks.gains import best_partners, gain_of
from stillroom.planning.bottlenecks.ranges import Binding, binding_resources, ranges
from stillroom.planning.bottlenecks.replan import ReSolve, Tighten, quick_plan, re_solve, report_progress, run_all
from stillroom.planning.bottlenecks.resolve import Quick, made_by, sendable, sendable_plan
from stillroom.planning.bottlenecks.resources import catalogue, coming_in
from stillroom.planning.highs import HighsSession, SolveSettings
from stillroom.planning.objectives import worth_for
from stillroom.planning.parameters import Parameters
from stillroom.planning.solve import build
from stillroom.planning.variables import Variables

# Shadow prices of the linear relaxation: they rank what is re-solved first and are never an answer.


NOTHING = 1e-7
SLACK = 1e-7


def shadow_values(
    parameters: Parameters, variables: Variables, bottlenecks: Sequence[Bottleneck]
) -> tuple[dict[Bottleneck, ShadowValue], dict[Bottleneck, str]]:
    """
    Return the value of one unit more of each resource at its shadow price by objective, and its best constraint.

    The linear relaxation is solved for one objective after another. Where many constraints meet, a dual value may hold
    in one direction only, and with whole loads it is an estimate: it ranks what is re-solved first.
    """
    solver = HighsSession(variables.model)
    solver.make_continuous()
    worth: dict[Bottleneck, list[float]] = {bottleneck: [] for bottleneck in bottlenecks}
    best_row: dict[Bottleneck, str] = {}
    for objective in worth_for(parameters):
        if objective.kind == "money":
            continue
        costs = solver.vector(objective.terms(parameters, variables))
        solver.set_objective(costs, maximize=objective.maximize)
        outcome = solver.run(None, SolveSettings())
        if not outcome.found or not costs:
            continue
        sign = 1.0 if objective.maximize else -1.0
        prices = [sign * price for price in solver.highs.getSolution().row_dual]
        if objective.kind != "fixed":
            for bottleneck in bottlenecks:
                worth[bottleneck].append(value_by_price(bottleneck, solver.rows, prices))
                if worth[bottleneck][-1] > 0:
                    best = max(
                        bottleneck.rows, key=lambda name: round(value_by_row(bottleneck, prices[solver.rows[name]]), 9)
                    )
                    best_row.setdefault(bottleneck, best)
        slack = SLACK * max(1.0, abs(outcome.value))
        if objective.maximize:
            solver.add_objective_bound(costs, least=outcome.value - slack, most=None)
        else:
            solver.add_objective_bound(costs, least=None, most=outcome.value + slack)
    return {bottleneck: tuple(figures) for bottleneck, figures in worth.items()}, best_row


def value_by_price(bottleneck: Bottleneck, rows: Mapping[str, int], prices: Sequence[float]) -> float:
    """
    Return the value of one unit more of a resource by the dual values of its constraints.

    A crop counts once, where it is worth most; other resources in every constraint. One more piece of equipment counts
    as ten hours in each.
    """
    each = [value_by_row(bottleneck, prices[rows[name]]) for name in bottleneck.rows if name in rows]
    whole = max(each, default=0.0) if bottleneck.kind == "crop" else sum(each)
    size = 10.0 if bottleneck.kind == "equipment" else bottleneck.step
    found = whole * size
    return 0.0 if found < NOTHING else found


def value_by_row(bottleneck: Bottleneck, price: float) -> float:
    """Return the value of one base unit by a dual value; a harvest is on the other side of its balance."""
    return max(0.0, -price if bottleneck.kind == "crop" else price)


MOST_BOTTLENECKS = 25
MOST_RANGES = 3


def find_bottlenecks(
    household: Household,
    plan: Plan,
    executor: Executor | None = None,
    report: Progress = no_progress,
    ahead: Future[Quick] | None = None,
    tighten: Tighten | None = None,
) -> BottlenecksFound:
    """
    Find the bottlenecks of a plan, and what more of each would add.

    `household` is settled and `plan` its full plan. The result depends neither on the executor nor on `ahead`, a quick
    plan begun before (`begun_ahead`). With `tighten`, what is gained on the list fits the clock. Raises StillroomError
    when a re-solved plan violates a constraint.
    """
    report("what the plan runs up against")
    parameters, variables = build(household)
    tight = binding_resources(parameters, variables, plan, catalogue(parameters, variables))
    tight, worth = ranked_by_price(parameters, variables, tight)
    base = ReSolve(sendable(household), sendable_plan(plan), None, tighten=tighten)
    before = quick_plan(base.household) if ahead is None else ahead.result()
    before = counted_from(household, plan, before)
    base = replace(base, before=before)
    bottlenecks = [one.bottleneck for one in tight[:MOST_BOTTLENECKS]]
    more_of, less_of = one_more_and_less(base, bottlenecks, executor, report)
    gains = {bottleneck: gain_of(household, before, quick) for bottleneck, quick in more_of.items()}
    report("what helps only together")
    partners = best_partners(gains, base, more_of, executor)
    best = sorted(gains, key=lambda bottleneck: [-figure for figure in gains[bottleneck].rank()])
    report("how far it goes on helping")
    top = {bottleneck: more_of[bottleneck] for bottleneck in [one for one in best if gains[one].helps][:MOST_RANGES]}
    far = ranges(base, top, executor)
    found = {one.bottleneck: one for one in tight}
    held = [
        BottleneckGain(
            bottleneck,
            found[bottleneck].used,
            found[bottleneck].of,
            worth[bottleneck],
            gains[bottleneck],
            gain_of(household, before, less_of[bottleneck]) if bottleneck in less_of else None,
            partners.get(bottleneck),
            far.get(bottleneck),
        )
        for bottleneck in best
    ]
    return BottlenecksFound(tuple(held), tuple(one.bottleneck for one in tight[MOST_BOTTLENECKS:]))


GIVEN_FOR_LINES = 2e-4
"""Share of the points of an importance, twice its tolerance: what a plan lacks beyond it, the lines it keeps cost."""


def counted_from(household: Household, plan: Plan, quick: Quick) -> Quick:
    """
    Return what is gained over: the quick plan, with the targets as the plan fills them.

    A plan that gave up points to keep the lines of today and tomorrow would have every resource credited with those,
    since re-solved plans are free to change the lines: then the targets are counted from the quick plan, which is too.
    """
    reached = {objective.key: objective.value for objective in plan.objectives if objective.kind == "target"}
    for objective in quick.objectives:
        least = objective.value - GIVEN_FOR_LINES * max(1.0, abs(objective.value))
        if reached.get(objective.key, objective.value) < least:
            return replace(quick, plan=None)
    return replace(quick, filled=filled_by_plan(household, plan), made=made_by(household, plan), plan=None)


def begun_ahead(household: Household, executor: Executor | None) -> Future[Quick] | None:
    """Start the quick plan of a household in another process; return None without an executor."""
    return None if executor is None else executor.submit(quick_plan, sendable(household))


def one_more_and_less(
    base: ReSolve, bottlenecks: Sequence[Bottleneck], executor: Executor | None, report: Progress
) -> tuple[dict[Bottleneck, Quick], dict[Bottleneck, Quick]]:
    """Return what one unit more of each resource reaches, and for stocks what one unit less does."""
    fewer = [bottleneck for bottleneck in bottlenecks if bottleneck.less > 0]
    ahead = [replace(base, more=((bottleneck, bottleneck.step),)) for bottleneck in bottlenecks]
    ahead += [replace(base, more=((bottleneck, -bottleneck.less),), targets_only=True) for bottleneck in fewer]
    quicks = list(report_progress(run_all(executor, re_solve, ahead), len(ahead), report))
    return dict(zip(bottlenecks, quicks, strict=False)), dict(zip(fewer, quicks[len(bottlenecks) :], strict=True))


def ranked_by_price(
    parameters: Parameters, variables: Variables, tight: Sequence[Binding]
) -> tuple[tuple[Binding, ...], dict[Bottleneck, ShadowValue]]:
    """Return the binding resources by their shadow values, and the values; a crop arrives when it is worth most."""
    worth, best_row = shadow_values(parameters, variables, [one.bottleneck for one in tight])
    found, prices = [], {}
    for one in sorted(tight, key=lambda one: tuple(-figure for figure in worth[one.bottleneck])):
        bottleneck = one.bottleneck
        if bottleneck.kind == "crop" and bottleneck in best_row:
            number = next(
                period.number
                for period in parameters.periods
                if variables.name("crop_balance", bottleneck.name, period.label) == best_row[bottleneck]
            )
            bottleneck = coming_in(bottleneck, parameters.periods[number])
        prices[bottleneck] = worth[one.bottleneck]
        found.append(replace(one, bottleneck=bottleneck))
    return tuple(found), prices
