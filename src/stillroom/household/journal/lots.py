"""What is left of the lots on the first day: the record taken off oldest first, spoilt ones left out."""

from __future__ import annotations

import datetime
import math
from bisect import bisect_left, bisect_right, insort
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from stillroom.errors import Problem
from stillroom.household.journal.events import FROZEN, LOST_OF, MADE, SURPLUS_TO, THAWED, Event
from stillroom.household.records import FREEZE_WHOLE, THAW, Crop, Household, Lot, PlanLine, Preserve
from stillroom.household.results.rows import in_crop_unit
from stillroom.household.results.sums import keeps_until
from stillroom.household.text import format_count, format_date, format_number
from stillroom.household.units import UNITS

_NOTHING_KG = 1e-6
_ROUNDING_KG, _ROUNDING_SHARE = 0.23, 0.1
"""So much (half a pound) and such a share more than there was is the rounding of a weight that was shown or weighed."""


class Bins:
    """
    The lots of one household while the record is taken off them, oldest first.

    Events come in the order of their days; a lot that is used up goes, so each is looked at while there is some of it.
    """

    def __init__(self, household: Household) -> None:
        """Begin with everything that was weighed; what is only expected is no part of it."""
        self.preserves = {preserve.name: preserve for preserve in household.preserves}
        self.days_after_picking = {crop.name: crop.days_after_picking for crop in household.crops}
        self.fresh: dict[str, list[Lot]] = defaultdict(list)
        self.frozen: dict[str, list[Lot]] = defaultdict(list)
        self.thawed_kg: dict[str, float] = defaultdict(float)
        self.short: dict[str, tuple[float, Event]] = {}
        for lot in sorted(household.lots, key=_age):
            if not lot.expected:
                (self.fresh if lot.frozen_on is None else self.frozen)[lot.crop].append(lot)

    def take(self, lots: list[Lot], kg: float, event: Event, crop: str) -> None:
        """
        Take a weight from the oldest lots there are on a day; what is missing beyond rounding is remembered.

        Fresh lots past their keeping days on that day are taken from only when the sound ones do not give enough; but
        what spoiled is theirs first.
        """
        rounding = max(_NOTHING_KG, min(_ROUNDING_KG, _ROUNDING_SHARE * kg))
        there = bisect_right(lots, event.day, key=_there_from)
        sound = bisect_left(lots, True, hi=there, key=lambda lot: not self._is_old(lot, event.day))
        if event.kind == LOST_OF:
            sound = 0
        kg = _take(lots, sound, there, kg)
        if kg > _NOTHING_KG:
            kg = _take(lots, 0, sound, kg)
        if kg > rounding:
            before, first = self.short.get(crop, (0.0, event))
            self.short[crop] = (before + kg, first)

    def _is_old(self, lot: Lot, day: datetime.date) -> bool:
        """Whether a fresh lot is past its keeping days on a day."""
        most = self.days_after_picking.get(lot.crop, math.inf)
        return lot.frozen_on is None and (day - lot.picked_on).days > most

    def happen(self, event: Event) -> None:
        """Take one event off the lots."""
        for crop, kg in sorted(event.crops_kg.items()):
            if event.kind == THAWED:
                self.take(self.frozen[crop], kg, event, crop)
                self.thawed_kg[crop] += kg
                continue
            if event.kind == MADE and self._may_be_thawed(event, crop):
                cooked = min(self.thawed_kg[crop], kg)
                self.thawed_kg[crop] -= cooked
                kg -= cooked
            if event.kind in (SURPLUS_TO, LOST_OF):
                there = kg_of(lot for lot in self.fresh[crop] if lot.picked_on <= event.day)
                if kg > there and self.frozen[crop]:
                    self.take(self.frozen[crop], kg - there, event, crop)
                    kg = there
            self.take(self.fresh[crop], kg, event, crop)
            if event.kind == FROZEN:
                insort(self.frozen[crop], Lot(crop, event.day, kg, frozen_on=event.day, where=event.where), key=_age)

    def _may_be_thawed(self, event: Event, crop: str) -> bool:
        """Whether the preserve that was made may take this crop from frozen."""
        lines = self.preserves[event.name].ingredients
        return any(line.source == "crop" and line.item == crop and line.from_frozen for line in lines)


def _there_from(lot: Lot) -> datetime.date:
    """Since when a lot lies where it is."""
    return lot.frozen_on or lot.picked_on


def _age(lot: Lot) -> tuple[datetime.date, datetime.date, float, str]:
    """The order in which lots are taken."""
    return _there_from(lot), lot.picked_on, lot.kg, lot.where


def _take(lots: list[Lot], start: int, stop: int, kg: float) -> float:
    """Take a weight from the lots from one place to another in order, give what is missing; used-up lots go."""
    place = start
    while place < stop:
        lot = lots[place]
        taken = min(lot.kg, kg)
        kg -= taken
        if taken < lot.kg:
            lots[place] = replace(lot, kg=lot.kg - taken)
        else:
            place += 1
        if kg <= _NOTHING_KG:
            break
    del lots[start:place]
    return kg


def kg_of(lots: Iterable[Lot]) -> float:
    """Add up the weight of lots."""
    return sum(lot.kg for lot in lots)


