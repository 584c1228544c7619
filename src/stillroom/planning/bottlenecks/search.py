"""The limits of a plan with what one natural unit more, or less, of each would give, every one planned again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import Executor, Future
from dataclasses import replace

import highspy

from stillroom.household.plan import Plan
from stillroom.household.progress import Progress, no_progress
from stillroom.household.records import Household
from stillroom.household.results.bottlenecks import Bottleneck, BottlenecksFound, Held, Worth
from stillroom.planning.bottlenecks.binding import Tight, tight_limits
from stillroom.planning.bottlenecks.gains import best_partners, gain_of
from stillroom.planning.bottlenecks.ranges import ranges
from stillroom.planning.bottlenecks.replan import Trial, quick_plan, spread, told, tried
from stillroom.planning.bottlenecks.resolve import Quick, filled_by, sendable, sendable_plan
from stillroom.planning.bottlenecks.resources import catalogue, coming_in
from stillroom.planning.highs import Effort, Solver
from stillroom.planning.objectives import objectives_for
from stillroom.planning.parameters import Parameters
from stillroom.planning.solve import build
from stillroom.planning.variables import Variables

# Shadow prices of the relaxed programme: they say what to try first, and are never an answer.


NOTHING = 1e-7
SLACK = 1e-7


def shadow_worth(
    parameters: Parameters, variables: Variables, bottlenecks: Sequence[Bottleneck]
) -> tuple[dict[Bottleneck, Worth], dict[Bottleneck, str]]:
    """
    What a natural unit more of each limit would be worth by its shadow prices, aim by aim, where nothing is whole.

    And for each limit the row with the highest price at the first aim that has one: when more would come in best.

    At a corner where many limits meet a price may hold in one direction only or not at all, and with whole loads it is
    a guess: so this ranks what is tried first, and every answer is planned again.
    """
    solver = Solver(variables.programme)
    every = list(solver.columns.values())
    for column in every:
        solver.highs.changeColIntegrality(column, highspy.HighsVarType.kContinuous)
    solver.whole = [False] * len(every)
    worth: dict[Bottleneck, list[float]] = {bottleneck: [] for bottleneck in bottlenecks}
    dearest: dict[Bottleneck, str] = {}
    for objective in objectives_for(parameters):
        if objective.kind not in ("fixed", "target", "surplus"):
            continue
        costs = solver.vector(objective.terms(parameters, variables))
        solver.aim_at(costs, most=objective.most)
        outcome = solver.run(None, Effort())
        if not outcome.found or not costs:
            continue
        sign = 1.0 if objective.most else -1.0
        prices = [sign * price for price in solver.highs.getSolution().row_dual]
        if objective.kind != "fixed":
            for bottleneck in bottlenecks:
                worth[bottleneck].append(by_price(bottleneck, solver.rows, prices))
                if worth[bottleneck][-1] > 0:
                    best = max(
                        bottleneck.rows, key=lambda name: round(gain_by_row(bottleneck, prices[solver.rows[name]]), 9)
                    )
                    dearest.setdefault(bottleneck, best)
        slack = SLACK * max(1.0, abs(outcome.value))
        if objective.most:
            solver.hold(costs, least=outcome.value - slack, most=None)
        else:
            solver.hold(costs, least=None, most=outcome.value + slack)
    return {bottleneck: tuple(figures) for bottleneck, figures in worth.items()}, dearest


def by_price(bottleneck: Bottleneck, rows: Mapping[str, int], prices: Sequence[float]) -> float:
    """
    The price of a limit's rows, times its natural unit.

    More of a crop comes in once, when it is worth most; more of anything else comes in every row. One more piece of
    equipment is taken for ten hours in each of its rows.
    """
    each = [gain_by_row(bottleneck, prices[rows[name]]) for name in bottleneck.rows if name in rows]
    whole = max(each, default=0.0) if bottleneck.kind == "crop" else sum(each)
    size = 10.0 if bottleneck.kind == "equipment" else bottleneck.step
    found = whole * size
    return 0.0 if found < NOTHING else found


def gain_by_row(bottleneck: Bottleneck, price: float) -> float:
    """What one inside unit more is worth by the price of a row: a harvest stands on the other side of its balance."""
    return max(0.0, -price if bottleneck.kind == "crop" else price)


MOST_BOTTLENECKS = 25
MOST_RANGES = 3


def find_bottlenecks(
    household: Household,
    plan: Plan,
    executor: Executor | None = None,
    tell: Progress = no_progress,
    ahead: Future[Quick] | None = None,
) -> BottlenecksFound:
    """
    Find what holds a plan back, and what more of it would give.

    `household` is settled and `plan` its full plan. An executor spreads the plans over processes, and `ahead` is the
    quick plan of the household where that was begun before (`begun_ahead`); what comes out does not depend on either.
    Raises StillroomError when a plan that was tried breaks a rule.
    """
    tell("what the plan runs up against")
    parameters, variables = build(household)
    tight = tight_limits(parameters, variables, plan, catalogue(parameters, variables))
    tight, worth = ranked_by_price(parameters, variables, tight)
    base = Trial(sendable(household), sendable_plan(plan), None)
    before = quick_plan(base.household) if ahead is None else ahead.result()
    before = replace(before, filled=filled_by(household, plan), made=made_by(household, plan))
    base = replace(base, before=before)
    bottlenecks = [one.bottleneck for one in tight[:MOST_BOTTLENECKS]]
    more_of, less_of = one_more_and_less(base, bottlenecks, executor, tell)
    gains = {bottleneck: gain_of(household, before, quick) for bottleneck, quick in more_of.items()}
    tell("what helps only together")
    partners = best_partners(gains, base, more_of, executor)
    best = sorted(gains, key=lambda bottleneck: [-figure for figure in gains[bottleneck].rank()])
    tell("how far it goes on helping")
    top = {bottleneck: more_of[bottleneck] for bottleneck in [one for one in best if gains[one].helps][:MOST_RANGES]}
    far = ranges(base, top, executor)
    stands = {one.bottleneck: one for one in tight}
    held = [
        Held(
            bottleneck,
            stands[bottleneck].used,
            stands[bottleneck].of,
            worth[bottleneck],
            gains[bottleneck],
            gain_of(household, before, less_of[bottleneck]) if bottleneck in less_of else None,
            partners.get(bottleneck),
            far.get(bottleneck),
        )
        for bottleneck in best
    ]
    return BottlenecksFound(tuple(held), tuple(one.bottleneck for one in tight[MOST_BOTTLENECKS:]))


def begun_ahead(household: Household, executor: Executor | None) -> Future[Quick] | None:
    """Begin the quick plan of a household in another process, while its full plan is made; None without an executor."""
    return None if executor is None else executor.submit(quick_plan, sendable(household))


def made_by(household: Household, plan: Plan) -> dict[str, float]:
    """How many containers of each preserve a plan makes."""
    return {item.name: made for item in household.preserves if (made := plan.made(item.name)) > 0}


def one_more_and_less(
    base: Trial, bottlenecks: Sequence[Bottleneck], executor: Executor | None, tell: Progress
) -> tuple[dict[Bottleneck, Quick], dict[Bottleneck, Quick]]:
    """What a natural unit more of each limit reaches, and for stocks what a natural unit less does."""
    fewer = [bottleneck for bottleneck in bottlenecks if bottleneck.less > 0]
    ahead = [replace(base, more=((bottleneck, bottleneck.step),)) for bottleneck in bottlenecks]
    ahead += [replace(base, more=((bottleneck, -bottleneck.less),), targets_only=True) for bottleneck in fewer]
    quicks = list(told(spread(executor, tried, ahead), len(ahead), tell))
    return dict(zip(bottlenecks, quicks, strict=False)), dict(zip(fewer, quicks[len(bottlenecks) :], strict=True))


def ranked_by_price(
    parameters: Parameters, variables: Variables, tight: Sequence[Tight]
) -> tuple[tuple[Tight, ...], dict[Bottleneck, Worth]]:
    """The limits by what their shadow prices promise, the most first; a crop comes in when it is worth most."""
    worth, dearest = shadow_worth(parameters, variables, [one.bottleneck for one in tight])
    found, prices = [], {}
    for one in sorted(tight, key=lambda one: tuple(-figure for figure in worth[one.bottleneck])):
        bottleneck = one.bottleneck
        if bottleneck.kind == "crop" and bottleneck in dearest:
            number = next(
                period.number
                for period in parameters.periods
                if variables.name("crop_balance", bottleneck.name, period.label) == dearest[bottleneck]
            )
            bottleneck = coming_in(bottleneck, parameters.periods[number])
        prices[bottleneck] = worth[one.bottleneck]
        found.append(replace(one, bottleneck=bottleneck))
    return tuple(found), prices
