"""Lines fixed for a week that has begun, and preserves that go into others: what a cook could do is planned."""

from __future__ import annotations

import dataclasses
import datetime
from typing import Any

import pytest
from tests import worked_examples as examples
from tests.worked_examples import TUESDAY, bag, day, home, jar, target

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Plan
from stillroom.household.records import (
    FREEZE_WHOLE,
    Crop,
    Equipment,
    Hours,
    Household,
    Ingredient,
    Load,
    Lot,
    PlanLine,
    Preserve,
    ShelfRow,
    Target,
)
from stillroom.household.results.tables import tables
from stillroom.planning.bottlenecks.resolve import is_feasible
from stillroom.planning.bottlenecks.resources import columns_of
from stillroom.planning.highs import HighsSession
from stillroom.planning.solve import build, plan


def audited(household: Household) -> Plan:
    """The plan, which keeps every constraint."""
    found = plan(household)
    assert violated_constraints(household, found) == ()
    return found


def juice_for_a_week(away: int, fix: float, days: int = 2) -> Household:
    """A stove for one load of seven a day and for seven in the week after; a line for the week from day `away` on."""
    household = home(
        (jar("juice", "tomato", 1.0),),
        (Lot("tomato", TUESDAY, 80.0),),
        (target("juice", 40),),
        days=days,
        weeks=1,
        hours=(Hours("stove free", (1.0,) * 7, 7.0),),
    )
    return dataclasses.replace(household, plan_lines=(PlanLine(day(away), 7, "juice", fix=fix),))


def test_a_week_of_which_one_day_has_come_near_is_kept_by_the_week() -> None:
    """21 jars for the week from tomorrow on: a load tomorrow and the others in the week, not three loads tomorrow."""
    found = audited(juice_for_a_week(1, 21.0))
    assert found.violations == ()
    assert found.make.get(("juice", 1), 0.0) + found.make[("juice", 2)] >= 21.0 - 1e-3


def test_a_week_of_which_most_days_have_come_near_is_kept_in_those() -> None:
    """Four of its seven days are planned in detail: the line is theirs, exactly."""
    found = audited(juice_for_a_week(1, 21.0, days=5))
    assert sum(found.make.get(("juice", number), 0.0) for number in (1, 2, 3, 4)) == 21.0


def test_none_in_a_week_that_has_come_near_is_none_on_its_days() -> None:
    """Fix 0 for the week from tomorrow on: nothing tomorrow; the week after that is another one, and free."""
    found = audited(juice_for_a_week(1, 0.0))
    assert ("juice", 1) not in found.make
    assert found.make[("juice", 0)] == 7.0
    assert found.make[("juice", 2)] > 0


def test_a_week_that_lies_across_two_weeks_is_kept_in_the_one_most_of_its_days_are_in() -> None:
    """Days 4 to 10 of two weeks from day 0 on: three in the first week, four in the second, in which the 7 are made."""
    household = juice_for_a_week(4, 7.0, days=0)
    kitchen = dataclasses.replace(household.kitchen, weeks_after_that=2)
    lines = (*household.plan_lines, PlanLine(TUESDAY, 7, "juice", fix=2.0))
    found = audited(dataclasses.replace(household, kitchen=kitchen, plan_lines=lines))
    assert found.violations == ()
    assert found.make[("juice", 0)] == pytest.approx(2.0, abs=1e-3)
    assert found.make[("juice", 1)] >= 7.0 - 1e-3


def test_two_lines_of_weeks_that_lie_across_are_both_kept() -> None:
    """14 from tomorrow on and 7 from the week after that: 21 of them together, in three days and two weeks."""
    household = juice_for_a_week(1, 14.0)
    kitchen = dataclasses.replace(household.kitchen, weeks_after_that=2)
    lines = (*household.plan_lines, PlanLine(day(8), 7, "juice", fix=7.0))
    found = audited(dataclasses.replace(household, kitchen=kitchen, plan_lines=lines))
    assert found.violations == ()
    assert sum(found.make.get(("juice", number), 0.0) for number in (1, 2)) >= 14.0 - 1e-3
    assert found.make.get(("juice", 3), 0.0) >= 7.0 - 1e-3


def test_a_line_that_freezes_what_may_not_be_frozen_is_left_out() -> None:
    """
    Beans may not be frozen whole, but some lie in the freezer: the line for freezing more is left out, and no
    violation.
    """
    household = examples.bags_by_hand()
    lots = (*household.lots, Lot("bean", day(-5), 2.0, frozen_on=day(-4)))
    line = PlanLine(TUESDAY, 1, FREEZE_WHOLE + "bean", fix=3.0)
    found = audited(dataclasses.replace(household, lots=lots, plan_lines=(line,)))
    assert found.violations == ()


