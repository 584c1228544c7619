"""The planner beside other ways to the same answer: every plan tried, a second solver, a careful cook."""

from __future__ import annotations

import pytest
from tests.truth.counted import counted, wrong
from tests.truth.small_homes import small_home

COUNTED = (1, 3, 4, 8, 10, 12, 15, 23, 34, 42, 46, 51, 53)
"""Small households with few enough plans for a quick test, many enough to be a choice; the bench has more."""


@pytest.mark.parametrize("seed", COUNTED)
def test_no_plan_there_is_does_better_than_the_planners(seed: int) -> None:
    """Every objective that can be counted is the best of every plan that keeps the constraints."""
    _, rows = counted(small_home(seed))
    assert list(wrong(rows)) == []
