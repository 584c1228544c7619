"""Constraints on stocks and money, and on freezer, refrigerator, shelves and cellar."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stillroom.planning.model import Row, Sum, at_most
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables

Named = tuple[str, Row]


def container_stock(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Fill no more containers than are on hand, bought or returned empty.

        sum over p in j of net[p, t] <= on_hand[j] + buy_container[j] + back[j, t]
          for j in containers, t in periods

    where
        net[p, t]  = containers made up to and including t, less those emptied into other preserves
        back[j, t] = whole containers returned in the days before t

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(container_stock, tiny_household(), "quart_jar.08-15")
    container_stock.quart_jar.08_15: make.juice.08_14 + make.juice.08_15 - 0.5 make.soup.08_14 - 0.5 make.soup.08_15
        - buy_container.quart_jar <= 12
    """
    for container in parameters.containers:
        inside = [item for item in parameters.household.preserves if item.container == container.name]
        steady = container.back_each_week == 0 and not any(item.name in parameters.users for item in inside)
        days = 0
        for period in parameters.periods:
            back = math.floor(container.back_each_week * days / 7 + 1e-9)
            days += period.days
            if steady and period is not parameters.periods[-1]:
                continue  # nothing comes in between, so the last period is enough
            terms: Sum = [term for item in inside for term in variables.net(parameters, item.name, period.number)]
            if not terms:
                continue
            if container.name in variables.buy_container:
                terms.append((-1.0, variables.buy_container[container.name]))
            label = variables.name("container_stock", container.name, period.label)
            yield label, at_most(terms, container.on_hand + back)


