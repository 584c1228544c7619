"""Small households for the replay, and crews for the tests; every figure is chosen for easy sums."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from tests.worked_examples import TUESDAY, bag, day, home, jar, target

from stillroom.household.plan import Plan
from stillroom.household.records import Household, Lot
from stillroom.household.simulation.seasons import SeasonPlayed, Uncertainty
from stillroom.planning.rolling import Settings, light_plan, season_end

SURE = Uncertainty(harvest_share=0.0, together=0.0, yield_spread=0.0, lost_evening=0.0)
"""Nothing is left to chance but what Least and Most say."""


def one_crop(
    wanted: float = 10.0, lots: tuple[Lot, ...] = (), keeps_days: float = 30.0, days: int = 7, **more: object
) -> Household:
    """One crop and one preserve of a kilogram in bags, with nothing else in short supply; planned day by day."""
    household = home((bag("juice", "tomato", 1.0),), lots, (target("juice", wanted, importance=1),), days=days, **more)
    return replace(household, crops=tuple(replace(crop, keeps_days=keeps_days) for crop in household.crops))


def expected(
    kg: float, on: int = 1, least: float | None = None, most: float | None = None, crop: str = "tomato"
) -> Lot:
    """A lot that is expected so many days after the first."""
    return Lot(crop, day(on), kg, expected=True, least_kg=least, most_kg=most)


def two_crops() -> Household:
    """A household with a few lots still to come, two crops, a canner and a freezer: something happens on most days."""
    preserves = (
        jar("juice", "tomato", 1.5, hands_minutes_each=6.0),
        bag("sauce", "tomato", 2.0, smallest_batch=2),
        bag("slices", "apple", 1.0),
    )
    lots = (
        Lot("tomato", TUESDAY, 14.0),
        *(expected(12.0, on, 8.0, 18.0) for on in (2, 5, 9, 12)),
        *(expected(9.0, on, crop="apple") for on in (4, 8, 15)),
    )
    targets = (target("juice", 21, importance=1), target("sauce", 8, importance=2), target("slices", 16, importance=2))
    household = home(preserves, lots, targets, days=5, weeks=2, kitchen={"freezer_free_litres": 20.0})
    keeps = {"tomato": 3.0, "apple": 8.0}
    crops = tuple(replace(crop, keeps_days=keeps[crop.name], eaten_kg_a_week=1.4) for crop in household.crops)
    return replace(household, crops=crops)


def opening(household: Household, settings: Settings) -> Plan:
    """The light plan of the first day."""
    return light_plan(household, settings.plan_every_days, season_end(household))[1]


def met(played: Iterable[SeasonPlayed], name: str, wanted: float) -> int:
    """In how many seasons there is all of a target."""
    return sum(one.filled[name] >= wanted - 1e-6 for one in played)
