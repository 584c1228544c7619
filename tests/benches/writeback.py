"""
What writing into a household's workbook costs and keeps: `python3 tests/bench.py writeback [--quick]`.

Side by side in one run, each piece of work in a process of its own: a thousand cells into 100,000 rows of 20, and a
plan into a workbook of ten sheets with charts, against loading and saving the same with openpyxl; a plan beside an
unrelated sheet of 100,000 rows. Then the whole corpus: members, cell values in other readers, refusals. Then kills: at
every step of a save the process is ended, and what lies there must be the old file or the new one, whole. `--quick`
takes one round of each and an eighth of the corpus.
"""

from __future__ import annotations

import argparse
import json
import shutil
import subprocess
import sys
import tempfile
import textwrap
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from tests import package_linter
from tests.benches.scores import Score, write_scores
from tests.workbook import measured
from tests.workbook.corpus import by_libreoffice, compare, moving_in
from tests.workbook.engine import conftest as by_parts
from tests.workbook.engine.test_saving import KILLED, STEPS

from stillroom.errors import StillroomError
from stillroom.workbook.ooxml.book import Book

ROOT = Path(__file__).resolve().parents[2]
READER = ROOT / "tests" / "workbook" / "corpus" / "read_values.py"


def main(words: Sequence[str] | None = None) -> int:
    """Run the whole bench; 1 when something was lost, else 0."""
    parser = argparse.ArgumentParser(description="Time and check the write-back.")
    parser.add_argument("--quick", action="store_true", help="one round of each, an eighth of the corpus")
    parser.add_argument("--corpus", action="store_true", help="only the corpus")
    parser.add_argument("--scores", type=Path, help="also write the figures there, for the scoreboard")
    chosen = parser.parse_args(words)
    quick = chosen.quick
    with tempfile.TemporaryDirectory() as folder:
        scores = [] if chosen.corpus else show_times(Path(folder), quick=quick)
        lost, figure = show_corpus(Path(folder), quick=quick)
        scores.append(
            Score(
                "writeback",
                "corpus of workbooks moved into",
                "",
                figure,
                "0 members and 0 values different, 0 rules broken",
                lost == 0,
            )
        )
        broken = 0 if chosen.corpus else show_kills(Path(folder))
        if not chosen.corpus:
            figure = f"{len(STEPS) - broken} of {len(STEPS)}"
            scores.append(Score("writeback", "killed at every step of a save", "", figure, "all whole", broken == 0))
    if chosen.scores:
        write_scores(chosen.scores, scores)
    return 1 if lost or broken else 0


class Measured(NamedTuple):
    """The best of several rounds, for other work disturbs: seconds by the clock and of its own work; most megabytes."""

    seconds: float
    worked: float
    megabytes: float


def side_by_side(works: tuple[str, str], path: Path, rounds: tuple[int, int], turns: int) -> list[Measured]:
    """Measure two pieces of work that take turns, so that what disturbs one disturbs the other."""
    seen: list[list[Measured]] = [[], []]
    for _ in range(turns):
        for place, work in enumerate(works):
            seen[place].append(measure(work, path, rounds[place]))
    return [
        Measured(min(m.seconds for m in one), min(m.worked for m in one), max(m.megabytes for m in one)) for one in seen
    ]


def measure(work: str, path: Path, rounds: int = 1) -> Measured:
    """Measure one piece of work in a process of its own."""
    command = [
        sys.executable,
        "-m",
        "tests.workbook.measured",
        work,
        str(path),
        str(path.with_name("out.xlsx")),
        str(rounds),
    ]
    ran = subprocess.run(command, check=True, capture_output=True, text=True, cwd=ROOT)
    seen = json.loads(ran.stdout)
    return Measured(min(seen["seconds"]), min(seen["worked"]), seen["megabytes"])


