"""
The extensive form: all harvest scenarios in one model, with the first-stage variables shared.

Each scenario has its own parameters and so its own constraints. What is decided today and tomorrow is one variable in
all of them, so no nonanticipativity constraints are needed. Purchases have no day in the model and are decided by
scenario.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from stillroom.household.records import Household
from stillroom.household.scenarios import HarvestCase, days_decided_now
from stillroom.planning.constraints import CONSTRAINTS
from stillroom.planning.model import Model, Row, Variable, solver_word
from stillroom.planning.parameters import Parameters
from stillroom.planning.show import Constraint
from stillroom.planning.variables import ByPeriod, Variables, define_variables

DECIDED_NOW = ("make", "loads", "setup", "freeze", "thaw", "setup_freeze")
"""Kinds of first-stage variables: those of today and tomorrow; fresh, frozen and surplus follow from the harvest."""


class CaseModel(Model):
    """
    One scenario's view of a shared model.

    Variables for which `shared` is true keep their name and are defined once; all others, and all constraints, have the
    scenario's name in front.
    """

    def __init__(self, joint_model: Model, case: str, shared: Callable[[str], bool]) -> None:
        """Start the view of a scenario."""
        self.name = case
        self.variables = joint_model.variables
        self.rows = joint_model.rows
        self.shared = shared

    def variable(self, name: str, *, most: float | None = None, whole: bool = False) -> Variable:
        """Add a variable of this scenario, or return the shared one; its upper bound is the least of all."""
        if not self.shared(name):
            return super().variable(f"{self.name}.{name}", most=most, whole=whole)
        if name not in self.variables:
            return super().variable(name, most=most, whole=whole)
        found = self.variables[name]
        if most is not None and (found.most is None or most < found.most):
            found.most = most
        return found

    def add(self, name: str, row: Row) -> None:
        """Add a constraint of this scenario; raises as `Model.add` does."""
        super().add(f"{self.name}.{name}", row)


@dataclass(frozen=True)
class Case:
    """One scenario: its name, weight, parameters and variables."""

    name: str
    weight: float
    parameters: Parameters
    variables: Variables


@dataclass(frozen=True)
class Joint:
    """All scenarios in one model; `together` has the variables of all."""

    model: Model
    cases: tuple[Case, ...]
    together: Variables

    def case(self, name: str) -> Case:
        """Return the scenario of this name. Raises KeyError when there is none."""
        for case in self.cases:
            if case.name == name:
                return case
        raise KeyError(name)

    def decided_now(self) -> dict[str, Variable]:
        """Return the first-stage variables, by name."""
        starts = tuple(f"{case.name}." for case in self.cases)
        return {name: v for name, v in self.model.variables.items() if not name.startswith(starts)}


def is_decided_now(household: Household) -> Callable[[str], bool]:
    """Return a function that tells from a name whether a variable belongs to the first stage."""
    labels = tuple(
        f".{solver_word(period.label)}" for period in Parameters(household).singles[: days_decided_now(household)]
    )
    kinds = tuple(f"{kind}." for kind in DECIDED_NOW)

    def shared(name: str) -> bool:
        return bool(labels) and name.startswith(kinds) and name.endswith(labels)

    return shared


def build_cases(cases: Iterable[HarvestCase], constraints: Mapping[str, Constraint] = CONSTRAINTS) -> Joint:
    """Build one model of all scenarios. Raises KeyError when two variables or constraints would share a name."""
    model = Model("stillroom")
    found = []
    for case in cases:
        parameters = Parameters(case.household)
        view = CaseModel(model, case.name, is_decided_now(case.household))
        variables = define_variables(parameters, view)
        for constraint in constraints.values():
            for label, row in constraint(parameters, variables):
                view.add(label, row)
        found.append(Case(case.name, case.weight, parameters, variables))
    return Joint(model, tuple(found), combined_variables(model, found))


def combined_variables(model: Model, cases: Iterable[Case]) -> Variables:
    """Return the variables of all scenarios, as far as finishing a plan needs them."""

    def side_by_side(of: Callable[[Variables], ByPeriod]) -> ByPeriod:
        return {
            (f"{case.name}: {name}", number): variable
            for case in cases
            for (name, number), variable in of(case.variables).items()
        }

    return Variables(
        model,
        {},
        make=side_by_side(lambda d: d.make),
        setup=side_by_side(lambda d: d.setup),
        freeze=side_by_side(lambda d: d.freeze),
        setup_freeze=side_by_side(lambda d: d.setup_freeze),
    )
