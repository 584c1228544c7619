"""Play a season day by day with light plans, each carried out; and plan a day again near the plan that stands."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import partial

from stillroom.errors import StillroomError
from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Plan, periods
from stillroom.household.records import Household, Preserve
from stillroom.household.simulation.seasons import Draw, SeasonPlayed, Uncertainty
from stillroom.household.simulation.state import NOTHING, SeasonState, work
from stillroom.planning.bottlenecks.resolve import sendable, sendable_plan
from stillroom.planning.highs import HighsSession, SolveSettings
from stillroom.planning.model import Sum
from stillroom.planning.moving import move_sessions
from stillroom.planning.objectives import (
    fixed_line_shortfall,
    labor_hours,
    plan_changes,
    spending,
    target_points,
    weighted_surplus,
)
from stillroom.planning.parameters import Parameters
from stillroom.planning.solution import extract_plan
from stillroom.planning.solve import Search, build, plan, with_full_segments
from stillroom.planning.variables import Variables

Planned = tuple[Household, Plan]
"""The household with its days and weeks, and its plan."""

FIXED, TARGETS, MONEY, SURPLUS, HANDS = 1e5, {1: 1e4, 2: 300.0, 3: 10.0}, 0.01, 0.001, 0.0003
"""Objective weights: a container of a fixed line, a point of targets, money, a kg of surplus, an hour of labor."""

ABSOLUTE_GAP, NODE_LIMIT = 0.002, 30
"""Absolute gap (2 kg of surplus, or part of a jar of the least target) and node limit."""


def with_days(household: Household, singles: int, end: datetime.date) -> Household:
    """
    Return the household planned with so many detailed days and then weeks, to the end of the season.

    The last week may reach past the end; in the last two weeks detailed days fill what is left.

    >>> from stillroom.household.examples import tiny_household
    >>> kitchen = with_days(tiny_household(), 3, datetime.date(2026, 10, 15)).kitchen
    >>> kitchen.days_planned_singly, kitchen.weeks_after_that
    (3, 9)
    >>> kitchen = with_days(tiny_household(), 3, datetime.date(2026, 8, 26)).kitchen
    >>> kitchen.days_planned_singly, kitchen.weeks_after_that
    (6, 1)
    """
    left = (end - household.kitchen.first_day).days + 1
    singles = min(singles, left)
    weeks = -(-(left - singles) // 7)
    if left <= 14:
        weeks = (left - singles) // 7
        singles = left - 7 * weeks
    kitchen = replace(household.kitchen, days_planned_singly=singles, weeks_after_that=weeks)
    return replace(household, kitchen=kitchen)


def without_idle(household: Household) -> Household:
    """Return the household without preserves that have no crop left or no room in any target; fixed lines stay."""
    kg = {lot.crop for lot in household.lots if lot.kg > 0}
    fixed = {line.name for line in household.plan_lines if line.fix is not None}
    used = {line.item for item in household.preserves for line in item.ingredients if line.source == "preserve"}
    room = Parameters(household).room
    open_targets = {name for target in household.targets if room(target) > 0 for name in target.counts}

    def idle(item: Preserve) -> bool:
        lacks = any(line.source == "crop" and line.amount_each > 0 and line.item not in kg for line in item.ingredients)
        return item.name not in fixed and (lacks or (item.name not in used and item.name not in open_targets))

    preserves = tuple(
        replace(item, include=False) if item.include and idle(item) else item for item in household.preserves
    )
    return replace(household, preserves=preserves)


def light_plan(household: Household, whole_days: int, end: datetime.date) -> Planned:
    """
    Plan a settled household with one weighted objective, with integers in the next days only.

    The weights put targets before everything after them; stability is left out. Where no solution is found within the
    node limit, the household is planned in full.
    """
    shaped = without_idle(with_days(household, whole_days, end))
    parameters, variables = build(shaped)
    solver = HighsSession(variables.model)
    found = solved_once(parameters, variables, solver, weighed(parameters, variables, solver))
    return shaped, plan(shaped) if found is None else move_sessions(parameters, found)


def solved_once(
    parameters: Parameters, variables: Variables, solver: HighsSession, costs: dict[int, float]
) -> Plan | None:
    """
    Minimize one weighted objective and return the plan; None where none is found.

    The limits count nodes, so that the answer is the same on a slow machine.
    """
    solver.set_objective(costs, maximize=False)
    effort = SolveSettings(gap=0.0, absolute_gap=ABSOLUTE_GAP, node_limit=NODE_LIMIT, patient_nodes=NODE_LIMIT)
    outcome = solver.run(None, effort)
    if not outcome.found:
        return None
    search = Search(parameters, variables, solver, best=outcome.columns)
    columns = dict(zip(solver.columns, with_full_segments(search), strict=True))
    return extract_plan(parameters, variables, columns, ())


def weighed(parameters: Parameters, variables: Variables, solver: HighsSession) -> dict[int, float]:
    """
    Return the weighted sum of the objectives, to be minimized, by column.

        FIXED * short - sum over importance of TARGETS * points + MONEY * spending + SURPLUS * surplus + HANDS * labor
    """
    parts: list[tuple[float, Callable[[Parameters, Variables], Sum]]]
    parts = [(FIXED, fixed_line_shortfall), (MONEY, spending), (SURPLUS, weighted_surplus), (HANDS, labor_hours)]
    parts += [(-weight, partial(target_points, importance=importance)) for importance, weight in TARGETS.items()]
    costs: dict[int, float] = {}
    for weight, terms in parts:
        for column, cost in solver.vector(terms(parameters, variables)).items():
            costs[column] = costs.get(column, 0.0) + weight * cost
    return costs


# The first days of a season planned for several harvests together.


# A season played day by day: planned every few days, carried out, and counted at its end.

Planner = Callable[[Household, int, datetime.date], Planned]
"""Plans a household to the end of the season; the number is the days until the next plan."""

AUDIT_EVERY = 1
"""Every plan of every n-th draw is audited; auditing all takes a fifth of the time."""


@dataclass(frozen=True)
class Settings:
    """
    How a season is played.

    `planner` makes the plans; `opener`, if any, the first `openings` ones. Both are module functions, so that they can
    be sent to another process. The day after a lost evening is planned again.
    """

    seed: int = 1
    unsure: Uncertainty = field(default_factory=Uncertainty)
    plan_every_days: int = 3
    planner: Planner = light_plan
    opener: Planner | None = None
    openings: int = 1
    audit_every: int = AUDIT_EVERY


@dataclass(frozen=True)
class SeasonTask:
    """Some draws of one household, as sent to a process; `opening` is the plan of the first day."""

    household: Household
    settings: Settings
    numbers: tuple[int, ...]
    opening: Plan | None = None


def task(household: Household, settings: Settings, numbers: tuple[int, ...], opening: Plan | None = None) -> SeasonTask:
    """Return a task with plain mappings, so that it can be sent to another process."""
    plain = None if opening is None else sendable_plan(replace(opening, hedge=None))
    return SeasonTask(sendable(household), settings, numbers, plain)


def play_some(some: SeasonTask) -> tuple[SeasonPlayed, ...]:
    """Play the draws of a task; the results do not depend on where it runs."""
    settings = some.settings
    draws = (Draw(settings.seed, number, settings.unsure) for number in some.numbers)
    return tuple(play(some.household, draw, settings, some.opening) for draw in draws)


def season_end(household: Household) -> datetime.date:
    """Return the last day of the household's plan, the end of its season."""
    return periods(household.kitchen)[-1].last_day


