"""What a quick plan gains or loses against another one, need by need."""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace

from stillroom.household.records import Household
from stillroom.planning.bottlenecks.replan import Trial, on_from, spread, tried
from stillroom.planning.bottlenecks.resolve import WORTH_SAYING_KG, WORTH_SAYING_MONEY, Quick, changes
from stillroom.planning.bottlenecks.resources import Bottleneck

SMALLEST, SMALLEST_SHARE = 0.05, 0.005
"""A need's change below either, in its unit and as a share of wanted, is what aims may give up, and not said."""

AN_EIGHTH, OF_FIFTY = 0.125, 0.02
"""Nor is an eighth of a unit said of a need, where that is less than one fiftieth of what is wanted."""


@dataclass(frozen=True)
class Gain:
    """
    The difference between two quick plans.

    `points` are the needs aims, importance by importance: what is surely gained (above 0) or lost. `targets` is the
    change of each need in its own unit, `containers` how many more are made of what counts toward it; `less_surplus_kg`
    the crop that is fed less; `spent` what is bought for more (both 0 where only the needs were asked for).
    `kept_fixed` is what more of fixed lines is kept, which goes before the list: then the list may lose.
    `proved` is False where a need aim of the new plan was not proved to be the most.
    """

    points: tuple[float, ...]
    targets: Mapping[str, float] = field(default_factory=dict)
    containers: Mapping[str, float] = field(default_factory=dict)
    less_surplus_kg: float = 0.0
    spent: float = 0.0
    proved: bool = True
    kept_fixed: float = 0.0

    @property
    def helps(self) -> bool:
        """Whether the winter list gains: the first importance that changes at all changes for the better."""
        return next((change > 0 for change in (self.kept_fixed, *self.points) if change), False)

    @property
    def hurts(self) -> bool:
        """Whether the winter list loses."""
        return next((change < 0 for change in (self.kept_fixed, *self.points) if change), False)

    @property
    def nothing(self) -> bool:
        """Whether neither the list nor the crop fed gains or loses, nor any money is saved."""
        return not any((self.kept_fixed, *self.points)) and self.less_surplus_kg == 0.0 and self.spent == 0.0

    def rank(self) -> tuple[float, ...]:
        """What gains are ordered by, the greatest first: the list by importance, then crop fed less, then money."""
        return (self.kept_fixed, *self.points, self.less_surplus_kg, -self.spent)


def gain_of(household: Household, before: Quick, now: Quick) -> Gain:
    """
    What `now` has over `before`; only what is proved counts as gained or lost.

    The change of each need is given where the list as a whole surely changes; otherwise it is one way among equals.
    """
    points = changes(now.objectives, before.objectives)
    targets = {}
    if any(points):
        for target in household.targets:
            change = now.filled[target.name] - before.filled[target.name]
            if abs(change) > least_said(target.wanted):
                targets[target.name] = change
    containers = {
        target.name: sum(now.made.get(name, 0.0) - before.made.get(name, 0.0) for name in target.counts)
        for target in household.targets
        if target.name in targets
    }
    surplus, spent, kept = less_surplus(before, now), more_spent(before, now), kept_more(before, now)
    spent = spent if kept or any(points) else min(0.0, spent)
    return Gain(points, targets, containers, surplus, spent, now.proved, kept)


def kept_more(before: Quick, now: Quick) -> float:
    """How much more of fixed lines is kept, in containers (below nothing: less); 0 for crumbs."""
    short = [
        sum(objective.value for objective in quick.objectives if objective.kind == "fixed") for quick in (before, now)
    ]
    return short[0] - short[1] if abs(short[0] - short[1]) > SMALLEST else 0.0


def least_said(wanted: float) -> float:
    """
    The change of a need that is worth saying, in its unit.

    >>> [round(least_said(wanted), 3) for wanted in (2, 5, 20, 100)]
    [0.05, 0.1, 0.125, 0.5]
    """
    return max(SMALLEST, SMALLEST_SHARE * wanted, min(AN_EIGHTH, OF_FIFTY * wanted))


def less_surplus(before: Quick, now: Quick) -> float:
    """Kilograms that are surely fed less (below nothing: more); 0 when that is not sure or was not asked."""
    if now.surplus is None or before.surplus is None:
        return 0.0
    better = now.surplus.value < before.surplus.bound - WORTH_SAYING_KG
    worse = now.surplus.bound > before.surplus.value + WORTH_SAYING_KG
    surplus = before.surplus_kg - now.surplus_kg if better or worse else 0.0
    return surplus if (surplus > 0) == better else 0.0


def more_spent(before: Quick, now: Quick) -> float:
    """Money that is surely spent for more (below nothing: saved); 0 when that is not sure or was not asked."""
    if now.money is None or before.money is None:
        return 0.0
    less = now.money.value < before.money.bound - WORTH_SAYING_MONEY
    more = now.money.bound > before.money.value + WORTH_SAYING_MONEY
    spent = now.spent - before.spent if less or more else 0.0
    return spent if (spent > 0) == more else 0.0


# Limits that give nothing alone: the pairs that may help together, and what the best of them gives.

MOST_PAIRS = 10
PAIRS_EACH = 3

Pair = tuple[Bottleneck, Bottleneck]


def best_partners(
    gains: Mapping[Bottleneck, Gain], base: Trial, more_of: Mapping[Bottleneck, Quick], executor: Executor | None
) -> dict[Bottleneck, tuple[Bottleneck, Gain]]:
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
    best: dict[Bottleneck, Pair] = {}
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
    found = (kept_more(alone, both), *changes(both.objectives, alone.objectives))
    return next((change > 0 for change in found if change), False)


def likely_pairs(gains: Mapping[Bottleneck, Gain], household: Household) -> list[Pair]:
    """
    Pairs of one limit that does not help alone with another, those that a preserve takes both of, in their order.

    First those neither of which helps alone; each pair once.
    """
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
    """The preserves to be made that take of a limit; all of them for hours and money."""
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
