"""The rows of the tables about the whole: Coverage of the winter list, Space by period, and where each crop goes."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence

from stillroom.household.plan import Period
from stillroom.household.records import STOVE_FREE, Container, Crop, Lid, PantryItem, Target
from stillroom.household.results.rows import Row, cell_number, in_crop_unit, in_space_unit
from stillroom.household.results.sums import ALMOST, Sums
from stillroom.household.text import format_list
from stillroom.household.units import UNITS

NEAR = 0.06
"""A jar within 6 % of a quart counts as a quart."""


def store_value(target: Target, shelf: float, planned: float) -> float:
    """
    Return what the planned food would cost at the store, counted up to what is wanted; 0 without a price.

    >>> store_value(Target("jam", 10, 10, shop_price=4.0), 3.0, 9.0)
    28.0
    """
    wanted = max(0.0, target.wanted - shelf)
    return (target.shop_price or 0.0) * min(max(0.0, planned), wanted)


def coverage_rows(sums: Sums) -> list[Row]:
    """One row a need, in the order of the winter list."""
    return [coverage_row(sums, target) for target in sums.household.targets]


def coverage_row(sums: Sums, target: Target) -> Row:
    """
    How far a need is filled: what is still good on the shelf, and what the plan adds that keeps to its last day.

        covered = min(1, (on the shelf + planned) / wanted)
        short   = max(0, wanted - on the shelf - planned)
    """
    shelf, planned = on_shelf_and_planned(sums, target)
    there = shelf + planned
    return {
        "Target": target.name,
        "Wanted": cell_number(target.wanted),
        "On the shelf": cell_number(shelf),
        "Planned": cell_number(planned),
        "Covered": 1 if target.wanted <= 0 else cell_number(min(1.0, max(0.0, there / target.wanted))),
        "Short": cell_number(max(0.0, target.wanted - there)),
        "Importance": target.importance,
        "Saves": None if target.shop_price is None else cell_number(store_value(target, shelf, planned)),
        "Unit": target.unit or None,
    }


def on_shelf_and_planned(sums: Sums, target: Target) -> tuple[float, float]:
    """Return how much of a target is still good on the shelf at the end, and how much the plan adds, in its unit."""
    shelf = sum(each * sums.good_on_shelf.get(name, 0.0) for name, each in target.counts.items())
    planned = sum(each * sums.counted(name) for name, each in target.counts.items() if name in sums.preserve_named)
    return shelf, planned


def space_rows(sums: Sums) -> list[Row]:
    """One row a period: space, jars and hours."""
    return [space_row(sums, period) for period in sums.periods]


def space_row(sums: Sums, period: Period) -> Row:
    """What is used and left of freezer, refrigerator, jars, hands and stove; None where there is no limit."""
    kitchen = sums.household.kitchen
    freezer = freezer_litres(sums, period.number)
    free = kitchen.freezer_free_litres - freezer
    hands, stove = sums.hands_by_period[period.number], sums.stove_by_period[period.number]
    hands_of, stove_of = sums.hours_there_are("hands", period), sums.hours_there_are(STOVE_FREE, period)
    return {
        "Period": period.first_day,
        "Days": period.days,
        "Freezer change": cell_number(in_space_unit(freezer, kitchen)),
        "Freezer left": None if free == float("inf") else cell_number(in_space_unit(free, kitchen)),
        "Refrigerator change": cell_number(in_space_unit(kept_litres(sums, "refrigerator", period.number), kitchen)),
        "Quart jars left": jars_left(sums, UNITS["quart"].factor, period.number),
        "Pint jars left": jars_left(sums, UNITS["pint"].factor, period.number),
        "Hands-on used": cell_number(hands),
        "Hands-on left": None if hands_of is None else cell_number(hands_of - hands),
        "Stove used": cell_number(stove),
        "Stove left": None if stove_of is None else cell_number(stove_of - stove),
        "Unit": kitchen.volume_unit,
    }


def freezer_litres(sums: Sums, number: int) -> float:
    """Litres of freezer the plan adds by the end of a period: preserves, and crop beyond what lay there at first."""
    crops = 0.0
    for crop in sums.household.crops:
        before = sum(lot.kg for lot in sums.household.lots if lot.crop == crop.name and lot.frozen_on is not None)
        crops += crop.freezer_litres_per_kg * (sums.plan.frozen_kg.get((crop.name, number), 0.0) - before)
    return crops + kept_litres(sums, "freezer", number)


def kept_litres(sums: Sums, place: str, number: int) -> float:
    """Litres that the preserves of a place take by the end of a period, net of what other preserves use."""
    return sum(
        item.space_litres_each * sums.net_made(item.name, number)
        for item in sums.household.preserves
        if item.kept_in == place
    )


def jars_left(sums: Sums, litres: float, number: int) -> float | int | None:
    """Jars of about this size that are left at the end of a period, bought ones included; None without any."""
    near = [one for one in sums.household.containers if abs((one.holds_litres or 0.0) / litres - 1) <= NEAR]
    jars = [container for container in near if container.is_jar]
    if not jars:
        return None
    there = sum(jar.on_hand + sums.plan.buy_containers.get(jar.name, 0.0) for jar in jars)
    return cell_number(there - sum(sums.containers_taken(jar, number) for jar in jars))


def crop_use_rows(sums: Sums) -> list[Row]:
    """One row a crop, in its own unit."""
    return [crop_use_row(sums, crop) for crop in sums.household.crops]


def crop_use_row(sums: Sums, crop: Crop) -> Row:
    """
    Where a crop goes.

        harvested = eaten fresh + put up + trimmings + held frozen + still fresh + fed
    """
    last = sums.periods[-1].number
    used = sums.used_kg[crop.name]
    surplus = sum(kg for (name, _), kg in sums.plan.surplus_kg.items() if name == crop.name)
    surplus += sum(kg for (name, _), kg in sums.plan.spoil_kg.items() if name == crop.name)
    kilograms = {
        "Harvested": sums.harvested_kg(crop),
        "Eaten fresh": sums.eaten_kg(crop),
        "Put up": used * (1 - crop.trimmings_share),
        "Trimmings": used * crop.trimmings_share,
        "Held frozen": sums.plan.frozen_kg.get((crop.name, last), 0.0),
        "Still fresh": sums.plan.fresh_kg.get((crop.name, last), 0.0),
        "Surplus": surplus,
    }
    row: Row = {"Crop": crop.name, "Unit": crop.unit}
    return row | {heading: cell_number(in_crop_unit(kg, crop)) for heading, kg in kilograms.items()}


# What a plan leaves of each stock, from a period to its end, with what could still be bought; each counted once.


class Left:
    """
    The least that is left of a stock from a period on.

    >>> from stillroom.household.plan import periods
    >>> from stillroom.household.plan import Plan
    >>> from stillroom.household.examples import tiny_household
    >>> home = tiny_household()
    >>> left = Left(Sums(home, Plan(periods(home.kitchen), make={("juice", 1): 7.0})))
    >>> left.of_lid(home.lids[0], 0), left.of_container(home.container("quart jar"), 0)
    (inf, 17.0)
    """

    def __init__(self, sums: Sums) -> None:
        """Begin with nothing counted."""
        self.sums = sums
        self._taken: dict[tuple[str, str], list[float]] = {}

    def of_container(self, container: Container, number: int) -> float:
        """Containers, whole ones."""
        taken = self._most(("container", container.name), number, lambda n: self.sums.containers_taken(container, n))
        return container.on_hand + container.can_buy - taken

    def of_lid(self, lid: Lid, number: int) -> float:
        """Lids of a kind."""
        taken = self._most(("lid", lid.name), number, lambda n: self.sums.lids_taken(lid.name, n))
        return lid.on_hand + lid.can_buy - taken

    def of_pantry(self, stock: PantryItem, number: int) -> float:
        """An ingredient, in its base unit."""
        taken = self._most(("pantry", stock.name), number, lambda n: self.sums.pantry_taken(stock.name, n))
        return stock.on_hand + stock.can_buy - taken

    def of_freezer_litres(self, number: int) -> float:
        """Room in the freezer, in litres."""
        used = self._most(("space", "freezer"), number, lambda n: freezer_litres(self.sums, n))
        return self.sums.household.kitchen.freezer_free_litres - used

    def _most(self, key: tuple[str, str], number: int, taken: Callable[[int], float]) -> float:
        """The most that is gone by the end of any period from this one on."""
        if key not in self._taken:
            self._taken[key] = [taken(period.number) for period in self.sums.periods]
        return max(self._taken[key][number:])


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
