"""One preserve on the table before the checks: what it is, what goes in, and what the handbook says of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from stillroom.errors import Problem
from stillroom.handbook.foods import LOW_ACID, UNMATCHED
from stillroom.handbook.ingredients import Part, parts
from stillroom.handbook.jars import CountsAs, counts_as, is_unlidded
from stillroom.handbook.lines import Line, find_line, jars_of
from stillroom.handbook.processes import BOILING_WATER, CANNED, PRESSURE
from stillroom.handbook.safety.mixtures import outsiders
from stillroom.household.records import Container, Equipment, Household, Preserve


@dataclass(frozen=True)
class Case:
    """A preserve with its household, seen by the checks. Everything is worked out once, when it is asked for."""

    household: Household
    preserve: Preserve

    @cached_property
    def typed_line(self) -> Line | None:
        """The handbook line that was typed, None when it is blank or unknown."""
        text = self.preserve.handbook_line
        return find_line(text) if text and text.strip() else None

    @cached_property
    def line(self) -> Line | None:
        """The line the preserve really is: the typed one, unless something goes in that is not in that row."""
        return None if self.typed_line is None or self.strangers else self.typed_line

    @cached_property
    def strangers(self) -> tuple[str, ...]:
        """What keeps the preserve from being its typed line, in words; empty when it is that line."""
        if self.typed_line is None:
            return ()
        return outsiders(self.typed_line, self.parts, self.container.holds_litres if self.container else None)

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """Everything that goes in."""
        return parts(self.household, self.preserve)

    @cached_property
    def foods(self) -> frozenset[str]:
        """The kinds of food that go in."""
        return frozenset(kind for part in self.parts for kind in part.kinds)

    @cached_property
    def low_acid(self) -> tuple[Part, ...]:
        """The parts that count as low-acid, unknown ones included."""
        return tuple(
            part
            for part in self.parts
            if part.unknown or (part.extra is None and part.acidity in (LOW_ACID, UNMATCHED))
        )

    @property
    def canned(self) -> bool:
        """Whether it is canned in either canner."""
        return self.preserve.method in CANNED

    @property
    def boiling(self) -> bool:
        """Whether it goes in boiling water."""
        return self.preserve.method == BOILING_WATER

    @property
    def pressure(self) -> bool:
        """Whether it goes under pressure."""
        return self.preserve.method == PRESSURE

    @cached_property
    def container(self) -> Container | None:
        """What it is put up in."""
        return next((item for item in self.household.containers if item.name == self.preserve.container), None)

    @cached_property
    def last_piece(self) -> Equipment | None:
        """The piece of equipment in which the minutes are spent."""
        name = self.preserve.equipment[-1] if self.preserve.equipment else None
        return next((item for item in self.household.equipment if item.name == name), None)

    @property
    def free(self) -> bool:
        """Whether it is an unlidded box with a source, of which the handbook asks nothing."""
        unlidded = self.container is not None and is_unlidded(self.container)
        return (
            unlidded
            and not self.canned
            and not self.preserve.handbook_line
            and bool((self.preserve.source or "").strip())
        )

    @cached_property
    def jar(self) -> CountsAs | None:
        """The published jar the container counts as for its line; None when it may not be used."""
        if self.line is None or not self.line.canned or self.container is None:
            return None
        found = counts_as(self.container.holds_litres, jars_of(self.line))
        return found if found is not None and found.jar == self.line.jar else None

    def problem(self, kind: str, what: str, fix: str, where: str = "") -> Problem:
        """Make a problem about this preserve, at its own row unless another cell is given."""
        return Problem.in_words(where or self.preserve.where, f"*{self.preserve.name}*: {what}", fix, kind)
