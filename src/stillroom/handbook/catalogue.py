"""The crops and preserves of a starting workbook, with their published figures and sources."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from stillroom.handbook.foods import kinds
from stillroom.handbook.jars import KG_A_POUND, KILOGRAMS
from stillroom.handbook.lines import JAR_SHARE_OF_PINT, Line, lines
from stillroom.handbook.tables import Row, listed, table

OPTIONAL = ("garlic", "mushrooms", "oil and fat")
"""Foods of recipes that are optional; they are left out, so that the list stays short."""


@dataclass(frozen=True)
class CatalogueItem:
    """An item of a preserve: `source` is crop, pantry or preserve; `unit` is lb, cup, tablespoon or teaspoon."""

    item: str
    source: str
    amount: float
    unit: str
    from_frozen: bool = False


def items_of(line: Line, crop_lb: float) -> tuple[CatalogueItem, ...]:
    """Return everything one container takes, by the published figures; acid rounded up, other foods rounded down."""
    if line.acid == "fermented":
        return (CatalogueItem("sauerkraut, fermented", "preserve", JAR_SHARE_OF_PINT[line.jar] / 2, ""),)
    food = _main_food(line)
    main = CatalogueItem(
        food, "crop" if kinds()[food].group != "meat" else "pantry", _up(crop_lb, 1000), "lb", line.thawed
    )
    rows = [row for row in table("proportions") if row["product"] == line.product]
    others = tuple(_further(rows, food, crop_lb))
    all_lb = crop_lb + sum(item.amount for item in others)
    return (main, *others, *_acid(line), *_least(rows, line, crop_lb, all_lb))


def _main_food(line: Line) -> str:
    preferred = [food for food in ("tomato", "hot peppers") if food in line.foods]
    if line.product == "peppers":
        return "sweet peppers"
    return preferred[0] if preferred else min(food for food in line.foods if not kinds()[food].kept_as)


def _further(rows: list[Row], food: str, crop_lb: float) -> Iterator[CatalogueItem]:
    for row in rows:
        first = listed(row["item"])[0]
        if row["limit"] != "at most" or first in OPTIONAL or row["of"] != food:
            continue
        batches = crop_lb / (float(row["of_amount"]) * KILOGRAMS[row["of_unit"]] / KG_A_POUND)
        pounds = batches * float(row["amount"]) * KILOGRAMS[row["unit"]] / KG_A_POUND
        source = "pantry" if kinds()[first].group == "meat" else "crop"
        yield CatalogueItem(first, source, math.floor(pounds * 1000) / 1000, "lb")


def _acid(line: Line) -> Iterator[CatalogueItem]:
    if line.acid != "tomato":
        return
    pints = JAR_SHARE_OF_PINT[line.jar]
    dose = next(row for row in table("acid") if row["acid"] == "bottled lemon juice" and row["jar"] == "pint")
    yield CatalogueItem("bottled lemon juice", "pantry", float(dose["amount"]) * pints, dose["unit"])


def _least(rows: list[Row], line: Line, crop_lb: float, all_lb: float) -> Iterator[CatalogueItem]:
    """Yield each acid or salt of the recipe, in the amount of its strictest row."""
    amounts: dict[tuple[str, str], float] = {}
    for row in rows:
        if row["limit"] != "at least" or row["unit"] in KILOGRAMS:
            continue
        if row["of"] == "jars":
            batches = JAR_SHARE_OF_PINT.get(line.jar, 1.0) / float(row["of_amount"])
        else:
            pounds = all_lb if row["of"] == "all food" else crop_lb
            batches = pounds / (float(row["of_amount"]) * KILOGRAMS[row["of_unit"]] / KG_A_POUND)
        name = (listed(row["item"])[0], row["unit"])
        amounts[name] = max(amounts.get(name, 0.0), batches * float(row["amount"]))
    for (item, unit), amount in amounts.items():
        yield CatalogueItem(item, "pantry", _up(amount, 100), unit)


def _up(amount: float, parts: int) -> float:
    """
    Return the amount rounded up to a fraction of one.

    >>> _up(0.1201, 100), _up(23 / 7, 1000)
    (0.13, 3.286)
    """
    return math.ceil(amount * parts - 1e-9) / parts


FROZEN_WHOLE = ("tomato", "strawberries", "berries", "cherries", "rhubarb", "hot peppers")
"""May be frozen whole: tomatoes (Oregon State Food Hero), fruit for jam (K-State), peppers (no blanching needed)."""

BOX_LB = 20.0
DRIED_BAG_LB = 0.25
"""Example sizes, not published figures."""

CELLARED = frozenset(
    f"{food}, root cellar"
    for food in (
        *("potatoes", "onions", "carrots", "beets", "cabbage", "winter squash", "apples", "pears"),
        "green tomatoes",
    )
)
"""Cellar lines of a starting workbook; the others have no crop there."""

SUGGESTED = frozenset(
    {
        "tomato juice, hot pack, quart",
        "crushed tomatoes, hot pack, quart",
        "tomato sauce, hot pack, pint",
        "tomato sauce, hot pack, quart",
        "chile salsa, hot pack, pint",
        "spaghetti sauce without meat, hot pack, quart",
        "whole tomatoes in water, hot pack, quart",
        "green beans, raw pack, quart",
        "green beans, raw pack, pint",
        "sweet corn, hot pack, pint",
        "carrots, hot pack, pint",
        "carrots, hot pack, quart",
        "beets, hot pack, pint",
        "applesauce, hot pack, quart",
        "sliced apples, hot pack, quart",
        "peaches, hot pack, quart",
        "pears, hot pack, quart",
        "plums, raw pack, quart",
        "quick dill pickles, raw pack, quart",
        "bread-and-butter pickles, hot pack, pint",
        "pickled beets, hot pack, pint",
        "pickled bell peppers, hot pack, pint",
        "sweet corn, frozen whole kernel",
        "snap beans, frozen cut",
        "sweet peppers, frozen",
        "broccoli, frozen",
        "summer squash, frozen slices",
        "strawberries, frozen",
        "carrots, frozen",
        "tomatoes, frozen whole or in pieces",
        "blueberries, frozen",
        "sauerkraut, fermented",
        "potatoes, root cellar",
        "onions, root cellar",
        "carrots, root cellar",
        "winter squash, root cellar",
        "apples, root cellar",
        "cabbage, root cellar",
    }
)
"""Lines with Include = yes in a starting workbook: common ones, none of them unverified."""


@dataclass(frozen=True)
class CatalogueCrop:
    """A crop with its food, keeping days (household figures), bushel weight, and their source."""

    name: str
    handbook_food: str
    keeps_days: float
    bushel_lb: float | None
    may_be_frozen_whole: bool
    source: str
    status: str
    note: str = ""


@dataclass(frozen=True)
class CataloguePreserve:
    """A handbook line with its container, the items one container takes, kind of equipment, months and source."""

    name: str
    line: str
    method: str
    container: str
    items: tuple[CatalogueItem, ...]
    equipment_kind: str | None
    kept_in: str
    keeps_months: float | None
    make: bool
    source: str
    status: str
    note: str = ""


_KEPT_IN = {
    "boiling-water canned": "shelf",
    "pressure canned": "shelf",
    "dried": "shelf",
    "frozen": "freezer",
    "fermented": "refrigerator",
    "refrigerated": "refrigerator",
    "root cellar": "cellar",
}
_EQUIPMENT = {
    "boiling-water canned": "boiling-water canner",
    "pressure canned": "pressure canner",
    "dried": "dryer",
    "fermented": "crock",
}


@lru_cache(maxsize=1)
def crops() -> tuple[CatalogueCrop, ...]:
    """Return every crop with a household keeping time, in the order of the table."""
    bushels = {row["food"]: row for row in table("bushels")}
    found = []
    for row in table("fresh"):
        bushel = bushels.get(row["food"])
        source = f"keeps: {row['source']}" + (f"; bushel: {bushel['source']}" if bushel else "")
        found.append(
            CatalogueCrop(
                name=row["food"],
                handbook_food=row["food"],
                keeps_days=float(row["days_low"]),
                bushel_lb=float(bushel["bushel_lb"]) if bushel else None,
                may_be_frozen_whole=row["food"] in FROZEN_WHOLE,
                source=source,
                status=row["status"],
                note=row["note"],
            )
        )
    return tuple(found)


@lru_cache(maxsize=1)
def preserves() -> tuple[CataloguePreserve, ...]:
    """Return every line with a published weight of crop, with what one container takes; canned ones first."""
    return tuple(_preserve(line) for line in lines().values() if line.crop_lb_each is not None or line.key in CELLARED)


def _preserve(line: Line) -> CataloguePreserve:
    return CataloguePreserve(
        name=line.key,
        line=line.key,
        method=line.method,
        container=_container(line),
        items=items_of(line, _crop_lb(line)),
        equipment_kind=_EQUIPMENT.get(line.method),
        kept_in=_KEPT_IN[line.method],
        keeps_months=line.keeps_months,
        make=line.key in SUGGESTED,
        source=line.source,
        status=line.status,
        note=line.note,
    )


def _container(line: Line) -> str:
    if line.canned:
        return f"{line.jar} jar"
    return {"frozen": "freezer pint", "dried": "dry bag", "root cellar": "box", "refrigerated": "freezer pint"}.get(
        line.method, "quart jar"
    )


def _crop_lb(line: Line) -> float:
    if line.method == "root cellar":
        return BOX_LB
    share = DRIED_BAG_LB if line.method == "dried" else 1.0
    return (line.crop_lb_each or 0.0) * share
