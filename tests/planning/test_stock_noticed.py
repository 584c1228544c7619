"""
What a wrong number or condition in the rules of stocks and of fixed lines would spoil, counted by hand.

Each case was written for a change of a rule that the other tests let pass (`tests/benches/mutants.py` finds them).
"""

from __future__ import annotations

import math
from dataclasses import replace

from tests.worked_examples import PLENTY, TUESDAY, day, home, jar, target

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Plan
from stillroom.household.records import Container, Crop, Household, Ingredient, Lot, PantryItem, PlanLine
from stillroom.planning.solve import plan


def planned(household: Household) -> Plan:
    """The plan of a household, which must pass its audit."""
    found = plan(household)
    assert violated_constraints(household, found) == ()
    return found


def only_jars_that_come_back(back_each_week: float, days: int, weeks: int, picked_on: int) -> float:
    """Jars of juice made where none is on hand, so many come back each week, and the tomatoes come on a late day."""
    jars = Container("jar", "jar", 1.0, None, 0.0, back_each_week=back_each_week)
    household = home(
        (jar("juice", "tomato", 1.0, load=1),), (Lot("tomato", day(picked_on), 40.0),), (target("juice", 40, importance=1),),
        days=days, weeks=weeks, containers=(jars,), crops=(Crop("tomato", 0.0),),
    )  # fmt: skip
    return planned(household).made("juice")


def test_no_jar_has_come_back_on_the_first_day() -> None:
    """Seven a week are one a day, and the first is back after the first day: none today, one tomorrow."""
    assert only_jars_that_come_back(7.0, days=1, weeks=0, picked_on=0) == 0
    assert only_jars_that_come_back(7.0, days=2, weeks=0, picked_on=1) == 1


def test_what_comes_back_in_a_week_is_back_after_seven_days() -> None:
    """Seven a week on the eighth day: seven are back."""
    assert only_jars_that_come_back(7.0, days=8, weeks=0, picked_on=7) == 7


def test_a_jar_is_not_lost_to_the_last_digit_of_a_fraction() -> None:
    """1.4 a week are 9 in 45 days, though 1.4 x 45 / 7 falls short of 9 by the last digit a machine keeps."""
    assert 1.4 * 45 / 7 < 9
    assert math.isclose(only_jars_that_come_back(1.4, days=3, weeks=7, picked_on=45), 9.0, abs_tol=0.01)


def test_what_has_no_price_costs_nothing_against_the_limit() -> None:
    """Ten jars without a price, and a limit of 4.50: all ten are bought; at 1.00 each it would be four."""
    unpriced, priced = (Container("jar", "jar", 1.0, None, 0.0, price=price, can_buy=10.0) for price in (None, 1.0))
    made = []
    for box in (unpriced, priced):
        household = home(
            (jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 12.0),), (target("juice", 12, importance=1),),
            containers=(box,), kitchen={"spending_limit": 4.5},
        )  # fmt: skip
        made.append(planned(household).made("juice"))
    assert made == [10, 4]


def test_a_preserve_takes_of_each_of_the_larder_its_own() -> None:
    """A jar takes 0.1 L of juice and 0.3 kg of sugar; with 1 L and 2.1 kg on hand the sugar decides: 7 jars."""
    lines = (
        Ingredient("tomato", "crop", 1.0),
        Ingredient("lemon juice", "pantry", 0.1),
        Ingredient("sugar", "pantry", 0.3),
    )
    pantry = (PantryItem("lemon juice", "L", 1.0), PantryItem("sugar", "kg", 2.1))
    household = home(
        (jar("juice", "tomato", 1.0, load=1, ingredients=lines),), (Lot("tomato", TUESDAY, 40.0),),
        (target("juice", 20, importance=1),), pantry=pantry,
    )  # fmt: skip
    assert planned(household).made("juice") == 7


def test_the_larder_has_nothing_to_do_with_a_crop_of_the_same_name() -> None:
    """Tomatoes from the garden do not take from the tomatoes in the pantry, of which there is 1 kg."""
    pantry = (PantryItem("tomato", "kg", 1.0),)
    household = home(
        (jar("juice", "tomato", 1.0, load=1),), (Lot("tomato", TUESDAY, 9.0),), (target("juice", 9, importance=1),),
        pantry=pantry,
    )  # fmt: skip
    assert planned(household).made("juice") == 9


def test_a_line_for_a_day_in_a_later_week_asks_for_at_least_that() -> None:
    """3 jars are fixed for one day of the week after; the target of 7 may fill the rest of that week."""
    household = home(
        (jar("juice", "tomato", 1.0, load=1),), (Lot("tomato", day(2), 9.0, expected=True),), (target("juice", 7, importance=1),),
        days=1, weeks=1, plan_lines=(PlanLine(day(3), 1, "juice", fix=3.0),),
        containers=(Container("jar", "jar", 1.0, None, PLENTY),),
    )  # fmt: skip
    found = planned(household)
    assert found.violations == ()
    assert math.isclose(found.made("juice"), 7.0, abs_tol=0.01)


def test_what_soup_takes_of_the_broth_makes_room_for_no_more_than_that() -> None:
    """Two broths are wanted and four soups of half a broth each: four broths are made, though bones are left over."""
    broth = jar("broth", "bone", 1.0, load=1)
    soup = jar("soup", "bean", 1.0, load=1)
    soup = replace(soup, ingredients=(*soup.ingredients, Ingredient("broth", "preserve", 0.5)))
    household = home(
        (broth, soup), (Lot("bone", TUESDAY, 20.0), Lot("bean", TUESDAY, 4.0)),
        (target("broth", 2, importance=1), target("soup", 4, importance=1)), days=1,
    )  # fmt: skip
    found = planned(household)
    assert (found.made("broth"), found.made("soup")) == (4, 4)
