"""A plan turned back into the solver's columns, so that a search can start from it."""

from __future__ import annotations

from collections.abc import Mapping

from stillroom.household.plan import Plan
from stillroom.planning.decisions import Decisions
from stillroom.planning.facts import Facts

NEAR = 1e-6


def columns_of(
    facts: Facts, decide: Decisions, plan: Plan, filled: Mapping[str, float] | None = None
) -> tuple[float, ...]:
    """
    The columns that say a plan, in the order of the programme's decisions; what it does not speak of is nothing.

    `filled` is how far each need was filled before, from which losses are counted.
    """
    values: dict[str, float] = {}
    for decided, amounts in (
        (decide.make, plan.make),
        (decide.fresh, plan.fresh_kg),
        (decide.frozen, plan.frozen_kg),
        (decide.freeze, plan.freeze_kg),
        (decide.thaw, plan.thaw_kg),
        (decide.spoil, plan.spoil_kg),
        (decide.fed, plan.fed_kg),
        (decide.loads, plan.loads),
    ):
        values |= {variable.name: amounts.get(key, 0.0) for key, variable in decided.items()}
    for bought, amount in (
        (decide.buy_container, plan.buy_containers),
        (decide.buy_lid, plan.buy_lids),
        (decide.buy_item, plan.buy_items),
    ):
        values |= {variable.name: amount.get(name, 0.0) for name, variable in bought.items()}
    for setups, made in ((decide.setup, plan.make), (decide.setup_freeze, plan.freeze_kg)):
        values |= {variable.name: float(made.get(key, 0.0) > 0) for key, variable in setups.items()}
    values |= {variable.name: plan.bands.get(key, 0.0) for key, variable in decide.filled.items()}
    values |= short_and_changed(facts, decide, plan)
    for name, was in (filled or {}).items():
        there = sum(plan.bands.get((name, band), 0.0) for band in range(len(facts.gains)))
        values[decide.name("loss", name)] = max(0.0, was - there)
    return tuple(values.get(name, 0.0) for name in decide.programme.variables)


def columns_from(
    facts: Facts, decide: Decisions, values: Mapping[str, float], filled: Mapping[str, float]
) -> tuple[float, ...]:
    """
    The columns of decisions known by name, in the order of the programme's decisions; what is not known is nothing.

    `filled` is how far each need was filled before, from which losses are counted anew. Crop that comes in on top is
    fed in its period.
    """
    found = {**values, **more_fed(facts, decide, values)}
    for name, was in filled.items():
        bands = [decide.filled[name, band] for band in range(len(facts.gains)) if (name, band) in decide.filled]
        there = sum(values.get(variable.name, 0.0) for variable in bands)
        found[decide.name("loss", name)] = max(0.0, was - there)
    return tuple(found.get(name, 0.0) for name in decide.programme.variables)


def more_fed(facts: Facts, decide: Decisions, values: Mapping[str, float]) -> dict[str, float]:
    """What is fed of each crop in each period so that nothing of it is left over; never less than nothing."""
    found = {}
    for (crop, number), fed in decide.fed.items():
        row = decide.programme.rows[decide.name("crop_balance", crop, facts.periods[number].label)]
        over = sum(coefficient * values.get(variable.name, 0.0) for coefficient, variable in row.terms) - row.bound
        if abs(over) > NEAR:
            found[fed.name] = max(0.0, values.get(fed.name, 0.0) + over)
    return found


def short_and_changed(facts: Facts, decide: Decisions, plan: Plan) -> dict[str, float]:
    """What a plan leaves short of each fixed line, and how far it is from the last plan."""
    breaches = {(breach.name, breach.period, breach.typed): breach.short for breach in plan.breaches}
    fixes = [(fix.name, fix.numbers[0], fix.amount) for fix in facts.fixes]
    values = {variable.name: breaches.get(fixes[number], 0.0) for number, variable in decide.short.items()}
    for number, line in enumerate(facts.last_lines):
        made = sum(plan.make.get((line.name, period), 0.0) for period in line.numbers)
        values[decide.more[number].name] = max(0.0, made - line.amount)
        values[decide.less[number].name] = max(0.0, line.amount - made)
    return values
