"""What is known while one workbook is read: its problems so far, its names, its kind of units and the first day."""

from __future__ import annotations

import datetime
from collections.abc import Container, Iterable
from typing import Protocol

from stillroom.errors import Problem
from stillroom.handbook.foods import same_food
from stillroom.household.names import Names, either, suggestion, tidy_text
from stillroom.household.units import Unit, bare, unit_of

WORDS = {
    "Crops": "crop",
    "Pantry": "pantry ingredient",
    "Preserves": "preserve",
    "Containers": "container",
    "Lids": "lid",
    "Equipment": "piece of equipment",
    "Winter list": "target",
}
"""The tables that give names to others, with what one of their things is called."""


class Named(Protocol):
    """A row that gives a name to its thing."""

    def text(self, field: str) -> str | None:
        """Give a cell's text."""

    def where(self, field: str) -> str:
        """Give a cell's place."""


class Reading:
    """One pass over one workbook; it gathers every problem and never stops at one."""

    def __init__(self, today: datetime.date) -> None:
        """Begin with nothing known."""
        self.first_day = today
        self.metric = False
        self.cut_short = False
        self.plan_for_blank = ""
        self.names = {table: Names(word) for table, word in WORDS.items()}
        self.unsure: set[str] = set()
        self.unsure_equipment: set[str] = set()
        self.missing: set[str] = set()
        self._problems: dict[Problem, None] = {}

    def note(self, where: str, kind: str, *names: str, suggestion: str = "", field: str = "") -> None:
        """Note one problem; the same one is noted once."""
        self._problems[Problem(where, kind, names, suggestion, field)] = None

    def forget(self, where: str, kind: str) -> None:
        """Take back what was noted of a cell, because something worse is wrong with it."""
        self._problems = {one: None for one in self._problems if (one.where, one.kind) != (where, kind)}

    def note_pint(self, where: str, text: str, unit: Unit) -> None:
        """Note where a bare pint was read as the US one."""
        if unit.name == "pint" and bare(text, unit):
            self.note(where, "bare pint")

    def find(self, text: str, tables: Iterable[str], where: str) -> tuple[str, str] | None:
        """Find the table and the spelling of a name; an unknown one is a problem, and None."""
        among = tuple(tables)
        for table in among:
            if (found := self.names[table].find(text)) is not None:
                return table, found
        if not self.cut_short and not self.missing.intersection(among):
            known = [self.names[table] for table in among]
            meant = same_food(text, self.names["Crops"]) if "Crops" in among else []
            words = either(names.word for names in known)
            near = suggestion(text, *known, meant=meant)
            self.note(where, "unknown name", tidy_text(text), words, either(among), suggestion=near)
        return None

    @staticmethod
    def unit_named(name: str) -> Unit:
        """Give a unit that was read before, by its own name."""
        return unit_of(name)

    def own_name(self, entry: Named, table: str, found: Container[str]) -> str | None:
        """Give the name a row gives its thing; None when it is blank or an earlier row has it."""
        typed = entry.text("name")
        if typed is None:
            return None
        name = self.names[table].find(typed) or typed
        if name in found:
            self.note(entry.where("name"), "same name twice", name, table)
            return None
        return name

    def problems(self) -> tuple[Problem, ...]:
        """Return every problem so far."""
        return tuple(self._problems)
