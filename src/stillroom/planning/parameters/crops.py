"""The records of a settled household in a fixed order, the periods, and the crop parameters."""

from __future__ import annotations

import bisect
import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from stillroom.household.plan import Period, periods
from stillroom.household.records import Container, Crop, Equipment, Household, Lid, Lot, PantryItem, Preserve, Target

Named = TypeVar("Named", Preserve, Crop, Target, Container, Lid, PantryItem, Equipment)

GAINS = (4.0, 3.0, 2.0, 1.0)
"""Gain of each quarter of a target: the emptiest target is filled first."""

ALMOST = 1e-6
"""Tolerance for rounding amounts that are integer but for the last digits."""

NOT_QUITE_ONE = 0.999
"""Less than one container: the excess allowed when the last one has to be whole."""


def in_order(records: tuple[Named, ...]) -> tuple[Named, ...]:
    """Return the records in the order of their names, so that the order of rows in the workbook does not matter."""
    return tuple(sorted(records, key=lambda record: record.name))


@dataclass(frozen=True)
class OrderedParameters:
    """The household, its records in the order of their names, and the periods."""

    household: Household

    @cached_property
    def periods(self) -> tuple[Period, ...]:
        """The periods of the plan."""
        return periods(self.household.kitchen)

    @cached_property
    def singles(self) -> tuple[Period, ...]:
        """The days planned in detail."""
        return tuple(period for period in self.periods if period.single)

    @cached_property
    def last_day(self) -> datetime.date:
        """The last day of the plan."""
        return self.periods[-1].last_day

    @cached_property
    def preserves(self) -> tuple[Preserve, ...]:
        """The preserves that may be planned, by name."""
        return self.household.planned()

    @cached_property
    def crops(self) -> tuple[Crop, ...]:
        """The crops, by name."""
        return in_order(self.household.crops)

    @cached_property
    def targets(self) -> tuple[Target, ...]:
        """The targets, by name."""
        return in_order(self.household.targets)

    @cached_property
    def containers(self) -> tuple[Container, ...]:
        """The containers, by name."""
        return in_order(self.household.containers)

    @cached_property
    def lids(self) -> tuple[Lid, ...]:
        """The lids, by name."""
        return in_order(self.household.lids)

    @cached_property
    def pantry(self) -> tuple[PantryItem, ...]:
        """The pantry, by name."""
        return in_order(self.household.pantry)

    @cached_property
    def equipment(self) -> tuple[Equipment, ...]:
        """The equipment, by name."""
        return in_order(self.household.equipment)

    @cached_property
    def gains(self) -> tuple[float, ...]:
        """The gain of each segment: four falling ones, or one where targets are not filled evenly."""
        return GAINS if self.household.kitchen.fill_targets_evenly else (1.0,)

    def period_of(self, day: datetime.date) -> int | None:
        """Return the number of the period of a day; the first for earlier days, None after the end."""
        place = bisect.bisect_left(self._last_days, day)
        return self.periods[place].number if place < len(self.periods) else None

    @cached_property
    def _last_days(self) -> tuple[datetime.date, ...]:
        return tuple(period.last_day for period in self.periods)


# Crops: lots by period, fresh and frozen.


