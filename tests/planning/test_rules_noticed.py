"""
What a single wrong sign, number or condition in a rule would spoil, and no other test here would see.

Each case was written for a change of a rule that the other tests let pass (`tests/benches/mutants.py` finds them).
"""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest
from tests import worked_examples as examples
from tests.worked_examples import PLENTY, TUESDAY, bag, day, home, jar, target

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Plan
from stillroom.household.records import (
    FREEZE_WHOLE,
    THAW,
    Container,
    Crop,
    Equipment,
    Hours,
    Household,
    Ingredient,
    Load,
    Lot,
    PlanLine,
)
from stillroom.household.results.coverage import space_rows
from stillroom.household.results.sums import Sums
from stillroom.planning.bottlenecks.resources import catalogue
from stillroom.planning.solve import build, plan


def from_frozen(lots: tuple[Lot, ...], *lines: PlanLine) -> Household:
    """Juice at 1 kg of tomatoes a jar, fresh or frozen; the tomatoes keep ten days and may be frozen whole."""
    juice = jar("juice", "tomato", 1.0, ingredients=(Ingredient("tomato", "crop", 1.0, from_frozen=True),))
    crops = (Crop("tomato", 10.0, may_be_frozen_whole=True),)
    return home((juice,), lots, (target("juice", 5, importance=1),), crops=crops, plan_lines=lines)


def test_a_fixed_line_of_freezing_whole_is_kept() -> None:
    """5 kg of 12 are to be frozen tomorrow, though nobody needs them frozen."""
    household = from_frozen((Lot("tomato", TUESDAY, 12.0),), PlanLine(day(1), 1, FREEZE_WHOLE + "tomato", fix=5.0))
    found = plan(household)
    assert found.violations == ()
    assert found.freeze_kg["tomato", 1] == pytest.approx(5.0, abs=1e-3)
    assert violated_constraints(household, found) == ()


def test_a_fixed_line_of_thawing_is_kept() -> None:
    """2 of the 4 kg in the freezer are to be taken out tomorrow, though fresh crop would do: 5 jars of 12 kg."""
    lots = (Lot("tomato", TUESDAY, 12.0), Lot("tomato", day(-8), 4.0, frozen_on=day(-7)))
    household = from_frozen(lots, PlanLine(day(1), 1, THAW + "tomato", fix=2.0))
    found = plan(household)
    assert found.violations == ()
    assert found.thaw_kg["tomato", 1] == pytest.approx(2.0, abs=1e-3)
    assert violated_constraints(household, found) == ()


def changed(most: float, *before: float) -> float:
    """Containers changed from a former plan of so many juices day by day; 12 kg for as many jars as are wanted."""
    lines = tuple(PlanLine(day(number), 1, "juice", make=made) for number, made in enumerate(before))
    household = home(
        (jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 12.0),), (target("juice", most, importance=1),),
        plan_lines=lines,
    )  # fmt: skip
    found = plan(household)
    assert found.made("juice") == most
    (effort,) = (objective for objective in found.objectives if objective.kind == "effort")
    return next(part.value for part in effort.parts if part.kind == "stability")


def test_more_than_before_counts_as_change() -> None:
    """12 jars where 3 and 2 stood: 7 more, on whichever day."""
    assert changed(12.0, 3.0, 2.0) == pytest.approx(7.0, abs=0.02)


def test_less_than_before_counts_as_change() -> None:
    """4 jars where 3 and 5 stood: 4 fewer, on whichever day."""
    assert changed(4.0, 3.0, 5.0) == pytest.approx(4.0, abs=0.02)


def test_a_plan_that_can_stay_stays() -> None:
    assert changed(12.0, 7.0, 5.0) == pytest.approx(0.0, abs=0.02)


def planned(household: Household) -> Plan:
    """The plan of a household, which must pass its audit."""
    found = plan(household)
    assert violated_constraints(household, found) == ()
    return found


def test_a_frozen_lot_that_is_due_tomorrow_is_still_cooked_tomorrow() -> None:
    """9 kg frozen 27 days ago keep 28: due tomorrow, when the stove is free. With the other 6 kg: 10 jars of 1.5 kg."""
    household = examples.frozen_lots_come_due()
    early, late = household.lots
    lots = (dataclasses.replace(early, frozen_on=day(-27)), late)
    assert planned(dataclasses.replace(household, lots=lots)).made("juice") == 10


