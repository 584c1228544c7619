"""A settled household in one stated order, with the periods of its plan."""

from __future__ import annotations

import bisect
import datetime
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from stillroom.household.periods import Period, periods
from stillroom.household.records import Container, Crop, Equipment, Household, LarderItem, Lid, Need, Preserve

Named = TypeVar("Named", Preserve, Crop, Need, Container, Lid, LarderItem, Equipment)

GAINS = (4.0, 3.0, 2.0, 1.0)
"""What a share of a need is worth, quarter by quarter: what is far from filled goes first."""

ALMOST = 1e-6
"""Guards roundings up and down of amounts that are whole but for the last digits."""

NOT_QUITE_ONE = 0.999
"""Less than one container: what may stand over when the last one has to be whole."""


def in_order(records: tuple[Named, ...]) -> tuple[Named, ...]:
    """Put records in the order of their names, so that the order of rows in the workbook does not matter."""
    return tuple(sorted(records, key=lambda record: record.name))


@dataclass(frozen=True)
class OrderedFacts:
    """The household, its records in the order of their names, and the periods."""

    household: Household

    @cached_property
    def periods(self) -> tuple[Period, ...]:
        """The periods of the plan."""
        return periods(self.household.kitchen)

    @cached_property
    def singles(self) -> tuple[Period, ...]:
        """The days planned singly."""
        return tuple(period for period in self.periods if period.single)

    @cached_property
    def last_day(self) -> datetime.date:
        """The last day of the plan."""
        return self.periods[-1].last_day

    @cached_property
    def preserves(self) -> tuple[Preserve, ...]:
        """The preserves that may be in the plan, by name."""
        return self.household.planned()

    @cached_property
    def crops(self) -> tuple[Crop, ...]:
        """The crops, by name."""
        return in_order(self.household.crops)

    @cached_property
    def needs(self) -> tuple[Need, ...]:
        """The needs, by name."""
        return in_order(self.household.needs)

    @cached_property
    def containers(self) -> tuple[Container, ...]:
        """The containers, by name."""
        return in_order(self.household.containers)

    @cached_property
    def lids(self) -> tuple[Lid, ...]:
        """The lids, by name."""
        return in_order(self.household.lids)

    @cached_property
    def larder(self) -> tuple[LarderItem, ...]:
        """The larder, by name."""
        return in_order(self.household.larder)

    @cached_property
    def equipment(self) -> tuple[Equipment, ...]:
        """The equipment, by name."""
        return in_order(self.household.equipment)

    @cached_property
    def gains(self) -> tuple[float, ...]:
        """The gains of the bands: four falling ones, or a single one when needs are not filled evenly."""
        return GAINS if self.household.kitchen.fill_needs_evenly else (1.0,)

    def period_of(self, day: datetime.date) -> int | None:
        """Number of the period that holds a day; the first for days before it, None after the end."""
        place = bisect.bisect_left(self._last_days, day)
        return self.periods[place].number if place < len(self.periods) else None

    @cached_property
    def _last_days(self) -> tuple[datetime.date, ...]:
        return tuple(period.last_day for period in self.periods)
