"""For each rule a household in which it decides: loosen that limit alone and the answer improves."""

from __future__ import annotations

import dataclasses
import datetime
from collections.abc import Callable

import pytest
from tests import worked_examples as examples
from tests.worked_examples import TUESDAY, bag, home, jar, target

from stillroom.household.audit import AUDITS
from stillroom.household.plan import Plan
from stillroom.household.records import Crop, Hours, Household, Ingredient, Lot
from stillroom.planning.solve import plan


@dataclasses.dataclass(frozen=True)
class Binds:
    """A household, the same one with one limit loosened, the objective that must improve, and by how much at least."""

    tight: Household
    loose: Household
    objective: str = "targets 1"
    by: float = 0.01


def surplus_soonest(keeps_days: float) -> Household:
    """Crop that keeps a day or two, and a stove that is free on the third day only."""
    return home(
        (jar("juice", "tomato", 1.0),),
        (Lot("tomato", TUESDAY, 7.0),),
        (target("juice", 7, importance=1),),
        days=3,
        crops=(Crop("tomato", keeps_days),),
        hours=(examples.stove_on((0.0, 0.0, 1.0)),),
    )


def only_from_frozen(second_lot_kg: float) -> Household:
    """Crop that is only in the freezer: what can be taken out is what lay there."""
    return examples.frozen_lots_come_due(keeps_weeks=5.0, second_lot_kg=second_lot_kg)


def frozen_at_the_end(frozen_kg: float) -> Household:
    """A frozen lot cooked today: what is taken out is what was held before, nothing frozen since."""
    lines = (Ingredient("tomato", "crop", 1.0, from_frozen=True),)
    lot = Lot("tomato", TUESDAY - datetime.timedelta(3), frozen_kg, frozen_on=TUESDAY - datetime.timedelta(2))
    juice = jar("juice", "tomato", 1.0, ingredients=lines)
    crops = (Crop("tomato", 3.0, may_be_frozen_whole=True),)
    return home((juice,), (lot,), (target("juice", 20, importance=1),), days=1, crops=crops)


def shelf_space_of(place: str) -> Binds:
    """35 L and 40 L of a place."""
    return Binds(examples.room_to_keep_it(place), examples.room_to_keep_it(place, 40.0))


def by_the_load(load: int) -> Household:
    """One hour of stove for one load of so many jars."""
    juice = jar("juice", "tomato", 1.0, load=load)
    lots, targets = (Lot("tomato", TUESDAY, 20.0),), (target("juice", 14, importance=1),)
    return home((juice,), lots, targets, days=1, hours=(examples.stove_on((1.0,)),))


def counted(counts: dict[str, float]) -> Household:
    """Dried and fresh apples where the second counts toward the target, or does not."""
    preserves = (bag("apples", "apple", 1.0), bag("rings", "pear", 1.0))
    lots = (Lot("apple", TUESDAY, 4.0), Lot("pear", TUESDAY, 4.0))
    return home(preserves, lots, (target("apples", 8, importance=1, counts=counts),))


def few_jars(typed: bool) -> Household:
    """15 jars' worth of crop and a canner of seven: a last load of one jar, where a smallest batch of 1 was typed."""
    juice = jar("juice", "tomato", 1.0, batch_typed=typed)
    return home((juice,), (Lot("tomato", TUESDAY, 15.0),), (target("juice", 15, importance=1),), days=1)


def few_pounds(hands: float) -> Household:
    """
    3 kg of tomato to be frozen whole until the stove is free, an hour of hands a kg, and two hours for a must of beans.

    With 3.5 h there are hands for 1.5 kg = 3.3 lb more, with 3.9 h for 1.9 kg = 4.2 lb.
    """
    juice = jar("juice", "tomato", 0.1, ingredients=(Ingredient("tomato", "crop", 0.1, from_frozen=True),))
    beans = bag("beans", "bean", 1.0, hands_minutes_each=60.0)
    return home(
        (juice, beans), (Lot("tomato", TUESDAY, 3.0), Lot("bean", TUESDAY, 2.0)),
        (target("beans", 2, importance=1), target("juice", 30, importance=2)), days=3,
        crops=(Crop("tomato", 0.0, may_be_frozen_whole=True, freeze_hours_per_kg=1.0), Crop("bean", 0.0)),
        hours=(examples.stove_on((0.0, 0.0, 9.0)), Hours("hands", (hands,) * 7, 0.0)),
    )  # fmt: skip