def test_crop_frozen_today_is_cooked_on_the_last_day_it_keeps() -> None:
    """
    Frozen today it keeps a week: the week after today ends on that very day. 6 kg are 6 jars, and none is surplus.
    """
    juice = jar("juice", "tomato", 1.0, ingredients=(Ingredient("tomato", "crop", 1.0, from_frozen=True),))
    household = home(
        (juice,), (Lot("tomato", TUESDAY, 6.0),), (target("juice", 6, importance=1),), days=1, weeks=2,
        crops=(Crop("tomato", 0.0, may_be_frozen_whole=True, frozen_keeps_weeks=1.0),),
        hours=(examples.stove_on((0.0,), 7.0),),
    )  # fmt: skip
    found = planned(household)
    assert found.freeze_kg["tomato", 0] == pytest.approx(6.0, abs=0.03)
    assert found.made("juice", 1) == pytest.approx(6.0, abs=0.03)


def frozen_beans(days: int = 1, weeks: int = 0, **more: Any) -> Plan:
    """Bags of 1 kg of beans for the freezer, a liter each; 40 kg of beans, 40 bags wanted."""
    lots = (Lot("bean", TUESDAY, 40.0), *more.pop("lots", ()))
    preserves = (bag("beans", "bean", 1.0), *more.pop("preserves", ()))
    targets = (target("beans", 40, importance=1), *more.pop("targets", ()))
    return planned(home(preserves, lots, targets, days, weeks, **more))


def test_the_freezer_holds_so_many_bags() -> None:
    """7 L free: 7 bags of a liter."""
    assert frozen_beans(kitchen={"freezer_free_litres": 7.0}).made("beans") == 7


def test_crop_that_lies_frozen_has_its_place_and_leaves_it_when_it_is_cooked() -> None:
    """Nothing free; 5 kg of tomatoes lie frozen at 1.8 L a kg. Cooked, they leave 9 L: 9 bags."""
    juice = jar("juice", "tomato", 1.0, ingredients=(Ingredient("tomato", "crop", 1.0, from_frozen=True),))
    lot = Lot("tomato", day(-8), 5.0, frozen_on=day(-7))
    found = frozen_beans(
        kitchen={"freezer_free_litres": 0.0}, preserves=(juice,), lots=(lot,), targets=(target("juice", 5, importance=1),),
    )  # fmt: skip
    assert found.made("juice") == 5
    assert found.made("beans") == 9


def test_a_days_freezing_counts_what_goes_into_bags() -> None:
    """3 kg a day, two days: 6 bags of 1 kg. In a week 7 times as much: 21."""
    assert frozen_beans(days=2, kitchen={"freeze_kg_a_day": 3.0}).made("beans") == 6
    in_a_week = frozen_beans(days=0, weeks=1, kitchen={"freeze_kg_a_day": 3.0})
    assert in_a_week.made("beans") == pytest.approx(21.0, abs=0.03)


def test_a_days_freezing_counts_crop_frozen_whole_and_bags_together() -> None:
    """5 kg a day: 4 kg of tomatoes are fixed to be frozen whole, so 1 bag of beans goes in as well."""
    fixed = (PlanLine(TUESDAY, 1, FREEZE_WHOLE + "tomato", fix=4.0),)
    found = frozen_beans(
        kitchen={"freeze_kg_a_day": 5.0}, lots=(Lot("tomato", TUESDAY, 6.0),), plan_lines=fixed,
        crops=(Crop("bean", 30.0), Crop("tomato", 30.0, may_be_frozen_whole=True)),
    )  # fmt: skip
    assert found.freeze_kg["tomato", 0] == pytest.approx(4.0, abs=1e-3)
    assert found.made("beans") == 1


def broth_today_soup_tomorrow(**more: Any) -> Plan:
    """Bones that must become broth today, 1 kg a jar, kept on the shelf; beans come tomorrow, a broth to each soup."""
    broth = jar("broth", "bone", 1.0, space_litres_each=1.0)
    lines = (Ingredient("broth", "preserve", 1.0), Ingredient("bean", "crop", 1.0))
    soup = bag("soup", "bean", 1.0, ingredients=lines)
    lots = (Lot("bone", TUESDAY, 6.0), Lot("bean", day(1), 30.0, expected=True))
    crops = (Crop("bone", 0.0), Crop("bean", 5.0))
    return planned(home((broth, soup), lots, (target("soup", 6, importance=1),), crops=crops, **more))


