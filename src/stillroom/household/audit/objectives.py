"""The audit of the objectives: their values are recomputed from the plan."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Mapping

from stillroom.household.audit.hours import hands_in
from stillroom.household.audit.stocks import spent
from stillroom.household.audit.tally import TOLERANCE, Tally
from stillroom.household.audit.targets import band_sizes, covered
from stillroom.household.plan import EFFORT_PRICES, Kind, Kinded, ObjectiveResult, Stated
from stillroom.household.records import Target
from stillroom.household.text import format_fixed

SHARE = 1e-3
"""Relative tolerance of a stated objective value."""

LEAST: Mapping[Kind, float] = {"money": 0.02, "surplus": 0.01, "effort": 0.02}
"""Absolute tolerance, for objectives bounded less tightly than a thousandth: money, kg, hours."""

Distance = tuple[float, float]
"""A share of a value, and an amount; the larger of the two counts."""

PROVED: Mapping[Kind, tuple[Distance, Distance]] = {
    "money": ((0.0, 0.01), (0.0, 0.01)),
    "effort": ((1.5e-3, 0.5), (5e-4, 0.05)),
}
"""How far from its bound an objective counts as proved, and how much it may lose to the removal of small amounts."""

PROVED_AT_ALL = ((1e-3, 1e-3), (0.0, 0.0))
"""The same for targets and fixed lines."""

CARRIED_HOURS_A_KG = 0.0005
UNPRICED = 0.03


def points(tally: Tally, target: Target) -> float:
    """
    Return the points of a target as far as it is filled.

    Its weight, times the gains 4, 3, 2, 1 of its quarters by how full each is; one segment of gain 1 where targets are
    not filled evenly.
    """
    sizes = band_sizes(tally, target)
    gains = (4.0, 3.0, 2.0, 1.0) if len(sizes) == 4 else (1.0,)
    left, worth = covered(tally, target), 0.0
    for gain, size in zip(gains, sizes, strict=True):
        filled = min(left, size)
        left -= filled
        worth += target.weight * gain * filled / target.wanted
    return worth


def targets_reached(tally: Tally, importance: int) -> float:
    """Return the points of all targets of one importance."""
    return sum(
        points(tally, target)
        for target in tally.household.targets
        if target.importance == importance and target.wanted > 0
    )


def crop_surplus(tally: Tally) -> float:
    """
    Return the weighted surplus in kg.

    On the first day a kilogram counts 1, falling evenly by date to 0.5 when the last period begins; spoiled 1; kept at
    the end 0.5, or 1 where no included preserve can use it.
    """
    plan, last = tally.plan, tally.periods[-1].number
    dates = [period.first_day for period in tally.periods]
    whole = (dates[-1] - dates[0]).days
    total = sum(
        kg * (1 - 0.5 * (dates[number] - dates[0]).days / whole if whole else 1.0)
        for (_, number), kg in plan.surplus_kg.items()
    )
    total += sum(plan.spoil_kg.values())
    to_be_made = [line for preserve in tally.household.preserves if preserve.include for line in preserve.ingredients]
    for crop in tally.crops:
        lines = [line for line in to_be_made if line.source == "crop" and line.item == crop and line.amount_each > 0]
        total += plan.fresh_kg.get((crop, last), 0.0) * (0.5 if lines else 1.0)
        total += plan.frozen_kg.get((crop, last), 0.0) * (0.5 if any(line.from_frozen for line in lines) else 1.0)
    return total


def work(tally: Tally) -> float:
    """
    Return the labor with the setup of every load and session.

    Fresh crop carried out of the detailed days adds 0.0005 h per kg. In a week a container carries its share of a
    setup.
    """
    plan, setup = tally.plan, tally.household.kitchen.setup_hours_a_kind
    total = sum(hands_in(tally))
    for preserve, period, amount in tally.makes:
        if not period.single:
            total += setup * amount / (preserve.load or preserve.smallest_batch)
        elif preserve.load is not None:
            total += setup * plan.loads.get((preserve.name, period.number), 0.0)
        elif amount > TOLERANCE:
            total += setup
    total += setup * sum(
        1 for (_, number), kg in plan.freeze_kg.items() if tally.periods[number].single and kg > TOLERANCE
    )
    singles = [period.number for period in tally.periods if period.single]
    if singles and singles[-1] != tally.periods[-1].number:
        total += CARRIED_HOURS_A_KG * sum(plan.fresh_kg.get((crop, singles[-1]), 0.0) for crop in tally.crops)
    return total


def changed(tally: Tally) -> float:
    """
    Return the containers by which the plan differs from the last one, on the days that both have in detail.

    On the first two days of the plan a container counts twice, unless its crop keeps two weeks.
    """
    before = [line for line in tally.household.plan_lines if line.make is not None]
    days = [line.day for line in before if line.days == 1]
    weeks = [line.day for line in before if line.days > 1]
    names = [preserve.name for preserve in tally.household.planned()]
    away: dict[str, list[float]] = {name: [] for name in names}
    end = min(weeks, default=max(days, default=datetime.date.min) + datetime.timedelta(days=1))
    for period in tally.periods:
        day = period.first_day
        if not (period.single and days and min(days) <= day < end):
            continue
        for name in names:
            had = sum(line.make or 0.0 for line in before if (line.day, line.days, line.name) == (day, 1, name))
            twice = 2.0 if period.number < 2 and not keeps_long(tally, name) else 1.0
            away[name].append(twice * (tally.plan.make.get((name, period.number), 0.0) - had))
    return sum(abs(sum(days)) if keeps_long(tally, name) else sum(map(abs, days)) for name, days in away.items())


def keeps_long(tally: Tally, name: str) -> bool:
    """Return whether a preserve is made of nothing but crop that keeps two weeks: its days are compared by the sum."""
    lines = [line for line in tally.preserves[name].ingredients if line.source == "crop"]
    return bool(lines) and all(tally.crops[line.item].keeps_days >= 14 for line in lines)


def unpriced(tally: Tally) -> float:
    """Return what purchases without a price may add to the money objective."""
    household, plan = tally.household, tally.plan
    pieces = sum(plan.buy_containers.get(row.name, 0.0) for row in household.containers if row.price is None)
    pieces += sum(plan.buy_lids.get(row.name, 0.0) for row in household.lids if row.price is None)
    pieces += sum(plan.buy_items.get(row.name, 0.0) for row in household.pantry if row.price is None)
    return UNPRICED * pieces


def reached(tally: Tally) -> dict[tuple[Kind, int, bool], float]:
    """Return every objective that can be recomputed from the plan, by its key."""
    found = {Kinded("target", importance=one).key: targets_reached(tally, one) for one in (1, 2, 3)}
    found[Kinded("fixed").key] = sum(violation.short for violation in tally.plan.violations)
    parts: dict[Kind, float] = {"surplus": crop_surplus(tally), "stability": changed(tally), "labor": work(tally)}
    price = EFFORT_PRICES[tally.household.kitchen.effort]
    effort = price.surplus_kg * parts["surplus"] + price.change * parts["stability"] + parts["labor"]
    more: dict[Kind, float] = {"money": spent(tally), "effort": effort, **parts}
    return found | {Kinded(kind).key: value for kind, value in more.items()}


def proved_within(objective: ObjectiveResult) -> float:
    """
    Return how far from its bound an objective may be called proved.

    >>> efforts = [ObjectiveResult("effort", value, "hours", value, proved=True) for value in (9.0, 191.0, 1e3)]
    >>> [round(proved_within(effort), 4) for effort in efforts]
    [0.55, 0.5955, 2.0]
    """
    value = abs(objective.value)
    return sum(max(share * value, least) for share, least in PROVED.get(objective.kind, PROVED_AT_ALL))


def objectives(tally: Tally) -> Iterator[str]:
    """Check that stated objective values match the plan to a thousandth, and that proved ones are near their bound."""
    counted = reached(tally)
    for objective in tally.plan.objectives:
        if objective.proved and not abs(objective.value - objective.bound) <= proved_within(objective):
            printed = f"{format_fixed(objective.value, 4)} {objective.unit}"
            yield f"{objective.name} is called proved at {printed}, but its bound is {format_fixed(objective.bound, 4)}"
        all_stated: tuple[Stated, ...] = (objective, *objective.parts)
        for stated in all_stated:
            if stated.key not in counted:
                continue
            truth = counted[stated.key]
            allowed = max(SHARE * abs(truth), LEAST.get(stated.kind, SHARE))
            allowed += unpriced(tally) if stated.kind == "money" else 0.0
            if not math.isfinite(stated.value) or abs(stated.value - truth) > allowed:
                given = f"{format_fixed(stated.value, 4)} {stated.unit}"
                yield f"{stated.name} is given as {given}, but the plan comes to {format_fixed(truth, 4)}"
