"""The first days of a season by a plan for several harvests together, to be compared with those by a plain one."""

from __future__ import annotations

import datetime
from dataclasses import replace

from stillroom.household.records import Household
from stillroom.planning.season.light import Planned, with_days

FOR_ALL = "expected harvest"
"""What the kitchen then plans for: not the likely harvest alone, nor the worst one first."""


def hedged_opening(household: Household, whole_days: int, end: datetime.date) -> Planned:
    """
    Plan for a poor, a likely and a good harvest together, as an opener of `Settings`; the plan is the likely one's.

    Today and tomorrow are the same in all three; the household follows them until it is planned anew.
    """
    from stillroom.planning.hedge.solve import hedged_plan

    shaped = with_days(household, max(whole_days, household.kitchen.days_planned_singly), end)
    for_all = replace(shaped, kitchen=replace(shaped.kitchen, plan_for=FOR_ALL))
    return shaped, replace(hedged_plan(for_all), hedge=None)
