"""What to eat first: jars by their best-by day, what there is too much of, and what would empty the freezer."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass

from stillroom.household.answer.units import in_crop_unit
from stillroom.household.records import Household, Preserve
from stillroom.household.season_so_far import list_done

SOON_DAYS = 120


@dataclass(frozen=True)
class EatFirst:
    """So many of a preserve, good until a day; `days_left` below zero: that day is over."""

    preserve: str
    count: float
    best_by: datetime.date
    days_left: int


@dataclass(frozen=True)
class FreezerThing:
    """
    Something that could leave the freezer, and the litres that gives.

    `amount` is in `unit`: containers, or the crop's own unit. `until` is its best-by or due day, None when unknown. A
    crop frozen whole can also be cooked and canned now: `cook_into` names what may be made of it.
    """

    name: str
    amount: float
    unit: str
    litres: float
    until: datetime.date | None
    cook_into: tuple[str, ...] = ()


def eat_first(settled: Household, within_days: int = SOON_DAYS) -> tuple[EatFirst, ...]:
    """Give what is best eaten first, soonest first; `settled` has the record taken off and best-by days filled in."""
    first_day = settled.kitchen.first_day
    found = [
        EatFirst(row.preserve, row.count, row.best_by, (row.best_by - first_day).days)
        for row in settled.shelf
        if row.best_by is not None and (row.best_by - first_day).days <= within_days
    ]
    return tuple(sorted(found, key=lambda one: (one.best_by, one.preserve)))


def over(settled: Household) -> dict[str, float]:
    """
    Give for each need how much more stands on the shelf than is wanted: what will be over in spring.

    >>> import datetime
    >>> from stillroom.household.records import Kitchen, Need, ShelfRow
    >>> jam = Need("jam", 6, 6, counts={"plum jam": 1.0})
    >>> over(Household(Kitchen(datetime.date(2026, 8, 14)), shelf=(ShelfRow("plum jam", 9),), needs=(jam,)))
    {'jam': 3.0}
    """
    return {name: there - wanted for name, (there, wanted) in list_done(settled).items() if there > wanted + 1e-9}


def freezer_things(settled: Household) -> tuple[FreezerThing, ...]:
    """Give what lies in the freezer, what has to go soonest first."""
    kept = {item.name: item for item in settled.preserves if item.kept_in == "freezer"}
    found = [
        FreezerThing(
            row.preserve,
            row.count,
            kept[row.preserve].container,
            row.count * kept[row.preserve].space_litres_each,
            row.best_by,
        )
        for row in settled.shelf
        if row.preserve in kept
    ]
    wanted = [item for item in settled.preserves if item.make]
    frozen = {lot.crop for lot in settled.lots if lot.frozen_on is not None}
    crops = {crop.name: crop for crop in settled.crops if crop.name in frozen}
    into = {crop: tuple(item.name for item in wanted if takes_frozen(item, crop)) for crop in crops}
    for lot in settled.lots:
        if lot.frozen_on is not None:
            crop = crops[lot.crop]
            due = lot.frozen_on + datetime.timedelta(days=math.floor(7 * crop.frozen_keeps_weeks))
            litres = lot.kg * crop.freezer_litres_per_kg
            found.append(FreezerThing(crop.name, in_crop_unit(lot.kg, crop), crop.unit, litres, due, into[crop.name]))
    return tuple(sorted(found, key=lambda one: (one.until or datetime.date.max, one.name, one.amount)))


def takes_frozen(item: Preserve, crop: str) -> bool:
    """Whether a preserve is put up outside the freezer and may be made of a crop that was frozen whole."""
    return item.kept_in != "freezer" and any(
        line.source == "crop" and line.item == crop and line.from_frozen for line in item.ingredients
    )