def test_the_shelf_must_hold_the_broth_overnight_though_it_is_empty_in_the_end() -> None:
    """6 broths with room; on a shelf of 4 L only 4 stand overnight, and soup takes them off again: 4 soups."""
    assert broth_today_soup_tomorrow().made("soup") == 6
    assert broth_today_soup_tomorrow(kitchen={"shelf_free_litres": 4.0}).made("soup") == 4


def test_the_jars_of_the_broth_are_full_overnight_though_they_come_back() -> None:
    """4 jars hold 4 broths overnight: 4 soups, in bags."""
    few = (Container("jar", "jar", 1.0, None, 4.0), Container("bag", "bag", 1.0, None, PLENTY))
    assert broth_today_soup_tomorrow(containers=few).made("soup") == 4


def test_what_soup_takes_off_the_shelf_makes_room_on_it() -> None:
    """6 broths fill 6 L overnight; 6 soups take them off, so tomorrow's 6 jars of beans find room again."""
    broth = jar("broth", "bone", 1.0, space_litres_each=1.0)
    lines = (Ingredient("broth", "preserve", 1.0), Ingredient("bean", "crop", 1.0))
    soup = bag("soup", "bean", 1.0, ingredients=lines)
    beans = jar("beans", "bean", 1.0, space_litres_each=1.0)
    lots = (Lot("bone", TUESDAY, 6.0), Lot("bean", day(1), 30.0, expected=True))
    targets = (target("soup", 6, importance=1), target("beans", 9, importance=2))
    crops = (Crop("bone", 0.0), Crop("bean", 5.0))
    household = home((broth, soup, beans), lots, targets, crops=crops, kitchen={"shelf_free_litres": 6.0})
    found = planned(household)
    assert (found.made("soup"), found.made("beans")) == (6, 6)


def test_jars_are_bought_where_they_are_missing() -> None:
    """2 jars on hand, 3 to be bought at 2.00: 5 jars of juice, 6.00 spent."""
    boxes = (Container("jar", "jar", 1.0, None, 2.0, price=2.0, can_buy=3.0),)
    household = home(
        (jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 9.0),), (target("juice", 9, importance=1),), containers=boxes,
    )  # fmt: skip
    found = planned(household)
    assert found.made("juice") == 5
    assert dict(found.buy_containers) == {"jar": 3.0}
    household = dataclasses.replace(household, kitchen=dataclasses.replace(household.kitchen, spending_limit=4.5))
    assert planned(household).made("juice") == 4


def test_a_fixed_line_goes_beyond_at_most_and_below_the_smallest_batch() -> None:
    """8 jars fixed where at most 5 are wanted; 2 bags fixed where 4 are the smallest batch: both kept."""
    juice, beans = jar("juice", "tomato", 1.0), bag("beans", "bean", 1.0, smallest_batch=4)
    lots = (Lot("tomato", TUESDAY, 9.0), Lot("bean", TUESDAY, 9.0))
    lines = (PlanLine(TUESDAY, 1, "juice", fix=8.0), PlanLine(TUESDAY, 1, "beans", fix=2.0))
    targets = (target("juice", 5, importance=1), target("beans", 2, importance=1))
    found = planned(home((juice, beans), lots, targets, plan_lines=lines))
    assert found.violations == ()
    assert (found.make["juice", 0], found.make["beans", 0]) == (8.0, 2.0)
    assert found.made("juice") == 8


def test_a_load_takes_hands_of_its_own() -> None:
    """30 min a load and 3 min a jar: a load of 7 takes 51 min. 1 h 42 give two loads, 14 jars; 1 h 41 one and part."""

    def made(hours: float) -> float:
        juice = jar("juice", "tomato", 1.0, hands_minutes_each=3.0, hands_minutes_load=30.0)
        rows = (Hours("hands", (hours,) * 7, 0.0),)
        household = home((juice,), (Lot("tomato", TUESDAY, 30.0),), (target("juice", 30, importance=1),), 1, hours=rows)
        return planned(household).made("juice")

    assert made(1.7) == 14
    assert made(1.6) == 12


