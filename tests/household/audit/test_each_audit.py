"""Each audit lets a good plan pass and names what is wrong in a spoiled one; plans here are made by hand, no solver."""

from __future__ import annotations

import dataclasses
import datetime
from collections.abc import Callable
from typing import Any

import pytest
from tests import worked_examples as examples
from tests.worked_examples import TUESDAY, bag, home, jar, target

from stillroom.household.audit import AUDITS, broken, violated_constraints
from stillroom.household.plan import Kind, ObjectiveResult, Plan, Violation, periods
from stillroom.household.records import (
    FREEZE_WHOLE,
    THAW,
    Container,
    Crop,
    Equipment,
    Hours,
    Household,
    Ingredient,
    Lid,
    Load,
    Lot,
    PlanLine,
    Preserve,
    ShelfRow,
)


def planned(household: Household, **amounts: Any) -> Plan:
    """A plan over the household's own periods."""
    return Plan(periods(household.kitchen), **amounts)


def ten_jars() -> tuple[Household, Plan]:
    """15 kg in 10 jars, two loads on the first day: the hand-worked answer of the example."""
    household = examples.juice_by_the_load()
    bands = {("juice", 0): 3.5, ("juice", 1): 3.5, ("juice", 2): 3.0}
    return household, planned(household, make={("juice", 0): 10.0}, loads={("juice", 0): 2.0}, bands=bands)


def frozen_twelve() -> tuple[Household, Plan]:
    """9 kg frozen on each of two days, 18 kg cooked on the fourth: 12 jars."""
    household = examples.freeze_now_cook_later()
    return household, planned(
        household,
        make={("juice", 3): 12.0},
        loads={("juice", 3): 2.0},
        fresh_kg={("tomato", 0): 12.0},
        freeze_kg={("tomato", 0): 9.0, ("tomato", 1): 9.0},
        frozen_kg={("tomato", 0): 9.0, ("tomato", 1): 18.0, ("tomato", 2): 18.0},
        thaw_kg={("tomato", 3): 18.0},
        surplus_kg={("tomato", 1): 3.0},
    )


def five_bags() -> tuple[Household, Plan]:
    """12 min a bag, one hour today: five bags, 15 kg still fresh."""
    household = examples.bags_by_hand()
    fresh = {("bean", 0): 15.0, ("bean", 1): 15.0}
    return household, planned(household, make={("beans", 0): 5.0}, fresh_kg=fresh)


def two_loads() -> tuple[Household, Plan]:
    """The stove is free for 2 h: two loads of 1.5 burner-hours of 4, in a canner that has 2 h."""
    household = examples.burners_and_canners()
    plan = planned(household, make={("juice", 0): 14.0}, loads={("juice", 0): 2.0}, fresh_kg={("tomato", 0): 36.0})
    return household, plan


def two_kinds() -> tuple[Household, Plan]:
    """A load of juice and four bags of beans, where two kinds are the most."""
    household = examples.kinds_in_a_day()
    makes, loads = {("juice", 0): 7.0, ("beans", 0): 4.0}, {("juice", 0): 1.0}
    return household, planned(household, make=makes, loads=loads, fresh_kg={("pea", 0): 4.0})


def dryer_twice() -> tuple[Household, Plan]:
    """36 h loads begun on the first and third of three days."""
    household = examples.dryer_over_two_days()
    makes, loads = {("apples", 0): 6.0, ("apples", 2): 6.0}, {("apples", 0): 1.0, ("apples", 2): 1.0}
    fresh = {("apple", 0): 34.0, ("apple", 1): 34.0, ("apple", 2): 28.0}
    return household, planned(household, make=makes, loads=loads, fresh_kg=fresh)


def seven_jars() -> tuple[Household, Plan]:
    """5 jars today, 2 in the second week when they are back."""
    household = examples.jars_that_come_back(lids=7.0)
    makes = {("juice", 0): 5.0, ("juice", 2): 2.0}
    loads = {("juice", 0): 1.0, ("juice", 2): 2 / 7}
    fresh = {("tomato", 0): 35.0, ("tomato", 1): 35.0, ("tomato", 2): 33.0}
    return household, planned(household, make=makes, loads=loads, fresh_kg=fresh)


def bought_for_five() -> tuple[Household, Plan]:
    """7 jars: 3 lids and 0.7 L of lemon juice, 5.00."""
    household = examples.what_money_buys()
    return household, planned(
        household,
        make={("juice", 0): 7.0},
        loads={("juice", 0): 1.0},
        fresh_kg={("tomato", 0): 33.0, ("tomato", 1): 33.0},
        buy_lids={"lid": 3.0},
        buy_items={"lemon juice": 0.7},
    )


def seven_kept(place: str) -> Callable[[], tuple[Household, Plan]]:
    """7 bags of 5 L in 35 L."""

    def case() -> tuple[Household, Plan]:
        household = examples.room_to_keep_it(place)
        fresh = {("apple", 0): 5.0, ("apple", 1): 5.0}
        return household, planned(household, make={("apples", 0): 7.0}, fresh_kg=fresh)

    return case


