"""What the record teaches: crop a container and hours of hands, never minutes of a process and never acid."""

from __future__ import annotations

import datetime
import math
import statistics
from collections import defaultdict
from collections.abc import Iterable, Sequence
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
