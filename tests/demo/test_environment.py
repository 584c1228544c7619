"""The environment that the two commands of the README make: one command installs at a time."""

from __future__ import annotations

import importlib.util
import os
import threading
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def environment():
    """The page that makes the environment, which is no part of the package."""
    found = importlib.util.spec_from_file_location("environment", ROOT / "demo" / "environment.py")
    page = importlib.util.module_from_spec(found)
    found.loader.exec_module(page)
    return page


def test_of_two_commands_begun_at_once_one_installs_and_the_other_finds_it_done(environment, tmp_path, monkeypatch):
    installed = []

    def install(root, folder, extras, python, mark):
        time.sleep(0.3)
        python.parent.mkdir()
        python.touch()
        (folder / "installed-test").write_text(environment._key(root, extras))
        installed.append(extras)

    monkeypatch.setattr(environment, "_install", install)
    (tmp_path / "pyproject.toml").write_text("")
    both = [threading.Thread(target=environment.prepare, args=(tmp_path, "test")) for _ in range(2)]
    for each in both:
        each.start()
    for each in both:
        each.join(timeout=20)
    assert installed == ["test"]
    assert not (tmp_path / ".venv" / "installing").exists()


def test_the_mark_of_an_installation_that_was_ended_half_way_is_taken_over(environment, tmp_path):
    mark = tmp_path / "installing"
    mark.touch()
    long_ago = time.time() - 2 * environment.LEFT_BEHIND_SECONDS
    os.utime(mark, (long_ago, long_ago))
    with environment._one_at_a_time(mark):
        assert time.time() - mark.stat().st_mtime < environment.LEFT_BEHIND_SECONDS
    assert not mark.exists()


def test_a_folder_that_cannot_be_written_ends_with_one_sentence(environment, tmp_path, monkeypatch):
    (tmp_path / "pyproject.toml").write_text("")

    def refused(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "mkdir", refused)
    with pytest.raises(SystemExit, match="copy the folder where you may write"):
        environment.prepare(tmp_path, "test")
