"""The one list of the kinds of problem: none is idle, and what each does is stated once."""

from __future__ import annotations

from pathlib import Path

import pytest

import stillroom
from stillroom.errors import KINDS, Problem

SOURCE = Path(stillroom.__file__).parent


def test_every_kind_in_the_list_is_raised_somewhere():
    words = "\n".join(path.read_text() for path in SOURCE.rglob("*.py") if path.name != "errors.py")
    assert [kind for kind in KINDS if f'"{kind}"' not in words] == []


def test_a_kind_that_is_not_in_the_list_is_refused():
    with pytest.raises(KeyError, match="no kind of problem is called 'odd'"):
        Problem.in_words("Kitchen!B2", "is odd", "mend it", "odd")
