"""The small kitchen as a workbook in a folder of the test's own; commands that tests start keep their bytecode."""

from __future__ import annotations

import gc
import os
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from tests import package_linter
from tests.small_kitchen import build

from stillroom.cli import run
from stillroom.household.text import US, in_style
from stillroom.workbook.ooxml import save

# What kills, fills disks, changes modes or drives a terminal does so by means that Windows has not.
OTHER_SYSTEMS = ("hard", "season_replay", "test_command_line.py", "bottlenecks/test_suppose.py", "test_ratios.py")
OTHER_SYSTEMS += ("workbook/engine/test_saving.py", "workbook/engine/test_put.py", "workbook/corpus")
OTHER_SYSTEMS += ("workbook/reader/test_problems.py", "docs/test_guides.py")
collect_ignore = list(OTHER_SYSTEMS) if os.name == "nt" else []


def pytest_report_header() -> str:
    """Say what is left out on this system."""
    return f"left out on this system: {', '.join(collect_ignore)}" if collect_ignore else ""


def pytest_configure() -> None:
    """Let the commands that tests start keep their bytecode, not compile the program again; sweep garbage seldom."""
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    gc.set_threshold(50_000, 20, 20)


def pytest_collection_finish() -> None:
    """Let no later sweep for garbage look at what was collected, for all of it stays."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session", autouse=True)
def one_core() -> Iterator[None]:
    """Let commands that are run in this process start no others to help: the tests are two processes themselves."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("os.cpu_count", lambda: 1)
        yield


@pytest.fixture(autouse=True)
def us_style() -> Iterator[None]:
    """Begin each test in the style of a US household, whatever workbook the one before it read."""
    with in_style(US):
        yield


@pytest.fixture
def kitchen(tmp_path: Path) -> Path:
    """The small kitchen, not planned yet."""
    return build(tmp_path / "kitchen.xlsx")


@cache
def planned() -> bytes:
    """The small kitchen with its plan, as one file."""
    with tempfile.TemporaryDirectory() as folder:
        path = build(Path(folder) / "kitchen.xlsx")
        assert run(["plan", str(path)]) == 0
        return path.read_bytes()


@pytest.fixture
def planned_kitchen(tmp_path: Path) -> Path:
    """The small kitchen with its plan: juice, fourteen quarts in loads of seven."""
    path = tmp_path / "kitchen.xlsx"
    path.write_bytes(planned())
    return path


# Every workbook that a test writes, held against the linter of packages: no fault that its source did not have.

_verify_new = save.verify_new


def _verify_and_lint(source: bytes, new: bytes, written: save.Written, target: Path) -> None:
    """Check a new workbook as the program does, then by the rules that the tests own."""
    _verify_new(source, new, written, target)
    added = package_linter.faults(new) - package_linter.faults(source)
    assert not added, f"{target.name} breaks rules of packages: {sorted(added)[:5]}"


save.verify_new = _verify_and_lint
