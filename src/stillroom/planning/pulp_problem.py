"""The model as a PuLP problem: for .lp and .mps files, and for any other solver that PuLP supports."""

from __future__ import annotations

from typing import Any

import pulp

from stillroom.planning.model import Model, Sum, total


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
