"""The pressure tables against physics: saturated steam on standard air, without any canning text."""

from __future__ import annotations

import itertools

import pytest
from tests.handbook import physics_page, physics_picture
from tests.handbook.physics import TARGET_F, WITHIN_F, air_pascals, steam_f

from stillroom.handbook.lines import TABLE_TOP_FT, all_processes, ladders
from stillroom.handbook.tables import table


@pytest.mark.parametrize(("megapascals", "kelvin"), [(0.1, 372.755919), (1.0, 453.035632), (10.0, 584.149488)])
def test_the_steam_package_gives_the_published_check_values(megapascals, kelvin):
    """IAPWS-IF97, table 36: the values an implementation of the saturation line is to be checked by."""
    from iapws import IAPWS97

    assert pytest.approx(kelvin, abs=1e-5) == IAPWS97(P=megapascals, x=1).T


@pytest.mark.parametrize(("altitude", "pascals"), [(0, 101_325.0), (5_000, 84_307.0), (10_000, 69_682.0)])
def test_the_air_package_gives_the_standard_atmosphere(altitude, pascals):
    """ICAO standard atmosphere, its table by geopotential height; a height above the sea is a few feet more at 10,000 ft."""
    assert air_pascals(altitude) == pytest.approx(pascals, abs=15)


def test_water_boils_where_the_copied_page_of_the_guide_says():
    """212.0, 210.2, 208.5, 206.7 and 204.9 F at 0 to 4,000 ft, read in a page copied from the guide."""
    for altitude, fahrenheit in ((0, 212.0), (1_000, 210.2), (2_000, 208.5), (3_000, 206.7), (4_000, 204.9)):
        assert steam_f(altitude, 0) == pytest.approx(fahrenheit, abs=0.25)


def low_acid_ladders():
    """Every ladder that is to reach 240 F: the pounds are 11 and up on a dial, 10 then 15 with a weight."""
    return [rungs for rungs in ladders(all_processes()) if rungs[0].gauge and rungs[0].pressure_lb >= 10]


def acid_ladders():
    """Every ladder of fewer pounds, for fruit and tomatoes."""
    return [rungs for rungs in ladders(all_processes()) if rungs[0].gauge and rungs[0].pressure_lb < 10]


def test_every_pressure_row_is_in_one_of_the_two_groups():
    counted = sum(len(rungs) for rungs in (*low_acid_ladders(), *acid_ladders()))
    assert counted == len(table("process_pressure"))


def test_low_acid_pounds_give_240_fahrenheit_at_the_top_of_every_band():
    assert len(low_acid_ladders()) >= 160
    for rungs in low_acid_ladders():
        for row in rungs:
            coolest = steam_f(row.altitude_max_ft, row.pressure_lb)
            assert coolest >= TARGET_F - WITHIN_F, row
            if row.option != "C":  # 15 lb where 10 would do: hotter, for a shorter time
                assert coolest <= TARGET_F + WITHIN_F, row


def test_pounds_used_one_band_too_high_fall_short():
    checked = 0
    for rungs in low_acid_ladders():
        for lower, upper in itertools.pairwise(rungs):
            short = TARGET_F - steam_f(upper.altitude_max_ft, lower.pressure_lb)
            assert short > WITHIN_F, (lower, short)
            checked += 1
    assert checked >= 300


def test_the_rows_for_acid_food_agree_with_one_another():
    coolest = [steam_f(row.altitude_max_ft, row.pressure_lb) for rungs in acid_ladders() for row in rungs]
    assert max(coolest) - min(coolest) < 3
    assert min(coolest) > 225


def test_minutes_in_boiling_water_never_fall_as_the_boiling_point_does():
    boiling_ladders = ladders(row for row in all_processes() if not row.gauge)
    assert len(boiling_ladders) >= 60
    for rungs in boiling_ladders:
        boiling = [steam_f(row.altitude_max_ft, 0) for row in rungs]
        minutes = [row.minutes for row in rungs]
        assert boiling == sorted(boiling, reverse=True)
        assert minutes == sorted(minutes)


def test_a_wrong_table_would_be_found():
    """Ten pounds on a dial at 2,000 ft, or eleven at 4,000, do not pass the check above."""
    assert steam_f(2_000, 10) < TARGET_F - WITHIN_F
    assert steam_f(4_000, 11) < TARGET_F - WITHIN_F
    assert steam_f(TABLE_TOP_FT, 14) < TARGET_F


def test_the_page_and_its_picture_are_fresh_and_small():
    assert physics_page.PAGE.read_text(encoding="utf-8") == physics_page.page()
    assert physics_page.PICTURE.read_text(encoding="utf-8") == physics_picture.picture()
    assert physics_page.PICTURE.stat().st_size < 100_000
