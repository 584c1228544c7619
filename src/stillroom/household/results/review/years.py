"""Containers, money and hours of each year, and the weeks of each crop."""

from __future__ import annotations

import datetime
import statistics
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace

from stillroom.household.journal.overview import tally
from stillroom.household.records import Crop, Household
from stillroom.household.results.review.limits import LEAST_YEARS


@dataclass(frozen=True)
class YearReview:
    """One calendar year: containers put up, money spent, what they would cost at the store, hours written down."""

    year: int
    containers: float
    spent: float
    worth: float
    hours: float
    containers_with_hours: float


@dataclass(frozen=True)
class WeekReview:
    """A crop in one week of its last year, in kg: expected and not weighed, weighed; least and most over the years."""

    crop: Crop
    week: datetime.date
    expected: float
    weighed: float
    years: int
    least: float | None
    usual: float | None
    most: float | None


def year_reviews(typed: Household, settled: Household) -> Iterable[YearReview]:
    """Review each calendar year of the record, the money at the prices typed now."""
    for year in sorted({row.date.year for row in typed.record}):
        rows = tuple(row for row in typed.record if row.date.year == year)
        sums = tally(replace(typed, record=rows, plan_lines=()), settled)
        yield YearReview(
            year=year,
            containers=sum(sums.containers.values()),
            spent=sums.spent,
            worth=sums.shop,
            hours=sums.hours,
            containers_with_hours=sum(row.made for row in rows if row.hands_hours),
        )


def week_reviews(typed: Household) -> Iterable[WeekReview]:
    """Review each week of each crop's last year, beside the same calendar week of all years in which it was weighed."""
    today = typed.kitchen.first_day
    for crop in typed.crops:
        weighed: dict[tuple[int, int], float] = defaultdict(float)
        expected: dict[tuple[int, int], float] = defaultdict(float)
        for lot in typed.lots:
            if lot.crop == crop.name and lot.picked_on + datetime.timedelta(days=int(lot.expected)) <= today:
                (expected if lot.expected else weighed)[lot.picked_on.isocalendar()[:2]] += lot.kg
        years = {year for year, _ in weighed}
        last = max((year for year, _ in (*weighed, *expected)), default=0)
        for year, week in sorted({*weighed, *expected}):
            if year == last:
                past = [weighed.get((one, week), 0.0) for one in years]
                enough = len(past) >= LEAST_YEARS
                yield WeekReview(
                    crop=crop,
                    week=datetime.date.fromisocalendar(year, week, 1),
                    expected=expected.get((year, week), 0.0),
                    weighed=weighed.get((year, week), 0.0),
                    years=len(past),
                    least=min(past) if enough else None,
                    usual=statistics.median(past) if enough else None,
                    most=max(past) if enough else None,
                )
