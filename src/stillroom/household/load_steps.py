"""
The steps of one load in its last piece of equipment: one list for the plan, the audit, the replay and the clock.

How long each step takes is on the records: heating and cooling down are of the equipment, the rest of the preserve. The
handbook fills the published waits (see `handbook/waits.py`).
"""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.household.records import Equipment, Preserve

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
