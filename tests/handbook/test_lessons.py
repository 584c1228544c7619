"""What the record teaches never makes a pickle weaker than its recipe, whatever was really put into the jars."""

from __future__ import annotations

import datetime

import pytest
from tests.handbook.kitchens import crop, group, household, juice, pantry

from stillroom.handbook.settle import WHY_NOT, settle, within_recipes
from stillroom.household.journal.learning import learned, with_learned
from stillroom.household.records import Preserve, RecordRow

BEETS = Preserve(
    "beets", "boiling-water canned", "pint", handbook_line="pickled beets, hot pack, pint", equipment=("pot",),
    ingredients=(crop("beets", 0.39), pantry("vinegar (5%)", 0.5, "cup")),
)  # fmt: skip


def home(preserve, crop_name, kg_each):
    """A household that weighed so much crop into seven jars, three times."""
    days = [datetime.date(2026, 8, day) for day in (1, 4, 7)]
    rows = [RecordRow(day, preserve.name, 7.0, crop=crop_name, crop_used_kg=7 * kg_each) for day in days]
    return household(preserve, record=tuple(rows))


def test_more_beets_a_jar_with_the_same_vinegar_are_not_learned():
    """4 cups for 7 lb: half a cup carries 0.397 kg. Three records of 0.5 kg would plan (3 * 0.5 + 0.39) / 4 = 0.4725."""
    there = home(BEETS, "beets", 0.5)
    lessons = learned(there)
    assert lessons[0].used == pytest.approx(0.4725)
    _, problems = settle(with_learned(there, lessons))
    assert "acid below table" in {group(problem) for problem in problems}
    (kept,) = within_recipes(there, lessons)
    assert (kept.used, kept.why_not, kept.applies) == (0.39, WHY_NOT, False)
    assert with_learned(there, [kept]) == there


def test_fewer_beets_a_jar_are_learned_as_ever():
    there = home(BEETS, "beets", 0.35)
    assert within_recipes(there, learned(there)) == learned(there)
    assert learned(there)[0].applies


def test_juice_is_learned_because_its_lemon_goes_by_the_jar():
    there = home(juice(), "plum tomato", 1.9)
    assert within_recipes(there, learned(there)) == learned(there)


def test_a_preserve_that_is_refused_anyway_is_learned_as_ever():
    """Its refusal is told by itself; the lesson has no part in it."""
    weak = Preserve(**{**vars(BEETS), "ingredients": (crop("beets", 0.39), pantry("vinegar (5%)", 0.1, "cup"))})
    there = home(weak, "beets", 0.5)
    assert within_recipes(there, learned(there)) == learned(there)
