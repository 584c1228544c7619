"""What came of one drawn season, in plain figures."""

from __future__ import annotations

import datetime
import statistics
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.plan import Plan
from stillroom.household.records import Household, Target
from stillroom.household.results.sums import Sums
from stillroom.household.simulation.random import mean_interval, reached_in, wilson


@dataclass(frozen=True)
class SeasonPlayed:
    """
    What came of one drawn season, in plain figures.

    `filled` is how far each need is filled on the last day, in its unit; `surplus_kg` what was fed by crop, `left_kg`
    what then still lay fresh or frozen whole; `used_kg` went into preserves. `ran_out` is the first day after which
    there was no more of a container.
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


# How surely each need is met, how much is fed and when containers run out, over many drawn seasons.

NINE_OF_TEN = 0.9
MET = 1e-6
"""A need that lacks less than this share of what is wanted is met."""


@dataclass(frozen=True)
class TargetMet:
    """
    How surely one need is met; amounts in the need's own unit.

    `planned` is what the plan of the first day would fill. `met` counts the seasons in which all that is wanted is
    there; the share of all seasons lies between `share_low` and `share_high` (score interval). `nine_of_ten` is
    reached in nine seasons of ten, `least` in all that were drawn; `mean` lies between `mean_low` and `mean_high`.
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
        """The share of the seasons drawn in which the need is met."""
        return self.met / self.draws


@dataclass(frozen=True)
class Surplus:
    """What is fed in a season, kg: by the plan of the first day, on average, and at most in nine seasons of ten."""

    planned: float
    mean: float
    mean_low: float
    mean_high: float
    nine_of_ten: float
    most: float


@dataclass(frozen=True)
class RanOut:
    """In how many seasons a container ran out: the first day of all on which it did, and the middle one."""

    container: str
    seasons: int
    draws: int
    first: datetime.date
    middle: datetime.date


def targets_met(household: Household, opening: Plan, played: Sequence[SeasonPlayed]) -> tuple[TargetMet, ...]:
    """Give how surely each need is met, in the order of importance and of the winter list; ones of nothing left out."""
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
    """How far a plan fills each need, what is good on the shelf included, at most as wanted; in the need's unit."""
    sums = Sums(household, plan)
    there = {
        target.name: sum(
            each * (sums.good_on_shelf.get(name, 0.0) + sums.net_made(name)) for name, each in target.counts.items()
        )
        for target in household.targets
    }
    return {target.name: max(0.0, min(target.wanted, there[target.name])) for target in household.targets}


def surplus_in_all(played: SeasonPlayed) -> float:
    """Kilograms fed in a season."""
    return sum(played.surplus_kg.values())


def surplus(opening: Plan, played: Sequence[SeasonPlayed]) -> Surplus:
    """Give what is fed over the seasons."""
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
    """Give the containers that ran out in any season, the one that does so most often first."""
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
class Difference:
    """How much more one way has than another over the same seasons: on average, and between which figures surely."""

    mean: float
    low: float
    high: float


def difference(
    one: Sequence[SeasonPlayed], other: Sequence[SeasonPlayed], figure: Callable[[SeasonPlayed], float]
) -> Difference:
    """
    Compare two ways of planning season by season: both must have met the same draws.

    Since the chance of a season is common to both, most of it falls out of the difference. Raises ValueError when the
    draws are not the same ones.
    """
    if [played.number for played in one] != [played.number for played in other]:
        msg = "two ways can be compared only over the same seasons"
        raise ValueError(msg)
    gaps = [figure(first) - figure(second) for first, second in zip(one, other, strict=True)]
    low, high = mean_interval(gaps)
    return Difference(statistics.fmean(gaps), low, high)


def share_of_list(household: Household, importance: int) -> Callable[[SeasonPlayed], float]:
    """Give a figure of a season: how far the needs of one importance are filled, as a share, by their weights."""
    targets = [target for target in household.targets if target.importance == importance and target.wanted > 0]
    weights = sum(target.weight for target in targets) or 1.0

    def share(played: SeasonPlayed) -> float:
        return sum(target.weight * played.filled[target.name] / target.wanted for target in targets) / weights

    return share


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
