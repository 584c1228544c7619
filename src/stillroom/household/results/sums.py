"""The sums behind every output table: what a plan uses, holds and takes in each period, by plain arithmetic."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass
from functools import cached_property

from stillroom.household.load_steps import heated_hours
from stillroom.household.plan import Period, Plan, lasts, used_in_time
from stillroom.household.records import Container, Crop, Equipment, Household, Lot, Preserve

ALMOST = 1e-6


@dataclass(frozen=True)
class Sums:
    """
    A settled household and its plan, with the sums of both.

    Crop amounts are kg, space litres, time hours; `number` is the number of a period.
    """

    household: Household
    plan: Plan

    @property
    def periods(self) -> tuple[Period, ...]:
        """The periods of the plan."""
        return self.plan.periods

    @property
    def last_day(self) -> datetime.date:
        """The last day of the plan."""
        return self.periods[-1].last_day

    @cached_property
    def preserve_named(self) -> dict[str, Preserve]:
        """Every preserve by its name."""
        return {item.name: item for item in self.household.preserves}

    @cached_property
    def crop_named(self) -> dict[str, Crop]:
        """Every crop by its name."""
        return {crop.name: crop for crop in self.household.crops}

    @cached_property
    def equipment_named(self) -> dict[str, Equipment]:
        """Every piece of equipment by its name."""
        return {piece.name: piece for piece in self.household.equipment}

    # ------------------------------------------------------------------ hours

    def loads(self, item: Preserve, number: int, make: float) -> float:
        """Loads of a preserve in a period; 0 for one that goes through no equipment."""
        if item.load is None:
            return 0.0
        planned = self.plan.loads.get((item.name, number))
        return make / item.load if planned is None else planned

    def hands_hours(self, item: Preserve, make: float, loads: float) -> float:
        """
        Person-hours: minutes each x make + minutes a load x loads.

        Without equipment the minutes a load are spread over the smallest batch.
        """
        sets = make / item.smallest_batch if item.load is None else loads
        return (item.hands_minutes_each * make + item.hands_minutes_load * sets) / 60

    def burner_hours_a_load(self, item: Preserve) -> float:
        """Burner-hours its last piece of equipment holds in one load, until the process ends."""
        if not item.equipment:
            return 0.0
        last = self.equipment_named[item.equipment[-1]]
        return last.burners * heated_hours(item, last)

    def stove_hours(self, item: Preserve, make: float, loads: float) -> float:
        """Hours of the whole stove: burner-hours of the equipment and of its own minutes, by burners."""
        sets = make / item.smallest_batch if item.load is None else loads
        own = (item.stove_minutes_each * make + item.stove_minutes_load * sets) / 60
        return (own + loads * self.burner_hours_a_load(item)) / self.burners

    @property
    def burners(self) -> float:
        """Burners by which burner-hours become hours of the stove; one where the kitchen has none."""
        burners = self.household.kitchen.burners
        return burners if burners > 0 else 1.0

    @cached_property
    def hands_by_period(self) -> dict[int, float]:
        """Person-hours in each period, freezing whole included."""
        found = dict.fromkeys((period.number for period in self.periods), 0.0)
        for (name, number), make in self.plan.make.items():
            item = self.preserve_named[name]
            found[number] += self.hands_hours(item, make, self.loads(item, number, make))
        for (name, number), kg in self.plan.freeze_kg.items():
            found[number] += kg * self.crop_named[name].freeze_hours_per_kg
        return found

    @cached_property
    def stove_by_period(self) -> dict[int, float]:
        """Hours of the whole stove in each period; a job longer than its period holds burners in the next ones too."""
        found = dict.fromkeys((period.number for period in self.periods), 0.0)
        for (name, number), make in self.plan.make.items():
            item = self.preserve_named[name]
            loads = self.loads(item, number, make)
            held = self.burner_hours_a_load(item)
            found[number] += self.stove_hours(item, make, loads) - loads * held / self.burners
            if held > 0:
                burners = self.equipment_named[item.equipment[-1]].burners
                for later, hours in self.overlap(held / burners, number).items():
                    found[later] += loads * burners * hours / self.burners
        return found

    def overlap(self, hours: float, number: int) -> dict[int, float]:
        """Hours that a job begun on the first day of a period takes from it and from each later one."""
        if hours <= 24.0 * self.periods[number].days + ALMOST:
            return {number: hours}
        taken = {}
        for period in self.periods[number:]:
            if hours <= ALMOST:
                break
            taken[period.number] = min(hours, 24.0 * period.days)
            hours -= taken[period.number]
        return taken

    def hours_there_are(self, what: str, period: Period) -> float | None:
        """Hours the household typed for hands or the stove in a period; None without a row."""
        for row in self.household.hours:
            if row.what.casefold() == what:
                return row.by_weekday[period.first_day.weekday()] if period.single else row.each_later_week
        return None

    # ------------------------------------------------------------------ crop

    @cached_property
    def used_kg(self) -> dict[str, float]:
        """Kilograms of each crop that go into preserves, trimmings included."""
        found = dict.fromkeys(self.crop_named, 0.0)
        for (name, _), make in self.plan.make.items():
            for line in self.preserve_named[name].ingredients:
                if line.source == "crop":
                    found[line.item] += make * line.amount_each
        return found

    def sound_lots(self, crop: Crop) -> list[Lot]:
        """The fresh lots of a crop that are sound on the first day or come within the plan, oldest first."""
        first = self.periods[0].first_day
        lots = [
            lot
            for lot in self.household.lots
            if lot.crop == crop.name
            and lot.frozen_on is None
            and lot.picked_on <= self.last_day
            and keeps_until(lot, crop) >= first
        ]
        return sorted(lots, key=lambda lot: (lot.picked_on, lot.kg, lot.expected))

    def harvested_kg(self, crop: Crop) -> float:
        """On hand, frozen whole included, and expected within the plan."""
        frozen = sum(lot.kg for lot in self.household.lots if lot.crop == crop.name and lot.frozen_on is not None)
        return frozen + sum(lot.kg for lot in self.sound_lots(crop))

    def eaten_kg(self, crop: Crop) -> float:
        """What the household eats fresh, period by period off its oldest sound lots, at most what is there."""
        lots = self.sound_lots(crop)
        left = [lot.kg for lot in lots]
        eaten = 0.0
        for period in self.periods:
            wanted = crop.eaten_kg_a_week * period.days / 7
            for place, lot in enumerate(lots):
                if lot.picked_on <= period.last_day and keeps_until(lot, crop) >= period.first_day:
                    bite = min(left[place], wanted)
                    left[place] -= bite
                    wanted -= bite
                    eaten += bite
        return eaten

    # ------------------------------------------------------------------ containers and preserves

    @cached_property
    def used_as_ingredient(self) -> dict[tuple[str, int], float]:
        """Containers of a preserve that other preserves use, by (preserve, period)."""
        found: dict[tuple[str, int], float] = {}
        for (name, number), make in self.plan.make.items():
            for line in self.preserve_named[name].ingredients:
                if line.source == "preserve":
                    found[line.item, number] = found.get((line.item, number), 0.0) + make * line.amount_each
        return found

    def net_made(self, name: str, until: int | None = None) -> float:
        """Containers of a preserve that the plan adds by the end of a period, less what other preserves use."""
        used = sum(
            amount
            for (used_name, number), amount in self.used_as_ingredient.items()
            if used_name == name and (until is None or number <= until)
        )
        return self.plan.made(name, until) - used

    def lasts(self, name: str, period: Period) -> bool:
        """Whether what is made of a preserve in a period is good on the last day, counted from its first day."""
        return lasts(self.preserve_named[name], period.first_day, self.last_day)

    def counted(self, name: str) -> float:
        """
        Containers that the plan adds toward targets: good on the last day, less what others use beyond the rest.

        Others use what goes out of date before the end first.
        """
        lasting = sum(
            amount
            for (made, number), amount in self.plan.make.items()
            if made == name and self.lasts(name, self.periods[number])
        )
        rows = [row for row in self.household.shelf if row.preserve == name]
        used = [self.used_as_ingredient.get((name, period.number), 0.0) for period in self.periods]
        return min(self.net_made(name) + sum(used_in_time(rows, used, self.periods)), lasting)

    def containers_taken(self, container: Container, until: int) -> float:
        """How many of a container are gone from the stock by a period: filled, less those that came back."""
        filled = sum(self.plan.made(item.name, until) for item in self._in_container(container.name))
        emptied = sum(
            amount
            for (name, number), amount in self.used_as_ingredient.items()
            if number <= until and self.preserve_named[name].container == container.name
        )
        return filled - emptied - self.came_back(container, until)

    def came_back(self, container: Container, number: int) -> float:
        """Whole containers that came back empty before a period: floor(back each week x days before it / 7)."""
        days = (self.periods[number].first_day - self.periods[0].first_day).days
        return float(math.floor(container.back_each_week * days / 7 + ALMOST))

    def lids_taken(self, lid: str, until: int) -> float:
        """Lids of a kind used by the end of a period."""
        kinds = [container.name for container in self.household.containers if container.lid == lid]
        return sum(self.plan.made(item.name, until) for name in kinds for item in self._in_container(name))

    def pantry_taken(self, ingredient: str, until: int) -> float:
        """What of a pantry ingredient is used by the end of a period, in its base unit."""
        return sum(
            make * line.amount_each
            for (name, number), make in self.plan.make.items()
            if number <= until
            for line in self.preserve_named[name].ingredients
            if line.source == "pantry" and line.item == ingredient
        )

    def _in_container(self, container: str) -> list[Preserve]:
        return [item for item in self.household.preserves if item.container == container]

    @cached_property
    def good_on_shelf(self) -> dict[str, float]:
        """Containers of each preserve on the shelf that are good on the last day of the plan."""
        found: dict[str, float] = {}
        for row in self.household.shelf:
            if row.best_by is None or row.best_by >= self.last_day:
                found[row.preserve] = found.get(row.preserve, 0.0) + row.count
        return found


def keeps_until(lot: Lot, crop: Crop) -> datetime.date:
    """
    The last day on which a lot is sound: picked + keeps days.

    >>> keeps_until(Lot("plum", datetime.date(2026, 8, 10), 5.0), Crop("plum", 4))
    datetime.date(2026, 8, 14)
    """
    return lot.picked_on + datetime.timedelta(days=crop.days_after_picking)
