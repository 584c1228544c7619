"""Fruit that was only known as jam: its published rows, and what they mean for a recipe of the household's own."""

from __future__ import annotations

import pytest
from tests.handbook.kitchens import crop, group, household

from stillroom.handbook.foods import kinds
from stillroom.handbook.lines import at_altitude, by_line, crop_lb
from stillroom.handbook.settle import settle
from stillroom.household.records import Crop, Preserve

AT = (500, 2_000, 5_000, 7_000, 9_000)

READ = {
    # MSU 01600770 (Guide 2:9-10); above 8,000 ft the timetables of Utah State
    "apricots, hot pack, pint": (20, 25, 30, 35, 40),
    "apricots, hot pack, quart": (25, 30, 35, 40, 45),
    "apricots, raw pack, pint": (25, 30, 35, 40, 45),
    "apricots, raw pack, quart": (30, 35, 40, 45, 50),
    # National Center for Home Food Preservation, nectarines; above 8,000 ft as peaches
    "nectarines, hot pack, pint": (20, 25, 30, 35, 40),
    "nectarines, raw pack, quart": (30, 35, 40, 45, 50),
    # MSU 01600253, 01600459, 01600449, 01600839
    "rhubarb, hot pack, quart": (15, 20, 20, 25, 25),
    "pineapple, hot pack, pint": (15, 20, 20, 25, 25),
    "pineapple, hot pack, quart": (20, 25, 30, 35, 35),
    "citrus sections, raw pack, pint": (10, 15, 15, 20, 20),
    "fruit purees, hot pack, pint": (15, 20, 20, 25, 30),
    # MSU 01600322; the hot pack is read as 10, 15, 15, 20 there and as 10, 15, 20, 25 elsewhere
    "whole grapes, hot pack, pint": (10, 15, 20, 25, 25),
    "whole grapes, raw pack, pint": (15, 20, 20, 25, 25),
    "whole grapes, raw pack, quart": (20, 25, 30, 35, 35),
}


@pytest.mark.parametrize("key", sorted(READ))
def test_the_minutes_are_those_that_were_read(key):
    assert tuple(row.minutes for feet in AT for row in at_altitude(by_line()[key], feet)) == READ[key]


@pytest.mark.parametrize(
    ("product", "minutes"), [("apricots", 10), ("nectarines", 10), ("rhubarb", 8), ("fruit purees", 8)]
)
def test_the_pounds_are_those_of_acid_fruit(product, minutes):
    """6, 7, 8, 9 lb by a dial and 5, 10 by a weight (AIB 539, 1994, Guide 2, process times for some acid foods)."""
    rows = by_line()[f"{product}, hot pack, quart, pressure"]
    dial = [at_altitude(rows, feet, "dial")[0] for feet in (2_000, 4_000, 6_000, 8_000)]
    weight = [at_altitude(rows, feet, "weighted")[0] for feet in (1_000, 1_001)]
    assert [row.pressure_lb for row in (*dial, *weight)] == [6, 7, 8, 9, 5, 10]
    assert {row.minutes for row in (*dial, *weight)} == {minutes}
    assert at_altitude(rows, 8_001, "dial") == ()


def own(food: str, container: str, minutes: float) -> tuple[list[str], float]:
    """Settle an own recipe of one fruit in boiling water at 500 ft: what stops it, and the minutes planned."""
    preserve = Preserve(
        "own", "boiling-water canned", container, equipment=("pot",), ingredients=(crop(food),), minutes_typed=minutes,
        source="aunt",
    )  # fmt: skip
    answer, problems = settle(household(preserve, crops=(Crop(food, 3),)))
    return [group(problem) for problem in problems if problem.is_error], answer.preserves[0].process_minutes


@pytest.mark.parametrize(
    ("food", "least"), [("apricots", 25), ("nectarines", 25), ("rhubarb", 15), ("grapes", 15), ("pineapple", 15)]
)
def test_an_own_recipe_of_this_fruit_is_not_planned_by_the_five_minutes_of_jam(food, least):
    assert own(food, "pint", least - 1) == (["minutes below table"], 0.0)
    assert own(food, "pint", least) == ([], least)


@pytest.mark.parametrize("food", sorted(name for name, kind in kinds().items() if kind.acidity == "acid"))
def test_no_acid_fruit_is_planned_below_the_time_of_fruit_purees(food):
    """There is no fruit left whose own recipe has no floor: any fruit has at least 15 minutes at sea level."""
    assert own(food, "pint", 14)[0] == ["minutes below table"]


def test_a_recipe_of_ones_own_never_goes_into_half_gallon_jars():
    """Half-gallon jars are for very acid juices only (AIB 539, Guide 1); grape juice has its own row."""
    assert own("grapes", "half-gallon", 60)[0] == ["jar not published"]


@pytest.mark.parametrize(
    ("product", "quarts_lb", "pints_lb"), [("apricots", 16, 10), ("rhubarb", 10.5, 7), ("whole grapes", 14, 9)]
)
def test_the_crop_of_a_load_is_what_was_read(product, quarts_lb, pints_lb):
    """Seven quarts and nine pints: MSU 01600770, 01600253, 01600322."""
    assert (crop_lb(product, "quart") or 0) * 7 == pytest.approx(quarts_lb)
    assert (crop_lb(product, "pint") or 0) * 9 == pytest.approx(pints_lb)
