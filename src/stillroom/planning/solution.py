"""The plan extracted from the solver's columns, and which limits keep a fixed line short."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Protocol, TypeVar

from stillroom.household.plan import Amounts, ObjectiveResult, Plan, Violation
from stillroom.household.records import FREEZE_WHOLE, THAW
from stillroom.household.text import format_long_date
from stillroom.planning.highs import HighsSession, SolveSettings
from stillroom.planning.model import Variable
from stillroom.planning.parameters import Fix, Parameters
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

    def amounts(variables: Mapping[Any, Variable]) -> Mapping[Any, float]:
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
        buy_containers=amounts(variables.buy_container),
        buy_lids=amounts(variables.buy_lid),
        buy_items=amounts(variables.buy_item),
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


# Which limits keep a fixed line short: constraints are relaxed and restored.

NEAR = 0.01
"""Containers, or a target's unit, that do not count as short."""

MOST_EXPLAINED = 5
"""Breaches that are explained; further ones are reported without their limits."""

SOLVE_SETTINGS = SolveSettings(gap=1e-3, absolute_gap=0.01, patient_gap=0.01, patient_nodes=50, node_limit=500)


class HasRows(Protocol):
    """A limit with the names of its constraints."""

    @property
    def rows(self) -> tuple[str, ...]:
        """The names of its constraints in the model."""


L = TypeVar("L", bound=HasRows)


@dataclass(frozen=True)
class Limit:
    """A limit in the household's words, with the names of its constraints."""

    words: str
    rows: tuple[str, ...]


def explain_violations(
    parameters: Parameters, variables: Variables, violations: tuple[Violation, ...]
) -> tuple[Violation, ...]:
    """Return the violations with the limits that each ran into; those beyond MOST_EXPLAINED without."""
    found = []
    for number, violation in enumerate(violations):
        if number < MOST_EXPLAINED:
            index = next(
                i
                for i, fix in enumerate(parameters.fixes)
                if (fix.name, fix.numbers[0], fix.amount) == (violation.name, violation.period, violation.typed)
            )
            found.append(replace(violation, limits=limits_reached(parameters, variables, index, violation.short)))
        else:
            found.append(violation)
    return tuple(found)


def limits_reached(parameters: Parameters, variables: Variables, index: int, short: float) -> tuple[str, ...]:
    """Return the words of the limits that keep fixed line `index` short."""
    fix = parameters.fixes[index]
    solver = HighsSession(variables.model)
    for number, other in variables.short.items():
        if number != index:
            solver.highs.changeColBounds(solver.columns[other.name], 0.0, other.most or 0.0)
    relax_make_bounds(parameters, variables, solver, fix)
    solver.set_objective({solver.columns[variables.short[index].name]: 1.0}, maximize=False)
    limits = tuple(
        limit for limit in limits_of(parameters, variables, fix) if any(row in solver.rows for row in limit.rows)
    )
    found = limiting(solver, limits, lambda: shortfall(solver), short)
    return tuple(limit.words for limit in found)


def limiting(solver: HighsSession, limits: Sequence[L], short: Callable[[], float], now: float) -> tuple[L, ...]:
    """
    Return an irreducible set of limits that explains a shortfall, found by a deletion filter.

    All limits are relaxed, then restored one by one; one that cannot be restored without a larger shortfall stays
    relaxed and is returned. `short` solves for the shortfall and `now` is the shortfall under all limits. Empty when
    relaxing all of them changes nothing.
    """
    for limit in limits:
        solver.relax_rows(limit.rows)
    least = short()
    found = []
    for limit in limits:
        solver.restore_rows(limit.rows)
        if least < now - NEAR and short() > least + NEAR:
            solver.relax_rows(limit.rows)
            found.append(limit)
    for limit in found:
        solver.restore_rows(limit.rows)
    return tuple(found)


def shortfall(solver: HighsSession) -> float:
    """Return the shortfall of the line; infinite when no solution is found."""
    outcome = solver.run(None, SOLVE_SETTINGS)
    return outcome.value if outcome.found else math.inf


