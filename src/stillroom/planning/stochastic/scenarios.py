"""
The extensive form: all harvest scenarios in one model, with the first-stage variables shared.

Each scenario has its own parameters and so its own constraints. What is decided today and tomorrow is one variable in
all of them, so no nonanticipativity constraints are needed. Purchases have no day in the model and are decided by
scenario.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Period, Plan
from stillroom.household.records import Household, Preserve
from stillroom.household.scenarios import DAYS_DECIDED_NOW, LIKELY, HarvestCase, days_decided_now
from stillroom.planning.constraints import CONSTRAINTS
from stillroom.planning.model import Model, Row, Variable, solver_word
from stillroom.planning.moving import Day, Used, day_of, keeps, may_move, move_sessions, move_to, with_moves
from stillroom.planning.parameters import Parameters
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
    """Return a predicate of names: whether a variable belongs to the first stage."""
    labels = tuple(
        f".{solver_word(period.label)}" for period in Parameters(household).singles[: days_decided_now(household)]
    )
    kinds = tuple(f"{kind}." for kind in DECIDED_NOW)

    def shared(name: str) -> bool:
        return bool(labels) and name.startswith(kinds) and name.endswith(labels)

    return shared


def build_cases(cases: Iterable[HarvestCase]) -> Joint:
    """Build one model of all scenarios. Raises KeyError when two variables or constraints would share a name."""
    model = Model("stillroom")
    found = []
    for case in cases:
        parameters = Parameters(case.household)
        view = CaseModel(model, case.name, is_decided_now(case.household))
        variables = define_variables(parameters, view)
        for constraint in CONSTRAINTS.values():
            for label, row in constraint(parameters, variables):
                view.add(label, row)
        found.append(Case(case.name, case.weight, parameters, variables))
    return Joint(model, tuple(found), combined_variables(model, found))


def combined_variables(model: Model, cases: Iterable[Case]) -> Variables:
    """Return the variables of all scenarios, as far as finishing a plan uses them."""

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


# Sessions moved to earlier days, alike in all scenarios today and tomorrow.

NOTHING = 1e-6


def move_all_earlier(
    parameters: Mapping[str, Parameters], plans: Mapping[str, Plan], decided_now: int
) -> dict[str, Plan]:
    """
    Return the plans, by scenario, with sessions moved to earlier days.

    A session moves into the first-stage days only if every scenario makes it later and has room for it; then within
    those days in all scenarios equally; then within the later days of each scenario.
    """
    start = move_opening_earlier(parameters, move_into_opening(parameters, plans, decided_now), decided_now)
    return {
        name: move_sessions(parameters[name], plan, (decided_now, len(parameters[name].singles)))
        for name, plan in start.items()
    }


def move_into_opening(
    parameters: Mapping[str, Parameters], plans: Mapping[str, Plan], decided_now: int
) -> Mapping[str, Plan]:
    """Move sessions from later days into the first-stage days where every scenario can."""
    days = {name: day_of(parameters[name], plan) for name, plan in plans.items()}
    likely = parameters[LIKELY]
    moved = False
    for item in sorted(likely.preserves, key=lambda item: (keeps(likely, item), item.name)):
        for period in likely.singles[decided_now:]:
            for earlier in likely.singles[:decided_now]:
                amount = days[LIKELY].make.get((item.name, period.number), 0.0)
                if amount > 0 and every_season_moves(days, plans, item, amount, earlier):
                    moved = True
    found = {name: with_moves(plans[name], day) for name, day in days.items()}
    if not moved or any(violated_constraints(parameters[name].household, plan) for name, plan in found.items()):
        return plans
    return found


def every_season_moves(
    days: dict[str, Day], plans: Mapping[str, Plan], item: Preserve, amount: float, earlier: Period
) -> bool:
    """Move a session to an earlier day in every scenario, or in none; return whether it was moved."""
    before = {name: copied(day) for name, day in days.items()}
    for name, day in days.items():
        source = next(
            (
                period
                for period in day.parameters.singles[DAYS_DECIDED_NOW:]
                if abs(day.make.get((item.name, period.number), 0.0) - amount) < NOTHING
                and may_move(day.parameters, plans[name], item, period)
            ),
            None,
        )
        if source is None or not move_to(day, item, source, earlier):
            days.update(before)
            return False
    return True


def copied(day: Day) -> Day:
    """Return a copy of a day to restore."""
    used: Used = defaultdict(float, day.used)
    return replace(day, make=dict(day.make), loads=dict(day.loads), fresh_kg=dict(day.fresh_kg), used=used)


def move_opening_earlier(
    parameters: Mapping[str, Parameters], plans: Mapping[str, Plan], decided_now: int
) -> Mapping[str, Plan]:
    """Move what the likely season can move from tomorrow to today in every season, if every season can."""
    likely = plans[LIKELY]
    moved = move_sessions(parameters[LIKELY], likely, (0, decided_now))
    if moved.make == likely.make:
        return plans
    found = {name: with_same_opening(plan, likely, moved, decided_now) for name, plan in plans.items()}
    if any(violated_constraints(parameters[name].household, plan) for name, plan in found.items()):
        return plans
    return found


def with_same_opening(plan: Plan, before: Plan, after: Plan, decided_now: int) -> Plan:
    """Return a scenario's plan with the same moves in the first-stage days as between two plans."""

    def now(amounts: Mapping[tuple[str, int], float]) -> dict[tuple[str, int], float]:
        return {key: amount for key, amount in amounts.items() if key[1] < decided_now}

    def later(amounts: Mapping[tuple[str, int], float]) -> dict[tuple[str, int], float]:
        return {key: amount for key, amount in amounts.items() if key[1] >= decided_now}

    fresh = dict(plan.fresh_kg)
    for key in set(before.fresh_kg) | set(after.fresh_kg):
        fresh[key] = fresh.get(key, 0.0) + after.fresh_kg.get(key, 0.0) - before.fresh_kg.get(key, 0.0)
    return replace(
        plan,
        make=now(after.make) | later(plan.make),
        loads=now(after.loads) | later(plan.loads),
        fresh_kg={key: kg for key, kg in fresh.items() if kg > NOTHING},
    )
