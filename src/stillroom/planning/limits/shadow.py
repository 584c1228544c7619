"""Shadow prices of the relaxed programme: they say what to try first, and are never an answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import highspy

from stillroom.planning.aims import aims_for
from stillroom.planning.decisions import Decisions
from stillroom.planning.effort import Effort
from stillroom.planning.facts import Facts
from stillroom.planning.handover import Solver
from stillroom.planning.limits.catalogue import Limit

Worth = tuple[float, ...]
"""What one natural unit more would be worth to each aim in turn, if its price held: needs by importance, then fed."""

NOTHING = 1e-7
SLACK = 1e-7


def shadow_worth(
    facts: Facts, decide: Decisions, limits: Sequence[Limit]
) -> tuple[dict[Limit, Worth], dict[Limit, str]]:
    """
    What a natural unit more of each limit would be worth by its shadow prices, aim by aim, where nothing is whole.

    And for each limit the row with the highest price at the first aim that has one: when more would come in best.

    At a corner where many limits meet a price may hold in one direction only or not at all, and with whole loads it is
    a guess: so this ranks what is tried first, and every answer is planned again.
    """
    solver = Solver(decide.programme)
    every = list(solver.columns.values())
    for column in every:
        solver.highs.changeColIntegrality(column, highspy.HighsVarType.kContinuous)
    solver.whole = [False] * len(every)
    worth: dict[Limit, list[float]] = {limit: [] for limit in limits}
    dearest: dict[Limit, str] = {}
    for aim in aims_for(facts):
        if aim.kind not in ("fixed", "target", "surplus"):
            continue
        costs = solver.vector(aim.terms(facts, decide))
        solver.aim_at(costs, most=aim.most)
        outcome = solver.run(None, Effort())
        if not outcome.found or not costs:
            continue
        sign = 1.0 if aim.most else -1.0
        prices = [sign * price for price in solver.highs.getSolution().row_dual]
        if aim.kind != "fixed":
            for limit in limits:
                worth[limit].append(by_price(limit, solver.rows, prices))
                if worth[limit][-1] > 0:
                    best = max(limit.rows, key=lambda name: round(gain_by_row(limit, prices[solver.rows[name]]), 9))
                    dearest.setdefault(limit, best)
        slack = SLACK * max(1.0, abs(outcome.value))
        if aim.most:
            solver.hold(costs, least=outcome.value - slack, most=None)
        else:
            solver.hold(costs, least=None, most=outcome.value + slack)
    return {limit: tuple(figures) for limit, figures in worth.items()}, dearest


def by_price(limit: Limit, rows: Mapping[str, int], prices: Sequence[float]) -> float:
    """
    The price of a limit's rows, times its natural unit.

    More of a crop comes in once, when it is worth most; more of anything else comes in every row. One more piece of
    equipment is taken for ten hours in each of its rows.
    """
    each = [gain_by_row(limit, prices[rows[name]]) for name in limit.rows if name in rows]
    whole = max(each, default=0.0) if limit.kind == "crop" else sum(each)
    size = 10.0 if limit.kind == "equipment" else limit.step
    found = whole * size
    return 0.0 if found < NOTHING else found


def gain_by_row(limit: Limit, price: float) -> float:
    """What one inside unit more is worth by the price of a row: a harvest stands on the other side of its balance."""
    return max(0.0, -price if limit.kind == "crop" else price)
