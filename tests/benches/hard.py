"""
How hard to break: `python3 tests/bench.py hard [--workbooks 100000] [--zips 100000] [--quick] [--scores FILE]`.

Random workbooks through `check` and `plan`; damaged zips and XML parts through moving in; kills at every step of a
save; a disk that fills at any byte; two commands at once on one file; random histories of two copies; the four demos through LibreOffice and back; the
tests in environments with the oldest and the newest packages, on each Python that is on this machine. The counts here
are what fits into some minutes; larger ones run by the same command.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import tomllib
import warnings
from collections import Counter
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from tests import forked
from tests.benches.scores import Score, write_scores
from tests.hard import branches, ordeal, round_trip, troubles
from tests.small_kitchen import build

ROOT = Path(__file__).resolve().parents[2]
PYTHONS = ("3.11", "3.12", "3.13", "3.14")


def main(words: Sequence[str] | None = None) -> int:
    """Run every part; 1 when something broke, else 0."""
    parser = argparse.ArgumentParser(description="Try to break it.")
    parser.add_argument("--workbooks", type=int, default=2000, help="random workbooks (2,000)")
    parser.add_argument("--kills", type=int, default=300, help="kills, spread over every command that writes (300)")
    parser.add_argument("--sizes", type=int, default=30, help="sizes of a full disk for each of these commands (30)")
    parser.add_argument("--zips", type=int, default=2000, help="damaged files (2,000)")
    parser.add_argument(
        "--only",
        action="append",
        help="only this part: workbooks, zips, kills, disk, killed, interrupted, full, in the way, two, histories, office, packages, known",
    )
    parser.add_argument("--command", action="append", help="killed, interrupted, full, in the way: this command only")
    parser.add_argument(
        "--room", choices=("disk", "files"), help="full: only a disk of its own, or only a limit of files"
    )
    parser.add_argument("--pythons", default=",".join(PYTHONS), help="for packages: the Pythons, commas between them")
    parser.add_argument("--scores", type=Path, help="also write the figures there, for the scoreboard")
    chosen = parser.parse_args(words)
    names = chosen.command or list(troubles.COMMANDS)
    parts: dict[str, Callable[[], list[Score]]] = {
        "workbooks": lambda: workbooks(chosen.workbooks),
        "zips": lambda: zips(chosen.zips),
        "kills": kills,
        "disk": disk,
        "killed": lambda: stopped(names, chosen.kills, signal.SIGKILL),
        "interrupted": lambda: stopped(names, chosen.kills, signal.SIGINT),
        "full": lambda: full_disks(names, chosen.sizes, chosen.room),
        "in the way": lambda: in_the_way(names),
        "two": two,
        "histories": lambda: histories(200),
        "office": office,
        "packages": lambda: packages(chosen.pythons.split(",")),
        "known": known,
    }
    scores: list[Score] = []
    for name, part in parts.items():
        if not chosen.only or name in chosen.only:
            found = part()
            scores += found
            for each in found:
                print(each.line(), flush=True)
    if chosen.scores:
        write_scores(chosen.scores, scores)
    return int(any(each.met is False for each in scores))


def workbooks(count: int) -> list[Score]:
    """Random workbooks through `check` and `plan`."""
    codes: Counter[int] = Counter()
    wrong = 0
    with multiprocessing.Pool() as pool:
        for lines, code in pool.imap_unordered(one_workbook, range(count), 25):
            codes[code] += 1
            wrong += bool(lines)
            for line in lines:
                print(line[:400], flush=True)
    figure = f"{count:,}: {codes[0]:,} planned, {codes[1]:,} stopped with reasons, {wrong} wrong"
    return [Score("hard", "random workbooks through check and plan", "", figure, "no traceback, no cell passed over, no file changed", wrong == 0)]  # fmt: skip


def one_workbook(number: int) -> tuple[list[str], int]:
    """One random workbook, in a folder of its own."""
    warnings.simplefilter("ignore")
    with tempfile.TemporaryDirectory() as folder:
        return ordeal.complaints(number, Path(folder))


def zips(count: int) -> list[Score]:
    """Damaged workbooks, by the bench that knows them."""
    ran = subprocess.run([sys.executable, str(ROOT / "tests/benches/fuzz.py"), "--count", str(count)], capture_output=True, text=True, check=False, cwd=ROOT)  # fmt: skip
    last = ran.stdout.strip().splitlines()[-1] if ran.stdout.strip() else ran.stderr[-200:]
    return [
        Score("hard", "damaged zips and XML parts", "", last, "a named refusal or a right result", ran.returncode == 0)
    ]


def kills() -> list[Score]:
    """The process ended at every step of a save."""
    from tests.benches.writeback import STEPS, show_kills

    with tempfile.TemporaryDirectory() as folder:
        broken = show_kills(Path(folder))
    whole, tried = len(STEPS) - broken, len(STEPS)
    return [Score("hard", "killed at every step of a save", "", f"{whole} of {tried} whole", "all", whole == tried)]


def stopped(names: Sequence[str], count: int, how: signal.Signals) -> list[Score]:
    """Every command that writes, stopped by a signal at many moments, most of them at a change of a file."""
    wrong = []
    for number in range(count):
        name = names[number % len(names)]
        with tempfile.TemporaryDirectory() as folder:
            found = troubles.stopped_at_any_moment(Path(folder) / "home", name, number // len(names), how)
        wrong += shown(found, f"{how.name} {number + 1} of {count}", number)
    words = f"{count} times {'a kill' if how == signal.SIGKILL else 'Ctrl-C'} over {len(names)} commands that write"
    goal = "0 lost, 0 half files, 0 false sentences, the next run goes well"
    return [Score("hard", words, "", f"{len(wrong)} wrong", goal, not wrong, "; ".join(wrong[:2]))]


def full_disks(names: Sequence[str], sizes: int, room: str | None = None) -> list[Score]:
    """Every command that writes, on a disk with little room: a real one where there can be, and by a limit of files."""
    scores = []
    for disk in (True, False)[room == "files" or not forked.may_mount() : 1 if room == "disk" else 2]:
        wrong = []
        for at, name in enumerate(names):
            for number in range(sizes):
                with tempfile.TemporaryDirectory() as folder:
                    found = troubles.full_disk_of(Path(folder) / "home", name, number / sizes, disk=disk)
                wrong += shown(found, f"{name}: {at * sizes + number + 1} of {sizes * len(names)}", number)
        words = f"{'a full disk' if disk else 'files that may not grow'} at {sizes} sizes for {len(names)} commands that write"  # fmt: skip
        goal = "0 lost, 0 half files, 0 false sentences, the next run goes well"
        scores.append(Score("hard", words, "", f"{len(wrong)} wrong", goal, not wrong, "; ".join(wrong[:2])))
    return scores


def shown(found: list[str], where: str, number: int) -> list[str]:
    """Print what went wrong, and now and then how far it is."""
    for line in found:
        print(line[:1000], flush=True)
    if number % 10 == 0:
        print(f"  {where}", file=sys.stderr, flush=True)
    return found


def in_the_way(names: Sequence[str]) -> list[Score]:
    """A file of the household's, or a link to one, where each command writes; with `--replace` and without."""
    tried, wrong = 0, []
    for name in names:
        takes_replace = name not in troubles.NO_REPLACE
        cases = [
            partial(trouble, name=name, output=output, replace=replace)
            for output in troubles.outputs(name)
            for trouble in (troubles.own_file_in_the_way, troubles.link_in_the_way)
            for replace in (False, True)[: 1 + takes_replace]
        ]
        cases += [partial(troubles.link_for_a_hidden_file, name=name, place=place) for place in troubles.hidden(name)]
        for case in cases:
            tried += 1
            with tempfile.TemporaryDirectory() as folder:
                wrong += shown(case(Path(folder) / "home"), f"{name}: {tried}", tried)
    figure = f"{tried} tried, {len(wrong)} wrong"
    return [Score("hard", "own files and planted links where every command writes", "", figure, "0 lost, 0 written through a link", not wrong, "; ".join(wrong[:2]))]  # fmt: skip