def test_freezing_whole_takes_hands() -> None:
    """Half an hour a kilogram, one hour today: 2 kg of tomatoes frozen, 4 fed, as the stove is cold until next week."""
    juice = jar("juice", "tomato", 1.0, ingredients=(Ingredient("tomato", "crop", 1.0, from_frozen=True),))
    household = home(
        (juice,), (Lot("tomato", TUESDAY, 6.0),), (target("juice", 6, importance=1),), days=1, weeks=1,
        crops=(Crop("tomato", 0.0, may_be_frozen_whole=True, freeze_hours_per_kg=0.5),),
        hours=(examples.stove_on((0.0,), 7.0), Hours("hands", (1.0,) * 7, 20.0)),
    )  # fmt: skip
    found = planned(household)
    assert found.freeze_kg["tomato", 0] == pytest.approx(2.0, abs=0.01)
    assert found.made("juice") == pytest.approx(2.0, abs=0.01)


def test_a_kettle_is_held_for_the_cooking_down_and_the_canner_for_the_process() -> None:
    """An hour in the kettle, an hour in the canner a load. Kettle 2 h: 14 jars; kettle 9 h and canner 3 h: 21."""

    def made(kettle: float, canner: float) -> float:
        sauce = jar("sauce", "tomato", 1.0, equipment=("kettle", "canner"), stove_minutes_load=60.0)
        pieces = (
            Equipment("kettle", "kettle", 1, (Load(7.0, "jar"),), 1.0),
            Equipment("canner", "boiling-water canner", 1, (Load(7.0, "jar"),), 1.0, 20 / 60),
        )
        rows = (Hours("kettle", (kettle,) * 7, 0.0), Hours("canner", (canner,) * 7, 0.0))
        household = home(
            (sauce,), (Lot("tomato", TUESDAY, 40.0),), (target("sauce", 40, importance=1),), 1, hours=rows, equipment=pieces,
        )  # fmt: skip
        return planned(household).made("sauce")

    assert made(2.0, 9.0) == 14
    assert made(9.0, 3.0) == 21


def test_a_burner_is_held_overnight_by_a_long_job() -> None:
    """
    A job of 36 h on a burner takes 24 burner-hours of its first day and 12 of the next.

    With 24 a day the second day has 12 left, too few for a second one: 1 load of 6 in two days, a second on the third.
    """
    stock = Equipment("stockpot", "kettle", 2, (Load(6.0, "jar"),), 1.0, runs_overnight=True)
    broth = jar("broth", "bone", 1.0, load=6, equipment=("stockpot",), process_minutes=2160.0)
    household = home(
        (broth,), (Lot("bone", TUESDAY, 40.0),), (target("broth", 40, importance=1),), days=2,
        hours=(Hours("stove free", (24.0,) * 7, 0.0),), equipment=(stock,),
    )  # fmt: skip
    assert planned(household).made("broth") == 6


def test_what_is_frozen_today_is_not_taken_out_today() -> None:
    """2 kg are to be taken out today, and none lay frozen this morning: the line falls short by 2, said as such."""
    household = from_frozen((Lot("tomato", TUESDAY, 12.0),), PlanLine(TUESDAY, 1, THAW + "tomato", fix=2.0))
    found = planned(household)
    assert [violation.short for violation in found.violations] == [pytest.approx(2.0, abs=1e-3)]
    assert not found.thaw_kg


def test_what_is_not_to_be_made_is_made_only_where_it_is_fixed() -> None:
    """Sauce has Include = no and stood in the former plan; 1 is fixed for tomorrow. Today there is none of it."""
    juice = jar("juice", "tomato", 1.0)
    sauce = jar("sauce", "tomato", 1.0, include=False)
    lines = (PlanLine(TUESDAY, 1, "sauce", make=3.0), PlanLine(day(1), 1, "sauce", make=3.0, fix=1.0))
    targets = (target("juice", 5, importance=1), target("sauce", 5, importance=1))
    found = planned(home((juice, sauce), (Lot("tomato", TUESDAY, 9.0),), targets, plan_lines=lines))
    assert found.violations == ()
    assert {key: made for key, made in found.make.items() if key[0] == "sauce"} == {("sauce", 1): 1.0}


