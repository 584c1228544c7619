"""
Everything that is claimed, in one run: `python3 tests/bench.py` or `python3 tests/bench.py scoreboard [--write] [--quick]`.

Runs the benches that have figures to reach, prints them side by side, and with `--write` makes shared/scoreboard.md. A
bench that ends early is a line that falls short. `--quick` takes small counts, to see that it all runs.
"""

from __future__ import annotations

import argparse
import datetime
import os
import platform
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from importlib.metadata import version
from pathlib import Path

from tests.benches.scores import Score, read_scores

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "shared" / "scoreboard.md"
PICTURE = ROOT / "shared" / "growth.png"
BENCHES: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "speed": ((), ("--quick",)),
    "in_a_spreadsheet": (("--limit", "100"), ("--limit", "30")),
    "writeback": ((), ("--quick",)),
    "truth": (("--count", "5", "--only", "second,counted,cook,handbook"), ("--count", "2", "--only", "counted,handbook")),
    "season_replay": (("--draws", "40", "--full", "0", "--cluster"), ("--draws", "4", "--full", "0")),
    "hard": (("--only", "workbooks", "--only", "kills", "--only", "disk", "--only", "two", "--only", "office", "--only", "known"), ("--workbooks", "100", "--only", "workbooks")),
    "newcomer": ((), ()),
}  # fmt: skip
"""Each bench with its words, at full length and quick."""


def main(words: Sequence[str] | None = None) -> int:
    """Run the benches and print the board; 1 when something falls short, else 0."""
    parser = argparse.ArgumentParser(description="Print the scoreboard.")
    parser.add_argument("--write", action="store_true", help="make shared/scoreboard.md")
    parser.add_argument("--quick", action="store_true", help="small counts, to see that it all runs")
    parser.add_argument("--only", action="append", choices=sorted(BENCHES), help="only this bench")
    parser.add_argument("--keep", type=Path, help="keep figures in this folder, and do not measure again what is there")
    chosen = parser.parse_args(words)
    scores: list[Score] = []
    seconds: dict[str, float] = {}
    for name, (usual, quick) in BENCHES.items():
        if not chosen.only or name in chosen.only:
            began = time.monotonic()
            drawn = ("--picture", str(PICTURE)) if name == "speed" and chosen.write and not chosen.quick else ()
            scores += of_bench(name, (*(quick if chosen.quick else usual), *drawn), chosen.keep)
            seconds[name] = time.monotonic() - began
    print()
    for score in scores:
        print(score.line())
    if chosen.write:
        PAGE.write_text(page(scores, seconds), encoding="utf-8")
    return int(any(score.met is False for score in scores))


def of_bench(name: str, words: Sequence[str], keep: Path | None) -> list[Score]:
    """The lines of one bench, run by itself; kept ones are read where they were measured before."""
    with tempfile.TemporaryDirectory() as folder:
        path = (keep or Path(folder)) / f"{name}.json"
        if path.exists():
            return read_scores(path)
        print(f"\n== {name} {' '.join(words)}".rstrip(), flush=True)
        path.parent.mkdir(parents=True, exist_ok=True)
        command = [sys.executable, str(Path(__file__).with_name(f"{name}.py")), *words, "--scores", str(path)]
        ran = subprocess.run(command, cwd=ROOT, check=False, env=os.environ | {"PYTHONPATH": str(ROOT)})
        if path.exists():
            return read_scores(path)
    return [Score(name, "the whole bench", "", f"ended with {ran.returncode} and no figures", "figures", met=False)]


def page(scores: Sequence[Score], seconds: dict[str, float]) -> str:
    """
    The board as a page.

    >>> print(page([Score("speed", "a | b", "", "1 s", "2 s", True)], {"speed": 3}).splitlines()[10])
    | speed | a / b |  | 1 s | 2 s | reached |
    """
    took = ", ".join(f"{name} {taken:.0f} s" for name, taken in seconds.items() if taken >= 1)
    parts = ", ".join(f"{name} {version(name)}" for name in ("highspy", "pulp", "openpyxl", "lxml"))
    lines = [
        "# The scoreboard",
        "",
        "Made by `python3 tests/bench.py scoreboard --write`; nothing here is typed by hand. Seconds are of the processor",
        "unless wall is said. A bench run alone prints more than its line here.",
        "",
        f"{datetime.datetime.now():%d %B %Y}; {os.cpu_count()} cores, {platform.machine()}, {platform.system()}, Python {platform.python_version()}, {parts}.",
        *([f"Took: {took}."] if took else []),
        "",
        "| bench | what | beside | figure | must reach | |",
        "|---|---|---|---|---|---|",
    ]
    for score in scores:
        mark = {True: "reached", False: "**falls short**", None: ""}[score.met]
        cells = (score.bench, score.what, score.beside, score.figure, score.goal, f"{mark} {score.why}".strip())
        lines.append("| " + " | ".join(cell.replace("|", "/").replace("\n", " ") for cell in cells) + " |")
    if PICTURE.exists():
        lines += ["", f"![How building and planning grow with preserves and with periods]({PICTURE.name})"]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.exit(main())
