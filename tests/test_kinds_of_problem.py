"""The one list of the kinds of problem: each has its sentences, and each is raised with the names they need."""

from __future__ import annotations

import ast
import csv
import string
from pathlib import Path

import pytest

import stillroom
from stillroom.errors import KINDS, Problem
from stillroom.reports.problems import gathered, line, sentences

SOURCE = Path(stillroom.__file__).parent


def strings() -> set[str]:
    """Every string in the code."""
    found = set()
    for path in SOURCE.rglob("*.py"):
        nodes = ast.walk(ast.parse(path.read_text()))
        found |= {node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)}
    return found


def test_every_kind_is_listed_once_and_has_an_effect_and_a_sentence():
    with SOURCE.joinpath("problems.csv").open(encoding="utf-8", newline="") as file:
        keys = [row["Kind"] for row in csv.DictReader(file) if row["About"] != "phrase"]
    assert keys == list(KINDS)
    assert {kind.effect for kind in KINDS.values()} == {"stops", "refuses", "severe", "note"}
    assert all(kind.what for kind in KINDS.values())


def test_every_kind_is_raised_somewhere():
    """The kinds of the handbook are put together from parts; tests/handbook/test_sentences.py holds those."""
    assert {key for key, kind in KINDS.items() if kind.about != "handbook"} - strings() == set()


@pytest.mark.parametrize("kind", KINDS)
def test_both_sentences_are_whole(kind):
    """Filled in with plain words, they begin with a capital, end with a period and leave no bracket behind."""
    problem = Problem("Harvest!B8", kind, tuple(f"n{number}" for number in range(9)), field="Amount")
    for text in sentences(problem):
        assert not text or (text[0] == text[0].upper() and text[-1] in ".?")
        assert "{" not in text
    assert line(problem).startswith("Harvest!B8: ")
    assert [one.kind for one in gathered([problem] * 3)] == [kind]


def test_the_names_of_a_sentence_have_no_gaps():
    """{2} without {1} is a name that nobody sees."""
    for key, kind in KINDS.items():
        used = {name for text in (kind.what, kind.fix) for _, name, _, _ in string.Formatter().parse(text) if name}
        numbers = sorted(int(name) for name in used if name.isdigit())
        assert kind.about == "handbook" or numbers == list(range(len(numbers))), key
        assert used <= {*map(str, numbers), "field", "in_field", "suggestion", "cause"}, key


def test_a_kind_that_is_not_in_the_list_is_refused():
    with pytest.raises(KeyError, match="no kind of problem is called 'odd'"):
        Problem("Kitchen!B2", "odd")
