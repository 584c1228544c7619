"""Intervals around a share of so many or a mean of a few, and below how many records nothing is compared."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Mapping, Sequence

LEVEL = 0.05
"""The chance that an interval misses: 95% intervals."""
Interval = tuple[float, float]

_TERMS = 200
_HALVINGS = 50


def beta_share(x: float, a: float, b: float) -> float:
    """
    Return the regularized incomplete beta function I_x(a, b), by its continued fraction.

    (NIST Digital Library of Mathematical Functions, 8.17.22; the number is from memory.)

        I_x(a, b) = x^a (1-x)^b / (a B(a, b)) * 1 / (1 + d1 / (1 + d2 / (1 + ...)))
        d(2m) = m (b-m) x / ((a+2m-1)(a+2m)),  d(2m+1) = -(a+m)(a+b+m) x / ((a+2m)(a+2m+1))

    >>> round(beta_share(0.5, 2, 2), 9), round(beta_share(0.25, 1, 3), 9), round(beta_share(0.9, 5, 1), 9)
    (0.5, 0.578125, 0.59049)
    """
    if x <= 0.0 or x >= 1.0:
        return 0.0 if x <= 0.0 else 1.0
    if x > (a + 1) / (a + b + 2):
        return 1.0 - beta_share(1.0 - x, b, a)
    fraction = 1.0
    for step in range(_TERMS, 0, -1):
        m = step // 2
        if step % 2 == 0:
            part = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        else:
            part = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        fraction = 1.0 + part / fraction
    front = a * math.log(x) + b * math.log1p(-x) + math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    return math.exp(front) / a / fraction


def rises_to(function: Callable[[float], float], value: float) -> float:
    """
    Return where between 0 and 1 a rising function reaches a value, by halving.

    >>> round(rises_to(lambda x: x * x, 0.25), 9)
    0.5
    """
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if function(middle) < value else (low, middle)
    return (low + high) / 2


def share_interval(hits: int, of: int, level: float = LEVEL) -> Interval:
    """
    Return the exact binomial interval of a share (Clopper and Pearson, Biometrika 26, 1934; cited from memory).

        least: I_p(hits, of - hits + 1) = level / 2,   most: I_p(hits + 1, of - hits) = 1 - level / 2

    >>> [round(limit, 4) for limit in share_interval(1, 10)], [round(limit, 4) for limit in share_interval(0, 10)]
    ([0.0025, 0.445], [0.0, 0.3085])
    """
    least = 0.0 if hits <= 0 else rises_to(lambda p: beta_share(p, hits, of - hits + 1), level / 2)
    most = 1.0 if hits >= of else rises_to(lambda p: beta_share(p, hits + 1, of - hits), 1 - level / 2)
    return least, most


def more_by_chance(hits: int, of: int, other_hits: int, other_of: int) -> float:
    """
    Return the chance of so many hits or more among these when all are alike: Fisher's exact test, one side.

        sum over k >= hits of C(of, k) C(other_of, all hits - k) / C(of + other_of, all hits)

    >>> round(more_by_chance(3, 4, 1, 4), 6)
    0.242857
    """
    hits_in_all = hits + other_hits
    ways = sum(math.comb(of, k) * math.comb(other_of, hits_in_all - k) for k in range(hits, min(of, hits_in_all) + 1))
    return ways / math.comb(of + other_of, hits_in_all)


def t_limit(freedom: float, level: float = LEVEL) -> float:
    """
    Return Student's t that is passed on either side with the chance `level`.

        I_x(freedom / 2, 1/2) = level,   t = sqrt(freedom (1 - x) / x)

    >>> round(t_limit(1), 3), round(t_limit(10), 3)
    (12.706, 2.228)
    """
    x = rises_to(lambda value: beta_share(value, freedom / 2, 0.5), level)
    return math.sqrt(freedom * (1 - x) / x)


def mean_interval(values: Sequence[float], level: float = LEVEL) -> Interval | None:
    """
    Return the interval of a mean by Student's t; None for fewer than three values.

        mean -+ t * deviation / sqrt(n)

    >>> [round(limit, 3) for limit in mean_interval([1.0, 2.0, 3.0])]
    [-0.484, 4.484]
    """
    if len(values) < 3:
        return None
    half = t_limit(len(values) - 1, level) * statistics.stdev(values) / math.sqrt(len(values))
    mean = statistics.fmean(values)
    return mean - half, mean + half


Samples = Mapping[str, Sequence[float]]
"""Figures above zero by what they are of: only figures of the same thing are compared."""


def ratio_interval(ones: Samples, others: Samples, level: float = LEVEL) -> tuple[float, float, float] | None:
    """
    Return how many times as large some figures are as others of the same things, with the interval's ends.

    The difference of the mean logarithms of each thing that both have, weighted by n1 n2 / (n1 + n2); one deviation
    for all, by Student's t. None without such a thing or with fewer than three figures more than means.

        log ratio = sum(w d) / sum(w),   -+ t(freedom) * deviation / sqrt(sum(w))

    >>> found = ratio_interval({"juice": [1.1, 1.2, 1.3]}, {"juice": [1.0, 1.0, 1.0]})
    >>> [round(one, 3) for one in found]
    [1.197, 1.047, 1.369]
    """
    pairs = [(logs(ones[name]), logs(others[name])) for name in ones if ones[name] and others.get(name)]
    freedom = sum(len(one) + len(other) - 2 for one, other in pairs)
    if freedom < 3:
        return None
    weights = [len(one) * len(other) / (len(one) + len(other)) for one, other in pairs]
    differences = [statistics.fmean(one) - statistics.fmean(other) for one, other in pairs]
    squares = sum((value - statistics.fmean(group)) ** 2 for pair in pairs for group in pair for value in group)
    middle = sum(weight * one for weight, one in zip(weights, differences, strict=True)) / sum(weights)
    half = t_limit(freedom, level) * math.sqrt(squares / freedom / sum(weights))
    return math.exp(middle), math.exp(middle - half), math.exp(middle + half)


def logs(values: Sequence[float]) -> list[float]:
    """Return the logarithms of figures above zero."""
    return [math.log(value) for value in values]


LEAST_DAYS_UNEATEN = 84
LEAST_DAYS_EATEN = 28
LEAST_EATING_ROWS = 20
LEAST_SESSIONS = 6
LEAST_LOTS = 6
LEAST_BAD_DAYS = 3
LEAST_YEARS = 3
TOO_LITTLE = "Too little to tell"
