"""Which items keep a preserve from being the published row it names."""

from __future__ import annotations

from stillroom.handbook.extra_items import extras
from stillroom.handbook.lines import Line
from stillroom.handbook.parts import Part

ALWAYS = ("salt", "sugar", "water", "seasoning", "acid", "weak acid")
"""What every line takes: salt, sugar, water, spices in small amounts, the published acids and more sourness."""


def outsiders(line: Line, parts: tuple[Part, ...]) -> tuple[str, ...]:
    """
    Say what is in a preserve that its published row does not hold, or is missing from it.

    Source: the products table (each row with its publication); an item outside it makes an own recipe.
    """
    found = [f"{part.named} is not in that published row" for part in parts if not _belongs(line, part)]
    kinds = {kind for part in parts if part.there for kind in part.kinds} & line.foods
    if len(kinds) < line.least_kinds:
        what = " or ".join(sorted(line.foods)) if len(line.foods) <= 4 else "the foods of that row"
        found.append(
            f"it holds too little of {what}" if line.least_kinds == 1 else "that row is for a mixture of several foods"
        )
    return tuple(found)


def _belongs(line: Line, part: Part) -> bool:
    if line.canned and "dried" in part.ways:
        return False  # food that was dried is not the food of the row
    if part.kinds:
        return part.kinds <= line.foods | line.also
    if part.extra is None:
        return False
    return part.extra in line.extras | line.needs or extras()[part.extra].what in ALWAYS
