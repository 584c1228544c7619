"""
LibreOffice opens, works out and saves a planned demo; then it is planned again.

Here a few days and weeks of one; `python3 tests/bench.py hard` takes all of all.
"""

from __future__ import annotations

import shutil

import pytest
from tests.hard.round_trip import round_trip

pytestmark = [
    pytest.mark.libreoffice,
    pytest.mark.slow,
    pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed"),
    pytest.mark.filterwarnings("ignore:Print area cannot be set:UserWarning"),  # whole columns, by LibreOffice
    pytest.mark.filterwarnings("ignore:.*extension is not supported:UserWarning"),  # openpyxl, of what it only reads
]


@pytest.mark.parametrize("name", ["shared_plan"])
def test_the_plan_stays_and_no_saved_result_is_stale(name, tmp_path):
    assert round_trip(name, tmp_path, {"days planned in detail": 3, "weeks planned roughly": 2}) == []
