"""
How easy: `python3 tests/bench.py newcomer [--scores FILE]`.

From an empty folder and a clean environment, with nothing but Python: a copy of the project, the first command of the
README (its second, the tests, is run by the tests' own command), a starting workbook, ten inputs typed by a script,
`check`, `plan`; then one mistake of each kind with the message it brings, the longest printed. Counted: steps, seconds,
words of the trade to be known, and what went wrong.

Then twice ten invented kitchens, each told in prose, answer the questions of `start` as their page has it; `check` and
`plan` follow. The second ten (`newcomer_data/told`) were written by somebody who had not seen the questions. Counted:
answers and cells typed, answers refused, rounds of check until no error is left, lines of the plan.
`--prose FILE` is for the kitchens of one file only: kitchens or told.

Last an evening of the demo: its lines of one day and a weighing, recorded by `evening` on a terminal and by a command
each; keystrokes counted (Enter is one) and seconds waited.
"""

from __future__ import annotations

import argparse
import contextlib
import datetime
import io
import os
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any
from unittest.mock import patch

from tests.benches.scores import Score, write_scores
from tests.hard.round_trip import saved_by_libreoffice
from tests.workbook.reader.making import opened, sound
from tests.workbook.reader.test_every_kind import CHANGES

from stillroom.app.answers import Told, filling
from stillroom.app.plan import find_plan, read_workbook
from stillroom.app.record.evening import open_evening
from stillroom.app.setup import start_workbook
from stillroom.cli import run, setup
from stillroom.cli.evening import QUESTIONS
from stillroom.errors import CommandWrong, Problem
from stillroom.household import checks
from stillroom.household.journal import stocks
from stillroom.household.text import quoted
from stillroom.reports.problems import line, sentences
from stillroom.workbook.ooxml.book import Book, Value
from stillroom.workbook.reader import household as read

ROOT = Path(__file__).resolve().parents[2]
FRIDAY = datetime.date(2026, 8, 14)
TYPED: tuple[tuple[str, str, dict[str, Value]], ...] = (
    ("Kitchen", "first day", {"Value": FRIDAY}),
    ("Kitchen", "spending limit", {"Value": 60}),
    ("Kitchen", "freezer space free", {"Value": 60, "Unit": "L"}),
    ("Containers", "quart jar", {"On hand": 36}),
    ("Containers", "pint jar", {"On hand": 48}),
    ("Lids", "regular lid", {"On hand": 60}),
    ("Harvest", "", {"Picked on": FRIDAY - datetime.timedelta(days=1), "Crop": "tomato", "Amount": 53, "Unit": "lb"}),
    ("Harvest", "", {"Picked on": FRIDAY, "Crop": "tomato", "Amount": 41, "Unit": "lb"}),
    ("Harvest", "", {"Picked on": FRIDAY, "Crop": "snap beans", "Amount": 12, "Unit": "lb"}),
    ("Pantry", "bottled lemon juice", {"On hand": 1, "Unit": "L"}),
)
"""Table, the row whose first cell reads so (none: the next blank one), and what is typed into which column."""

WORDS = (
    "preserve",
    "load",
    "lot",
    "target",
    "method",
    "crop",
    "pantry",
    "shelf",
    "fixed",
    "surplus",
    "period",
    "limit",
    "record",
)
"""Words of the workbook that a reader meets; all but *fed* and *period* are any preserver's own."""

STEPS = 5


def main(words: Sequence[str] | None = None) -> int:
    """Walk the way of a newcomer; 1 when some step fails, else 0."""
    parser = argparse.ArgumentParser(description="Walk the way of a newcomer.")
    parser.add_argument("--scores", type=Path, help="also write the figures there, for the scoreboard")
    parser.add_argument("--prose", choices=FILES, help="only the kitchens of one file")
    chosen = parser.parse_args(words)
    with tempfile.TemporaryDirectory() as folder:
        scores = [] if chosen.prose else [*walk(Path(folder)), mistakes(Path(folder))]
        scores += [prose(Path(folder), name) for name in ([chosen.prose] if chosen.prose else FILES)]
        scores += [] if chosen.prose else [evening(Path(folder))]
    if chosen.scores:
        write_scores(chosen.scores, scores)
    return int(any(score.met is False for score in scores))


