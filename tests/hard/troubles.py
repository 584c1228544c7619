"""Troubles of a real machine: two commands on one file, a disk that fills at any byte, a kill at any moment."""

from __future__ import annotations

import atexit
import contextlib
import io
import os
import random
import resource
import shutil
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable
from functools import cache
from pathlib import Path

from openpyxl import load_workbook
from tests.conftest import planned
from tests.small_kitchen import build

COULD_NOT_WRITE = 3


def two_at_once(path: Path, rounds: int) -> list[str]:
    """Start two commands on one file at the same moment, again and again; what went wrong, in a line each."""
    wrong = []
    for number in range(rounds):
        made = ["made", str(path), "tomato juice, quart", "1", "--used", "3lb", "--on", "2026-08-14"]
        before = rows_of_record(path)
        both = [subprocess.Popen([sys.executable, "-m", "stillroom", *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for words in (made, made)]  # fmt: skip
        ended = [(process.communicate(), process.returncode) for process in both]
        done = sum(code == 0 for _, code in ended)
        for (_, err), code in ended:
            if code not in (0, COULD_NOT_WRITE) or "Traceback" in err:
                wrong.append(f"round {number}: a command ended with {code}: {err[-200:]}")
            elif code == COULD_NOT_WRITE and not err.strip():
                wrong.append(f"round {number}: a command that could not write says nothing")
        if done == 0:
            wrong.append(f"round {number}: neither command got through")
        if rows_of_record(path) != before + done:
            wrong.append(f"round {number}: {done} commands said they wrote; {rows_of_record(path) - before} rows came")
    return wrong


def rows_of_record(path: Path) -> int:
    """Rows in the household's record."""
    book = load_workbook(path, read_only=True)
    if "Record" not in book.sheetnames:
        return 0
    return sum(1 for row in book["Record"].iter_rows(values_only=True) if row[1] == "tomato juice, quart")


def full_disk(path: Path, steps: int) -> list[str]:
    """Let no file grow beyond so many bytes, from none to what a plan needs; what went wrong, in a line each."""
    before = path.read_bytes()
    wrong = []
    for step in range(steps):
        limit = len(before) * step // steps
        command = [sys.executable, "-m", "stillroom", "plan", str(path)]
        ran = subprocess.run(command, capture_output=True, text=True, check=False, preexec_fn=lambda most=limit: limited(most))  # fmt: skip
        if ran.returncode != COULD_NOT_WRITE or "Traceback" in ran.stderr or not ran.stderr.strip():
            wrong.append(f"files of {limit} bytes: ended with {ran.returncode}: {ran.stderr[-300:]}")
        if path.read_bytes() != before:
            wrong.append(f"files of {limit} bytes: the workbook is not as it was")
        left = sorted(other.name for other in path.parent.iterdir() if other != path)
        if left:
            wrong.append(f"files of {limit} bytes: left behind {left}")
    return wrong


def limited(most: int) -> None:
    """No file of this process grows beyond so many bytes."""
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))


# Every command that writes, stopped by a kill or a full disk: what is there afterwards is as it was, or new and whole.

