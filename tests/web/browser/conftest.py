"""One browser and one kitchen page for a module; skipped where there is no Chromium."""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from tests.conftest import planned
from tests.small_kitchen import FRIDAY
from tests.web.browser.chromium import Served, browser, chromium, served

from stillroom.household.results.clock import Step

NO_CHROMIUM = "there is no Chromium on this machine"


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    if chromium() is None:
        if os.environ.get("STILLROOM_NEEDS_CHROMIUM"):
            pytest.fail(NO_CHROMIUM)
        pytest.skip(NO_CHROMIUM)
    with browser() as one:
        yield one


class Hour:
    """The time of the kitchen, which a test may set."""

    def __init__(self) -> None:
        self.now = datetime.datetime.combine(FRIDAY, datetime.time(9))

    def __call__(self) -> datetime.datetime:
        """Return it."""
        return self.now


@pytest.fixture(scope="module")
def hour() -> Hour:
    return Hour()


@pytest.fixture(scope="module")
def workbook(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("kitchen") / "kitchen.xlsx"
    path.write_bytes(planned())
    return path


@pytest.fixture(scope="module")
def page(chrome: Browser, workbook: Path, hour: Hour) -> Iterator[Served]:
    with served(workbook, hour) as one:
        yield one


def process_of(page: Served) -> Step:
    """The first process on the clock of the day."""
    look = page.kitchen.keeper.seen().look
    return next(step for step in look.clock.steps_on(look.day) if step.kind == "process")
