"""
A solver-independent model: variables and constraints as plain data.

`highs.HighsSession` loads it into HiGHS; `pulp_problem` makes a PuLP problem of it, for files and other solvers.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any


@dataclass(slots=True, eq=False)
class Variable:
    """A variable with lower bound 0 and upper bound `most` (None: none), integer if `whole`; compared by identity."""

    name: str
    most: float | None = None
    whole: bool = False


Sum = list[tuple[float, Variable]]
"""Coefficients with their variables; the same variable may stand in it more than once."""


@dataclass(frozen=True)
class Row:
    """A linear constraint: sum of `terms` `sense` `bound`, where sense is "<=", ">=" or "="."""

    terms: tuple[tuple[float, Variable], ...]
    sense: str
    bound: float

    def holds_without_terms(self) -> bool:
        """Return whether a row without terms is satisfied, i.e. whether 0 `sense` `bound`."""
        near = 1e-6
        return {"<=": self.bound >= -near, ">=": self.bound <= near, "=": abs(self.bound) <= near}[self.sense]


def total(terms: Iterable[tuple[float, Variable]]) -> Sum:
    """Return the terms with each variable once and zero coefficients left out."""
    gathered: dict[int, list[Any]] = {}
    for coefficient, variable in terms:
        key = id(variable)
        if key in gathered:
            gathered[key][0] += coefficient
        else:
            gathered[key] = [coefficient, variable]
    return [(entry[0], entry[1]) for entry in gathered.values() if entry[0] != 0.0]


def at_most(terms: Iterable[tuple[float, Variable]], bound: float) -> Row:
    """Return the row: terms <= bound."""
    return Row(tuple(total(terms)), "<=", bound)


def at_least(terms: Iterable[tuple[float, Variable]], bound: float) -> Row:
    """Return the row: terms >= bound."""
    return Row(tuple(total(terms)), ">=", bound)


def equal(terms: Iterable[tuple[float, Variable]], bound: float) -> Row:
    """Return the row: terms = bound."""
    return Row(tuple(total(terms)), "=", bound)


class Model:
    """Variables and constraints of a mixed-integer program, in the order they were added."""

    def __init__(self, name: str) -> None:
        """Start an empty model."""
        self.name = name
        self.variables: dict[str, Variable] = {}
        self.rows: dict[str, Row] = {}

    def variable(self, name: str, *, most: float | None = None, whole: bool = False) -> Variable:
        """Add a variable with bounds 0 and `most`. Raises KeyError when the name is taken."""
        if name in self.variables:
            msg = f"two variables would be called {name}"
            raise KeyError(msg)
        made = self.variables[name] = Variable(name, most, whole)
        return made

    def add(self, name: str, row: Row) -> None:
        """Add a constraint. Raises KeyError if the name is taken, ValueError if it has no terms and is violated."""
        if name in self.rows:
            msg = f"two constraints would be called {name}"
            raise KeyError(msg)
        if not row.terms and not row.holds_without_terms():
            msg = f"{name} cannot be satisfied: it requires 0 {row.sense} {row.bound}"
            raise ValueError(msg)
        self.rows[name] = row

    def constraint_rows(self) -> dict[str, Row]:
        """Return the constraints that have terms: those that a solver is given."""
        return {name: row for name, row in self.rows.items() if row.terms}


# The names given to the solver, made in this one place.


@lru_cache(4096)
def solver_word(part: str) -> str:
    """Return letters, digits and `_` of one part of a name, in lower case."""
    plain = unicodedata.normalize("NFKD", part).encode("ascii", "ignore").decode()
    return re.sub(r"[^0-9A-Za-z]+", "_", plain).strip("_").lower() or "unnamed"


def distinct_names(names: list[str]) -> dict[str, str]:
    """
    Return a solver word for each name, numbered in the order of the names where two words would be equal.

    >>> distinct_names(["plum jam", "plum-jam", "salsa"])
    {'plum jam': 'plum_jam', 'plum-jam': 'plum_jam_2', 'salsa': 'salsa'}
    """
    taken: set[str] = set()
    given = {}
    for name in sorted(names):
        word = solver_word(name)
        number = 1
        candidate = word
        while candidate in taken:
            number += 1
            candidate = f"{word}_{number}"
        taken.add(candidate)
        given[name] = candidate
    return given
