"""The sessions of a plan: an amount of one preserve, or of one crop for the freezer, on one day."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable
from dataclasses import dataclass

from stillroom.household.plan import Plan
from stillroom.household.records import FREEZE_WHOLE, THAW, Household, PlanLine

ALMOST = 1e-6


@dataclass(frozen=True, order=True)
class Session:
    """One line of the plan on one day: a preserve in containers, or `freeze whole: CROP` / `thaw: CROP` in kg."""

    day: datetime.date
    name: str
    amount: float


def sessions_of_plan(plan: Plan) -> tuple[Session, ...]:
    """
    Return the sessions of a plan's detailed days, by day and name.

    >>> from stillroom.household.plan import Period
    >>> day = datetime.date(2026, 8, 14)
    >>> plan = Plan((Period(0, day, 1),), {("juice", 0): 7.0}, freeze_kg={("plum", 0): 2})
    >>> [one.name for one in sessions_of_plan(plan)]
    ['freeze whole: plum', 'juice']
    """
    days = {period.number: period.first_day for period in plan.periods if period.single}
    groups = (("", plan.make), (FREEZE_WHOLE, plan.freeze_kg), (THAW, plan.thaw_kg))
    found = [
        Session(days[number], start + name, amount)
        for start, amounts in groups
        for (name, number), amount in amounts.items()
        if number in days and amount > ALMOST
    ]
    return tuple(sorted(found))


def sessions_of_lines(household: Household, lines: Iterable[PlanLine]) -> tuple[Session, ...]:
    """
    Return the sessions of the plan lines in the workbook; weeks and unknown names are left out.

    >>> lines = [PlanLine(datetime.date(2026, 8, 14), days, "juice", make=7.0) for days in (1, 7)]
    >>> from stillroom.household.records import Kitchen, Preserve
    >>> home = Household(Kitchen(lines[0].day), preserves=(Preserve("juice", "frozen", "tub"),))
    >>> len(sessions_of_lines(home, lines))
    1
    """
    known = {item.name for item in household.preserves}
    known |= {start + crop.name for crop in household.crops for start in (FREEZE_WHOLE, THAW)}
    found = [
        Session(line.day, line.name, line.make)
        for line in lines
        if line.days == 1 and line.make is not None and line.make > ALMOST and line.name in known
    ]
    return tuple(sorted(found))


def shares(amount: float, load: int) -> list[int]:
    """
    Return the containers of each load: as few loads as possible, as equal as possible.

    A pressure canner is not run nearly empty (four quarts at least: Univ. of Wisconsin Extension), so eleven pints in a
    canner for nine are six and five, not nine and two.

    >>> shares(11, 9), shares(14, 7), shares(3, 7)
    ([6, 5], [7, 7], [3])
    """
    count = math.ceil(amount - ALMOST)
    loads = max(1, math.ceil(count / load))
    each, over = divmod(count, loads)
    return [each + 1] * over + [each] * (loads - over)
