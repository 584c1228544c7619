"""The plan extracted from the solver's columns."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from stillroom.household.plan import Amounts, ObjectiveResult, Plan, Violation
from stillroom.planning.model import Variable
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables

NOTHING = 1e-6


def extract_plan(
    parameters: Parameters, variables: Variables, columns: Mapping[str, float], objectives: tuple[ObjectiveResult, ...]
) -> Plan:
    """Return the plan in the columns (value by variable name); integers are rounded."""

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

    violations = tuple(
        Violation(fix.name, fix.numbers[0], fix.amount, value(variables.short[number]), where=fix.where)
        for number, fix in enumerate(parameters.fixes)
        if value(variables.short[number]) > 1e-4
    )
    fresh, surplus = keep_instead_of_surplus(parameters, amounts(variables.fresh), amounts(variables.surplus))
    return Plan(
        periods=parameters.periods,
        make=amounts(variables.make),
        loads=loads_of(parameters, amounts(variables.make)),
        fresh_kg=fresh,
        frozen_kg=amounts(variables.frozen),
        freeze_kg=amounts(variables.freeze),
        thaw_kg=amounts(variables.thaw),
        spoil_kg=amounts(variables.spoil),
        surplus_kg=surplus,
        buy_containers=bought(variables.buy_container),
        buy_lids=bought(variables.buy_lid),
        buy_items=bought(variables.buy_item),
        bands=amounts(variables.filled),
        objectives=objectives,
        violations=violations,
    )


def loads_of(parameters: Parameters, make: Amounts) -> Amounts:
    """
    Return the loads of what is made: whole ones on detailed days, fractions in weeks.

    On detailed days these are the `loads` of the solution. In weeks a load costs nothing by itself, so the solver may
    have more than are used.
    """
    found = {}
    for item in parameters.preserves:
        if item.load is None:
            continue
        for period in parameters.periods:
            amount = make.get((item.name, period.number), 0.0)
            if amount > 0:
                share = amount / item.load
                found[item.name, period.number] = float(math.ceil(share - NOTHING)) if period.single else share
    return MappingProxyType(found)


def keep_instead_of_surplus(parameters: Parameters, fresh: Amounts, surplus: Amounts) -> tuple[Amounts, Amounts]:
    """
    Return fresh crop and surplus, where surplus of the last period is kept fresh if it keeps, at equal weight.

    Only for crops that an included preserve can use; others weigh more when they are kept.
    """
    last = parameters.periods[-1]
    held, given = dict(fresh), dict(surplus)
    for crop in parameters.crops:
        key = (crop.name, last.number)
        spare = parameters.keepable(crop, last) - held.get(key, 0.0)
        kept = min(given.get(key, 0.0), spare)
        if last.number and crop.name in parameters.crops_in_use and kept > NOTHING:
            held[key] = held.get(key, 0.0) + kept
            given[key] -= kept
            if given[key] < NOTHING:
                del given[key]
    return MappingProxyType(held), MappingProxyType(given)
