"""Two dozen damaged workbooks: a named refusal or a right result, never a traceback, a hang or a changed source."""

from __future__ import annotations

import random

import pytest
from tests.workbook.corpus import mutations

CASES = 24


@pytest.mark.parametrize("part", range(2))
def test_moving_into_a_damaged_workbook_is_refused_by_name_or_comes_out_right(part, tmp_path):
    """`python3 tests/bench.py fuzz` runs ten thousand of them."""
    seen = set()
    for number in range(part, CASES, 2):
        about, data = mutations.damaged(random.Random(number))
        try:
            seen.add(mutations.outcome(data, tmp_path))
        except Exception as error:
            error.add_note(f"case {number}: {about}")
            raise
    assert {"written", "refused"} <= seen
