"""
How long the lines of a plan can wait: planned again with a line forbidden before a day, as little as possible lost.

One model is loaded once. For each question the amounts of the line are held at 0 in the periods asked about, all other
work until then is done as planned, nothing more is bought than in the plan, and the loss is minimized:

    sum over targets n of weight[importance of n] * (filled_in_plan[n] - filled[n])+ / wanted[n]
        + KG * sum over crops c of (sum over periods t of (surplus[c, t] + spoil[c, t]) - that of the plan)+

What is said is what a plan was found for that keeps every constraint and fits the clock: the last day may be too early
and a loss too large where a search ends at its node limit, never the other way round.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Plan
from stillroom.household.records import FREEZE_WHOLE, Household
from stillroom.household.results.deadlines import LEAST_SHOWN, Deadline, Deadlines, LineChange, Loss, Outcome, Stop
from stillroom.household.simulation.seasons import filled_by_plan
from stillroom.household.suppose.disruptions import Disruption
from stillroom.planning.bottlenecks.replan import Tighten, loss_terms
from stillroom.planning.bottlenecks.resources import columns_of
from stillroom.planning.highs import HighsSession, SolveSettings
from stillroom.planning.model import Sum, at_least
from stillroom.planning.objectives import plan_changes
from stillroom.planning.parameters import Parameters
from stillroom.planning.solution import extract_plan
from stillroom.planning.solve import build
from stillroom.planning.variables import Variables

MOST_ON_THE_CLOCK = 3
"""So often a question is asked again with tighter days, where its plan does not fit the clock."""

WEIGHTS = {1: 100.0, 2: 10.0, 3: 1.0}
"""Of a target's whole amount lost, by importance: more than all of the next together in most households."""

KG = 0.002
"""Of a kilogram of crop that becomes surplus or spoils."""

SETTINGS = SolveSettings(gap=0.01, absolute_gap=5e-4, patient_gap=0.1, patient_nodes=5, node_limit=20)
CHANGED_SETTINGS = SolveSettings(gap=0.01, absolute_gap=1e-3, patient_gap=0.1, patient_nodes=5, node_limit=60)
CHANGED = 4e-4
"""Of a container made more or less in a detailed day than planned: as much as half a pound of crop lost."""
SHOWN_DAYS = 2
LEAST_KG = 0.7
"""Less crop lost than this (a pound and a half) is the rounding of loads."""

NOTHING = Loss({}, {})

Key = tuple[str, int]

Latest = Callable[[Household, Plan, datetime.date, str], datetime.datetime | None]
"""Gives how late a line of a day of a plan may begin; None where that is not known."""


