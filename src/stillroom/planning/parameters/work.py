"""Hours: available in each period, and used by a load or a container."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from functools import cached_property

from stillroom.household.load_steps import heated_hours, hours_in_piece
from stillroom.household.plan import Period
from stillroom.household.records import STOVE_FREE, Equipment, Hours, Preserve
from stillroom.planning.parameters.crops import ALMOST, OrderedParameters


class WorkParameters(OrderedParameters):
    """Hours of labor, stove and equipment."""

    @cached_property
    def _hours_rows(self) -> Mapping[str, Hours]:
        return {row.what.casefold(): row for row in self.household.hours}

    def _typed_hours(self, what: str, period: Period) -> float | None:
        row = self._hours_rows.get(what.casefold())
        if row is None:
            return None
        return row.by_weekday[period.first_day.weekday()] if period.single else row.each_later_week

    @cached_property
    def _less_hours(self) -> Mapping[tuple[str, datetime.date], float]:
        return {(what.casefold(), day): hours for what, day, hours in self.household.tighter.less_hours}

    def _less(self, what: str, period: Period) -> float:
        """Return the hours removed from a detailed day because its loads did not fit the timetable."""
        return self._less_hours.get((what.casefold(), period.first_day), 0.0) if period.single else 0.0

    def hands_hours(self, period: Period) -> float:
        """Return the person-hours of a period; `inf` without a row for hands."""
        typed = self._typed_hours("hands", period)
        return math.inf if typed is None else max(0.0, typed - self._less("hands", period))

    def stove_hours(self, period: Period) -> float:
        """Return the burner-hours of a period: hours the stove is free times burners; `inf` without a row."""
        free = self._typed_hours(STOVE_FREE, period)
        if free is None:
            return math.inf
        return max(0.0, free * self.household.kitchen.burners - self._less("stove", period))

    def equipment_hours(self, piece: Equipment, period: Period) -> float:
        """Return the hours of all pieces of an equipment together in a period."""
        typed = self._typed_hours(piece.name, period)
        if typed is None:
            free = self._typed_hours(STOVE_FREE, period)
            typed = 24.0 * period.days if piece.runs_overnight or free is None else free
        free_days = period.days
        if piece.free_from is not None:
            free_days = min(period.days, max(0, (period.last_day - piece.free_from).days + 1))
        return max(0.0, typed * piece.how_many * free_days / period.days - self._less(piece.name, period))

    @cached_property
    def pieces(self) -> Mapping[str, tuple[Equipment, ...]]:
        """The equipment of each preserve, in order; the process is in the last."""
        by_name = {piece.name: piece for piece in self.household.equipment}
        return {item.name: tuple(by_name[name] for name in item.equipment) for item in self.preserves}

    def process_hours(self, item: Preserve) -> float:
        """Return the hours a load occupies its last piece, from heating up to the wait before the jars come out."""
        return hours_in_piece(item, self.pieces[item.name][-1])

    def burner_hours(self, item: Preserve) -> float:
        """Return the burner-hours of a load in its last piece, until the process ends."""
        last = self.pieces[item.name][-1]
        return last.burners * heated_hours(item, last)

    def spread(self, hours: float, started: Period, *, overnight: bool) -> Mapping[int, float]:
        """
        Return the hours that a job begun in a period takes from that period and later ones.

        A job that fits in a day (24 h), or in its week, takes all its hours there. A longer one runs day and night from
        the period's first day.
        """
        if hours <= 24.0 * started.days + ALMOST or (not overnight and hours <= 24.0 + ALMOST):
            return {started.number: hours}
        taken = {}
        left = hours
        for period in self.periods[started.number :]:
            part = min(left, 24.0 * period.days)
            if part <= ALMOST:
                break
            taken[period.number] = part
            left -= part
        return taken

    def ready(self, item: Preserve, started: Period) -> int | None:
        """Return the period in which a job begun in a period is ready; None after the plan."""
        if item.load is None or not self.pieces[item.name]:
            return started.number
        hours = self.process_hours(item)
        taken = self.spread(hours, started, overnight=self.pieces[item.name][-1].runs_overnight)
        return max(taken) if sum(taken.values()) > hours - ALMOST else None

    def hands_each(self, item: Preserve) -> float:
        """Return the person-hours of one container; without equipment with a share of the batch's minutes."""
        return (item.hands_minutes_each + self._batch_share(item, item.hands_minutes_load)) / 60

    def hands_load(self, item: Preserve) -> float:
        """Return the person-hours of one load."""
        return item.hands_minutes_load / 60 if item.load is not None else 0.0

    def stove_each(self, item: Preserve) -> float:
        """Return the burner-hours of one container, without the equipment's own burners."""
        return (item.stove_minutes_each + self._batch_share(item, item.stove_minutes_load)) / 60

    @staticmethod
    def _batch_share(item: Preserve, minutes_a_load: float) -> float:
        return minutes_a_load / item.smallest_batch if item.load is None else 0.0

    def piece_hours(self, item: Preserve) -> tuple[tuple[Equipment, float], ...]:
        """
        Return the hours that one load occupies each piece of equipment.

        The process is in the last; the stove minutes a load in those before it. A piece named twice is occupied for
        both.
        """
        pieces = self.pieces[item.name]
        before = [(piece, item.stove_minutes_load / 60) for piece in pieces[:-1]]
        return (*before, (pieces[-1], self.process_hours(item))) if pieces else ()

    def stove_hours_load(self, item: Preserve, started: Period) -> Mapping[int, float]:
        """Return the burner-hours that one load begun in a period takes from it and from later ones."""
        found = {started.number: item.stove_minutes_load / 60}
        last = self.pieces[item.name][-1]
        if last.burners > 0:
            hours = self.burner_hours(item) / last.burners
            for number, taken in self.spread(hours, started, overnight=last.runs_overnight).items():
                found[number] = found.get(number, 0.0) + last.burners * taken
        return found
