"""What makes no sense together: each check with its whole sentence, and silent where all is well."""

import datetime
import inspect
import math
from dataclasses import replace

import pytest

from stillroom.errors import KINDS
from stillroom.household import checks
from stillroom.household.records import (
    Container,
    Crop,
    Hours,
    Household,
    Ingredient,
    Kitchen,
    Lid,
    Lot,
    PlanLine,
    Preserve,
    RecordRow,
    ShelfRow,
    Target,
)

DAY = datetime.date(2026, 8, 14)
LATER = DAY + datetime.timedelta(days=100)
JAR = Container("jar", "jar", 0.9, on_hand=12, lid="lid", where="C1")
SAUCE = Preserve("sauce", "frozen", "jar", ingredients=(Ingredient("tomato", "crop", 2.0),), where="P1")
SOUP = Preserve("soup", "frozen", "jar", ingredients=(Ingredient("sauce", "preserve", 1.0, where="I2"),), where="P2")
GOOD = Household(
    Kitchen(DAY, people=2),
    hours=(Hours("hands", (4,) * 7, 28, "H1"),),
    crops=(Crop("tomato", 5, may_be_frozen_whole=True), Crop("corn", 2)),
    containers=(JAR,),
    lids=(Lid("lid", 12, where="L1"),),
    preserves=(SAUCE, SOUP),
    targets=(
        Target("sauces", 10, 12, counts={"sauce": 1.0}, where="N1"),
        Target("soups", 5, 5, counts={"soup": 1.0}, where="N2"),
    ),
)


def lines(*lines):
    return replace(GOOD, plan_lines=lines)


def preserves(*some):
    return replace(GOOD, preserves=some)


BAD = {
    "no_ingredients": (
        preserves(replace(SAUCE, ingredients=()), SOUP),
        "P1: *sauce* has no ingredients; add a row for it to Ingredients, or set Make to no",
    ),
    "ingredient_loop": (
        preserves(replace(SAUCE, ingredients=(Ingredient("soup", "preserve", 1.0),)), SOUP),
        "P1: *sauce* needs *soup* needs *sauce*; take one of them out of Ingredients",
    ),
    "target_without_preserve": (
        replace(GOOD, targets=(*GOOD.targets, Target("jam", 3, 3, where="N3"))),
        "N3: nothing counts toward *jam*; add a row for it to Counts, or take the need out",
    ),
    "at_most_below_wanted": (
        replace(GOOD, targets=(replace(GOOD.targets[0], at_most=9), GOOD.targets[1])),
        "N1: *At most* of *sauces* is 9, below *Wanted*, 10; raise one or lower the other",
    ),
    "target_only_from_what_is_not_made": (
        preserves(SAUCE, replace(SOUP, include=False)),
        "N2: nothing that counts toward *soups* is to be made; set Make to yes for one of them, if it should be filled",
    ),
    "ingredient_not_made": (
        replace(preserves(replace(SAUCE, include=False), SOUP), targets=GOOD.targets[1:]),
        "I2: *soup* takes *sauce*, which is not to be made and not on the shelf; set its Make to yes",
    ),
    "counts_toward_no_target": (
        replace(GOOD, targets=GOOD.targets[1:]),
        "P1: *sauce* counts toward no need, so it is made only as far as other preserves use it; add a row for it to Counts, if it is wanted",
    ),
    "no_container_to_be_had": (
        replace(GOOD, lids=(Lid("lid", 0),), preserves=(SAUCE,), targets=GOOD.targets[:1]),
        "P1: no *lid* is on hand or can be bought, so *sauce* cannot be made; count them again, or say in Can buy how many",
    ),
    "frozen_without_use": (
        replace(GOOD, lots=tuple(Lot("corn", DAY, 4.0, frozen_on=DAY, where=f"T{row}") for row in (4, 5))),
        "T4: *corn* lies in the freezer whole, and nothing that is to be made takes it from there; eat it soon, or empty *Frozen on* if it is fresh",
    ),
    "hours_above_people": (
        replace(GOOD, hours=(Hours("hands", (4,) * 6 + (49,), 28, "H1"),)),
        "H1: hands have 49 h in a day, more than 2 people have; correct the hours, or *people* in Kitchen",
    ),
    "price_missing": (
        replace(GOOD, kitchen=replace(GOOD.kitchen, spending_limit=20.0), containers=(replace(JAR, can_buy=math.inf),)),
        "C1: *jar* can be bought but has no price, so it costs nothing against the spending limit; write its price",
    ),
    "minutes_spread": (
        preserves(replace(SAUCE, hands_minutes_load=30.0, smallest_batch=4), SOUP),
        "P1: *sauce* has minutes a load but no equipment, so they are spread over 4 containers, its smallest batch; name its equipment, or write the minutes each",
    ),
    "fixed_line_unknown": (
        lines(PlanLine(DAY, 1, "sause", fix=4.0, where="F1")),
        "F1: no preserve is called *sause*, so the fixed line is left out; did you mean *sauce*?",
    ),
    "fixed_line_not_frozen": (
        lines(PlanLine(DAY, 1, "freeze whole: corn", fix=4.0, where="F1")),
        "F1: *corn* may not be frozen whole, so the fixed line is left out; write yes under May be frozen whole, or empty Fix",
    ),
    "fixed_line_past": (
        lines(PlanLine(DAY - datetime.timedelta(days=1), 1, "sauce", fix=4.0, where="F1")),
        "F1: the fixed line for *sauce* on Aug 13 is over; write what was made, or empty Fix",
    ),
    "fixed_line_twice": (
        lines(PlanLine(DAY, 1, "sauce", fix=4.0, where="F1"), PlanLine(DAY, 1, "sauce", fix=6.0, where="F2")),
        "F2: *sauce* is fixed twice on Aug 14, at 4 and 6; keep one of the two (F1 is the other)",
    ),
}