def play(household: Household, draw: Draw, settings: Settings, opening: Plan | None = None) -> SeasonPlayed:
    """
    Play one drawn season: a rolling horizon.

    Every few days, and after a lost evening, the household is planned with what it still expects. `opening` is its plan
    on the first day, None to make it here. Raises StillroomError when an audited plan violates a constraint.
    """
    end, day = season_end(household), household.kitchen.first_day
    state = SeasonState(household, draw, end)
    plan, next_plan = (opening if opening is not None and days_ahead(opening) else None), day
    made = audited = lost = 0
    while day <= end:
        state.morning(day)
        if day >= next_plan:
            if (plan is None or made) and anything_to_do(state, day, settings.plan_every_days):
                opener = settings.opener if made < settings.openings else None
                planner = opener or settings.planner
                shaped, plan = planner(state.as_household(day), settings.plan_every_days, end)
                if draw.number % settings.audit_every == 0:
                    require_feasible(shaped, plan)
                    audited += 1
            made += 1
            ahead = settings.plan_every_days if plan is None else min(settings.plan_every_days, days_ahead(plan) or 1)
            next_plan = day + datetime.timedelta(days=ahead)
        state.eat()
        if hands_on(household, day) > 0 and draw.evening_lost(day):
            lost += 1
            next_plan = day + datetime.timedelta(days=1)
        elif plan is not None:
            work(state, plan, day)
        state.evening(day)
        day += datetime.timedelta(days=1)
    return counted(state, lost, made, audited)


