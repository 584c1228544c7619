"""The one list of the kinds of problem: each has its sentences, and each is raised with the names they need."""

from __future__ import annotations

import ast
import string
from pathlib import Path

import pytest

import stillroom
from stillroom.errors import KINDS, Problem
from stillroom.reports.problems import TEXTS, gathered, line, sentences
from stillroom.reports.safety_problems import TEXTS as SAFETY_TEXTS

SOURCE = Path(stillroom.__file__).parent
TABLES = ("errors.py", "problem_texts.py", "safety_problems.py", "measure_problems.py")


def strings() -> set[str]:
    """Every string in the code, without the lists of the kinds themselves."""
    found = set()
    for path in SOURCE.rglob("*.py"):
        if path.name not in TABLES:
            nodes = ast.walk(ast.parse(path.read_text()))
            found |= {node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)}
    return found


def test_every_kind_has_its_sentences_and_no_sentences_are_left_over():
    assert set(TEXTS) == set(KINDS)


def test_every_kind_is_raised_somewhere():
    """The kinds of the handbook are put together from parts; tests/handbook/test_sentences.py holds those."""
    assert set(KINDS) - set(SAFETY_TEXTS) - strings() == set()


@pytest.mark.parametrize("kind", TEXTS)
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
    for kind, texts in TEXTS.items():
        used = {name for text in texts for _, name, _, _ in string.Formatter().parse(text) if name}
        numbers = sorted(int(name) for name in used if name.isdigit())
        assert kind in SAFETY_TEXTS or numbers == list(range(len(numbers))), kind
        assert used <= {*map(str, numbers), "field", "in_field", "suggestion", "cause"}, kind


def test_a_kind_that_is_not_in_the_list_is_refused():
    with pytest.raises(KeyError, match="no kind of problem is called 'odd'"):
        Problem("Kitchen!B2", "odd")
