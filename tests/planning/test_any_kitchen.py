"""What cannot change a plan does not change it: names, halves of a lot, idle things, the scale of the weights."""

from __future__ import annotations

import dataclasses
import datetime
import math
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest
from tests.planning.any_kitchen import any_kitchen
from tests.planning.strategies import with_blank_batches
from tests.planning.test_properties import targets
from tests.samples import every

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import ObjectiveResult, Plan
from stillroom.household.records import (
    FREEZE_WHOLE,
    THAW,
    Container,
    Crop,
    Equipment,
    Hours,
    Household,
    Ingredient,
    Lid,
    PantryItem,
    PlanLine,
    Preserve,
)
from stillroom.household.simulation.seasons import filled_by_plan
from stillroom.planning.solve import plan

ALL = range(150)
SOME = every(2, range(200, 240))
"""Every second one; `python3 tests/bench.py samples` takes all."""


@cache
def planned(number: int, *, fixed: bool = True) -> Plan:
    """The plan of a kitchen, made once for all the tests that hold another against it."""
    return plan(any_kitchen(number, fixed=fixed))


@pytest.mark.parametrize("tens", range(len(ALL) // 10))
def test_every_plan_of_any_kitchen_passes_its_audit(tens: int) -> None:
    """Every third kitchen; `python3 tests/bench.py samples` takes all."""
    for number in every(3, ALL[10 * tens : 10 * tens + 10]):
        household = any_kitchen(number)
        assert violated_constraints(household, plan(household)) == (), number


@pytest.mark.parametrize(("most", "kept_free"), [(1.0, 0.25), (2.0, 0.1)])
def test_days_that_can_be_kept_pass_their_audit_and_keep_the_fixed_lines(most: float, kept_free: float) -> None:
    """What is typed under *Keep at* is together no shorter than without the limits, on whichever day it falls short."""
    for number in SOME:
        household = any_kitchen(number)
        limited = household.with_kitchen(most_preserves_a_day=most, kept_free=kept_free)
        found = plan(limited)
        assert violated_constraints(limited, found) == (), number
        short = sum(one.short for one in planned(number).violations)
        assert sum(one.short for one in found.violations) <= short + 0.01, number


def halves(household: Household) -> Household:
    """Every lot as two rows of half its weight."""
    lots = [dataclasses.replace(lot, kg=lot.kg / 2) for lot in household.lots for _ in range(2)]
    return dataclasses.replace(household, lots=tuple(lots))


def with_idle_things(household: Household) -> Household:
    """A crop nobody picked, a jar, a lid, sugar and a press that nothing uses, before and after the others by name."""
    return dataclasses.replace(
        household,
        crops=(*household.crops, Crop("a crop", 5.0, may_be_frozen_whole=True)),
        containers=(*household.containers, Container("z jar", "jar", 1.0, None, 9.0, can_buy=5.0, price=1.0)),
        lids=(*household.lids, Lid("a lid", 4.0, can_buy=3.0)),
        pantry=(*household.pantry, PantryItem("a sugar", "kg", 2.0, can_buy=5.0)),
        equipment=(*household.equipment, Equipment("z press", "press")),
    )


def with_useless_preserves(household: Household) -> Household:
    """Two preserves that count toward no target, of a crop that others use too."""
    used = {
        line.item for item in household.preserves if item.include for line in item.ingredients if line.source == "crop"
    }
    crop = next((crop.name for crop in household.crops if crop.name in used), None)
    if crop is None:
        return household
    useless = tuple(
        Preserve(name, "frozen", "bag", kept_in="freezer", space_litres_each=1.0, ingredients=(Ingredient(crop, "crop", 1.0),))
        for name in ("a useless one", "z useless one")
    )  # fmt: skip
    return dataclasses.replace(household, preserves=(*household.preserves, *useless))


def renamed(household: Household) -> Household:
    """Every thing under another name, so that the names stand in the opposite order; needs keep theirs."""
    tables = ("preserves", "crops", "containers", "lids", "pantry", "equipment")
    names = sorted({row.name for table in tables for row in getattr(household, table)}, reverse=True)
    new = {name: f"thing {place:02d}" for place, name in enumerate(names)}

    def line(one: PlanLine) -> PlanLine:
        start = next((start for start in (FREEZE_WHOLE, THAW) if one.name.startswith(start)), "")
        return dataclasses.replace(one, name=start + new[one.name.removeprefix(start)])

    def called(row: Any, **fields: Any) -> Any:
        return dataclasses.replace(row, name=new[row.name], **fields)

    return dataclasses.replace(
        household,
        hours=tuple(dataclasses.replace(row, what=new.get(row.what, row.what)) for row in household.hours),
        equipment=tuple(called(row) for row in household.equipment),
        crops=tuple(called(row) for row in household.crops),
        lots=tuple(dataclasses.replace(lot, crop=new[lot.crop]) for lot in household.lots),
        containers=tuple(called(row, lid=row.lid and new[row.lid]) for row in household.containers),
        lids=tuple(called(row) for row in household.lids),
        pantry=tuple(called(row) for row in household.pantry),
        shelf=tuple(dataclasses.replace(row, preserve=new[row.preserve]) for row in household.shelf),
        preserves=tuple(
            called(
                item,
                container=new[item.container],
                equipment=tuple(new[name] for name in item.equipment),
                ingredients=tuple(dataclasses.replace(part, item=new[part.item]) for part in item.ingredients),
            )
            for item in household.preserves
        ),
        targets=tuple(
            dataclasses.replace(target, counts={new[name]: each for name, each in target.counts.items()})
            for target in household.targets
        ),
        plan_lines=tuple(line(one) for one in household.plan_lines),
    )


SAME = (halves, with_idle_things, with_useless_preserves, renamed)


@pytest.mark.parametrize("change", SAME, ids=lambda change: change.__name__)
def test_what_cannot_change_a_plan_does_not(change: Callable[[Household], Household]) -> None:
    """
    Fixed lines and targets, objective by objective until one is not told apart from the other, come out the same both
    ways.
    """
    for number in SOME:
        household = any_kitchen(number)
        assert not apart(planned(number), plan(change(household))), number


@pytest.mark.parametrize("scale", [0.5, 16.0])
def test_weights_count_beside_each_other_only(scale: float) -> None:
    """All weights halved or times sixteen: the first importance is filled as far as before."""
    for number in SOME:
        household = any_kitchen(number, fixed=False)
        scaled = tuple(dataclasses.replace(target, weight=target.weight * scale) for target in household.targets)
        before = targets(planned(number, fixed=False))
        after = targets(plan(dataclasses.replace(household, targets=scaled)))
        first = min(before)
        assert after[first] / scale == pytest.approx(before[first], rel=3e-4, abs=5e-4), number


def test_more_of_every_crop_never_lowers_the_first_importance() -> None:
    """
    Every fresh lot a third heavier: what is too much is surplus, and the targets do not fall.

    Smallest batches are blank: a typed one may cost a target.
    """
    for number in SOME:
        household = with_blank_batches(any_kitchen(number, fixed=False))
        heavier = tuple(dataclasses.replace(lot, kg=lot.kg * 4 / 3) for lot in household.lots if lot.frozen_on is None)
        frozen = tuple(lot for lot in household.lots if lot.frozen_on is not None)
        before = targets(plan(household))
        after = targets(plan(dataclasses.replace(household, lots=(*heavier, *frozen))))
        assert after[min(before)] >= before[min(before)] * (1 - 3e-4) - 5e-4, number


def test_nothing_is_made_on_a_day_without_hands() -> None:
    """No hours of hands on the second weekday: what is made then takes nobody's hands."""
    for number in SOME:
        household = any_kitchen(number, fixed=False)
        second = (household.kitchen.first_day + datetime.timedelta(days=1)).weekday()
        row = next((row for row in household.hours if row.what == "hands"), Hours("hands", (8.0,) * 7, 40.0))
        by_weekday = tuple(0.0 if day == second else hours for day, hours in enumerate(row.by_weekday))
        others = tuple(one for one in household.hours if one.what != "hands")
        household = dataclasses.replace(household, hours=(dataclasses.replace(row, by_weekday=by_weekday), *others))
        found = plan(household)
        assert violated_constraints(household, found) == (), number
        if household.kitchen.days_planned_singly > 1:
            made = [household.preserve(name) for (name, period) in found.make if period == 1]
            assert not any(item.hands_minutes_each or item.hands_minutes_load for item in made), number
            assert not any(kg for (_, period), kg in found.freeze_kg.items() if period == 1), number


def apart(one: Plan, other: Plan) -> bool:
    """
    Whether two plans surely differ in fixed lines, or where those are alike in the first target objective that differs.
    """
    others = {objective.name: objective for objective in other.objectives}
    for place, objective in enumerate(
        objective for objective in one.objectives if objective.name.startswith(("fixed", "targets"))
    ):
        if surely_apart(objective, others[objective.name], 3e-4 if place < 2 else 0.02):
            return True
        if not math.isclose(objective.value, others[objective.name].value, rel_tol=1e-6, abs_tol=1e-6):
            return False
    return False


def surely_apart(one: ObjectiveResult, other: ObjectiveResult, share: float) -> bool:
    """Whether two values differ by more than either may be from its bound, and a share."""
    unsure = abs(one.value - one.bound) + abs(other.value - other.bound)
    return abs(one.value - other.value) > share * max(1.0, abs(one.value)) + unsure


def test_half_of_a_need_is_covered_as_the_needs_say() -> None:
    """The segments of a plan add up to what counts toward each target, at most as wanted."""
    for number in SOME:
        household = any_kitchen(number)
        found = plan(household)
        for target, filled in filled_by_plan(household, found).items():
            bands = sum(amount for (name, _), amount in found.bands.items() if name == target)
            assert bands == pytest.approx(filled, abs=1e-3), (number, target)
