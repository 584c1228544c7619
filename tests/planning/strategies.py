"""
Random small households for property tests: few crops, preserves, needs and periods, with anything short or plentiful.
"""

from __future__ import annotations

import dataclasses
import datetime
import math
import random
from typing import Any

from hypothesis import strategies as st

from stillroom.household.records import (
    FREEZE_WHOLE,
    Container,
    Crop,
    Equipment,
    Hours,
    Household,
    Ingredient,
    Kitchen,
    Lid,
    Load,
    Lot,
    PantryItem,
    PlanLine,
    Preserve,
    ShelfRow,
    Target,
)

MONDAY = datetime.date(2026, 8, 17)
CROPS = ("bean", "plum", "tomato")

Draw = Any  # hypothesis hands it in; it returns whatever the strategy makes


def tenths(least: int, most: int) -> st.SearchStrategy[float]:
    """Numbers with one decimal, so that sums are easy on the eye when a case fails."""
    return st.integers(least * 10, most * 10).map(lambda number: number / 10)


def perhaps(limit: st.SearchStrategy[float]) -> st.SearchStrategy[float]:
    """A limit, or none."""
    return st.one_of(st.just(math.inf), limit)


@st.composite
def kitchens(draw: Draw) -> Kitchen:
    """A few detailed days and a few weeks, at least one period, beginning on any weekday."""
    days = draw(st.integers(0, 3))
    weeks = draw(st.integers(0 if days else 1, 2))
    return Kitchen(
        MONDAY + datetime.timedelta(draw(st.integers(0, 6))),
        days_planned_singly=days,
        weeks_after_that=weeks,
        burners=draw(st.sampled_from((1.0, 2.0, 4.0))),
        fill_targets_evenly=draw(st.booleans()),
        spending_limit=draw(perhaps(tenths(0, 30))),
        freezer_free_litres=draw(perhaps(tenths(0, 40))),
        freeze_kg_a_day=draw(perhaps(tenths(0, 10))),
        refrigerator_free_litres=draw(perhaps(tenths(0, 20))),
        shelf_free_litres=draw(perhaps(tenths(0, 40))),
        most_preserves_a_day=draw(perhaps(st.sampled_from((1.0, 2.0, 3.0)))),
        kept_free=draw(st.sampled_from((0.0, 0.0, 0.1, 0.5))),
    )


@st.composite
def crops(draw: Draw, name: str) -> Crop:
    """A crop that keeps a day or a fortnight and may be frozen whole or not."""
    return Crop(
        name,
        float(draw(st.integers(0, 12))),
        eaten_kg_a_week=draw(st.sampled_from((0.0, 0.0, 1.4, 7.0))),
        may_be_frozen_whole=draw(st.booleans()),
        frozen_keeps_weeks=float(draw(st.integers(1, 4))),
        trimmings_share=draw(st.sampled_from((0.0, 0.3))),
    )


@st.composite
def lots(draw: Draw, names: tuple[str, ...], first_day: datetime.date) -> tuple[Lot, ...]:
    """Lots picked from a week before to a fortnight after the first day, some lying in the freezer."""
    found = []
    for _ in range(draw(st.integers(1, 5))):
        crop, away, kg = draw(st.sampled_from(names)), draw(st.integers(-7, 14)), draw(tenths(1, 25))
        picked = first_day + datetime.timedelta(away)
        frozen = picked if away < 0 and draw(st.booleans()) else None
        found.append(Lot(crop, picked, kg, expected=away > 0, frozen_on=frozen))
    return tuple(found)


