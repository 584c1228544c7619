"""What the record teaches, crop and hours, never a process or acid; and how sure a share or a mean of it is."""

from __future__ import annotations

import datetime
import math
import statistics
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from stillroom.errors import Problem
from stillroom.household.checks import load_of
from stillroom.household.records import Household, Preserve, RecordRow
from stillroom.household.text import format_date, format_number
from stillroom.household.units import UNITS

LEAST_RECORDS = 3
TYPED_COUNTS = 1.0
"""The typed figure counts as so many records more: after ten records it still weighs one eleventh."""
FAR_OFF = 2.0
"""A record of more than twice, or less than half, of the middle one is left out and named."""


@dataclass(frozen=True)
class Sample:
    """What one piece of work says: `value` in kg of crop a container, or hours of hands against those typed."""

    day: datetime.date
    value: float
    where: str


@dataclass(frozen=True)
class Learned:
    """
    What was learned of one preserve: crop in kg a container (`crop` is its name), or minutes of hands a container.

    `own` is what the sound records say together, None with fewer than three; `used` is what is planned with, and
    `why_not` says why that is the typed figure although there are records enough.
    """

    preserve: str
    crop: str | None
    typed: float
    own: float | None
    used: float
    samples: tuple[Sample, ...] = ()
    outliers: tuple[Sample, ...] = ()
    why_not: str = ""

    @property
    def applies(self) -> bool:
        """Whether the plan uses what was learned."""
        return self.own is not None and not self.why_not


def middle(values: Sequence[float]) -> float:
    """
    The median of all averages of two records, each with itself included: steadier than the plain median.

    (Hodges and Lehmann, Annals of Mathematical Statistics 34, 1963; the citation is from memory.)

    >>> middle([3.0, 3.2, 3.4]), middle([5.0])
    (3.2, 5.0)
    """
    return statistics.median((one + other) / 2 for place, one in enumerate(values) for other in values[place:])


def sound(samples: Sequence[Sample]) -> tuple[tuple[Sample, ...], tuple[Sample, ...]]:
    """Part the records that can be meant from those that are more than twice or less than half of the median."""
    if not samples:
        return (), ()
    usual = statistics.median(sample.value for sample in samples)
    least, most = usual / FAR_OFF, usual * FAR_OFF
    near = tuple(one for one in samples if least <= one.value <= most)
    return near, tuple(one for one in samples if not least <= one.value <= most)


def drawn_to(typed: float, own: float, records: int) -> float:
    """
    What is used: the records' figure drawn toward the typed one, which counts as one record more.

        used = (records * own + typed) / (records + 1)

    >>> drawn_to(3.25, 3.65, 3)
    3.55
    """
    return (records * own + TYPED_COUNTS * typed) / (records + TYPED_COUNTS)


def learned(household: Household) -> tuple[Learned, ...]:
    """
    Give what the record says of every preserve it names, in the order of the preserves; `household` is as typed.

    Crop a container is learned from rows with *Crop used*, hands from rows with *Hands-on hours*.
    """
    rows: dict[str, list[RecordRow]] = defaultdict(list)
    for row in sorted(household.record, key=lambda row: (row.date, row.where)):
        if row.preserve is not None:
            rows[row.preserve].append(row)
    found: list[Learned] = []
    for preserve in household.preserves:
        if rows[preserve.name]:
            found += crops_learned(preserve, rows[preserve.name])
            found += hands_learned(preserve, rows[preserve.name])
    off = "" if household.kitchen.use_learned_yields else "*use learned yields* is no"
    return tuple(replace(one, used=one.typed, why_not=off) if off and one.own is not None else one for one in found)


def crops_learned(preserve: Preserve, rows: Sequence[RecordRow]) -> list[Learned]:
    """What the rows of one preserve say about each of its crops, kg a container."""
    crops = list(dict.fromkeys(line.item for line in preserve.ingredients if line.source == "crop"))
    why_not = why_a_mixture(preserve, crops)
    found = []
    for crop in crops:
        samples, outliers = sound(crop_samples(crop, rows, alone=len(crops) == 1))
        if samples or outliers:
            found.append(_learned(preserve, crop, preserve.crop_kg_each(crop), samples, outliers, why_not))
    return found


def _learned(
    preserve: Preserve, crop: str, typed: float, samples: tuple[Sample, ...], outliers: tuple[Sample, ...], why_not: str
) -> Learned:
    """Put together what was learned of a crop."""
    if len(samples) < LEAST_RECORDS:
        return Learned(preserve.name, crop, typed, None, typed, samples, outliers)
    own = middle([sample.value for sample in samples])
    used = typed if why_not else drawn_to(typed, own, len(samples))
    return Learned(preserve.name, crop, typed, own, used, samples, outliers, why_not)


def why_a_mixture(preserve: Preserve, crops: Sequence[str]) -> str:
    """Why the crop of a preserve is never changed: its parts belong together, as acid and salt do."""
    if len(crops) != 1 or any(line.source == "preserve" for line in preserve.ingredients):
        return "its parts are a mixture"
    return "its salt goes by the weight of the crop" if preserve.method == "fermented" else ""


