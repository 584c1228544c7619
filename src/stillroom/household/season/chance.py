"""Chance that depends on a seed, a number and names only: the same draw wherever and in whatever order it is made."""

from __future__ import annotations

import hashlib
import math
import random
import statistics
from collections.abc import Sequence

STANDARD = statistics.NormalDist()
SURE = 0.95
"""How sure an interval is: 19 times in 20."""


def uniform(seed: int, draw: int, *words: str) -> float:
    """
    Give a number between 0 and 1 for these words in this draw; neither end is ever reached.

    Two settings that are compared see the same season: what a lot weighs does not depend on what else is asked for.

    >>> uniform(1, 7, "lot", "plum") == uniform(1, 7, "lot", "plum")
    True
    >>> uniform(1, 7, "lot", "plum") == uniform(1, 8, "lot", "plum")
    False
    """
    text = "\n".join((str(seed), str(draw), *words))
    digits = int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big") >> 12
    return (digits + 0.5) / 2**52


def normal(seed: int, draw: int, *words: str) -> float:
    """Give a standard normal number for these words in this draw."""
    return STANDARD.inv_cdf(uniform(seed, draw, *words))


def triangular(share: float, least: float, usual: float, most: float) -> float:
    """
    Give the amount that is not reached in this share of seasons: triangular, least to most, usual the likeliest.

    >>> triangular(0.5, 10, 20, 30), triangular(0.02, 0, 10, 20), triangular(0.7, 5, 5, 5)
    (20.0, 2.0, 5.0)
    """
    width = most - least
    if width <= 0:
        return float(usual)
    if share * width <= usual - least:
        return least + math.sqrt(share * width * (usual - least))
    return most - math.sqrt((1 - share) * width * (most - usual))


def triangular_share(amount: float, least: float, usual: float, most: float) -> float:
    """
    Give the share of seasons that stay below an amount; the other way round from `triangular`.

    >>> triangular_share(2.0, 0, 10, 20), triangular_share(25, 0, 10, 20)
    (0.02, 1.0)
    """
    if amount <= least:
        return 0.0
    if amount >= most:
        return 1.0
    if amount <= usual:
        return (amount - least) ** 2 / ((most - least) * (usual - least))
    return 1 - (most - amount) ** 2 / ((most - least) * (most - usual))


def wilson(met: int, draws: int, sure: float = SURE) -> tuple[float, float]:
    """
    Give the interval in which the true share lies when so many draws of all met something: the score interval.

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
    Give the interval in which the true mean lies: percentiles of the means of samples drawn from the values themselves.

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
    Give the amount that is reached in this share of the draws, or more of them.

    >>> reached_in([3, 1, 2, 5, 4, 6, 7, 8, 9, 10], 0.9), reached_in([3, 1, 2], 1.0)
    (2, 1)
    """
    return sorted(values)[math.floor(len(values) * (1 - share) + 1e-9)]