COMMANDS = {
    "start": ["start", "new.xlsx", "--altitude", "440m"],
    "plan": ["plan", "kitchen.xlsx"],
    "plan --out": ["plan", "kitchen.xlsx", "--out", "copy.xlsx", "--csv", "csv", "--model", "first.mps"],
    "adopt": ["adopt", "kitchen.xlsx", "--filled"],
    "add": ["add", "kitchen.xlsx", "peaches"],
    "suppose": ["suppose", "kitchen.xlsx", "lids +4", "--out", "supposed.xlsx"],
    "weigh": ["weigh", "kitchen.xlsx", "plum tomato", "3lb", "--on", "2026-08-14"],
    "ate": ["ate", "planned.xlsx", "tomato juice, quart", "1", "--on", "2026-08-14"],
    "gave": ["gave", "planned.xlsx", "tomato juice, quart", "1", "--on", "2026-08-14"],
    "spoiled": ["spoiled", "kitchen.xlsx", "plum tomato", "2lb", "--on", "2026-08-14"],
    "surplus": ["surplus", "kitchen.xlsx", "plum tomato", "2lb", "--on", "2026-08-14"],
    "undo": ["undo", "planned.xlsx"],
    "evening": ["evening", "planned.xlsx", "--as-planned", "--came", "plum tomato 3 lb"],
    "catch-up": ["catch-up", "planned.xlsx", "--yes", "--on", "2026-08-16"],
    "merge": ["merge", "kitchen.xlsx", "planned.xlsx", "--take", "both"],
    "review": ["review", "planned.xlsx", "--write", "--csv", "csv"],
    "bought": ["bought", "kitchen.xlsx", "lid", "12", "--on", "2026-08-14"],
    "stock": ["stock", "planned.xlsx", "--csv", "csv"],
    "yields": ["yields", "planned.xlsx", "--csv", "csv"],
    "made": ["made", "kitchen.xlsx", "tomato juice, quart", "1", "--on", "2026-08-14"],
    "winter": ["winter", "planned.xlsx", "--write", "--csv", "csv"],
    "tonight": ["tonight", "planned.xlsx", "--write", "--csv", "csv"],
    "bottlenecks": ["bottlenecks", "kitchen.xlsx", "--write", "--csv", "csv"],
    "pages": ["pages", "planned.xlsx", "--out", "paper", "--only", "sheets", "--only", "calendar"],
    "pictures": ["pages", "planned.xlsx", "--out", "paper", "--only", "pictures", "--only", "labels"],
    "labels": ["labels", "planned.xlsx", "--out", "paper"],
    "season": ["season", "planned.xlsx", "--draws", "2", "--out", "pictures", "--csv", "csv"],
    "plan-all": ["plan-all", "kitchens", "--out", "planned", "--workers", "1"],
}
SERVES = ("open",)
"""Runs until it is stopped; what it may lose is tried in tests/web."""
ONLY_READ = ("today", "eat-first", "day", "check", "why", "handbook", "hedge")
NO_REPLACE = ("start",)
"""Commands that make a file and never take the place of another."""
ENDS = {
    ".pdf": b"%%EOF",
    ".html": b"</html>",
    ".svg": b"</svg>",
    ".png": b"IEND\xaeB`\x82",
    ".ics": b"END:VCALENDAR",
    ".mps": b"ENDATA",
}


@cache
def household() -> Path:
    """A folder that is there as long as the process: a workbook, one with its plan, and a folder of workbooks."""
    keeper = tempfile.TemporaryDirectory()
    atexit.register(keeper.cleanup)
    folder = Path(keeper.name) / "home"
    (folder / "kitchens").mkdir(parents=True)
    (folder / "paper").mkdir()
    for path in (folder / "kitchen.xlsx", folder / "kitchens" / "hill.xlsx"):
        build(path)
    with contextlib.redirect_stdout(io.StringIO()):
        (folder / "planned.xlsx").write_bytes(planned())
    words = ["made", "planned.xlsx", "tomato juice, quart", "3", "--on", "2026-08-14"]
    subprocess.run([sys.executable, "-m", "stillroom", *words], cwd=folder, check=True, stdout=subprocess.DEVNULL)
    for name in ("diary.txt", "paper/holiday.pdf", "paper/.week.pdf.new"):
        (folder / name).write_text("ours")
    return folder


def furnished(folder: Path) -> Path:
    """A copy of that folder."""
    shutil.copytree(household(), folder)
    return folder


