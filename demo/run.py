"""
Plan a demo household: `python3 demo/run.py`, or `python3 demo/run.py jar_shortage`.

Needs only Python. Makes or reuses `.venv` at the root, installs the project, plans a copy of the demo workbook under
demo/out/ and prints the plan. The households are invented.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "demo"))

from environment import prepare  # noqa: E402 - the folder has to be on the path first

FIRST = "tomato_glut"


def main() -> int:
    """Plan the household that is named, the glut when none is; return the exit code of the plan."""
    names = sorted(path.stem for path in (ROOT / "demo").glob("*.xlsx"))
    name = sys.argv[1].removesuffix(".xlsx").replace("-", "_").replace(" ", "_") if len(sys.argv) > 1 else FIRST
    if name not in names:
        print(f"There is no demo household called {name!r}; there are {', '.join(names)}.")
        return 2
    python = prepare(ROOT, extras="kitchen")
    folder = ROOT / "demo" / "out"
    folder.mkdir(exist_ok=True)
    copy = folder / f"{name}.xlsx"
    for old in folder.glob(f"{name}*.xlsx"):
        old.unlink()
    shutil.copyfile(ROOT / "demo" / f"{name}.xlsx", copy)
    code = subprocess.call([python, "-m", "stillroom", "plan", str(copy), *sys.argv[2:]], cwd=ROOT)
    if code == 0:
        others = ", ".join(other for other in names if other != name)
        print(
            f"\nThe plan is in demo/out/{copy.name}: open it in your office program; charts are on its Coverage sheet."
        )
        print(f"The other invented households: {others} (python3 demo/run.py NAME).")
    return code


if __name__ == "__main__":
    sys.exit(main())
