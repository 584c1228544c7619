"""Troubles of a real machine: two commands on one file, a disk that fills at any byte, a kill at any moment."""

from __future__ import annotations

import atexit
import contextlib
import io
import random
import re
import shutil
import signal
import tempfile
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from openpyxl import load_workbook
from tests import package_linter
from tests.conftest import planned
from tests.forked import Ending, Stop, mount, unmount, watched
from tests.small_kitchen import FRIDAY, build

COULD_NOT_WRITE = 3
DIARY = "Diary"


def two_at_once(path: Path, rounds: int) -> list[str]:
    """Start two commands on one file at the same moment, again and again; what went wrong, in a line each."""
    wrong = []
    words = ["made", path.name, "tomato juice, quart", "1", "--used", "3lb", "--on", "2026-08-14"]
    for number in range(rounds):
        before = rows_of_record(path)
        with ThreadPoolExecutor(2) as pool:
            both = list(pool.map(lambda _: watched(path.parent, words), range(2)))
        done = sum(ending.code == 0 for ending in both)
        for ending in both:
            if ending.code not in (0, COULD_NOT_WRITE) or "Traceback" in ending.err:
                wrong.append(f"round {number}: a command ended with {ending.code}: {ending.err[-200:]}")
            elif ending.code == COULD_NOT_WRITE and not ending.err.strip():
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
        ran = watched(path.parent, ["plan", path.name], largest=limit, cores=1)
        if ran.code != COULD_NOT_WRITE or "Traceback" in ran.err or not ran.err.strip():
            wrong.append(f"files of {limit} bytes: ended with {ran.code}: {ran.err[-300:]}")
        if path.read_bytes() != before:
            wrong.append(f"files of {limit} bytes: the workbook is not as it was")
        left = sorted(other.name for other in path.parent.iterdir() if other != path)
        if left:
            wrong.append(f"files of {limit} bytes: left behind {left}")
    return wrong


# Every command that writes, stopped by a kill or a full disk: what is there afterwards is as it was, or new and whole.

COMMANDS = {
    "start": ["start", "new.xlsx", "--altitude", "440m"],
    "plan": ["plan", "kitchen.xlsx"],
    "plan --out": ["plan", "kitchen.xlsx", "--out", "copy.xlsx", "--csv", "csv", "--model", "first.mps"],
    "adopt": ["adopt", "kitchen.xlsx", "--filled"],
    "adopt --log": ["adopt", "logged.xlsx", "--log", DIARY, "--yes"],
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
    "review": ["review", "planned.xlsx", "--write", "--csv", "csv", "--out", "paper"],
    "next-year": ["next-year", "planned.xlsx", "--out", "next.xlsx"],
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
    "plan-all, two at once": ["plan-all", "two", "--out", "planned", "--workers", "2"],
}
SERVES = ("open",)
"""Runs until it is stopped; what it may lose is tried in tests/web."""
ONLY_READ = ("today", "eat-first", "day", "check", "why", "handbook", "hedge", "garden")
NO_REPLACE = ("start",)
"""Commands that make a file and never take the place of another."""
ONCE = ("start", "undo")
"""Commands that are refused when they are done already."""
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
    for name in ("kitchens", "two", "paper"):
        (folder / name).mkdir(parents=True)
    for name in ("kitchen.xlsx", "logged.xlsx", "kitchens/hill.xlsx", "two/hill.xlsx", "two/valley.xlsx"):
        build(folder / name)
    book = load_workbook(folder / "logged.xlsx")
    for row in (("date", "what", "how much"), (FRIDAY, "tomato", "7 lb"), (FRIDAY, "plum tomato", "9 lb")):
        book[DIARY].append(row) if DIARY in book else book.create_sheet(DIARY).append(row)
    book.save(folder / "logged.xlsx")
    with contextlib.redirect_stdout(io.StringIO()):
        (folder / "planned.xlsx").write_bytes(planned())
    assert watched(folder, ["made", "planned.xlsx", "tomato juice, quart", "3", "--on", "2026-08-14"]).code == 0
    for name in ("diary.txt", "paper/holiday.pdf", "paper/.week.pdf.new"):
        (folder / name).write_text("ours")
    return folder


def furnished(folder: Path) -> Path:
    """A copy of that folder, with one for what is only there for a while."""
    shutil.copytree(household(), folder, dirs_exist_ok=True)
    (folder / "tmp").mkdir(exist_ok=True)
    return folder


