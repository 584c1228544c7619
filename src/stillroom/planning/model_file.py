"""The first model that is solved, written to a file for another solver."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from stillroom.household.records import Household
from stillroom.household.scenarios import LIKELY, harvest_cases, planned_for_several
from stillroom.planning.objectives import objectives_for
from stillroom.planning.pulp_problem import pulp_problem
from stillroom.planning.solve import build
from stillroom.planning.stochastic.scenarios import build_cases
from stillroom.planning.stochastic.solve import state_objectives

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


def write_first_model(household: Household, path: Path) -> None:
    """
    Write the first model to an .lp or .mps file, by the ending of its name.

    Raises OSError when the file cannot be written; an existing file is then unchanged.
    """
    problem = first_model(household)
    beside = path.with_name(f".{path.name}.new")
    try:
        if path.suffix.lower() == ".mps":
            problem.writeMPS(str(beside), with_objsense=True)
        else:
            problem.writeLP(str(beside), max_length=LONGEST_NAME)
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
