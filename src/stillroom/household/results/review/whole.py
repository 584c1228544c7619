"""The whole review of a workbook, up to a day."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.errors import Problem
from stillroom.household.records import Household
from stillroom.household.results.past_bottlenecks import Past, SeasonBottleneck, season_bottlenecks
from stillroom.household.results.review.crops import CropReview, crop_reviews
from stillroom.household.results.review.targets import YEAR_DAYS, TargetReview, target_reviews
from stillroom.household.results.review.work import WorkReview, equipment_reviews, preserve_reviews
from stillroom.household.results.review.years import WeekReview, YearReview, week_reviews, year_reviews


@dataclass(frozen=True)
class Review:
    """
    All of it, up to a day; `first` is the first day that the workbook tells of, None without records.

    `problems` are those of the earlier years.
    """

    day: datetime.date
    first: datetime.date | None
    records: int
    targets: tuple[TargetReview, ...]
    crops: tuple[CropReview, ...]
    preserves: tuple[WorkReview, ...]
    equipment: tuple[WorkReview, ...]
    years: tuple[YearReview, ...]
    weeks: tuple[WeekReview, ...]
    bottlenecks: tuple[SeasonBottleneck, ...] = ()
    problems: tuple[Problem, ...] = ()


def review(
    typed: Household,
    settled: Household,
    food_of: Mapping[str, str],
    published: Mapping[str, float],
    past: Sequence[Past] = (),
) -> Review:
    """
    Review all that the workbook holds up to its first day.

    `typed` has the record, `settled` the shelf as it is now; `food_of` names the food of each crop, so that crops of
    one food are compared; `published` has the kg of crop a container of each preserve that a table gives, `past` the
    bottlenecks of the plans so far, of which the last year counts.
    """
    today = typed.kitchen.first_day
    year_ago = today - datetime.timedelta(days=YEAR_DAYS)
    days = [row.date for row in typed.record] + [lot.picked_on for lot in typed.lots if not lot.expected]
    return Review(
        day=today,
        first=min(days, default=None),
        records=len(typed.record),
        targets=tuple(target_reviews(typed, settled)),
        crops=tuple(crop_reviews(typed, food_of)),
        preserves=tuple(preserve_reviews(typed, published)),
        equipment=tuple(equipment_reviews(typed)),
        years=tuple(year_reviews(typed, settled)),
        weeks=tuple(week_reviews(typed)),
        bottlenecks=season_bottlenecks(past, year_ago, today),
    )
