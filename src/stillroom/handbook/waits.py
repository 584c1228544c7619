"""The published waits of a load: venting, the rise to full pressure, and the waits before the jars come out."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.handbook.processes import BOILING_WATER, PRESSURE
from stillroom.handbook.tables import Row, table

VENT = "pressure vent"
RISE = "pressure rise after vent"
AFTER_WEIGHT = "wait after weight removed"
BOILING_REST = "boiling water rest before lifting"
JAR_COOLING = ("jar cooling min", "jar cooling max")


@dataclass(frozen=True)
class Waits:
    """Minutes of a load that the equipment does not decide; all 0 for what is not canned."""

    vent_minutes: float = 0.0
    rise_minutes: float = 0.0
    rest_minutes: float = 0.0


def waits_of(method: str) -> Waits:
    """
    Return the published waits of a method; of a range, the longer figure. Source: the table of facts.

    >>> waits_of("pressure canned")
    Waits(vent_minutes=10.0, rise_minutes=5.0, rest_minutes=10.0)
    >>> waits_of("boiling-water canned").rest_minutes, waits_of("frozen") == Waits()
    (5.0, True)
    """
    if method == PRESSURE:
        return Waits(longest(VENT), longest(RISE), longest(AFTER_WEIGHT))
    return Waits(rest_minutes=longest(BOILING_REST)) if method == BOILING_WATER else Waits()


def fact(key: str) -> Row:
    """Return one row of the table of facts. Raises KeyError when there is none."""
    for row in table("facts"):
        if row["key"] == key:
            return row
    raise KeyError(key)


def longest(key: str) -> float:
    """
    Return a figure of the table of facts; of a range, the longer one.

    >>> longest("pressure rise after vent"), longest("pressure vent")
    (5.0, 10.0)
    """
    return float(fact(key)["value"].split("-")[-1])