def disk() -> list[Score]:
    """A disk that fills at any byte of a save."""
    with tempfile.TemporaryDirectory() as folder:
        wrong = troubles.full_disk(build(Path(folder) / "kitchen.xlsx"), steps=20)
    return [Score("hard", "no file may grow beyond n bytes, 20 sizes", "", f"{len(wrong)} wrong", "the file as it was, said, nothing left", not wrong, "; ".join(wrong[:2]))]  # fmt: skip


def two() -> list[Score]:
    """Two commands at once on one file."""
    with tempfile.TemporaryDirectory() as folder:
        wrong = troubles.two_at_once(build(Path(folder) / "kitchen.xlsx"), rounds=20)
    return [Score("hard", "two commands at once on one file, 20 rounds", "", f"{len(wrong)} wrong", "none loses the other's work", not wrong, "; ".join(wrong[:2]))]  # fmt: skip


def histories(count: int) -> list[Score]:
    """Random histories of two copies of a workbook; every tenth goes through LibreOffice now and then."""
    with multiprocessing.Pool() as pool:
        wrong = [line for lines in pool.imap_unordered(one_history, range(count)) for line in lines]
    return [Score("hard", f"{count} histories of two copies of a workbook", "", f"{len(wrong)} wrong", "every branch is noticed, no weighing off the disk", not wrong, "; ".join(wrong[:2]))]  # fmt: skip


def one_history(number: int) -> list[str]:
    """One history, in a folder of its own."""
    warnings.simplefilter("ignore")
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:

        def saved(path: Path) -> None:
            shutil.copyfile(round_trip.saved_by_libreoffice(path, Path(folder) / "office"), path)

        by_office = saved if number % 10 == 0 and shutil.which("soffice") else None
        return branches.complaints(number, Path(folder), by_office, steps=20)


