"""
The tests that take a sample, with all of it: `python3 tests/bench.py samples [words for pytest]`.

`tests/samples.py` says how. About twenty minutes on two cores.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from tests.samples import WHOLE

ROOT = Path(__file__).resolve().parents[2]


def main(words: Sequence[str] | None = None) -> int:
    """Run every test file that takes a sample; gives the exit code of pytest."""
    files = [str(path) for path in sorted((ROOT / "tests").rglob("test_*.py")) if "tests.samples" in path.read_text()]
    command = [sys.executable, "-m", "pytest", "-n", "2", "--dist", "worksteal", "-q", *(words or ()), *files]
    return subprocess.call(command, cwd=ROOT, env=os.environ | {WHOLE: "yes"})


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