@dataclass
class Questions:
    """The model of a plan, asked again and again with some lines forbidden."""

    household: Household
    plan: Plan
    tighten: Tighten
    settings: SolveSettings = SETTINGS
    changes_cost: float = 0.0
    parameters: Parameters = field(init=False)
    variables: Variables = field(init=False)
    answers: dict[tuple[int, frozenset[Key]], tuple[Loss, Plan] | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Build the model, with what each target loses against the plan as its objective."""
        self.parameters, self.variables = build(self.household)
        self.filled = filled_by_plan(self.household, self.plan)
        self.lost_kg = lost_by_crop(self.plan)
        costs = [*self._target_costs(), *self._crop_costs(), *self._change_costs()]
        self.solver = HighsSession(self.variables.model)
        self.solver.set_objective(self.solver.vector(costs), maximize=False)
        self.start = columns_of(self.parameters, self.variables, self.plan, self.filled)
        self.lower, self.upper = self._no_more_bought(*self.solver.column_bounds())

    def _target_costs(self) -> Sum:
        """Return what each target loses, in weighted shares of what is wanted."""
        names = {self.variables.name("loss", target.name): target for target in self.household.targets}
        losses = loss_terms(self.parameters, self.variables, self.filled)
        return [(WEIGHTS[names[variable.name].importance] * share, variable) for share, variable in losses]

    def _crop_costs(self) -> Sum:
        """Add a variable for what of each crop becomes surplus or spoils beyond the plan; return their sum."""
        terms: Sum = []
        for crop in self.parameters.crops:
            more = self.variables.model.variable(self.variables.name("crop_loss", crop.name))
            lost = [
                (-1.0, variable)
                for several in (self.variables.surplus, self.variables.spoil)
                for (name, _), variable in several.items()
                if name == crop.name
            ]
            row = at_least([(1.0, more), *lost], -self.lost_kg.get(crop.name, 0.0))
            self.variables.model.add(self.variables.name("no_more_lost", crop.name), row)
            terms.append((KG, more))
        return terms

    def _change_costs(self) -> Sum:
        """Return what it costs to change the last plan's detailed days."""
        if not self.changes_cost:
            return []
        return [(self.changes_cost * each, one) for each, one in plan_changes(self.parameters, self.variables)]

    def _no_more_bought(self, lower: np.ndarray, upper: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the bounds with no more bought, and fixed lines no shorter, than in the plan."""
        variables = self.variables
        for several in (variables.buy_container, variables.buy_lid, variables.buy_item, variables.short):
            for variable in several.values():
                column = self.solver.columns[variable.name]
                upper[column] = min(upper[column], max(lower[column], self.start[column]) + 1e-6)
        return lower, upper

    def columns_of_line(self, key: Key) -> list[int]:
        """Return the columns of what a line makes or freezes in a period."""
        name, number = key
        if name.startswith(FREEZE_WHOLE):
            crop = (name.removeprefix(FREEZE_WHOLE), number)
            found = [self.variables.freeze.get(crop), self.variables.setup_freeze.get(crop)]
        else:
            found = [one.get(key) for one in (self.variables.make, self.variables.loads, self.variables.setup)]
        return [self.solver.columns[variable.name] for variable in found if variable is not None]

    def without(self, forbidden: frozenset[Key], as_planned: int) -> tuple[Loss, Plan] | None:
        """
        Return what is lost at most, and the plan, without some lines in some periods; None where none was found.

        Everything else in the first `as_planned` periods is done as planned, no less and no more.
        """
        asked = (as_planned, forbidden)
        if asked not in self.answers:
            self.answers[asked] = self._without(forbidden, as_planned)
        return self.answers[asked]

    def _without(self, forbidden: frozenset[Key], as_planned: int) -> tuple[Loss, Plan] | None:
        household, plan = self.household, self.plan_without(forbidden, as_planned)
        for number in range(1, MOST_ON_THE_CLOCK + 1):
            if plan is None:
                return None
            tighter = self.tighten(household, plan, number)
            if tighter is None:
                return self.loss(plan), plan
            household = tighter
            plan = replace(self, household=tighter).plan_without(forbidden, as_planned)
        return None

    def plan_without(self, forbidden: frozenset[Key], as_planned: int) -> Plan | None:
        """Return a plan without some lines, whether it fits the clock or not; None where none was found."""
        lower, upper, start = self.lower.copy(), self.upper.copy(), np.array(self.start)
        for several in (self.variables.make, self.variables.loads, self.variables.freeze):
            for (_, number), variable in several.items():
                if number < as_planned:
                    column = self.solver.columns[variable.name]
                    lower[column] = upper[column] = self.start[column]
        for key in forbidden:
            for column in self.columns_of_line(key):
                lower[column] = upper[column] = start[column] = 0.0
        every = np.arange(len(lower), dtype=np.int32)
        self.solver.highs.changeColsBounds(len(every), every, lower, upper)
        outcome = self.solver.run(self.solver.solve_amounts(tuple(start)), self.settings)
        if not outcome.found:
            return None
        amounts = self.solver.solve_amounts(outcome.columns) or outcome.columns
        columns = dict(zip(self.solver.columns, amounts, strict=True))
        plan = extract_plan(self.parameters, self.variables, columns, ())
        return None if violated_constraints(self.household, plan) else plan

    def loss(self, plan: Plan) -> Loss:
        """Return what another plan loses against this one."""
        filled, lost = filled_by_plan(self.household, plan), lost_by_crop(plan)
        targets = {
            name: was - filled.get(name, 0.0)
            for name, was in self.filled.items()
            if was - filled.get(name, 0.0) >= LEAST_SHOWN
        }
        more = {name: kg - self.lost_kg.get(name, 0.0) for name, kg in lost.items()}
        return Loss(targets, {name: kg for name, kg in more.items() if kg >= LEAST_KG})


def outcome_of(disruption: Disruption, plan: Plan, tighten: Tighten) -> Outcome:
    """
    Return what is lost at most when something goes wrong, and how the first two days change.

    The detailed days change no more than pays: the household has the plan's lines as its last plan.
    """
    household, singles = disruption.household, [period for period in plan.periods if period.single][:SHOWN_DAYS]
    answer = Questions(household, plan, tighten, CHANGED_SETTINGS, CHANGED).without(frozenset(), 0)
    if answer is None:
        return Outcome(disruption.name)
    loss, after = answer
    was, now = dict(amounts_of(plan)), amounts_of(after)
    for name, amount in disruption.failed:
        was[name, 0] = was.get((name, 0), 0.0) - amount
    changes = [
        LineChange(period.first_day, name, was.get((name, number), 0.0), now.get((name, number), 0.0))
        for period in singles
        for name, number in sorted({*was, *now})
        if number == period.number
    ]
    idle = [period.first_day for period in singles if not lines_of_day(after, period.number)]
    real = [one for one in changes if abs(one.after - one.before) >= least_shown(one.name)]
    return Outcome(disruption.name, tuple(period.first_day for period in singles), tuple(real), tuple(idle), loss)


def least_shown(name: str) -> float:
    """Return the least change of a line that is shown: half a container, or the rounding of loads."""
    return LEAST_KG if name.startswith(FREEZE_WHOLE) else 0.5


def lost_by_crop(plan: Plan) -> dict[str, float]:
    """Return the kilograms of each crop that are surplus or spoil."""
    found: dict[str, float] = {}
    for several in (plan.surplus_kg, plan.spoil_kg):
        for (name, _), kg in several.items():
            found[name] = found.get(name, 0.0) + kg
    return found


def find_deadlines(household: Household, plan: Plan, tighten: Tighten, latest: Latest, days: int) -> Deadlines:
    """
    Return how long the lines of the first so many detailed days can wait, and where one may stop on each of them.

    `household` is settled and planned as it is; `tighten` gives tighter days where a plan does not fit the clock, and
    `latest` how late a line may begin on its last day.
    """
    asked = Questions(household, plan, tighten)
    singles = [period.number for period in plan.periods if period.single]
    found = [deadline(asked, key, singles) for number in singles[:days] for key in lines_of_day(plan, number)]
    lines = [replace(one, hour=hour_of(asked, one, latest)) for one in found]
    return Deadlines(tuple(lines), tuple(stop for number in singles[:days] for stop in stops(asked, number, lines)))


def hour_of(asked: Questions, one: Deadline, latest: Latest) -> datetime.datetime | None:
    """Return how late a line may begin on the last day it can wait until, in the plan that was found for that day."""
    if one.until is None:
        return None
    by_day = {period.first_day: period.number for period in asked.plan.periods if period.single}
    first, last = by_day[one.day], by_day[one.until]
    if first == last:
        return latest(asked.household, asked.plan, one.day, one.name)
    answer = asked.without(frozenset((one.name, number) for number in range(first, last)), last)
    return None if answer is None else latest(asked.household, answer[1], one.until, one.name)


def lines_of_day(plan: Plan, number: int) -> list[Key]:
    """Return the lines of a period: what is made and what is frozen whole."""
    made = [key for key, amount in plan.make.items() if key[1] == number and amount > 1e-6]
    frozen = [(FREEZE_WHOLE + name, at) for (name, at), kg in plan.freeze_kg.items() if at == number and kg > 1e-6]
    return sorted(made) + sorted(frozen)


def deadline(asked: Questions, key: Key, singles: Sequence[int]) -> Deadline:
    """Return the deadline of a line, by bisection over the later detailed days, and what is lost where it goes by."""
    name, number = key
    day = asked.plan.periods[number].first_day
    later = singles[singles.index(number) + 1 :]

    def forbidden(end: int) -> frozenset[Key]:
        return frozenset((name, one) for one in range(number, end))

    def may_wait(end: int) -> bool:
        answer = asked.without(forbidden(end), end)
        return answer is not None and answer[0].nothing

    past = singles[-1] + 1
    if may_wait(past):
        return Deadline(day, name, None, NOTHING)
    good, bad = -1, len(later)
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (middle, bad) if may_wait(later[middle]) else (good, middle)
    last = number if good < 0 else later[good]
    until = asked.plan.periods[last].first_day
    other = asked.without(forbidden(last + 1), number)
    if other is None:
        return Deadline(day, name, until, whole_loss(asked, key))
    return Deadline(day, name, until, other[0], instead_of(asked, other[1], name))


def whole_loss(asked: Questions, key: Key) -> Loss:
    """Return the most that leaving a line out can lose, without planning anything else: all it makes and takes."""
    name, number = key
    if name.startswith(FREEZE_WHOLE):
        crop = name.removeprefix(FREEZE_WHOLE)
        return Loss({}, {crop: asked.plan.freeze_kg[crop, number]})
    amount = asked.plan.make[key]
    targets = {
        target.name: min(asked.filled.get(target.name, 0.0), target.counts[name] * amount)
        for target in asked.household.targets
        if name in target.counts
    }
    crops = asked.parameters.crops_of(asked.household.preserve(name))
    return Loss(targets, {crop: each * amount for crop, each in crops.items()})


def instead_of(asked: Questions, plan: Plan, name: str) -> tuple[tuple[datetime.date, int, str, float], ...]:
    """Return what another plan does more of the crops of a line: detailed days first."""
    crops = crops_of_line(asked, name)
    found = []
    for key, amount in amounts_of(plan).items():
        more = amount - amounts_of(asked.plan).get(key, 0.0)
        if more >= least_shown(key[0]) and crops & crops_of_line(asked, key[0]):
            period = asked.plan.periods[key[1]]
            found.append((period.first_day, period.days, key[0], more))
    return tuple(sorted(found, key=lambda one: (one[1], one[0], one[2])))


def crops_of_line(asked: Questions, name: str) -> set[str]:
    """Return the crops that a line uses."""
    if name.startswith(FREEZE_WHOLE):
        return {name.removeprefix(FREEZE_WHOLE)}
    return set(asked.parameters.crops_of(asked.household.preserve(name)))


def amounts_of(plan: Plan) -> Mapping[Key, float]:
    """Return what a plan makes and freezes by line and period."""
    frozen = {(FREEZE_WHOLE + name, number): kg for (name, number), kg in plan.freeze_kg.items()}
    return {**plan.make, **frozen}


def stops(asked: Questions, number: int, lines: Sequence[Deadline]) -> Iterator[Stop]:
    """Yield what stopping costs on a day after each of its lines, the most urgent lines first, until it is nothing."""
    day = asked.plan.periods[number].first_day
    today = [one for one in lines if one.day == day]
    ordered = sorted(today, key=lambda one: (one.until or datetime.date.max, -cost_of(asked, one.loss), one.name))
    for done in range(len(ordered)):
        rest = frozenset((one.name, number) for one in ordered[done:])
        answer = asked.without(rest, number + 1)
        loss = answer[0] if answer is not None else sum_of([one.loss for one in ordered[done:]])
        yield Stop(day, tuple(one.name for one in ordered[:done]), loss)
        if loss.nothing:
            return


def cost_of(asked: Questions, loss: Loss) -> float:
    """Return a loss as the objective weighs it."""
    targets = {target.name: target for target in asked.household.targets}
    return KG * sum(loss.crops_kg.values()) + sum(
        WEIGHTS[targets[name].importance] * amount / targets[name].wanted for name, amount in loss.targets.items()
    )


def sum_of(losses: Sequence[Loss]) -> Loss:
    """Return several losses as one."""
    targets: dict[str, float] = {}
    crops: dict[str, float] = {}
    for loss in losses:
        for found, amounts in ((targets, loss.targets), (crops, loss.crops_kg)):
            for name, amount in amounts.items():
                found[name] = found.get(name, 0.0) + amount
    return Loss(targets, crops)
