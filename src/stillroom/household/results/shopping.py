"""The rows of the Shopping table: whole jars and lids, larder in measures one can buy, and the day each runs out."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

from stillroom.household.records import PantryItem
from stillroom.household.results.rows import Row, cell_number
from stillroom.household.results.sums import ALMOST, Sums
from stillroom.household.text import format_list

STEPS = ((1.0, 0.25), (10.0, 0.5), (100.0, 1.0), (1000.0, 10.0), (math.inf, 50.0))
"""Up to so much, larder is bought in steps of so much; what is counted singly is bought whole."""


def shopping_rows(sums: Sums) -> list[Row]:
    """Containers, lids, then larder, each in the order of its table."""
    return container_rows(sums) + lid_rows(sums) + pantry_rows(sums)


def container_rows(sums: Sums) -> list[Row]:
    """Whole jars, bags and tubs to buy."""
    rows = []
    for container in sums.household.containers:
        bought = math.ceil(sums.plan.buy_containers.get(container.name, 0.0) - ALMOST)
        if bought > 0:
            taken = [sums.containers_taken(container, period.number) for period in sums.periods]
            names = {item.name for item in sums.household.preserves if item.container == container.name}
            first = runs_out(taken, container.on_hand)
            rows.append(row(sums, container.name, bought, container.kind, container.price, first, names))
    return rows


def lid_rows(sums: Sums) -> list[Row]:
    """Whole lids to buy."""
    rows = []
    for lid in sums.household.lids:
        bought = math.ceil(sums.plan.buy_lids.get(lid.name, 0.0) - ALMOST)
        if bought > 0:
            taken = [sums.lids_taken(lid.name, period.number) for period in sums.periods]
            kinds = {container.name for container in sums.household.containers if container.lid == lid.name}
            names = {item.name for item in sums.household.preserves if item.container in kinds}
            rows.append(row(sums, lid.name, bought, "lid", lid.price, runs_out(taken, lid.on_hand), names))
    return rows


def pantry_rows(sums: Sums) -> list[Row]:
    """Ingredients to buy, in the unit of their row, rounded up to a measure one can buy."""
    rows = []
    for item in sums.household.pantry:
        bought = sums.plan.buy_items.get(item.name, 0.0)
        if bought > ALMOST:
            taken = [sums.pantry_taken(item.name, period.number) for period in sums.periods]
            names = {
                preserve.name
                for preserve in sums.household.preserves
                if any(line.source == "pantry" and line.item == item.name for line in preserve.ingredients)
            }
            price = None if item.price is None else item.price / item.per_base
            amount = measure_to_buy(item, bought)
            rows.append(row(sums, item.name, amount, item.unit, price, runs_out(taken, item.on_hand), names))
    return rows


def measure_to_buy(item: PantryItem, bought: float) -> float:
    """
    An amount in the base unit as one to buy in the row's unit: rounded up, never above what can be bought.

    >>> measure_to_buy(PantryItem("salt", "kg", can_buy=math.inf), 1.3)
    1.5
    """
    amount = bought * item.per_base
    step = 1.0 if item.base_unit == "each" else next(step for most, step in STEPS if amount <= most)
    rounded = math.ceil(amount / step - ALMOST) * step
    return max(amount, min(rounded, item.can_buy * item.per_base))


def runs_out(taken: Sequence[float], on_hand: float) -> int:
    """
    The first period in which more has been taken than there was; the last when that never happens.

    >>> runs_out([3.0, 7.0, 12.0], 8.0)
    2
    """
    return next((number for number, amount in enumerate(taken) if amount > on_hand + ALMOST), len(taken) - 1)


def row(
    sums: Sums, name: str, bought: float, unit: str, price: float | None, first: int, users: Collection[str]
) -> Row:
    """One thing to buy, with the preserves that use it from the day the stock is gone."""
    using: list[str] = []
    for period in sums.periods[first:]:
        using += sorted(
            user for user in users if user not in using and sums.plan.make.get((user, period.number), 0.0) > ALMOST
        )
    marked = [f"{user} (own recipe)" if sums.preserve_named[user].own_recipe else user for user in using]
    return {
        "Item": name,
        "Buy": cell_number(bought),
        "Unit": unit,
        "Cost": None if price is None else cell_number(bought * price),
        "Needed by": sums.periods[first].first_day,
        "For": format_list(marked, 4, "; ") or None,
    }
