"""
Several seasons in one programme, the extensive form: what is decided now is one decision, the rest one a season.

Every season brings its own facts and so its own rows, by the very rules of the plain plan. What is decided today and
tomorrow is the same variable in all of them, so no row has to tie them together. What is bought is decided by season:
a purchase has no day in the programme, and what the first two days need is the same in all seasons by itself.
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
"""Kinds of variable that are taken for today and tomorrow; what is then fresh, held or fed follows from the harvest."""


class CaseModel(Model):
    """
    One case's view of a model that several share.

    Decisions for which `shared` says yes keep their name and are made once; all others, and all rows, carry the case's
    name before their own. Everything is kept in the one model underneath.
    """

    def __init__(self, joint_model: Model, case: str, shared: Callable[[str], bool]) -> None:
        """Look at a model as one case of it."""
        self.name = case
        self.variables = joint_model.variables
        self.rows = joint_model.rows
        self.shared = shared

    def variable(self, name: str, *, most: float | None = None, whole: bool = False) -> Variable:
        """Add a variable of this case, or take the one that all cases share; its end is the least of theirs."""
        if not self.shared(name):
            return super().variable(f"{self.name}.{name}", most=most, whole=whole)
        if name not in self.variables:
            return super().variable(name, most=most, whole=whole)
        found = self.variables[name]
        if most is not None and (found.most is None or most < found.most):
            found.most = most
        return found

    def add(self, name: str, row: Row) -> None:
        """Add a row of this case; raises as `Programme.add` does."""
        super().add(f"{self.name}.{name}", row)


@dataclass(frozen=True)
class Case:
    """One season in the model: its name and weight, what is known of it and what is decided in it."""

    name: str
    weight: float
    parameters: Parameters
    variables: Variables


@dataclass(frozen=True)
class Joint:
    """All seasons in one model; `together` holds the variables of all, each name with its season before it."""

    model: Model
    cases: tuple[Case, ...]
    together: Variables

    def case(self, name: str) -> Case:
        """Return the case of this name; KeyError when there is none."""
        for case in self.cases:
            if case.name == name:
                return case
        raise KeyError(name)

    def decided_now(self) -> dict[str, Variable]:
        """Return the variables that all cases share, by their name."""
        starts = tuple(f"{case.name}." for case in self.cases)
        return {name: v for name, v in self.model.variables.items() if not name.startswith(starts)}


def is_decided_now(household: Household) -> Callable[[str], bool]:
    """Return what tells whether a variable of this name falls on a day decided before the season is known."""
    labels = tuple(
        f".{solver_word(period.label)}" for period in Parameters(household).singles[: days_decided_now(household)]
    )
    kinds = tuple(f"{kind}." for kind in DECIDED_NOW)

    def shared(name: str) -> bool:
        return bool(labels) and name.startswith(kinds) and name.endswith(labels)

    return shared


def build_cases(cases: Iterable[HarvestCase], constraints: Mapping[str, Constraint] = CONSTRAINTS) -> Joint:
    """
    Build one model of all cases of a settled household.

    Raises KeyError when two rows or variables would get one name.
    """
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
    """Return the variables of all cases side by side, as far as finishing a plan asks for them."""

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
