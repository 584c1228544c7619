"""What one quick plan gains over another, target by target, and which resources help only together."""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import Executor
from dataclasses import replace

from stillroom.household.plan import ObjectiveResult
from stillroom.household.records import Household
from stillroom.household.results.bottlenecks import Bottleneck, Gain
from stillroom.planning.bottlenecks.replan import ReSolve, continued_from, re_solve, run_all
from stillroom.planning.bottlenecks.resolve import LEAST_CHANGE_KG, LEAST_CHANGE_MONEY, Quick, changes

SMALLEST, SMALLEST_SHARE = 0.05, 0.005
"""A target's change below either, in its unit or as a share of wanted, is within tolerance and not reported."""

AN_EIGHTH, OF_FIFTY = 0.125, 0.02
"""Nor is a change below an eighth of a unit, where that is under 2% of what is wanted."""


def gain_of(household: Household, before: Quick, now: Quick) -> Gain:
    """
    Return what `now` has over `before`; only what is proved counts.

    Changes of single targets are given only where the list as a whole surely changes; else they are one of several
    optima.
    """
    points = changes(now.objectives, before.objectives)
    targets = {}
    if any(points):
        for target in household.targets:
            change = now.filled[target.name] - before.filled[target.name]
            if abs(change) > least_target_change(target.wanted):
                targets[target.name] = change
    containers = {
        target.name: sum(now.made.get(name, 0.0) - before.made.get(name, 0.0) for name in target.counts)
        for target in household.targets
        if target.name in targets
    }
    surplus = surely_less(before.surplus, now.surplus, before.surplus_kg - now.surplus_kg, LEAST_CHANGE_KG)
    spent = 0.0 - surely_less(before.money, now.money, before.spent - now.spent, LEAST_CHANGE_MONEY)
    kept = kept_more(before, now)
    spent = spent if kept or any(points) else min(0.0, spent)
    return Gain(points, targets, containers, surplus, spent, now.proved, kept)


def kept_more(before: Quick, now: Quick) -> float:
    """Return how much more of fixed lines is kept, in containers; 0 for small amounts."""
    short = [
        sum(objective.value for objective in quick.objectives if objective.kind == "fixed") for quick in (before, now)
    ]
    return short[0] - short[1] if abs(short[0] - short[1]) > SMALLEST else 0.0


def least_target_change(wanted: float) -> float:
    """
    Return the least change of a target that is reported, in its unit.

    >>> [round(least_target_change(wanted), 3) for wanted in (2, 5, 20, 100)]
    [0.05, 0.1, 0.125, 0.5]
    """
    return max(SMALLEST, SMALLEST_SHARE * wanted, min(AN_EIGHTH, OF_FIFTY * wanted))


def surely_less(before: ObjectiveResult | None, now: ObjectiveResult | None, amount_less: float, least: float) -> float:
    """Return how much less of an objective there surely is (negative: more); 0 when not sure or not asked."""
    if now is None or before is None:
        return 0.0
    less, more = now.value < before.bound - least, now.bound > before.value + least
    return amount_less if (less or more) and (amount_less > 0) == less else 0.0


# Pairs of resources that help only together.

MOST_PAIRS = 10
PAIRS_EACH = 3

Pair = tuple[Bottleneck, Bottleneck]


def best_partners(
    gains: Mapping[Bottleneck, Gain], base: ReSolve, more_of: Mapping[Bottleneck, Quick], executor: Executor | None
) -> dict[Bottleneck, tuple[Bottleneck, Gain]]:
    """
    Return, for resources that do not help alone, the other resource with which they help most, and what both give.

    `gains` are the gains of each alone and `more_of` what was reached with it. Both must surely give more than the
    other.
    """
    pairs = likely_pairs(gains, base.household)
    before = base.before
    if not pairs or before is None:
        return {}
    re_solves = [continued_from(base, more_of[other], (one, one.step), (other, other.step)) for one, other in pairs]
    together = {
        pair: gain_of(base.household, before, both)
        for pair, both in zip(pairs, run_all(executor, re_solve, re_solves), strict=True)
        if better(both, more_of[pair[1]])
    }
    best: dict[Bottleneck, Pair] = {}
    for pair, gain in together.items():
        for alone in pair:
            worst = alone not in best or gain.rank() > together[best[alone]].rank()
            if gain.helps and not gains[alone].helps and worst:
                best[alone] = pair
    again = sorted(set(best.values()), key=pairs.index)
    re_solves = [replace(base, more=((one, one.step), (other, other.step))) for one, other in again]
    full = dict(zip(again, run_all(executor, re_solve, re_solves), strict=True))
    return {
        alone: (pair[pair[0] == alone], gain_of(base.household, before, full[pair])) for alone, pair in best.items()
    }


def better(both: Quick, alone: Quick) -> bool:
    """Return whether `both` surely keeps more of fixed lines than `alone`, or fills the targets better."""
    found = (kept_more(alone, both), *changes(both.objectives, alone.objectives))
    return next((change > 0 for change in found if change), False)


def likely_pairs(gains: Mapping[Bottleneck, Gain], household: Household) -> list[Pair]:
    """Return pairs of resources that a preserve uses both of, where the first does not help alone; each pair once."""
    if not any(target.wanted > 0 for target in household.targets):
        return []
    pairs: list[Pair] = []
    taken = {bottleneck: takers(household, bottleneck) for bottleneck in gains}
    for one, gain in gains.items():
        if gain.helps:
            continue
        others = [other for other in gains if other != one and taken[one] & taken[other]]
        others.sort(key=lambda other: gains[other].helps)
        pairs += [(one, other) for other in others[:PAIRS_EACH] if (other, one) not in pairs]
    pairs.sort(key=lambda pair: pair[0].kind in ("hours", "equipment") or gains[pair[1]].helps)
    return pairs[:MOST_PAIRS]


def takers(household: Household, bottleneck: Bottleneck) -> set[str]:
    """Return the preserves that use a resource; all of them for hours and money."""
    lids = {container.name: container.lid for container in household.containers}
    found = set()
    for item in household.preserves:
        takes = {
            "container": item.container == bottleneck.name,
            "lid": lids.get(item.container) == bottleneck.name,
            "pantry": any(line.item == bottleneck.name for line in item.ingredients),
            "crop": any(line.item == bottleneck.name for line in item.ingredients),
            "space": item.kept_in == bottleneck.name,
            "freezing": item.kept_in == "freezer",
            "equipment": bottleneck.name in item.equipment,
        }
        if item.include and takes.get(bottleneck.kind, True):
            found.add(item.name)
    return found