def show_times(folder: Path, *, quick: bool) -> list[Score]:
    """The rows of the table: ours, load-and-save, and how many times."""
    scores = []
    measure("made_files", folder)
    demo = folder / "demo.xlsx"
    shutil.copyfile(ROOT / "demo" / "tomato_glut.xlsx", demo)
    print(
        f"{'work, verified, the best of several rounds; ms':62} {'ours':>9} {'load+save':>10} {'faster':>7} {'work':>7} {'of it':>7} {'less':>6} {'MB':>5} {'MB':>5} {'of it':>6}"
    )
    few, season, years = measured.FEW_ROWS, measured.SEASON_ROWS, measured.YEARS_ROWS
    rows = (
        (f"{measured.EDITS:,} cells into {measured.ROWS:,} x {measured.COLUMNS}", folder / "large.xlsx", "large", (1, 1) if quick else (3, 1), 1),
        ("a plan of 50 lines, a demo household (12 sheets, charts)", demo, "plan", (5, 3) if quick else (25, 5), 3),
        (f"the same, ten more sheets with charts, of {few} rows of 4 cells", folder / "household.xlsx", "plan", (5, 3) if quick else (25, 5), 3),
        (f"the same, of {season} rows of 8 cells", folder / "season.xlsx", "plan", (5, 3) if quick else (25, 3), 3),
        (f"the same, of {years:,} rows of 8 cells", folder / "years.xlsx", "plan", (3, 1) if quick else (9, 1), 2),
    )  # fmt: skip
    for words, path, work, rounds, turns in rows:
        works = f"{work}_by_splicing", f"{work}_by_loading"
        ours, theirs = side_by_side(works, path, rounds, 1 if quick else turns)
        clock = f"{ours.seconds * 1000:6.1f} ms {theirs.seconds * 1000:7.0f} ms {theirs.seconds / ours.seconds:6.1f}x"
        work_done = f"{ours.worked * 1000:7.1f} {theirs.worked * 1000:7.0f} {theirs.worked / ours.worked:5.1f}x"
        memory = f"{ours.megabytes:5.0f} {theirs.megabytes:5.0f} {ours.megabytes / theirs.megabytes:6.2f}"
        print(f"{words:62} {clock} {work_done} {memory}", flush=True)
        scores.append(written(words, work, ours, theirs))
    measure("plan_by_splicing", demo)
    shutil.move(folder / "out.xlsx", folder / "planned.xlsx")
    again = measure("again_by_splicing", folder / "planned.xlsx", 5 if quick else 25)
    print(f"{'one line of that plan changed':62} {again.seconds * 1000:6.1f} ms")
    alone = measure("whole_plan", folder / "household.xlsx", 3 if quick else 9)
    beside = measure("whole_plan", folder / "beside.xlsx", 1 if quick else 3)
    words = "plan but for the solver, beside an unrelated 100,000 rows"
    more = f"{beside.seconds - alone.seconds:.2f} s more, {beside.worked - alone.worked:.2f} s of it work"
    print(
        f"{words:62} {beside.seconds:6.2f} s; alone {alone.seconds:.2f} s: {more} ({beside.megabytes:.0f} MB)\n",
        flush=True,
    )
    within = beside.worked - alone.worked <= 1.5
    scores.append(Score("writeback", words, f"alone {alone.seconds:.2f} s", more, "at most 1.5 s more", within))
    return scores


def written(words: str, work: str, ours: Measured, theirs: Measured) -> Score:
    """One row of the table as a line of the scoreboard, by the work of the process."""
    times, share = theirs.worked / ours.worked, ours.megabytes / theirs.megabytes
    figure = f"{ours.worked * 1000:.1f} ms, {times:.1f} times faster, {share:.2f} of the memory"
    if work == "large":
        goal, met = "10 times, a third of the memory", times >= 10 and share <= 1 / 3
    else:
        goal, met = "15 times, under 30 ms", times >= 15 and ours.worked < 0.030
    return Score("writeback", words, f"load and save {theirs.worked * 1000:.0f} ms", figure, goal, met)


