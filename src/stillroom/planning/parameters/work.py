"""Hours: available in each period, and used by a load or a container."""

from __future__ import annotations

import datetime
import math
from collections import Counter
from collections.abc import Mapping
from functools import cached_property

from stillroom.household.load_steps import heated_hours, hours_in_piece
from stillroom.household.plan import Period
from stillroom.household.records import FREEZE_WHOLE, STOVE_FREE, THAW, Equipment, Hours, Preserve
from stillroom.planning.parameters.crops import ALMOST
from stillroom.planning.parameters.fixed import FixedParameters


class WorkParameters(FixedParameters):
    """Hours of labor, stove and equipment, and the most that is begun in a day."""

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

    def most_begun(self, period: Period) -> float:
        """Return the most kinds of work begun in a detailed day, or as many as are fixed on it; `inf` for no limit."""
        if not period.single:
            return math.inf
        return max(self.household.kitchen.most_preserves_a_day, self._fixed_kinds.get(period.number, 0))

    @cached_property
    def _fixed_kinds(self) -> Mapping[int, int]:
        """How many kinds of work are fixed in each period."""
        return Counter(number for (name, number), kg in self.fixed_at.items() if kg > 0 and not name.startswith(THAW))

    def _without_free(self, hours: float, what: str, period: Period) -> float:
        """Return hours without the share that is kept free; fixed lines may use all of them."""
        share = self.household.kitchen.kept_free
        fixed = self._fixed_hours.get((what, period.number), 0.0) if share else 0.0
        return max(hours * (1 - share), min(hours, fixed))

    @cached_property
    def _fixed_hours(self) -> Mapping[tuple[str, int], float]:
        """The most that the fixed lines alone take of each thing in a period: all of a line in any of its periods."""
        found: dict[tuple[str, int], float] = {}

        def add(what: str, number: int, hours: float) -> None:
            found[what, number] = found.get((what, number), 0.0) + hours

        preserves = {item.name: item for item in self.preserves}
        freezing = {FREEZE_WHOLE + crop.name: crop.freeze_hours_per_kg for crop in self.freezable}
        for name, number in self.fixed_at:
            amount, period, item = self.fixed_in(name, number), self.periods[number], preserves.get(name)
            if item is None:
                add("hands", number, freezing.get(name, 0.0) * amount)
                continue
            loads = 0.0 if item.load is None else amount / item.load
            loads = float(math.ceil(loads - ALMOST)) if period.single else loads
            add("hands", number, self.hands_each(item) * amount + self.hands_load(item) * loads)
            add("stove", number, self.stove_each(item) * amount)
            if item.load is not None:
                for held, hours in self.stove_hours_load(item, period).items():
                    add("stove", held, hours * loads)
            for piece, hours in self.piece_hours(item) if item.load is not None else ():
                for held, taken in self.spread(hours, period, overnight=piece.runs_overnight).items():
                    add(piece.name, held, taken * loads)
        return found

    def hands_hours(self, period: Period) -> float:
        """Return the person-hours of a period that may be planned; `inf` without a row for hands."""
        typed = self._typed_hours("hands", period)
        if typed is None:
            return math.inf
        return max(0.0, min(self._without_free(typed, "hands", period), typed - self._less("hands", period)))

    def stove_hours(self, period: Period) -> float:
        """Return the burner-hours of a period that may be planned: hours the stove is free times burners, or `inf`."""
        free = self._typed_hours(STOVE_FREE, period)
        if free is None:
            return math.inf
        hours = free * self.household.kitchen.burners
        return max(0.0, min(self._without_free(hours, "stove", period), hours - self._less("stove", period)))

    def equipment_hours(self, piece: Equipment, period: Period) -> float:
        """
        Return the hours of all pieces of an equipment together in a period.

        The share that is kept free of the stove's hours is kept free of what runs while the stove is free.
        """
        typed = self._typed_hours(piece.name, period)
        with_the_stove = False
        if typed is None:
            free = self._typed_hours(STOVE_FREE, period)
            with_the_stove = not piece.runs_overnight and free is not None
            typed = 24.0 * period.days if piece.runs_overnight or free is None else free
        free_days = period.days
        if piece.free_from is not None:
            free_days = min(period.days, max(0, (period.last_day - piece.free_from).days + 1))
        hours = typed * piece.how_many * free_days / period.days
        planned = self._without_free(hours, piece.name, period) if with_the_stove else hours
        return max(0.0, min(planned, hours - self._less(piece.name, period)))

    @cached_property
    def pieces(self) -> Mapping[str, tuple[Equipment, ...]]:
        """The equipment of each preserve, in order; the process is in the last."""
        by_name = {piece.name: piece for piece in self.household.equipment}
        return {item.name: tuple(by_name[name] for name in item.equipment) for item in self.preserves}

    def process_hours(self, item: Preserve) -> float:
        """Return the hours a load occupies its last piece, from heating up to the wait before the jars come out."""
        found = self._process_hours.get(item.name)
        if found is None:
            found = self._process_hours[item.name] = hours_in_piece(item, self.pieces[item.name][-1])
        return found

    @cached_property
    def _process_hours(self) -> dict[str, float]:
        return {}

    def burner_hours(self, item: Preserve) -> float:
        """Return the burner-hours of a load in its last piece, until the process ends."""
        found = self._burner_hours.get(item.name)
        if found is None:
            last = self.pieces[item.name][-1]
            found = self._burner_hours[item.name] = last.burners * heated_hours(item, last)
        return found

    @cached_property
    def _burner_hours(self) -> dict[str, float]:
        return {}

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
