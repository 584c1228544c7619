"""Chance by seed, number and name, the drawn lots, and the intervals around what is counted."""

from __future__ import annotations

import statistics
from dataclasses import replace

import pytest
from tests.samples import count
from tests.season_replay.comparing import triangular_share
from tests.season_replay.households import SURE, expected, met, one_crop, opening, two_crops
from tests.worked_examples import TUESDAY, day

from stillroom.app.season import play_seasons
from stillroom.household.records import Household, Lot
from stillroom.household.simulation.seasons import (
    STANDARD,
    Draw,
    Uncertainty,
    lots_as_drawn,
    mean_interval,
    reached_in,
    triangular,
    uniform,
    wilson,
)
from stillroom.planning.rolling import Settings


def test_uniform_numbers_are_spread_evenly_over_draws_and_over_names() -> None:
    """10,000 numbers: mean 1/2 and variance 1/12 within four standard errors, and every tenth has a tenth of them."""
    for numbers in (
        [uniform(3, number, "lot") for number in range(10_000)],
        [uniform(3, 0, "lot", str(number)) for number in range(10_000)],
    ):
        assert statistics.fmean(numbers) == pytest.approx(0.5, abs=4 * (1 / 12) ** 0.5 / 100)
        assert statistics.variance(numbers) == pytest.approx(1 / 12, abs=0.004)
        tenths = [sum(int(10 * one) == tenth for one in numbers) for tenth in range(10)]
        assert min(tenths) > 880
        assert max(tenths) < 1120


@pytest.mark.parametrize("bounds", [(8.0, 10.0, 14.0), (0.0, 0.0, 5.0), (2.0, 6.0, 6.0)])
def test_triangular_and_its_share_are_each_other_turned_round(bounds: tuple[float, float, float]) -> None:
    for share in (0.001, 0.2, 0.5, 0.8, 0.999):
        assert triangular_share(triangular(share, *bounds), *bounds) == pytest.approx(share)


def test_drawn_lots_have_the_mean_of_the_triangle() -> None:
    """Least 8, usual 10, most 15: (8 + 10 + 15) / 3 = 11."""
    lot = expected(10.0, 1, 8.0, 15.0)
    kg = [Draw(1, number).lot_kg(lot) for number in range(4000)]
    assert statistics.fmean(kg) == pytest.approx(11.0, abs=0.1)
    assert min(kg) > 8.0
    assert max(kg) < 15.0


def test_a_blank_least_or_most_takes_the_stated_spread_and_a_weighed_lot_stays() -> None:
    unsure = Uncertainty(harvest_share=0.5)
    kg = [Draw(1, number, unsure).lot_kg(expected(10.0)) for number in range(2000)]
    assert 5.0 < min(kg) < 5.6
    assert 14.4 < max(kg) < 15.0
    assert Draw(1, 0, unsure).lot_kg(Lot("tomato", TUESDAY, 10.0)) == 10.0


@pytest.mark.parametrize(("together", "least", "most"), [(0.0, -0.06, 0.06), (0.5, 0.42, 0.56), (1.0, 0.99, 1.0)])
def test_lots_of_one_crop_are_good_or_poor_together_as_far_as_stated(
    together: float, least: float, most: float
) -> None:
    """Spearman's rank correlation of two lots of a crop; for normal scores 0.5 of correlation is 0.48 of ranks."""
    draws = [Draw(1, number, Uncertainty(together=together)) for number in range(2000)]
    pairs = [(one.lot_kg(expected(10.0, 1)), one.lot_kg(expected(10.0, 4))) for one in draws]
    found = statistics.correlation(*(ranks([pair[side] for pair in pairs]) for side in (0, 1)))
    assert least <= found <= most


def ranks(figures: list[float]) -> list[int]:
    """The place of each figure, the least first; all are different."""
    ordered = {figure: place for place, figure in enumerate(sorted(figures))}
    return [ordered[figure] for figure in figures]


def test_a_draw_does_not_depend_on_what_else_there_is() -> None:
    """Common random numbers: another crop, another lot or another row order leaves every other lot as it was."""
    household = two_crops()
    more = replace(household, lots=(expected(50.0, 3, crop="apple"), *reversed(household.lots)))
    before, after = lots_as_drawn(household, Draw(1, 7)), lots_as_drawn(more, Draw(1, 7))
    assert after.pop(day(3))[0][0] == "apple"
    assert before == after


def test_two_lots_of_one_crop_and_day_are_two_draws() -> None:
    household = replace(two_crops(), lots=(expected(10.0), expected(10.0)))
    [(_, one), (_, other)] = lots_as_drawn(household, Draw(1, 0, Uncertainty(together=0.0)))[day(1)]
    assert one != other


def test_yields_and_evenings_vary_as_stated() -> None:
    """Standard deviation 0.1 (a little less, since it is cut off at 2.5), one evening in five lost."""
    draws = [
        Draw(1, number, Uncertainty(yield_spread=0.1, lost_evening=0.2, learned={"own": 0.3})) for number in range(4000)
    ]
    taken = [one.crop_taken("juice", TUESDAY) for one in draws]
    assert statistics.fmean(taken) == pytest.approx(1.0, abs=0.007)
    assert 0.09 < statistics.stdev(taken) < 0.1
    assert 0.27 < statistics.stdev(one.crop_taken("own", TUESDAY) for one in draws) < 0.3
    assert sum(one.evening_lost(TUESDAY) for one in draws) / 4000 == pytest.approx(0.2, abs=0.025)


@pytest.mark.parametrize(
    ("met", "draws", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_the_score_interval_is_that_of_the_published_table(met: int, draws: int, low: float, high: float) -> None:
    """R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 3 (figures from memory)."""
    assert wilson(met, draws) == pytest.approx((low, high), abs=6e-5)


def test_the_score_interval_covers_the_truth_about_as_often_as_it_says() -> None:
    """Of 2,000 counts of 60 draws with a chance of 0.85 about 95 % have it in their interval."""
    covered = 0
    for again in range(2000):
        met = sum(uniform(5, again, str(number)) < 0.85 for number in range(60))
        low, high = wilson(met, 60)
        covered += low <= 0.85 <= high
    assert 0.93 < covered / 2000 < 0.975


def test_the_interval_of_a_mean_covers_the_truth_about_as_often_as_it_says() -> None:
    """Of 200 samples of 40 triangular amounts (mean 11) about 95 % have 11 in their interval."""
    covered = 0
    for again in range(200):
        values = [triangular(uniform(6, again, str(number)), 8, 10, 15) for number in range(40)]
        low, high = mean_interval(values)
        covered += low <= 11.0 <= high
    assert 0.89 < covered / 200 < 0.985


def test_what_is_reached_in_nine_of_ten_is_reached_in_nine_of_ten() -> None:
    for many in (1, 7, 10, 19, 20, 200):
        values = [uniform(2, number, "amount") for number in range(many)]
        for share in (0.5, 0.9, 1.0):
            amount = reached_in(values, share)
            assert sum(value >= amount for value in values) >= share * many - 1e-9
            assert amount in values


# One crop and one preserve, where the chance that the need is met can be worked out: the replay must agree with it.

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
