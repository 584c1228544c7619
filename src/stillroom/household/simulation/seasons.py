"""Seasons drawn at random, by a seed, a number and names only, and what came of them for each target."""

from __future__ import annotations

import datetime
import hashlib
import math
import random
import statistics
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from stillroom.household.journal.learning import LEAST_RECORDS, Learned
from stillroom.household.plan import Plan
from stillroom.household.records import Household, Lot, Target
from stillroom.household.results.sums import Sums

STANDARD = statistics.NormalDist()
SURE = 0.95
"""How sure an interval is: 19 times in 20."""


def uniform(seed: int, draw: int, *words: str) -> float:
    """
    Return a number strictly between 0 and 1 for these words in this draw.

    Two settings see the same season: what a lot weighs does not depend on what else is drawn.

    >>> uniform(1, 7, "lot", "plum") == uniform(1, 7, "lot", "plum")
    True
    >>> uniform(1, 7, "lot", "plum") == uniform(1, 8, "lot", "plum")
    False
    """
    text = "\n".join((str(seed), str(draw), *words))
    digits = int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big") >> 12
    return (digits + 0.5) / 2**52


def normal(seed: int, draw: int, *words: str) -> float:
    """Return a standard normal number for these words in this draw."""
    return STANDARD.inv_cdf(uniform(seed, draw, *words))


def triangular(share: float, least: float, usual: float, most: float) -> float:
    """
    Return the quantile of a triangular distribution from least to most with mode usual.

    >>> triangular(0.5, 10, 20, 30), triangular(0.02, 0, 10, 20), triangular(0.7, 5, 5, 5)
    (20.0, 2.0, 5.0)
    """
    width = most - least
    if width <= 0:
        return float(usual)
    if share * width <= usual - least:
        return least + math.sqrt(share * width * (usual - least))
    return most - math.sqrt((1 - share) * width * (most - usual))


def wilson(met: int, draws: int, sure: float = SURE) -> tuple[float, float]:
    """
    Return the score interval of a share.

    (E. B. Wilson, Probable inference, Journal of the American Statistical Association 22, 1927; from memory.)

    >>> low, high = wilson(18, 20)
    >>> round(low, 3), round(high, 3)
    (0.699, 0.972)
    """
    if draws <= 0:
        return 0.0, 1.0
    z = STANDARD.inv_cdf(0.5 + sure / 2)
    share = met / draws
    middle = (share + z * z / (2 * draws)) / (1 + z * z / draws)
    half = z / (1 + z * z / draws) * math.sqrt(share * (1 - share) / draws + z * z / (4 * draws * draws))
    return max(0.0, middle - half), min(1.0, middle + half)


def mean_interval(values: Sequence[float], seed: int = 0, sure: float = SURE, again: int = 1000) -> tuple[float, float]:
    """
    Return the bootstrap interval of a mean: percentiles of the means of resamples.

    (B. Efron, Bootstrap methods, Annals of Statistics 7, 1979; from memory.) The same values give the same interval.

    >>> low, high = mean_interval([1.0, 2.0, 3.0, 4.0] * 25)
    >>> 2.2 < low < 2.4, 2.6 < high < 2.8
    (True, True)
    """
    if not values:
        return math.nan, math.nan
    pick = random.Random(seed)
    means = sorted(statistics.fmean(pick.choices(values, k=len(values))) for _ in range(again))
    return means[int(again * (1 - sure) / 2)], means[min(again - 1, int(again * (1 + sure) / 2))]


def reached_in(values: Sequence[float], share: float) -> float:
    """
    Return the amount reached in at least this share of the draws.

    >>> reached_in([3, 1, 2, 5, 4, 6, 7, 8, 9, 10], 0.9), reached_in([3, 1, 2], 1.0)
    (2, 1)
    """
    return sorted(values)[math.floor(len(values) * (1 - share) + 1e-9)]


# One drawn season: what each expected lot weighs, how much crop a container really takes, which evenings are
# lost.

FAR = 2.5
"""A yield is never drawn further than so many times its spread from what is usual."""