def ten_soups() -> tuple[Household, Plan]:
    """3 broths made and 2 on the shelf go into 10 soups."""
    household = examples.soup_takes_broth()
    makes, loads = {("broth", 0): 3.0, ("soup", 0): 10.0}, {("broth", 0): 1.0}
    return household, planned(household, make=makes, loads=loads, fresh_kg={("bean", 0): 25.0, ("bean", 1): 25.0})


def twenty_three() -> tuple[Household, Plan]:
    """23 quarts for 45 pints."""
    household = examples.enough_is_enough()
    bands = {("pints", band): 11.25 for band in range(4)}
    fresh = {("tomato", 0): 7.0, ("tomato", 1): 7.0}
    return household, planned(
        household, make={("juice", 0): 23.0}, loads={("juice", 0): 4.0}, fresh_kg=fresh, bands=bands
    )


def five_fixed() -> tuple[Household, Plan]:
    """5 sauces as typed, and 2 juices."""
    household = examples.what_the_hand_wrote()
    makes = {("sauce", 0): 5.0, ("juice", 0): 2.0}
    return household, planned(household, make=makes, loads={("sauce", 0): 1.0, ("juice", 0): 1.0})


def frozen_lot() -> tuple[Household, Plan]:
    """The lot that is due today spoils, the other makes 4 jars tomorrow."""
    household = examples.frozen_lots_come_due()
    return household, planned(
        household,
        make={("juice", 1): 4.0},
        loads={("juice", 1): 1.0},
        frozen_kg={("tomato", 0): 6.0},
        spoil_kg={("tomato", 0): 9.0},
        thaw_kg={("tomato", 1): 6.0},
    )


Case = tuple[Callable[[], tuple[Household, Plan]], dict[str, Any], str]

SPOILED: dict[str, Case] = {
    "crop_balance": (ten_jars, {"make": {("juice", 0): 11.0}}, "33.1 lb come in, but 36.4 lb go out"),
    "keeping_time": (
        frozen_twelve,
        {"fresh_kg": {("tomato", 0): 12.0, ("tomato", 1): 3.0}},
        "Wed Aug 19: 6.6 lb of tomato are carried over, but only 0 lb keep so long",
    ),
    "frozen_balance": (frozen_twelve, {"frozen_kg": {("tomato", 0): 9.0, ("tomato", 1): 19.0}}, "adds up to 39.7 lb"),
    "thaw_after_freezing": (
        frozen_twelve,
        {"thaw_kg": {("tomato", 0): 9.0, ("tomato", 2): 9.0}},
        "Tue Aug 18: 19.8 lb of tomato are taken out or past their date, but only 0 lb were frozen before",
    ),
    "frozen_due_date": (
        frozen_lot,
        {"frozen_kg": {("tomato", 0): 15.0}},
        "Tue Aug 18: 33.1 lb of tomato stay frozen, but only 13.2 lb are not yet due",
    ),
    "thawed_crop_use": (frozen_lot, {"make": {("juice", 1): 3.0}}, "takes only 9.9 lb"),
    "whole_loads": (ten_jars, {"loads": {("juice", 0): 1.0}}, "10 of juice do not fit in 1 load of 7"),
    "worthwhile_loads": (ten_jars, {"loads": {("juice", 0): 3.0}}, "10 of juice do not need 3 loads of 7"),
    "hands_hours": (five_bags, {"make": {("beans", 0): 6.0}}, "1.20 h of labor are needed, but 1 h are available"),
    "stove_hours": (
        two_loads,
        {"loads": {("juice", 0): 3.0}},
        "4.50 burner-hours are needed, but the stove is free for 2 h with 2 burners",
    ),
    "equipment_hours": (
        dryer_twice,
        {"loads": {("apples", 0): 1.0, ("apples", 1): 1.0}},
        "Wed Aug 19: the dryer is needed for 36.00 h (1 load of apples, 1 load of apples), but only 24 h are free",
    ),
    "most_preserves": (
        two_kinds,
        {"freeze_kg": {("pea", 0): 4.0}},
        "Tue Aug 18: 3 preserves are begun (beans, juice, freeze whole: pea), but 2 is the most",
    ),
    "container_stock": (
        seven_jars,
        {"make": {("juice", 0): 5.0, ("juice", 1): 2.0}},
        "week of Wed Aug 19: 7 of jar are full, but only 5 were available",
    ),
    "lid_stock": (
        seven_jars,
        {"make": {("juice", 0): 5.0, ("juice", 2): 3.0}},
        "8 of lid are used, but only 7 were available",
    ),
    "pantry_stock": (bought_for_five, {"buy_items": {"lemon juice": 0.6}}, "0.7 L of lemon juice are used"),
    "spending_limit": (bought_for_five, {"buy_lids": {"lid": 4.0}}, "$5.50 is spent, but the limit is $5.00"),
    "freezer_space": (
        frozen_twelve,
        {"frozen_kg": {("tomato", 0): 9.0, ("tomato", 1): 23.0}},
        "Wed Aug 19: the freezer takes 1.5 cu ft more, but only 1.4 cu ft are free",
    ),
    "freezing_per_day": (
        frozen_twelve,
        {"freeze_kg": {("tomato", 0): 9.5, ("tomato", 1): 9.0}},
        "Tue Aug 18: 20.9 lb are frozen, but the freezer takes 19.8 lb",
    ),
    "refrigerator_space": (seven_kept("refrigerator"), {"make": {("apples", 0): 8.0}}, "refrigerator takes 1.4 cu ft"),
    "shelf_space": (seven_kept("shelf"), {"make": {("apples", 0): 8.0}}, "shelf takes 1.4 cu ft more"),
    "cellar_space": (seven_kept("cellar"), {"make": {("apples", 0): 8.0}}, "but only 1.2 cu ft are free"),
    "preserve_balance": (
        ten_soups,
        {"make": {("broth", 1): 3.0, ("soup", 0): 10.0}},
        "Tue Aug 18: 5 of broth are used by others, but only 2 are available",
    ),
    "target_filling": (
        ten_jars,
        {"bands": {("juice", 0): 4.0}},
        "part 1 is stated to have 4, which is more than it takes",
    ),
    "at_most": (twenty_three, {"make": {("juice", 0): 24.0}}, "48 are made toward it, but there is room for only 45"),
    "no_purpose": (
        ten_soups,
        {"make": {("broth", 0): 6.0, ("soup", 0): 10.0}},
        "6 of broth are made, which counts toward no target, and others use only 5",
    ),
    "fixed_lines": (five_fixed, {"make": {("sauce", 0): 4.0}}, "sauce is fixed at 5, but 4 are planned"),
    "smallest_batch": (
        five_bags,
        {"make": {("beans", 0): 5.0, ("beans", 1): 3.0}},
        "Wed Aug 19: 3 of beans are less than the smallest batch of 4",
    ),
    "smallest_freeze": (
        frozen_twelve,
        {"freeze_kg": {("tomato", 0): 9.0, ("tomato", 1): 1.5}},
        "Wed Aug 19: 3.3 lb of tomato are frozen whole, less than 4 lb",
    ),
    "whole_numbers": (ten_jars, {"make": {("juice", 0): 9.5}}, "9.5 containers of juice are not whole"),
    "buying": (bought_for_five, {"buy_items": {"lemon juice": 1.5}}, "1.5 of lemon juice are bought, but 1 can be"),
}