@st.composite
def preserves(draw: Draw, name: str, names: tuple[str, ...]) -> Preserve:
    """A jar through the canner, a bag by hand, or slices in a dryer that runs overnight."""
    kind = draw(st.sampled_from(("jar", "jar", "bag", "bag", "slices")))
    lines = [Ingredient(draw(st.sampled_from(names)), "crop", draw(tenths(1, 3)), from_frozen=draw(st.booleans()))]
    if draw(st.booleans()):
        lines.append(Ingredient("lemon juice", "pantry", draw(st.sampled_from((0.1, 0.2)))))
    common: dict[str, Any] = {
        "hands_minutes_each": float(draw(st.integers(0, 20))),
        "hands_minutes_load": float(draw(st.sampled_from((0, 20)))),
        "stove_minutes_load": float(draw(st.sampled_from((0, 30)))),
        "space_litres_each": 1.0,
        "ingredients": tuple(lines),
        "include": draw(st.sampled_from((True, True, True, False))),
        "batch_typed": draw(st.booleans()),
        "smallest_batch": draw(st.integers(1, 8)),
    }
    if kind == "jar":
        return Preserve(
            name, "boiling-water canned", "jar", equipment=("canner",), load=7, process_minutes=40.0, **common
        )
    if kind == "bag":
        return Preserve(name, "frozen", "bag", kept_in="freezer", **common)
    minutes = draw(st.sampled_from((600.0, 1800.0, 6000.0)))
    return Preserve(name, "dried", "bag", equipment=("dryer",), load=4, process_minutes=minutes, **common)


@st.composite
def with_a_user(draw: Draw, found: list[Preserve]) -> list[Preserve]:
    """The same preserves, where perhaps the last also takes some of the first."""
    if len(found) > 1 and draw(st.booleans()):
        line = Ingredient(found[0].name, "preserve", draw(st.sampled_from((0.5, 1.0))))
        found[-1] = dataclasses.replace(found[-1], ingredients=(*found[-1].ingredients, line))
    return found


@st.composite
def targets(draw: Draw, names: list[str]) -> tuple[Target, ...]:
    """One to three targets, each counting some of the preserves; some preserves may count toward none."""
    found = []
    for number in range(draw(st.integers(1, 3))):
        counted = draw(st.lists(st.sampled_from(names), min_size=1, unique=True))
        wanted = float(draw(st.integers(0, 20)))
        found.append(
            Target(
                f"need {number}", wanted, wanted + draw(st.sampled_from((0.0, 0.0, 5.0))), draw(st.integers(1, 3)),
                weight=draw(st.sampled_from((1.0, 2.0))),
                counts={name: draw(st.sampled_from((1.0, 0.5, 2.0))) for name in counted},
            )
        )  # fmt: skip
    return tuple(found)


@st.composite
def hours(draw: Draw, burners: float) -> tuple[Hours, ...]:
    """Perhaps a row for hands and one for the stove, in burner-hours over burners; the weekdays differ."""
    found = []
    for what, over in (("hands", 1.0), ("stove free", burners)):
        if draw(st.booleans()):
            by_weekday = tuple(draw(st.sampled_from((0.0, 1.0, 2.5, 6.0))) / over for _ in range(7))
            found.append(Hours(what, by_weekday, draw(tenths(0, 20)) / over))
    return tuple(found)


@st.composite
def plan_lines(draw: Draw, names: tuple[str, ...], first_day: datetime.date) -> tuple[PlanLine, ...]:
    """Lines of a former plan around the first day, some of them fixed."""
    found: dict[tuple[datetime.date, int, str], PlanLine] = {}
    for _ in range(draw(st.integers(0, 3))):
        day = first_day + datetime.timedelta(draw(st.integers(-2, 3)))
        days = draw(st.sampled_from((1, 1, 7)))
        name = draw(st.sampled_from(names))
        fix = draw(st.one_of(st.none(), st.integers(0, 6).map(float)))
        found[day, days, name] = PlanLine(day, days, name, make=draw(st.integers(0, 9).map(float)), fix=fix)
    return tuple(found.values())


