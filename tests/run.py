"""
Run every check of the project: `python3 tests/run.py`.

Needs only Python. Makes or reuses `.venv` at the root, installs the project with its test tools, and runs ruff, mypy,
the import contracts, the tests and the doctests. Words after the file name go to pytest, which then runs alone:
`python3 tests/run.py -k rules`.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "demo"))

from environment import prepare  # noqa: E402 - the folder has to be on the path first

PROGRAMS = (
    ("LibreOffice", ("soffice",), "workbooks"),
    ("Chromium", ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable"), "pages"),
)
"""Programs of the system that some tests need: the name, its commands, and what is opened in it."""

IN_MEMORY, ROOM_BYTES = Path("/dev/shm"), 4 << 30
"""Where files are kept in memory, and how much has to be free there."""


def main() -> int:
    """Prepare the environment, run the checks, say what was skipped; 0 when all is well."""
    python = prepare(ROOT, extras="test")
    chosen = sys.argv[1:]
    pytest = [python, "-m", "pytest", *(chosen or ["-n", "2", "--dist", "worksteal", "-q"])]
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # without it each worker compiles 600 modules in every run
    began = time.monotonic()
    if chosen:
        return tested(pytest)
    folders = ["src", "tests", "demo", "workbook_templates"]
    beside = {
        "ruff": [python, "-m", "ruff", "check", *folders],
        "ruff format": [python, "-m", "ruff", "format", "--check", "-q", *folders],
        "mypy --strict src": [python, "-m", "mypy"],
        "import contracts": [str(Path(python).parent / "lint-imports")],
    }
    with ThreadPoolExecutor(1) as one:  # one after the other, beside the tests, which seldom have work for two cores
        checks = {name: one.submit(said, command) for name, command in beside.items()}
        print("== pytest", flush=True)
        failed = ["pytest"] if tested(pytest) else []
    for name, check in checks.items():
        code, words = check.result()
        print(f"== {name}\n{words}", end="", flush=True)
        failed += [name] if code else []
    for name, commands, what in PROGRAMS:
        if not any(map(shutil.which, commands)):
            print(f"{name} is not installed: the tests that open {what} in it were skipped.", flush=True)
            if os.environ.get(f"STILLROOM_NEEDS_{name.upper()}"):
                failed.append(f"{name} tests")
    print(f"{time.monotonic() - began:.0f} s; " + (f"failed: {', '.join(failed)}" if failed else "all checks passed"))
    return 1 if failed else 0


def tested(pytest: list[str]) -> int:
    """Run the tests, their files in memory where they may be: on a disk, taking them away takes long; its exit code."""
    if not files_fit_in_memory():
        return subprocess.call(pytest, cwd=ROOT)
    with tempfile.TemporaryDirectory(prefix="stillroom-", dir=IN_MEMORY, ignore_cleanup_errors=True) as folder:
        return subprocess.call(pytest, cwd=ROOT, env=os.environ | {"TMPDIR": folder})


def files_fit_in_memory() -> bool:
    """Whether there is a folder in memory with room, from which programs may be run: tests write and run some."""
    if not (IN_MEMORY.is_dir() and os.access(IN_MEMORY, os.W_OK)):
        return False
    there = os.statvfs(IN_MEMORY)
    return there.f_bavail * there.f_frsize > ROOM_BYTES and not there.f_flag & os.ST_NOEXEC


def said(command: list[str]) -> tuple[int, str]:
    """Run a command; its exit code, and all that it printed."""
    ran = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False)
    return ran.returncode, ran.stdout


if __name__ == "__main__":
    sys.exit(main())