def office() -> list[Score]:
    """The four demos through LibreOffice and back."""
    if shutil.which("soffice") is None:
        return [Score("hard", "the demos through LibreOffice and back", "", "LibreOffice is not installed", "same plan, nothing stale")]  # fmt: skip
    warnings.simplefilter("ignore")
    wrong = []
    names = sorted(path.stem for path in (ROOT / "demo").glob("*.xlsx"))
    for name in names:
        with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
            wrong += round_trip.round_trip(name, Path(folder))
    return [Score("hard", "the demos through LibreOffice and back", "", f"{len(names)} demos, {len(wrong)} differences", "same plan, nothing stale", not wrong, "; ".join(wrong[:2]))]  # fmt: skip


def packages(pythons: Sequence[str] = PYTHONS) -> list[Score]:
    """The tests with the oldest packages that the project names, and with the newest, on each of these Pythons."""
    scores = []
    old = [(PYTHONS[0], True)] if PYTHONS[0] in pythons else []
    for version, oldest in (*old, *((other, False) for other in pythons)):
        python = next((each for each in (by_pyenv(version), shutil.which(f"python{version}")) if each), None)
        words = f"tests on Python {version} with the {'oldest' if oldest else 'newest'} packages"
        if python is None:
            scores.append(Score("hard", words, "", f"Python {version} is not on this machine", "all pass"))
            continue
        figure, passed = tests_in(python, oldest=oldest)
        print(f"  {words}: {figure}", flush=True)
        scores.append(Score("hard", words, "", figure, "all pass", passed))
    return scores


def by_pyenv(version: str) -> str | None:
    """A Python kept by pyenv, in the usual place."""
    found = sorted((Path.home() / ".pyenv" / "versions").glob(f"{version}.*/bin/python"))
    return str(found[-1]) if found else None


def lowest() -> list[str]:
    """The oldest version of each package that a household needs; the tools of the tests are the newest."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = [*project["dependencies"], *project["optional-dependencies"]["cluster"]]
    found = [re.fullmatch(r"([\w-]+)>=([\w.]+)", each) for each in named]
    return sorted(f"{each[1]}=={each[2]}" for each in found if each is not None)


def tests_in(python: str, *, oldest: bool) -> tuple[str, bool]:
    """Run the tests in an environment made for it; the last line they print, and whether all passed."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        subprocess.run([python, "-m", "venv", home / "env"], check=True)
        copy = home / "stillroom"
        shutil.copytree(
            ROOT,
            copy,
            ignore=shutil.ignore_patterns(".venv", ".git", ".benchmarks", "*.egg-info", "__pycache__", "out"),
        )
        environment = str(home / "env" / "bin" / "python")
        install = [environment, "-m", "pip", "install", "-q", "--disable-pip-version-check", "-e", f"{copy}[test]"]
        if oldest:
            (home / "oldest.txt").write_text("\n".join(lowest()))
            install += ["-c", str(home / "oldest.txt")]
        made = subprocess.run(install, capture_output=True, text=True, check=False)
        if made.returncode:
            return f"cannot be installed: {made.stderr.strip().splitlines()[-1][:200]}", False
        command = [environment, "-m", "pytest", "-q", "-n", "2", "-m", "not slow", "-p", "no:randomly"]
        ran = subprocess.run(command, capture_output=True, text=True, check=False, cwd=copy, env=os.environ | {"PYTHONDONTWRITEBYTECODE": "1"})  # fmt: skip
        lines = ran.stdout.strip().splitlines()
        for line in lines:
            if line.startswith(("FAILED", "ERROR")):
                print("  ", line[:300], flush=True)
        return (lines[-1] if lines else ran.stderr[-200:]).strip("= "), ran.returncode == 0


def known() -> list[Score]:
    """Known faults of the packages that are installed, by pip-audit, where it can reach a list of them."""
    words = "known faults of the packages"
    ran = subprocess.run([sys.executable, "-m", "pip_audit", "--format", "json", "--timeout", "10"], capture_output=True, text=True, check=False, cwd=ROOT)  # fmt: skip
    try:
        found = json.loads(ran.stdout)["dependencies"]
    except (ValueError, KeyError):
        why = (ran.stderr.strip().splitlines() or ["pip-audit is not installed"])[-1][:160]
        return [Score("hard", words, "", "not checked: the list of known faults cannot be reached from here", "none", None, why)]  # fmt: skip
    seen = [each for each in found if "skip_reason" not in each]
    if not seen:
        why = "the package index that is reached from here keeps no list of known faults"
        return [
            Score(
                "hard", words, "", f"not checked: none of {len(found)} packages could be looked up", "none", None, why
            )
        ]
    faults = [f"{each['name']} {fault['id']}" for each in found for fault in each.get("vulns", [])]
    return [
        Score(
            "hard",
            words,
            "",
            f"{len(seen)} of {len(found)} packages looked up, {len(faults)} faults",
            "none",
            not faults,
            "; ".join(faults[:5]),
        )
    ]


if __name__ == "__main__":
    sys.exit(main())
