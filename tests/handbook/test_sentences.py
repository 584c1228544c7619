"""The sentences of the handbook's problems: one for each kind, each kind raised, every name filled in."""

import random
import re
from pathlib import Path

import pytest
from tests.handbook.attack import besieged

from stillroom import handbook
from stillroom.errors import KINDS
from stillroom.handbook.settle import settle
from stillroom.reports.problems import sentences

SOURCE = "\n".join(path.read_text() for path in Path(handbook.__file__).parent.rglob("*.py"))


@pytest.mark.parametrize("kind", [kind for kind in KINDS if KINDS[kind].about == "handbook"])
def test_each_kind_is_raised_by_the_handbook(kind):
    """A detail may be added to its group where it is raised: both are written there then."""
    group, _, detail = kind.partition(": ")
    pieces = [group, *detail.split(", ")] if f'"{kind}"' not in SOURCE else []
    assert [piece for piece in pieces if piece and not re.search(rf"[\"' ]{re.escape(piece)}[:\"',]", SOURCE)] == []


def test_every_problem_has_its_sentences():
    seen = set()
    for seed in range(300):
        for problem in settle(besieged(random.Random(seed)))[1]:
            what, what_to_do = sentences(problem)
            seen.add(problem.kind)
            assert what.endswith(".")
            assert not what_to_do or what_to_do.endswith((".", "?"))
            assert not re.search(r"[{}*]|\.\.|: *[.]|  | ,|None", what + what_to_do), (problem.kind, what, what_to_do)
    assert len(seen) > 40
