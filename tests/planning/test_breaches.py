"""A fixed line that cannot be kept is kept as far as possible, and the limits it ran into are named."""

from __future__ import annotations

import dataclasses
import datetime

import pytest
from tests.worked_examples import TUESDAY, bag, home, target

from stillroom.household.audit import violated_constraints
from stillroom.household.examples import FRIDAY, tiny_household
from stillroom.household.records import (
    Container,
    Crop,
    Hours,
    Household,
    Ingredient,
    Kitchen,
    Lot,
    PlanLine,
    Preserve,
    Target,
)
from stillroom.planning.solve import plan


def fixed(*lines, **changes):
    household = tiny_household()
    return dataclasses.replace(household, plan_lines=lines, **changes)


def test_nine_quarts_on_friday_run_into_the_crop_and_not_into_the_jars():
    """10 kg - 0.2 kg eaten + 2 kg from the freezer make 11.8 / 1.5 = 7.9 quarts: 7 whole ones, 2 short."""
    found = plan(fixed(PlanLine(FRIDAY, 1, "juice", fix=9)))
    (violation,) = found.violations
    assert (violation.name, violation.typed, violation.short) == ("juice", 9, 2)
    assert "tomato on hand by then" in violation.limits
    assert "quart jar on hand" not in violation.limits
    assert found.made("juice", 0) == 7


def test_two_loads_on_a_day_with_hands_for_one_name_the_hands_alone():
    """Two loads of juice take 2 x (0.1 x 7 + 0.5) = 2.4 h of hands; with 1.5 h there is time for one load of 7."""
    hours = tuple(
        dataclasses.replace(row, by_weekday=(1.5,) * 7) if row.what == "hands" else row
        for row in tiny_household().hours
    )
    lots = tuple(dataclasses.replace(lot, kg=lot.kg * 4) for lot in tiny_household().lots)
    pieces = tuple(dataclasses.replace(piece, how_many=3) for piece in tiny_household().equipment)
    found = plan(fixed(PlanLine(FRIDAY, 1, "juice", fix=14), hours=hours, lots=lots, equipment=pieces))
    (violation,) = found.violations
    assert violation.short == 7
    assert violation.limits == ("hands on Fri Aug 14",)


def test_a_line_that_needs_jars_and_time_names_both():
    """
    28 quarts: 3 jars on hand and 4 that eight bags of soup empty (0.5 each) make 7; the day has time for one load of 7.
    """
    household = tiny_household()
    containers = tuple(
        dataclasses.replace(jar, on_hand=3, can_buy=0) if jar.name == "quart jar" else jar
        for jar in household.containers
    )
    lots = tuple(dataclasses.replace(lot, kg=lot.kg * 6) for lot in household.lots)
    found = plan(fixed(PlanLine(FRIDAY, 1, "juice", fix=28), containers=containers, lots=lots))
    (violation,) = found.violations
    assert violation.short == 21
    assert "quart jar on hand" in violation.limits
    assert any(limit.startswith(("hands on Fri", "canner on Fri")) for limit in violation.limits)


def without_freezer_limits():
    """The kitchen with room enough in the freezer, so that only what a test is about is limiting."""
    return dataclasses.replace(tiny_household().kitchen, freeze_kg_a_day=1000.0, freezer_free_litres=1000.0)


def test_a_line_without_equipment_names_the_stove_it_runs_into():
    """
    30 bags of broth take 30 x 10 / 60 = 5 burner-hours; half an hour of 4 burners, 2, make 12 bags, 18 short. No bound
    hides the stove.
    """
    hours = tuple(
        dataclasses.replace(row, by_weekday=(0.5,) * 7) if row.what == "stove free" else row
        for row in tiny_household().hours
    )
    found = plan(fixed(PlanLine(FRIDAY, 1, "broth", fix=30), hours=hours, kitchen=without_freezer_limits()))
    (violation,) = found.violations
    assert (violation.short, violation.limits) == (18, ("stove on Fri Aug 14",))


def test_a_line_without_equipment_names_the_crop_it_runs_into():
    """8 kg of cabbage in heads of 1 kg: 12 are fixed, 4 are short."""
    (violation,) = plan(fixed(PlanLine(FRIDAY, 1, "cabbage heads", fix=12))).violations
    assert (violation.short, violation.limits) == (4, ("cabbage on hand by then",))


