"""What a season taught: targets, crops, preserves, equipment, years, weeks; its rows, in the units of the household."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.errors import Problem
from stillroom.household.records import Crop, Household
from stillroom.household.results.bottlenecks import Past, SeasonBottleneck, season_bottlenecks
from stillroom.household.results.review.crops import (
    CropReview,
    WeekReview,
    WorkReview,
    YearReview,
    crop_reviews,
    equipment_reviews,
    preserve_reviews,
    week_reviews,
    year_reviews,
)
from stillroom.household.results.review.targets import YEAR_DAYS, TargetReview, target_reviews
from stillroom.household.results.rows import Row, cell_number, crop_unit_kg, in_crop_unit
from stillroom.household.results.winter import none_or
from stillroom.household.text import format_date_and_year, format_list
from stillroom.household.units import UNITS

__all__ = [
    "CropReview",
    "Review",
    "TargetReview",
    "WeekReview",
    "WorkReview",
    "YearReview",
    "finished_in",
    "finished_unit",
    "review",
    "review_tables",
]


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


def review_tables(found: Review, typed: Household) -> dict[str, list[Row]]:
    """Return the rows of the tables, by table; the months and weeks are too long for the sheet Review."""
    return {
        "Review targets": [target_row(one) for one in found.targets],
        "Review crops": [crop_row(one) for one in found.crops],
        "Review preserves": [preserve_row(one, typed) for one in found.preserves],
        "Review equipment": [
            {"Equipment": one.name} | seals_row(one) | {"Verdict": one.words} for one in found.equipment
        ],
        "Review years": [year_row(one) for one in found.years],
        "Review bottlenecks": [bottleneck_row(one) for one in found.bottlenecks],
        "Review months": [
            {"Target": one.target, "Month": month, "Eaten": cell_number(amount), "Unit": one.unit or None}
            for one in found.targets
            for month, amount in one.months.items()
        ],
        "Review weeks": [week_row(one) for one in found.weeks],
    }


def target_row(one: TargetReview) -> Row:
    """Return the row of a target."""
    least, most = one.a_month_between or (None, None)
    return {
        "Target": one.target,
        "Unit": one.unit or None,
        "Wanted": cell_number(one.wanted),
        "Put up": cell_number(one.put_up),
        "Eaten": cell_number(one.eaten),
        "Given away": cell_number(one.given),
        "Spoiled": cell_number(one.spoiled),
        "On hand": cell_number(one.on_hand),
        "A month": none_or(one.a_month),
        "Least": none_or(least),
        "Most": none_or(most),
        "Runs out": one.runs_out,
        "Left": none_or(one.left),
        "Goes out of date": cell_number(one.late) if one.late else None,
        "Next year": cell_number(one.next_wanted),
        "Why": one.why,
    }


def finished_unit(crop: Crop) -> str:
    """
    Return the unit of what is finished of a crop by its weight.

    >>> finished_unit(Crop("plum", 5)), finished_unit(Crop("plum", 5, unit="kg"))
    ('qt a lb', 'L a kg')
    """
    return "L a kg" if crop.unit in ("kg", "g") else "qt a lb"


def finished_in(crop: Crop, liters_a_kg: float) -> float:
    """
    Convert finished liters a kg to that unit.

    >>> round(finished_in(Crop("plum", 5), 1.0), 4)
    0.4793
    """
    if finished_unit(crop) == "L a kg":
        return liters_a_kg
    return liters_a_kg * UNITS["lb"].factor / UNITS["quart"].factor


def crop_row(one: CropReview) -> Row:
    """Return the row of a crop."""
    least, most = one.ratio_between or (None, None)
    return {
        "Crop": one.crop.name,
        "Years": one.years,
        "Weighed": cell_number(in_crop_unit(one.weighed_kg, one.crop)),
        "Unit": one.crop.unit,
        "Finished": None if one.finished is None else cell_number(finished_in(one.crop, one.finished)),
        "Finished unit": finished_unit(one.crop),
        "Minutes a jar": none_or(one.minutes),
        "Lost": cell_number(one.lost),
        "Surplus": cell_number(one.surplus),
        "Sessions": one.sessions,
        "Times others": none_or(one.ratio),
        "Least": none_or(least),
        "Most": none_or(most),
        "Verdict": one.words or None,
    }


def seals_row(one: WorkReview) -> Row:
    """Return what a row has of sessions and failed seals."""
    least, most = one.between or (None, None)
    return {
        "Sessions": one.sessions,
        "Filled": cell_number(one.filled),
        "Failed seals": cell_number(one.failed),
        "Share": cell_number(one.failed / one.filled) if one.filled else None,
        "Least": none_or(least),
        "Most": none_or(most),
        "Days": format_list(map(format_date_and_year, one.bad_days), between="; ") or None,
    }


def preserve_row(one: WorkReview, typed: Household) -> Row:
    """Return the row of a preserve."""
    crop = typed.crop(one.crop) if one.crop else None
    kg = (one.each_own, one.each_typed, one.each_published)
    each = [None if crop is None or value is None else value / crop_unit_kg(crop) for value in kg]
    return {
        "Preserve": one.name,
        **seals_row(one),
        "A session": cell_number(one.filled / one.sessions),
        "Crop": one.crop,
        "Used each": none_or(each[0]),
        "Planned each": none_or(each[1]),
        "Handbook each": none_or(each[2]),
        "Unit": crop.unit if crop else None,
        "Hours": none_or(one.hours),
        "Planned hours": none_or(one.hours_typed),
    }


def year_row(one: YearReview) -> Row:
    """Return the row of a year."""
    each = one.containers or None
    return {
        "Year": one.year,
        "Containers": cell_number(one.containers),
        "Spent": cell_number(one.spent),
        "Store value": cell_number(one.worth),
        "Spent each": None if each is None else cell_number(one.spent / each),
        "Worth each": None if each is None else cell_number(one.worth / each),
        "Hours": cell_number(one.hours),
        "Hours each": cell_number(one.hours / one.containers_with_hours) if one.containers_with_hours else None,
    }


def bottleneck_row(one: SeasonBottleneck) -> Row:
    """Return the row of what was a bottleneck."""
    return {
        "Bottleneck": one.name,
        "Plans": one.plans,
        "Of plans": one.of,
        "Containers": none_or(one.containers),
        "One more": one.one_more or None,
        "Would give": none_or(one.gain),
    }


def week_row(one: WeekReview) -> Row:
    """Return the row of a week."""
    row: Row = {"Crop": one.crop.name, "Week": one.week, "Unit": one.crop.unit, "Years": one.years}
    kg = {"Expected": one.expected, "Weighed": one.weighed, "Least": one.least, "Usual": one.usual, "Most": one.most}
    for name, value in kg.items():
        row[name] = None if value is None else cell_number(in_crop_unit(value, one.crop))
    return row