def walk(folder: Path) -> list[Score]:
    """The README's first command twice, then a kitchen of one's own."""
    copy = folder / "stillroom"
    shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".venv", ".git", "*.egg-info", "__pycache__", "out"))
    clean = {"PATH": os.environ["PATH"], "HOME": str(folder), "LANG": "C.UTF-8"} | {
        name: value for name, value in os.environ.items() if name.lower().endswith("_proxy") or name.startswith("PIP_")
    }
    python = getattr(sys, "_base_executable", sys.executable)
    first = timed([python, "demo/run.py"], copy, clean)
    second = timed([python, "demo/run.py"], copy, clean)
    print(f"python3 demo/run.py: {first:.1f} s the first time, {second:.1f} s after that")
    command = str(copy / ".venv" / "bin" / "stillroom")
    kitchen = folder / "kitchen.xlsx"
    made = timed(
        [command, "start", str(kitchen), "--people", "4", "--altitude", "1450ft", "--gauge", "dial"], folder, clean
    )
    type_in(kitchen, TYPED)
    if shutil.which("soffice") is None:
        why = "LibreOffice is not installed, which stands for the office program that works out the formulas"
        return [Score("newcomer", "a kitchen of one's own", "", f"not walked: {why}", "no step fails")]
    kitchen = saved_by_libreoffice(kitchen, folder)
    checked = timed([command, "check", str(kitchen)], folder, clean)
    planned = timed([command, "plan", str(kitchen)], folder, clean)
    print(f"start {made:.1f} s, ten inputs typed, check {checked:.1f} s, plan {planned:.1f} s")
    own = made + checked + planned
    steps = f"{STEPS} steps: the README's command, start, type ten cells or rows, check, plan"
    return [
        Score("newcomer", "bare copy to a planned demo", "", f"{first:.1f} s the first time, {second:.1f} s after that", "printed"),
        Score("newcomer", "a kitchen of one's own, from nothing to a plan", "", f"{steps}; {own:.1f} s of them waiting", "no step fails", True),
        Score("newcomer", "words to be known", "", f"{len(WORDS)}: {', '.join(WORDS)}", "printed"),
    ]  # fmt: skip


def timed(command: Sequence[str], folder: Path, environment: dict[str, str]) -> float:
    """Run a command that has to end well; its seconds."""
    began = time.monotonic()
    ran = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)
    if ran.returncode:
        raise SystemExit(
            f"{' '.join(map(str, command))} ended with {ran.returncode}:\n{ran.stdout[-1500:]}\n{ran.stderr[-1500:]}"
        )
    return time.monotonic() - began


def type_in(path: Path, typed: Sequence[tuple[str, str, dict[str, Value]]]) -> None:
    """
    Type inputs; formulas that look at them are worked out when an office program opens and saves the file.
    """
    for table, row_named, values in typed:
        book = Book.open(path)
        found = book.table(table)
        if found is None:
            raise SystemExit(f"the starting workbook has no table {table}")
        firsts = {row: str(book.cell(found.sheet, row, found.first_column).value or "") for row in range(found.first_row, found.last_row + 1)}  # fmt: skip
        place = next((row for row, first in firsts.items() if first == row_named), None)
        if place is None:
            place = found.first_row if not row_named else None
        if place is None:
            raise SystemExit(f"{table} has no row {row_named}: {sorted(firsts.values())[:12]}")
        for heading, value in values.items():
            column = found.column(heading)
            if column is None:
                raise SystemExit(f"{table} has no column {heading}")
            book.set(found.sheet, place, column, value)
        book.save()


