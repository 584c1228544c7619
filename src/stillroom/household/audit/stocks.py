"""Audits of stocks: containers, lids, pantry, purchases and money."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping

from stillroom.household.audit.crops import frozen_before
from stillroom.household.audit.tally import TOLERANCE, Tally, more, said, when
from stillroom.household.plan import Period
from stillroom.household.text import format_money, format_space, format_weight


def container_stock(tally: Tally) -> Iterator[str]:
    """
    Check that containers filled so far are no more than were on hand, bought and returned.

    Empty ones are returned each week; the jar of a preserve used in another when it is used.
    """
    full: dict[str, float] = defaultdict(float)
    for period in tally.periods:
        for preserve in tally.household.preserves:
            number = period.number
            full[preserve.container] += tally.made[preserve.name][number] - tally.taken[preserve.name][number]
        days = (period.first_day - tally.periods[0].first_day).days
        for name, container in tally.containers.items():
            there = container.on_hand + tally.plan.buy_containers.get(name, 0.0)
            there += math.floor(container.back_each_week * days / 7 + 1e-9)
            if more(full[name], there):
                yield f"{when(period)}: {said(full[name])} of {name} are full, but only {said(there)} were available"


def lid_stock(tally: Tally) -> Iterator[str]:
    """Check that lids used are no more than on hand and bought; a lid is used once."""
    used: dict[str, float] = defaultdict(float)
    for preserve, _, amount in tally.makes:
        lid = tally.containers[preserve.container].lid
        if lid is not None:
            used[lid] += amount
    for row in tally.household.lids:
        there = row.on_hand + tally.plan.buy_lids.get(row.name, 0.0)
        if more(used[row.name], there):
            yield f"{said(used[row.name])} of {row.name} are used, but only {said(there)} were available"


def pantry_stock(tally: Tally) -> Iterator[str]:
    """Check that bought ingredients used are no more than on hand and bought."""
    used: dict[str, float] = defaultdict(float)
    for preserve, _, amount in tally.makes:
        for line in preserve.ingredients:
            if line.source == "pantry":
                used[line.item] += line.amount_each * amount
    for row in tally.household.pantry:
        there = row.on_hand + tally.plan.buy_items.get(row.name, 0.0)
        if more(used[row.name], there):
            much = f"{said(used[row.name])} {row.base_unit}"
            yield f"{much} of {row.name} are used, but only {said(there)} were available"


def spent(tally: Tally) -> float:
    """Return the money spent; what has no price costs nothing here."""
    prices = (
        (tally.plan.buy_containers, {row.name: row.price for row in tally.household.containers}),
        (tally.plan.buy_lids, {row.name: row.price for row in tally.household.lids}),
        (tally.plan.buy_items, {row.name: row.price for row in tally.household.pantry}),
    )
    return sum((price[name] or 0.0) * amount for bought, price in prices for name, amount in bought.items())


def spending_limit(tally: Tally) -> Iterator[str]:
    """Check that no more money is spent than is left of the limit."""
    kitchen, money = tally.household.kitchen, spent(tally)
    limit = max(kitchen.spending_limit - kitchen.already_spent, 0.0)
    if more(money, limit):
        yield f"{format_money(money)} is spent, but the limit is {format_money(limit)}"


def buying(tally: Tally) -> Iterator[str]:
    """Check that purchases are at least 0, at most what can be bought, and whole for containers and lids."""
    household, plan = tally.household, tally.plan
    stocks: tuple[tuple[Mapping[str, float], dict[str, float]], ...] = (
        (plan.buy_containers, {row.name: row.can_buy for row in household.containers}),
        (plan.buy_lids, {row.name: row.can_buy for row in household.lids}),
        (plan.buy_items, {row.name: row.can_buy for row in household.pantry}),
    )
    for bought, can_buy in stocks:
        for name, amount in sorted(bought.items()):
            if not math.isfinite(amount) or more(amount, can_buy[name]) or more(-amount, 0.0):
                yield f"{said(amount)} of {name} are bought, but {said(can_buy[name])} can be"
            elif bought is not plan.buy_items and abs(amount - round(amount)) > TOLERANCE:
                yield f"{said(amount)} of {name} are bought, which is not whole"


# Audits of the spaces: freezer, a day's freezing, refrigerator, shelf and cellar.


def litres_kept(tally: Tally, place: str, period: Period) -> float:
    """Return the liters that the plan has added to a place by the end of a period, less what was used."""
    return sum(
        preserve.space_litres_each * tally.kept(preserve.name, period.number)
        for preserve in tally.household.preserves
        if preserve.kept_in == place
    )


def space(tally: Tally, place: str, free: float) -> Iterator[str]:
    """Check that what is added to a place fits in its free space at the end of every period."""
    for period in tally.periods:
        litres = litres_kept(tally, place, period)
        for name, crop in tally.crops.items() if place == "freezer" else ():
            held = tally.plan.frozen_kg.get((name, period.number), 0.0)
            litres += crop.freezer_litres_per_kg * (held - frozen_before(tally, name))
        if more(litres, free):
            yield (
                f"{when(period)}: the {place} takes {format_space(litres, 1)} more, but only {format_space(free, 1)} "
                "are free"
            )


def freezer_space(tally: Tally) -> Iterator[str]:
    """
    Check that frozen preserves and crop frozen whole fit in the freezer at the end of every period.

    The free space is that of the first day, so lots frozen before use none of it and free some once thawed.
    """
    return space(tally, "freezer", tally.household.kitchen.freezer_free_litres)


def freezing_per_day(tally: Tally) -> Iterator[str]:
    """Check that the crop frozen, whole or in preserves, is within a day's freezing capacity times the days."""
    fresh = [0.0] * len(tally.periods)
    for (_, number), kg in tally.plan.freeze_kg.items():
        fresh[number] += kg
    for preserve, period, amount in tally.makes:
        if preserve.kept_in == "freezer":
            each = sum(line.amount_each for line in preserve.ingredients if line.source == "crop")
            fresh[period.number] += each * amount
    for period, kg in zip(tally.periods, fresh, strict=True):
        allowed = tally.household.kitchen.freeze_kg_a_day * period.days
        if more(kg, allowed):
            yield (
                f"{when(period)}: {format_weight(kg, 1)} are frozen, but the freezer takes {format_weight(allowed, 1)}"
            )


def refrigerator_space(tally: Tally) -> Iterator[str]:
    """Check that what is kept in the refrigerator fits in it."""
    return space(tally, "refrigerator", tally.household.kitchen.refrigerator_free_litres)


def shelf_space(tally: Tally) -> Iterator[str]:
    """Check that what is kept on the shelf fits on it."""
    return space(tally, "shelf", tally.household.kitchen.shelf_free_litres)


def cellar_space(tally: Tally) -> Iterator[str]:
    """Check that what is kept in the cellar fits in it."""
    return space(tally, "cellar", tally.household.kitchen.cellar_free_litres)
