"""What is known while one workbook is read: its problems so far, its names, its kind of units and the first day."""

from __future__ import annotations

import datetime
from collections.abc import Container, Iterable
from typing import Protocol

from stillroom.errors import Problem
from stillroom.handbook.foods import same_food
from stillroom.household.names import Names, either, unknown
from stillroom.household.text import format_count
from stillroom.household.units import Unit, bare, unit_of

MANY = 10
"""So many more problems of one sort are counted and not told one by one."""

TWICE = "give one of them another name, or put both into one row"

WORDS = {
    "Crops": "crop",
    "Pantry": "larder ingredient",
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
        self._problems: dict[Problem, None] = {}
        self._bare_pints: list[str] = []
        self._many: dict[tuple[str, str], list[Problem]] = {}

    def say(self, where: str, what: str, fix: str, kind: str) -> None:
        """Note one problem; the same one is noted once."""
        self._problems[Problem(where, what, fix, kind)] = None

    def say_once_of_many(self, problem: Problem, more: str, fix: str = "") -> None:
        """
        Note a problem of which there may be very many: then the first is told with how many `more` there are.

        `fix` is what is to be done about many, where that is another thing.
        """
        self._many.setdefault((more, fix or problem.fix), []).append(problem)

    def pint(self, where: str, text: str, unit: Unit) -> None:
        """Remember where a bare pint was read as the US one."""
        if unit.name == "pint" and bare(text, unit):
            self._bare_pints.append(where)

    def find(self, text: str, tables: Iterable[str], where: str) -> tuple[str, str] | None:
        """Find the table and the spelling of a name; an unknown one is a problem, and None."""
        among = tuple(tables)
        for table in among:
            if (found := self.names[table].find(text)) is not None:
                return table, found
        if not self.cut_short:
            meant = same_food(text, self.names["Crops"]) if "Crops" in among else []
            what, fix = unknown(text, *(self.names[table] for table in among), table=either(among), meant=meant)
            self.say(where, what, fix, "unknown name")
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
            self.say(entry.where("name"), f"the name *{name}* stands twice in *{table}*", TWICE, "same name twice")
            return None
        return name

    def problems(self) -> tuple[Problem, ...]:
        """Give every problem so far, bare pints told once."""
        found = list(self._problems)
        if self._bare_pints:
            more = len(self._bare_pints) - 1
            also = f" (and in {format_count(more, 'more cell')})" if more else ""
            what = f"*pint* is read as the US pint of 473 ml{also}"
            fix = "write imperial pint where 568 ml is meant"
            found.append(Problem(self._bare_pints[0], what, fix, "bare pint"))
        for (words, cure), several in self._many.items():
            first, rest = several[0], len(several) - 1
            if rest >= MANY:
                several = [Problem(first.where, f"{first.what}; {words.format(rest)}", cure, first.kind)]
            found += several
        return tuple(found)