def crop_samples(crop: str, rows: Iterable[RecordRow], *, alone: bool) -> list[Sample]:
    """
    Give kg a container for each piece of work whose crop was weighed.

    Crop that stands in rows of its own belongs to all containers of that day. `alone`: the preserve has no other crop.
    """
    days: dict[datetime.date, list[RecordRow]] = defaultdict(list)
    for row in rows:
        days[row.date].append(row)
    samples = []
    for day, several in days.items():
        weighed = [row for row in several if row.crop_used_kg and (row.crop == crop or (alone and row.crop is None))]
        jars = [row for row in several if row.made + row.failed_seals > 0]
        if any(row.made + row.failed_seals <= 0 for row in weighed):
            filled = sum(row.made + row.failed_seals for row in jars)
            if filled:
                total = sum(row.crop_used_kg or 0.0 for row in weighed)
                samples.append(Sample(day, total / filled, weighed[0].where))
            continue
        samples += [
            Sample(day, (row.crop_used_kg or 0.0) / (row.made + row.failed_seals), row.where) for row in weighed
        ]
    return samples


def hands_learned(preserve: Preserve, rows: Iterable[RecordRow]) -> list[Learned]:
    """What the rows of one preserve say about minutes of hands a container, against those typed for so many."""
    typed = hands_minutes(preserve, 1.0 * (preserve.load or preserve.smallest_batch))
    samples, values = [], []
    for row in rows:
        filled = row.made + row.failed_seals
        if row.hands_hours and filled > 0:
            expected = hands_minutes(preserve, filled)
            samples.append(Sample(row.date, row.hands_hours * 60 / (filled * (expected or 1.0)), row.where))
            values.append(expected)
    near, outliers = sound(samples)
    if not samples:
        return []
    scale = typed or 1.0
    said = tuple(replace(one, value=one.value * scale) for one in near)
    far = tuple(replace(one, value=one.value * scale) for one in outliers)
    if len(near) < LEAST_RECORDS:
        return [Learned(preserve.name, None, typed, None, typed, said, far)]
    own = middle([one.value for one in said])
    used = drawn_to(typed, own, len(said)) if typed else own
    return [Learned(preserve.name, None, typed, own, used, said, far)]


def hands_minutes(preserve: Preserve, filled: float) -> float:
    """
    Minutes of hands a container as typed, when so many are filled; loads are whole.

    >>> juice = Preserve("juice", "frozen", "jar", hands_minutes_each=6, hands_minutes_load=35, load=7)
    >>> hands_minutes(juice, 7), hands_minutes(juice, 14)
    (11.0, 11.0)
    """
    sets = math.ceil(filled / preserve.load - 1e-9) if preserve.load else filled / preserve.smallest_batch
    return preserve.hands_minutes_each + preserve.hands_minutes_load * sets / filled


def with_learned(household: Household, found: Iterable[Learned]) -> Household:
    """
    Give the household with what was learned in place of what was typed; loads by weight are counted anew.

    Only crop a container and minutes of hands change. It is for planning: what the handbook is asked about, and what
    the record takes off stocks, stays as typed.
    """
    of: dict[str, list[Learned]] = defaultdict(list)
    for one in found:
        if one.applies:
            of[one.preserve].append(one)
    return replace(household, preserves=tuple(_taught(item, of[item.name], household) for item in household.preserves))


def _taught(preserve: Preserve, found: Iterable[Learned], household: Household) -> Preserve:
    """Give one preserve with what was learned of it."""
    for one in found:
        if one.crop is None:
            share = one.used / one.typed if one.typed else None
            each = preserve.hands_minutes_each * share if share is not None else one.used
            of_load = preserve.hands_minutes_load * (share or 0.0)
            preserve = replace(preserve, hands_minutes_each=each, hands_minutes_load=of_load)
        elif one.typed > 0:
            lines = tuple(
                replace(line, amount_each=line.amount_each * one.used / one.typed)
                if line.source == "crop" and line.item == one.crop
                else line
                for line in preserve.ingredients
            )
            preserve = replace(preserve, ingredients=lines)
            load = load_of(preserve, household)[0]
            preserve = preserve if load is None else replace(preserve, load=load)
    return preserve


def learned_problems(household: Household, found: Iterable[Learned]) -> tuple[Problem, ...]:
    """Say what the plan uses of it, and which records were left out."""
    problems = []
    for one in found:
        where = household.preserve(one.preserve).where
        for far in one.outliers:
            names = (one.preserve, format_date(far.day), yield_figure(household, one, far.value))
            problems.append(Problem(far.where, "learned outlier", names))
        if one.applies and abs(one.used - one.typed) > 0.01 * one.typed:
            figures = (yield_figure(household, one, value) for value in (one.used, one.typed))
            problems.append(Problem(where, "learned", (one.preserve, *figures, str(len(one.samples)))))
    return tuple(problems)


def yield_figure(household: Household, one: Learned, value: float) -> str:
    """Say a learned figure: weight of a crop in its own unit, or minutes of hands, for one container."""
    container = household.preserve(one.preserve).container
    if one.crop is None:
        return f"{format_number(round(value, 1))} min of hands a {container}"
    unit = household.crop(one.crop).unit
    return f"{format_number(round(value / UNITS[unit].factor, 2))} {unit} of {one.crop} a {container}"


# Intervals around a share of so many or a mean of a few, and below how many records nothing is compared.

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
