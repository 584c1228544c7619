"""A light plan in a tenth of the time: one weighted objective."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import replace
from functools import partial

from stillroom.household.plan import Plan
from stillroom.household.records import Household, Preserve
from stillroom.planning.highs import HighsSession, SolveSettings
from stillroom.planning.model import Sum
from stillroom.planning.objectives import fixed_line_shortfall, labor_hours, spending, target_points, weighted_surplus
from stillroom.planning.parameters import Parameters
from stillroom.planning.solution import extract_plan, move_sessions_earlier
from stillroom.planning.solve import Search, build, plan, with_full_segments
from stillroom.planning.stochastic.solve import hedged_plan
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
    solver.set_objective(weighed(parameters, variables, solver), maximize=False)
    effort = SolveSettings(gap=0.0, absolute_gap=ABSOLUTE_GAP, node_limit=NODE_LIMIT, patient_nodes=NODE_LIMIT)
    outcome = solver.run(None, effort)
    if not outcome.found:
        return shaped, plan(shaped)
    search = Search(parameters, variables, solver, best=outcome.columns)
    columns = dict(zip(solver.columns, with_full_segments(search), strict=True))
    return shaped, move_sessions_earlier(parameters, extract_plan(parameters, variables, columns, ()))


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


def full_plan(household: Household, whole_days: int, end: datetime.date) -> Planned:
    """Plan in full, as the household itself would."""
    shaped = with_days(household, max(whole_days, household.kitchen.days_planned_singly), end)
    return shaped, plan(shaped)


# The first days of a season planned for several harvests together.

FOR_ALL = "expected harvest"
"""The setting *plan for* of a hedged opening."""


def hedged_opening(household: Household, whole_days: int, end: datetime.date) -> Planned:
    """Plan for a poor, a likely and a good harvest together; return the plan of the likely one."""
    shaped = with_days(household, max(whole_days, household.kitchen.days_planned_singly), end)
    for_all = replace(shaped, kitchen=replace(shaped.kitchen, plan_for=FOR_ALL))
    return shaped, replace(hedged_plan(for_all), hedge=None)