def test_half_a_broth_makes_room_for_half_a_jar() -> None:
    """
    A shelf of 10 L: 4 broths of 2 L stand overnight, 8 L; 8 soups take half a broth each, all 4.

    So tomorrow 5 jars of beans of 2 L find room, though the broth took 8 of the 10 L.
    """
    broth = jar("broth", "bone", 1.0, space_litres_each=2.0)
    lines = (Ingredient("broth", "preserve", 0.5), Ingredient("bean", "crop", 1.0))
    soup = bag("soup", "bean", 1.0, ingredients=lines)
    beans = jar("beans", "bean", 1.0, space_litres_each=2.0)
    lots = (Lot("bone", TUESDAY, 4.0), Lot("bean", day(1), 30.0, expected=True))
    targets = (target("soup", 8, importance=1), target("beans", 9, importance=2))
    crops = (Crop("bone", 0.0), Crop("bean", 5.0))
    found = planned(home((broth, soup, beans), lots, targets, crops=crops, kitchen={"shelf_free_litres": 10.0}))
    assert (found.made("broth"), found.made("soup"), found.made("beans")) == (4, 8, 5)


def test_a_days_freezing_is_known_where_a_crop_lies_frozen_that_may_not_be_frozen() -> None:
    """4 kg lie frozen of a crop that may not be frozen any more; 3 kg a day are still 3 bags of beans."""
    lot = Lot("plum", day(-8), 4.0, frozen_on=day(-7))
    assert frozen_beans(kitchen={"freeze_kg_a_day": 3.0}, lots=(lot,)).made("beans") == 3


def test_the_last_broth_is_made_whole_though_soup_takes_a_part_of_it() -> None:
    """10 soups take 2.5 broths, which count toward nothing themselves: 3 whole ones are made, not 2 for 8 soups."""
    broth = jar("broth", "bone", 1.0)
    soup = bag(
        "soup", "bean", 1.0, ingredients=(Ingredient("broth", "preserve", 0.25), Ingredient("bean", "crop", 1.0))
    )
    lots = (Lot("bone", TUESDAY, 9.0), Lot("bean", TUESDAY, 30.0))
    found = planned(home((broth, soup), lots, (target("soup", 10, importance=1),)))
    assert (found.made("broth"), found.made("soup")) == (3, 10)


def test_a_container_takes_the_stove_by_itself() -> None:
    """10 min of a burner a bag, an hour of stove: 6 bags. With jars, 6 min each and an hour a load: 1.7 h give 7."""
    beans = bag("beans", "bean", 1.0, stove_minutes_each=10.0)
    rows = (examples.stove_on((1.0,)),)
    lots = (Lot("bean", TUESDAY, 30.0),)
    assert planned(home((beans,), lots, (target("beans", 30, importance=1),), 1, hours=rows)).made("beans") == 6
    juice = jar("juice", "tomato", 1.0, stove_minutes_each=6.0)
    household = home(
        (juice,), (Lot("tomato", TUESDAY, 30.0),), (target("juice", 30, importance=1),), 1,
        hours=(examples.stove_on((1.7,)),),
    )  # fmt: skip
    assert planned(household).made("juice") == 7


def test_without_a_burner_nothing_is_cooked_and_what_needs_none_is_made() -> None:
    """No burner: no hour of a free stove cooks a bag that takes one; 30 bags that take none are made, and shown so."""
    beans, plums = bag("beans", "bean", 1.0, stove_minutes_each=10.0), bag("plums", "plum", 1.0)
    lots = (Lot("bean", TUESDAY, 30.0), Lot("plum", TUESDAY, 30.0))
    targets = (target("beans", 30, importance=1), target("plums", 30, importance=1))
    household = home((beans, plums), lots, targets, 1, kitchen={"burners": 0.0}, hours=(examples.stove_on((5.0,)),))
    found = planned(household)
    assert (found.made("beans"), found.made("plums")) == (0, 30)
    (row,) = space_rows(Sums(household, found))
    assert (row["Stove used"], row["Stove left"]) == (0, 5)
    assert not [limit for limit in catalogue(*build(household)) if "stove" in limit.words]


