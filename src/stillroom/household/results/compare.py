"""Plans compared: the winter list, surplus, hours, money and the plan by day; only what differs, biggest first."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from stillroom.errors import Problem
from stillroom.household.plan import Plan
from stillroom.household.records import FREEZE_WHOLE, THAW, Household, Target
from stillroom.household.results.coverage import on_shelf_and_planned, shopping_rows, store_value
from stillroom.household.results.rows import in_crop_unit
from stillroom.household.results.sums import Sums
from stillroom.household.suppose.grammar import Case
from stillroom.household.text import format_amount, format_count, format_list, format_period, plural
from stillroom.household.units import POUND_KG

SAME, SAME_SHARE = 0.05, 0.002
"""Figures nearer to each other than either, in their unit or as a share, count as the same."""

STORE_VALUE = "planned food at store prices"
PART = {"list": "Winter list", "whole": "Totals", "plan": "Plan by day"}


@dataclass(frozen=True)
class Line:
    """
    One thing in which plans differ: `figures` is what the plan now has, then each case (None: it has no plan).

    `part` is list, whole or plan; `size` orders the lines of a part.
    """

    part: str
    what: str
    unit: str
    figures: tuple[float | None, ...]
    size: float
    day: datetime.date | None = None
    days: int = 0


def side_by_side(plans: Sequence[tuple[Household, Plan] | None]) -> tuple[Line, ...]:
    """
    The lines in which any case differs from the first plan, the one now; None for a case without one.

    Biggest first: on the list by importance and share of what is wanted, in all by share, by day by how many.
    """
    sums = [None if one is None else Sums(*one) for one in plans]
    lines = [*list_lines(sums), *whole_lines(sums), *plan_lines(sums)]
    differing = [line for line in lines if differs(line.figures)]
    order = list(PART)
    return tuple(sorted(differing, key=lambda line: (order.index(line.part), -line.size, line.what, str(line.day))))


def differs(figures: Sequence[float | None]) -> bool:
    """
    Whether any case is away from the first figure by more than is counted as the same.

    >>> differs((7.0, 7.04)), differs((7.0, 14.0)), differs((7.0, None))
    (False, True, False)
    """
    first = figures[0] or 0.0
    return any(
        figure is not None and abs(figure - first) > max(SAME, SAME_SHARE * abs(first)) for figure in figures[1:]
    )


def away(figures: Sequence[float | None]) -> float:
    """How far the farthest case is from the first figure."""
    first = figures[0] or 0.0
    return max((abs(figure - first) for figure in figures[1:] if figure is not None), default=0.0)


def list_lines(sums: Sequence[Sums | None]) -> list[Line]:
    """How far each need is filled, at most as wanted; in its unit."""
    first = sums[0]
    lines = []
    for target in first.household.targets if first is not None else ():
        figures = tuple(None if one is None else filled(one, target.name) for one in sums)
        share = away(figures) / target.wanted if target.wanted > 0 else away(figures)
        lines.append(Line("list", target.name, target.unit, figures, share + 10.0 * (3 - target.importance)))
    return lines


def filled(sums: Sums, name: str) -> float:
    """Return how much of a target a plan and the shelf fill, at most as wanted, in its unit."""
    target = next(one for one in sums.household.targets if one.name == name)
    return max(0.0, min(target.wanted, sum(on_shelf_and_planned(sums, target))))


def whole_lines(sums: Sequence[Sums | None]) -> list[Line]:
    """Surplus, hands-on and stove hours, money to buy, what the planned food would cost at the store."""
    first = sums[0]
    if first is None:
        return []
    pounds = first.household.kitchen.weight_unit == "lb"
    unit = first.household.kitchen.weight_unit
    per_kg = 1 / POUND_KG if pounds else 1.0
    of: dict[str, tuple[str, Callable[[Sums], float]]] = {
        "surplus": (unit, lambda one: per_kg * (sum(one.plan.surplus_kg.values()) + sum(one.plan.spoil_kg.values()))),
        "hands-on": ("h", lambda one: sum(one.hands_by_period.values())),
        "stove": ("h", lambda one: sum(one.stove_by_period.values())),
        "to buy": ("money", spent),
        STORE_VALUE: ("money", planned_value),
    }
    lines = []
    for what, (measure, figure) in of.items():
        figures = tuple(None if one is None else figure(one) for one in sums)
        lines.append(Line("whole", what, measure, figures, away(figures) / max(1.0, abs(figures[0] or 0.0))))
    return lines


def spent(sums: Sums) -> float:
    """Return what the shopping list of a plan costs, in whole measures; what has no price costs nothing here."""
    costs = (row["Cost"] for row in shopping_rows(sums))
    return sum(float(cost) for cost in costs if isinstance(cost, int | float))


def planned_value(sums: Sums) -> float:
    """Return what the planned food would cost at the store, as far as prices are typed."""
    return sum(store_value(target, *on_shelf_and_planned(sums, target)) for target in sums.household.targets)


def plan_lines(sums: Sequence[Sums | None]) -> list[Line]:
    """What is made, frozen whole and taken out in each period, in whole weeks for the weeks."""
    first = sums[0]
    if first is None:
        return []
    made = [{} if one is None else everything(one) for one in sums]
    keys = sorted({key for one in made for key in one})
    lines = []
    for name, day, days in keys:
        figures = tuple(
            None if one is None else found.get((name, day, days), 0.0) for one, found in zip(sums, made, strict=True)
        )
        lines.append(Line("plan", name, unit_of(first, name), figures, away(figures), day, days))
    return lines


def everything(sums: Sums) -> dict[tuple[str, datetime.date, int], float]:
    """All lines of a plan: containers, or crop in its own unit."""
    plan = sums.plan
    found: dict[tuple[str, datetime.date, int], float] = {}
    for start, amounts in (("", plan.make), (FREEZE_WHOLE, plan.freeze_kg), (THAW, plan.thaw_kg)):
        for (name, number), amount in amounts.items():
            period = sums.periods[number]
            shown = in_crop_unit(amount, sums.crop_named[name]) if start else amount
            found[start + name, period.first_day, period.days] = shown
    return found


def unit_of(sums: Sums, name: str) -> str:
    """The unit of a line: a crop's own, or nothing for containers."""
    for start in (FREEZE_WHOLE, THAW):
        if name.startswith(start):
            return sums.crop_named[name.removeprefix(start)].unit
    return ""


