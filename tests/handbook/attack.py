"""Households made to slip through the fence: safe preserves, and everything somebody might change to get more past it."""

from __future__ import annotations

import dataclasses

from tests.handbook import judge
from tests.handbook.kitchens import CANNER, CROCK, DAY, DRYER, JARS, KETTLE, POT, SAUCEPAN, household

from stillroom.handbook.settle import settle
from stillroom.household.records import Crop, Ingredient, PantryItem, PlanLine, Preserve

CROP_TRUTH = {
    "tomato": "tomato", "Plum Tomatoes": "tomato", "tomаto": "tomato", "snap beans": "snap beans", "GREEN BEANS": "snap beans",
    "sweet corn": "sweet corn", "pumpkin": "winter squash", "Pumpkíns": "winter squash", "рumpkin": "winter squash", "zucchini": "summer squash",
    "onions": "onions", "hot peppers": "hot peppers", "sweet peppers": "sweet peppers", "cucumbers": "cucumbers", "beets": "beets",
    "carrots": "carrots", "cabbage": "cabbage", "apples": "apples", "peaches": "peaches", "strawberries": "strawberries", "figs": "figs",
    "potatoes": "potatoes", "garlic": "garlic", "celery": "celery", "wurzelgemüse": "unknown", "pears": "pears", "plums": "plums", "berries": "berries",
    "apricots": "apricots", "nectarines": "nectarines", "rhubarb": "rhubarb", "grapes": "grapes", "pineapple": "pineapple", "oranges": "citrus fruit",
}  # fmt: skip
PANTRY_TRUTH = {
    "bottled lemon juice": "acid:lemon", "citric acid": "acid:citric", "vinegar (5%)": "acid:vinegar", "white vinegar 4 %": "weak acid",
    "fresh lemon juice": "weak acid", "cider vinegar": "weak acid", "salt": "salt", "sugar": "sugar", "oregano": "spice", "ham": "ham", "flour": "thick",
    "heavy cream": "thick", "glorp": "unknown", "salt pork": "ham",
}  # fmt: skip
LIES = ("tomato", "apples", "bottled lemon juice")
"""What a liar types under Handbook food."""

TRUTH = {**CROP_TRUTH, **PANTRY_TRUTH, **{f"{name} ": truth for name, truth in CROP_TRUTH.items()}}
BY_WEIGHT = ("sugar", "ham", "flour", "glorp", "salt pork")
PANTRY = tuple(PantryItem(name, "kg" if name in BY_WEIGHT else "litre") for name in PANTRY_TRUTH)
KEYS = sorted({row["key"] for row in (*judge.BOILING, *judge.PRESSURE)})
METHODS = ("boiling-water canned", "pressure canned", "frozen", "dried", "fermented", "root cellar", "refrigerated")
EDGES = (
    0,
    999.9,
    1_000,
    1_000.1,
    1_001,
    2_000,
    2_001,
    3_000,
    3_001,
    4_000.5,
    6_000,
    6_001,
    8_000,
    8_001,
    10_000,
    10_001,
    -50,
    305 / 0.3048,
    914.5 / 0.3048,
)


def safe(rng):
    """A published line as it ought to be typed, with acid and vinegar in plenty."""
    key = rng.choice(KEYS)
    rows = [row for row in (*judge.BOILING, *judge.PRESSURE) if row["key"] == key]
    method = "pressure canned" if "gauge" in rows[0] else "boiling-water canned"
    product = next(row for row in judge.PRODUCTS if row["product"] == rows[0]["product"] and row["method"] == method)
    foods = [name.strip() for name in product["foods"].split(";")]
    grown = sorted({truth for truth in CROP_TRUTH.values() if truth in foods})
    mixed = rng.sample(grown, min(len(grown), int(product["least_kinds"]))) or ["tomato"]
    chosen = [rng.choice([name for name, truth in CROP_TRUTH.items() if truth == food]) for food in mixed]
    kg = {"half-pint": 0.15, "pint": 0.3, "quart": 0.6, "half-gallon": 1.2}[rows[0]["jar"]]
    if "soup" in rows[0]["product"]:
        kg /= 4  # its jars are filled halfway, and of several foods
    items = [Ingredient(name, "crop", kg) for name in chosen]
    litres = judge.JAR_LITRES[rows[0]["jar"]]
    if product["acid"] == "tomato":
        acid = rng.choice(("bottled lemon juice", "citric acid", "vinegar (5%)"))
        items.append(Ingredient(acid, "pantry", judge.ACID_A_QUART[PANTRY_TRUTH[acid]] * litres / judge.QUART))
    if product["acid"] == "recipe":
        items.append(
            Ingredient("vinegar (5%)" if "paste" not in key else "bottled lemon juice", "pantry", litres * 0.8)
        )
    if "sugar" in product["required"]:
        items.append(Ingredient("sugar", "pantry", 0.2))
    piece = "canner" if method == "pressure canned" else "pot"
    return Preserve("thing", method, rows[0]["jar"], handbook_line=key, equipment=(piece,), ingredients=tuple(items))


def own(rng):
    """An own recipe of one to three crops with a source and long or short minutes."""
    method = rng.choice(METHODS[:2])
    names = rng.sample(list(CROP_TRUTH), rng.randint(1, 2))
    items = [Ingredient(name, "crop", 0.3) for name in names]
    if rng.random() < 0.7:
        items.append(Ingredient("bottled lemon juice", "pantry", 0.03))
    piece = "canner" if method == "pressure canned" else "pot"
    container = rng.choice(("pint", "quart", "half-pint"))
    minutes = float(rng.choice((5, 15, 20, 25, 30, 35, 40, 55, 70, 75, 85, 90, 100, 120)))
    return Preserve(
        "thing", method, container, source="uncle", minutes_typed=minutes, equipment=(piece,), ingredients=tuple(items)
    )