def soup_of(other: Preserve, each: float, **more: Any) -> Preserve:
    """A bag of soup of a kilogram of carrots and so many of another preserve."""
    lines = (Ingredient("carrot", "crop", 1.0), Ingredient(other.name, "preserve", each))
    return dataclasses.replace(bag("soup", "carrot", 1.0, **more), ingredients=lines)


CARROTS_AND_BONES = (Lot("carrot", TUESDAY, 20.0), Lot("bone", TUESDAY, 20.0))


@pytest.mark.parametrize(("broths_wanted", "broths"), [(0.0, 2.0), (4.0, 6.0)])
def test_a_part_of_a_jar_that_others_take_does_not_keep_the_rest_from_being_made(
    broths_wanted: float, broths: float
) -> None:
    """6 soups take 1.5 broths, and as many are wanted besides: the half jar over is no reason to leave one out."""
    broth = bag("broth", "bone", 1.0)
    targets = (target("soup", 6.0), target("broth", broths_wanted))
    found = audited(home((broth, soup_of(broth, 0.25)), CARROTS_AND_BONES, targets))
    assert (found.made("soup"), found.made("broth")) == (6.0, broths)


def test_what_others_take_off_the_shelf_makes_room_for_another_of_the_same_need() -> None:
    """10 sauces represent 10 wanted; 8 go into soup, so that 5 juices of the 5 kg are no more than is wanted."""
    sauce = bag("sauce", "tomato", 1.0, include=False)
    household = home(
        (sauce, bag("juice", "tomato", 1.0), soup_of(sauce, 1.0)),
        (Lot("tomato", TUESDAY, 5.0), Lot("carrot", TUESDAY, 20.0)),
        (target("soup", 8, importance=1), Target("red", 10, 10, 2, counts={"sauce": 1.0, "juice": 1.0})),
        shelf=(ShelfRow("sauce", 10.0),),
    )
    found = audited(household)
    assert (found.made("soup"), found.made("juice")) == (8.0, 5.0)


def old_broth(best_by: datetime.date, wanted: float = 0.0) -> Household:
    """Four broths on the shelf, good until a day; half a broth in each soup, two days and a week, and no bones."""
    broth = bag("broth", "bone", 1.0)
    return home(
        (broth, soup_of(broth, 0.5)),
        (Lot("carrot", TUESDAY, 20.0), Lot("bone", TUESDAY, 0.0)),
        (target("soup", 12, importance=1), target("broth", wanted, importance=2)),
        weeks=1,
        shelf=(ShelfRow("broth", 4.0, best_by=best_by),),
    )


def test_what_goes_out_of_date_is_used_before_its_date_and_counts_toward_no_target() -> None:
    """Four broths, good today and tomorrow, go into eight soups by then; as broth on the list they do not count."""
    found = audited(old_broth(day(1), wanted=4.0))
    assert (found.made("soup"), found.made("soup", until=1)) == (8.0, 8.0)
    assert sum(amount for (name, _), amount in found.bands.items() if name == "broth") == 0
    assert audited(old_broth(day(-1))).made("soup") == 0
    assert audited(old_broth(day(5))).made("soup") == 8.0, "not in the week, of which not every day is before the date"


def test_a_plan_that_uses_what_goes_out_of_date_is_a_start_for_the_next_solve() -> None:
    """Its columns keep every constraint, the broths used before their date among them."""
    household = old_broth(day(1))
    parameters, variables = build(household)
    columns = columns_of(parameters, variables, plan(household))
    assert is_feasible(HighsSession(variables.model), columns)


def test_what_goes_out_of_date_today_waits_for_nobody() -> None:
    """The only hands are those of tomorrow: two of the broths are good then, for four soups."""
    hands = Hours("hands", tuple(8.0 if number == 2 else 0.0 for number in range(7)), 0.0)
    household = dataclasses.replace(
        old_broth(day(0)),
        hours=(hands,),
        shelf=(ShelfRow("broth", 2.0, best_by=day(0)), ShelfRow("broth", 2.0, best_by=day(1))),
    )
    household = household.changed("preserves", "soup", hands_minutes_each=15.0)
    found = audited(household)
    assert (found.make[("soup", 1)], found.made("soup")) == (4.0, 4.0)


