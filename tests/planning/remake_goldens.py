"""
Write the golden LP file of every rule anew: `python tests/planning/remake_goldens.py`. Read the difference before
keeping it.
"""

from __future__ import annotations

import math
import textwrap
from pathlib import Path

from stillroom.household.examples import tiny_household
from stillroom.household.records import Household
from stillroom.planning.constraints import CONSTRAINTS, Constraint, row_text
from stillroom.planning.model import Model
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import define_variables

GOLDEN = Path(__file__).parent / "golden"


LIMITED = {"most_preserves": {"most_preserves_a_day": 3}}
"""Settings without which a rule has no constraint; blank in the tiny household, so that no other golden has them."""


def household_for(name: str) -> Household:
    """Return the household that a rule's golden file is made of."""
    return tiny_household().with_kitchen(**LIMITED.get(name, {}))


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


if __name__ == "__main__":
    GOLDEN.mkdir(exist_ok=True)
    for old in GOLDEN.glob("*.lp"):
        old.unlink()
    for name, constraint in CONSTRAINTS.items():
        (GOLDEN / f"{name}.lp").write_text(lp_text(constraint, household_for(name)))