def test_what_is_frozen_tomorrow_does_not_keep_what_is_due_today() -> None:
    """9 kg frozen 28 days ago are due today, when the stove is cold: lost, though 9 kg more are frozen tomorrow."""
    household = examples.frozen_lots_come_due()
    early, _ = household.lots
    lots = (early, Lot("tomato", day(1), 18.0, expected=True))
    found = planned(dataclasses.replace(household, lots=lots))
    assert sum(found.spoil_kg.values()) == pytest.approx(9.0, abs=0.02)
    assert found.made("juice") == 12


def test_a_need_of_nothing_is_no_aim_but_its_room_saves_crop() -> None:
    """None is wanted and 5 are allowed: 5 jars of 9 kg, since what is made is not fed."""
    household = home(
        (jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 9.0),), (target("juice", 0, 5, importance=1),),
    )  # fmt: skip
    found = planned(household)
    assert found.made("juice") == 5
    assert next(objective.value for objective in found.objectives if objective.name == "targets 1") == 0.0


def test_no_more_is_taken_out_tomorrow_than_lies_frozen_tonight() -> None:
    """3 kg lie frozen, fresh crop comes tomorrow only; 4 are to be taken out tomorrow: short by 1."""
    lots = (Lot("tomato", day(1), 12.0, expected=True), Lot("tomato", day(-8), 3.0, frozen_on=day(-7)))
    household = from_frozen(lots, PlanLine(day(1), 1, THAW + "tomato", fix=4.0))
    found = planned(household)
    assert [violation.short for violation in found.violations] == [pytest.approx(1.0, abs=1e-3)]


def test_in_a_week_no_more_broth_is_made_than_the_soup_takes() -> None:
    """10 soups take 2.5 broths; bones for 9 lie there, the stove is cold until next week: 2.5 broths, not 3.5."""
    broth = jar("broth", "bone", 1.0)
    soup = bag(
        "soup", "bean", 1.0, ingredients=(Ingredient("broth", "preserve", 0.25), Ingredient("bean", "crop", 1.0))
    )
    lots = (Lot("bone", TUESDAY, 9.0), Lot("bean", TUESDAY, 10.0))
    household = home(
        (broth, soup), lots, (target("soup", 10, importance=1),), days=1, weeks=1, hours=(examples.stove_on((0.0,), 20.0),),
    )  # fmt: skip
    found = planned(household)
    assert found.made("soup") == pytest.approx(10.0, abs=0.03)
    assert found.made("broth") == pytest.approx(2.5, abs=0.03)


def test_a_need_of_one_is_a_need() -> None:
    """One jar is wanted and one is made: 2.5 points. With none there is nothing to fill it with."""
    household = home(
        (jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 2.0),), (target("juice", 1, importance=1),)
    )
    found = planned(household)
    assert found.made("juice") == 1
    assert next(objective.value for objective in found.objectives if objective.name == "targets 1") == pytest.approx(
        2.5
    )
    empty = planned(dataclasses.replace(household, lots=(Lot("tomato", TUESDAY, 0.5),)))
    assert next(objective.value for objective in empty.objectives if objective.name == "targets 1") == 0.0


def test_two_kinds_share_the_stove() -> None:
    """10 min of a burner a bag of either, an hour of stove: 6 bags together, though there is room for 6 of each."""
    preserves = tuple(bag(name, name, 1.0, stove_minutes_each=10.0) for name in ("bean", "pea"))
    lots = tuple(Lot(name, TUESDAY, 9.0) for name in ("bean", "pea"))
    targets = tuple(target(name, 6, importance=1) for name in ("bean", "pea"))
    found = planned(home(preserves, lots, targets, 1, hours=(examples.stove_on((1.0,)),)))
    assert found.made("bean") + found.made("pea") == 6


def test_what_has_no_purpose_is_not_made_in_weeks_either() -> None:
    """Rings of pears count toward nothing and nothing takes them: none in a week, not even a part of a bag."""
    preserves = (bag("apples", "apple", 1.0), bag("rings", "pear", 1.0))
    lots = (Lot("apple", TUESDAY, 4.0), Lot("pear", TUESDAY, 4.0))
    for days, weeks in ((0, 1), (1, 1)):
        found = planned(home(preserves, lots, (target("apples", 4, importance=1),), days, weeks))
        assert found.made("rings") == 0
