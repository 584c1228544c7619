"""What one container of a handbook line takes: crop, acid, salt and the further foods of its recipe."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from stillroom.handbook.foods import kinds
from stillroom.handbook.kitchen_measures import KG_A_POUND, KILOGRAMS
from stillroom.handbook.lines import JAR_SHARE_OF_PINT, Line
from stillroom.handbook.rows import Row, listed, table

OPTIONAL = ("garlic", "mushrooms", "oil and fat")
"""Foods of recipes that may be left out, and are, so that the list stays short."""


@dataclass(frozen=True)
class CatalogueItem:
    """An item of a preserve: `source` is crop, larder or preserve; `unit` is lb, cup, tablespoon or teaspoon."""

    item: str
    source: str
    amount: float
    unit: str
    from_frozen: bool = False


def items_of(line: Line, crop_lb: float) -> tuple[CatalogueItem, ...]:
    """Give everything one container takes, by the published figures; acid rounded up, further foods rounded down."""
    if line.acid == "fermented":
        return (CatalogueItem("sauerkraut, fermented", "preserve", JAR_SHARE_OF_PINT[line.jar] / 2, ""),)
    food = _main_food(line)
    main = CatalogueItem(
        food, "crop" if kinds()[food].group != "meat" else "larder", _up(crop_lb, 1000), "lb", line.thawed
    )
    rows = [row for row in table("proportions") if row["product"] == line.product]
    others = tuple(_further(rows, food, crop_lb))
    all_lb = crop_lb + sum(item.amount for item in others)
    return (main, *others, *_acid(line), *_least(rows, line, crop_lb, all_lb))


def _main_food(line: Line) -> str:
    preferred = [food for food in ("tomato", "hot peppers") if food in line.foods]
    if line.product == "peppers":
        return "sweet peppers"
    return preferred[0] if preferred else min(line.foods)


def _further(rows: list[Row], food: str, crop_lb: float) -> Iterator[CatalogueItem]:
    for row in rows:
        first = listed(row["item"])[0]
        if row["limit"] != "at most" or first in OPTIONAL or row["of"] != food:
            continue
        batches = crop_lb / (float(row["of_amount"]) * KILOGRAMS[row["of_unit"]] / KG_A_POUND)
        pounds = batches * float(row["amount"]) * KILOGRAMS[row["unit"]] / KG_A_POUND
        source = "larder" if kinds()[first].group == "meat" else "crop"
        yield CatalogueItem(first, source, math.floor(pounds * 1000) / 1000, "lb")


def _acid(line: Line) -> Iterator[CatalogueItem]:
    if line.acid != "tomato":
        return
    pints = JAR_SHARE_OF_PINT[line.jar]
    dose = next(row for row in table("acid") if row["acid"] == "bottled lemon juice" and row["jar"] == "pint")
    yield CatalogueItem("bottled lemon juice", "larder", float(dose["amount"]) * pints, dose["unit"])


def _least(rows: list[Row], line: Line, crop_lb: float, all_lb: float) -> Iterator[CatalogueItem]:
    """Give each acid or salt of the recipe, as much as its strictest row asks."""
    needs: dict[tuple[str, str], float] = {}
    for row in rows:
        if row["limit"] != "at least" or row["unit"] in KILOGRAMS:
            continue
        if row["of"] == "jars":
            batches = JAR_SHARE_OF_PINT.get(line.jar, 1.0) / float(row["of_amount"])
        else:
            pounds = all_lb if row["of"] == "all food" else crop_lb
            batches = pounds / (float(row["of_amount"]) * KILOGRAMS[row["of_unit"]] / KG_A_POUND)
        name = (listed(row["item"])[0], row["unit"])
        needs[name] = max(needs.get(name, 0.0), batches * float(row["amount"]))
    for (item, unit), amount in needs.items():
        yield CatalogueItem(item, "larder", _up(amount, 100), unit)


def _up(amount: float, parts: int) -> float:
    """
    Round up to a part of one, so that rounding never takes away.

    >>> _up(0.1201, 100), _up(23 / 7, 1000)
    (0.13, 3.286)
    """
    return math.ceil(amount * parts - 1e-9) / parts
