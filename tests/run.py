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
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "demo"))

from environment import prepare  # noqa: E402 - the folder has to be on the path first


def main() -> int:
    """Prepare the environment, run the checks, say what was skipped; 0 when all is well."""
    python = prepare(ROOT, extras="test")
    chosen = sys.argv[1:]
    pytest = [python, "-m", "pytest", *(chosen or ["-n", "2", "-q"])]
    began = time.monotonic()
    if chosen:
        return subprocess.call(pytest, cwd=ROOT)
    tools = Path(python).parent
    steps = [
        ("ruff", [python, "-m", "ruff", "check", "src", "tests", "demo", "workbook_templates"]),
        (
            "ruff format",
            [python, "-m", "ruff", "format", "--check", "-q", "src", "tests", "demo", "workbook_templates"],
        ),
        ("mypy --strict src", [python, "-m", "mypy"]),
        ("import contracts", [str(tools / "lint-imports")]),
        ("pytest", pytest),
    ]
    failed = []
    for name, command in steps:
        print(f"== {name}", flush=True)
        if subprocess.call(command, cwd=ROOT) != 0:
            failed.append(name)
    if shutil.which("soffice") is None:
        print("LibreOffice is not installed: the tests that open workbooks in it were skipped.", flush=True)
        if os.environ.get("STILLROOM_NEEDS_LIBREOFFICE"):
            failed.append("LibreOffice tests")
    print(f"{time.monotonic() - began:.0f} s; " + (f"failed: {', '.join(failed)}" if failed else "all checks passed"))
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
