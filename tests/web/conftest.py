"""The page of the small kitchen, with its plan."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.conftest import planned
from tests.web.asks import Device, device, opened

from stillroom.web.pages import Kitchen


@pytest.fixture
def workbook(tmp_path: Path) -> Path:
    path = tmp_path / "kitchen.xlsx"
    path.write_bytes(planned())
    return path


@pytest.fixture
def page(workbook: Path) -> Iterator[Kitchen]:
    one = opened(workbook)
    yield one
    one.close()


@pytest.fixture
def tablet(page: Kitchen) -> Device:
    return device(page)