def mistakes(folder: Path) -> Score:
    """One mistake of each kind: every one is told with its cell and what to do; the ten longest are printed."""
    told: dict[str, Problem] = {}
    for number, (kind, change) in enumerate(CHANGES.items()):
        here = folder / f"mistake{number}"
        here.mkdir()
        content = sound()
        content["Ingredients"].append({"Preserve": "carrots in sand", "Item": "salt", "Amount each": "1 oz"})
        change(content, None)
        book = opened(here, content, change=partial(change, content))
        household, problems = read.household(book, FRIDAY)
        found = [*problems, *checks.problems(household), *stocks.settle(household)[1]]
        told |= {problem.kind: problem for problem in found if problem.kind == kind}
    by_length = sorted(told.items(), key=lambda each: -len(line(each[1])))
    print("\nthe ten longest messages, by kind of mistake")
    for kind, problem in by_length[:10]:
        print(f"  {kind}: {line(problem)}")
    lengths = sorted(len(line(problem)) for problem in told.values())
    whole = all("!" in problem.where and sentences(problem)[1] for problem in told.values())
    figure = f"{len(told)} of {len(CHANGES)} kinds told; median {lengths[len(lengths) // 2]} characters, longest {lengths[-1]}"
    return Score("newcomer", "one mistake of each kind", "", figure, "each with its cell and what to do", whole and len(told) == len(CHANGES))  # fmt: skip


MOST_TYPED = 25
FILES = ("kitchens", "told")
"""The files of kitchens."""


@dataclass(frozen=True)
class Replayed:
    """What came of one kitchen: answers and cells typed, rounds of check, what was refused, errors left, the plan."""

    typed: int
    rounds: int
    refused: tuple[str, ...]
    errors: tuple[str, ...]
    yes: int
    preserves: int
    lines: int
    seconds: float


def prose(folder: Path, file: str) -> Score:
    """Every kitchen of a file of prose answers `start`, is checked and planned; printed one a line."""
    found = [(one, replay(one, folder / f"{file}{place}.xlsx")) for place, one in enumerate(kitchens(file))]
    print(f"\nten kitchens of {file}.toml, from prose to a first plan")
    for kitchen, one in found:
        print(
            f"  {kitchen['name']}: {one.typed} typed, {one.rounds} rounds, {len(one.refused)} refused "
            f"({kitchen.get('rightly', 0)} of them rightly), {one.yes} of {one.preserves} preserves at yes, "
            f"{one.lines} lines planned, {one.seconds:.1f} s"
        )
        for words in (*one.refused, *one.errors):
            print(f"    {words}")
    most = max(one.typed for _, one in found)
    refused = sum(len(one.refused) - kitchen.get("rightly", 0) for kitchen, one in found)
    errors = sum(kitchen.get("unknown", "\n") not in words for kitchen, one in found for words in one.errors)
    met = most <= MOST_TYPED and not refused and not errors
    rounds = max(one.rounds for _, one in found)
    figure = (
        f"at most {most} answers and cells typed, {rounds} rounds of check, {refused} wrongly refused, {errors} errors"
    )
    goal = f"at most {MOST_TYPED} typed, 0 wrongly refused, 0 errors but what the page does not know"
    return Score("newcomer", f"ten kitchens from prose ({file})", "", figure, goal, met)


def kitchens(file: str = "kitchens") -> list[dict[str, Any]]:
    """The invented kitchens of a file of the data beside this one."""
    path = Path(__file__).with_name("newcomer_data") / f"{file}.toml"
    found: list[dict[str, Any]] = tomllib.loads(path.read_text(encoding="utf-8"))["kitchen"]
    return found


