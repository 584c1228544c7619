"""
Everything that is claimed, in one run: `python3 tests/bench.py` or `python3 tests/bench.py scoreboard [--write]
[--quick | --full]`.

Runs the benches that have figures to reach, prints them side by side, and with `--write` makes shared/scoreboard.md. A
bench that ends early is a line that falls short. `--quick` takes small counts, to see that it all runs; `--full` the
largest. With `--keep FOLDER` the board is put together out of pieces that ran at different times, each at the length
its line says.
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
from typing import NamedTuple

from tests.benches.scores import Score, read_scores

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "shared" / "scoreboard.md"
PICTURE = ROOT / "shared" / "growth.png"

WHY_SHORT = {
    "50 varied households with a former plan: seconds": "half of the seconds of fed are HiGHS making cuts, which it lets "
    "one turn on or off only; a perfect start saves least change 45 %, so proving is the floor",
    "50 varied households with a former plan: aims not proved": "its search for hands ends after 600 nodes",
    "a plan of 50 lines, a demo household": "some 570 cells at 8 microseconds each through all steps, spread evenly; "
    "opening 2 ms, tables 2.4, edits 3.2, packing 0.9, verifying 3.7",
    "the same, ten more sheets with charts, of 30 rows": "the same work, and 111 parts of the file to be inflated and "
    "checked, while openpyxl leaves out most of what it does not know",
    "the same, of 4,000 rows": "inflating 13 MB once for the check of every part takes 16 ms and following 40,000 formulas "
    "10, beside 12 ms that are fixed",
}
"""Why a line falls short, by how it begins, where its bench does not say so itself."""


class Piece(NamedTuple):
    """A run of one bench: which, and with which words at the usual length, quick, and at full length."""

    bench: str
    usual: tuple[str, ...] = ()
    quick: tuple[str, ...] = ()
    full: tuple[str, ...] | None = None


def counted(bench: str, part: str, option: str, usual: int, quick: int, full: int) -> Piece:
    """A part of a bench with a count."""
    return Piece(bench, *(("--only", part, option, str(count)) for count in (usual, quick, full)))


PIECES = {
    "speed": Piece("speed", quick=("--quick",)),
    "plan": Piece("plan", quick=("--count", "3")),
    "spreadsheet": Piece("in_a_spreadsheet", ("--limit", "100"), ("--limit", "30")),
    "writeback": Piece("writeback", quick=("--quick",)),
    "second opinion": counted("truth", "second", "--count", 5, 1, 50),
    "counted out": counted("truth", "counted", "--count", 10, 2, 50),
    "cook": counted("truth", "cook", "--count", 5, 1, 50),
    "handbook": Piece("truth", ("--only", "handbook"), ("--only", "handbook")),
    "hedge": counted("truth", "hedge", "--count", 10, 1, 90),
    "mutants": Piece("mutants", ("--every", "10"), ("--first", "10"), ()),
    "replay": Piece("season_replay", ("--draws", "40", "--full", "0", "--cluster"), ("--draws", "4", "--full", "0")),
    "workbooks": counted("hard", "workbooks", "--workbooks", 2_000, 100, 100_000),
    "zips": counted("hard", "zips", "--zips", 2_000, 100, 100_000),
    "trouble": Piece(
        "hard",
        ("--only", "kills", "--only", "disk", "--only", "two", "--only", "office", "--only", "known"),
        ("--only", "kills"),
    ),
    "packages": Piece("hard", ("--only", "packages"), ("--only", "known")),
    "newcomer": Piece("newcomer"),
}
"""The pieces of the board."""


def main(words: Sequence[str] | None = None) -> int:
    """Run the benches and print the board; 1 when something falls short, else 0."""
    parser = argparse.ArgumentParser(description="Print the scoreboard.")
    parser.add_argument("--write", action="store_true", help="make shared/scoreboard.md")
    length = parser.add_mutually_exclusive_group()
    length.add_argument("--quick", action="store_true", help="small counts, to see that it all runs")
    length.add_argument("--full", action="store_true", help="all counts as they were set as goals: many hours")
    parser.add_argument("--only", action="append", choices=sorted(PIECES), help="only this piece")
    parser.add_argument("--keep", type=Path, help="keep figures in this folder, and do not measure again what is there")
    chosen = parser.parse_args(words)
    scores: list[Score] = []
    seconds: dict[str, float] = {}
    for name, piece in PIECES.items():
        if not chosen.only or name in chosen.only:
            began = time.monotonic()
            longest = piece.usual if piece.full is None else piece.full
            asked = piece.quick if chosen.quick else longest if chosen.full else piece.usual
            drawn = ("--picture", str(PICTURE)) if name == "speed" and chosen.write and not chosen.quick else ()
            scores += of_piece(name, piece.bench, (*asked, *drawn), chosen.keep)
            seconds[name] = time.monotonic() - began
    print()
    for score in scores:
        print(score.line())
    if chosen.write:
        PAGE.write_text(page(scores, seconds), encoding="utf-8")
    return int(any(score.met is False for score in scores))


def of_piece(name: str, bench: str, words: Sequence[str], keep: Path | None) -> list[Score]:
    """The lines of one piece, its bench run by itself; kept ones are read where they were measured before."""
    with tempfile.TemporaryDirectory() as folder:
        path = (keep or Path(folder)) / f"{name.replace(' ', '_')}.json"
        if path.exists():
            return read_scores(path)
        print(f"\n== {bench} {' '.join(words)}".rstrip(), flush=True)
        path.parent.mkdir(parents=True, exist_ok=True)
        command = [sys.executable, str(Path(__file__).with_name(f"{bench}.py")), *words, "--scores", str(path)]
        ran = subprocess.run(command, cwd=ROOT, check=False, env=os.environ | {"PYTHONPATH": str(ROOT)})
        if path.exists():
            return read_scores(path)
    return [Score(bench, name, "", f"ended with {ran.returncode} and no figures", "figures", met=False)]


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
        why = score.why or ("" if score.met is not False else reason(score.what))
        cells = (score.bench, score.what, score.beside, score.figure, score.goal, f"{mark} {why}".strip())
        lines.append("| " + " | ".join(cell.replace("|", "/").replace("\n", " ") for cell in cells) + " |")
    if PICTURE.exists():
        lines += ["", f"![How building and planning grow with preserves and with periods]({PICTURE.name})"]
    return "\n".join(lines) + "\n"


def reason(what: str) -> str:
    """
    Why a line falls short, as far as it is known.

    >>> reason("the same, of 4,000 rows of 8 cells")[:15]
    'inflating 13 MB'
    """
    return next((why for begins, why in WHY_SHORT.items() if what.startswith(begins)), "")


if __name__ == "__main__":
    sys.exit(main())
