"""The objectives over the scenarios: expected value, or the worst scenario first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stillroom.planning.model import Sum, Variable, at_least, at_most
from stillroom.planning.objectives import Objective, objectives_for
from stillroom.planning.parameters import Parameters
from stillroom.planning.stochastic.scenarios import Case, Joint
from stillroom.planning.variables import Variables


def weighted(parts: Iterable[tuple[float, Sum]]) -> Sum:
    """Return the weighted sum: an expectation where the weights add up to 1."""
    return [(weight * coefficient, variable) for weight, terms in parts for coefficient, variable in terms]


def expected_value(objective: Objective, joint: Joint) -> Objective:
    """
    Return the expected value of an objective.

        sum over s of weight[s] * objective[s]
    """

    def terms(_parameters: Parameters, _variables: Variables) -> Sum:
        return weighted((case.weight, objective.terms(case.parameters, case.variables)) for case in joint.cases)

    return replace(objective, terms=terms)


def worst_season_value(objective: Objective, joint: Joint) -> Objective:
    """
    Return the value of an objective in the worst scenario; adds its constraints to the model.

        maximize worst   where worst <= objective[s] for every scenario s
    """
    name = f"worst.{objective.name.replace(' ', '_')}"
    value = joint.model.variable(name)
    for case in joint.cases:
        terms = [(-coefficient, variable) for coefficient, variable in objective.terms(case.parameters, case.variables)]
        joint.model.add(f"{case.name}.{name}", at_most([(1.0, value), *terms], 0.0))
    return replace(objective, worst_season=True, terms=lambda _parameters, _variables: [(1.0, value)])


def objectives_over(joint: Joint, *, worst_first: bool) -> tuple[Objective, ...]:
    """
    Return the objectives by expected value; with `worst_first` each target objective for the worst scenario first.

    Call it before the model is loaded, since the worst scenario adds constraints.
    """
    found = []
    for objective in objectives_for(joint.cases[0].parameters):
        if worst_first and objective.kind == "target":
            found.append(worst_season_value(objective, joint))
        found.append(expected_value(objective, joint))
    return tuple(found)


def distance_terms(joint: Joint, case: Case) -> Sum:
    """
    Return the number of containers by which a scenario's later days differ from the likely one; adds its constraints.

        apart[p, t] >= make[p, t] - make_likely[p, t]
        apart[p, t] >= make_likely[p, t] - make[p, t]

    Without it scenarios would differ by days that are equal in every objective.
    """
    likely = joint.case("likely").variables.make
    terms: Sum = []
    for (name, number), made in case.variables.make.items():
        other = likely[name, number]
        if made is other:
            continue
        period = case.parameters.periods[number]
        label = case.variables.name("apart", name, period.label)
        apart: Variable = case.variables.model.variable(label)
        for sign, which in ((1.0, "more"), (-1.0, "less")):
            row = at_least([(1.0, apart), (-sign, made), (sign, other)], 0.0)
            case.variables.model.add(f"{label}.{which}", row)
        terms.append((1.0, apart))
    return terms
