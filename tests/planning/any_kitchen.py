"""
Random kitchens with everything in them at once: chains of preserves, crocks that outlast the plan, equipment not yet
free.

All figures are invented. Wider than `strategies` (lines fixed for a week that has begun, crop to be taken out, goods
past their date, hours of single pieces), by a number rather than by a search, so that a case can be named.
"""

from __future__ import annotations

import dataclasses
import datetime
import math
import random
from typing import Any

from stillroom.household.records import (
    FREEZE_WHOLE,
    THAW,
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
CROPS = ("bean", "plum", "tomato", "corn")
NO_END = math.inf


def any_kitchen(number: int, *, fixed: bool = True) -> Household:
    """The kitchen of a number; without lines of a former plan when not `fixed`."""
    chance = random.Random(f"any kitchen {number}")
    days = chance.choice((0, 1, 1, 2, 3, 3, 4, 7))
    weeks = chance.choice((0, 0, 1, 2, 3)) if days else chance.choice((1, 2, 3))
    first = MONDAY + datetime.timedelta(chance.randrange(7))
    span = days + 7 * weeks
    crops = tuple(a_crop(chance, name) for name in CROPS[: chance.randint(1, 4)])
    preserves = with_batches(number, some_preserves(chance, [crop.name for crop in crops]))
    names = [item.name for item in preserves]
    kitchen = a_kitchen(chance, first, days, weeks)
    return Household(
        kitchen,
        hours=some_hours(chance, kitchen.burners),
        equipment=some_equipment(chance, first),
        crops=crops,
        lots=tuple(some_lots(chance, crops, first, span)),
        containers=(
            Container("jar", "jar", 0.95, None, float(chance.choice((3, 6, 12, 30))), lid="lid",
                      back_each_week=chance.choice((0.0, 1.0, 2.5, 7.0)), price=1.0, can_buy=chance.choice((0.0, 5.0, NO_END))),
            Container("bag", "bag", 1.0, None, float(chance.choice((5, 25, 100))), price=0.1, can_buy=chance.choice((0.0, NO_END))),
        ),
        lids=(Lid("lid", float(chance.choice((5, 12, 40))), price=0.3, can_buy=chance.choice((0.0, 6.0, NO_END))),),
        pantry=(PantryItem("lemon", "L", chance.choice((0.2, 0.5, 3.0)), price=4.0, can_buy=chance.choice((0.0, 1.0))),),
        shelf=tuple(
            ShelfRow(chance.choice(names), float(chance.choice((1, 2, 5))),
                     best_by=chance.choice((None, first + datetime.timedelta(chance.choice((2, 400))))))
            for _ in range(chance.randint(0, 2))
        ),
        preserves=preserves,
        targets=some_targets(chance, names),
        plan_lines=some_lines(chance, names, crops, first, span) if fixed else (),
    )  # fmt: skip


def a_kitchen(chance: random.Random, first: datetime.date, days: int, weeks: int) -> Kitchen:
    """Spaces, money and days."""
    return Kitchen(
        first,
        days_planned_singly=days,
        weeks_after_that=weeks,
        burners=chance.choice((1.0, 2.0, 4.0)),
        fill_targets_evenly=chance.random() < 0.8,
        spending_limit=chance.choice((NO_END, NO_END, 0.0, 5.5)),
        freezer_free_litres=chance.choice((NO_END, 7.3, 40.0)),
        freeze_kg_a_day=chance.choice((NO_END, 3.3, 8.0)),
        refrigerator_free_litres=chance.choice((NO_END, 12.5)),
        shelf_free_litres=chance.choice((NO_END, 33.0)),
        setup_hours_a_kind=chance.choice((0.25, 0.0)),
    )


def a_crop(chance: random.Random, name: str) -> Crop:
    """A crop that keeps from no day to forty, half of them to be frozen whole."""
    return Crop(
        name,
        float(chance.choice((0, 1, 2, 2.5, 5, 10, 40))),
        eaten_kg_a_week=chance.choice((0.0, 0.0, 0.7, 3.0)),
        may_be_frozen_whole=chance.random() < 0.5,
        frozen_keeps_weeks=float(chance.choice((0, 1, 1.5, 4, 26))),
    )


def some_lots(chance: random.Random, crops: tuple[Crop, ...], first: datetime.date, span: int) -> list[Lot]:
    """Lots from before the first day to after the last; some lie in the freezer; none that is past its time."""
    found = []
    for _ in range(chance.randint(2, 8)):
        away, crop = chance.choice((0, 0, chance.randint(-9, span + 2))), chance.choice(crops)
        picked, kg = first + datetime.timedelta(away), round(chance.uniform(2, 40), 2)
        frozen = picked if away < 0 and chance.random() < 0.5 else None
        if frozen is not None or -away <= crop.keeps_days:
            found.append(Lot(crop.name, picked, kg, expected=away > 0, frozen_on=frozen))
    return found


def some_equipment(chance: random.Random, first: datetime.date) -> tuple[Equipment, ...]:
    """A canner, a dryer and a crock, not all of them free from the first day."""
    later = first + datetime.timedelta(chance.choice((1, 3)))
    return (
        Equipment("canner", "boiling-water canner", chance.choice((1, 2)), (Load(7, "jar"),), 1.0, 0.5,
                  free_from=chance.choice((None, None, later))),
        Equipment("crock", "crock", chance.choice((1, 2)), (Load(4, "jar"),), runs_overnight=True,
                  free_from=chance.choice((None, later))),
        Equipment("dryer", "dryer", 1, (Load(4, "bag"),), runs_overnight=chance.random() < 0.7),
    )  # fmt: skip


def some_hours(chance: random.Random, burners: float) -> tuple[Hours, ...]:
    """Hands and stove mostly, burner-hours over burners, a single piece now and then; some days have none."""
    rows = []
    for what, share in (("hands", 0.7), ("stove free", 0.7), ("dryer", 0.1), ("canner", 0.1)):
        if chance.random() < share:
            over = burners if what == "stove free" else 1.0
            by_weekday = tuple(chance.choice((0.0, 2.5, 4.0, 8.0)) / over for _ in range(7))
            rows.append(Hours(what, by_weekday, chance.choice((7.0, 20.0)) / over))
    return tuple(rows)


def some_preserves(chance: random.Random, crops: list[str]) -> tuple[Preserve, ...]:
    """Jars, bags, slices, a crock, and what is made of one or two of those before it."""
    found: list[Preserve] = []
    for number in range(chance.randint(1, 6)):
        lines = [
            Ingredient(
                chance.choice(crops), "crop", round(chance.uniform(0.3, 3), 2), from_frozen=chance.random() < 0.5
            )
        ]
        if chance.random() < 0.3:
            lines.append(Ingredient("lemon", "pantry", chance.choice((0.03, 0.1))))
        made_of = chance.choice(("jar", "jar", "bag", "bag", "dry", "crock", "soup", "soup"))
        if made_of == "soup" and found:
            others = chance.sample(found, min(len(found), chance.choice((1, 1, 2))))
            lines += [
                Ingredient(other.name, "preserve", chance.choice((0.25, 0.5, 1.0, 2.0, 1 / 3))) for other in others
            ]
        found.append(a_preserve(chance, f"preserve {number}", made_of, tuple(lines)))
    return tuple(found)


def a_preserve(chance: random.Random, name: str, made_of: str, lines: tuple[Ingredient, ...]) -> Preserve:
    """A preserve of a sort."""
    common: dict[str, Any] = {
        "hands_minutes_each": float(chance.choice((0, 2, 20))),
        "hands_minutes_load": float(chance.choice((0, 30))),
        "stove_minutes_load": float(chance.choice((0, 45))),
        "include": chance.random() < 0.9,
        "space_litres_each": chance.choice((1.0, 0.5)),
        "ingredients": lines,
    }
    if made_of == "jar":
        return Preserve(name, "boiling-water canned", "jar", equipment=("canner",), load=chance.choice((4, 7)),
                        process_minutes=float(chance.choice((10, 85))), **common)  # fmt: skip
    if made_of == "dry":
        return Preserve(name, "dried", "bag", equipment=("dryer",), load=4,
                        process_minutes=float(chance.choice((360, 1080, 2400))), **common)  # fmt: skip
    if made_of == "crock":
        return Preserve(name, "fermented", "jar", equipment=("crock",), load=4, kept_in="refrigerator",
                        process_minutes=float(chance.choice((2880, 7200, 40320))), **common)  # fmt: skip
    return Preserve(name, "frozen", "bag", kept_in="freezer", smallest_batch=chance.choice((1, 2, 4)), **common)


def with_batches(number: int, preserves: tuple[Preserve, ...]) -> tuple[Preserve, ...]:
    """Half of them with a blank smallest batch, a few in equipment with one of some jars; chosen apart from the rest."""
    chance = random.Random(f"smallest batches {number}")
    found = []
    for item in preserves:
        batch = item.smallest_batch if item.load is None else chance.choice((1, 1, 4, 9))
        blank = {"batch_typed": False, "smallest_batch": 4 if item.load is None else 1}
        fields: dict[str, Any] = blank if chance.random() < 0.5 else {"smallest_batch": batch}
        found.append(dataclasses.replace(item, **fields))
    return tuple(found)


def some_targets(chance: random.Random, names: list[str]) -> tuple[Target, ...]:
    """One to five needs, some of nothing."""
    found = []
    for number in range(chance.randint(1, 5)):
        wanted = float(chance.choice((0, 1, 3, 7.5, 12, 20)))
        counts = {
            name: chance.choice((1.0, 1.0, 0.5, 2.0))
            for name in chance.sample(names, chance.randint(1, min(3, len(names))))
        }
        at_most, weight = wanted + chance.choice((0.0, 3.0)), chance.choice((1.0, 1.0, 2.0))
        found.append(Target(f"need {number}", wanted, at_most, chance.randint(1, 3), weight=weight, counts=counts))
    return tuple(found)


def some_lines(
    chance: random.Random, names: list[str], crops: tuple[Crop, ...], first: datetime.date, span: int
) -> tuple[PlanLine, ...]:
    """Lines of a former plan, of days and of weeks that have begun or lie across; some fixed, some of crop."""
    crop_lines = [start + crop.name for crop in crops for start in (FREEZE_WHOLE, THAW)]
    found: dict[tuple[datetime.date, int, str], PlanLine] = {}
    for _ in range(chance.choice((0, 0, 1, 2, 3))):
        day = first + datetime.timedelta(chance.randint(-4, max(1, span - 1)))
        key = (day, chance.choice((1, 1, 7)), chance.choice((*names, *names, *crop_lines)))
        make, fix = (chance.choice((None, float(chance.randint(0, 9)))) for _ in range(2))
        found[key] = PlanLine(*key, make=make, fix=fix)
    return tuple(found.values())
