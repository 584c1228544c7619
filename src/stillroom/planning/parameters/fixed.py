"""What the household has fixed in the plan with its own hand."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from stillroom.household.records import FREEZE_WHOLE, THAW, PlanLine
from stillroom.planning.parameters.crops import CropParameters


@dataclass(frozen=True)
class Fix:
    """What the household typed in Fix: `amount` of `name` over `numbers` of periods; at least that when not `exact`."""

    name: str
    numbers: tuple[int, ...]
    amount: float
    exact: bool
    where: str


@dataclass(frozen=True)
class LastLine:
    """What the last plan said: `amount` containers of `name` over these periods."""

    name: str
    numbers: tuple[int, ...]
    amount: float


class FixedParameters(CropParameters):
    """The fixed lines that fall within the plan."""

    @cached_property
    def fixes(self) -> tuple[Fix, ...]:
        """
        The fixed lines that fall within the plan, in the order of day and name.

        On single days a line is kept exactly, a line of seven days by the sum over those of its days. In a week that is
        planned as a whole it is kept exactly when it is that week's line; lines for single days of it, or for a week
        that lies across, ask for at least their sum. A week of which the first days have become single ones and most
        days have not is kept, at least, by those days and the week that most of its days lie in. One that lies across
        two weeks is kept in either, or where another line shares them in the one that most of its days lie in. What is
        not to be made is made no more than so: it is kept exactly, where no other line shares its periods.
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
        """Whether a line makes something that is not to be made, and no other line of it shares its periods."""
        if not any(item.name == fix.name and not item.include for item in self.preserves):
            return False
        others = (other for other in fixes if other is not fix and other.name == fix.name)
        return not any(set(other.numbers) & set(fix.numbers) for other in others)

    def _kept_in(self, line: PlanLine) -> tuple[tuple[int, ...], bool]:
        """The periods that a fixed line is kept in, and whether exactly its number is; none outside the plan."""
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
        """How many days of a line lie in each period that it touches, by the period's number."""
        end = line.day + datetime.timedelta(days=line.days - 1)
        return {
            period.number: (min(end, period.last_day) - max(line.day, period.first_day)).days + 1
            for period in self.periods
            if line.day <= period.last_day and end >= period.first_day
        }

    def _is_shared(self, line: PlanLine, held: Mapping[int, int]) -> bool:
        """Whether another fixed line of the same name touches one of these periods."""
        others = (one for one in self.household.plan_lines if one is not line and one.name == line.name)
        return any(one.fix is not None and self._days_in(one).keys() & held.keys() for one in others)

    @cached_property
    def _fixable(self) -> frozenset[str]:
        names = {item.name for item in self.preserves} | {THAW + crop.name for crop in self.freezable}
        return frozenset(names | {FREEZE_WHOLE + crop.name for crop in self.freezable if crop.may_be_frozen_whole})

    @cached_property
    def fixed_at(self) -> Mapping[tuple[str, int], float]:
        """For each (name, period) that a fixed line covers: the amount typed."""
        return {(fix.name, number): fix.amount for fix in self.fixes for number in fix.numbers}

    def fixed_in(self, name: str, number: int) -> float:
        """What the fixed lines of a name ask for in a period and others: the most of what is made only so."""
        return sum(fix.amount for fix in self.fixes if fix.name == name and number in fix.numbers)

    def fixed_total(self, name: str) -> float:
        """What the fixed lines of a name ask for together."""
        return sum(fix.amount for fix in self.fixes if fix.name == name)

    @cached_property
    def last_lines(self) -> tuple[LastLine, ...]:
        """
        The last plan, compared by day: every preserve on every single day that the last plan covered.

        A day that fell in a week of the last plan is compared by the sum over the days of that week that are now
        planned singly, pro rata; a week only with a week that begins on the same day.
        """
        before = [line for line in self.household.plan_lines if line.make is not None]
        if not before:
            return ()
        made: dict[tuple[str, datetime.date, int], float] = {}
        for line in before:
            key = (line.name, line.day, line.days)
            made[key] = made.get(key, 0.0) + (line.make or 0.0)
        weeks = sorted({line.day for line in before if line.days > 1})
        first = min(line.day for line in before)
        last = max(line.day + datetime.timedelta(days=line.days - 1) for line in before)
        found = []
        for names, day, days in self._blocks(weeks, first, last):
            for item in sorted(item.name for item in self.household.planned()):
                length = 7 if day in weeks else 1
                amount = made.get((item, day, length), 0.0) * days / length
                found.append(LastLine(item, names, amount))
        return tuple(found)

    def _blocks(
        self, weeks: list[datetime.date], first: datetime.date, last: datetime.date
    ) -> list[tuple[tuple[int, ...], datetime.date, int]]:
        """Periods to be compared together, with the day of the last plan's lines and how many days are compared."""
        blocks: dict[datetime.date, list[int]] = {}
        days: dict[datetime.date, int] = {}
        for period in self.periods:
            week = next((day for day in weeks if day <= period.first_day < day + datetime.timedelta(days=7)), None)
            if period.single and week is None and first <= period.first_day <= last:
                week = period.first_day
            elif not period.single and week != period.first_day:
                week = None
            if week is not None:
                blocks.setdefault(week, []).append(period.number)
                days[week] = days.get(week, 0) + period.days
        return [(tuple(numbers), day, days[day]) for day, numbers in sorted(blocks.items())]
