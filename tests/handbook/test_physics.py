"""
The pressure tables against physics: saturated steam on standard air, without any canning text.

Steam: saturation equation of IAPWS-IF97, region 4 (its three check values are tested). Air: ICAO standard atmosphere.
"""

from __future__ import annotations

import itertools
import math

import pytest

from stillroom.handbook.processes import all_processes, ladders

N = (
    1167.0521452767, -724213.16703206, -17.073846940092, 12020.82470247, -3232555.0322333,
    14.91510861353, -4823.2657361591, 405113.40542057, -0.23855557567849, 650.17534844798,
)  # fmt: skip
PASCAL_A_PSI = 6894.757293168
TARGET_F, WITHIN_F = 240.0, 2.0


def saturation_k(pressure_mpa):
    """Temperature of saturated steam in kelvin (IAPWS-IF97, equation 31)."""
    beta = pressure_mpa**0.25
    e = beta**2 + N[2] * beta + N[5]
    f = N[0] * beta**2 + N[3] * beta + N[6]
    g = N[1] * beta**2 + N[4] * beta + N[7]
    d = 2 * g / (-f - math.sqrt(f**2 - 4 * e * g))
    return (N[9] + d - math.sqrt((N[9] + d) ** 2 - 4 * (N[8] + N[9] * d))) / 2


def air_pa(altitude_ft):
    """Pressure of the ICAO standard atmosphere below 11 km."""
    return 101_325 * (1 - 0.0065 * altitude_ft * 0.3048 / 288.15) ** 5.255876


def steam_f(altitude_ft, gauge_lb):
    """Temperature of saturated steam at a gauge pressure, in Fahrenheit."""
    kelvin = saturation_k((air_pa(altitude_ft) + gauge_lb * PASCAL_A_PSI) / 1e6)
    return (kelvin - 273.15) * 9 / 5 + 32


@pytest.mark.parametrize(("mpa", "kelvin"), [(0.1, 372.755919), (1.0, 453.035632), (10.0, 584.149488)])
def test_the_steam_equation_gives_its_published_check_values(mpa, kelvin):
    """IAPWS-IF97, table 36."""
    assert saturation_k(mpa) == pytest.approx(kelvin, abs=1e-5)


@pytest.mark.parametrize(
    ("altitude", "fahrenheit"), [(0, 212.0), (1_000, 210.1), (3_000, 206.5), (5_000, 202.8), (8_000, 197.3)]
)
def test_water_boils_cooler_higher_up(altitude, fahrenheit):
    assert steam_f(altitude, 0) == pytest.approx(fahrenheit, abs=0.1)


def low_acid_ladders():
    """Every ladder of a low-acid line: the pounds are 11 and up on a dial, 10 and 15 with a weight."""
    return [
        rungs
        for rungs in ladders(all_processes())
        if rungs[0].gauge and not rungs[0].option and rungs[0].pressure_lb >= 10
    ]


def test_low_acid_pounds_give_240_fahrenheit_at_the_top_of_every_band():
    assert len(low_acid_ladders()) >= 60
    for rungs in low_acid_ladders():
        for row in rungs:
            assert steam_f(row.altitude_max_ft, row.pressure_lb) >= TARGET_F - WITHIN_F, row
            if row.gauge == "dial":
                assert steam_f(row.altitude_max_ft, row.pressure_lb) <= TARGET_F + WITHIN_F, row


def test_pounds_used_one_band_too_high_fall_short():
    for rungs in low_acid_ladders():
        for lower, upper in itertools.pairwise(rungs):
            short = TARGET_F - steam_f(upper.altitude_max_ft, lower.pressure_lb)
            assert short > WITHIN_F, (lower, short)


def test_minutes_in_boiling_water_never_fall_as_the_boiling_point_does():
    for rungs in ladders(row for row in all_processes() if not row.gauge):
        boiling = [steam_f(row.altitude_max_ft, 0) for row in rungs]
        minutes = [row.minutes for row in rungs]
        assert boiling == sorted(boiling, reverse=True)
        assert minutes == sorted(minutes)
