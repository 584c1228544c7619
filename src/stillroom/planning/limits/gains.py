"""What a quick plan gains or loses against another one, need by need."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from stillroom.household.records import Household
from stillroom.planning.limits.quick import WORTH_SAYING_KG, WORTH_SAYING_MONEY, Quick, changes

SMALLEST, SMALLEST_SHARE = 0.05, 0.005
"""A need's change below either, in its unit and as a share of wanted, is what aims may give up, and not said."""

AN_EIGHTH, OF_FIFTY = 0.125, 0.02
"""Nor is an eighth of a unit said of a need, where that is less than one fiftieth of what is wanted."""


@dataclass(frozen=True)
class Gain:
    """
    The difference between two quick plans.

    `points` are the needs aims, importance by importance: what is surely gained (above 0) or lost. `needs` is the
    change of each need in its own unit, `containers` how many more are made of what counts toward it; `less_fed_kg` the
    crop that is fed less; `spent` what is bought for more (both 0 where only the needs were asked for).
    `kept_fixed` is what more of fixed lines is kept, which goes before the list: then the list may lose.
    `proved` is False where a need aim of the new plan was not proved to be the most.
    """

    points: tuple[float, ...]
    needs: Mapping[str, float] = field(default_factory=dict)
    containers: Mapping[str, float] = field(default_factory=dict)
    less_fed_kg: float = 0.0
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
        return not any((self.kept_fixed, *self.points)) and self.less_fed_kg == 0.0 and self.spent == 0.0

    def rank(self) -> tuple[float, ...]:
        """What gains are ordered by, the greatest first: the list by importance, then crop fed less, then money."""
        return (self.kept_fixed, *self.points, self.less_fed_kg, -self.spent)


def gain_of(household: Household, before: Quick, now: Quick) -> Gain:
    """
    What `now` has over `before`; only what is proved counts as gained or lost.

    The change of each need is given where the list as a whole surely changes; otherwise it is one way among equals.
    """
    points = changes(now.aims, before.aims)
    needs = {}
    if any(points):
        for need in household.needs:
            change = now.filled[need.name] - before.filled[need.name]
            if abs(change) > least_said(need.wanted):
                needs[need.name] = change
    containers = {
        need.name: sum(now.made.get(name, 0.0) - before.made.get(name, 0.0) for name in need.counts)
        for need in household.needs
        if need.name in needs
    }
    fed, spent, kept = less_fed(before, now), more_spent(before, now), kept_more(before, now)
    spent = spent if kept or any(points) else min(0.0, spent)
    return Gain(points, needs, containers, fed, spent, now.proved, kept)


def kept_more(before: Quick, now: Quick) -> float:
    """How much more of fixed lines is kept, in containers (below nothing: less); 0 for crumbs."""
    short = [sum(aim.value for aim in quick.aims if aim.kind == "fixed") for quick in (before, now)]
    return short[0] - short[1] if abs(short[0] - short[1]) > SMALLEST else 0.0


def least_said(wanted: float) -> float:
    """
    The change of a need that is worth saying, in its unit.

    >>> [round(least_said(wanted), 3) for wanted in (2, 5, 20, 100)]
    [0.05, 0.1, 0.125, 0.5]
    """
    return max(SMALLEST, SMALLEST_SHARE * wanted, min(AN_EIGHTH, OF_FIFTY * wanted))


def less_fed(before: Quick, now: Quick) -> float:
    """Kilograms that are surely fed less (below nothing: more); 0 when that is not sure or was not asked."""
    if now.fed is None or before.fed is None:
        return 0.0
    better = now.fed.value < before.fed.bound - WORTH_SAYING_KG
    worse = now.fed.bound > before.fed.value + WORTH_SAYING_KG
    fed = before.fed_kg - now.fed_kg if better or worse else 0.0
    return fed if (fed > 0) == better else 0.0


def more_spent(before: Quick, now: Quick) -> float:
    """Money that is surely spent for more (below nothing: saved); 0 when that is not sure or was not asked."""
    if now.money is None or before.money is None:
        return 0.0
    less = now.money.value < before.money.bound - WORTH_SAYING_MONEY
    more = now.money.bound > before.money.value + WORTH_SAYING_MONEY
    spent = now.spent - before.spent if less or more else 0.0
    return spent if (spent > 0) == more else 0.0
