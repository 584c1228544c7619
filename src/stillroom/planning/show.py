"""Constraints printed for people: one line each, with the names that the solver uses."""

from __future__ import annotations

import math
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


def lp_text(constraint: Constraint, household: Household) -> str:
    """Return the constraints of one kind for a household as an LP file with the variables that occur in them."""
    parameters = Parameters(household)
    variables = define_variables(parameters, Model("golden"))
    rows = list(constraint(parameters, variables))
    named = {variable.name: variable for _, row in rows for _, variable in row.terms}
    lines = ["Minimize", " aim:", "Subject To"]
    lines += [
        textwrap.fill(f" {label}: {row_text(row)}", 112, subsequent_indent="    ", break_on_hyphens=False)
        for label, row in rows
    ]
    ends = [
        f" 0 <= {name} <= {v.most:.6g}" for name, v in sorted(named.items()) if v.most is not None and v.most < math.inf
    ]
    whole = [f" {name}" for name in sorted(named) if named[name].whole]
    lines += ["Bounds", *ends] if ends else []
    lines += ["Generals", *whole] if whole else []
    return "\n".join([*lines, "End", ""])
