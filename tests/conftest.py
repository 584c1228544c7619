"""The small kitchen as a workbook in a folder of the test's own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.small_kitchen import build

from stillroom.cli import run
from stillroom.household.text import US, in_style


@pytest.fixture(autouse=True)
def us_style() -> Iterator[None]:
    """Begin each test in the style of a US household, whatever workbook the one before it read."""
    with in_style(US):
        yield


@pytest.fixture
def kitchen(tmp_path: Path) -> Path:
    """The small kitchen, not planned yet."""
    return build(tmp_path / "kitchen.xlsx")


@pytest.fixture
def planned_kitchen(kitchen: Path) -> Path:
    """The small kitchen with its plan: juice, fourteen quarts in loads of seven."""
    assert run(["plan", str(kitchen)]) == 0
    return kitchen
