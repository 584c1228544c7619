"""Constraints printed for people: one line each, with the names that the solver uses."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator

from stillroom.household.records import Household
from stillroom.planning.model import Model, Row
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables, define_variables

Constraint = Callable[[Parameters, Variables], Iterator[tuple[str, Row]]]


def row_text(row: Row) -> str:
    """
    Return one constraint as plain arithmetic, figures to six digits.

    >>> programme = Model("tiny")
    >>> jam = programme.variable("jam")
    >>> row_text(Row(((1.0, jam), (-0.5, programme.variable("salsa"))), "<=", 7.0))
    'jam - 0.5 salsa <= 7'
    """
    words: list[str] = []
    for coefficient, variable in row.terms:
        sign = "-" if coefficient < 0 else "+"
        size = abs(coefficient)
        term = variable.name if abs(size - 1.0) < 1e-12 else f"{size:.6g} {variable.name}"
        words.append(f"{sign} {term}" if words else (f"-{term}" if sign == "-" else term))
    return f"{' '.join(words) or '0'} {row.sense} {row.bound:.6g}"


def show(constraint: Constraint, household: Household, only: str = "") -> None:
    """Print the constraints of one kind for a household, those whose name contains `only`; for doctests."""
    parameters = Parameters(household)
    variables = define_variables(parameters, Model("show"))
    for label, row in constraint(parameters, variables):
        if only.replace("-", "_") in label:
            line = f"{label}: {row_text(row)}"
            print(textwrap.fill(line, 112, subsequent_indent="    ", break_on_hyphens=False))  # noqa: T201 - read by doctests
