"""An invented household with a record of any length, the same for the same seed; every weight is in quarters of a kg."""

from __future__ import annotations

import datetime
import random

from stillroom.household.records import (
    ATE,
    BOUGHT,
    FREEZE_WHOLE,
    SPOILED,
    SURPLUS,
    THAW,
    Container,
    Crop,
    Household,
    Ingredient,
    Kitchen,
    Lid,
    Lot,
    PantryItem,
    Preserve,
    RecordRow,
    ShelfRow,
)

FIRST = datetime.date(2026, 1, 1)
DAYS = 300
TOGETHER = 10
"""Preserves of one crop, and in one kind of container."""


def long_record(records: int, lots: int, preserves: int, seed: int = 1) -> Household:
    """A household of so many rows of the record, lots and preserves; a tenth as many crops and kinds of container."""
    chance = random.Random(f"{records} {lots} {preserves} {seed}")
    kinds = -(-preserves // TOGETHER)
    counted = [FIRST, FIRST + datetime.timedelta(days=DAYS // 2), None]

    def numbered(what: str) -> str:
        return f"{what} {chance.randrange(kinds)}"

    return Household(
        Kitchen(FIRST + datetime.timedelta(days=DAYS)),
        crops=tuple(Crop(f"crop {n}", chance.choice([2, 10, 300])) for n in range(kinds)),
        lots=tuple(a_lot(numbered("crop"), f"T{n}", chance) for n in range(lots)),
        containers=tuple(
            Container(f"jar {n}", "jar", 1.0, on_hand=200.0, counted_on=chance.choice(counted), lid=numbered("lid"))
            for n in range(kinds)
        ),
        lids=tuple(Lid(f"lid {n}", 300.0, counted_on=chance.choice(counted)) for n in range(kinds)),
        pantry=tuple(
            PantryItem(f"salt {n}", "litre", 50.0, counted_on=chance.choice(counted), unit="cup", per_base=4.0)
            for n in range(kinds)
        ),
        shelf=tuple(
            ShelfRow(
                f"preserve {chance.randrange(preserves)}", float(chance.randrange(9)), made_on=chance.choice(counted)
            )
            for _ in range(kinds)
        ),
        preserves=tuple(a_preserve(n, numbered, chance) for n in range(preserves)),
        record=tuple(a_row(numbered, preserves, f"R{n}", chance) for n in range(records)),
    )


def a_day(chance: random.Random) -> datetime.date:
    """A day of the season."""
    return FIRST + datetime.timedelta(days=chance.randrange(DAYS))


def a_lot(crop: str, where: str, chance: random.Random) -> Lot:
    """A lot of a crop: mostly fresh, some frozen whole, some only expected."""
    frozen_on = a_day(chance) if chance.random() < 0.1 else None
    return Lot(crop, a_day(chance), chance.randrange(100) / 4, chance.random() < 0.05, frozen_on, where=where)


def a_preserve(number: int, numbered, chance: random.Random) -> Preserve:
    """A preserve of a crop and salt, often with an earlier preserve in it."""
    lines = [
        Ingredient(numbered("crop"), "crop", 1.25, from_frozen=chance.random() < 0.5),
        Ingredient(numbered("salt"), "pantry", 0.25),
    ]
    if number and chance.random() < 0.5:
        lines.append(Ingredient(f"preserve {chance.randrange(number)}", "preserve", 0.5))
    return Preserve(f"preserve {number}", "frozen", numbered("jar"), ingredients=tuple(lines), keeps_months=12)


def a_row(numbered, preserves: int, where: str, chance: random.Random) -> RecordRow:
    """A row of the record: something made, eaten or bought, or crop that was moved."""
    day, crop, preserve = a_day(chance), numbered("crop"), f"preserve {chance.randrange(preserves)}"
    what = chance.choice(["made", "made", "made", ATE, BOUGHT, FREEZE_WHOLE, THAW, SURPLUS, SPOILED, "used"])
    many, kg = float(chance.randrange(9)), chance.randrange(40) / 4
    if what == "made":
        return RecordRow(day, preserve, made=many, failed_seals=float(chance.randrange(2)), where=where)
    if what == ATE:
        return RecordRow(day, ATE + preserve, made=many, where=where)
    if what == BOUGHT:
        return RecordRow(day, BOUGHT + numbered(chance.choice(["jar", "lid", "salt"])), made=many, where=where)
    return RecordRow(day, None if what == "used" else what + crop, crop=crop, crop_used_kg=kg, where=where)