def test_a_line_without_equipment_that_needs_three_things_names_all_three():
    """60 bags of broth: 40 bags on hand, 8 / 0.25 = 32 by the cabbage, 8 x 60 / 10 = 48 by the stove."""
    (violation,) = plan(fixed(PlanLine(FRIDAY, 1, "broth", fix=60), kitchen=without_freezer_limits())).violations
    assert violation.short == 28
    assert violation.limits == ("bag on hand", "cabbage on hand by then", "stove on Fri Aug 14")


def test_freezing_whole_names_the_crop_besides_the_freezer():
    """9.8 kg of tomatoes are there on Friday, the freezer takes 6 kg a day and holds 24: 30 kg run into all three."""
    (violation,) = plan(fixed(PlanLine(FRIDAY, 1, "freeze whole: tomato", fix=30))).violations
    assert violation.limits == ("tomato on hand by then", "space in the freezer", "what the freezer takes in a day")


def test_taking_out_more_than_lies_in_the_freezer_names_it():
    """2 kg lie there: 9 kg are 7 short, within the tenth of a gram that an objective may give up."""
    (violation,) = plan(fixed(PlanLine(FRIDAY, 1, "thaw: tomato", fix=9))).violations
    assert violation.short == pytest.approx(7, abs=1e-4)
    assert violation.limits == ("tomato in the freezer",)


def test_a_fixed_line_within_the_limits_is_kept_and_nothing_is_said():
    found = plan(fixed(PlanLine(FRIDAY + datetime.timedelta(days=1), 1, "kraut", fix=3)))
    assert found.violations == ()
    assert found.make["kraut", 1] == 3


def test_zero_keeps_a_line_out():
    lines = [PlanLine(FRIDAY + datetime.timedelta(days=day), 1, "juice", fix=0) for day in (0, 1)]
    found = plan(fixed(*lines))
    assert ("juice", 0) not in found.make
    assert ("juice", 1) not in found.make


def test_a_week_s_line_that_cannot_be_kept_speaks_for_a_smaller_line_of_one_of_its_days():
    """
    A week is fixed at 2 jars and one of its days at 1, and there is no jar: 2 are missing, and that says it all.

    Where the week's line can be kept, the smaller one is kept with it.
    """
    monday = datetime.date(2026, 8, 17)
    household = Household(
        Kitchen(monday, days_planned_singly=0, weeks_after_that=1),
        crops=(Crop("bean", 3.0),),
        lots=(Lot("bean", monday, 5.0),),
        containers=(Container("jar", "jar", 1.0, on_hand=0.0),),
        preserves=(Preserve("beans", "refrigerated", "jar", ingredients=(Ingredient("bean", "crop", 1.0),)),),
        targets=(Target("beans", 0.0, 0.0, counts={"beans": 1.0}),),
        plan_lines=(PlanLine(monday, 7, "beans", fix=2.0), PlanLine(monday, 1, "beans", fix=1.0)),
    )
    found = plan(household)
    assert [(violation.typed, violation.short) for violation in found.violations] == [(2.0, 2.0)]
    assert violated_constraints(household, found) == ()
    stocked = dataclasses.replace(household, containers=(Container("jar", "jar", 1.0, on_hand=5.0),))
    found = plan(stocked)
    assert found.violations == ()
    assert violated_constraints(stocked, found) == ()


def test_two_lines_that_begin_on_one_day_are_each_explained_by_what_holds_it_back():
    """5 bags today, but hands for 2; 12 in the week, but 10 kg of beans: hands for the one, beans for the other."""
    hands = Hours("hands", (0.0, 0.4, 8.0, 0.0, 0.0, 0.0, 0.0), 0.0)
    beans = bag("beans", "bean", 1.0, hands_minutes_each=12.0)
    household = home((beans,), (Lot("bean", TUESDAY, 10.0),), (target("beans", 20),), hours=(hands,))
    lines = (PlanLine(TUESDAY, 1, "beans", fix=5.0), PlanLine(TUESDAY, 7, "beans", fix=12.0))
    found = {
        violation.typed: violation for violation in plan(dataclasses.replace(household, plan_lines=lines)).violations
    }
    assert (found[5.0].short, found[12.0].short) == (3.0, 2.0)
    assert found[5.0].limits == ("hands on Tue Aug 18",)
    assert found[12.0].limits == ("bean on hand by then",)
