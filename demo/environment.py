"""Makes or reuses the environment at the root: standard library only, one sentence when something is in the way."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

OLDEST = (3, 11)


def prepare(root: Path, extras: str = "") -> str:
    """
    Return the Python of `.venv` under `root`, with the project and these extras installed.

    Installs only when `pyproject.toml`, the extras or the Python have changed since the last time. Ends the program
    with one sentence when Python is too old, has no `venv`, or the packages cannot be fetched.
    """
    if sys.version_info < OLDEST:
        sys.exit(
            f"This is Python {sys.version.split()[0]}; stillroom needs Python 3.11 or later. Install one and run again."
        )
    folder = root / ".venv"
    python = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    project = (root / "pyproject.toml").read_bytes()
    stamp = folder / f"installed-{extras or 'base'}"
    key = _key(root, project, extras)
    fuller = folder / "installed-test"  # what the tests need holds what the demo needs
    fuller_key = _key(root, project, "test")
    for done, wanted_key in ((stamp, key), (fuller, fuller_key)):
        if python.exists() and done.exists() and done.read_text() == wanted_key:
            return str(python)
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
        said = _wait_aloud(pip)
    if pip.returncode:
        sys.exit(
            "The packages could not be installed; check that this machine can reach its Python package index and run "
            "again.\n" + "\n".join(said.splitlines()[-3:])
        )
    stamp.write_text(key)
    return str(python)


def _key(root: Path, project: bytes, extras: str) -> str:
    """What an environment was made from: another key means it has to be made again."""
    return hashlib.sha256(project + extras.encode() + sys.version.encode() + str(root).encode()).hexdigest()


def _wait_aloud(pip: subprocess.Popen[str]) -> str:
    """Wait for the installer with a dot every few seconds; return what it said."""
    while True:
        try:
            said, _ = pip.communicate(timeout=3)
        except subprocess.TimeoutExpired:
            print(".", end="", flush=True)
        else:
            print(flush=True)
            return said or ""
