"""The page about the model is what the docstrings say now, and names every constraint and objective."""

from __future__ import annotations

from pathlib import Path

from tests.planning.model_page import page

from stillroom.planning.constraints import CONSTRAINTS
from stillroom.planning.objectives import OBJECTIVES

PAGE = Path(__file__).parents[2] / "shared" / "docs" / "model.md"


def test_the_page_is_up_to_date():
    assert PAGE.read_text() == page(), "run: python tests/planning/model_page.py > shared/docs/model.md"


def test_the_page_has_a_formula_and_an_instance_of_every_constraint():
    for name in CONSTRAINTS:
        section = page().split(f"### {name}\n")[1].split("\n### ")[0]
        assert "An instance:" in section, name
        assert (
            any(f"    {line}".count("[") for line in section.splitlines() if line.startswith("    "))
            or "price" in section
        )


def test_the_page_has_every_objective_in_order():
    places = [page().index(f". {kind}") for kind in dict.fromkeys(one.kind for one in OBJECTIVES)]
    assert places == sorted(places)