@st.composite
def households(draw: Draw, *, fixed: bool = True) -> Household:
    """A small household, settled: everything a plan needs is filled in. Without fixed lines when not `fixed`."""
    kitchen = draw(kitchens())
    names = CROPS[: draw(st.integers(1, 3))] if not fixed else CROPS
    kinds = [draw(preserves(f"preserve {number}", names)) for number in range(draw(st.integers(1, 4)))]
    kinds = draw(with_a_user(kinds))
    called = [item.name for item in kinds]
    grown = tuple(draw(crops(name)) for name in names)
    may_be_fixed = (*called, *(FREEZE_WHOLE + crop.name for crop in grown if crop.may_be_frozen_whole))
    return Household(
        kitchen,
        hours=draw(hours(kitchen.burners)),
        equipment=(
            Equipment("canner", "boiling-water canner", draw(st.integers(1, 2)), (Load(7.0, "jar"),), 1.0, 20 / 60),
            Equipment("dryer", "dryer", 1, (Load(4.0, "bag"),), runs_overnight=True),
        ),
        crops=grown,
        lots=draw(lots(names, kitchen.first_day)),
        containers=(
            Container("jar", "jar", 1.0, None, float(draw(st.integers(0, 25))), back_each_week=draw(tenths(0, 3)),
                      lid="lid", price=1.0, can_buy=draw(st.sampled_from((0.0, 5.0)))),
            Container("bag", "bag", 1.0, None, float(draw(st.integers(0, 25))), price=0.2, can_buy=math.inf),
        ),
        lids=(Lid("lid", float(draw(st.integers(0, 20))), price=0.3, can_buy=draw(st.sampled_from((0.0, 6.0, math.inf)))),),
        pantry=(PantryItem("lemon juice", "L", draw(tenths(0, 2)), price=4.0, can_buy=draw(st.sampled_from((0.0, 1.0)))),),
        shelf=(ShelfRow(called[0], float(draw(st.integers(0, 4)))),),
        preserves=tuple(kinds),
        targets=draw(targets(called)),
        plan_lines=draw(plan_lines(may_be_fixed, kitchen.first_day)) if fixed else (),
    )  # fmt: skip


def with_blank_batches(household: Household) -> Household:
    """The same household with every *Smallest batch* blank."""
    rows = tuple(
        dataclasses.replace(item, batch_typed=False, smallest_batch=4 if item.load is None else 1)
        for item in household.preserves
    )
    return dataclasses.replace(household, preserves=rows)


def shuffled(household: Household, seed: int) -> Household:
    """The same household with every table's rows in another order, and every list inside a row that has no order."""
    chance = random.Random(seed)

    def mixed(rows: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(chance.sample(rows, len(rows)))

    tables = {
        field.name: mixed(getattr(household, field.name))
        for field in dataclasses.fields(household)
        if field.name not in ("kitchen", "tighter")
    }
    tables["preserves"] = tuple(
        dataclasses.replace(item, ingredients=mixed(item.ingredients)) for item in tables["preserves"]
    )
    tables["targets"] = tuple(
        dataclasses.replace(target, counts=dict(mixed(tuple(target.counts.items())))) for target in tables["targets"]
    )
    return dataclasses.replace(household, **tables)


def in_other_weights(household: Household, factor: float) -> Household:
    """The same household where a unit of crop weight is `factor` times smaller: every crop figure is times `factor`."""

    def lines(item: Preserve) -> tuple[Ingredient, ...]:
        return tuple(
            dataclasses.replace(line, amount_each=line.amount_each * factor) if line.source == "crop" else line
            for line in item.ingredients
        )

    def typed(line: PlanLine) -> PlanLine:
        if not line.name.startswith(FREEZE_WHOLE):
            return line
        return dataclasses.replace(
            line,
            make=None if line.make is None else line.make * factor,
            fix=None if line.fix is None else line.fix * factor,
        )

    return dataclasses.replace(
        household,
        kitchen=dataclasses.replace(household.kitchen, freeze_kg_a_day=household.kitchen.freeze_kg_a_day * factor),
        crops=tuple(
            dataclasses.replace(
                crop,
                eaten_kg_a_week=crop.eaten_kg_a_week * factor,
                freeze_hours_per_kg=crop.freeze_hours_per_kg / factor,
                freezer_litres_per_kg=crop.freezer_litres_per_kg / factor,
            )
            for crop in household.crops
        ),
        lots=tuple(dataclasses.replace(lot, kg=lot.kg * factor) for lot in household.lots),
        preserves=tuple(dataclasses.replace(item, ingredients=lines(item)) for item in household.preserves),
        plan_lines=tuple(typed(line) for line in household.plan_lines),
    )
