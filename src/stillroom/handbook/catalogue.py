"""What a starting workbook is filled with: crops and preserves with their published figures and sources."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from stillroom.handbook.catalogue_items import CatalogueItem, items_of
from stillroom.handbook.lines import Line, lines
from stillroom.handbook.rows import table

FROZEN_WHOLE = ("tomato", "strawberries", "berries", "cherries", "rhubarb", "hot peppers")
"""May be frozen whole: tomatoes (Oregon State Food Hero), fruit for jam (K-State), peppers (no blanching needed)."""

BOX_LB = 20.0
DRIED_BAG_LB = 0.25
"""Example sizes, not published figures."""

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
        "potatoes, cellared",
        "onions, cellared",
        "carrots, cellared",
        "winter squash, cellared",
        "apples, cellared",
        "cabbage, cellared",
    }
)
"""Lines with Make = yes in a starting workbook: what many households make, none of it from memory alone."""


@dataclass(frozen=True)
class CatalogueContainer:
    """A container the catalogue's preserves are put up in; `holds` in `unit`. Sizes of bags and boxes are examples."""

    name: str
    kind: str
    holds: float
    unit: str
    lid: str | None = None


@dataclass(frozen=True)
class CatalogueCrop:
    """A crop with its food, keeping days (household figures), bushel weight, and where that was read."""

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
    """A handbook line made ready: container, what one takes, the kind of equipment, months and source."""

    name: str
    line: str
    way: str
    container: str
    items: tuple[CatalogueItem, ...]
    equipment_kind: str | None
    kept_in: str
    keeps_months: float | None
    make: bool
    source: str
    status: str
    note: str = ""


CONTAINERS = (
    CatalogueContainer("quart jar", "jar", 1, "quart", "regular lid"),
    CatalogueContainer("pint jar", "jar", 1, "pint", "regular lid"),
    CatalogueContainer("half-pint jar", "jar", 1, "cup", "regular lid"),
    CatalogueContainer("half-gallon jar", "jar", 2, "quart", "wide lid"),
    CatalogueContainer("freezer pint", "freezer tub", 1, "pint"),
    CatalogueContainer("dry bag", "bag", DRIED_BAG_LB, "lb"),
    CatalogueContainer("box", "box", BOX_LB, "lb"),
)
"""Every container that a preserve of the catalogue names."""

_KEPT_IN = {
    "boiling-water canned": "shelf",
    "pressure canned": "shelf",
    "dried": "shelf",
    "frozen": "freezer",
    "fermented": "refrigerator",
    "refrigerated": "refrigerator",
    "cellared": "cellar",
}
_EQUIPMENT = {
    "boiling-water canned": "boiling-water canner",
    "pressure canned": "pressure canner",
    "dried": "dryer",
    "fermented": "crock",
}


@lru_cache(maxsize=1)
def crops() -> tuple[CatalogueCrop, ...]:
    """Every crop with a household keeping time, in the order of the table."""
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
    """Every line for which a published weight of crop is known, with what one container takes; canned ones first."""
    return tuple(
        _preserve(line) for line in lines().values() if line.crop_lb_each is not None or line.way == "cellared"
    )


def _preserve(line: Line) -> CataloguePreserve:
    return CataloguePreserve(
        name=line.key,
        line=line.key,
        way=line.way,
        container=_container(line),
        items=items_of(line, _crop_lb(line)),
        equipment_kind=_EQUIPMENT.get(line.way),
        kept_in=_KEPT_IN[line.way],
        keeps_months=line.keeps_months,
        make=line.key in SUGGESTED,
        source=line.source,
        status=line.status,
        note=line.note,
    )


def _container(line: Line) -> str:
    if line.canned:
        return f"{line.jar} jar"
    return {"frozen": "freezer pint", "dried": "dry bag", "cellared": "box", "refrigerated": "freezer pint"}.get(
        line.way, "quart jar"
    )


def _crop_lb(line: Line) -> float:
    if line.way == "cellared":
        return BOX_LB
    share = DRIED_BAG_LB if line.way == "dried" else 1.0
    return (line.crop_lb_each or 0.0) * share
