"""Makes or reuses the environment at the root: standard library only, one sentence when something is in the way."""

from __future__ import annotations

import contextlib
import hashlib
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

OLDEST = (3, 11)
LEFT_BEHIND_SECONDS = 180
"""A mark of an installation that nobody has touched for so long was left by one that was ended half-way."""


def prepare(root: Path, extras: str = "") -> str:
    """
    Return the Python of `.venv` under `root`, with the project and these extras installed.

    Installs only when `pyproject.toml`, the extras or the Python have changed since the last time; of two commands
    begun at once, one installs and the other waits for it. Ends the program with one sentence when Python is too old,
    has no `venv`, or the packages cannot be fetched.
    """
    if sys.version_info < OLDEST:
        sys.exit(
            f"This is Python {sys.version.split()[0]}; stillroom needs Python 3.11 or later. Install one and run again."
        )
    folder = root / ".venv"
    python = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if _installed(root, folder, extras, python):
        return str(python)
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        sys.exit(f"No environment can be made in {root} ({error.strerror}); copy the folder where you may write.")
    with _one_at_a_time(folder / "installing") as mark:
        if not _installed(root, folder, extras, python):
            _install(root, folder, extras, python, mark)
    return str(python)


def _installed(root: Path, folder: Path, extras: str, python: Path) -> bool:
    """Whether the environment has what is wanted; what the tests need holds what the demo needs."""
    for each in (extras, "test"):
        stamp = folder / f"installed-{each or 'base'}"
        if python.exists() and stamp.exists() and stamp.read_text() == _key(root, each):
            return True
    return False


def _install(root: Path, folder: Path, extras: str, python: Path, mark: Path) -> None:
    """Make the environment where there is none, and install into it."""
    if not python.exists():
        print("Making an environment in .venv ...", flush=True)
        made = subprocess.run([sys.executable, "-m", "venv", str(folder)], capture_output=True, text=True, check=False)
        if made.returncode:
            sys.exit(
                "Python's venv module does not work here; install it (on Debian and Ubuntu: apt install python3-venv) "
                "and run again."
            )
    wanted = f".[{extras}]" if extras else "."
    print("Installing stillroom and what it needs (a minute or two, once) ...", flush=True)
    command = [str(python), "-m", "pip", "install", "--disable-pip-version-check", "-q", "-e", wanted]
    with subprocess.Popen(command, cwd=root, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as pip:
        said = _wait_aloud(pip, mark)
    if pip.returncode:
        sys.exit(
            "The packages could not be installed; check that this machine can reach its Python package index and run "
            "again.\n" + "\n".join(said.splitlines()[-3:])
        )
    (folder / f"installed-{extras or 'base'}").write_text(_key(root, extras))


@contextlib.contextmanager
def _one_at_a_time(mark: Path) -> Iterator[Path]:
    """Hold a mark while installing; wait while another command holds it."""
    waiting = False
    while True:
        try:
            mark.touch(exist_ok=False)
            break
        except FileExistsError:
            with contextlib.suppress(FileNotFoundError):
                if time.time() - mark.stat().st_mtime > LEFT_BEHIND_SECONDS:
                    mark.unlink()
                    continue
            if not waiting:
                print("Another command is installing what is needed; waiting for it ...", flush=True)
            waiting = True
            time.sleep(1)
    try:
        yield mark
    finally:
        mark.unlink(missing_ok=True)


def _key(root: Path, extras: str) -> str:
    """What an environment was made from: another key means it has to be made again."""
    project = (root / "pyproject.toml").read_bytes()
    return hashlib.sha256(project + extras.encode() + sys.version.encode() + str(root).encode()).hexdigest()


def _wait_aloud(pip: subprocess.Popen[str], mark: Path) -> str:
    """Wait for the installer with a dot every few seconds, touching the mark; return what it said."""
    while True:
        try:
            said, _ = pip.communicate(timeout=3)
        except subprocess.TimeoutExpired:
            print(".", end="", flush=True)
            mark.touch()
        else:
            print(flush=True)
            return said or ""
