"""The model as a PuLP problem: for .lp and .mps files, and for any other solver that PuLP supports."""

from __future__ import annotations

import os
from typing import IO, Any

import pulp

from stillroom.household.records import Household
from stillroom.household.scenarios import LIKELY, harvest_cases, planned_for_several
from stillroom.planning.model import Model, Sum, total
from stillroom.planning.objectives import objectives_for
from stillroom.planning.solve import build
from stillroom.planning.stochastic.scenarios import build_cases
from stillroom.planning.stochastic.solve import state_objectives


def pulp_problem(model: Model, objective: Sum, *, maximize: bool) -> Any:
    """
    Return the model as a `pulp.LpProblem` with one objective, minimized, or maximized when `maximize`.

    Variables and constraints have the names and the order they have in the model. Works with PuLP 3.3 and 4.

    >>> from stillroom.planning.model import at_most
    >>> model = Model("boxes")
    >>> jam, juice = model.variable("jam", most=4, whole=True), model.variable("juice")
    >>> model.add("crop", at_most([(2.0, jam), (1.0, juice)], 7.0))
    >>> problem = pulp_problem(model, [(3.0, jam), (1.0, juice)], maximize=True)
    >>> pulp.LpStatus[problem.solve(pulp.HiGHS(msg=False))], pulp.value(problem.objective)
    ('Optimal', 10.0)
    """
    problem = pulp.LpProblem(model.name, pulp.LpMaximize if maximize else pulp.LpMinimize)
    made = {
        name: problem.add_variable(
            name, lowBound=0, upBound=variable.most, cat=pulp.LpInteger if variable.whole else pulp.LpContinuous
        )
        for name, variable in model.variables.items()
    }
    from_list = getattr(pulp.LpAffineExpression, "from_list", pulp.LpAffineExpression)  # PuLP 4, PuLP 3.3

    def expression(terms: Sum) -> Any:
        return from_list([(made[variable.name], coefficient) for coefficient, variable in terms])

    problem.setObjective(expression(total(objective)))
    for name, row in model.constraint_rows().items():
        left = expression(list(row.terms))
        if row.sense == "<=":
            problem += (left <= row.bound, name)
        elif row.sense == ">=":
            problem += (left >= row.bound, name)
        else:
            problem += (left == row.bound, name)
    return problem


# The first model that is solved, written to a file for another solver.

LONGEST_NAME = 255
"""Characters in a name: what solvers take in an .lp file."""


def first_model(household: Household) -> Any:
    """
    Return the PuLP problem of a settled household with the first objective that has any terms.

    A household that plans for several harvests gets the model of all of them.
    """
    if planned_for_several(household):
        joint = build_cases(harvest_cases(household))
        objectives, _ = state_objectives(joint, worst_first=household.kitchen.plan_for == "worst harvest")
        parameters, variables = joint.case(LIKELY).parameters, joint.together
    else:
        parameters, variables = build(household)
        objectives = objectives_for(parameters)
    costs = [(objective.terms(parameters, variables), objective.maximize) for objective in objectives]
    terms, most = next((one for one in costs if one[0]), costs[0])
    return pulp_problem(variables.model, terms, maximize=most)


def write_first_model(household: Household, file: IO[bytes], ending: str) -> None:
    """Write the first model into an open file, in the format of an ending: .lp or .mps. Raises OSError."""
    problem = first_model(household)
    descriptor: Any = os.dup(file.fileno())  # PuLP opens what it is given, and closes it
    if ending.lower() == ".mps":
        problem.writeMPS(descriptor, with_objsense=True)
    else:
        problem.writeLP(descriptor, max_length=LONGEST_NAME)
