"""The plan read off the solver's columns; nothing else in the house looks at them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from stillroom.household.plan import AimResult, Amounts, Breach, Plan
from stillroom.planning.decisions import Decisions
from stillroom.planning.expressions import Variable
from stillroom.planning.facts import Facts

NOTHING = 1e-6


def read_off(facts: Facts, decide: Decisions, columns: Mapping[str, float], aims: tuple[AimResult, ...]) -> Plan:
    """Turn the columns (value by name of the decision) into a Plan; whole decisions are rounded to whole numbers."""

    def value(variable: Variable) -> float:
        amount = columns[variable.name]
        amount = float(round(amount)) if variable.whole else amount
        return 0.0 if abs(amount) < NOTHING else amount

    def amounts(variables: Mapping[tuple[str, int], Variable]) -> Amounts:
        found = {key: value(variable) for key, variable in variables.items()}
        return MappingProxyType({key: amount for key, amount in found.items() if amount != 0.0})

    def bought(variables: Mapping[str, Variable]) -> Mapping[str, Any]:
        found = {key: value(variable) for key, variable in variables.items()}
        return MappingProxyType({key: amount for key, amount in found.items() if amount != 0.0})

    breaches = tuple(
        Breach(fix.name, fix.numbers[0], fix.amount, value(decide.short[number]), where=fix.where)
        for number, fix in enumerate(facts.fixes)
        if value(decide.short[number]) > 1e-4
    )
    fresh, fed = kept_where_it_keeps(facts, amounts(decide.fresh), amounts(decide.fed))
    return Plan(
        periods=facts.periods,
        make=amounts(decide.make),
        loads=loads_of(facts, amounts(decide.make)),
        fresh_kg=fresh,
        frozen_kg=amounts(decide.frozen),
        freeze_kg=amounts(decide.freeze),
        thaw_kg=amounts(decide.thaw),
        spoil_kg=amounts(decide.spoil),
        fed_kg=fed,
        buy_containers=bought(decide.buy_container),
        buy_lids=bought(decide.buy_lid),
        buy_items=bought(decide.buy_item),
        bands=amounts(decide.filled),
        aims=aims,
        breaches=breaches,
    )


def loads_of(facts: Facts, make: Amounts) -> Amounts:
    """
    The loads that what is made needs, and no more: whole ones on single days, shares of one in weeks.

    On single days this is what the solver decided, since no load may stay empty; in weeks a load costs nothing by
    itself, so the solver may leave more than are needed.
    """
    found = {}
    for item in facts.preserves:
        if item.load is None:
            continue
        for period in facts.periods:
            amount = make.get((item.name, period.number), 0.0)
            if amount > 0:
                share = amount / item.load
                found[item.name, period.number] = float(math.ceil(share - NOTHING)) if period.single else share
    return MappingProxyType(found)


def kept_where_it_keeps(facts: Facts, fresh: Amounts, fed: Amounts) -> tuple[Amounts, Amounts]:
    """
    What is fed in the last period although it keeps is held fresh instead: both weigh the same in the aim.

    Only where a preserve with Make = yes can use the crop; elsewhere holding weighs more than feeding does.
    """
    last = facts.periods[-1]
    held, given = dict(fresh), dict(fed)
    for crop in facts.crops:
        key = (crop.name, last.number)
        spare = facts.keepable(crop, last) - held.get(key, 0.0)
        kept = min(given.get(key, 0.0), spare)
        if last.number and crop.name in facts.usable_crops and kept > NOTHING:
            held[key] = held.get(key, 0.0) + kept
            given[key] -= kept
            if given[key] < NOTHING:
                del given[key]
    return MappingProxyType(held), MappingProxyType(given)
