"""Small invented households for the handbook's tests."""

from __future__ import annotations

import datetime

from stillroom.handbook import catalogue
from stillroom.handbook.jars import KG_A_POUND, LITRES, QUART_LITRES
from stillroom.household.records import (
    Container,
    Crop,
    Equipment,
    Household,
    Ingredient,
    Kitchen,
    Load,
    PantryItem,
    Preserve,
)

DAY = datetime.date(2026, 8, 14)
POT = Equipment("pot", "boiling-water canner", loads=(Load(7, "quart jars"), Load(9, "pint jars")))
CANNER = Equipment(
    "canner", "pressure canner", loads=(Load(7, "quart jars"), Load(9, "pint jars")), cool_down_hours=1.0
)
SAUCEPAN = Equipment("saucepan", "pressure canner", loads=(Load(3, "quart jars"), Load(5, "pint jars")))
DRYER = Equipment("dryer", "dryer", loads=(Load(18, "lb"),))
CROCK = Equipment("crock", "crock", loads=(Load(25, "lb"),))
KETTLE = Equipment("kettle", "kettle", loads=(Load(8, "qt"),))

JARS = (
    Container("quart", "jar", QUART_LITRES),
    Container("pint", "jar", QUART_LITRES / 2),
    Container("half-pint", "jar", QUART_LITRES / 4),
    Container("half-gallon", "jar", QUART_LITRES * 2),
    Container("litre jar", "jar", 1.0),
    Container("24 oz jar", "jar", QUART_LITRES * 0.75),
    Container("tub", "freezer tub", QUART_LITRES / 2),
    Container("bag", "bag", holds_kg=0.2),
    Container("box", "box", holds_kg=9.0),
    Container("open crock", "open crock", 10.0),
)
PANTRY = (
    PantryItem("bottled lemon juice", "litre"),
    PantryItem("bottled lime juice", "litre"),
    PantryItem("lemon juice", "litre"),
    PantryItem("citric acid", "litre"),
    PantryItem("vinegar (5%)", "litre"),
    PantryItem("vinegar", "litre"),
    PantryItem("salt", "litre"),
    PantryItem("sugar", "kg"),
    PantryItem("pectin", "kg"),
    PantryItem("ham", "kg"),
    PantryItem("flour", "kg"),
    PantryItem("cream", "litre"),
    PantryItem("ground beef", "kg"),
    PantryItem("oregano", "litre"),
    PantryItem("glorp", "kg"),
)
CROPS = tuple(
    Crop(name, 3)
    for name in (
        "plum tomato", "snap beans", "sweet corn", "pumpkin", "zucchini", "onions", "hot peppers", "sweet peppers", "cucumbers",
        "beets", "carrots", "cabbage", "apples", "peaches", "strawberries", "figs", "potatoes", "garlic", "celery",
    )
)  # fmt: skip


def kitchen(altitude_ft: float | None = 500, gauge: str | None = "dial") -> Kitchen:
    """A kitchen at an altitude, with a gauge."""
    return Kitchen(DAY, altitude_ft=altitude_ft, gauge=gauge, where="Kitchen!A3")


def household(
    *preserves: Preserve,
    altitude_ft: float | None = 500,
    gauge: str | None = "dial",
    crops: tuple[Crop, ...] = CROPS,
    **more: object,
) -> Household:
    """A household with every jar, piece and ingredient, and these preserves."""
    parts: dict[str, object] = {
        "equipment": (POT, CANNER, SAUCEPAN, DRYER, CROCK, KETTLE),
        "containers": JARS,
        "pantry": PANTRY,
    }
    parts.update(more)
    return Household(kitchen(altitude_ft, gauge), crops=crops, preserves=preserves, **parts)


def crop(name: str, kg: float = 1.0, *, from_frozen: bool = False) -> Ingredient:
    """A crop among the ingredients."""
    return Ingredient(name, "crop", kg, from_frozen=from_frozen, where="Preserves!H9")