def answered(kitchen: dict[str, Any]) -> tuple[Told, int, list[str]]:
    """
    Answer the questions of `start` as a kitchen's page has it: what was told, how many answers typed, what was refused.

    Of a list of answers the next is typed where one is refused; a question whose last answer is refused is left at its
    default.
    """
    answers, refused = iter(kitchen["answers"]), []
    typed = 0

    def answer(words: str, default: str, read: Callable[[str], object]) -> str:
        nonlocal typed
        given = next(answers)
        for text in given if isinstance(given, list) else [given]:
            typed += bool(text)
            try:
                if text or default:
                    read(text or default)
            except CommandWrong as wrong:
                refused.append(f"{words}: {wrong}")
            else:
                return str(text or default)
        return default

    with patch.object(setup, "asked", answer), contextlib.redirect_stdout(io.StringIO()):
        told = setup.ask(Told())
    return told, typed + len(list(answers)), refused


def replay(kitchen: dict[str, Any], path: Path) -> Replayed:
    """Answer `start` as a kitchen's page has it, type its cells, then check and plan."""
    began = time.monotonic()
    told, typed, refused = answered(kitchen)
    start_workbook(path, filling(told))
    first = kitchen.get("typed_first", ()) if shutil.which("soffice") else ()
    for table, row, heading, value in first:
        type_in(path, ((table, row, {heading: value}),))
    path = saved_by_libreoffice(path, path.parent) if first else path
    reading, rounds = read_workbook(path, datetime.date.today()), 1
    for table, row, heading, value in kitchen.get("cells", ()):
        if not reading.errors or shutil.which("soffice") is None:
            break
        type_in(path, ((table, row, {heading: value}),))
        path = saved_by_libreoffice(path, path.parent)
        reading, rounds = read_workbook(path, datetime.date.today()), rounds + 1
    plan = find_plan(reading)
    return Replayed(
        typed=typed + len(first) + rounds - 1,
        rounds=rounds,
        refused=tuple(refused),
        errors=tuple(line(one) for one in reading.errors),
        yes=sum(item.include or bool(item.refused) for item in reading.household.preserves),
        preserves=len(reading.household.preserves),
        lines=len(plan.tables["Plan"]),
        seconds=time.monotonic() - began,
    )


CAME = "53 lb plum tomato"
"""What came in on the evening of the demo."""


def evening(folder: Path) -> Score:
    """One evening of the demo recorded twice, in one command and in a command for each thing."""
    ours, theirs = folder / "kitchen.xlsx", folder / "each" / "kitchen.xlsx"
    shutil.copyfile(ROOT / "demo" / "tomato_glut.xlsx", ours)
    with contextlib.redirect_stdout(io.StringIO()):
        assert run(["plan", str(ours)]) == 0
    theirs.parent.mkdir()
    shutil.copyfile(ours, theirs)
    lines = open_evening(ours, datetime.date.today()).lines
    answers = ["stillroom evening kitchen.xlsx", *[""] * len(lines), CAME, *[""] * (len(QUESTIONS) - 1), ""]
    day = ["--on", lines[0].day.isoformat()]
    each = [["made", line.name, f"{line.planned:g}", *day] for line in lines] + [["weigh", *CAME.split(" ", 2), *day]]
    commands = [[words[0], "kitchen.xlsx", *words[1:]] for words in each] + [["plan", "kitchen.xlsx"]]
    typed = [" ".join(["stillroom", *(quoted(word) for word in words)]) for words in commands]
    with contextlib.redirect_stdout(io.StringIO()):
        began = time.monotonic()
        assert run(["evening", str(ours), "--as-planned", "--came", CAME]) == 0
        one = time.monotonic() - began
        began = time.monotonic()
        assert not any(run([words[0], str(theirs), *words[2:]]) for words in commands)
        several = time.monotonic() - began
    keys, more = (sum(len(words) + 1 for words in several) for several in (answers, typed))
    figure = f"{len(lines)} lines and a weighing: {keys} keystrokes and {one:.1f} s; by {len(typed)} commands {more} and {several:.1f} s"
    print(f"\nan evening: {figure}")
    return Score("newcomer", "an evening", "", figure, "printed")


if __name__ == "__main__":
    sys.exit(main())