@dataclass(frozen=True)
class Uncertainty:
    """
    How unsure things are. None of these figures has a source: they are stated, printed with the answer, and can be set.

    `harvest_share`: where Least or Most of an expected lot is blank it may be this share less or more than Amount.
    `together`: how far the lots of one crop are good or poor in the same season, 0 not at all, 1 wholly.
    `yield_spread`: how far the crop a container takes varies from one piece of work to the next, as a share (one
    standard deviation); a preserve with three sound records or more has the spread of its own records, in `learned`.
    `lost_evening`: the chance that nothing is done on a day that has hours of hands.
    """

    harvest_share: float = 0.3
    together: float = 0.5
    yield_spread: float = 0.08
    lost_evening: float = 0.1
    learned: Mapping[str, float] = field(default_factory=dict)


def learned_spread(lessons: Iterable[Learned]) -> dict[str, float]:
    """
    Return the spread of crop per container that the record shows, by preserve, as a share of its mean.

    >>> from stillroom.household.journal.learning import Sample
    >>> day = datetime.date(2026, 8, 14)
    >>> rows = tuple(Sample(day, kg, "") for kg in (0.9, 1.0, 1.1))
    >>> round(learned_spread([Learned("juice", "plum", 1.0, 1.0, 1.0, rows)])["juice"], 6)
    0.1
    """
    found = {}
    for one in lessons:
        values = [sample.value for sample in one.samples]
        if one.crop is not None and len(values) >= LEAST_RECORDS:
            found[one.preserve] = statistics.stdev(values) / statistics.fmean(values)
    return found


@dataclass(frozen=True)
class Draw:
    """Season number `number` of a seed; all figures depend on seed, number and names only."""

    seed: int
    number: int
    unsure: Uncertainty = field(default_factory=Uncertainty)

    def lot_kg(self, lot: Lot, place: int = 0) -> float:
        """
        Return the weight of an expected lot; `place` counts lots of one crop and day from 0.

        Triangular from Least to Most with mode Amount. The normal number behind it is partly the season's, common to
        all lots of a crop (`together`), and partly the lot's own.
        """
        if not lot.expected:
            return lot.kg
        least = lot.kg * (1 - self.unsure.harvest_share) if lot.least_kg is None else lot.least_kg
        most = lot.kg * (1 + self.unsure.harvest_share) if lot.most_kg is None else lot.most_kg
        common = normal(self.seed, self.number, "season", lot.crop)
        own = normal(self.seed, self.number, "lot", lot.crop, lot.picked_on.isoformat(), str(place))
        share = self.unsure.together
        mixed = STANDARD.cdf(math.sqrt(share) * common + math.sqrt(1 - share) * own)
        return triangular(mixed, min(least, lot.kg), lot.kg, max(most, lot.kg))

    def crop_taken(self, preserve: str, day: datetime.date) -> float:
        """Return how much crop a container takes on a day, as a share of what is planned."""
        spread = self.unsure.learned.get(preserve, self.unsure.yield_spread)
        if spread <= 0:
            return 1.0
        away = normal(self.seed, self.number, "yield", preserve, day.isoformat())
        return max(0.1, 1.0 + spread * min(FAR, max(-FAR, away)))

    def evening_lost(self, day: datetime.date) -> bool:
        """Return whether no work is done on a day."""
        return uniform(self.seed, self.number, "evening", day.isoformat()) < self.unsure.lost_evening


def lots_as_drawn(household: Household, draw: Draw) -> dict[datetime.date, list[tuple[str, float]]]:
    """Return what is picked on each day from the first day on: crop and kg of every expected lot."""
    found: dict[datetime.date, list[tuple[str, float]]] = defaultdict(list)
    counted: dict[tuple[str, datetime.date], int] = defaultdict(int)
    for lot in sorted(household.lots, key=lambda lot: (lot.crop, lot.picked_on, lot.kg)):
        if lot.frozen_on is not None or not coming(lot, household.kitchen.first_day):
            continue
        key = (lot.crop, lot.picked_on)
        found[lot.picked_on].append((lot.crop, draw.lot_kg(lot, counted[key])))
        counted[key] += 1
    return found


def coming(lot: Lot, first_day: datetime.date) -> bool:
    """Return whether a lot is still to come: expected from the first day on, or weighed under a later date."""
    return lot.frozen_on is None and (lot.picked_on > first_day or (lot.expected and lot.picked_on == first_day))


# The figures of drawn seasons, and what they mean for each target.


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