def left_of_lots(household: Household, happened: Iterable[Event]) -> tuple[tuple[Lot, ...], tuple[Problem, ...]]:
    """
    Give what is left of the lots on the first day, in the order of crop and date, with what has to be said.

    A lot counts from the day it was picked. Thawed crop is cooked first by the preserves that may take it. A fresh
    lot past its keeping days is left out; so is an expected one whose day has gone by.
    """
    bins = Bins(household)
    for event in happened:
        bins.happen(event)
    crops = {crop.name: crop for crop in household.crops}
    problems = [
        _below_zero(crops[name], kg, event) for name, (kg, event) in sorted(bins.short.items()) if name in crops
    ]
    first_day = household.kitchen.first_day
    weighed = [lot for lots in (*bins.fresh.values(), *bins.frozen.values()) for lot in lots if lot.kg > _NOTHING_KG]
    old: list[Problem] = []
    left = [lot for lot in weighed if not _spoilt(lot, crops[lot.crop], first_day, old)]
    expected = [lot for lot in household.lots if lot.expected]
    left += [lot for lot in expected if not _gone_by(lot, crops[lot.crop], first_day, old)]
    left.sort(key=lambda lot: (lot.crop, lot.picked_on, lot.frozen_on or datetime.date.max, lot.kg, lot.where))
    return tuple(left), (*problems, *old)


def weight(kg: float, crop: Crop) -> str:
    """
    Say a weight in the crop's own unit.

    >>> weight(24.04, Crop("plum tomato", 5))
    '53 lb'
    """
    return f"{format_number(round(kg / UNITS[crop.unit].factor, 1))} {crop.unit}"


def _below_zero(crop: Crop, kg: float, event: Event) -> Problem:
    """Say that more was used than was weighed."""
    return Problem(event.where, "lot below zero", (f"{weight(kg, crop)} {crop.name}", format_date(event.day)))


def _spoilt(lot: Lot, crop: Crop, first_day: datetime.date, problems: list[Problem]) -> bool:
    """Whether a fresh lot is past its keeping days, which is said; a frozen one past its weeks is said and stays."""
    if lot.frozen_on is not None:
        weeks = (first_day - lot.frozen_on).days / 7
        if weeks > crop.frozen_keeps_weeks:
            weeks_kept = format_number(crop.frozen_keeps_weeks)
            amount = f"{weight(lot.kg, crop)} {lot.crop}"
            problems.append(Problem(lot.where, "frozen lot past keeping", (amount, str(lot.frozen_on), weeks_kept)))
        return False
    if (first_day - lot.picked_on).days <= crop.days_after_picking:
        return False
    kept = f"picked {format_date(lot.picked_on)}, keeps {format_count(crop.keeps_days, 'day')}"
    problems.append(Problem(lot.where, "lot past keeping", (f"{weight(lot.kg, crop)} {lot.crop} ({kept})",)))
    return True


def _gone_by(lot: Lot, crop: Crop, first_day: datetime.date, problems: list[Problem]) -> bool:
    """Whether an expected lot's day has gone by without a weighing, which is said."""
    if lot.picked_on >= first_day:
        return False
    name = f"{weight(lot.kg, crop)} {lot.crop} ({format_date(lot.picked_on)})"
    problems.append(Problem(lot.where, "expected lot not weighed", (name,)))
    return True


# The fresh lots of this morning: how long each keeps, what the plan takes of it, and what the plan has no use
# for.

Uses = Sequence[tuple[datetime.date, dict[str, float]]]
"""What later lines take of each crop in kg, by their day."""


@dataclass(frozen=True)
class LotToday:
    """
    A fresh lot this morning, in the crop's own unit.

    `until` is the last day it keeps; `planned` is what the plan of today takes of it, oldest lots first; `eaten` what
    the household eats fresh of the rest while it keeps; `spare` what no later day of the plan takes either.
    """

    crop: str
    amount: float
    unit: str
    picked_on: datetime.date
    until: datetime.date
    planned: float
    may_be_frozen: bool
    spare: float = 0.0
    eaten: float = 0.0

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
        days = (until - today).days + 1
        eaten = min(max(0.0, lot.kg - planned), crop.eaten_kg_a_week * days / 7)
        spare = 0.0 if until >= last_day else spare_kg(lot, max(0.0, lot.kg - planned - eaten), crop, uses)
        yield LotToday(
            lot.crop,
            in_crop_unit(lot.kg, crop),
            crop.unit,
            lot.picked_on,
            until,
            in_crop_unit(planned, crop),
            crop.may_be_frozen_whole,
            in_crop_unit(spare, crop),
            in_crop_unit(eaten, crop),
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


def spare_kg(lot: Lot, rest: float, crop: Crop, uses: Uses) -> float:
    """
    Return how much of the `rest` of a lot no later line takes up to the last day it keeps.

    What a later line takes of it is taken out of `uses`, so that no other lot counts on it.
    """
    for day, takes in uses:
        if day <= keeps_until(lot, crop):
            part = min(rest, max(0.0, takes.get(lot.crop, 0.0)))
            takes[lot.crop] = takes.get(lot.crop, 0.0) - part
            rest -= part
    return rest
