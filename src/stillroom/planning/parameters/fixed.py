"""Fixed lines, and the lines of the last plan."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from stillroom.household.records import FREEZE_WHOLE, THAW, PlanLine
from stillroom.planning.parameters.crops import CropParameters

LONG_KEEPING_DAYS = 14
"""Crop that keeps as long as this fresh is not hurried; a choice of this project without a source."""


NEAR_DAYS = 2
"""Today and tomorrow, for which a cook has bought and laid out; a choice of this project without a source."""
NEAR_WEIGHT = 2.0
"""Containers of another day that a container changed today or tomorrow counts as; a choice of this project."""


@dataclass(frozen=True)
class Fix:
    """A fixed line: `amount` of `name` over periods `numbers`; at least that when not `exact`."""

    name: str
    numbers: tuple[int, ...]
    amount: float
    exact: bool
    where: str


@dataclass(frozen=True)
class LastLine:
    """A line of the last plan: `amount` containers of `name` over detailed days `numbers`."""

    name: str
    numbers: tuple[int, ...]
    amount: float


class FixedParameters(CropParameters):
    """The fixed lines within the plan."""

    @cached_property
    def fixes(self) -> tuple[Fix, ...]:
        """
        The fixed lines within the plan, by day and name.

        - On detailed days a line holds exactly; a line of seven days by the sum over its days. - In a week planned as a
        whole it holds exactly if it is that week's line. Lines for single days of it, or for a week across two, ask for
        at least their sum. - A week whose first days are now detailed holds, at least, over those days and the week
        with most of its days. - A line across two weeks holds over both, or where another line shares them in the one
        with most of its days. - A preserve that is not included is made only by its fixed line: exactly, unless another
        line shares its periods.
        """
        exact: dict[tuple[str, tuple[int, ...]], tuple[float, str]] = {}
        least: dict[tuple[str, tuple[int, ...]], tuple[float, str]] = {}
        for line in sorted(self.household.plan_lines, key=lambda line: (line.day, line.name, line.days, line.where)):
            if line.fix is None or line.name not in self._fixable:
                continue
            numbers, exactly = self._kept_in(line)
            if numbers and exactly:
                exact[line.name, numbers] = (line.fix, line.where)
            elif numbers:
                key = (line.name, numbers)
                least[key] = (line.fix + least.get(key, (0.0, ""))[0], line.where)
        found = [Fix(name, numbers, amount, True, where) for (name, numbers), (amount, where) in exact.items()]
        for (name, numbers), (amount, where) in least.items():
            if amount > exact.get((name, numbers), (0.0, ""))[0]:
                found.append(Fix(name, numbers, amount, False, where))
        found = [replace(fix, exact=fix.exact or self._stands_alone(fix, found)) for fix in found]
        return tuple(sorted(found, key=lambda fix: (fix.numbers, fix.name, not fix.exact)))

    def _stands_alone(self, fix: Fix, fixes: Sequence[Fix]) -> bool:
        """Return whether a line makes a preserve that is not included and shares its periods with no other line."""
        if not any(item.name == fix.name and not item.include for item in self.preserves):
            return False
        others = (other for other in fixes if other is not fix and other.name == fix.name)
        return not any(set(other.numbers) & set(fix.numbers) for other in others)

    def _kept_in(self, line: PlanLine) -> tuple[tuple[int, ...], bool]:
        """Return the periods of a fixed line and whether it holds exactly; none outside the plan."""
        held = self._days_in(line)
        days = tuple(number for number in held if self.periods[number].single)
        weeks = [number for number in held if not self.periods[number].single]
        if not weeks:
            return days, True
        home = max(weeks, key=lambda number: (held[number], -number))
        if days:
            mostly = 2 * held[home] > line.days and line.fix
            return ((*days, home), False) if mostly else (days, True)
        if len(weeks) > 1 and not self._is_shared(line, held):
            return tuple(weeks), False
        week = self.periods[home]
        return (home,), week.first_day == line.day and line.days == week.days

    def _days_in(self, line: PlanLine) -> dict[int, int]:
        """Return the days of a line in each period it touches, by the period's number."""
        end = line.day + datetime.timedelta(days=line.days - 1)
        return {
            period.number: (min(end, period.last_day) - max(line.day, period.first_day)).days + 1
            for period in self.periods
            if line.day <= period.last_day and end >= period.first_day
        }

    def _is_shared(self, line: PlanLine, held: Mapping[int, int]) -> bool:
        """Return whether another fixed line of the same name touches one of these periods."""
        others = (one for one in self.household.plan_lines if one is not line and one.name == line.name)
        return any(one.fix is not None and self._days_in(one).keys() & held.keys() for one in others)

    @cached_property
    def _fixable(self) -> frozenset[str]:
        names = {item.name for item in self.preserves} | {THAW + crop.name for crop in self.freezable}
        return frozenset(names | {FREEZE_WHOLE + crop.name for crop in self.freezable if crop.may_be_frozen_whole})

    @cached_property
    def fixed_at(self) -> Mapping[tuple[str, int], float]:
        """The amount typed, for each (name, period) of a fixed line."""
        return {(fix.name, number): fix.amount for fix in self.fixes for number in fix.numbers}

    def fixed_in(self, name: str, number: int) -> float:
        """Return the amount of the fixed lines of a name that cover a period."""
        return sum(fix.amount for fix in self.fixes if fix.name == name and number in fix.numbers)

    def fixed_total(self, name: str) -> float:
        """Return the amount of all fixed lines of a name."""
        return sum(fix.amount for fix in self.fixes if fix.name == name)

    @cached_property
    def tied_to_fixed_lines(self) -> frozenset[str]:
        """What fixed lines take, through other preserves too, and what may take the crop that they thaw."""
        by_name = {item.name: item for item in self.preserves}
        found: set[str] = set()
        ahead = [fix.name for fix in self.fixes]
        while ahead:
            name = ahead.pop()
            taken: set[str] = set()
            if name.startswith(THAW):
                crop = name.removeprefix(THAW)
                found |= {crop, *(item.name for item in self.preserves if crop in self.frozen_crops_of(item))}
            elif name in by_name:
                taken = {
                    line.item for line in by_name[name].ingredients if line.source == "preserve" or line.from_frozen
                }
            ahead += sorted(taken - found)
            found |= taken
        return frozenset(found)

    @cached_property
    def last_lines(self) -> tuple[LastLine, ...]:
        """
        The lines of the last plan for days that it had in detail and that are still planned, by day and name.

        What is made of crop that keeps two weeks may be made on any of these days, so its days are compared by their
        sum. What the last plan had for whole weeks was rough and is not compared.
        """
        made: dict[tuple[tuple[int, ...], str], float] = {}
        for line in self.household.plan_lines:
            number = self._compared.get(line.day)
            if line.days == 1 and line.make and number is not None and line.name in self._makeable:
                numbers = tuple(sorted(self.compared)) if line.name in self.long_keeping else (number,)
                made[numbers, line.name] = made.get((numbers, line.name), 0.0) + line.make
        return tuple(LastLine(name, numbers, amount) for (numbers, name), amount in sorted(made.items()))

    @cached_property
    def new_lines(self) -> tuple[tuple[str, int], ...]:
        """The (preserve, day) that the last plan had in detail without making anything of it: all made is a change."""
        before = {(line.name, number) for line in self.last_lines for number in line.numbers}
        days = sorted(self._compared.values())
        return tuple(key for number in days for name in sorted(self._makeable) if (key := (name, number)) not in before)

    @cached_property
    def long_keeping(self) -> frozenset[str]:
        """Preserves of nothing but crop that keeps two weeks fresh: no day is better for them than another."""
        found = []
        for item in self.household.planned():
            kept = [self._days_kept[line.item] for line in item.ingredients if line.source == "crop"]
            if kept and min(kept) >= LONG_KEEPING_DAYS:
                found.append(item.name)
        return frozenset(found)

    @cached_property
    def _days_kept(self) -> Mapping[str, float]:
        return {crop.name: crop.keeps_days for crop in self.household.crops}

    @cached_property
    def compared(self) -> frozenset[int]:
        """The numbers of the detailed days that the last plan had in detail too."""
        return frozenset(self._compared.values())

    @cached_property
    def _compared(self) -> Mapping[datetime.date, int]:
        before = [line for line in self.household.plan_lines if line.make is not None]
        weeks = [line.day for line in before if line.days > 1]
        days = [line.day for line in before if line.days == 1]
        if not days:
            return {}
        end = min(weeks) if weeks else max(days) + datetime.timedelta(days=1)
        return {period.first_day: period.number for period in self.singles if min(days) <= period.first_day < end}

    def change_weight(self, name: str, number: int) -> float:
        """Return how much a container changed counts on a day: twice today and tomorrow, but for long keepers."""
        return NEAR_WEIGHT if number < NEAR_DAYS and name not in self.long_keeping else 1.0

    @cached_property
    def near_lines(self) -> Mapping[tuple[str, int], float]:
        """
        What the last plan had for today and tomorrow: containers, or kg frozen whole or thawed; 0 where it had nothing.

        Fixed lines are left out, and so is all of a day of which something was made or recorded, and what is not
        compared.
        """
        days = {day: number for day, number in self._compared.items() if number < NEAR_DAYS}
        begun = {row.date for row in self.household.record if row.preserve in self._makeable | self._fixable}
        begun |= {line.day for line in self.household.plan_lines if line.made is not None}
        found = {
            (name, number): 0.0
            for day, number in days.items()
            if day not in begun
            for name in sorted(self._makeable | self._fixable)
            if (name, number) not in self.fixed_at
        }
        for line in self.household.plan_lines:
            key = (line.name, days.get(line.day, -1))
            if line.days == 1 and line.make and key in found:
                found[key] += line.make
        return found

    @cached_property
    def _makeable(self) -> frozenset[str]:
        return frozenset(item.name for item in self.household.planned())