def relax_make_bounds(parameters: Parameters, variables: Variables, solver: HighsSession, fix: Fix) -> None:
    """
    Remove the upper bounds on what the line makes, since they were computed from the limits in question.

    They are bounds of `make`, `freeze` and `loads`, and coefficients of `smallest_batch` and `freezing_setup`. What is
    frozen is in the row of what may be thawed on the next day, too.
    """
    crop = fix.name.removeprefix(FREEZE_WHOLE)
    for number in fix.numbers:
        label = parameters.periods[number].label
        solver.relax_rows([f"{variables.name('smallest_batch', fix.name, label)}.most"])
        made = variables.make.get((fix.name, number))
        if made is None:
            frozen = variables.freeze.get((crop, number)) if crop != fix.name else None
            if frozen is not None:
                after = [one.label for one in parameters.periods[number + 1 : number + 2]]
                solver.relax_rows([variables.name("freezing_setup", crop, label)])
                solver.relax_rows([variables.name("thaw_after_freezing", crop, one) for one in after])
                solver.highs.changeColBounds(solver.columns[frozen.name], 0.0, fix.amount)
            continue
        solver.highs.changeColBounds(solver.columns[made.name], 0.0, math.ceil(fix.amount))
        loads = variables.loads.get((fix.name, number))
        load = parameters.household.preserve(fix.name).load
        if loads is not None and load is not None:
            solver.highs.changeColBounds(solver.columns[loads.name], 0.0, math.ceil(fix.amount / load))


def limits_of(parameters: Parameters, variables: Variables, fix: Fix) -> Iterator[Limit]:
    """Yield every limit that could keep a fixed line short: supplies, then space, then time."""
    every = [period.label for period in parameters.periods]
    own = [parameters.periods[number].label for number in fix.numbers]

    def rows(kind: str, *names: str, labels: list[str] | None = None) -> tuple[str, ...]:
        return tuple(variables.name(kind, *names, label) for label in (labels or every))

    crops = [fix.name.removeprefix(start) for start in (FREEZE_WHOLE, THAW) if fix.name.startswith(start)]
    item = None if crops else parameters.household.preserve(fix.name)
    if item is not None:
        crops = list(parameters.crops_of(item))
        container = parameters.household.container(item.container)
        yield Limit(f"{container.name} on hand", rows("container_stock", container.name))
        if container.lid is not None:
            yield Limit(f"{container.lid} on hand", (variables.name("lid_stock", container.lid),))
        for line in item.ingredients:
            if line.source == "pantry":
                yield Limit(f"{line.item} on hand", (variables.name("pantry_stock", line.item),))
            if line.source == "preserve":
                yield Limit(f"{line.item} on the shelf", rows("preserve_balance", line.item))
    if fix.name.startswith(THAW):
        frozen = fix.name.removeprefix(THAW)
        yield Limit(f"{frozen} in the freezer", (*rows("frozen_balance", frozen), *rows("thaw_after_freezing", frozen)))
    for crop in crops:
        yield Limit(f"{crop} on hand by then", (*rows("crop_balance", crop), *rows("thawed_crop_use", crop)))
    yield Limit("the spending limit", ("spending_limit",))
    yield Limit("space in the freezer", rows("freezer_space"))
    yield Limit("what the freezer takes in a day", rows("freezing_per_day", labels=own))
    for place in ("refrigerator", "shelf", "cellar"):
        yield Limit(f"space in the {place}" if place != "shelf" else "space on the shelf", rows(f"{place}_space"))
    days = " and ".join(format_long_date(parameters.periods[n].first_day) for n in fix.numbers[:2])
    when = f"on {days}" if parameters.periods[fix.numbers[0]].single else f"in the week of {days}"
    yield Limit(f"hands {when}", rows("hands_hours", labels=own))
    yield Limit(f"stove {when}", rows("stove_hours", labels=own))
    yield Limit("the most preserves in a day", rows("most_preserves"))
    for piece in parameters.pieces.get(fix.name, ()):
        yield Limit(f"{piece.name} {when}", rows("equipment_hours", piece.name, labels=own))