def contents(folder: Path) -> dict[str, bytes]:
    """The bytes of every file in a folder, by its path from there."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def is_whole(name: str, content: bytes, folder: Path) -> bool:
    """Whether a file is complete, as far as its ending tells."""
    path = Path(name)
    if path.suffix == ".xlsx":
        with zipfile.ZipFile(folder / name) as found:
            return found.testzip() is None
    return content.rstrip().endswith(ENDS.get(path.suffix, b""))


def stopped(folder: Path, words: list[str], run: Callable[[list[str]], None]) -> list[str]:
    """Run a command that is stopped, then the same in peace; what was lost or is left half written, in a line each."""
    before = contents(folder)
    run([sys.executable, "-m", "stillroom", *words])
    wrong, after = [], contents(folder)
    for name, content in before.items():
        copies = {one for other, one in after.items() if ".before-" in other}
        if after.get(name) != content and not Path(name).name.startswith(".") and content not in copies:
            wrong.append(f"{words}: {name} is lost")
    for name, content in after.items():
        if content != before.get(name) and not Path(name).name.startswith(".") and not is_whole(name, content, folder):
            wrong.append(f"{words}: {name} is half written")
    if words[0] == "start" and (folder / words[1]).exists():
        return wrong
    ran = subprocess.run([sys.executable, "-m", "stillroom", *words], cwd=folder, capture_output=True, text=True, check=False)  # fmt: skip
    if ran.returncode:
        wrong.append(f"{words}: afterwards it ends with {ran.returncode}: {ran.stderr[-200:]}")
    left = [name for name in contents(folder) if name.endswith((".new", ".in-use")) and name not in before]
    return [*wrong, *(f"{words}: {name} is left behind" for name in left)]


def killed_at_any_moment(folder: Path, name: str, seed: int) -> list[str]:
    """Kill one of the commands at some moment of its last half, where it writes."""
    furnished(folder)
    chance = random.Random(f"{name} {seed}")

    def run(words: list[str]) -> None:
        with subprocess.Popen(words, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
            time.sleep(chance.uniform(0.3, 2.5))
            process.kill()

    return stopped(folder, COMMANDS[name], run)


def full_disk_of(folder: Path, name: str, most: int) -> list[str]:
    """Let no file of one of the commands grow beyond so many bytes; it ends in words."""
    furnished(folder)
    said: list[str] = []

    def run(words: list[str]) -> None:
        ran = subprocess.run(words, cwd=folder, capture_output=True, text=True, check=False, preexec_fn=lambda: limited(most))  # fmt: skip
        if ran.returncode not in (0, 1, COULD_NOT_WRITE) or "Traceback" in ran.stderr:
            said.append(f"{name}, files of {most} bytes: ended with {ran.returncode}: {ran.stderr[-300:]}")

    return [*stopped(folder, COMMANDS[name], run), *said]


# What of the household's own lies where a command writes, as a file or behind a link.


@cache
def outputs(name: str) -> tuple[str, ...]:
    """The files that one of the commands makes in a folder without them."""
    with tempfile.TemporaryDirectory() as place:
        folder = furnished(Path(place) / "home")
        before = contents(folder)
        subprocess.run(
            [sys.executable, "-m", "stillroom", *COMMANDS[name]], cwd=folder, capture_output=True, check=False
        )
        made = set(contents(folder)) - set(before)
    return tuple(sorted(one for one in made if not Path(one).name.startswith(".") and ".before-" not in one))


def own_file_in_the_way(folder: Path, name: str, output: str, *, replace: bool) -> list[str]:
    """Put a file of the household's where a command writes: it is refused, or with `--replace` kept as a dated copy."""
    furnished(folder)
    own = folder / output
    own.parent.mkdir(parents=True, exist_ok=True)
    own.write_bytes(b"our own " + output.encode())
    ran = _ran(folder, name, replace=replace)
    kept = b"our own " + output.encode() in contents(folder).values()
    wrong = _wrong(ran, f"{name} with our own {output}")
    if not kept:
        wrong.append(f"{name}: our own {output} is lost")
    if not replace and ran.returncode != COULD_NOT_WRITE:
        wrong.append(f"{name}: our own {output} is not refused")
    if not replace and own.name not in ran.stdout + ran.stderr:
        wrong.append(f"{name}: {output} is refused and not named: {ran.stderr[-200:]}")
    return wrong


def link_in_the_way(folder: Path, name: str, output: str, *, replace: bool) -> list[str]:
    """Put a link to a file of the household's where a command writes: as it would be itself, it is refused or kept."""
    furnished(folder)
    link, diary = folder / output, folder / "diary.txt"
    link.parent.mkdir(parents=True, exist_ok=True)
    link.symlink_to(diary)
    ran = _ran(folder, name, replace=replace)
    wrong = _wrong(ran, f"{name} with a link as {output}")
    copies = [path.read_bytes() for path in folder.rglob("diary.before-*")] if replace else []
    kept = diary.read_bytes() == b"ours" or b"ours" in copies
    return wrong if kept else [*wrong, f"{name}: wrote through the link {output}"]


def _ran(folder: Path, name: str, *, replace: bool) -> subprocess.CompletedProcess[str]:
    words = [*COMMANDS[name], *(["--replace"] if replace else [])]
    return subprocess.run([sys.executable, "-m", "stillroom", *words], cwd=folder, capture_output=True, text=True, check=False)  # fmt: skip


def _wrong(ran: subprocess.CompletedProcess[str], what: str) -> list[str]:
    if ran.returncode in (0, COULD_NOT_WRITE) and "Traceback" not in ran.stderr:
        return []
    return [f"{what}: ended with {ran.returncode}: {ran.stderr[-200:]}"]
