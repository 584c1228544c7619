"""
Measure one thing, `python3 tests/bench.py plan --count 5`, or all that is claimed, `python3 tests/bench.py`.

Needs only Python. Makes or reuses `.venv` at the root and runs the bench of that name in `tests/benches/`; the words
after the name go to the bench. Benches measure and print, they do not judge: that is what the tests are for.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "demo"))

from environment import prepare  # noqa: E402 - the folder has to be on the path first


def main() -> int:
    """Run the bench that is named, the scoreboard when none is; with a name that is not there, say which there are."""
    names = sorted(path.stem for path in (ROOT / "tests" / "benches").glob("[a-z]*.py") if path.stem != "scores")
    name = sys.argv[1] if len(sys.argv) > 1 else "scoreboard"
    if name not in names:
        print(f"Say which bench: python3 tests/bench.py {' | '.join(names)}")
        return 2
    python = prepare(ROOT, extras="test")
    script = ROOT / "tests" / "benches" / f"{name}.py"
    return subprocess.call([python, str(script), *sys.argv[2:]], cwd=ROOT, env=os.environ | {"PYTHONPATH": str(ROOT)})


if __name__ == "__main__":
    sys.exit(main())