def test_what_goes_out_of_date_makes_no_room_for_another_of_the_same_need() -> None:
    """8 sauces that are no more on the list at the end go into soup: of 10 wanted, 10 juices are made, not 18."""
    sauce = bag("sauce", "tomato", 1.0, include=False)
    household = home(
        (sauce, bag("juice", "tomato", 1.0), soup_of(sauce, 1.0)),
        (Lot("tomato", TUESDAY, 30.0), Lot("carrot", TUESDAY, 20.0)),
        (target("soup", 8, importance=1), Target("red", 10, 10, 2, counts={"sauce": 1.0, "juice": 1.0})),
        shelf=(ShelfRow("sauce", 8.0, best_by=day(0)),),
    )
    found = audited(household)
    assert (found.made("soup"), found.made("juice")) == (8.0, 10.0)
    coverage = tables(household, found, (), ())["Coverage"]
    assert [(row["Target"], row["Planned"], row["Covered"]) for row in coverage] == [("soup", 8, 1), ("red", 10, 1)]


def test_a_batch_of_what_only_others_take_does_not_forbid_it() -> None:
    """Hands for four soups, that take one broth of a batch of four: one broth is made, not none."""
    broth = bag("broth", "bone", 1.0, smallest_batch=4)
    hands = Hours("hands", tuple(1.0 if number == 1 else 0.0 for number in range(7)), 0.0)
    household = home(
        (broth, soup_of(broth, 0.25, hands_minutes_each=15.0)), CARROTS_AND_BONES, (target("soup", 16),), hours=(hands,)
    )
    found = audited(household)
    assert (found.made("soup"), found.made("broth")) == (4.0, 1.0)


def kraut_and_soup(days_in_the_crock: float) -> Household:
    """A crock of four jars, half a jar of it in each soup; two days and a week."""
    lines = (Ingredient("cabbage", "crop", 1.0),)
    kraut = Preserve(
        "kraut",
        "fermented",
        "jar",
        equipment=("crock",),
        load=4,
        process_minutes=days_in_the_crock * 24 * 60,
        kept_in="refrigerator",
        ingredients=lines,
    )
    return home(
        (kraut, soup_of(kraut, 0.5)),
        (Lot("cabbage", TUESDAY, 8.0), Lot("carrot", TUESDAY, 8.0)),
        (target("soup", 8),),
        days=2,
        weeks=1,
        equipment=(Equipment("crock", "crock", 1, (Load(4, "jar"),), runs_overnight=True),),
        crops=(Crop("cabbage", 30.0), Crop("carrot", 30.0)),
    )


@pytest.mark.parametrize(("days", "first"), [(1.0, 0), (2.0, 1), (5.0, 2)])
def test_a_crock_is_not_eaten_of_before_it_is_done(days: float, first: int) -> None:
    """Soup of what is five days in the crock comes in the week after the two days, not on the first day."""
    found = audited(kraut_and_soup(days))
    assert found.made("soup") == pytest.approx(8.0, abs=0.01)
    assert min(number for (name, number) in found.make if name == "soup") >= first


def test_a_crock_that_outlasts_the_plan_gives_no_soup_in_it() -> None:
    """Four weeks in the crock, and nine days planned: no soup."""
    assert audited(kraut_and_soup(28.0)).made("soup") == 0


@pytest.mark.parametrize(("away", "length", "fix"), [(4, 1, 2.0), (1, 7, 5.0), (2, 7, 5.0), (4, 7, 5.0)])
def test_what_is_not_to_be_made_is_made_no_more_than_its_line_says(away: int, length: int, fix: float) -> None:
    """Make is no: a line for a day of a later week, or a week that lies across, brings its jars and no more of them."""
    household = juice_for_a_week(1, 0.0)
    household = dataclasses.replace(
        household,
        preserves=tuple(dataclasses.replace(item, include=False) for item in household.preserves),
        plan_lines=(PlanLine(day(away), length, "juice", fix=fix),),
    )
    assert audited(household).made("juice") == pytest.approx(fix, abs=1e-3)


@pytest.mark.parametrize("picked", [0, 8])
def test_a_week_across_two_weeks_is_kept_where_there_is_crop_for_it(picked: int) -> None:
    """Days 4 to 10: tomatoes that keep two days, picked in the first week or in the second, are canned for it."""
    household = juice_for_a_week(4, 7.0, days=0)
    household = dataclasses.replace(
        household,
        kitchen=dataclasses.replace(household.kitchen, weeks_after_that=2),
        crops=(Crop("tomato", 2.0),),
        lots=(Lot("tomato", day(picked), 7.0),),
    )
    found = audited(household)
    assert found.violations == ()
    assert found.make[("juice", picked // 7)] == pytest.approx(7.0, abs=1e-3)
