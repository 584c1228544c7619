"""
The small adapter to PuLP: variables, sums and rows, the same for PuLP 3.3 and 4.

Everything else in this room speaks of `Variable`, `Row`, `total`, `at_most`, `at_least` and `equal` only.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import pulp

Variable = Any
"""A PuLP variable."""

Sum = list[tuple[float, Variable]]
"""Coefficients with their variables; the same variable may stand in it more than once."""


@dataclass(frozen=True)
class Row:
    """One linear condition: `terms` stand to `bound` as `sense` ("<=", ">=" or "=") says."""

    terms: tuple[tuple[float, Variable], ...]
    sense: str
    bound: float

    def holds_empty(self) -> bool:
        """Whether the condition holds when everything in it is nothing (for a row without terms)."""
        near = 1e-6
        return {"<=": self.bound >= -near, ">=": self.bound <= near, "=": abs(self.bound) <= near}[self.sense]


def total(terms: Iterable[tuple[float, Variable]]) -> Sum:
    """Gather terms, each variable once, without those whose coefficient is nothing."""
    gathered: dict[int, list[Any]] = {}
    for coefficient, variable in terms:
        key = id(variable)
        if key in gathered:
            gathered[key][0] += coefficient
        else:
            gathered[key] = [coefficient, variable]
    return [(entry[0], entry[1]) for entry in gathered.values() if entry[0] != 0.0]


def at_most(terms: Iterable[tuple[float, Variable]], bound: float) -> Row:
    """Terms together are at most the bound."""
    return Row(tuple(total(terms)), "<=", bound)


def at_least(terms: Iterable[tuple[float, Variable]], bound: float) -> Row:
    """Terms together are at least the bound."""
    return Row(tuple(total(terms)), ">=", bound)


def equal(terms: Iterable[tuple[float, Variable]], bound: float) -> Row:
    """Terms together are the bound."""
    return Row(tuple(total(terms)), "=", bound)


SENSES = {"<=": -1, "=": 0, ">=": 1}
"""How PuLP numbers the senses of a constraint, in 3.x and 4.x alike."""


class Programme:
    """A PuLP problem that is built once. Names are distinct; a name used twice is refused with KeyError."""

    def __init__(self, name: str) -> None:
        """Start an empty programme to be minimised."""
        self.problem = pulp.LpProblem(name, pulp.LpMinimize)
        self.variables: dict[str, Variable] = {}
        self.rows: dict[str, Row] = {}
        self.whole: set[str] = set()
        self.stated: list[str] = []

    def variable(self, name: str, *, most: float | None = None, whole: bool = False) -> Variable:
        """Add a variable from 0 to `most` (None: no end)."""
        if name in self.variables:
            msg = f"two decisions would both be called {name}"
            raise KeyError(msg)
        kind = pulp.LpInteger if whole else pulp.LpContinuous
        made = self.problem.add_variable(name, lowBound=0, upBound=most, cat=kind)
        self.variables[name] = made
        if whole:
            self.whole.add(name)
        return made

    def add(self, name: str, row: Row) -> None:
        """Add a row to the PuLP problem; a row with nothing to decide in it must hold as it stands, else ValueError."""
        if name in self.rows:
            msg = f"two rows would both be called {name}"
            raise KeyError(msg)
        self.rows[name] = row
        if not row.terms:
            if not row.holds_empty():
                msg = f"{name} cannot be kept: it asks for 0 {row.sense} {row.bound}"
                raise ValueError(msg)
            return
        self.stated.append(name)
        pairs = [(variable, coefficient) for coefficient, variable in row.terms]
        from_list = getattr(pulp.LpAffineExpression, "from_list", pulp.LpAffineExpression)  # PuLP 4, PuLP 3.3
        left = from_list(pairs)
        if row.sense == "<=":
            self.problem += (left <= row.bound, name)
        elif row.sense == ">=":
            self.problem += (left >= row.bound, name)
        else:
            self.problem += (left == row.bound, name)