@pytest.mark.parametrize("constraint", SPOILED)
def test_a_good_plan_passes_and_a_spoiled_one_is_named(constraint: str) -> None:
    case, changes, sentence = SPOILED[constraint]
    household, good = case()
    assert violated_constraints(household, good) == ()
    found = broken(constraint, household, dataclasses.replace(good, **changes))
    assert any(sentence in said for said in found), found


def test_what_does_not_go_into_the_pot_is_found_though_the_load_says_otherwise() -> None:
    """Seven jars of sauce are 14 liters before they boil down, and the pot takes 8; one of 14 takes them."""
    household = examples.sauce_in_a_pot()
    wrong = dataclasses.replace(household, preserves=(dataclasses.replace(household.preserves[0], load=7),))
    plan = planned(wrong, make={("sauce", 0): 7.0}, loads={("sauce", 0): 1.0})
    assert broken("whole_loads", wrong, plan) == ("Tue Aug 18: 14 L of sauce do not go into pot, which takes 8 L",)
    assert broken("whole_loads", examples.sauce_in_a_pot(pot_litres=14.0), plan) == ()


@pytest.mark.parametrize(
    ("made", "batch", "sentence"),
    [
        (8.0, {"batch_typed": False}, "8 of juice: the last of 2 loads has 1, fewer than 3"),
        (10.0, {"batch_typed": False}, None),
        (10.0, {"smallest_batch": 4}, "10 of juice: the last of 2 loads has 3, fewer than 4"),
        (10.0, {"smallest_batch": 14}, "10 of juice: the last of 2 loads has 3, fewer than 4"),
        (11.0, {"smallest_batch": 4}, None),
    ],
)
def test_a_nearly_empty_last_load_is_named(made: float, batch: dict[str, Any], sentence: str | None) -> None:
    """A third of seven is three jars, where the batch is blank; half of it four, where four or more were typed."""
    household, plan = ten_jars()
    item = dataclasses.replace(household.preserves[0], **batch)
    household = dataclasses.replace(household, preserves=(item,))
    plan = dataclasses.replace(plan, make={("juice", 0): made})
    found = broken("worthwhile_loads", household, plan)
    assert found == (() if sentence is None else (f"Tue Aug 18: {sentence}",))
    if batch.get("smallest_batch", 0) > made:
        assert broken("smallest_batch", household, plan) == (
            "Tue Aug 18: 10 of juice are less than the smallest batch of 14",
        )
    lines = (PlanLine(TUESDAY, 1, "juice", fix=made),)
    assert broken("worthwhile_loads", dataclasses.replace(household, plan_lines=lines), plan) == ()


