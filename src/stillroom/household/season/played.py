"""What came of one drawn season, in plain figures."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class SeasonPlayed:
    """
    What came of one drawn season, in plain figures.

    `filled` is how far each need is filled on the last day, in its unit; `fed_kg` what was fed by crop, `left_kg` what
    then still lay fresh or frozen whole; `used_kg` went into preserves. `ran_out` is the first day after which there
    was no more of a container.
    """

    number: int
    filled: Mapping[str, float]
    fed_kg: Mapping[str, float]
    left_kg: float
    harvest_kg: float
    eaten_kg: float
    used_kg: float
    spent: float
    ran_out: Mapping[str, datetime.date]
    made: Mapping[str, float]
    evenings_lost: int
    plans: int
    audited: int
