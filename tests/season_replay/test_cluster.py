"""Seasons on a real cluster of two workers, one of them killed half-way: the same seasons as anywhere else."""

from __future__ import annotations

import importlib
import os
import signal
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.season_replay.households import opening, two_crops
from tests.small_kitchen import FRIDAY, build

from stillroom.app.batch import plan_folder
from stillroom.app.parallel import cluster, refuse_bare_workers
from stillroom.app.season import play_seasons
from stillroom.errors import StillroomError
from stillroom.planning.rolling import Settings

# the cluster's own processes and sockets are its own affair: a worker that is killed leaves some unclosed behind
pytestmark = pytest.mark.filterwarnings("default")

DRAWS = 24
SETTINGS = Settings()


@pytest.fixture(scope="module")
def local() -> Iterator[Any]:
    """A cluster on this machine with two worker processes of one thread."""
    distributed = pytest.importorskip("distributed")
    quiet = {"n_workers": 2, "threads_per_worker": 1, "dashboard_address": None, "silence_logs": 50}
    with distributed.LocalCluster(**quiet) as found:
        yield found


@pytest.mark.slow
def test_a_folder_is_planned_on_a_cluster_that_shares_no_folder(local: Any, tmp_path: Path) -> None:
    """The workbooks go as bytes and come back as bytes; one that is refused is listed."""
    folder = tmp_path / "kitchens"
    folder.mkdir()
    build(folder / "hill.xlsx")
    build(folder / "mill.xlsx", without={("Harvest", "Amount")})
    found = plan_folder(folder, tmp_path / "planned", FRIDAY, None, local.scheduler_address, lambda _: None)
    assert [(one.name, one.filled, len(one.problems)) for one in found.done] == [
        ("hill.xlsx", 1, 0),
        ("mill.xlsx", 0, 1),
    ]
    assert (tmp_path / "planned" / "hill.xlsx").read_bytes().startswith(b"PK")
    assert found.workers == 2


@pytest.mark.slow
def test_a_worker_killed_half_way_changes_no_season(local: Any) -> None:
    """24 draws on two workers; after the sixth is done one worker is killed. Its draws are done again."""
    household = two_crops()
    first = opening(household, SETTINGS)
    alone = play_seasons(household, first, SETTINGS, DRAWS)
    killed: list[int] = []
    pid = next(iter(local.workers.values())).pid

    def kill_one(words: str) -> None:
        if words.startswith("played 6 ") and not killed:
            killed.append(pid)
            os.kill(pid, signal.SIGKILL)

    with cluster(local.scheduler_address) as crew:
        found = play_seasons(household, first, SETTINGS, DRAWS, crew, kill_one)
    assert killed
    assert found == alone


def test_workers_that_lack_the_package_are_named() -> None:
    bare = ModuleNotFoundError("No module named 'stillroom'")
    refuse_bare_workers({"tcp://10.0.0.5:1": None})
    with pytest.raises(StillroomError, match=r"not installed on the worker tcp://10\.0\.0\.6:1; install"):
        refuse_bare_workers({"tcp://10.0.0.5:1": None, "tcp://10.0.0.6:1": bare})


def test_where_no_scheduler_answers_it_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("distributed")
    monkeypatch.setattr("stillroom.app.parallel.PATIENCE_SECONDS", 0.5)
    with (
        pytest.raises(StillroomError, match=r"no cluster answers at tcp://127\.0\.0\.1:1 "),
        cluster("tcp://127.0.0.1:1"),
    ):
        pass
    for address in ("nonsense", "nonsense://", "nonsense://here:99", "tcp://here"):
        began = time.monotonic()
        with pytest.raises(StillroomError, match=f"no cluster answers at {address}: that is no "), cluster(address):
            pass
        assert time.monotonic() - began < 5  # its client waited 40 seconds, and left a traceback behind


def test_without_distributed_it_is_said_how_to_have_it(monkeypatch: pytest.MonkeyPatch) -> None:
    real = importlib.import_module

    def missing(name: str, package: str | None = None) -> object:
        if name == "distributed":
            raise ModuleNotFoundError(name)
        return real(name, package)

    monkeypatch.setattr(importlib, "import_module", missing)
    with pytest.raises(StillroomError, match=r"pip install 'stillroom\[cluster\]'"), cluster("tcp://127.0.0.1:8786"):
        pass
