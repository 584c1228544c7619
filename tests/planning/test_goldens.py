"""Each rule gives the rows it always gave; a golden proves "unchanged", the hand-worked cases prove "right"."""

from __future__ import annotations

from pathlib import Path

import highspy
import pytest
from tests.planning.remake_goldens import household_for, lp_text

from stillroom.household import audit
from stillroom.household.examples import tiny_household
from stillroom.planning.constraints import CONSTRAINTS
from stillroom.planning.objectives import OBJECTIVES, objectives_for
from stillroom.planning.solve import build

GOLDEN = Path(__file__).parent / "golden"
HELPERS = {"freezing_setup", "last_plan"}
"""Constraints that only help an objective and mean nothing outside the model: the audit has no twin for them."""


@pytest.mark.parametrize("name", CONSTRAINTS)
def test_a_rule_matches_its_golden_file(name):
    assert lp_text(CONSTRAINTS[name], household_for(name)) == (GOLDEN / f"{name}.lp").read_text()


def test_every_golden_file_belongs_to_a_rule_and_none_is_empty():
    assert {path.stem for path in GOLDEN.glob("*.lp")} == set(CONSTRAINTS)
    for path in GOLDEN.glob("*.lp"):
        assert " <= " in path.read_text() or " = " in path.read_text() or " >= " in path.read_text(), path.stem


def test_every_rule_has_an_audit_twin_and_every_audit_a_meaning():
    beyond_constraints = {"whole_numbers", "buying"}  # bounds of the variables, not rows
    assert set(audit.AUDITS) - beyond_constraints == set(CONSTRAINTS) - HELPERS


@pytest.mark.parametrize("name", CONSTRAINTS)
def test_a_rule_says_its_formula_and_prints_an_instance(name):
    words = CONSTRAINTS[name].__doc__ or ""
    assert ">>> show(" in words
    assert any(sign in words for sign in ("<=", " = ", ">="))


@pytest.mark.parametrize("name", CONSTRAINTS)
def test_a_golden_file_is_read_by_a_reader_of_lp_files(name, capfd):
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    assert solver.readModel(str(GOLDEN / f"{name}.lp")) == highspy.HighsStatus.kOk
    capfd.readouterr()


def test_the_aims_stand_in_the_stated_order_and_a_missing_importance_is_left_out():
    assert [objective.name for objective in OBJECTIVES] == [
        "fixed lines", "targets 1", "targets 2", "targets 3", "money", "effort",
    ]  # fmt: skip
    parameters, _ = build(tiny_household())
    assert [objective.name for objective in objectives_for(parameters)][1:4] == ["targets 1", "targets 2", "targets 3"]
    for objective in OBJECTIVES:
        text = getattr(objective.terms, "func", objective.terms).__doc__ or ""
        assert text.lstrip().startswith("Maximize" if objective.maximize else "Minimize")


def test_no_two_rows_or_decisions_share_a_name():
    parameters, variables = build(tiny_household())
    with pytest.raises(KeyError, match="two variables would be called"):
        variables.model.variable(next(iter(variables.model.variables)))
    label, row = next(iter(CONSTRAINTS["crop_balance"](parameters, variables)))
    with pytest.raises(KeyError, match="two constraints would be called"):
        variables.model.add(label, row)