@pytest.mark.parametrize(
    ("changes", "bags"),
    [
        ({"lots": (Lot("bean", TUESDAY, 3.0),)}, 3),
        ({"containers": (Container("bag", "bag", 1.0, None, 2.0),)}, 2),
        ({"hours": (Hours("hands", (0.5,) * 7, 0.0),)}, 4),
        ({"targets": (target("beans", 3, importance=1),)}, 3),
        ({}, 4),
    ],
)
def test_a_blank_batch_is_no_more_than_there_is(changes: dict[str, Any], bags: int) -> None:
    """What crop, bags or the list allow of a batch of four is enough, one fewer is not; hands do not reduce it."""
    household = examples.bags_by_hand(hands_tomorrow=1.0)
    item = dataclasses.replace(household.preserves[0], batch_typed=False)
    household = dataclasses.replace(household, preserves=(item,), **changes)
    assert broken("smallest_batch", household, planned(household, make={("beans", 1): float(bags)})) == ()
    assert broken("smallest_batch", household, planned(household, make={("beans", 1): bags - 1.0})) == (
        f"Wed Aug 19: {bags - 1} of beans are less than the smallest batch of {bags}",
    )


def test_every_audit_has_a_plan_that_it_refuses() -> None:
    assert set(SPOILED) == set(AUDITS)


@pytest.mark.parametrize(
    ("kind", "value", "truth"),
    [
        ("target", 30.5 / 14, 30.5 / 14),
        ("target", 2.3, 30.5 / 14),
        ("surplus", 1.0, 0.0),
        ("labor", 0.5, 0.5),
        ("effort", 0.7, 0.5),
        ("stability", 1.0, 0.0),
        ("money", 3.0, 0.0),
    ],
)
def test_a_printed_aim_is_counted_again(kind: Kind, value: float, truth: float) -> None:
    """Ten jars in two loads: 30.5 / 14 points, nothing fed or spent, two setups of 15 min."""
    household, plan = ten_jars()
    objective = ObjectiveResult(kind, value, "", value, True, importance=1 if kind == "target" else 0)
    said = violated_constraints(household, dataclasses.replace(plan, objectives=(objective,)))
    assert said == (
        () if value == truth else (f"{objective.name} is given as {value:.4f} , but the plan comes to {truth:.4f}",)
    )


def test_what_is_called_proved_lies_near_its_bound() -> None:
    """15 min of two setups is proved between 0 and 0.5 h, not between -0.1 and 0.5 h: half an hour is close enough."""
    household, plan = ten_jars()
    near, far = (ObjectiveResult("effort", 0.5, "hours", bound, True) for bound in (0.0, -0.1))
    assert violated_constraints(household, dataclasses.replace(plan, objectives=(near,))) == ()
    said = ("effort is called proved at 0.5000 hours, but its bound is -0.1000",)
    assert violated_constraints(household, dataclasses.replace(plan, objectives=(far,))) == said
    unproved = dataclasses.replace(far, proved=False)
    assert violated_constraints(household, dataclasses.replace(plan, objectives=(unproved,))) == ()


def test_fed_counts_less_later_and_half_at_the_end() -> None:
    """Three days: 2 kg of surplus today at 1, 2 kg tomorrow at 0.75, 4 kg still fresh at 0.5: 2 + 1.5 + 2 = 5.5."""
    household = home(
        (jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 8.0),), (target("juice", 8, importance=1),), days=3
    )
    fresh = {("tomato", 0): 6.0, ("tomato", 1): 4.0, ("tomato", 2): 4.0}
    plan = planned(household, fresh_kg=fresh, surplus_kg={("tomato", 0): 2.0, ("tomato", 1): 2.0})
    plan = dataclasses.replace(plan, objectives=(ObjectiveResult("surplus", 5.5, "kg", 5.5, True),))
    assert violated_constraints(household, plan) == ()


def test_what_nothing_can_use_counts_whole_when_the_plan_ends() -> None:
    """Frozen whole, and no line may be from frozen: held at 1, so freezing is no way round feeding."""
    household = dataclasses.replace(
        home(
            (jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 8.0),), (target("juice", 8, importance=1),), days=1
        ),
        crops=(Crop("tomato", 1.0, may_be_frozen_whole=True),),
    )
    plan = planned(household, freeze_kg={("tomato", 0): 8.0}, frozen_kg={("tomato", 0): 8.0})
    told_whole = dataclasses.replace(plan, objectives=(ObjectiveResult("surplus", 8.0, "kg", 8.0, True),))
    told_half = dataclasses.replace(plan, objectives=(ObjectiveResult("surplus", 4.0, "kg", 4.0, True),))
    assert violated_constraints(household, told_whole) == ()
    assert violated_constraints(household, told_half) == (
        "surplus is given as 4.0000 kg, but the plan comes to 8.0000",
    )


