"""The figures of drawn seasons, and what they mean for each target."""

from __future__ import annotations

import datetime
import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.plan import Plan
from stillroom.household.records import Household, Target
from stillroom.household.results.sums import Sums
from stillroom.household.simulation.random import mean_interval, reached_in, wilson


@dataclass(frozen=True)
class SeasonPlayed:
    """
    The figures of one drawn season.

    `filled` is how far each target is filled on the last day, in its unit; `surplus_kg` the surplus by crop, `left_kg`
    what is still fresh or frozen whole; `used_kg` went into preserves; `ran_out` the first day without a container.
    """

    number: int
    filled: Mapping[str, float]
    surplus_kg: Mapping[str, float]
    left_kg: float
    harvest_kg: float
    eaten_kg: float
    used_kg: float
    spent: float
    ran_out: Mapping[str, datetime.date]
    made: Mapping[str, float]
    evenings_lost: int
    plans: int
    audited: int


# How surely each target is met, how much is surplus and when containers run out, over many drawn seasons.

NINE_OF_TEN = 0.9
MET = 1e-6
"""A target that lacks less than this share of what is wanted is met."""


@dataclass(frozen=True)
class TargetMet:
    """
    How likely a target is met; amounts in its own unit.

    `planned` is what the first day's plan would fill. `met` of `draws` seasons fill it; the share of all seasons is
    between `share_low` and `share_high` (score interval). `nine_of_ten` is reached in 90% of the seasons, `least` in
    all drawn; `mean` is between `mean_low` and `mean_high`.
    """

    target: Target
    planned: float
    met: int
    draws: int
    share_low: float
    share_high: float
    nine_of_ten: float
    least: float
    mean: float
    mean_low: float
    mean_high: float

    @property
    def share(self) -> float:
        """The share of the seasons drawn in which the target is met."""
        return self.met / self.draws


@dataclass(frozen=True)
class Surplus:
    """The surplus of a season in kg: planned on the first day, on average, and at most in 90% of the seasons."""

    planned: float
    mean: float
    mean_low: float
    mean_high: float
    nine_of_ten: float
    most: float


@dataclass(frozen=True)
class RanOut:
    """In how many seasons a container ran out: the earliest day, and the median."""

    container: str
    seasons: int
    draws: int
    first: datetime.date
    middle: datetime.date


def targets_met(household: Household, opening: Plan, played: Sequence[SeasonPlayed]) -> tuple[TargetMet, ...]:
    """Return how likely each target is met, by importance; targets of nothing are left out."""
    planned = filled_by_plan(household, opening)
    found = []
    for target in sorted(
        (target for target in household.targets if target.wanted > 0), key=lambda target: target.importance
    ):
        amounts = [one.filled[target.name] for one in played]
        met = sum(amount >= target.wanted * (1 - MET) for amount in amounts)
        low, high = wilson(met, len(played))
        mean_low, mean_high = mean_interval(amounts)
        found.append(
            TargetMet(
                target=target,
                planned=planned[target.name],
                met=met,
                draws=len(played),
                share_low=low,
                share_high=high,
                nine_of_ten=reached_in(amounts, NINE_OF_TEN),
                least=min(amounts),
                mean=statistics.fmean(amounts),
                mean_low=mean_low,
                mean_high=mean_high,
            )
        )
    return tuple(found)


def filled_by_plan(household: Household, plan: Plan) -> dict[str, float]:
    """Return how far a plan fills each target, the shelf included, at most as wanted; in the target's unit."""
    sums = Sums(household, plan)
    there = {
        target.name: sum(
            each * (sums.good_on_shelf.get(name, 0.0) + sums.counted(name)) for name, each in target.counts.items()
        )
        for target in household.targets
    }
    return {target.name: max(0.0, min(target.wanted, there[target.name])) for target in household.targets}


def surplus_in_all(played: SeasonPlayed) -> float:
    """Return the kg of surplus in a season."""
    return sum(played.surplus_kg.values())


def surplus(opening: Plan, played: Sequence[SeasonPlayed]) -> Surplus:
    """Return the surplus over the seasons."""
    amounts = [surplus_in_all(one) for one in played]
    low, high = mean_interval(amounts)
    return Surplus(
        planned=sum(opening.surplus_kg.values()) + sum(opening.spoil_kg.values()),
        mean=statistics.fmean(amounts),
        mean_low=low,
        mean_high=high,
        nine_of_ten=-reached_in([-amount for amount in amounts], NINE_OF_TEN),
        most=max(amounts),
    )


def ran_out(played: Sequence[SeasonPlayed]) -> tuple[RanOut, ...]:
    """Return the containers that ran out in any season, the most frequent first."""
    days: dict[str, list[datetime.date]] = {}
    for one in played:
        for name, day in one.ran_out.items():
            days.setdefault(name, []).append(day)
    found = [
        RanOut(name, len(several), len(played), min(several), sorted(several)[(len(several) - 1) // 2])
        for name, several in days.items()
    ]
    return tuple(sorted(found, key=lambda one: (-one.seasons, one.middle, one.container)))


@dataclass(frozen=True)
class SeasonAsked:
    """What was asked for: how many seasons, of which seed, how unsure, and who plays them."""

    draws: int = 200
    seed: int = 1
    harvest_share: float = 0.3
    together: float = 0.5
    yield_spread: float = 0.08
    lost_evening: float = 0.1
    plan_every_days: int = 3
    workers: int | None = None
    cluster: str | None = None


@dataclass(frozen=True)
class SeasonFound:
    """
    A season played many times over.

    `opening` is the plan of the first day, `learned` the spread of a preserve's yield by its own record, `seconds` how
    long all of it took, and `workers` how many played.
    """

    asked: SeasonAsked
    household: Household
    opening: Plan
    learned: Mapping[str, float]
    played: tuple[SeasonPlayed, ...]
    targets: tuple[TargetMet, ...]
    surplus: Surplus
    ran_out: tuple[RanOut, ...]
    seconds: float
    workers: int
