"""The fresh lots of this morning: how long each keeps, what the plan takes of it, and what the plan has no use for."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.answer.sums import keeps_until
from stillroom.household.answer.units import in_crop_unit
from stillroom.household.records import FREEZE_WHOLE, THAW, Crop, Household, Lot, PlanLine, Preserve

Uses = Sequence[tuple[datetime.date, dict[str, float]]]
"""What later lines take of each crop in kg, by their day."""


@dataclass(frozen=True)
class LotToday:
    """
    A fresh lot this morning, in the crop's own unit.

    `until` is the last day it keeps; `planned` is what the plan of today takes of it, oldest lots first; `spare` what
    neither today nor a later day that it still keeps has a use for, nor the table.
    """

    crop: str
    amount: float
    unit: str
    picked_on: datetime.date
    until: datetime.date
    planned: float
    may_be_frozen: bool
    spare: float = 0.0

    def must_today(self, today: datetime.date) -> bool:
        """Whether it keeps no longer than today."""
        return self.until <= today


def wanted(line: PlanLine) -> float:
    """How much a line is for: what the plan says, or what the household fixed where no plan was made since."""
    return line.make if line.make is not None else (line.fix or 0.0)


def lots_today(settled: Household, lines: Iterable[PlanLine], later: Iterable[PlanLine]) -> Iterator[LotToday]:
    """Give the fresh lots that are there this morning, what keeps the shortest first."""
    today, last_day = settled.kitchen.first_day, last_day_of_plan(settled)
    crops = {crop.name: crop for crop in settled.crops}
    takes = taken(settled, lines)
    uses = [(line.day, taken(settled, [line])) for line in sorted(later, key=lambda line: line.day)]
    there = [lot for lot in settled.lots if lot.frozen_on is None and lot.picked_on <= today]
    for lot in sorted(there, key=lambda lot: (keeps_until(lot, crops[lot.crop]), lot.crop, lot.picked_on, lot.kg)):
        crop, until = crops[lot.crop], keeps_until(lot, crops[lot.crop])
        planned = min(max(takes[lot.crop], 0.0), lot.kg)
        takes[lot.crop] -= planned
        spare = 0.0 if until >= last_day else spare_kg(lot, crop, planned, uses, (until - today).days + 1)
        yield LotToday(
            lot.crop,
            in_crop_unit(lot.kg, crop),
            crop.unit,
            lot.picked_on,
            until,
            in_crop_unit(planned, crop),
            crop.may_be_frozen_whole,
            in_crop_unit(spare, crop),
        )


def last_day_of_plan(settled: Household) -> datetime.date:
    """The last day a plan from the first day on looks at."""
    kitchen = settled.kitchen
    return kitchen.first_day + datetime.timedelta(days=kitchen.days_planned_singly + 7 * kitchen.weeks_after_that - 1)


def taken(settled: Household, lines: Iterable[PlanLine]) -> dict[str, float]:
    """Kilograms of each crop that lines take fresh: what they make of it and freeze whole, less what they thaw."""
    preserves: Mapping[str, Preserve] = {item.name: item for item in settled.preserves}
    takes: dict[str, float] = defaultdict(float)
    for line in lines:
        if line.name.startswith(FREEZE_WHOLE):
            takes[line.name.removeprefix(FREEZE_WHOLE)] += wanted(line)
        elif line.name.startswith(THAW):
            takes[line.name.removeprefix(THAW)] -= wanted(line)
        elif line.name in preserves:
            for part in preserves[line.name].ingredients:
                if part.source == "crop":
                    takes[part.item] += part.amount_each * wanted(line)
    return takes


def spare_kg(lot: Lot, crop: Crop, planned: float, uses: Uses, days: int) -> float:
    """
    What is left of a lot when today, the table and every later line up to its last day have taken theirs.

    What a later line takes of it is taken out of `uses`, so that no other lot counts on it.
    """
    rest = max(0.0, lot.kg - planned - crop.eaten_kg_a_week * days / 7)
    for day, takes in uses:
        if day <= keeps_until(lot, crop):
            part = min(rest, max(0.0, takes.get(lot.crop, 0.0)))
            takes[lot.crop] = takes.get(lot.crop, 0.0) - part
            rest -= part
    return rest
