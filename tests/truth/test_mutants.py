"""The changes that the tests are asked about: every place of a rule once, and never the file as it is."""

from __future__ import annotations

import ast
from collections import Counter

import pytest
from tests.benches.mutants import CONSTRAINTS, ROOT, changes


@pytest.mark.parametrize("name", ["stocks.py", "__init__.py"])
def test_every_change_is_a_file_that_can_be_read_and_is_not_the_one_there(name: str) -> None:
    whole = ast.unparse(ast.parse((ROOT / CONSTRAINTS / name).read_text()))
    found = list(changes(ROOT / CONSTRAINTS / name))
    assert len(found) > 20
    for change in found:
        assert ast.unparse(ast.parse(change.source)) != whole, change.words


def test_signs_numbers_senses_comparisons_and_terms_are_changed(tmp_path) -> None:
    """One small constraint: each kind of change once for each place that has it."""
    constraint = tmp_path / "rule.py"
    constraint.write_text(
        "def rule(each, sums, number, label):\n"
        "    terms = [(-1.0, each), (2.0 * each, sums)]\n"
        "    if number > 3:\n"
        "        terms.append(each)\n"
        "    yield label, at_most(terms, number - 1)\n"
    )
    words = Counter(change.words.partition(":")[0] for change in changes(constraint))
    assert words["sign"] == 1
    assert words["number + 1"] == 4
    assert words["to Div"] == words["to Add"] == words["to GtE"] == 1
    assert words["to at_least"] == words["to equal"] == 1
    assert words["term 1 left out"] == words["term 2 left out"] == 1
    assert words["condition always true"] == words["condition never true"] == 1
    assert words["line 4 left out"] == words["line 5 left out"] == 1
