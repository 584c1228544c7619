"""Which limits a fixed line ran into when it could not be kept: limits are let go and tightened again."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from stillroom.household.plan import Violation
from stillroom.household.records import FREEZE_WHOLE, THAW
from stillroom.household.text import format_long_date
from stillroom.planning.highs import Effort, Solver
from stillroom.planning.parameters import Fix, Parameters
from stillroom.planning.variables import Variables

MOST_EXPLAINED = 5
"""Breaches that are explained; further ones are reported without their limits."""

EFFORT = Effort(gap=1e-3, close_enough=0.01, patient_gap=0.01, patient_nodes=50, last_nodes=500)


@dataclass(frozen=True)
class Limit:
    """A limit in the household's words, with the rows of the programme that stand for it."""

    words: str
    rows: tuple[str, ...]


def explained(parameters: Parameters, variables: Variables, violations: tuple[Violation, ...]) -> tuple[Violation, ...]:
    """
    The breaches with the limits that each ran into.

    All limits that could matter are let go, then tightened one after another in reading order; those that cannot be
    tightened without the line falling short again are the ones it ran into. Together they explain it, and none of them
    could be left out.
    """
    found = []
    for number, violation in enumerate(violations):
        if number < MOST_EXPLAINED:
            index = next(
                i
                for i, fix in enumerate(parameters.fixes)
                if (fix.name, fix.numbers[0], fix.amount) == (violation.name, violation.period, violation.typed)
            )
            found.append(replace(violation, limits=ran_into(parameters, variables, index, violation.short)))
        else:
            found.append(violation)
    return tuple(found)


def ran_into(parameters: Parameters, variables: Variables, index: int, short: float) -> tuple[str, ...]:
    """The words of the limits that keep fixed line `index` short; empty when letting all of them go changes nothing."""
    fix = parameters.fixes[index]
    solver = Solver(variables.programme)
    for number, other in variables.short.items():
        if number != index:
            solver.highs.changeColBounds(solver.columns[other.name], 0.0, other.most or 0.0)
    let_make_go(parameters, variables, solver, fix)
    solver.aim_at({solver.columns[variables.short[index].name]: 1.0}, most=False)
    limits = tuple(
        limit for limit in limits_of(parameters, variables, fix) if any(row in solver.rows for row in limit.rows)
    )
    for limit in limits:
        solver.let_go(limit.rows)
    least = shortfall(solver)
    if least > short - 0.01:
        return ()
    kept = []
    for limit in limits:
        solver.tighten(limit.rows)
        if shortfall(solver) > least + 0.01:
            solver.let_go(limit.rows)
            kept.append(limit.words)
    return tuple(kept)


def shortfall(solver: Solver) -> float:
    """How much of the line is still short; all of it when nothing is found."""
    outcome = solver.run(None, EFFORT)
    return outcome.value if outcome.found else math.inf


def let_make_go(parameters: Parameters, variables: Variables, solver: Solver, fix: Fix) -> None:
    """
    Lift the bounds on what the line makes, which were computed from the limits in question.

    They stand twice: as the end of what is made or frozen whole, and as the most that one set-up allows.
    """
    crop = fix.name.removeprefix(FREEZE_WHOLE)
    for number in fix.numbers:
        label = parameters.periods[number].label
        solver.let_go([f"{variables.name('smallest_batch', fix.name, label)}.most"])
        made = variables.make.get((fix.name, number))
        if made is None:
            frozen = variables.freeze.get((crop, number)) if crop != fix.name else None
            if frozen is not None:
                solver.let_go([variables.name("freezing_setup", crop, label)])
                solver.highs.changeColBounds(solver.columns[frozen.name], 0.0, fix.amount)
            continue
        solver.highs.changeColBounds(solver.columns[made.name], 0.0, math.ceil(fix.amount))
        loads = variables.loads.get((fix.name, number))
        load = parameters.household.preserve(fix.name).load
        if loads is not None and load is not None:
            solver.highs.changeColBounds(solver.columns[loads.name], 0.0, math.ceil(fix.amount / load))


def limits_of(parameters: Parameters, variables: Variables, fix: Fix) -> Iterator[Limit]:
    """Every limit that could keep a fixed line short, in the household's words: supplies, then space, then time."""
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
    for piece in parameters.pieces.get(fix.name, ()):
        yield Limit(f"{piece.name} {when}", rows("equipment_hours", piece.name, labels=own))
