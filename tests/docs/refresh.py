"""
Fill in what the pages show of the program itself: `python tests/docs/refresh.py`, then read the difference.

The plan of the glut, the table of commands, and how many figures of the handbook were read and how many were not.
"""

from __future__ import annotations

import csv
import io
import re
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.docs.blocks import marked, page_text  # noqa: E402 - the root has to be on the path first

SHOWN = ("FIRST DAY", "TODAY", "TO BUY", "WINTER LIST", "Saved in")
"""The sections of a plan that the page shows, by how they begin; the others are left out."""


FIRST = ("start", "plan", "today", "check", "adopt")
"""The commands on top of their table; the others follow in the order they have in the program."""


def plan_said() -> str:
    """Return what `stillroom plan` prints for a copy of the glut."""
    with tempfile.TemporaryDirectory(prefix="stillroom-docs-") as folder:
        copy = Path(folder) / "tomato_glut.xlsx"
        shutil.copyfile(ROOT / "demo" / "tomato_glut.xlsx", copy)
        command = [sys.executable, "-m", "stillroom", "plan", str(copy)]
        done = subprocess.run(command, capture_output=True, check=False, text=True, encoding="utf-8")
    if done.returncode:
        sys.exit(f"The glut could not be planned, so nothing was refreshed: {done.stderr.strip()[-1000:]}")
    return done.stdout


def plan_shown(said: str) -> str:
    """The shown sections of a plan, without the date of the copy."""
    sections = [part for part in re.split(r"\n\n+", said.strip("\n")) if part.startswith(SHOWN)]
    return masked("\n\n".join(part.rstrip() for part in sections))


def masked(said: str) -> str:
    """
    Return a plan without the date of the copy, which differs from run to run.

    >>> masked("Backup: glut.before-2026-11-25-1457.xlsx")
    'Backup: glut.before-DATE.xlsx'
    """
    return re.sub(r"\.before-[\d-]+\.xlsx", ".before-DATE.xlsx", said)


def plan_part(said: str | None = None) -> str:
    """The plan as a block, with the solver that made it: another version may find another plan as good."""
    shown = plan_shown(plan_said() if said is None else said)
    return f"\n<!-- HiGHS {version('highspy')} -->\n\n```text\n$ stillroom plan tomato_glut.xlsx\n\n{shown}\n```\n\n"


def commands_part() -> str:
    """The table of commands, from their own help."""
    import typer

    from stillroom.cli import app

    group = typer.main.get_command(app)
    rows = []
    commands = group.commands  # type: ignore[attr-defined]
    for name in sorted(commands, key=lambda name: (*FIRST, name).index(name)):
        command = commands[name]
        words = (command.help or "").strip().split("\n\n")[0].replace("\n", " ")
        example = (command.epilog or "").removeprefix("Example: ")
        rows.append(f"| `{name}` | {words} | `{example}` |")
    return "\n".join(["", "| command | does | example |", "|---|---|---|", *rows, "", ""])


def figures_part() -> str:
    """How many rows of the handbook's tables have which mark, all of them and those of process times."""
    lines = ["", "| tables | rows | verified | derived | from memory |", "|---|---|---|---|---|"]
    folder = ROOT / "shared" / "handbook"
    times = sorted((*folder.glob("process_*.csv"), folder / "high_altitude_fruit.csv"))
    for words, paths in (("process times and pressures", times), ("all tables", sorted(folder.glob("*.csv")))):
        rows = [row for path in paths for row in csv.DictReader(io.StringIO(path.read_text(encoding="utf-8")))]
        marks = Counter(row["status"] for row in rows)
        counts = " | ".join(f"{marks[mark]:,}" for mark in ("verified", "derived", "memory"))
        lines.append(f"| {words} | {marks.total():,} | {counts} |")
    return "\n".join([*lines, "", ""])


PARTS: dict[str, Callable[[], str]] = {
    "plan of the glut": plan_part,
    "commands": commands_part,
    "figures": figures_part,
}
"""Every marked part of README.md, with what fills it."""


def refreshed(page: str, parts: dict[str, Callable[[], str]] = PARTS) -> str:
    """The text of a page with its marked parts filled in anew; ValueError when a mark is missing."""
    for name, fill in parts.items():
        content = fill()
        page, found = marked(name).subn(lambda match, new=content: match[1] + new + match[3], page)
        if found != 1:
            msg = f"README.md has {found} parts marked {name!r}; it needs one"
            raise ValueError(msg)
    return page


if __name__ == "__main__":
    (ROOT / "README.md").write_text(refreshed(page_text("README.md")), encoding="utf-8")
