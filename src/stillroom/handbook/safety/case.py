"""The preserve a safety check looks at: its ingredients, its container and its handbook line."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from stillroom.errors import Problem
from stillroom.handbook.foods import LOW_ACID, UNMATCHED
from stillroom.handbook.ingredients import Part, parts
from stillroom.handbook.jars import QUART_LITRES, CountsAs, counts_as, is_unlidded
from stillroom.handbook.lines import BOILING_WATER, CANNED, PRESSURE, Line, find_line, jars_of
from stillroom.handbook.names import with_letters
from stillroom.handbook.safety.mixtures import mismatches
from stillroom.household.records import Container, Equipment, Household, Preserve

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