def show_corpus(folder: Path, *, quick: bool) -> tuple[int, str]:
    """Move into every workbook of the corpus and count; gives how many lost something, and the count in words."""
    makers = dict(moving_in.cases())
    counts: Counter[str] = Counter()
    for name in list(makers)[:: 8 if quick else 1]:
        one(name, moving_in.made(name, fresh(folder)), counts)
    if shutil.which("soffice") is not None:
        for name, source in by_libreoffice.SOURCES.items():
            here = fresh(folder)
            (here / "saved").mkdir()
            one(
                f"libreoffice {name}",
                by_libreoffice.convert(source(here), "xlsx", here / "saved", folder / "profile"),
                counts,
            )
    print(f"corpus: {counts['workbooks']} workbooks, {counts['refused']} refused")
    print(f"  members that are theirs and differ: {counts['members']}")
    print(f"  rules of packages broken: {counts['faults']}")
    for reader in ("calamine", "openpyxl"):
        unread = (
            f"; {counts[f'{reader} unread']} workbooks it cannot read as they were"
            if counts[f"{reader} unread"]
            else ""
        )
        print(
            f"  cells that are theirs, in {reader}: {counts[reader]:,} compared, {counts[f'{reader} different']} different{unread}"
        )
    print(flush=True)
    lost = counts["members"] + counts["faults"] + counts["calamine different"] + counts["openpyxl different"]
    compared = counts["calamine"] + counts["openpyxl"]
    return (
        lost,
        f"{counts['workbooks']} workbooks, {counts['refused']} refused, {lost} differences, {compared:,} values compared",
    )


def fresh(folder: Path) -> Path:
    """An empty folder for one workbook."""
    return Path(tempfile.mkdtemp(dir=folder))


def one(name: str, path: Path, counts: Counter[str]) -> None:
    """Move into one workbook, compare it, and add to the counts; says what is wrong or refused."""
    counts["workbooks"] += 1
    out = path.with_name(f"after{path.suffix}")
    try:
        moved = moving_in.move_in(path, out)
    except StillroomError as error:
        counts["refused"] += 1
        print(f"  refused: {name}: {error}")
        return
    for line in compare.differences(moved.before, moved.after, moved.owned):
        counts["members"] += 1
        print(f"  {name}: {line}")
    for line in sorted(package_linter.faults(out.read_bytes()) - package_linter.faults(path.read_bytes())):
        counts["faults"] += 1
        print(f"  {name} breaks a rule of packages: {line}")
    owned = path.with_name("owned.json")
    owned.write_text(json.dumps({sheet: sorted(cells) for sheet, cells in moved.owned.items()}))
    for reader in ("calamine", "openpyxl"):
        command = [sys.executable, str(READER), reader, str(path), str(out), str(owned)]
        ran = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
        seen = json.loads(ran.stdout.splitlines()[-1])
        counts[reader] += seen["compared"]
        counts[f"{reader} unread"] += "unread" in seen
        if "unread" in seen:
            print(f"  {name}, {reader} cannot read it as it was: {seen['unread']}")
        counts[f"{reader} different"] += len(seen["different"])
        for line in seen["different"]:
            print(f"  {name}, {reader}: {line}")


def show_kills(folder: Path) -> int:
    """End the process at every step of a save; gives how many files were neither the old nor the new one."""
    here = fresh(folder)
    path = by_parts.pack(here / "pantry.xlsx", by_parts.Hand.plan_parts())
    old = path.read_bytes()
    book = Book.open(path)
    book.set("Plan", 4, 4, 99)
    book.save(path.with_name("new.xlsx"))
    new = path.with_name("new.xlsx").read_bytes()
    broken = 0
    for step in STEPS:
        path.write_bytes(old)
        ran = subprocess.run(
            [sys.executable, "-c", textwrap.dedent(KILLED), str(path), step], check=False, capture_output=True, cwd=ROOT
        )
        whole = path.read_bytes() in (old, new) and ran.returncode == -9
        Book.open(path)
        broken += not whole
        if not whole:
            print(f"  killed at {step!r}: not whole, or not killed")
    print(f"kills: {len(STEPS) - broken} of {len(STEPS)} points: the old or the new file, whole")
    return broken


if __name__ == "__main__":
    sys.exit(main())
