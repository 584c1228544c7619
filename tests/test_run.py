"""Where the command that runs every check lets the tests put their files."""

from __future__ import annotations

import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
from tests import run

LOOK = "import os, pathlib, sys; pathlib.Path(sys.argv[1]).write_text(os.environ.get('TMPDIR', 'not told'))"


NO_PROGRAMS = 8


def disk(free: int = run.ROOM_BYTES + 1, flag: int = 0) -> SimpleNamespace:
    """What the system says of a disk with so many bytes free."""
    return SimpleNamespace(f_bavail=free, f_frsize=1, f_flag=flag)


@pytest.fixture
def memory(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder that stands for the one in memory, with room and from which programs may be run."""
    folder = tmp_path / "memory"
    folder.mkdir()
    monkeypatch.setattr(run, "IN_MEMORY", folder)
    monkeypatch.setattr(run.os, "statvfs", lambda _: disk(), raising=False)
    monkeypatch.setattr(run.os, "ST_NOEXEC", NO_PROGRAMS, raising=False)
    monkeypatch.delenv("TMPDIR", raising=False)
    return folder


def told(tmp_path: Path) -> str:
    """Which folder for files the tests are told."""
    assert run.tested([sys.executable, "-c", LOOK, str(tmp_path / "seen")]) == 0
    return (tmp_path / "seen").read_text()


def test_files_are_kept_in_memory_and_nothing_of_them_is_left(memory: Path, tmp_path: Path) -> None:
    assert Path(told(tmp_path)).parent == memory
    assert list(memory.iterdir()) == []


@pytest.mark.parametrize("lack", ["no folder", "no room", "no programs"])
def test_where_memory_does_not_do_files_go_where_they_always_go(
    lack: str, memory: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if lack == "no folder":
        memory.rmdir()
    else:
        found = disk(free=run.ROOM_BYTES) if lack == "no room" else disk(flag=NO_PROGRAMS)
        monkeypatch.setattr(run.os, "statvfs", lambda _: found)
    assert told(tmp_path) == "not told"