def test_a_breach_that_is_owned_up_to_passes() -> None:
    """4 of the 5 fixed sauces, and the plan says that 1 is missing."""
    household, plan = five_fixed()
    short = dataclasses.replace(
        plan,
        make={("sauce", 0): 4.0, ("juice", 0): 4.0},
        violations=(Violation("sauce", 0, 5.0, 1.0),),
        objectives=(ObjectiveResult("fixed", 1.0, "containers", 1.0, True),),
    )
    assert violated_constraints(household, short) == ()


def test_a_breach_of_nothing_is_not_believed() -> None:
    household, plan = ten_jars()
    said = broken("fixed_lines", household, dataclasses.replace(plan, violations=(Violation("juice", 0, 5.0, 1.0),)))
    assert said == ("juice is reported as not kept in period 0, but nothing is fixed there",)


def test_a_week_line_is_kept_exactly_only_in_its_own_week() -> None:
    """A line for a Thursday of a week asks for at least its number; the line of the week for exactly its."""
    household = dataclasses.replace(
        home((jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 9.0),), (target("juice", 9, importance=1),), 0, 1),
        plan_lines=(PlanLine(TUESDAY + datetime.timedelta(2), 1, "juice", fix=4.0),),
    )
    seven = planned(household, make={("juice", 0): 7.0}, loads={("juice", 0): 1.0}, fresh_kg={("tomato", 0): 2.0})
    assert violated_constraints(household, seven) == ()
    week = dataclasses.replace(household, plan_lines=(PlanLine(TUESDAY, 7, "juice", fix=4.0),))
    assert broken("fixed_lines", week, seven)


def test_two_fixed_days_of_one_week_are_added() -> None:
    """4 on Wednesday and 4 on Thursday of a week are at least 8 in it."""
    lines = tuple(PlanLine(TUESDAY + datetime.timedelta(away), 1, "juice", fix=4.0) for away in (1, 2))
    household = dataclasses.replace(
        home((jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 9.0),), (target("juice", 9, importance=1),), 0, 1),
        plan_lines=lines,
    )
    assert broken("fixed_lines", household, planned(household, make={("juice", 0): 7.0}))
    assert not broken("fixed_lines", household, planned(household, make={("juice", 0): 8.0}))


def test_crop_fixed_to_be_frozen_whole_is_audited_in_kilograms() -> None:
    household, plan = frozen_twelve()
    fixed = dataclasses.replace(household, plan_lines=(PlanLine(TUESDAY, 1, FREEZE_WHOLE + "tomato", fix=9.0),))
    assert not broken("fixed_lines", fixed, plan)
    more = dataclasses.replace(household, plan_lines=(PlanLine(TUESDAY, 1, FREEZE_WHOLE + "tomato", fix=10.0),))
    assert broken("fixed_lines", more, plan)


@pytest.mark.parametrize("name", ["jam", FREEZE_WHOLE + "tomato", FREEZE_WHOLE + "kale", THAW + "tomato"])
def test_fixed_lines_that_can_be_meant_for_nothing_are_left_out(name: str) -> None:
    """An unknown preserve or crop, or a crop that may not be frozen whole and does not lie frozen."""
    household, plan = ten_jars()
    typed = dataclasses.replace(household, plan_lines=(PlanLine(TUESDAY, 1, name, fix=3.0),))
    assert violated_constraints(typed, plan) == ()


def test_what_is_not_to_be_made_is_made_only_where_it_is_fixed() -> None:
    household, plan = five_fixed()
    refused = tuple(dataclasses.replace(item, include=item.name != "sauce") for item in household.preserves)
    household = dataclasses.replace(household, preserves=refused)
    assert not broken("fixed_lines", household, plan)
    elsewhere = dataclasses.replace(plan, make={("sauce", 0): 5.0, ("sauce", 1): 1.0})
    assert broken("fixed_lines", household, elsewhere) == ("Wed Aug 19: 1 of sauce are made, which is not to be made",)


def test_a_crock_begun_on_a_single_day_is_held_across_the_weeks() -> None:
    """
    10 days: 24 h of each of two detailed days and 168 h of the week, then 24 of the next; a second crock load waits.
    """
    crock = Equipment("crock", "crock", 1, (Load(4.0, "bag"),), runs_overnight=True)
    kraut = Preserve(
        "kraut", "fermented", "bag", equipment=("crock",), load=4, process_minutes=10 * 1440.0,
        ingredients=(Ingredient("cabbage", "crop", 1.0),),
    )  # fmt: skip
    household = home(
        (kraut,), (Lot("cabbage", TUESDAY, 8.0),), (target("kraut", 8, importance=1),), 2, 2, equipment=(crock,)
    )
    one = planned(household, loads={("kraut", 0): 1.0, ("kraut", 3): 0.5})
    two = planned(household, loads={("kraut", 0): 1.0, ("kraut", 3): 0.9})
    assert broken("equipment_hours", household, one) == ()
    assert broken("equipment_hours", household, two) == (
        "week of Thu Aug 27: the crock is needed for 175.20 h (1 load of kraut, 0.9 loads of kraut), but only 168 h are free",
    )


