"""
What physics says of a canner: saturated steam (IAPWS-IF97, package iapws) on standard air (ICAO, package ambiance).

No canning text is used here. Altitudes are in feet, pressures in lb per square inch above the air, temperatures in F.
"""

from __future__ import annotations

from functools import lru_cache

from ambiance import Atmosphere
from iapws import IAPWS97

METRES_A_FOOT = 0.3048
PASCALS_A_PSI = 6894.757293168
TARGET_F, WITHIN_F = 240.0, 2.0
"""Low-acid food needs 240 F (Michigan State Univ. Extension, 10/1997); how near the published pounds must come."""


@lru_cache(maxsize=4096)
def air_pascals(altitude_ft: float) -> float:
    """Pressure of the standard air at an altitude."""
    return float(Atmosphere(altitude_ft * METRES_A_FOOT).pressure[0])


@lru_cache(maxsize=4096)
def steam_f(altitude_ft: float, gauge_lb: float) -> float:
    """Temperature of saturated steam at a gauge pressure; with 0 lb it is where water boils."""
    megapascals = (air_pascals(altitude_ft) + gauge_lb * PASCALS_A_PSI) / 1e6
    return float(IAPWS97(P=megapascals, x=1).T - 273.15) * 9 / 5 + 32