def lid_stock(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Use every lid once.

        sum over p with lid l and t of make[p, t] <= on_hand[l] + buy_lid[l]      for l in lids

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(lid_stock, tiny_household())
    lid_stock.wide_lid: make.juice.08_14 + make.juice.08_15 + make.juice.week_08_16 - buy_lid.wide_lid <= 10
    """
    lid_of = {container.name: container.lid for container in parameters.containers}
    for lid in parameters.lids:
        terms: Sum = [
            term
            for item in parameters.preserves
            if lid_of[item.container] == lid.name
            for term in variables.made(item.name)
        ]
        if not terms:
            continue
        if lid.name in variables.buy_lid:
            terms.append((-1.0, variables.buy_lid[lid.name]))
        yield variables.name("lid_stock", lid.name), at_most(terms, lid.on_hand)


def pantry_stock(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Use no more of a bought ingredient than is on hand and bought.

        sum over p and t of amount_each[p, g] * make[p, t] <= on_hand[g] + buy_item[g]      for g in pantry

    in the base unit of g: kg, liters or pieces.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(pantry_stock, tiny_household())
    pantry_stock.lemon_juice: 0.03 make.juice.08_14 + 0.03 make.juice.08_15 + 0.03 make.juice.week_08_16 -
        buy_item.lemon_juice <= 0.25
    """
    for goods in parameters.pantry:
        terms: Sum = []
        for item in parameters.preserves:
            each = sum(
                line.amount_each for line in item.ingredients if line.source == "pantry" and line.item == goods.name
            )
            if each > 0:
                terms += [(each, variable) for _, variable in variables.made(item.name)]
        if not terms:
            continue
        if goods.name in variables.buy_item:
            terms.append((-1.0, variables.buy_item[goods.name]))
        yield variables.name("pantry_stock", goods.name), at_most(terms, goods.on_hand)


def spending_limit(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Spend no more than the spending limit.

        sum over j of price[j] * buy_container[j] + sum over l of price[l] * buy_lid[l]
          + sum over g of price[g] * buy_item[g] <= spending_limit - already_spent

    in money, and 0 where more was spent: what the record has as bought since each stock was counted. What has no price
    costs nothing here; the plan lists it.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(spending_limit, tiny_household())
    spending_limit: 1.5 buy_container.quart_jar + 0.25 buy_lid.wide_lid + 4 buy_item.lemon_juice <= 20
    """
    limit = parameters.household.kitchen.left_to_spend
    if math.isfinite(limit):
        terms = spent(parameters, variables)
        if terms:
            yield "spending_limit", at_most(terms, limit)


def spent(parameters: Parameters, variables: Variables, unpriced: float = 0.0) -> Sum:
    """Return the money spent on what is bought; `unpriced` replaces a price that was not typed."""
    terms: Sum = []
    for records, bought in (
        (parameters.containers, variables.buy_container),
        (parameters.lids, variables.buy_lid),
        (parameters.pantry, variables.buy_item),
    ):
        for record in records:
            if record.name in bought:
                price = unpriced if record.price is None else record.price
                terms.append((price, bought[record.name]))
    return terms


# Constraints on storage space: freezer, refrigerator, shelf, cellar, and freezing capacity.


def _kept_in(parameters: Parameters, variables: Variables, place: str, number: int) -> Sum:
    """Return the liters added to a place by the end of a period, less what other preserves used."""
    return [
        (item.space_litres_each * coefficient, variable)
        for item in parameters.preserves
        if item.kept_in == place
        for coefficient, variable in variables.net(parameters, item.name, number)
    ]


def freezer_space(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Fit frozen preserves and crop frozen whole in the freezer at the end of every period.

        sum over p in the freezer of space_litres_each[p] * net[p, t]
          + sum over c of freezer_litres_per_kg[c] * (frozen[c, t] - frozen_at_start[c])
          <= freezer_free_litres      for t in periods

    where, in liters,
        net[p, t]           = containers made up to and including t, less those used as ingredients
        freezer_free_litres = free space on the first day; crop frozen before that is not part of it

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(freezer_space, tiny_household(), "08-14")
    freezer_space.08_14: make.broth.08_14 + 0.75 make.soup.08_14 + 1.8 frozen.tomato.08_14 <= 43.6
    """
    free = parameters.household.kitchen.freezer_free_litres
    if math.isinf(free):
        return
    start = sum(crop.freezer_litres_per_kg * parameters.frozen_at_start(crop) for crop in parameters.freezable)
    for period in parameters.periods:
        terms = _kept_in(parameters, variables, "freezer", period.number)
        terms += [
            (crop.freezer_litres_per_kg, variables.frozen[crop.name, period.number]) for crop in parameters.freezable
        ]
        if terms:
            yield variables.name("freezer_space", period.label), at_most(terms, free + start)


def freezing_per_day(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Freeze no more fresh weight a day than the freezer freezes within 24 hours.

        sum over c of freeze[c, t] + sum over p in the freezer and c of crops_of[p, c] * make[p, t]
          <= freeze_kg_a_day * days[t]      for t in periods

    where
        freeze_kg_a_day = 2 lb per cubic foot in 24 hours (MSU Extension E1886; Purdue Extension), in kg

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(freezing_per_day, tiny_household(), "week")
    freezing_per_day.week_08_16: freeze.tomato.week_08_16 + 0.25 make.broth.week_08_16 <= 42
    """
    allowed = parameters.household.kitchen.freeze_kg_a_day
    if math.isinf(allowed):
        return
    for period in parameters.periods:
        number = period.number
        terms: Sum = [
            (1.0, variables.freeze[crop.name, number])
            for crop in parameters.freezable
            if (crop.name, number) in variables.freeze
        ]
        for item in parameters.preserves:
            if item.kept_in == "freezer" and (item.name, number) in variables.make:
                terms.append((sum(parameters.crops_of(item).values()), variables.make[item.name, number]))
        if terms:
            yield variables.name("freezing_per_day", period.label), at_most(terms, allowed * period.days)


def _space(parameters: Parameters, variables: Variables, place: str, free: float) -> Iterator[Named]:
    if math.isinf(free):
        return
    emptied = any(item.kept_in == place and item.name in parameters.users for item in parameters.preserves)
    for period in parameters.periods:
        if not emptied and period is not parameters.periods[-1]:
            continue  # nothing is taken out, so the last period is enough
        terms = _kept_in(parameters, variables, place, period.number)
        if terms:
            yield variables.name(f"{place}_space", period.label), at_most(terms, free)


def refrigerator_space(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Fit refrigerated preserves in the refrigerator at the end of every period.

        sum over p in the refrigerator of space_litres_each[p] * net[p, t] <= refrigerator_free_litres
          for t in periods

    in liters; net[p, t] as in `freezer_space`. Only the last period is needed where nothing is taken out.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(refrigerator_space, tiny_household())
    refrigerator_space.week_08_16: make.kraut.08_14 + make.kraut.08_15 + make.kraut.week_08_16 <= 10
    """
    yield from _space(parameters, variables, "refrigerator", parameters.household.kitchen.refrigerator_free_litres)


def shelf_space(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Fit shelf preserves on the shelf at the end of every period.

        sum over p on the shelf of space_litres_each[p] * net[p, t] <= shelf_free_litres      for t in periods

    in liters; net[p, t] as in `freezer_space`.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(shelf_space, tiny_household(), "08-14")
    shelf_space.08_14: make.dried_tomato.08_14 + make.juice.08_14 - 0.5 make.soup.08_14 <= 50
    """
    yield from _space(parameters, variables, "shelf", parameters.household.kitchen.shelf_free_litres)


def cellar_space(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Fit cellar preserves in the cellar at the end of every period.

        sum over p in the cellar of space_litres_each[p] * net[p, t] <= cellar_free_litres      for t in periods

    in liters; net[p, t] as in `freezer_space`.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(cellar_space, tiny_household())
    cellar_space.week_08_16: 4 make.cabbage_heads.08_14 + 4 make.cabbage_heads.08_15 + 4
        make.cabbage_heads.week_08_16 <= 60
    """
    yield from _space(parameters, variables, "cellar", parameters.household.kitchen.cellar_free_litres)
