"""
How much of a long list or of a random search the tests take: a fixed sample, the same in every run.

`python3 tests/bench.py samples` runs the tests that take one with all of it.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TypeVar

Item = TypeVar("Item")

WHOLE = "STILLROOM_WHOLE_SAMPLES"
"""The variable of the environment that asks for all."""


def every(step: int, items: Sequence[Item]) -> Sequence[Item]:
    """Return every so-many-th item, beginning with the first."""
    return items if os.environ.get(WHOLE) else items[::step]


def count(few: int, whole: int) -> int:
    """Return how many examples a random search tries."""
    return whole if os.environ.get(WHOLE) else few
