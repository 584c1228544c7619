"""One crop and one preserve, where the chance that the need is met can be worked out: the replay must agree with it."""

from __future__ import annotations

import statistics
from dataclasses import replace

import pytest
from tests.samples import count
from tests.season_replay.comparing import triangular_share
from tests.season_replay.households import SURE, expected, met, one_crop, opening
from tests.worked_examples import TUESDAY

from stillroom.app.season import play_seasons
from stillroom.household.records import Household, Lot
from stillroom.household.simulation.seasons import STANDARD, Uncertainty, wilson
from stillroom.planning.rolling import Settings

DRAWS = count(200, 400)
"""So many; `python3 tests/bench.py samples` takes the larger number."""


def share_met(household: Household, unsure: Uncertainty, draws: int = DRAWS) -> tuple[float, float, float]:
    """The share of seasons in which the target is met, with its own 95 % interval; every plan is audited."""
    settings = Settings(unsure=unsure, audit_every=1)
    seasons = play_seasons(household, opening(household, settings), settings, draws)
    reached = met(seasons, "juice", household.targets[0].wanted)
    return reached / draws, *wilson(reached, draws)


@pytest.mark.parametrize("wanted", [9.0, 10.0, 12.0])
def test_a_need_is_met_as_often_as_the_harvest_reaches_it(wanted: float) -> None:
    """A kilogram a bag and 8 to 14 kg, 10 the likeliest: met where the lot weighs as much as is wanted."""
    household = one_crop(wanted, (expected(10.0, 1, 8.0, 14.0),))
    truth = 1.0 - triangular_share(wanted, 8.0, 10.0, 14.0)
    _, low, high = share_met(household, SURE)
    assert low <= truth <= high


def test_two_lots_that_come_together_wholly_are_one_twice_as_large() -> None:
    """Both are at the same place in their triangle: 20 bags where either reaches 10 kg."""
    household = one_crop(20.0, (expected(10.0, 1, 8.0, 14.0), expected(10.0, 3, 8.0, 14.0)))
    truth = 1.0 - triangular_share(10.0, 8.0, 10.0, 14.0)
    _, low, high = share_met(household, replace(SURE, together=1.0))
    assert low <= truth <= high


def test_a_need_is_met_as_often_as_a_normal_yield_allows() -> None:
    """12 kg for 10 bags at a kilogram, give or take 0.2: met where a bag takes at most 1.2 kg, which is one sigma."""
    household = one_crop(10.0, (Lot("tomato", TUESDAY, 12.0),), days=2)
    share, low, high = share_met(household, replace(SURE, yield_spread=0.2))
    assert low <= STANDARD.cdf(1.0) <= high
    assert share < 0.95


def test_crop_that_keeps_a_day_has_two_evenings_and_one_is_enough() -> None:
    """An evening is lost with a chance of 0.3, and the morning after is planned again: lost twice 0.09, met 0.91."""
    household = one_crop(10.0, (Lot("tomato", TUESDAY, 12.0),), keeps_days=1.0, days=3)
    share, low, high = share_met(household, replace(SURE, lost_evening=0.3))
    assert low <= 1 - 0.3**2 <= high
    assert share > 0.8


def test_harvest_yield_and_evening_together_multiply_where_they_are_apart() -> None:
    """
    The evening of the only day is lost with 0.2; else it takes a harvest and a yield that suit each other.

    Harvest 8 to 14 kg (10 likeliest), 10 bags at f kg with f normal (1, 0.1): the chance that kg >= 10 f is summed over
    the quantiles of f.
    """
    household = one_crop(10.0, (expected(10.0, 0, 8.0, 14.0),), keeps_days=0.0, days=2)
    _, low, high = share_met(household, Uncertainty(0.0, 0.0, 0.1, 0.2))
    parts = 2000
    reached = (
        1 - triangular_share(10 * (1 + 0.1 * STANDARD.inv_cdf((part + 0.5) / parts)), 8.0, 10.0, 14.0)
        for part in range(parts)
    )
    assert low <= 0.8 * statistics.fmean(reached) <= high


def test_without_any_chance_every_season_is_the_plan() -> None:
    household = one_crop(10.0, (expected(10.0, 1, 10.0, 10.0),))
    share, _, _ = share_met(household, SURE, draws=5)
    assert share == 1.0
