"""The small kitchen as a workbook in a folder of the test's own."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.small_kitchen import build

from stillroom.cli import run


@pytest.fixture
def kitchen(tmp_path: Path) -> Path:
    """The small kitchen, not planned yet."""
    return build(tmp_path / "kitchen.xlsx")


@pytest.fixture
def planned_kitchen(kitchen: Path) -> Path:
    """The small kitchen with its plan: juice, fourteen quarts in loads of seven."""
    assert run(["plan", str(kitchen)]) == 0
    return kitchen