def contents(folder: Path) -> dict[str, bytes]:
    """The bytes of every file in a folder, by its path from there."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def seen(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """Those of the files that a household sees."""
    return {name: content for name, content in files.items() if not Path(name).name.startswith(".")}


@dataclass(frozen=True)
class Peace:
    """What a command does in peace: how it ended, the files before and after it, and the most that they took."""

    ending: Ending
    before: Mapping[str, bytes]
    after: Mapping[str, bytes]

    @property
    def made(self) -> frozenset[str]:
        """The files of a household's that were not there before; dated copies have another name each time."""
        return frozenset(name for name in seen(self.after) if name not in self.before and ".before-" not in name)

    @property
    def room(self) -> int:
        """More than it needs on a disk."""
        return sum(len(content) + 4096 for name, content in self.after.items() if content != self.before.get(name)) * 2


@cache
def in_peace(name: str) -> Peace:
    """One of the commands in a folder of its own, with nothing in its way."""
    with tempfile.TemporaryDirectory() as place:
        folder = furnished(Path(place) / "home")
        before = contents(folder)
        ending = watched(folder, COMMANDS[name])
        return Peace(ending, before, contents(folder))


def is_whole(name: str, content: bytes, command: str) -> bool:
    """Whether a file is complete: a workbook by the rules of packages, others by their ending or as made in peace."""
    ending = Path(name).suffix
    if ending == ".xlsx":
        return not package_linter.faults(content)
    if ending in ENDS:
        return content.rstrip().endswith(ENDS[ending])
    return content == in_peace(command).after.get(name)


def lost(before: Mapping[str, bytes], after: Mapping[str, bytes]) -> list[str]:
    """The household's files whose bytes are gone from their place and are in no dated copy."""
    copies = {content for name, content in after.items() if ".before-" in name}
    gone = [name for name, content in seen(before).items() if after.get(name) != content and content not in copies]
    return [f"{name} is lost" for name in gone]


NOTHING = re.compile(r"(?i)nothing (was|is) (changed|written)")


def false_sentences(name: str, ending: Ending, before: Mapping[str, bytes], after: Mapping[str, bytes]) -> list[str]:
    """What a command said of files that is not so, or left unsaid of files that it changed before it failed."""
    old, new, words = seen(before), seen(after), ending.out + ending.err
    changed = [one for one in new if new[one] != old.get(one)]
    if ending.code == 0:
        return [f"it ended well without {one}" for one in sorted(in_peace(name).made - set(new))]
    wrong = [] if words.strip() else ["it failed without a word"]
    if changed and NOTHING.search(words):
        wrong.append(f"it said that nothing was changed, but {changed} were")
    names = [one for one in changed if ".before-" not in one and Path(one).name not in words]
    names = [one for one in names if f" files in {Path(one).parent}" not in words]
    return [*wrong, *(f"it failed and did not say that {one} was written" for one in names)]


def aftermath(name: str, folder: Path, before: Mapping[str, bytes]) -> list[str]:
    """After a command was stopped: what is lost, half written, or does not go well when the command runs again."""
    after = contents(folder)
    if after == before:
        return []
    wrong = lost(before, after)
    for one, content in seen(after).items():
        if content != before.get(one) and not is_whole(one, content, name):
            wrong.append(f"{one} is half written")
    is_done = any(content != before.get(one) for one, content in seen(after).items() if ".before-" not in one)
    if is_done and name in ONCE:
        return wrong
    again = watched(folder, COMMANDS[name], cores=1)
    after = contents(folder)
    if again.code:
        wrong.append(f"the next run ends with {again.code}: {again.err[-300:]}")
    wrong += [
        f"after the next run {line}" for line in (*lost(before, after), *false_sentences(name, again, before, after))
    ]
    left = [one for one in after if one.endswith((".new", ".in-use")) or one.startswith("tmp/")]
    return [*wrong, *(f"{one} is left behind" for one in left if one not in before)]


def stopped_at_any_moment(folder: Path, name: str, seed: int, how: signal.Signals = signal.SIGKILL) -> list[str]:
    """
    Stop one of the commands: mostly at one of its changes of files or just after it, else at any moment.

    By Ctrl-C it ends in true words.
    """
    furnished(folder)
    before, peace, chance = contents(folder), in_peace(name).ending, random.Random(f"{name} {seed} {how.name}")
    if chance.random() < AT_A_STEP or how == signal.SIGINT:  # at any moment it could come before the command begins
        stop = Stop(how, chance.randint(1, peace.steps), chance.choice((0.0, 0.0, chance.uniform(0, 0.004))))
    else:
        stop = Stop(how, None, chance.uniform(0.1, 1.0) * peace.seconds)
    ending = watched(folder, COMMANDS[name], stop=stop)
    wrong = ["processes of it go on"] if ending.left_running else []
    if how == signal.SIGINT:
        if ending.code not in (0, STOPPED) or "Traceback" in ending.err:
            wrong.append(f"it ended with {ending.code}: {ending.err[-300:]}")
        wrong += false_sentences(name, ending, before, contents(folder))
    return [f"{name}, {stop}: {line}" for line in (*wrong, *aftermath(name, folder, before))]


