"""A day's work by hand: what is made, less where there is less, and what is left of everything."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from tests.season_replay.households import SURE, expected, one_crop
from tests.worked_examples import TUESDAY, bag, day, home, jar, target

from stillroom.household.plan import Plan, periods
from stillroom.household.records import (
    Container,
    Crop,
    Equipment,
    Household,
    Ingredient,
    Lid,
    Load,
    Lot,
    PlanLine,
    ShelfRow,
    Target,
)
from stillroom.household.simulation.seasons import Draw
from stillroom.household.simulation.state import SeasonState, work

END = day(13)


def standing(household: Household, **unsure: float) -> SeasonState:
    """A household on the morning of its first day, with nothing left to chance unless said."""
    found = SeasonState(household, Draw(1, 0, replace(SURE, **unsure)), END)
    found.morning(TUESDAY)
    return found


def planned(household: Household, **amounts: object) -> Plan:
    return Plan(periods(household.kitchen), **amounts)  # type: ignore[arg-type]


def test_no_more_is_made_than_the_crop_that_came() -> None:
    """Planned are 10 bags of a kilogram; 8 kg came, 1 kg of it eaten: 7 bags, nothing left."""
    household = one_crop(10.0, (expected(10.0, 0, 8.0, 8.0),))
    household = replace(household, crops=(Crop("tomato", 3, eaten_kg_a_week=7.0),))
    now = standing(replace(household, lots=(Lot("tomato", TUESDAY, 8.0),)))
    now.eat()
    work(now, planned(household, make={("juice", 0): 10.0}), TUESDAY)
    assert now.made == {"juice": 7.0}
    assert now.there(now.fresh["tomato"]) == pytest.approx(0.0)
    assert now.on_hand["Container", "bag"] == 993.0


def test_jars_lids_and_money_end_the_work_and_what_is_missing_is_bought() -> None:
    """5 jars at hand and 4 to buy at 1.50, 20 lids; 4 of money buy 2 jars: 7 are made, and the money is 3."""
    household = home((jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 50.0),), (target("juice", 20),))
    container = Container("jar", "jar", 1.0, None, 5, lid="lid", price=1.5, can_buy=4)
    household = replace(
        household,
        containers=(container,),
        lids=(Lid("lid", 20),),
        kitchen=replace(household.kitchen, spending_limit=4.0),
    )
    now = standing(household)
    work(now, planned(household, make={("juice", 0): 14.0}), TUESDAY)
    assert now.made == {"juice": 7.0}
    assert now.spent == 3.0
    assert (now.on_hand["Container", "jar"], now.can_buy["Container", "jar"]) == (0.0, 2.0)
    assert now.on_hand["Lid", "lid"] == 13.0
    later = now.as_household(day(1))
    assert later.kitchen.spending_limit == 1.0
    assert later.containers[0].can_buy == 2.0


def test_thawed_crop_is_only_taken_as_far_as_it_is_cooked() -> None:
    """
    4 kg fresh and 6 kg frozen, 5 to be thawed, 9 bags planned, but a tub for 7 only: 5 out of the freezer, 2 fresh.
    """
    line = Ingredient("tomato", "crop", 1.0, from_frozen=True)
    household = home(
        (bag("sauce", "tomato", 1.0, ingredients=(line,)),), (Lot("tomato", TUESDAY, 4.0),), (target("sauce", 9),)
    )
    frozen = Lot("tomato", day(-3), 6.0, frozen_on=day(-3))
    bags = Container("bag", "bag", 1.0, None, 7)
    now = standing(replace(household, lots=(*household.lots, frozen), containers=(bags,)))
    work(now, planned(household, make={("sauce", 0): 9.0}, thaw_kg={("tomato", 0): 5.0}), TUESDAY)
    assert now.made == {"sauce": 7.0}
    assert now.there(now.frozen["tomato"]) == pytest.approx(1.0)
    assert now.there(now.fresh["tomato"]) == pytest.approx(2.0)


def test_what_goes_into_the_freezer_takes_room_and_what_is_thawed_gives_it_back() -> None:
    """10 L free; 3 bags of a liter, then 20 kg to be frozen at 1.8 L a kg, but only (10 - 3) / 1.8 kg have room."""
    household = one_crop(3.0, (Lot("tomato", TUESDAY, 30.0),), kitchen={"freezer_free_litres": 10.0})
    crops = (Crop("tomato", 5, may_be_frozen_whole=True, freezer_litres_per_kg=1.8),)
    now = standing(replace(household, crops=crops))
    work(now, planned(household, make={("juice", 0): 3.0}, freeze_kg={("tomato", 0): 20.0}), TUESDAY)
    assert now.there(now.frozen["tomato"]) == pytest.approx(7.0 / 1.8)
    assert now.room("freezer") == pytest.approx(0.0, abs=1e-9)
    now.take(now.frozen["tomato"], 1.0)
    assert now.room("freezer") == pytest.approx(1.8)


def test_preserves_that_others_take_are_made_first_and_their_jars_come_back() -> None:
    """2 jars of juice on the shelf and 4 more made give 3 pots of soup at 2 jars: 6 jars come back."""
    soup = bag("soup", "tomato", 0.0, ingredients=(Ingredient("juice", "preserve", 2.0),))
    household = home((soup, jar("juice", "tomato", 1.0)), (Lot("tomato", TUESDAY, 4.0),), (target("soup", 5),))
    now = standing(replace(household, shelf=(ShelfRow("juice", 2.0),)))
    work(now, planned(household, make={("soup", 0): 5.0, ("juice", 0): 4.0}), TUESDAY)
    assert (now.made["soup"], now.on_shelf("juice")) == (3.0, 0.0)
    assert now.on_hand["Container", "jar"] == 1000.0 - 4.0 + 6.0


def test_crop_past_its_time_is_fed_in_the_evening_and_frozen_crop_past_its_weeks() -> None:
    household = one_crop(1.0, (Lot("tomato", day(-1), 3.0), Lot("tomato", TUESDAY, 4.0)), keeps_days=2.0)
    crops = tuple(replace(crop, frozen_keeps_weeks=1.0) for crop in household.crops)
    lots = (*household.lots, Lot("tomato", day(-20), 5.0, frozen_on=day(-6)))
    now = standing(replace(household, crops=crops, lots=lots))
    now.evening(TUESDAY)
    assert sum(now.surplus.values()) == 0.0
    now.evening(day(1))
    assert now.surplus["tomato"] == pytest.approx(3.0 + 5.0)
    now.evening(day(2))
    assert now.surplus["tomato"] == pytest.approx(12.0)


def test_a_crock_that_is_full_is_not_free_before_it_is_done() -> None:
    """Two crocks, a kraut of 21 days in one: one is left; in both: none before the day."""
    kraut = bag(
        "kraut", "tomato", 1.0, equipment=("crock",), load=4, process_minutes=21 * 24 * 60.0, method="fermented"
    )
    crock = Equipment("crock", "crock", 2, (Load(4, "bag"),), 0, runs_overnight=True)
    household = home((kraut,), (Lot("tomato", TUESDAY, 30.0),), (target("kraut", 12),), equipment=(crock,))
    now = standing(household)
    work(now, planned(household, make={("kraut", 0): 4.0}), TUESDAY)
    assert now.as_household(day(1)).equipment[0].how_many == 1
    work(now, planned(household, make={("kraut", 0): 4.0}), TUESDAY)
    assert now.as_household(day(1)).equipment[0].free_from == day(21)
    assert now.as_household(day(21)).equipment == (crock,)


def test_containers_come_back_week_by_week_and_the_day_they_ran_out_is_kept() -> None:
    household = one_crop(9.0, (Lot("tomato", TUESDAY, 9.0),))
    back = Container("bag", "bag", 1.0, None, 2, back_each_week=3.5)
    now = standing(replace(household, containers=(back,)))
    work(now, planned(household, make={("juice", 0): 9.0}), TUESDAY)
    now.evening(TUESDAY)
    assert now.ran_out == {"bag": TUESDAY}
    for number in range(1, 8):
        now.morning(day(number))
    assert now.on_hand["Container", "bag"] == math.floor(3.5)


def test_fixed_lines_are_less_by_what_was_made_and_go_when_they_are_past() -> None:
    household = one_crop(9.0, (Lot("tomato", TUESDAY, 9.0),))
    lines = (PlanLine(TUESDAY, 7, "juice", fix=6.0), PlanLine(TUESDAY, 1, "juice", make=3.0, fix=2.0))
    now = standing(replace(household, plan_lines=lines))
    work(now, planned(household, make={("juice", 0): 4.0}), TUESDAY)
    [line] = now.as_household(day(1)).plan_lines
    assert (line.days, line.fix) == (7, 2.0)


def test_only_what_is_good_at_the_end_counts_and_no_more_than_is_wanted() -> None:
    household = one_crop(5.0, (Lot("tomato", TUESDAY, 9.0),))
    preserves = tuple(replace(item, keeps_months=0.2) for item in household.preserves)
    other = Target("bags", 3, 3, counts={"juice": 2.0})
    now = standing(replace(household, preserves=preserves, targets=(*household.targets, other)))
    work(now, planned(household, make={("juice", 0): 4.0}), TUESDAY)
    assert now.filled() == {"juice": 0.0, "bags": 0.0}
    now = standing(replace(household, targets=(*household.targets, other)))
    work(now, planned(household, make={("juice", 0): 4.0}), TUESDAY)
    assert now.filled() == {"juice": 4.0, "bags": 3.0}


def test_what_is_made_of_what_others_are_made_of_comes_after_it() -> None:
    """Broth goes into stock and stock into soup; soup comes first by importance, and is made last all the same."""
    stock = bag("stock", "tomato", 0.0, ingredients=(Ingredient("z broth", "preserve", 1.0),))
    soup = bag("a soup", "tomato", 0.0, ingredients=(Ingredient("stock", "preserve", 1.0),))
    stew = bag("stew", "tomato", 0.0, ingredients=(Ingredient("a soup", "preserve", 1.0),))
    targets = (target("a soup", 5, importance=1), target("stock", 5, importance=2))
    household = home((stew, soup, stock, bag("z broth", "tomato", 1.0)), (Lot("tomato", TUESDAY, 4.0),), targets)
    now = standing(household)
    work(now, planned(household, make={(name, 0): 3.0 for name in ("z broth", "stock", "a soup", "stew")}), TUESDAY)
    assert (now.on_shelf("stew"), now.on_shelf("a soup"), now.on_shelf("z broth")) == (3.0, 0.0, 0.0)


def test_jars_that_come_back_on_a_day_are_filled_again_on_it() -> None:
    """3 jars for 5 juices, 4 of which go into bags of soup: 3 are filled, emptied, and 2 of them filled again."""
    soup = bag("soup", "tomato", 0.0, ingredients=(Ingredient("juice", "preserve", 1.0),))
    household = home((soup, jar("juice", "tomato", 1.0)), (Lot("tomato", TUESDAY, 9.0),), (target("soup", 4),))
    jars = Container("jar", "jar", 1.0, None, 3)
    now = standing(replace(household, containers=(jars, Container("bag", "bag", 1.0, None, 9))))
    work(now, planned(household, make={("soup", 0): 4.0, ("juice", 0): 5.0}), TUESDAY)
    assert (now.on_shelf("soup"), now.on_shelf("juice")) == (4.0, 1.0)
    assert now.on_hand["Container", "jar"] == 2.0


def test_what_was_thawed_of_a_line_fixed_for_a_week_is_done() -> None:
    """6 kg are fixed to be thawed in the week from today; 4 were today: 2 are left for the days after."""
    line = Ingredient("tomato", "crop", 1.0, from_frozen=True)
    household = home((bag("sauce", "tomato", 1.0, ingredients=(line,)),), (), (target("sauce", 9),))
    household = replace(
        household,
        crops=(Crop("tomato", 5),),
        lots=(Lot("tomato", day(-3), 9.0, frozen_on=day(-3)),),
        plan_lines=(PlanLine(TUESDAY, 7, "thaw: tomato", fix=6.0),),
    )
    now = standing(household)
    work(now, planned(household, make={("sauce", 0): 4.0}, thaw_kg={("tomato", 0): 4.0}), TUESDAY)
    assert [line.fix for line in now.as_household(day(1)).plan_lines] == [2.0]
