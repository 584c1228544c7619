"""The fence under attack: households made to slip through, judged by a checker of its own; ten thousand in the bench."""

from __future__ import annotations

import dataclasses
import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.handbook import judge
from tests.handbook.attack import CROP_TRUTH, PANTRY, TRUTH, besieged, fence_held, safe
from tests.handbook.by_hand import BY_HAND, fence_held_by_hand
from tests.handbook.kitchens import household

from stillroom.handbook.settle import settle
from stillroom.household.records import Crop, Ingredient


@pytest.mark.parametrize("seed", range(4))
def test_no_attack_is_planned_below_the_table(seed):
    """A thousand households of fixed seeds (`tests/bench.py fence` runs ten thousand others); enough of them come through."""
    rng = random.Random(seed)
    through = 0
    for number in range(250):
        attacked = besieged(rng)
        found, planned = fence_held(attacked)
        assert not found, (seed, number, found, attacked.preserves, attacked.kitchen)
        through += planned
    assert through >= 25, through


@given(st.randoms(use_true_random=False))
@settings(max_examples=150, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
def test_no_attack_that_hypothesis_finds_is_planned_below_the_table(rng):
    """The same attack with the choices made, and shrunk, by hypothesis."""
    found, _ = fence_held(besieged(rng))
    assert not found


@pytest.mark.parametrize("name", sorted(BY_HAND))
def test_no_attack_made_by_hand_comes_through(name):
    """Each is one way a person might try; the fence refuses it, or plans it no lower than the table."""
    assert fence_held_by_hand(name) == []


def fully_stocked(preserve):
    """Whether the made-up household has everything this line is made of."""
    name = judge.product_of(preserve.handbook_line)
    product = next(row for row in judge.PRODUCTS if (row["product"], row["method"]) == (name, preserve.method))
    foods = {food.strip() for food in product["foods"].split(";")}
    return (
        bool(foods & set(CROP_TRUTH.values()))
        and "pectin" not in product["required"]
        and product["acid"] != "fermented"
    )


def test_safe_lines_come_through():
    """Untouched lines are planned: the fence does not hold by refusing everything."""
    rng = random.Random(7)
    crops = tuple(Crop(name, 3) for name in CROP_TRUTH)
    made = [preserve for preserve in (safe(rng) for _ in range(600)) if fully_stocked(preserve)]
    assert len({preserve.handbook_line for preserve in made}) >= 80
    for preserve in made:
        _, problems = settle(household(preserve, crops=crops, pantry=PANTRY))
        assert [str(problem) for problem in problems if problem.is_error] == [], preserve


def test_the_judge_can_find_fault():
    """A preserve that was tampered with after settling is caught: minutes, pounds, jar, acid, equipment."""
    rng = random.Random(3)
    caught = 0
    for _ in range(200):
        answer, problems = settle(
            household(safe(rng), crops=tuple(Crop(name, 3) for name in CROP_TRUTH), pantry=PANTRY)
        )
        if any(problem.is_error for problem in problems):
            continue
        good = answer.preserves[0]
        assert judge.broken(answer, TRUTH) == []
        for bad in (
            dataclasses.replace(good, process_minutes=good.process_minutes - 1), dataclasses.replace(good, equipment=("kettle",)),
            dataclasses.replace(good, container="half-gallon" if good.container != "half-gallon" else "litre jar", process_minutes=0.5),
            dataclasses.replace(good, ingredients=(*good.ingredients, Ingredient("ham", "pantry", 0.1))),
        ):  # fmt: skip
            assert judge.broken(dataclasses.replace(answer, preserves=(bad,)), TRUTH), bad
            caught += 1
    assert caught >= 300