def test_equipment_counts_from_the_day_it_is_free() -> None:
    """Free from the fourth day of a week: 4 of 7 days, 96 of 168 h."""
    free = TUESDAY + datetime.timedelta(3)
    dryer = Equipment("dryer", "dryer", 1, (Load(6.0, "bag"),), runs_overnight=True, free_from=free)
    household = dataclasses.replace(examples.dryer_over_two_days(), equipment=(dryer,))
    kitchen = dataclasses.replace(household.kitchen, days_planned_singly=0, weeks_after_that=1)
    household = dataclasses.replace(household, kitchen=kitchen)
    assert not broken("equipment_hours", household, planned(household, loads={("apples", 0): 96 / 36}))
    assert broken("equipment_hours", household, planned(household, loads={("apples", 0): 2.7}))


def test_equipment_with_a_row_of_hours_runs_those() -> None:
    """Two canners with 1.5 h each by their own row: three loads of an hour, whatever the stove has."""
    household = examples.burners_and_canners(20.0, canners=2)
    household = dataclasses.replace(household, hours=(*household.hours, Hours("Canner", (1.5,) * 7, 10.5)))
    assert not broken("equipment_hours", household, planned(household, loads={("juice", 0): 3.0}))
    assert broken("equipment_hours", household, planned(household, loads={("juice", 0): 4.0}))


def test_earlier_pieces_are_held_for_the_stove_minutes() -> None:
    """A kettle before the canner: 30 min a load, so a stove that is free for 1 h gives the kettle two loads."""
    household = examples.burners_and_canners(1.0, canners=9)
    kettle = Equipment("kettle", "kettle", 1, (Load(7.0, "jar"),))
    through = tuple(dataclasses.replace(item, equipment=("kettle", "canner")) for item in household.preserves)
    household = dataclasses.replace(household, preserves=through, equipment=(*household.equipment, kettle))
    assert not broken("equipment_hours", household, planned(household, loads={("juice", 0): 2.0}))
    assert "kettle" in broken("equipment_hours", household, planned(household, loads={("juice", 0): 3.0}))[0]


def test_a_jar_emptied_into_another_preserve_comes_back_and_its_lid_does_not() -> None:
    """Two jars, three lids: a broth filled, emptied into soups, and its jar filled again."""
    broth = jar("broth", "bone", 1.0)
    soup = bag("soup", "bean", 1.0, ingredients=(Ingredient("broth", "preserve", 1.0),))
    containers = (Container("jar", "jar", 1.0, None, 2.0, lid="lid"), Container("bag", "bag", 1.0, None, 9.0))
    household = home(
        (broth, soup), (Lot("bone", TUESDAY, 5.0),), (target("soup", 5, importance=1),),
        containers=containers, lids=(Lid("lid", 3.0),),
    )  # fmt: skip
    plan = planned(household, make={("broth", 0): 2.0, ("soup", 0): 1.0, ("broth", 1): 1.0})
    assert not broken("container_stock", household, plan)
    assert not broken("lid_stock", household, plan)
    plan = planned(household, make={("broth", 0): 2.0, ("soup", 0): 2.0, ("broth", 1): 2.0})
    assert not broken("container_stock", household, plan)
    assert broken("lid_stock", household, plan) == ("4 of lid are used, but only 3 were available",)


def test_shelf_goods_past_their_date_are_neither_used_nor_counted() -> None:
    """Two broths that are good on the first day only fit in that day's soups, and not in the next day's."""
    household, plan = ten_soups()
    old = (ShelfRow("broth", 2.0, best_by=TUESDAY),)
    household = dataclasses.replace(household, shelf=old)
    assert broken("preserve_balance", household, plan) == ()
    later = dataclasses.replace(plan, make={("broth", 0): 3.0, ("soup", 0): 2.0, ("soup", 1): 8.0})
    assert broken("preserve_balance", household, later) == (
        "Wed Aug 19: 5 of broth are used by others, but only 4 are available",
    )
    past = dataclasses.replace(household, shelf=(ShelfRow("broth", 2.0, best_by=TUESDAY - datetime.timedelta(1)),))
    assert broken("preserve_balance", past, plan)


def test_what_goes_out_of_date_neither_fills_a_target_nor_makes_room_in_it() -> None:
    """Two old broths go into four soups: the broth on the list is the three made, and no fourth is to be made."""
    household = examples.soup_takes_broth(bones_kg=9.0, broth_wanted=3.0)
    old = (ShelfRow("broth", 2.0, best_by=TUESDAY),)
    household = dataclasses.replace(household, shelf=old)
    plan = planned(
        household, make={("broth", 1): 3.0, ("soup", 0): 4.0}, bands={("broth", band): 0.75 for band in range(4)}
    )
    assert broken("target_filling", household, plan) == ()
    assert broken("at_most", household, plan) == ()
    four = dataclasses.replace(plan, make={("broth", 1): 4.0, ("soup", 0): 4.0})
    assert broken("at_most", household, four) == ("broth: 4 are made toward it, but there is room for only 3",)
    filled = dataclasses.replace(plan, make={("broth", 1): 2.0, ("soup", 0): 4.0})
    assert broken("target_filling", household, filled) == ("broth: 3 are stated as covered, but only 2 are available",)