def pantry(name: str, amount: float, unit: str = "") -> Ingredient:
    """A larder item among the ingredients; the amount in its base unit, or in a kitchen measure."""
    return Ingredient(name, "pantry", amount * LITRES[unit] if unit else amount, where="Preserves!H9")


def other(name: str, amount: float = 1.0) -> Ingredient:
    """Another preserve among the ingredients."""
    return Ingredient(name, "preserve", amount, where="Preserves!H9")


LEMON = pantry("bottled lemon juice", 2, "tablespoon")


def juice(**changes: object) -> Preserve:
    """Tomato juice in quarts, as the handbook has it."""
    facts: dict[str, object] = {
        "name": "tomato juice, quart", "method": "boiling-water canned", "container": "quart",
        "handbook_line": "tomato juice, hot pack, quart", "equipment": ("kettle", "pot"),
        "ingredients": (crop("plum tomato", 1.5), LEMON), "where": "Preserves!A5",
    }  # fmt: skip
    facts.update(changes)
    return Preserve(**facts)


def beans(**changes: object) -> Preserve:
    """Snap beans in pints under pressure, as the handbook has them."""
    facts: dict[str, object] = {
        "name": "green beans, pint", "method": "pressure canned", "container": "pint", "handbook_line": "green beans, raw pack, pint",
        "equipment": ("canner",), "ingredients": (crop("snap beans", 0.45),), "where": "Preserves!A6",
    }  # fmt: skip
    facts.update(changes)
    return Preserve(**facts)


CATALOGUE_CONTAINERS = (
    Container("quart jar", "jar", QUART_LITRES),
    Container("pint jar", "jar", QUART_LITRES / 2),
    Container("half-pint jar", "jar", QUART_LITRES / 4),
    Container("half-gallon jar", "jar", QUART_LITRES * 2),
    Container("freezer pint", "freezer tub", QUART_LITRES / 2),
    Container("dry bag", "bag", None, catalogue.DRIED_BAG_LB * KG_A_POUND),
    Container("box", "box", None, catalogue.BOX_LB * KG_A_POUND),
)
"""The containers that the catalogue's preserves name."""


def from_catalogue(altitude_ft: float | None = 500, gauge: str | None = "dial") -> Household:
    """The household that a starting workbook makes: every crop and every preserve of the catalogue, all to be made."""
    pieces = {"boiling-water canner": "pot", "pressure canner": "canner", "dryer": "dryer", "crock": "crock"}
    pantry_names = {item.item for entry in catalogue.preserves() for item in entry.items if item.source == "pantry"}
    by_weight = {
        item.item
        for entry in catalogue.preserves()
        for item in entry.items
        if item.source == "pantry" and item.unit == "lb"
    }
    preserves = tuple(_from_entry(entry, pieces) for entry in catalogue.preserves())
    return Household(
        kitchen(altitude_ft, gauge),
        equipment=(POT, CANNER, DRYER, CROCK),
        crops=tuple(Crop(item.name, item.keeps_days, item.handbook_food) for item in catalogue.crops()),
        containers=CATALOGUE_CONTAINERS,
        pantry=tuple(PantryItem(name, "kg" if name in by_weight else "litre") for name in sorted(pantry_names)),
        preserves=preserves,
    )


def _from_entry(entry: catalogue.CataloguePreserve, pieces: dict[str, str]) -> Preserve:
    return Preserve(
        entry.name, entry.method, entry.container, handbook_line=entry.line, kept_in=entry.kept_in,
        equipment=(pieces[entry.equipment_kind],) if entry.equipment_kind else (),
        ingredients=tuple(
            Ingredient(
                item.item, item.source, item.amount * (KG_A_POUND if item.unit == "lb" else LITRES.get(item.unit, 1.0)),
                from_frozen=item.from_frozen,
            )
            for item in entry.items
        ),
        where="Preserves!A5",
    )  # fmt: skip


def group(problem):
    """The kind of a problem without its detail: `acid missing` for `acid missing: strength unknown`."""
    return problem.kind.partition(":")[0]
