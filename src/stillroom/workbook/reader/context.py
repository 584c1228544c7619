"""What is known while one workbook is read: its problems so far, its names, its kind of units and the first day."""

from __future__ import annotations

import datetime
import difflib
from collections import defaultdict
from collections.abc import Container, Iterable, Sequence
from dataclasses import replace
from typing import Protocol

from stillroom.errors import KINDS, Problem
from stillroom.household.cells import address, cell_place
from stillroom.household.names import NEAR_ENOUGH, Names, either, key, suggestion, tidy_text, words_of
from stillroom.household.text import format_number
from stillroom.household.units import Unit, bare, unit_of

MOVED_ROWS, MOVED_COLUMNS = 3, 2
"""From so many rows with the wrong kind of thing in so many columns on, cells were moved."""
BESIDE = 3
"""So many columns beside them, cells that are blank in the same rows are taken to be left by the move."""
_WRONG_KINDS = ("unknown name", "unknown method", "unreadable choice", "not yes or no", "unreadable can buy")
_BLANK = ("blank required", "blank choice", "blank name", "blank text")


def with_moved_as_one(problems: Iterable[Problem]) -> list[Problem]:
    """
    Return the problems, with those of cells that were moved under other headings as one for each sheet.

    >>> wrong = [Problem(f"Crops!{c}{r}", "not a number", ("x", "7")) for r in (4, 5, 6) for c in "DE"]
    >>> [(one.where, one.kind) for one in with_moved_as_one(wrong)]
    [('Crops!D4:E6', 'cells moved')]
    """
    told = list(problems)
    wrong: dict[str, dict[int, set[int]]] = defaultdict(lambda: defaultdict(set))
    for sheet, row, column, problem in _placed(told):
        if KINDS[problem.kind].about == "measures" or problem.kind in _WRONG_KINDS:
            wrong[sheet][column].add(row)
    for sheet, columns in wrong.items():
        several = {column: rows for column, rows in columns.items() if len(rows) >= MOVED_ROWS}
        rows = set.intersection(*several.values()) if len(several) >= MOVED_COLUMNS else set()
        if len(rows) < MOVED_ROWS:
            continue
        first, last = min(several), max(several)
        moved = [
            (row, column, problem)
            for place, row, column, problem in _placed(told)
            if place == sheet
            and min(rows) <= row <= max(rows)
            and (column in several or (problem.kind in _BLANK and first - BESIDE <= column <= last + BESIDE))
        ]
        corners = address(min(rows), min(one[1] for one in moved)), address(max(rows), max(one[1] for one in moved))
        followed = {problem for *_, problem in moved}
        told = [problem for problem in told if problem not in followed]
        told.append(Problem(f"{sheet}!{':'.join(corners)}", "cells moved", (format_number(len(rows)),)))
    return told


def _placed(problems: Iterable[Problem]) -> list[tuple[str, int, int, Problem]]:
    """Return those problems that stop the plan at a cell, with its sheet, row and column."""
    found = []
    for problem in problems:
        sheet, _, cell = problem.where.rpartition("!")
        if problem.stops and sheet and ":" not in cell:
            found.append((sheet, *cell_place(cell), problem))
    return found


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