def when_words(line: Line) -> str:
    """The day or week of a line of the plan; empty for any other."""
    return "" if line.day is None else format_period(line.day, line.days)


# A gain on the winter list in a cook's words: so many quarts of what, how many meals, what it is worth.


def target_words(target: Target, amount: float) -> str:
    """
    Return an amount of a target, with the meals it makes.

    >>> target_words(Target("tomato sauce", 28, 28, unit="quart", meals_each=2.0), 7.0)
    '7 quarts tomato sauce (14 meals)'
    """
    unit = plural(amount if amount >= 1.125 else 1.0, target.unit) if target.unit else ""
    meals = round(amount * target.meals_each) if target.meals_each else 0
    made = f" ({format_count(meals, 'meal')})" if meals else ""
    return " ".join(part for part in (format_amount(amount, target.unit), unit, target.name) if part) + made


def list_words(household: Household, changes: Mapping[str, float], most: int = 4) -> str:
    """
    What the list gains, the most important and the most meals first, then what it loses; empty when nothing changes.

    >>> from stillroom.household.examples import tiny_household
    >>> list_words(tiny_household(), {"tomato juice": 7.0, "soup": -2.0})
    '7 quarts tomato juice; 2 bags soup less'
    """
    targets = {target.name: target for target in household.targets}

    def weight(name: str) -> tuple[int, float, str]:
        return targets[name].importance, -abs(changes[name]) / (targets[name].wanted or 1.0), name

    more = [target_words(targets[name], changes[name]) for name in sorted(changes, key=weight) if changes[name] > 0]
    less = [target_words(targets[name], -changes[name]) for name in sorted(changes, key=weight) if changes[name] < 0]
    return format_list([*more, *(f"{words} less" for words in less)], most, "; ")


def shop_worth(household: Household, changes: Mapping[str, float]) -> tuple[float, tuple[str, ...]]:
    """Return what the changes of the list would cost at the store, and the changed targets that have no price."""
    targets = {target.name: target for target in household.targets}
    worth = sum((targets[name].shop_price or 0.0) * change for name, change in changes.items())
    return worth, tuple(sorted(name for name in changes if targets[name].shop_price is None))


@dataclass(frozen=True)
class Supposed:
    """
    Cases beside the plan as it is.

    `refused` are, for each case, the problems that stop it; a case without a plan has them. `lines` are what differs.
    """

    household: Household
    plan: Plan
    cases: tuple[Case, ...]
    refused: tuple[tuple[Problem, ...], ...]
    plans: tuple[Plan | None, ...]
    lines: tuple[Line, ...]
