"""The winter list of a starting workbook: examples of what a household eats, and which preserves count toward each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.household.units import UNITS
from stillroom.workbook.starting.contents import Formula, Row

SERVINGS, WEEKS, EACH = "Servings a week", "Weeks", "Servings each"
HELPERS = (SERVINGS, WEEKS, EACH)
"""Columns of our own beside Needs: servings a week for one person, weeks of eating, servings one unit gives."""
WANTED = (
    'ROUNDUP(INDEX(Kitchen[Value],MATCH("people",Kitchen[Setting],0))*Needs[[#This Row],[Servings a week]]'
    "*Needs[[#This Row],[Weeks]]/Needs[[#This Row],[Servings each]],0)"
)
QUART_LITRES, PINT_LITRES = UNITS["quart"].factor, UNITS["pint"].factor
UNIT_LITRES = {"quart": QUART_LITRES, "pint": PINT_LITRES, "US pint": PINT_LITRES, "L": 1.0, "half L": 0.5}
UNIT_LITRES["US quart"] = QUART_LITRES
SERVINGS_OF = {"quart": 4, "pint": 2, "L": 4, "half L": 2}
EXAMPLE_NOTE = "example: type your own servings"


@dataclass(frozen=True)
class Wish:
    """
    One line of the winter list, and the products that count toward it.

    `servings` are eaten by one person in a week, over `weeks`; `products` are the first words of handbook lines. A
    wish in `unit` "quart" or "pint" becomes L or half L in a metric workbook; one in lb becomes kg.
    """

    name: str
    unit: str
    importance: int
    servings: float
    products: tuple[str, ...]
    weeks: int = 35


WISHES = (
    Wish("tomato juice", "quart", 2, 0.5, ("tomato juice", "tomato and vegetable juice", "tomatoes, frozen juice")),
    Wish("tomato sauce", "quart", 1, 1.0, ("tomato sauce", "spaghetti sauce")),
    Wish("tomatoes for cooking", "quart", 1, 0.75, ("whole tomatoes", "crushed tomatoes", "tomatoes, frozen whole")),
    Wish("salsa", "pint", 2, 0.4, ("chile salsa", "tomato paste salsa")),
    Wish("ketchup", "pint", 3, 0.15, ("tomato ketchup",)),
    Wish("green beans", "quart", 1, 0.75, ("green beans", "snap beans, frozen")),
    Wish(
        "sweet corn", "pint", 1, 0.5, ("sweet corn, hot", "sweet corn, raw", "sweet corn, frozen", "cream-style corn")
    ),
    Wish("carrots", "quart", 2, 0.4, ("carrots, hot", "carrots, raw", "carrots, frozen")),
    Wish("beets", "pint", 3, 0.25, ("beets, hot", "beets, frozen", "pickled beets")),
    Wish(
        "greens and peas",
        "pint",
        3,
        0.4,
        ("green peas, hot", "green peas, raw", "green peas, frozen", "spinach", "greens, frozen", "broccoli, frozen"),
    ),
    Wish("squash", "pint", 3, 0.25, ("summer squash, frozen", "winter squash, frozen", "pumpkin or winter squash")),
    Wish("cucumber pickles", "pint", 2, 0.4, ("quick dill pickles", "bread-and-butter pickles", "dill pickles")),
    Wish("pickled vegetables", "pint", 3, 0.2, ("pickled carrots", "pickled bell", "pickled hot")),
    Wish("peppers for cooking", "pint", 2, 0.3, ("sweet peppers, frozen", "peppers, hot pack")),
    Wish("sauerkraut", "quart", 2, 0.25, ("sauerkraut",)),
    Wish("applesauce", "quart", 1, 0.75, ("applesauce",)),
    Wish("apple slices", "quart", 3, 0.3, ("sliced apples", "apples, frozen")),
    Wish(
        "peaches and pears",
        "quart",
        2,
        0.5,
        ("peaches, hot", "peaches, raw", "peaches, frozen", "pears, hot", "pears, frozen"),
    ),
    Wish("plums and cherries", "quart", 3, 0.3, ("plums, hot", "plums, raw", "cherries, hot", "cherries, frozen")),
    Wish(
        "berries",
        "pint",
        2,
        0.4,
        ("berries, hot", "berries, raw", "blueberries, frozen", "raspberries, frozen", "strawberries, frozen"),
    ),
    Wish("dried tomatoes and peppers", "lb", 3, 0.1, ("tomatoes, dried", "sweet peppers, dried", "hot peppers, dried")),
    Wish("dried fruit", "lb", 3, 0.4, ("apples, dried", "pears, dried", "plums, dried", "peaches, dried")),
    Wish(
        "roots and cabbage in the cellar",
        "lb",
        2,
        1.0,
        ("carrots, cellared", "beets, cellared", "cabbage, cellared", "potatoes, cellared", "onions, cellared"),
    ),
    Wish("apples in the cellar", "lb", 3, 1.0, ("apples, cellared", "pears, cellared")),
    Wish("winter squash in the cellar", "lb", 3, 0.4, ("winter squash, cellared",)),
)


def need_rows(people: float, *, metric: bool) -> Sequence[Row]:
    """The winter list; *Wanted* is a formula over people, servings and weeks, with its value for these `people`."""
    return [need_row(wish, people, metric=metric) for wish in WISHES]


def need_row(wish: Wish, people: float, *, metric: bool) -> Row:
    """One line of the list with its helper columns."""
    unit = unit_of(wish, metric=metric)
    each = SERVINGS_OF.get(unit, 4 if unit == "kg" else 2)
    return {
        "Need": wish.name,
        "Wanted": Formula(WANTED, wanted(people, wish.servings, wish.weeks, each)),
        "Unit": unit,
        "Importance": wish.importance,
        "Note": EXAMPLE_NOTE,
        SERVINGS: wish.servings,
        WEEKS: wish.weeks,
        EACH: each,
    }


def wanted(people: float, servings: float, weeks: float, each: float) -> float:
    """
    People times servings a week times weeks, over the servings of one unit, rounded up.

    >>> wanted(4, 0.5, 35, 4)
    18
    """
    return math.ceil(people * servings * weeks / each - 1e-9)


def unit_of(wish: Wish, *, metric: bool) -> str:
    """The unit a wish is counted in."""
    return {"quart": "L", "pint": "half L", "lb": "kg"}[wish.unit] if metric else wish.unit


def count_rows(preserves: Sequence[Row], containers: Sequence[Row], *, metric: bool) -> Sequence[Row]:
    """Which preserve counts toward which line, by how much one container holds."""
    held = {str(row["Container"]): (float(str(row["Holds"])), str(row["Unit"])) for row in containers}
    rows: list[Row] = []
    for wish in WISHES:
        for preserve in preserves:
            if str(preserve["Handbook line"]).startswith(wish.products):
                each = counts(held[str(preserve["Container"])], unit_of(wish, metric=metric))
                rows.append({"Need": wish.name, "Preserve": preserve["Preserve"], "Each counts": each})
    return rows


def counts(holds: tuple[float, str], unit: str) -> float:
    """
    How many units of a need one container is.

    >>> counts((1, "pint"), "quart"), counts((20, "lb"), "lb")
    (0.5, 20)
    """
    amount, measure = holds
    if unit in {"lb", "kg"}:
        return amount
    return round(amount * UNIT_LITRES[measure] / UNIT_LITRES[unit], 4)