def test_a_preserve_belongs_to_the_need_with_most_room_for_it() -> None:
    """Room for 6 in one target and 10 / 2 = 5 in the other: the six is its own, the other does not hold it back."""
    targets = (
        target("jars", 6, importance=1, counts={"juice": 1.0}),
        target("cups", 10, importance=1, counts={"juice": 2.0}),
    )
    household = home((jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 9.0),), targets)
    assert not broken("at_most", household, planned(household, make={("juice", 0): 6.0}))
    assert broken("at_most", household, planned(household, make={("juice", 0): 7.0}))


def test_what_is_frozen_on_a_day_cannot_come_out_that_evening() -> None:
    """18 kg for the third day: 9 kg of them are frozen on the second, when they would have to come out."""
    household, plan = frozen_twelve()
    (wrong,) = broken("thaw_after_freezing", household, dataclasses.replace(plan, thaw_kg={("tomato", 2): 18.0}))
    assert wrong.endswith("39.7 lb of tomato are taken out or past their date, but only 19.8 lb were frozen before")


def test_lots_past_their_keeping_time_on_the_first_day_are_left_out() -> None:
    """5 kg picked three days ago keep two days: the plan is not asked what became of them."""
    old = Lot("tomato", TUESDAY - datetime.timedelta(3), 5.0)
    household = home(
        (jar("juice", "tomato", 1.0),), (old, Lot("tomato", TUESDAY, 2.0)), (target("juice", 9, importance=1),),
        crops=(Crop("tomato", 2.0),),
    )  # fmt: skip
    plan = planned(household, make={("juice", 0): 2.0}, loads={("juice", 0): 1.0})
    assert violated_constraints(household, plan) == ()


def test_dinner_comes_off_the_oldest_sound_lot() -> None:
    """2 kg a day: the first lot's 3 kg last a day and a half; what is left of it on the third day is past keeping."""
    crop = Crop("tomato", 1.0, eaten_kg_a_week=14.0)
    lots = (Lot("tomato", TUESDAY, 3.0), Lot("tomato", TUESDAY + datetime.timedelta(1), 5.0))
    household = home((jar("juice", "tomato", 1.0),), lots, (target("juice", 9, importance=1),), days=3, crops=(crop,))
    plan = planned(
        household,
        make={("juice", 2): 2.0},
        loads={("juice", 2): 1.0},
        fresh_kg={("tomato", 0): 1.0, ("tomato", 1): 4.0},
    )
    assert violated_constraints(household, plan) == ()


def test_a_plan_for_other_days_or_things_is_refused_before_any_sum() -> None:
    household, plan = ten_jars()
    assert violated_constraints(household, Plan(())) == ("The plan's days are not the days the kitchen asks for",)
    strange = dataclasses.replace(plan, make={("jam", 0): 1.0, ("juice", 9): 1.0}, buy_lids={"gold lid": 1.0})
    assert violated_constraints(household, strange) == (
        "The plan names the preserve jam, which the household does not have",
        "The plan has juice in period 9, which is not in it",
        "The plan buys the lid gold lid, which the household does not have",
    )


def test_amounts_below_zero_or_endless_are_refused() -> None:
    household, plan = ten_jars()
    assert broken("whole_numbers", household, dataclasses.replace(plan, surplus_kg={("tomato", 0): -1.0}))
    assert broken("whole_numbers", household, dataclasses.replace(plan, surplus_kg={("tomato", 0): float("nan")}))
    assert broken("whole_numbers", household, dataclasses.replace(plan, make={("juice", 0): float("nan")}))
    assert broken("buying", *spoiled_buying(float("nan")))
    assert broken("buying", *spoiled_buying(float("inf")))


def test_half_a_lid_is_not_bought() -> None:
    assert broken("buying", *spoiled_buying(3.5)) == ("3.5 of lid are bought, which is not whole",)


def spoiled_buying(lids: float) -> tuple[Household, Plan]:
    """What money buys, with so many lids."""
    household, plan = bought_for_five()
    return household, dataclasses.replace(plan, buy_lids={"lid": lids})


def a_week_from_tomorrow(fix: float, singles: int = 2) -> Household:
    """Juice of a kilogram a jar, two days and a week, and a line for the seven days from tomorrow on."""
    household = home(
        (jar("juice", "tomato", 1.0),),
        (Lot("tomato", TUESDAY, 21.0),),
        (target("juice", 21, importance=1),),
        singles,
        1,
    )
    line = PlanLine(TUESDAY + datetime.timedelta(1), 7, "juice", fix=fix)
    return dataclasses.replace(household, plan_lines=(line,))


