"""Plan again in a second or two, near the plan that stands: for a day on which there is less time than planned."""

from __future__ import annotations

from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.planning.highs import HighsSession, SolveSettings
from stillroom.planning.objectives import plan_changes
from stillroom.planning.rolling.replay import ABSOLUTE_GAP, NODE_LIMIT, weighed
from stillroom.planning.solution import extract_plan
from stillroom.planning.solve import Search, build, plan, with_full_segments

CHANGED = 0.02
"""Objective weight of a container changed: below its points in any target, above its hours of labor."""
LATER = 1e-5
"""Objective weight of a container for each day that it is made later: what has to move is made soon."""


def near_plan(household: Household) -> Plan:
    """
    Plan a settled household with one weighted objective in which each change of the last plan's days counts.

        FIXED * short - TARGETS * points + MONEY * spending + SURPLUS * surplus + HANDS * labor
            + CHANGED * changes + LATER * sum over p and t of days until t * make[p, t]

    The limits count nodes, so that the answer is the same on a slow machine. Where they find nothing, the household is
    planned in full.

    >>> from stillroom.household.examples import tiny_household
    >>> near_plan(tiny_household()).made("kraut"), plan(tiny_household()).made("kraut")
    (4.0, 4.0)
    """
    parameters, variables = build(household)
    solver = HighsSession(variables.model)
    costs = weighed(parameters, variables, solver)
    begins = {period.number: (period.first_day - household.kitchen.first_day).days for period in parameters.periods}
    later = [(LATER * begins[number], variable) for (_, number), variable in variables.make.items()]
    changes = [(CHANGED * cost, variable) for cost, variable in plan_changes(parameters, variables)]
    for column, cost in solver.vector([*changes, *later]).items():
        costs[column] = costs.get(column, 0.0) + cost
    solver.set_objective(costs, maximize=False)
    outcome = solver.run(
        None, SolveSettings(gap=0.0, absolute_gap=ABSOLUTE_GAP, node_limit=NODE_LIMIT, patient_nodes=NODE_LIMIT)
    )
    if not outcome.found:
        return plan(household)
    search = Search(parameters, variables, solver, best=outcome.columns)
    columns = dict(zip(solver.columns, with_full_segments(search), strict=True))
    return extract_plan(parameters, variables, columns, ())
