"""A plan made in a tenth of the time, for the days until the next one: all aims weighed in one search."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import replace

from stillroom.household.plan import Plan
from stillroom.household.records import Household, Preserve
from stillroom.planning.highs import Effort, Solver
from stillroom.planning.model import Sum
from stillroom.planning.objectives import feed_little, fill_targets, keep_fixed_lines, spend_little, work_little
from stillroom.planning.parameters import Parameters
from stillroom.planning.solution import read_off, sooner
from stillroom.planning.solve import Search, build, plan, with_full_bands
from stillroom.planning.variables import Variables

Planned = tuple[Household, Plan]
"""A plan, and the household with the days and weeks it was made for."""

FIXED, TARGETS, MONEY, SURPLUS, HANDS = 1e5, {1: 1e4, 2: 300.0, 3: 10.0}, 0.01, 0.001, 0.0003
"""What a container of a fixed line, a point of needs, money, a kg fed and an hour of hands weigh beside each other."""

CLOSE_ENOUGH, LAST_NODES = 0.002, 30
"""The search ends within so much of the best (2 kg fed, or part of a jar of the least need), or after these nodes."""


def with_days(household: Household, singles: int, end: datetime.date) -> Household:
    """
    Give the household planned with so many single days and then weeks, to the end of the season.

    The last week may reach past the end; in the last fortnight, where that would count on days that do not come, single
    days fill what is left.

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
    """
    Leave out of the plan what cannot be made: no crop for it any more, or no room in any need it counts toward.

    Preserves are kept but not made; fixed lines stay.
    """
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
    Plan a settled household lightly to the end of the season, with whole containers and loads in the next days only.

    One search instead of one for each aim: the aims are weighed so that more of a need is worth more than anything
    after it. Least change has no part. Where the search finds nothing in its nodes, the household is planned in full.
    """
    shaped = without_idle(with_days(household, whole_days, end))
    parameters, variables = build(shaped)
    solver = Solver(variables.programme)
    solver.aim_at(weighed(parameters, variables, solver), most=False)
    effort = Effort(gap=0.0, close_enough=CLOSE_ENOUGH, last_nodes=LAST_NODES, patient_nodes=LAST_NODES)
    outcome = solver.run(None, effort)
    if not outcome.found:
        return shaped, plan(shaped)
    search = Search(parameters, variables, solver, best=outcome.columns)
    columns = dict(zip(solver.columns, with_full_bands(search), strict=True))
    return shaped, sooner(parameters, read_off(parameters, variables, columns, ()))


def weighed(parameters: Parameters, variables: Variables, solver: Solver) -> dict[int, float]:
    """
    All aims in one sum, to be made least.

        FIXED * short - sum over importance of NEEDS * points + MONEY * spent + FED * fed + HANDS * hours
    """
    parts: list[tuple[float, Callable[[Parameters, Variables], Sum]]]
    parts = [(FIXED, keep_fixed_lines), (MONEY, spend_little), (SURPLUS, feed_little), (HANDS, work_little)]
    parts += [(-weight, fill_targets(importance)) for importance, weight in TARGETS.items()]
    costs: dict[int, float] = {}
    for weight, terms in parts:
        for column, cost in solver.vector(terms(parameters, variables)).items():
            costs[column] = costs.get(column, 0.0) + weight * cost
    return costs


def full_plan(household: Household, whole_days: int, end: datetime.date) -> Planned:
    """Plan in full, as the household itself would: its own days planned in detail, every aim reached and held."""
    shaped = with_days(household, max(whole_days, household.kitchen.days_planned_singly), end)
    return shaped, plan(shaped)


# The first days of a season by a plan for several harvests together, to be compared with those by a plain one.

FOR_ALL = "expected harvest"
"""What the kitchen then plans for: not the likely harvest alone, nor the worst one first."""


def hedged_opening(household: Household, whole_days: int, end: datetime.date) -> Planned:
    """
    Plan for a poor, a likely and a good harvest together, as an opener of `Settings`; the plan is the likely one's.

    Today and tomorrow are the same in all three; the household follows them until it is planned anew.
    """
    from stillroom.planning.stochastic.solve import hedged_plan

    shaped = with_days(household, max(whole_days, household.kitchen.days_planned_singly), end)
    for_all = replace(shaped, kitchen=replace(shaped.kitchen, plan_for=FOR_ALL))
    return shaped, replace(hedged_plan(for_all), hedge=None)
