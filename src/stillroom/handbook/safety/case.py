"""The preserve a safety check looks at: its ingredients, container and line; how they differ from the published row."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property

from stillroom.errors import Problem
from stillroom.handbook.foods import LOW_ACID, UNMATCHED
from stillroom.handbook.ingredients import Part, extras, parts
from stillroom.handbook.jars import JARS, KG_A_POUND, QUART_LITRES, CountsAs, counts_as, is_unlidded
from stillroom.handbook.lines import BOILING_WATER, CANNED, PRESSURE, Line, find_line, jars_of, lines
from stillroom.handbook.names import join_words, tokens, with_letters
from stillroom.handbook.tables import table
from stillroom.household.records import Container, Equipment, Household, Preserve

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


# The preserve a safety check looks at: its ingredients, its container and its handbook line.

FOOT_M = 0.3048
FLUID_OUNCE_LITERS = QUART_LITRES / 32


@dataclass(frozen=True)
class Case:
    """A preserve with its household; every property is computed once, on first use."""

    household: Household
    preserve: Preserve

    @cached_property
    def typed_line(self) -> Line | None:
        """Return the handbook line that was typed; None when it is blank or unknown."""
        text = self.preserve.handbook_line
        return find_line(text) if text and text.strip() else None

    @cached_property
    def line(self) -> Line | None:
        """Return the line the preserve follows: the typed one, unless its ingredients differ from that row."""
        return None if self.typed_line is None or self.mismatch else self.typed_line

    @cached_property
    def mismatch(self) -> tuple[Problem, ...]:
        """Return the first difference between the preserve and its typed line; empty when there is none."""
        if self.typed_line is None:
            return ()
        liters = self.container.holds_litres if self.container else None
        for detail, *names in mismatches(self.typed_line, self.parts, liters):
            return (self.problem(f"line not followed: {detail}", self.typed_line.key, *names),)
        return ()

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """Return everything that goes in."""
        return parts(self.household, self.preserve)

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Return what it and everything that goes in is called, with digits read as letters too."""
        inner = [name for part in self.parts for name in part.through]
        names = dict.fromkeys((self.preserve.name, *inner, *(part.item for part in self.parts)))
        return tuple(text for name in names for text in (name, *with_letters(name)))

    @cached_property
    def foods(self) -> frozenset[str]:
        """Return the kinds of food that go in."""
        return frozenset(kind for part in self.parts for kind in part.kinds)

    @cached_property
    def low_acid(self) -> tuple[Part, ...]:
        """Return the parts that count as low-acid, unknown ones included."""
        return tuple(
            part
            for part in self.parts
            if part.unknown or (part.extra is None and part.acidity in (LOW_ACID, UNMATCHED))
        )

    @property
    def canned(self) -> bool:
        """Return whether it is canned, in either canner."""
        return self.preserve.method in CANNED

    @property
    def boiling(self) -> bool:
        """Return whether it is canned in boiling water."""
        return self.preserve.method == BOILING_WATER

    @property
    def pressure(self) -> bool:
        """Return whether it is pressure canned."""
        return self.preserve.method == PRESSURE

    @cached_property
    def container(self) -> Container | None:
        """Return its container."""
        return next((item for item in self.household.containers if item.name == self.preserve.container), None)

    @cached_property
    def last_piece(self) -> Equipment | None:
        """Return the piece of equipment in which the minutes are spent."""
        name = self.preserve.equipment[-1] if self.preserve.equipment else None
        return next((item for item in self.household.equipment if item.name == name), None)

    @property
    def unlidded(self) -> bool:
        """Return whether its container is a box, basket, sack or bin without a lid."""
        return self.container is not None and is_unlidded(self.container)

    @cached_property
    def jar(self) -> CountsAs | None:
        """Return the published jar the container counts as for its line; None when it may not be used."""
        if self.line is None or not self.line.canned or self.container is None:
            return None
        found = counts_as(self.container.holds_litres, jars_of(self.line))
        return found if found is not None and found.jar == self.line.jar else None

    @property
    def metric(self) -> bool:
        """Return whether the household uses metric units."""
        return self.household.kitchen.weight_unit == "kg"

    def altitude(self, feet: float) -> str:
        """Return an altitude in the household's unit, rounded up."""
        height, unit = (feet * FOOT_M, "m") if self.metric else (feet, "ft")
        return f"{math.ceil(height - 1e-6) if math.isfinite(height) else height:,} {unit}"

    def jar_size(self, liters: float) -> str:
        """Return the size of a jar in the household's unit."""
        return f"{liters:.2g} L" if self.metric else f"{liters / FLUID_OUNCE_LITERS:.0f} fl oz"

    def problem(self, kind: str, *names: str, where: str = "", cause: tuple[Problem, ...] = ()) -> Problem:
        """Return a problem of this preserve, its name first; at its own row unless `where` is given."""
        return Problem(where or self.preserve.where, kind, (self.preserve.name, *names), cause=cause)
