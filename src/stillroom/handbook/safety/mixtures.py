"""How the ingredients of a preserve differ from the published row it names."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from functools import cache

from stillroom.handbook.foods import LOW_ACID
from stillroom.handbook.ingredients import Part, extras
from stillroom.handbook.jars import JARS, KG_A_POUND
from stillroom.handbook.lines import Line, lines
from stillroom.handbook.names import join_words, tokens
from stillroom.handbook.tables import table

ALWAYS = ("salt", "sugar", "water", "seasoning", "acid", "weak acid")
"""What every line may take: salt, sugar, water, spices in small amounts, the published acids and weaker ones."""

NOT_COUNTED = frozenset({"meat stock", "vegetable stock", "garlic"})
DRIED = frozenset({"dried", "sundried", "dehydrated"})

HALF_LIQUID = frozenset({"soup", "seafood soup"})
"""The jar is filled halfway with solids and then with liquid; a full jar of the same food takes longer."""

EVEN = "mixed vegetables"
MOST_OF_ONE, LEAST_OF_OTHERS, OTHERS_NEEDED = 0.6, 0.1, 2
"""
Shares by weight in mixed vegetables: the most of one food, and the least of each of two others.

The published mixture has 12.5 to 19 percent of each of six by volume and lets the proportions be changed, without
saying how far; these bounds are this project's own.
"""

MOST_NAMED = 4
"""A message names up to this many foods of a line."""

MOST_SOLIDS = 0.75
"""Half, and half as much again, because the weight as picked measures the filled jar only roughly."""

FULL_KG_A_LITRE = 1.0
"""Used where no weight of a full jar was published: no food is much heavier than water."""


def mismatches(line: Line, parts: tuple[Part, ...], liters: float | None = None) -> Iterator[tuple[str, ...]]:
    """
    Yield each difference from a published row: its kind, then the names it is about.

    Source: the products table (each row with its publication); an item outside it makes an own recipe.
    """
    for part in parts:
        if not _belongs(line, part):
            yield "unknown item" if part.unknown and part.source == "crop" else "other item", part.label
    if len(_counted(line, parts)) < line.least_kinds:
        if line.least_kinds > 1:
            yield ("not a mixture",)
        elif len(line.foods) <= MOST_NAMED:
            yield "too little", join_words(sorted(line.foods), "or")
        else:
            yield ("too little of its foods",)
    if line.product == EVEN and (most := _mostly(line, parts)):
        yield "mostly one food", most, f"{MOST_OF_ONE:.0%}"
    if line.product in HALF_LIQUID and solids(parts, liters or JARS[line.jar]) > MOST_SOLIDS:
        yield ("too solid",)


def _mostly(line: Line, parts: tuple[Part, ...]) -> str:
    """Return the food of a mixture that is too much of it, or that too little else is with; empty when none is."""
    weights: dict[str, float] = defaultdict(float)
    for part in parts:
        if part.kinds & line.foods:
            weights[min(part.kinds)] += part.weight_kg or 0.0
    total = sum(weights.values())
    most = max(weights, key=lambda kind: weights[kind], default="")
    others = [kind for kind, weight in weights.items() if kind != most and weight >= LEAST_OF_OTHERS * total]
    even = total > 0 and weights[most] <= MOST_OF_ONE * total and len(others) >= OTHERS_NEEDED
    return "" if even or not most else most


def solids(parts: tuple[Part, ...], litres: float) -> float:
    """
    Return the share of the jar filled with low-acid food, by the published weight of a full jar of each.

    Tomatoes and stock count as liquid.

    Source: AIB 539 (1994), Guide 4, soups: jars are filled halfway with the solid mixture, then with liquid; the
    weights of a full jar are those of the yields table.
    """
    return sum(
        (part.weight_kg or part.litres or 0.0) / (litres * min(_full_kg_a_litre(kind) for kind in part.kinds))
        for part in parts
        if part.acidity == LOW_ACID and not part.kinds & {"meat stock", "vegetable stock"}
    )


@cache
def _full_kg_a_litre(kind: str) -> float:
    """Return the kilograms of one food, as picked or dry, that fill a liter of jar when pressure canned by itself."""
    if kind == "dry beans":
        pounds = next(row["value"] for row in table("facts") if row["key"] == "dry beans in a quart")
        return float(pounds) * KG_A_POUND / JARS["quart"]
    found = [
        line.crop_lb_each * KG_A_POUND / JARS[line.jar]
        for line in lines().values()
        if line.foods == {kind} and line.method == "pressure canned" and line.crop_lb_each is not None
    ]
    return max(found, default=FULL_KG_A_LITRE)


def _counted(line: Line, parts: tuple[Part, ...]) -> set[str]:
    """
    Return the kinds of food that count toward the mixture the row is for.

    Where a row names fewer foods than its mixture takes (fish soup), the other foods it allows count too, except stock
    and garlic: fish in broth is no soup.
    """
    there = {kind for part in parts if part.there for kind in part.kinds}
    found = there & line.foods
    if found and line.least_kinds > len(line.foods):
        found |= there & line.also - NOT_COUNTED
    return found


def _belongs(line: Line, part: Part) -> bool:
    if line.canned and _was_dried(part):
        return False  # food that was dried is not the food of the row
    if part.kinds:
        return part.kinds <= line.foods | line.also
    if part.extra is None:
        return False
    return part.extra in line.extras | line.required or extras()[part.extra].what in ALWAYS


def _was_dried(part: Part) -> bool:
    """Return whether a food was dried before, by its preserve or its name; dry beans have rows of their own."""
    by_name = bool(DRIED & set(tokens(part.item))) and bool(part.kinds) and part.kinds != {"dry beans"}
    return "dried" in part.methods or by_name
