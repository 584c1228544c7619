"""The sums that the audits share: what is made, used and on hand in each period, from the plan alone."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from stillroom.household.plan import Amounts, Period, Plan, best_by, periods, used_in_time
from stillroom.household.records import Container, Crop, Equipment, Hours, Household, Lot, Preserve
from stillroom.household.text import format_long_date, format_number

TOLERANCE = 1e-4
"""How far two sides of a constraint may differ: so many kg, liters, hours, containers or money, or that share."""


def slack(*amounts: float) -> float:
    """
    Return the rounding tolerance for sums of this size.

    >>> slack(0.5, 0.2), slack(2000.0, 10.0)
    (0.0001, 0.2)
    """
    return TOLERANCE * max(1.0, *(abs(amount) for amount in amounts))


def more(used: float, allowed: float) -> bool:
    """
    Return whether more is used than allowed, beyond rounding.

    >>> more(6.00005, 6.0), more(6.01, 6.0)
    (False, True)
    """
    return used > allowed + slack(used if allowed == float("inf") else allowed)


def differs(one: float, other: float) -> bool:
    """
    Return whether two sums that must be equal differ.

    >>> differs(5.00001, 5.0), differs(5.1, 5.0)
    (False, True)
    """
    return abs(one - other) > slack(one, other)


def when(period: Period) -> str:
    """
    Return a period in words.

    >>> when(Period(0, datetime.date(2026, 8, 18), 1)), when(Period(7, datetime.date(2026, 8, 25), 7))
    ('Tue Aug 18', 'week of Tue Aug 25')
    """
    day = format_long_date(period.first_day)
    return day if period.days == 1 else f"week of {day}"


def said(amount: float) -> str:
    """
    Return an amount in words, with up to four decimals.

    >>> said(7.0), said(7.25), said(0.33333)
    ('7', '7.25', '0.3333')
    """
    return format_number(amount, 4)


@dataclass(frozen=True)
class Tally:
    """A household and its plan, with the sums that the audits share."""

    household: Household
    plan: Plan

    @cached_property
    def periods(self) -> tuple[Period, ...]:
        """The periods the household's settings ask for."""
        return periods(self.household.kitchen)

    @property
    def last_day(self) -> datetime.date:
        """The last day of the plan."""
        return self.periods[-1].last_day

    @cached_property
    def preserves(self) -> dict[str, Preserve]:
        """Every preserve by name."""
        return {preserve.name: preserve for preserve in self.household.preserves}

    @cached_property
    def crops(self) -> dict[str, Crop]:
        """Every crop by name."""
        return {crop.name: crop for crop in self.household.crops}

    @cached_property
    def containers(self) -> dict[str, Container]:
        """Every container by name."""
        return {container.name: container for container in self.household.containers}

    @cached_property
    def equipment(self) -> dict[str, Equipment]:
        """Every piece of equipment by name."""
        return {piece.name: piece for piece in self.household.equipment}

    @cached_property
    def hours(self) -> dict[str, Hours]:
        """The rows of hours by what they are of, in lower case."""
        return {row.what.casefold(): row for row in self.household.hours}

    @cached_property
    def makes(self) -> tuple[tuple[Preserve, Period, float], ...]:
        """Every preserve made, with its period and number of containers, in the order of periods and names."""
        rows = sorted(self.plan.make.items(), key=lambda item: (item[0][1], item[0][0]))
        return tuple((self.preserves[name], self.periods[number], amount) for (name, number), amount in rows)

    @cached_property
    def good_shelf(self) -> dict[str, float]:
        """Containers of each preserve on the shelf that are still good on the last day."""
        found: dict[str, float] = defaultdict(float)
        for row in self.household.shelf:
            if row.best_by is None or row.best_by >= self.last_day:
                found[row.preserve] += row.count
        return found

    @cached_property
    def made(self) -> dict[str, list[float]]:
        """Containers of each preserve made in each period."""
        return self._by_period((preserve.name, period, amount) for preserve, period, amount in self.makes)

    @cached_property
    def taken(self) -> dict[str, list[float]]:
        """Containers of each preserve used by other preserves in each period."""
        return self._by_period(
            (line.item, period, line.amount_each * amount)
            for preserve, period, amount in self.makes
            for line in preserve.ingredients
            if line.source == "preserve"
        )

    def old_taken(self, preserve: str) -> tuple[float, ...]:
        """Return the most that others can use in each period of what goes out of date before the plan ends."""
        rows = [row for row in self.household.shelf if row.preserve == preserve]
        return used_in_time(rows, self.taken[preserve], self.periods)

    @cached_property
    def used_kg(self) -> dict[str, list[float]]:
        """Kilograms of each crop that go into preserves in each period, trimmings included."""
        return self._by_period(
            (line.item, period, line.amount_each * amount)
            for preserve, period, amount in self.makes
            for line in preserve.ingredients
            if line.source == "crop"
        )

    def kept(self, preserve: str, until: int | None = None) -> float:
        """Return the containers made less those used by other preserves, up to and including a period."""
        stop = len(self.periods) if until is None else until + 1
        return sum(self.made[preserve][:stop]) - sum(self.taken[preserve][:stop])

    def standing(self, preserve: str) -> float:
        """
        Return the containers that are good at the end of the plan: on the shelf, and made, less those used.

        Others use first what does not keep to the last day.
        """
        months, day = self.preserves[preserve].keeps_months, self.last_day
        lasting = sum(
            amount
            for period, amount in zip(self.periods, self.made[preserve], strict=True)
            if months is None or best_by(period.first_day, months) >= day
        )
        return self.good_shelf[preserve] + min(self.kept(preserve) + sum(self.old_taken(preserve)), lasting)

    def _by_period(self, rows: Iterator[tuple[str, Period, float]]) -> dict[str, list[float]]:
        """Return amounts by name and period, 0 where there is none."""
        sums: dict[str, list[float]] = defaultdict(lambda: [0.0] * len(self.periods))
        for name, period, amount in rows:
            sums[name][period.number] += amount
        return sums

    @cached_property
    def _fresh_lots(self) -> dict[str, list[Lot]]:
        """The lots of each crop not frozen, sound on the first day and there before the plan ends; oldest first."""
        found: dict[str, list[Lot]] = {crop: [] for crop in self.crops}
        first = self.periods[0].first_day.toordinal()
        for lot in sorted(self.household.lots, key=lambda lot: lot.picked_on):
            sound = lot.picked_on.toordinal() + self.crops[lot.crop].days_after_picking >= first
            if lot.frozen_on is None and sound and lot.picked_on <= self.last_day:
                found[lot.crop].append(lot)
        return found

    def fresh_lots(self, crop: str) -> list[Lot]:
        """Return the fresh lots of a crop, sound on the first day and picked before the plan ends; oldest first."""
        return self._fresh_lots[crop]

    def entered(self, lot: Lot, period: Period) -> bool:
        """Return whether a lot is picked by the end of a period."""
        return lot.picked_on <= period.last_day

    def unknown_names(self) -> tuple[str, ...]:
        """Return names in the plan that the household does not have: nothing can be summed then."""
        if self.plan.periods != self.periods:
            return ("The plan's days are not the days the kitchen asks for",)
        crops, preserves, plan = set(self.crops), set(self.preserves), self.plan
        by_period: tuple[tuple[Amounts, set[str], str], ...] = (
            (plan.make, preserves, "preserve"), (plan.loads, preserves, "preserve"), (plan.fresh_kg, crops, "crop"),
            (plan.frozen_kg, crops, "crop"), (plan.freeze_kg, crops, "crop"), (plan.thaw_kg, crops, "crop"),
            (plan.spoil_kg, crops, "crop"), (plan.surplus_kg, crops, "crop"),
        )  # fmt: skip
        found = []
        for amounts, known, kind in by_period:
            for name, number in amounts:
                if name not in known:
                    found.append(f"The plan names the {kind} {name}, which the household does not have")
                if not 0 <= number < len(self.periods):
                    found.append(f"The plan has {name} in period {number}, which is not in it")
        return (*found, *self._unknown_purchases())

    def _unknown_purchases(self) -> Iterator[str]:
        """Yield purchases that are in no table of the household."""
        bought: tuple[tuple[Mapping[str, float], set[str], str], ...] = (
            (self.plan.buy_containers, set(self.containers), "container"),
            (self.plan.buy_lids, {lid.name for lid in self.household.lids}, "lid"),
            (self.plan.buy_items, {item.name for item in self.household.pantry}, "ingredient"),
        )
        for amounts, known, kind in bought:
            for name in sorted(set(amounts) - known):
                yield f"The plan buys the {kind} {name}, which the household does not have"