class CropParameters(OrderedParameters):
    """Lots, keeping times and due dates."""

    def crops_of(self, item: Preserve) -> Mapping[str, float]:
        """Return the kg of each crop in one container."""
        found = self._crops_of.get(item.name)
        if found is None:
            found = self._crops_of[item.name] = {
                line.item: item.crop_kg_each(line.item)
                for line in item.ingredients
                if line.source == "crop" and line.amount_each > 0
            }
        return found

    @cached_property
    def _crops_of(self) -> dict[str, Mapping[str, float]]:
        return {}

    def frozen_crops_of(self, item: Preserve) -> Mapping[str, float]:
        """Return the kg of each crop in one container that may come from crop frozen whole."""
        return self._frozen_crops_of[item.name]

    @cached_property
    def _frozen_crops_of(self) -> Mapping[str, Mapping[str, float]]:
        every: dict[str, dict[str, float]] = {}
        for item in self.household.preserves:
            found = every.setdefault(item.name, {})
            for line in item.ingredients:
                if line.source == "crop" and line.from_frozen and line.amount_each > 0:
                    found[line.item] = found.get(line.item, 0.0) + line.amount_each
        return every

    @cached_property
    def fresh_lots(self) -> Mapping[str, tuple[Lot, ...]]:
        """The fresh lots of each crop that still keep on the first day or come later, oldest first."""
        found: dict[str, list[Lot]] = {crop.name: [] for crop in self.crops}
        first = self.household.kitchen.first_day
        for lot in self.household.lots:
            if lot.frozen_on is None and lot.kg > 0 and lot.picked_on <= self.last_day:
                keeps = self._keeps(lot)
                if keeps >= first:
                    found[lot.crop].append(lot)
        return {
            name: tuple(sorted(lots, key=lambda lot: (lot.picked_on, lot.kg, lot.expected)))
            for name, lots in found.items()
        }

    @cached_property
    def _crop_named(self) -> Mapping[str, Crop]:
        return {crop.name: crop for crop in self.crops}

    def _keeps(self, lot: Lot) -> datetime.date:
        """Return the last day on which a lot keeps: picked + keeps days."""
        return lot.picked_on + datetime.timedelta(days=self._crop_named[lot.crop].days_after_picking)

    def harvest(self, crop: Crop, period: Period) -> float:
        """Return the kg of a crop picked in a period; lots picked before the plan count in the first."""
        return sum(self._harvests.get((crop.name, period.number), ()))

    @cached_property
    def _harvests(self) -> Mapping[tuple[str, int], list[float]]:
        """The kg of each lot of a crop picked in a period."""
        found: dict[tuple[str, int], list[float]] = {}
        for name, lots in self.fresh_lots.items():
            for lot in lots:
                number = self.period_of(lot.picked_on)
                if number is not None:
                    found.setdefault((name, number), []).append(lot.kg)
        return found

    @cached_property
    def _eaten(self) -> Mapping[str, tuple[tuple[float, ...], tuple[tuple[float, ...], ...]]]:
        """By crop: kg eaten fresh in each period, and how much of each lot is eaten by each period's end."""
        found = {}
        for crop in self.crops:
            lots = self.fresh_lots[crop.name]
            left = [lot.kg for lot in lots]
            by_period = []
            gone = []
            for period in self.periods:
                wanted = crop.eaten_kg_a_week * period.days / 7
                eaten = 0.0
                for index, lot in enumerate(lots):
                    entered = self.period_of(lot.picked_on)
                    if entered is None or entered > period.number or self._keeps(lot) < period.first_day:
                        continue
                    bite = min(left[index], wanted - eaten)
                    left[index] -= bite
                    eaten += bite
                by_period.append(eaten)
                gone.append(tuple(lot.kg - rest for lot, rest in zip(lots, left, strict=True)))
            found[crop.name] = (tuple(by_period), tuple(gone))
        return found

    def eaten(self, crop: Crop, period: Period) -> float:
        """Return the kg of a crop eaten fresh in a period, from the oldest lots that keep."""
        return self._eaten[crop.name][0][period.number]

    def keepable(self, crop: Crop, period: Period) -> float:
        """Return the most kg that can be carried fresh past a period: lots that keep beyond it, less what was eaten."""
        gone = self._eaten[crop.name][1][period.number]
        kept = 0.0
        for lot, eaten in zip(self.fresh_lots[crop.name], gone, strict=True):
            entered = self.period_of(lot.picked_on)
            if entered is not None and entered <= period.number and self._keeps(lot) > period.last_day:
                kept += lot.kg - eaten
        return kept

    def usable(self, crop: Crop, period: Period) -> float:
        """Return the upper bound on the kg used fresh in a period: carried into it, picked, less eaten."""
        found = self._usable.get((crop.name, period.number))
        if found is None:
            carried = self.keepable(crop, self.periods[period.number - 1]) if period.number else 0.0
            found = max(0.0, carried + self.harvest(crop, period) - self.eaten(crop, period))
            self._usable[crop.name, period.number] = found
        return found

    @cached_property
    def _usable(self) -> dict[tuple[str, int], float]:
        return {}

    @cached_property
    def frozen_lots(self) -> Mapping[str, tuple[Lot, ...]]:
        """The lots of each crop that are in the freezer, frozen whole."""
        return {
            crop.name: tuple(
                lot for lot in self.household.lots if lot.crop == crop.name and lot.frozen_on is not None and lot.kg > 0
            )
            for crop in self.crops
        }

    def frozen_at_start(self, crop: Crop) -> float:
        """Return the kg of a crop frozen whole on the first day."""
        return sum(lot.kg for lot in self.frozen_lots[crop.name])

    def frozen_due(self, crop: Crop, frozen_on: datetime.date) -> datetime.date:
        """Return the last day on which crop frozen whole on a day may be cooked."""
        return frozen_on + datetime.timedelta(days=math.floor(crop.frozen_keeps_weeks * 7))

    def frozen_until(self, period: Period) -> datetime.date:
        """Return the day until which crop frozen at a period's end must keep: the end of the next period."""
        following = min(period.number + 1, len(self.periods) - 1)
        return self.periods[following].last_day

    @cached_property
    def freezable(self) -> tuple[Crop, ...]:
        """Crops that may be frozen whole or are in the freezer."""
        return tuple(crop for crop in self.crops if crop.may_be_frozen_whole or self.frozen_lots[crop.name])

    @cached_property
    def crops_in_use(self) -> frozenset[str]:
        """Crops that an included preserve can use."""
        return frozenset(name for item in self.preserves if item.include for name in self.crops_of(item))

    @cached_property
    def usable_from_frozen(self) -> frozenset[str]:
        """Crops that an included preserve can use after they were frozen whole."""
        return frozenset(name for item in self.preserves if item.include for name in self.frozen_crops_of(item))