def test_a_household_in_which_all_is_well_brings_no_problem():
    assert checks.problems(GOOD) == ()


@pytest.mark.parametrize("check", checks.CHECKS, ids=lambda check: check.__name__)
def test_each_check_tells_its_one_problem_and_no_other_check_tells_it_too(check):
    household, sentence = BAD[check.__name__]
    assert [str(problem) for problem in check(household)] == [sentence]
    assert [str(problem) for problem in checks.problems(household)] == [sentence]


def test_every_check_is_in_the_list_and_every_one_in_the_list_has_a_bad_household():
    written = {
        name
        for name, one in inspect.getmembers(checks, inspect.isfunction)
        if one.__module__ == checks.__name__ and not name.startswith("_") and name != "problems"
    }
    assert written == {check.__name__ for check in checks.CHECKS} == set(BAD)


def test_a_preserve_that_is_not_to_be_made_needs_no_ingredients():
    household = preserves(SAUCE, SOUP, Preserve("jam", "frozen", "jar", include=False))
    assert checks.problems(household) == ()


def test_a_loop_of_three_is_told_once_and_a_shared_ingredient_is_no_loop():
    def takes(name, *items):
        return Preserve(
            name, "frozen", "jar", ingredients=tuple(Ingredient(item, "preserve", 1.0) for item in items), where=name
        )

    loop = preserves(takes("a", "b"), takes("b", "c"), takes("c", "a"), takes("d", "a"))
    assert [problem.what for problem in checks.ingredient_loop(loop)] == ["*a* needs *b* needs *c* needs *a*"]
    shared = preserves(takes("a", "b", "c"), takes("b", "d"), takes("c", "d"), takes("d"))
    assert list(checks.ingredient_loop(shared)) == []
    alone = preserves(takes("a", "a"))
    assert [problem.what for problem in checks.ingredient_loop(alone)] == ["*a* needs *a*"]


def test_what_is_on_the_shelf_or_was_recorded_may_be_an_ingredient():
    not_made = preserves(replace(SAUCE, include=False), SOUP)
    assert list(checks.ingredient_not_made(replace(not_made, shelf=(ShelfRow("sauce", 2),)))) == []
    assert list(checks.ingredient_not_made(replace(not_made, record=(RecordRow(DAY, "sauce", 2),)))) == []


def test_a_past_fixed_line_of_which_something_was_made_is_history_and_not_told():
    past = DAY - datetime.timedelta(days=2)
    assert checks.problems(lines(PlanLine(past, 1, "sauce", fix=4.0, made=4.0))) == ()
    recorded = replace(lines(PlanLine(past, 1, "sauce", fix=4.0)), record=(RecordRow(past, "sauce", 4.0),))
    assert checks.problems(recorded) == ()


def test_a_week_that_has_begun_is_not_over_and_a_line_after_the_plan_is_told():
    begun = PlanLine(DAY - datetime.timedelta(days=6), 7, "sauce", fix=4.0)
    assert checks.problems(lines(begun)) == ()
    told = checks.problems(lines(PlanLine(LATER, 1, "sauce", fix=4.0, where="F1")))
    assert [str(problem) for problem in told] == [
        "F1: the fixed line for *sauce* on Nov 22 lies after the plan, which ends Oct 15; it is kept once the plan reaches it"
    ]


def test_containers_that_come_back_or_can_be_bought_are_to_be_had():
    for jar in (replace(JAR, on_hand=0, back_each_week=2), replace(JAR, on_hand=0, can_buy=6)):
        assert checks.problems(replace(GOOD, containers=(jar,))) == ()


def test_every_kind_a_check_uses_is_in_the_one_list():
    kinds = {problem.kind for household, _ in BAD.values() for problem in checks.problems(household)}
    assert kinds <= set(KINDS)
