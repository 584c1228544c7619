"""What the pictures are made from: the tables of a plan as they stand in a workbook, and that plan's sums."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from stillroom.household.plan import Period, Plan
from stillroom.household.records import Household, PlanLine
from stillroom.household.results.clock import DayOnClock, Step
from stillroom.household.results.sums import Sums
from stillroom.household.results.values import Row
from stillroom.household.text import format_date, format_weekday
from stillroom.reports.terminal.lists import day_of, figure, said

NOT_PLANNED = "There is no plan yet, so there is nothing to draw. Plan first, then look again."


@dataclass(frozen=True)
class Shown:
    """
    A workbook that holds a plan, ready to be drawn.

    `household` is settled, `typed` as it was typed with its record, `tables` the output tables as they stand, `days`
    those on the clock, `said` a sentence that has to stand with every picture of the plan.
    """

    household: Household
    typed: Household
    tables: Mapping[str, Sequence[Row]]
    days: tuple[DayOnClock, ...] = ()
    said: str = ""
    steps: tuple[Step, ...] = field(default=())

    @property
    def planned(self) -> bool:
        """Whether the tables hold a plan."""
        return bool(self.periods)

    def told(self, words: str) -> str:
        """Words about the plan with the sentence that has to stand with them."""
        return f"{words} {self.said}" if self.said else words

    @cached_property
    def periods(self) -> tuple[Period, ...]:
        """The periods of the plan, from the table Space."""
        rows = [row for row in self.tables.get("Space", ()) if row.get("Period") is not None]
        return tuple(
            Period(number, day_of(row, "Period"), max(1, round(figure(row, "Days")))) for number, row in enumerate(rows)
        )

    @cached_property
    def lines(self) -> tuple[PlanLine, ...]:
        """The lines of the plan that make something within its periods."""
        starts = {(period.first_day, period.days) for period in self.periods}
        return tuple(
            line for line in self.household.plan_lines if (line.make or 0.0) > 0 and (line.day, line.days) in starts
        )

    @cached_property
    def to_come(self) -> Sums:
        """
        The sums of what is still to be made: lines with *Made* filled are in the record already.

        Only makes and bought containers are in it; a twentieth of a container in a week has no line and is not counted.
        """
        number = {(period.first_day, period.days): period.number for period in self.periods}
        known = {item.name for item in self.household.preserves}
        make: dict[tuple[str, int], float] = {}
        for line in self.lines:
            if line.made is None and line.name in known:
                key = line.name, number[line.day, line.days]
                make[key] = make.get(key, 0.0) + (line.make or 0.0)
        jars = {container.name for container in self.household.containers}
        bought = {
            said(row, "Item"): figure(row, "Buy")
            for row in self.tables.get("Shopping", ())
            if said(row, "Item") in jars
        }
        return Sums(self.household, Plan(self.periods, make=make, buy_containers=bought))


def short_period(period: Period) -> tuple[str, str]:
    """
    Two short lines for a period below its bar.

    >>> import datetime
    >>> short_period(Period(0, datetime.date(2026, 8, 14), 1)), short_period(Period(7, datetime.date(2026, 8, 21), 7))
    (('Fri', 'Aug 14'), ('week', 'Aug 21'))
    """
    day = period.first_day
    return (format_weekday(day)[:3] if period.single else "week"), format_date(day)
