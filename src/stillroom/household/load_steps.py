"""
The steps of one load in its last piece of equipment: one list for the plan, the audit, the replay and the clock.

How long each step takes is on the records: heating and cooling down are of the equipment, the rest of the preserve. The
handbook fills the published waits (see `handbook/lines.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from stillroom.errors import Problem
from stillroom.household.checks import pots_at_once
from stillroom.household.records import STOVE_FREE, Equipment, Hours, Household, Preserve
from stillroom.household.text import format_minutes

HEAT, VENT, RISE, PROCESS, COOL, REST = "heat", "vent", "rise", "process", "cool", "rest"
"""The kinds of steps, in their order."""
HEATED = (HEAT, VENT, RISE, PROCESS)
"""Steps with the burners on; the heat is turned off at the end of the process."""


@dataclass(frozen=True)
class LoadStep:
    """One step of a load, in minutes."""

    kind: str
    minutes: float

    @property
    def heated(self) -> bool:
        """Whether the burners are on."""
        return self.kind in HEATED


def load_steps(preserve: Preserve, piece: Equipment) -> tuple[LoadStep, ...]:
    """
    Return the steps of one load of a preserve in a piece of equipment, those that take no time included.

    A pressure canner heats until steam comes steadily, is vented and closed, and rises to full pressure; the process is
    timed from then. The heat is off, the pressure falls by itself, and the jars wait once more after the weight is off.
    In boiling water the jars wait after the heat is off.

    >>> canner = Equipment("canner", "pressure canner", heat_up_hours=0.25, cool_down_hours=1.0)
    >>> beans = Preserve("beans", "pressure canned", "quart jar", process_minutes=25.0, vent_minutes=10.0,
    ...     rise_minutes=5.0, rest_minutes=10.0)
    >>> [(step.kind, step.minutes) for step in load_steps(beans, canner)]
    [('heat', 15.0), ('vent', 10.0), ('rise', 5.0), ('process', 25.0), ('cool', 60.0), ('rest', 10.0)]
    """
    minutes = (
        piece.heat_up_hours * 60,
        preserve.vent_minutes,
        preserve.rise_minutes,
        preserve.process_minutes,
        piece.cool_down_hours * 60,
        preserve.rest_minutes,
    )
    kinds = (HEAT, VENT, RISE, PROCESS, COOL, REST)
    return tuple(LoadStep(kind, length) for kind, length in zip(kinds, minutes, strict=True))


def hours_in_piece(preserve: Preserve, piece: Equipment) -> float:
    """Return the hours that one load occupies its last piece of equipment."""
    return sum(step.minutes for step in load_steps(preserve, piece)) / 60


def heated_hours(preserve: Preserve, piece: Equipment) -> float:
    """Return the hours that one load uses the burners of its last piece of equipment."""
    return sum(step.minutes for step in load_steps(preserve, piece) if step.heated) / 60


# Whether one load fits into any day: what does not is left out of the plan, with an error.


def longest_day(piece: Equipment, household: Household) -> float:
    """
    Return the most hours that one piece of equipment may run on a day of the week, less what is kept free of the stove.

    The hours of a later week count as a day's where more is typed there than its days have.
    """
    rows = {row.what.casefold(): row for row in household.hours}
    own, stove = rows.get(piece.name.casefold()), rows.get(STOVE_FREE)
    if own is not None:
        return most_in_a_day(own)
    if piece.runs_overnight or stove is None:
        return 24.0
    return most_in_a_day(stove) * (1 - household.kitchen.kept_free)


def most_in_a_day(row: Hours) -> float:
    """
    Return the hours of the longest weekday of a row.

    >>> most_in_a_day(Hours("stove free", (2, 2, 2, 2, 2, 5, 0), 15)), most_in_a_day(Hours("oven", (0,) * 7, 20))
    (5, 20)
    """
    most = max(row.by_weekday)
    return most if row.each_later_week <= sum(row.by_weekday) + 1e-9 else max(most, row.each_later_week)


def without_room(preserve: Preserve, household: Household) -> Iterator[Problem]:
    """
    Yield the piece of equipment in which no day has the hours of one load; nothing for what runs on by night.

    The preserve is settled: its process has the published minutes of this kitchen. Pots that share a load share the
    minutes it cooks.
    """
    pieces = [household.equipment_named(name) for name in preserve.equipment] if preserve.load is not None else []
    pots = pots_at_once(preserve, household)
    for place, piece in enumerate(pieces):
        last = place == len(pieces) - 1
        hours = hours_in_piece(preserve, piece) if last else preserve.stove_minutes_load / 60 / pots
        longest = longest_day(piece, household)
        if not piece.runs_overnight and hours > longest + 1e-6:
            needed, there = format_minutes(hours * 60), format_minutes(longest * 60)
            yield Problem(preserve.where, "no day for a load", (preserve.name, needed, piece.name, there))
            return


def leave_without_room(household: Household) -> tuple[Household, tuple[Problem, ...]]:
    """
    Return the household without the included preserves of which no day has room for one load, and the errors.

    What a plan line keeps at a number is left in: that line is the household's own word. A plan without days in detail
    has no day to fit into.
    """
    if household.kitchen.days_planned_singly < 1:
        return household, ()
    kept = {line.name for line in household.plan_lines if line.fix}
    found = {item.name: tuple(without_room(item, household)) for item in household.planned() if item.name not in kept}
    preserves = tuple(
        replace(item, include=False, refused=found[item.name]) if found.get(item.name) else item
        for item in household.preserves
    )
    return replace(household, preserves=preserves), tuple(one for several in found.values() for one in several)