def attack(rng, preserve):
    """Change one thing of a preserve, the way somebody would who wants it through."""
    change = rng.choice(CHANGES)
    return change(rng, preserve)


def _swap_item(rng, preserve):
    if not preserve.ingredients:
        return preserve
    place = rng.randrange(len(preserve.ingredients))
    items = list(preserve.ingredients)
    items[place] = dataclasses.replace(
        items[place], item=rng.choice(list(CROP_TRUTH if items[place].source == "crop" else PANTRY_TRUTH))
    )
    return dataclasses.replace(preserve, ingredients=tuple(items))


def _add_item(rng, preserve):
    if rng.random() < 0.5:
        item = Ingredient(rng.choice(list(CROP_TRUTH)), "crop", rng.choice((0.01, 0.1, 0.3)))
    else:
        item = Ingredient(rng.choice(list(PANTRY_TRUTH)), "pantry", rng.choice((0.005, 0.02, 0.1)))
    return dataclasses.replace(preserve, ingredients=(*preserve.ingredients, item))


def _scale_item(rng, preserve):
    place = rng.randrange(len(preserve.ingredients))
    items = list(preserve.ingredients)
    items[place] = dataclasses.replace(
        items[place], amount_each=items[place].amount_each * rng.choice((0, 0.1, 0.5, 0.9, 0.99, 1.01, 1.1, 2))
    )
    return dataclasses.replace(preserve, ingredients=tuple(items))


def _minutes(rng, preserve):
    table = judge.PRESSURE if preserve.method == "pressure canned" else judge.BOILING
    figures = [float(row["minutes"]) for row in table if row["key"] == preserve.handbook_line] or [20.0, 40.0, 90.0]
    return dataclasses.replace(preserve, minutes_typed=rng.choice(figures) + rng.choice((-1, -0.01, 0, 0.5, 5)))


CHANGES = (
    _swap_item,
    _add_item,
    _add_item,
    _scale_item,
    _minutes,
    lambda rng, preserve: dataclasses.replace(preserve, method=rng.choice(METHODS)),
    lambda rng, preserve: dataclasses.replace(preserve, container=rng.choice([jar.name for jar in JARS])),
    lambda rng, preserve: dataclasses.replace(
        preserve,
        equipment=rng.choice(
            (("pot",), ("canner",), ("saucepan",), ("kettle",), (), ("canner", "pot"), ("pot", "canner"))
        ),
    ),
    lambda rng, preserve: dataclasses.replace(
        preserve, handbook_line=rng.choice((None, "", rng.choice(KEYS), rng.choice(KEYS), "tomato juice"))
    ),
    lambda rng, preserve: dataclasses.replace(preserve, source=rng.choice((None, "", " ", "grandmother", "USDA"))),
    lambda rng, preserve: dataclasses.replace(
        preserve, kept_in=rng.choice(("shelf", "freezer", "refrigerator", "cellar"))
    ),
    lambda rng, preserve: dataclasses.replace(preserve, include=False),
    lambda rng, preserve: dataclasses.replace(
        preserve,
        ingredients=tuple(
            dataclasses.replace(item, from_frozen=item.source == "crop") for item in preserve.ingredients
        ),
    ),
)


def lie(rng, truth):
    """Give a false food now and then. Fruit that is said to be tomato counts as tomato, by rule: no lie to test."""
    if truth == "unknown" or rng.random() >= 0.1:
        return None
    return rng.choice(LIES if truth in judge.LOW_ACID | {"tomato"} else LIES[1:])


def besieged(rng):
    """A household of one preserve that may hold another, at a nasty altitude, with a fixed line for it."""
    preserve = safe(rng) if rng.random() < 0.7 else own(rng)
    for _ in range(rng.choice((0, 1, 1, 2, 3))):
        preserve = attack(rng, preserve)
    preserves = [preserve]
    if rng.random() < 0.15:
        inner = dataclasses.replace(attack(rng, own(rng)), name="inner", include=False)
        preserves = [
            dataclasses.replace(preserve, ingredients=(*preserve.ingredients, Ingredient("inner", "preserve", 0.5))),
            inner,
        ]
    crops = tuple(Crop(name, 3, handbook_food=lie(rng, truth)) for name, truth in CROP_TRUTH.items())
    lines = (PlanLine(DAY, 1, "thing", fix=7.0, where="Plan!J4"),)
    altitude = rng.choice((*EDGES, 500, 1_450, 5_000, None)) if rng.random() < 0.7 else rng.uniform(-100, 11_000)
    return household(
        *preserves, altitude_ft=altitude, gauge=rng.choice(("dial", "dial", "weighted", None)), crops=crops, pantry=PANTRY,
        equipment=(POT, CANNER, SAUCEPAN, DRYER, CROCK, KETTLE), plan_lines=lines,
    )  # fmt: skip


def fence_held(given_household):
    """Settle, and give what the judge found and whether anything was planned at all."""
    answer, problems = settle(given_household)
    if any(problem.is_error for problem in problems):
        return [], False
    return judge.broken(answer, TRUTH), bool(answer.planned())
