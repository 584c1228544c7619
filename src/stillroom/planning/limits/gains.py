"""What a quick plan gains or loses against another one, need by need."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from stillroom.household.records import Household
from stillroom.planning.limits.replan import WORTH_SAYING_KG, Quick, gained, margin

SMALLEST, SMALLEST_SHARE = 0.05, 0.005
"""A need's change below either, in its unit and as a share of wanted, is what aims may give up, and not said."""


@dataclass(frozen=True)
class Gain:
    """
    The difference between two quick plans.

    `points` are the needs aims, importance by importance: what is surely gained (above 0) or lost. `needs` is the
    change of each need in its own unit; `less_fed_kg` the crop that is fed less; `spent` what is bought for more.
    `proved` is False where a need aim of the new plan was not proved to be the most.
    """

    points: tuple[float, ...]
    needs: Mapping[str, float] = field(default_factory=dict)
    less_fed_kg: float = 0.0
    spent: float = 0.0
    proved: bool = True

    @property
    def helps(self) -> bool:
        """Whether the winter list gains: the first importance that changes at all changes for the better."""
        return next((change > 0 for change in self.points if change), False)

    @property
    def hurts(self) -> bool:
        """Whether the winter list loses."""
        return next((change < 0 for change in self.points if change), False)

    @property
    def nothing(self) -> bool:
        """Whether neither the list nor the crop fed gains or loses."""
        return not any(self.points) and self.less_fed_kg == 0.0

    def rank(self) -> tuple[float, ...]:
        """What gains are ordered by, the greatest first: the list by importance, then crop fed less."""
        return (*self.points, self.less_fed_kg)


def gain_of(household: Household, before: Quick, now: Quick) -> Gain:
    """
    What `now` has over `before`; only what is proved counts as gained or lost.

    The change of each need is given where the list as a whole surely changes; otherwise it is one way among equals.
    """
    changes: list[float] = []
    for place, was in enumerate(before.aims):
        if was.name.startswith("needs"):
            found, unsure = now.aims[place], margin(before.aims[:place])
            surely = gained(found, was, unsure) or gained(was, found, unsure)
            changes.append(found.value - was.value if surely else 0.0)
    needs = {}
    if any(changes):
        for need in household.needs:
            change = now.filled[need.name] - before.filled[need.name]
            if abs(change) > max(SMALLEST, SMALLEST_SHARE * need.wanted):
                needs[need.name] = change
    fed = 0.0
    if now.fed is not None and before.fed is not None:
        better = now.fed.value < before.fed.bound - WORTH_SAYING_KG
        worse = now.fed.bound > before.fed.value + WORTH_SAYING_KG
        fed = before.fed_kg - now.fed_kg if better or worse else 0.0
        fed = fed if (fed > 0) == better else 0.0
    return Gain(tuple(changes), needs, fed, now.spent - before.spent, now.proved)