def test_a_week_of_which_one_day_is_planned_singly_is_kept_by_that_day_and_the_week() -> None:
    """7 tomorrow and 14 in the week are 21; 13 are not. Of what is made today nothing counts."""
    household = a_week_from_tomorrow(21.0)
    kept = planned(household, make={("juice", 1): 7.0, ("juice", 2): 14.0})
    short = planned(household, make={("juice", 0): 1.0, ("juice", 1): 7.0, ("juice", 2): 13.0})
    assert broken("fixed_lines", household, kept) == ()
    assert broken("fixed_lines", household, short)


def test_a_week_of_which_none_is_fixed_or_most_days_are_single_is_kept_exactly_by_those() -> None:
    """None tomorrow whatever the week makes; and with four of its days planned in detail the week does not count."""
    none, most = a_week_from_tomorrow(0.0), a_week_from_tomorrow(7.0, singles=5)
    assert broken("fixed_lines", none, planned(none, make={("juice", 2): 14.0})) == ()
    assert broken("fixed_lines", none, planned(none, make={("juice", 1): 1.0}))
    assert broken("fixed_lines", most, planned(most, make={("juice", 4): 7.0, ("juice", 5): 7.0})) == ()
    assert broken("fixed_lines", most, planned(most, make={("juice", 5): 7.0}))


@pytest.mark.parametrize(
    ("days", "soup_in", "kept"), [(1, 0, True), (2, 0, False), (2, 1, True), (9, 2, True), (10, 2, False)]
)
def test_what_is_still_in_the_crock_goes_into_nothing(days: int, soup_in: int, kept: bool) -> None:
    """Two days and a week: nine days in the crock are over by the end of it, ten are not."""
    kraut = jar("kraut", "cabbage", 1.0, equipment=("crock",), load=4, process_minutes=days * 1440.0)
    soup = bag("soup", "carrot", 1.0, ingredients=(Ingredient("kraut", "preserve", 1.0),))
    crock = Equipment("crock", "crock", 1, (Load(4.0, "jar"),), runs_overnight=True)
    household = home((kraut, soup), (Lot("cabbage", TUESDAY, 4.0),), (target("soup", 4),), 2, 1, equipment=(crock,))
    plan = planned(household, make={("kraut", 0): 4.0, ("soup", soup_in): 4.0}, loads={("kraut", 0): 1.0})
    assert (broken("preserve_balance", household, plan) == ()) is kept


def test_what_counts_toward_no_need_is_begun_for_any_number() -> None:
    """
    One broth of a batch of four, for four soups of a quarter each; toward a target of its own it would be too few.
    """
    broth = bag("broth", "bone", 1.0, smallest_batch=4)
    soup = bag("soup", "bone", 0.0, ingredients=(Ingredient("broth", "preserve", 0.25),))
    targets = (target("soup", 4, importance=1), target("broth", 4, importance=1))
    household = home((broth, soup), (Lot("bone", TUESDAY, 9.0),), targets)
    plan = planned(household, make={("broth", 0): 1.0, ("soup", 0): 4.0})
    assert broken("smallest_batch", household, plan)
    assert broken("smallest_batch", dataclasses.replace(household, targets=targets[:1]), plan) == ()


def test_what_is_not_to_be_made_is_made_no_more_than_its_line_says() -> None:
    """2 on a day of the week that is planned as a whole: 2 in that week, not 3."""
    household = a_week_from_tomorrow(0.0)
    items = tuple(dataclasses.replace(item, include=False) for item in household.preserves)
    line = PlanLine(TUESDAY + datetime.timedelta(4), 1, "juice", fix=2.0)
    household = dataclasses.replace(household, preserves=items, plan_lines=(line,))
    assert broken("fixed_lines", household, planned(household, make={("juice", 2): 2.0})) == ()
    assert broken("fixed_lines", household, planned(household, make={("juice", 2): 3.0})) == (
        "week of Thu Aug 20: 3 of juice are made, which is not to be made, or only 2",
    )


def test_rooms_that_are_alike_but_for_rounding_go_by_name() -> None:
    """14 / 0.5 and 9.8 / 0.35 are 28 jars both, though the machine has the second a hair above: the juice is *a*'s."""
    targets = (
        target("a", 20, importance=1, counts={"juice": 0.5}),
        target("b", 14, importance=1, counts={"juice": 0.35}),
    )
    household = home((jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 50.0),), targets)
    household = dataclasses.replace(household, shelf=(ShelfRow("juice", 12.0),))
    found = broken("at_most", household, planned(household, make={("juice", 0): 30.0}))
    assert found == ("a: 15 are made toward it, but there is room for only 14",)


def test_money_already_spent_is_not_spent_again() -> None:
    """5.00 of 8.00 is kept; with 3.50 already spent, only 4.50 is left."""
    household, plan = bought_for_five()
    assert [
        violated_constraints(household.with_kitchen(spending_limit=8.0, already_spent=spent), plan)
        for spent in (3.0, 3.5, 9.0)
    ] == [
        (),
        ("$5.00 is spent, but the limit is $4.50",),
        ("$5.00 is spent, but the limit is $0.00",),
    ]
