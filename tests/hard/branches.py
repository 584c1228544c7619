"""Random histories of two copies of a workbook, in two folders: is another branch always noticed, and nothing lost?"""

from __future__ import annotations

import random
import re
import shutil
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from openpyxl import load_workbook
from tests.small_kitchen import FRIDAY, build

from stillroom.app.record import journal
from stillroom.workbook.writer.notices import another_branch

Line = tuple[int, ...]
"""The numbers of the weighings that were written one after another: one state comes from another if it begins so."""
WEIGHED = re.compile(rb"<v>11(\d{3})(?:\.0)?</v>")


@dataclass
class Copy:
    """One of the two: its file, what is in it, what our command last wrote there, and what is to be joined with it."""

    path: Path
    line: Line = ()
    last: Line | None = None
    newest: Path | None = None
    apart: dict[str, Line] = field(default_factory=dict)


def complaints(seed: int, folder: Path, office: Callable[[Path], None] | None = None, steps: int = 12) -> list[str]:
    """Live through one history; what went wrong, in a line each. `office` has LibreOffice open a file and save it."""
    chance = random.Random(seed)
    copies = []
    for name in ("ours", "theirs"):
        (folder / name).mkdir(parents=True)
        copies.append(Copy(build(folder / name / "kitchen.xlsx")))
    wrong: list[str] = []
    written: set[int] = set()
    for step in range(steps):
        mine, other = chance.sample(copies, 2)
        what = chance.choices(
            ("weigh", "copy", "back", "type", "away", "office"), (10, 5, 2, 2, 1, 2 if office else 0)
        )[0]
        if what == "weigh":
            number = len(written)
            entry = journal.weigh(mine.path, "plum tomato", f"{11000 + number} lb", None, FRIDAY)
            written.add(number)
            mine.line = mine.last = (*mine.line, number)
            mine.newest = entry.receipt.backup
        elif what == "copy":
            shutil.copyfile(other.path, mine.path)
            mine.line = other.line
        elif what == "back" and mine.newest is not None:
            before = {number for number in mine.line if number in weighed_in(mine.newest)}
            shutil.copyfile(mine.newest, mine.path)
            mine.line = mine.line[: len(before)] if before < set(mine.line) else mine.line
        elif what == "type":
            book = load_workbook(mine.path)
            book["Lids"]["C2"] = 100 + step
            book.save(mine.path)
        elif what == "away" and mine.apart:
            (mine.path.parent / "away").mkdir(exist_ok=True)
            name = chance.choice(sorted(mine.apart))
            mine.path.with_name(name).rename(mine.path.parent / "away" / name)
            del mine.apart[name]
        elif what == "office" and office is not None:
            office(mine.path)
        wrong += [f"history {seed}, step {step} ({what}): {one}" for one in noticed(mine)]
    return [*wrong, *(f"history {seed}: {one}" for one in lost(folder, written))]


def noticed(copy: Copy) -> list[str]:
    """Whether just the branches that are there are said, and each with a copy that is there."""
    content = copy.path.read_bytes()
    is_new = copy.last is not None and copy.line[: len(copy.last)] != copy.last
    is_back = is_new and copy.newest is not None and content == copy.newest.read_bytes()
    problems = another_branch(copy.path, content)
    wrong = [f"{one.names[1]} is not there" for one in problems if not copy.path.with_name(one.names[1]).is_file()]
    named = {one.names[1] for one in problems if one.kind == "another branch"}
    if is_new and copy.last is not None:
        if not is_back and len(named - copy.apart.keys()) != 1:
            wrong.append("another branch is not noticed")
        copy.apart |= dict.fromkeys(named - copy.apart.keys(), copy.last)
        copy.last = None
    if is_back and "copy put back" not in [one.kind for one in problems]:
        wrong.append("a copy that was put back is not noticed")
    open_ones = {name: line for name, line in copy.apart.items() if copy.line[: len(line)] != line}
    newest = {
        name
        for name, line in open_ones.items()
        if not any(len(one) > len(line) and one[: len(line)] == line for one in open_ones.values())
    }
    return wrong if named == newest else [*wrong, f"named as branches: {sorted(named)}; there are {sorted(newest)}"]


def weighed_in(path: Path) -> set[int]:
    """The numbers of the weighings in a workbook."""
    with zipfile.ZipFile(path) as whole:
        sheets = [whole.read(name) for name in whole.namelist() if name.startswith("xl/worksheets/")]
    return {int(number) for sheet in sheets for number in WEIGHED.findall(sheet)}


def lost(folder: Path, written: set[int]) -> list[str]:
    """The weighings that no file on the disk has."""
    files = [path for path in folder.rglob("*kitchen*") if path.suffix == ".xlsx" or path.name.endswith(".last")]
    gone = written.difference(*(weighed_in(path) for path in files))
    return [f"weighing {number} is off the disk" for number in sorted(gone)]