BINDS: dict[str, Callable[[], Binds]] = {
    "crop_balance": lambda: Binds(examples.juice_by_the_load(), examples.juice_by_the_load(16.5)),
    "keeping_time": lambda: Binds(surplus_soonest(1.0), surplus_soonest(2.0)),
    "frozen_balance": lambda: Binds(only_from_frozen(6.0), only_from_frozen(7.5)),
    "thaw_after_freezing": lambda: Binds(frozen_at_the_end(6.0), frozen_at_the_end(7.0)),
    "frozen_due_date": lambda: Binds(examples.frozen_lots_come_due(), examples.frozen_lots_come_due(5.0)),
    "thawed_crop_use": lambda: Binds(
        examples.freeze_now_cook_later(from_frozen=False), examples.freeze_now_cook_later()
    ),
    "whole_loads": lambda: Binds(by_the_load(7), by_the_load(9)),
    "hands_hours": lambda: Binds(examples.bags_by_hand(), examples.bags_by_hand(hands_tomorrow=0.8)),
    "stove_hours": lambda: Binds(
        examples.burners_and_canners(3.0, canners=2), examples.burners_and_canners(3.75, canners=2)
    ),
    "equipment_hours": lambda: Binds(examples.dryer_over_two_days(), examples.dryer_over_two_days(2)),
    "most_preserves": lambda: Binds(examples.kinds_in_a_day(), examples.kinds_in_a_day(3.0), "targets 2", 2.4),
    "container_stock": lambda: Binds(examples.jars_that_come_back(), examples.jars_that_come_back(on_hand=6.0)),
    "lid_stock": lambda: Binds(examples.jars_that_come_back(lids=5.0), examples.jars_that_come_back(lids=6.0)),
    "pantry_stock": lambda: Binds(examples.what_money_buys(99.0), examples.what_money_buys(99.0, lemon_on_hand=0.1)),
    "spending_limit": lambda: Binds(examples.what_money_buys(5.0), examples.what_money_buys(6.0)),
    "buying": lambda: Binds(examples.what_money_buys(99.0), examples.what_money_buys(99.0, lemon_can_buy=1.1)),
    "freezer_space": lambda: Binds(
        examples.freeze_now_cook_later(freezer_litres=27.0), examples.freeze_now_cook_later(freezer_litres=30.0)
    ),
    "freezing_per_day": lambda: Binds(
        examples.freeze_now_cook_later(), examples.freeze_now_cook_later(freeze_kg_a_day=10.0)
    ),
    "refrigerator_space": lambda: shelf_space_of("refrigerator"),
    "shelf_space": lambda: shelf_space_of("shelf"),
    "cellar_space": lambda: shelf_space_of("cellar"),
    "preserve_balance": lambda: Binds(examples.soup_takes_broth(), examples.soup_takes_broth(broth_on_shelf=3.0)),
    "target_filling": lambda: Binds(counted({"apples": 1.0}), counted({"apples": 1.5})),
    "at_most": lambda: Binds(examples.enough_is_enough(), examples.enough_is_enough(60.0), "surplus", -3.0),
    "no_purpose": lambda: Binds(counted({"apples": 1.0}), counted({"apples": 1.0, "rings": 1.0}), "surplus", -1.5),
    "fixed_lines": lambda: Binds(examples.what_the_hand_wrote(), examples.what_the_hand_wrote(None)),
    "smallest_batch": lambda: Binds(examples.bags_by_hand(), examples.bags_by_hand(smallest_batch=3)),
    "worthwhile_loads": lambda: Binds(few_jars(typed=False), few_jars(typed=True)),
    "smallest_freeze": lambda: Binds(few_pounds(3.5), few_pounds(3.9), "targets 2", 1.5),
    "whole_numbers": lambda: Binds(examples.days_are_whole(), examples.days_are_whole(0, 1)),
}
"""What loosens each constraint."""


@pytest.mark.parametrize("constraint", BINDS)
def test_loosening_what_binds_improves_the_answer(constraint: str) -> None:
    binds = BINDS[constraint]()
    before, after = value(plan(binds.tight), binds.objective), value(plan(binds.loose), binds.objective)
    gained = after - before
    assert gained >= binds.by if binds.by > 0 else gained <= binds.by


def test_every_rule_has_a_household_in_which_it_binds() -> None:
    assert set(BINDS) == set(AUDITS)


def test_no_load_is_begun_that_the_jars_do_not_need() -> None:
    """15 jars are three loads of seven; with a batch of 1 the constraint is at its edge: 15 >= 7 x (3 - 1) + 1."""
    household = home(
        (jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 15.0),), (target("juice", 15, importance=1),), days=1
    )
    found = plan(household)
    assert dict(found.make) == {("juice", 0): 15.0}
    assert dict(found.loads) == {("juice", 0): 3.0}


def value(found: Plan, name: str) -> float:
    """The printed value of an objective or of a part of one."""
    stated = [one for objective in found.objectives for one in (objective, *objective.parts)]
    return next(one.value for one in stated if one.name == name)
