"""The mark of what a plan was made from."""

import datetime
import random
from dataclasses import replace

import pytest

from stillroom.household.examples import tiny_household
from stillroom.household.journal.fingerprint import digest
from stillroom.household.records import PlanLine

HOME = tiny_household()


def shuffled(household, seed):
    """The same household with the rows of every table in another order and elsewhere."""
    rng = random.Random(seed)
    changed = {}
    for name in (
        "hours",
        "equipment",
        "crops",
        "lots",
        "containers",
        "lids",
        "pantry",
        "shelf",
        "preserves",
        "targets",
        "record",
        "plan_lines",
    ):
        rows = [replace(row, where=f"Elsewhere!A{rng.randrange(999)}") for row in getattr(household, name)]
        rng.shuffle(rows)
        changed[name] = tuple(rows)
    return replace(household, **changed)


@pytest.mark.parametrize("seed", range(5))
def test_the_order_and_place_of_rows_do_not_matter(seed):
    assert digest(shuffled(HOME, seed)) == digest(HOME)


def test_every_input_matters():
    """Each record is changed in each of its fields; every change gives another mark."""
    marks = {digest(HOME)}
    number = 1
    for name in (
        "hours",
        "equipment",
        "crops",
        "lots",
        "containers",
        "lids",
        "pantry",
        "shelf",
        "preserves",
        "targets",
    ):
        for field in vars(getattr(HOME, name)[0]):
            if field in ("where", "kg_per_litre", "pot_litres_per_kg", "into_jars", "refused"):
                continue
            first, *rest = getattr(HOME, name)
            changed = replace(HOME, **{name: (replace(first, **{field: ("another", number)}), *rest)})
            marks.add(digest(changed))
            number += 1
    for field in vars(HOME.kitchen):
        if field not in (
            "where",
            "gauge_where",
            "spending_where",
            "latest_end_where",
            "first_day_typed",
            "already_spent",
        ):
            marks.add(digest(replace(HOME, kitchen=replace(HOME.kitchen, **{field: ("another", number)}))))
            number += 1
    assert len(marks) == number


def test_what_the_last_plan_said_and_notes_do_not_matter_but_fix_and_made_do():
    day = datetime.date(2026, 8, 14)
    bare = replace(HOME, plan_lines=())
    planned = replace(
        HOME, plan_lines=(PlanLine(day, 1, "juice", make=14.0, note="with Kim"), PlanLine(day, 1, "", note="hot today"))
    )
    fixed = replace(HOME, plan_lines=(PlanLine(day, 1, "juice", make=14.0, fix=7.0),))
    own = replace(HOME, plan_lines=(PlanLine(day, 1, "juice", fix=7.0),))
    made = replace(HOME, plan_lines=(PlanLine(day, 1, "juice", make=14.0, made=7.0),))
    assert digest(planned) == digest(bare)
    assert digest(fixed) == digest(own)
    assert len({digest(bare), digest(fixed), digest(made)}) == 3


def test_a_first_day_that_was_typed_and_the_same_day_as_today_are_one():
    assert digest(replace(HOME, kitchen=replace(HOME.kitchen, first_day_typed=False))) == digest(HOME)


def test_whole_numbers_and_their_decimal_twins_are_one():
    targets = tuple(replace(target, wanted=float(target.wanted), weight=int(target.weight)) for target in HOME.targets)
    assert digest(replace(HOME, targets=targets)) == digest(HOME)
