"""The careful cook keeps the rules of the house and her own; she is no straw man and no clairvoyant."""

from __future__ import annotations

import dataclasses

import pytest
from tests import worked_examples as examples
from tests.truth.careful_cook import HABITS, Habit, cook_week
from tests.truth.compared import both, worse
from tests.truth.weeks import week
from tests.worked_examples import TUESDAY, bag, home, jar, target

from stillroom.household.audit import violated_constraints
from stillroom.household.records import Crop, Lot


@pytest.mark.parametrize("number", range(0, 40, 7))
def test_every_week_of_hers_passes_the_audit(number: int) -> None:
    household = week(number).household
    for habit in HABITS:
        found = cook_week(household, habit)
        assert violated_constraints(household, found) == ()
        assert sum(found.make.values()) > 0


@pytest.mark.parametrize("number", [5])
def test_the_planner_is_never_worse_than_any_cook(number: int) -> None:
    pair = both(week(number))
    assert pair.planner.broken == ()
    assert not any(worse(pair.planner, one) for one in pair.cooks.values())


def test_she_fills_the_canner_and_lets_the_last_part_load_wait_for_the_last_day() -> None:
    """15 kg at 1.5 kg are 10 jars: a full load of 7 today, and 3 more, less than half a load, tomorrow."""
    found = cook_week(examples.juice_by_the_load())
    assert dict(found.make) == {("juice", 0): 7.0, ("juice", 1): 3.0}


def test_she_takes_the_must_before_the_should() -> None:
    """7 kg for one load of either: the must gets it, or the ripest first where one crop will not keep."""
    preserves = (jar("juice", "tomato", 1.0), jar("pickles", "cucumber", 1.0))
    targets = (target("juice", 7, importance=1), target("pickles", 7, importance=2))
    lots = (Lot("tomato", TUESDAY, 7.0), Lot("cucumber", TUESDAY, 7.0))
    hours = (examples.stove_on((1.0,)),)
    household = home(
        preserves, lots, targets, days=1, hours=hours, crops=(Crop("tomato", 5.0), Crop("cucumber", 0.0)),
    )  # fmt: skip
    assert dict(cook_week(household, Habit("musts")).make) == {("juice", 0): 7.0}
    assert dict(cook_week(household, Habit("ripest")).make) == {("pickles", 0): 7.0}


def test_she_freezes_what_will_not_keep_and_cooks_it_when_the_stove_is_free() -> None:
    """
    21 kg that keep until tomorrow, a day's freezing of 9 kg, and no stove before the fourth day.

    Tomorrow evening she freezes 9 kg and feeds 12; on the fourth day the 9 kg are 6 jars of 1.5 kg. Who looks ahead
    freezes 9 kg today as well.
    """
    household = examples.freeze_now_cook_later()
    found = cook_week(household)
    assert violated_constraints(household, found) == ()
    assert dict(found.freeze_kg) == pytest.approx({("tomato", 1): 9.0})
    assert dict(found.surplus_kg) == pytest.approx({("tomato", 1): 12.0})
    assert dict(found.make) == {("juice", 3): 6.0}


def test_she_leaves_tomorrows_dinner_on_the_table() -> None:
    """10 kg, of which two dinners take 2 kg each: 6 jars, whenever they are made."""
    household = examples.dinner_comes_first()
    found = cook_week(household)
    assert found.made("juice") == 6
    assert violated_constraints(household, found) == ()


def test_she_does_not_look_ahead() -> None:
    """
    Hands for four bags: today's beans go into bags at once, and tomorrow's must has no bag left.

    She does not know that tomorrow brings the must; the planner keeps the bags for it.
    """
    preserves = (bag("beans", "bean", 1.0), bag("plums", "plum", 1.0))
    targets = (target("beans", 4, importance=2), target("plums", 4, importance=1))
    lots = (Lot("bean", TUESDAY, 4.0), Lot("plum", examples.day(1), 4.0, expected=True))
    household = home(preserves, lots, targets)
    few = tuple(dataclasses.replace(one, on_hand=4.0) if one.name == "bag" else one for one in household.containers)
    household = dataclasses.replace(household, containers=few)
    assert dict(cook_week(household).make) == {("beans", 0): 4.0}
