"""Limits that give nothing alone: the pairs that may help together, and what the best of them gives."""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import Executor
from dataclasses import replace

from stillroom.household.records import Household
from stillroom.planning.limits.catalogue import Limit
from stillroom.planning.limits.gains import Gain, gain_of, kept_more
from stillroom.planning.limits.quick import Quick, changes
from stillroom.planning.limits.trial import Trial, on_from, spread, tried

MOST_PAIRS = 10
PAIRS_EACH = 3

Pair = tuple[Limit, Limit]


def best_partners(
    gains: Mapping[Limit, Gain], base: Trial, more_of: Mapping[Limit, Quick], executor: Executor | None
) -> dict[Limit, tuple[Limit, Gain]]:
    """
    For limits that do not help the list alone, the other limit with which they help most, and what both give.

    `gains` are the gains of each limit alone and `more_of` what was reached with it. Both together must surely give
    more than the other one alone.
    """
    pairs = likely_pairs(gains, base.household)
    before = base.before
    if not pairs or before is None:
        return {}
    trials = [on_from(base, more_of[other], (one, one.step), (other, other.step)) for one, other in pairs]
    together = {
        pair: gain_of(base.household, before, both)
        for pair, both in zip(pairs, spread(executor, tried, trials), strict=True)
        if better(both, more_of[pair[1]])
    }
    best: dict[Limit, Pair] = {}
    for pair, gain in together.items():
        for alone in pair:
            worst = alone not in best or gain.rank() > together[best[alone]].rank()
            if gain.helps and not gains[alone].helps and worst:
                best[alone] = pair
    again = sorted(set(best.values()), key=pairs.index)
    trials = [replace(base, more=((one, one.step), (other, other.step))) for one, other in again]
    full = dict(zip(again, spread(executor, tried, trials), strict=True))
    return {
        alone: (pair[pair[0] == alone], gain_of(base.household, before, full[pair])) for alone, pair in best.items()
    }


def better(both: Quick, alone: Quick) -> bool:
    """Whether both together surely keep more of fixed lines than one of them alone, or fill the list better."""
    found = (kept_more(alone, both), *changes(both.aims, alone.aims))
    return next((change > 0 for change in found if change), False)


def likely_pairs(gains: Mapping[Limit, Gain], household: Household) -> list[Pair]:
    """
    Pairs of one limit that does not help alone with another, those that a preserve takes both of, in their order.

    First those neither of which helps alone; each pair once.
    """
    if not any(need.wanted > 0 for need in household.needs):
        return []
    pairs: list[Pair] = []
    taken = {limit: takers(household, limit) for limit in gains}
    for one, gain in gains.items():
        if gain.helps:
            continue
        others = [other for other in gains if other != one and taken[one] & taken[other]]
        others.sort(key=lambda other: gains[other].helps)
        pairs += [(one, other) for other in others[:PAIRS_EACH] if (other, one) not in pairs]
    pairs.sort(key=lambda pair: pair[0].kind in ("hours", "equipment") or gains[pair[1]].helps)
    return pairs[:MOST_PAIRS]


def takers(household: Household, limit: Limit) -> set[str]:
    """The preserves to be made that take of a limit; all of them for hours and money."""
    lids = {container.name: container.lid for container in household.containers}
    found = set()
    for item in household.preserves:
        takes = {
            "container": item.container == limit.name,
            "lid": lids.get(item.container) == limit.name,
            "larder": any(line.item == limit.name for line in item.ingredients),
            "crop": any(line.item == limit.name for line in item.ingredients),
            "space": item.kept_in == limit.name,
            "freezing": item.kept_in == "freezer",
            "equipment": limit.name in item.equipment,
        }
        if item.make and takes.get(limit.kind, True):
            found.add(item.name)
    return found