ALIKE = 0.6
"""How alike two names must be for one to be the other after a change, where several are named by nothing."""
VERY_ALIKE = 0.9
"""How alike they must be where nothing else in its table is named either."""
MOST_PLACES = 3
"""How many of the cells that name something are listed."""


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
        self.currency = ""
        self.cut_short = False
        self.plan_for_blank = ""
        self.names = {table: Names(word) for table, word in WORDS.items()}
        self.unsure: set[str] = set()
        self.unsure_equipment: set[str] = set()
        self.missing: set[str] = set()
        self.filled_down: set[str] = set()
        self.places: dict[str, dict[str, str]] = {table: {} for table in WORDS}
        self._used: set[tuple[str, str]] = set()
        self._exact: set[tuple[str, str]] = set()
        self._read_as: dict[Problem, tuple[str, str]] = {}
        self._meant: set[tuple[str, str, str]] = set()
        self._lost: dict[str, dict[Problem, tuple[str, ...]]] = {}
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

    def find(self, text: str, tables: Iterable[str], where: str, *, exact: bool = False) -> tuple[str, str] | None:
        """
        Find the table and the spelling of a name; an unknown one is a problem, and None.

        A plural, a part of the name or an everyday one is taken where only one row can be meant, and noted; with
        `exact` it is not: in recipes and containers what was typed decides about safety.
        """
        among = tuple(tables)
        for table in among:
            if (found := self.names[table].find(text)) is not None:
                self._used.add((table, found))
                self._exact.add((table, found))
                return table, found
        meant = [(table, name) for table in among for name in self.names[table].meant(text)]
        if len(meant) == 1 and not exact and not self.missing.intersection(among):
            self._used.add(meant[0])
            self._note_meant(text, meant[0], where)
            return meant[0]
        if not self.cut_short and not self.missing.intersection(among):
            known = [self.names[table] for table in among]
            words = either(names.word for names in known)
            near = suggestion(text, *known, meant=[name for _, name in meant])
            unknown = Problem(where, "unknown name", (tidy_text(text), words, either(among)), near)
            self._problems[unknown] = None
            self._lost.setdefault(key(text), {})[unknown] = among
        return None

    def _note_meant(self, text: str, meant: tuple[str, str], where: str) -> None:
        """Note what an everyday name was read as, once for each thing it was read as; a mere plural is not noted."""
        if words_of(text) != words_of(meant[1]) and (key(text), *meant) not in self._meant:
            self._meant.add((key(text), *meant))
            note = Problem(where, "name read as", (tidy_text(text), meant[1], ""))
            self._problems[note] = None
            self._read_as[note] = meant

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
        if name in found and table in self.filled_down:
            return None
        if name in found:
            self.note(entry.where("name"), "same name twice", name, table)
            return None
        return name

    def problems(self) -> tuple[Problem, ...]:
        """Return every problem so far; what follows from one name that was changed is one problem, at that name."""
        told = dict.fromkeys(self._with_place(one) for one in with_moved_as_one(self._problems))
        taken: set[tuple[str, str]] = set()
        for lost in sorted(self._lost.values(), key=lambda lost: len(lost) == 1):
            unknown = list(lost)
            among = [table for table in WORDS if all(table in tables for tables in lost.values())]
            changed = self._changed_name(unknown[0].names[0], among, taken, alone=len(unknown) == 1)
            if changed is None or not all(one in told for one in unknown):
                continue
            if len(unknown) == 1:  # either of two cells may be the misspelt one
                alone = unknown[0]
                if changed[1] == alone.suggestion or not alone.suggestion or self._is_near(alone.names[0], changed):
                    taken.add(changed)
                    place = f"{changed[1]} ({self.places[changed[0]][changed[1]]})"
                    if alone.suggestion not in ("", changed[1]):
                        place = either([place, alone.suggestion])
                    told = {replace(one, suggestion=place) if one == alone else one: None for one in told}
                continue
            taken.add(changed)
            for one in unknown:
                del told[one]
            table, now = changed
            places = list(dict.fromkeys(one.where for one in unknown))
            more = f" and {len(places) - MOST_PLACES} more" if len(places) > MOST_PLACES else ""
            names = (now, unknown[0].names[0], ", ".join(places[:MOST_PLACES]) + more, self.names[table].word)
            told[Problem(self.places[table][now], "name changed", names)] = None
        return tuple(told)

    @staticmethod
    def _is_near(before: str, changed: tuple[str, str]) -> bool:
        """Return whether a name is spelled almost as another."""
        return difflib.SequenceMatcher(None, key(before), key(changed[1])).ratio() >= NEAR_ENOUGH

    def _with_place(self, problem: Problem) -> Problem:
        """Return what a name was read as with the place of that name, where no cell has it as it is spelled there."""
        table, name = self._read_as.get(problem, ("", ""))
        if not table or (table, name) in self._exact or name not in self.places[table]:
            return problem
        return replace(problem, names=(*problem.names[:2], f" ({self.places[table][name]})"))

    def _changed_name(
        self, before: str, among: Sequence[str], taken: Container[tuple[str, str]], *, alone: bool
    ) -> tuple[str, str] | None:
        """
        Return the table and the name that an unknown one may have become: one that nothing names; None without.

        A table of which nothing names anything is not the one that was meant, unless the names are very alike, or one
        cell `alone` has it or no other row could be meant and they are alike. A single cell that may mean another row
        by part of its name has to be spelled almost so.
        """
        meant = [(table, name) for table in among for name in self.names[table].meant(before)]
        other = bool(meant) and self._exact.issuperset(meant)
        named = {table for table, _ in self._used}
        every = [(table, name) for table in among for name in self.places[table] if (table, name) not in self._exact]
        unused = [one for one in every if one[0] in named]
        likeness = {one: difflib.SequenceMatcher(None, key(before), key(one[1])).ratio() for one in every}
        alike = ALIKE if len(among) == len(every) == 1 else VERY_ALIKE
        left = [one for one in every if one not in taken and (alone or one in unused or likeness[one] >= alike)]
        best = max(left, key=lambda one: likeness[one], default=None)
        only = not alone and not other and [best] == unused
        alike = NEAR_ENOUGH if other and alone else ALIKE
        return best if best is not None and (only or likeness[best] >= alike) else None
