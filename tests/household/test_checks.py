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
from stillroom.reports.problems import line, sentences

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
        "P1: No ingredients for sauce. Add a row to Ingredients, or type no under Include.",
    ),
    "ingredient_loop": (
        preserves(replace(SAUCE, ingredients=(Ingredient("soup", "preserve", 1.0),)), SOUP),
        "P1: Sauce is an ingredient of itself (sauce > soup > sauce). Take one of them out of Ingredients.",
    ),
    "target_without_preserve": (
        replace(GOOD, targets=(*GOOD.targets, Target("jam", 3, 3, where="N3"))),
        "N3: Nothing counts toward jam. Add a row to Counts toward, or delete the target.",
    ),
    "at_most_below_wanted": (
        replace(GOOD, targets=(replace(GOOD.targets[0], at_most=9), GOOD.targets[1])),
        "N1: At most of sauces is 9, below Wanted, 10. Raise one, or lower the other.",
    ),
    "target_only_from_what_is_not_made": (
        preserves(SAUCE, replace(SOUP, include=False)),
        "N2: No included preserve counts toward soups. To fill it, type yes under Include for one of them.",
    ),
    "ingredient_not_made": (
        replace(preserves(replace(SAUCE, include=False), SOUP), targets=GOOD.targets[1:]),
        "I2: Soup takes sauce, which is neither included nor on the shelf. Type yes under Include for sauce.",
    ),
    "counts_toward_no_target": (
        replace(GOOD, targets=GOOD.targets[1:]),
        "P1: Sauce: counts toward no target, so the plan makes only what other preserves use. To count it, add a row to Counts toward.",
    ),
    "no_container_to_be_had": (
        replace(GOOD, lids=(Lid("lid", 0),), preserves=(SAUCE,), targets=GOOD.targets[:1]),
        "P1: None of sauce: no lid on hand or to buy. Count them again, or type how many under Can buy.",
    ),
    "frozen_without_use": (
        replace(GOOD, lots=tuple(Lot("corn", DAY, 4.0, frozen_on=DAY, where=f"T{row}") for row in (4, 5))),
        "T4: No included preserve uses frozen corn. Eat it soon, or clear Frozen on if it is fresh.",
    ),
    "hours_above_people": (
        replace(GOOD, hours=(Hours("hands", (4,) * 6 + (49,), 28, "H1"),)),
        "H1: 49 hands-on hours on one day is more than 2 people have. Correct the hours, or people in Kitchen.",
    ),
    "price_missing": (
        replace(GOOD, kitchen=replace(GOOD.kitchen, spending_limit=20.0), containers=(replace(JAR, can_buy=math.inf),)),
        "C1: No price for jar, so it costs nothing against the spending limit. Type its price.",
    ),
    "minutes_spread": (
        preserves(replace(SAUCE, hands_minutes_load=30.0, smallest_batch=4), SOUP),
        "P1: Sauce has minutes a load but no equipment, so they are spread over its smallest batch, 4. Name its equipment, or type the minutes each.",
    ),
    "fixed_line_unknown": (
        lines(PlanLine(DAY, 1, "sause", fix=4.0, where="F1")),
        'F1: Keep at is ignored: no preserve is called "sause". Did you mean sauce?',
    ),
    "fixed_line_not_frozen": (
        lines(PlanLine(DAY, 1, "freeze whole: corn", fix=4.0, where="F1")),
        "F1: Keep at is ignored: corn may not be frozen whole. Type yes under May be frozen whole, or clear Keep at.",
    ),
    "latest_end_before_start": (
        GOOD.with_kitchen(latest_end=datetime.time(7, 30), latest_end_where="K1"),
        "K1: The latest end is 7:30 AM and Friday starts at 8:00 AM. Type a later time, or clear it.",
    ),
    "fixed_line_past": (
        lines(PlanLine(DAY - datetime.timedelta(days=1), 1, "sauce", fix=4.0, where="F1")),
        "F1: Keep at for sauce on Aug 13 is over. Type what you made, or clear Keep at.",
    ),
    "fixed_line_twice": (
        lines(PlanLine(DAY, 1, "sauce", fix=4.0, where="F1"), PlanLine(DAY, 1, "sauce", fix=6.0, where="F2")),
        "F2: Keep at for sauce on Aug 14 is there twice, with 4 and 6. Delete one of the two (the other is F1).",
    ),
}


def test_a_household_in_which_all_is_well_brings_no_problem():
    assert checks.problems(GOOD) == ()


@pytest.mark.parametrize("check", checks.CHECKS, ids=lambda check: check.__name__)
def test_each_check_tells_its_one_problem_and_no_other_check_tells_it_too(check):
    household, sentence = BAD[check.__name__]
    assert [line(problem) for problem in check(household)] == [sentence]
    assert [line(problem) for problem in checks.problems(household)] == [sentence]


def test_every_check_is_in_the_list_and_every_one_in_the_list_has_a_bad_household():
    written = {
        name
        for name, one in inspect.getmembers(checks, inspect.isfunction)
        if one.__module__ == checks.__name__ and one.__annotations__["return"] == "Iterator[Problem]"
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
    assert [sentences(problem)[0] for problem in checks.ingredient_loop(loop)] == [
        "A is an ingredient of itself (a > b > c > a)."
    ]
    shared = preserves(takes("a", "b", "c"), takes("b", "d"), takes("c", "d"), takes("d"))
    assert list(checks.ingredient_loop(shared)) == []
    alone = preserves(takes("a", "a"))
    assert [sentences(problem)[0] for problem in checks.ingredient_loop(alone)] == [
        "A is an ingredient of itself (a > a)."
    ]


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
    assert [line(problem) for problem in told] == [
        "F1: Keep at for sauce on Nov 22 is after the plan, which ends Oct 15. The plan keeps it once it reaches that day."
    ]


def test_containers_that_come_back_or_can_be_bought_are_to_be_had():
    for jar in (replace(JAR, on_hand=0, back_each_week=2), replace(JAR, on_hand=0, can_buy=6)):
        assert checks.problems(replace(GOOD, containers=(jar,))) == ()


def test_every_kind_a_check_uses_is_in_the_one_list():
    kinds = {problem.kind for household, _ in BAD.values() for problem in checks.problems(household)}
    assert kinds <= set(KINDS)
