"""Which items keep a preserve from being the published row it names."""

from __future__ import annotations

from functools import cache

from stillroom.handbook.foods import LOW_ACID
from stillroom.handbook.ingredients import Part, extras
from stillroom.handbook.jars import JARS, KG_A_POUND
from stillroom.handbook.lines import Line, lines
from stillroom.handbook.names import tokens
from stillroom.handbook.tables import table

ALWAYS = ("salt", "sugar", "water", "seasoning", "acid", "weak acid")
"""What every line takes: salt, sugar, water, spices in small amounts, the published acids and more sourness."""

BESIDE_ANY = frozenset({"meat stock", "vegetable stock", "garlic"})
DRIED = frozenset({"dried", "sundried", "dehydrated"})

HALF_LIQUID = frozenset({"soup", "seafood soup"})
"""The jar is filled halfway with solids and then with liquid; a full jar of the same food takes longer."""

MOST_SOLIDS = 0.75
"""Half, and half as much again, since pounds as picked are no close measure of what is in the jar."""

FULL_KG_A_LITRE = 1.0
"""A jar full of a food of which no weight was published: nothing eaten is much heavier than water."""


def outsiders(line: Line, parts: tuple[Part, ...], holds_litres: float | None = None) -> tuple[str, ...]:
    """
    Say what is in a preserve that its published row does not hold, or is missing from it.

    Source: the products table (each row with its publication); an item outside it makes an own recipe.
    """
    found = [_out_of_place(part) for part in parts if not _belongs(line, part)]
    if len(_counted(line, parts)) < line.least_kinds:
        what = " or ".join(sorted(line.foods)) if len(line.foods) <= 4 else "the foods of that row"
        found.append(
            f"it holds too little of {what}" if line.least_kinds == 1 else "that row is for a mixture of several foods"
        )
    if line.product in HALF_LIQUID and solids(parts, holds_litres or JARS[line.jar]) > MOST_SOLIDS:
        found.append("that row is half liquid, and this much would fill the jar with solid food")
    return tuple(found)


def solids(parts: tuple[Part, ...], litres: float) -> float:
    """
    Say how full of low-acid food the jar is, by the published weight of a jar full of each.

    Tomatoes and stock are the liquid.

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
    """Give what a litre of jar holds of one food packed by itself under pressure, as it is picked or dry."""
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
    The kinds of food that make it that row.

    Where a row names fewer foods than it is a mixture of (a soup of fish), what goes in with them counts too, but
    for stock and garlic: fish in broth is no soup.
    """
    there = {kind for part in parts if part.there for kind in part.kinds}
    found = there & line.foods
    if found and line.least_kinds > len(line.foods):
        found |= there & line.also - BESIDE_ANY
    return found


def _out_of_place(part: Part) -> str:
    if part.unknown and part.source == "crop":
        return f"{part.named} is not known to the handbook; say what it is under Handbook food"
    return f"{part.named} is not in that published row"


def _belongs(line: Line, part: Part) -> bool:
    if line.canned and _was_dried(part):
        return False  # food that was dried is not the food of the row
    if part.kinds:
        return part.kinds <= line.foods | line.also
    if part.extra is None:
        return False
    return part.extra in line.extras | line.required or extras()[part.extra].what in ALWAYS


def _was_dried(part: Part) -> bool:
    """Whether a food was dried before, by the preserve it comes by or by its name; dry beans have rows of their own."""
    by_name = bool(DRIED & set(tokens(part.item))) and bool(part.kinds) and part.kinds != {"dry beans"}
    return "dried" in part.methods or by_name