AT_A_STEP = 0.75
STOPPED = 130


def full_disk_of(folder: Path, name: str, share: float, *, disk: bool = False) -> list[str]:
    """
    Let one of the commands have but a share of the room it needs; it ends in true words.

    That is a disk of its own, else no file may grow beyond so many bytes.
    """
    peace = in_peace(name)
    used, most = sum(-(-len(content) // 4096) + 2 for content in peace.before.values()) * 4096, int(peace.room * share)
    folder.mkdir()
    if disk:
        mount(folder, PLENTY)
    try:
        furnished(folder)
        before = contents(folder)
        if disk:
            mount(folder, used + most, again=True)
        ending = watched(folder, COMMANDS[name], largest=None if disk else most, cores=1)
        wrong = [] if ending.code in (0, COULD_NOT_WRITE) else [f"it ended with {ending.code}: {ending.err[-300:]}"]
        wrong += ["it ended in a traceback"] if "Traceback" in ending.err else []
        wrong += false_sentences(name, ending, before, contents(folder))
        left = [one for one in contents(folder) if one.endswith(".new") and one not in before]
        wrong += [f"{one} is left behind" for one in left]
        if disk:
            mount(folder, PLENTY, again=True)
        wrong += aftermath(name, folder, before)
    finally:
        if disk:
            unmount(folder)
    return [f"{name}, {'a disk' if disk else 'files'} of {most} bytes: {line}" for line in wrong]


PLENTY = 64 << 20


# What of the household's own lies where a command writes, as a file or behind a link.


def outputs(name: str) -> tuple[str, ...]:
    """The files that one of the commands makes in a folder without them."""
    return tuple(sorted(in_peace(name).made))


def hidden(name: str) -> tuple[str, ...]:
    """The hidden files that one of the commands has at the end, or a lock while it works."""
    peace = in_peace(name)
    own = {one for one in peace.after if Path(one).name.startswith(".") and peace.after[one] != peace.before.get(one)}
    return tuple(sorted(own | {f".{Path(word).name}.in-use" for word in COMMANDS[name] if word.endswith(".xlsx")}))


def own_file_in_the_way(folder: Path, name: str, output: str, *, replace: bool) -> list[str]:
    """Put a file of the household's where a command writes: it is refused, or with `--replace` kept as a dated copy."""
    furnished(folder)
    own = folder / output
    own.parent.mkdir(parents=True, exist_ok=True)
    own.write_bytes(b"our own " + output.encode())
    before = contents(folder)
    ran = _ran(folder, name, replace=replace)
    kept = b"our own " + output.encode() in contents(folder).values()
    wrong = _wrong(ran, f"{name} with our own {output}")
    if not kept:
        wrong.append(f"{name}: our own {output} is lost")
    if not replace and ran.code != COULD_NOT_WRITE:
        wrong.append(f"{name}: our own {output} is not refused")
    if not replace and own.name not in ran.out + ran.err:
        wrong.append(f"{name}: {output} is refused and not named: {ran.err[-200:]}")
    return wrong + [
        f"{name} with our own {output}: {line}" for line in false_sentences(name, ran, before, contents(folder))
    ]


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


def link_for_a_hidden_file(folder: Path, name: str, place: str) -> list[str]:
    """Put a link to a file of the household's where a command has a hidden file: nothing is written through it."""
    furnished(folder)
    link, diary = folder / place, folder / "diary.txt"
    link.parent.mkdir(parents=True, exist_ok=True)
    link.unlink(missing_ok=True)
    link.symlink_to(diary)
    before = contents(folder)
    ran = _ran(folder, name, replace=False)
    wrong = _wrong(ran, f"{name} with a link as {place}")
    wrong += [f"{name} with a link as {place}: {line}" for line in false_sentences(name, ran, before, contents(folder))]
    return wrong if diary.read_bytes() == b"ours" else [*wrong, f"{name}: wrote through the link {place}"]


def _ran(folder: Path, name: str, *, replace: bool) -> Ending:
    return watched(folder, [*COMMANDS[name], *(["--replace"] if replace else [])])


def _wrong(ran: Ending, what: str) -> list[str]:
    if ran.code in (0, COULD_NOT_WRITE) and "Traceback" not in ran.err:
        return []
    return [f"{what}: ended with {ran.code}: {ran.err[-200:]}"]
