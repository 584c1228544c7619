"""A kitchen that is short of lids."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.small_kitchen import build


@pytest.fixture
def kitchen(tmp_path: Path) -> Path:
    """A workbook of one crop and one preserve, with 5 lids for 14 wanted quarts."""
    target = {"Target": "juice", "Wanted": 14, "Unit": "quart", "Meals each": 2, "Shop price": 3}
    lids = {"Lid": "lid", "On hand": 5, "Price": 0.5}
    return build(tmp_path / "kitchen.xlsx", Lids=[lids], **{"Winter list": [target]})