def days_ahead(plan: Plan) -> int:
    """Return the number of detailed days of a plan."""
    return sum(period.single for period in plan.periods)


def anything_to_do(state: SeasonState, day: datetime.date, days: int) -> bool:
    """Return whether there is any crop in the next days, or a preserve without crop."""
    soon = day + datetime.timedelta(days=days)
    if any(lot.picked_on < soon for lot in state.expected):
        return True
    if any(lot.kg > NOTHING for lots in (*state.fresh.values(), *state.frozen.values()) for lot in lots):
        return True
    planned = state.household.planned()
    return any(all(line.source != "crop" for line in item.ingredients) for item in planned)


def hands_on(household: Household, day: datetime.date) -> float:
    """Return the hands-on hours of a day; 1 where no hours are typed."""
    row = next((row for row in household.hours if row.what.casefold() == "hands"), None)
    return 1.0 if row is None else row.by_weekday[day.weekday()]


def require_feasible(household: Household, plan: Plan) -> None:
    """Raise StillroomError when a plan violates a constraint."""
    broken = violated_constraints(household, plan)
    if broken:
        msg = "a plan within a played season violates a constraint: " + "; ".join(broken[:3])
        raise StillroomError(msg)


def counted(state: SeasonState, lost: int, plans: int, audited: int) -> SeasonPlayed:
    """Return the figures of a season that is over."""
    left = [lot for lots in (*state.fresh.values(), *state.frozen.values()) for lot in lots]
    made: dict[str, float] = {}
    for _, name, count in state.done:
        if name in state.preserves:
            made[name] = made.get(name, 0.0) + count
    return SeasonPlayed(
        number=state.draw.number,
        filled=state.filled(),
        surplus_kg={name: kg for name, kg in sorted(state.surplus.items()) if kg > NOTHING},
        left_kg=state.there(left),
        harvest_kg=state.harvest,
        eaten_kg=state.eaten,
        used_kg=state.used,
        spent=state.spent,
        ran_out=dict(sorted(state.ran_out.items())),
        made=dict(sorted(made.items())),
        evenings_lost=lost,
        plans=plans,
        audited=audited,
    )


def in_its_days(household: Household, plan: Plan) -> Household:
    """Return the household with the detailed days and weeks of a plan."""
    singles = days_ahead(plan)
    kitchen = replace(household.kitchen, days_planned_singly=singles, weeks_after_that=len(plan.periods) - singles)
    return replace(household, kitchen=kitchen)


# Plan again in a second or two, near the plan that stands: for a day on which there is less time than planned.

CHANGED = 0.02
"""Objective weight of a container changed: below its points in any target, above its hours of labor."""
LATER = 1e-5
"""Objective weight of a container for each day that it is made later: what has to move is made soon."""


def near_plan(household: Household) -> Plan:
    """
    Plan a settled household with one weighted objective in which each change of the last plan's days counts.

        FIXED * short - TARGETS * points + MONEY * spending + SURPLUS * surplus + HANDS * labor
            + CHANGED * changes + LATER * sum over p and t of days until t * make[p, t]

    Where nothing is found within the node limit, the household is planned in full.

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
    found = solved_once(parameters, variables, solver, costs)
    return plan(household) if found is None else found
