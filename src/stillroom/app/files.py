"""Files that can be made again: put in their place in one step, and never over what is not ours unchanged."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import IO

from stillroom.errors import CommandWrong, CouldNotWrite
from stillroom.household.text import format_list
from stillroom.reports.problems import line
from stillroom.workbook.ooxml.files.outputs import put_output, refuse_strangers
from stillroom.workbook.ooxml.files.put import alone, moved, why_not
from stillroom.workbook.writer.notices import another_branch

__all__ = [
    "alone",
    "begin",
    "branch_lines",
    "put_all",
    "refuse_copy",
    "refuse_folder",
    "refuse_other_ending",
    "why_not",
    "written_before",
]


def put_all(folder: Path, files: Sequence[tuple[Path, bytes]], *, replace: bool = False) -> list[Path]:
    """
    Write files into a folder, which is made; gives their paths.

    What is not as we last wrote it is refused before anything is written, or with `replace` kept as a dated copy.
    Raises CouldNotWrite.
    """
    try:
        if not replace:
            refuse_strangers(path for path, _ in files)
        folder.mkdir(parents=True, exist_ok=True)
        for path, content in files:
            path.parent.mkdir(parents=True, exist_ok=True)
            put_output(path, partial(written_in, content), replace=replace)
    except OSError as error:
        msg = f"{folder} cannot be written to: {why_not(error)}"
        raise CouldNotWrite(msg) from error
    return [path for path, _ in files]


def written_in(content: bytes, file: IO[bytes]) -> None:
    """Write all of a file."""
    file.write(content)


# What a copy of a workbook may be called: with its ending, and not by the name of something of the household's
# own.

ENDINGS = (".xlsx", ".xlsm", ".xltx", ".xltm")


def refuse_folder(path: Path, example: str) -> None:
    """
    Raise CommandWrong for a folder where a file is to be written.

    >>> refuse_folder(Path("/"), "planned.xlsx")
    Traceback (most recent call last):
    stillroom.errors.CommandWrong: / is a folder. Type a file name too, such as /planned.xlsx.
    """
    if path.is_dir():
        msg = f"{path} is a folder. Type a file name too, such as {path / example}."
        raise CommandWrong(msg)


def refuse_other_ending(path: Path, copy: Path | None) -> None:
    """
    Raise CommandWrong for a folder, or for an ending that is not that of the workbook, which its content stays true to.

    >>> refuse_other_ending(Path("kitchen.xlsx"), Path("planned.xlsx"))
    >>> refuse_other_ending(Path("kitchen.xlsx"), Path("planned.ods"))
    Traceback (most recent call last):
    stillroom.errors.CommandWrong: planned.ods should end in .xlsx, as kitchen.xlsx does
    """
    ending = path.suffix.lower()
    if copy is not None:
        refuse_folder(copy, f"planned{ending}")
    if copy is not None and ending in ENDINGS and copy.suffix.lower() != ending:
        msg = f"{copy.name} should end in {ending}, as {path.name} does"
        raise CommandWrong(msg)


def refuse_copy(path: Path, copy: Path | None, *, replace: bool = False) -> None:
    """Raise CommandWrong for another ending, CouldNotWrite where something stands that is not as we last wrote it."""
    refuse_other_ending(path, copy)
    if copy is not None and not replace and not (path.exists() and copy.exists() and copy.samefile(path)):
        try:
            refuse_strangers([copy.resolve()])
        except OSError as error:
            msg = f"{copy} cannot be written: {why_not(error)}"
            raise CouldNotWrite(msg) from error


MANY = 3
"""More files than that in one folder are named by the folder."""


def begin() -> None:
    """Forget which files were written before: another command begins."""
    moved.clear()


def written_before() -> str:
    """Return in a sentence which files a command wrote before it failed or was stopped; blank when it wrote none."""
    folders: dict[Path, list[Path]] = {}
    for path in dict.fromkeys(moved):
        if not path.name.startswith("."):
            folders.setdefault(path.parent, []).append(path)
    names = [
        name
        for folder, paths in folders.items()
        for name in ([f"{len(paths)} files in {folder}"] if len(paths) > MANY else [one.name for one in paths])
    ]
    return f"Written before that: {format_list(names)}." if names else ""


def branch_lines(place: Path) -> list[str]:
    """Say, of a workbook or of each in a folder, that another copy is in the place of what was last written there."""
    paths = sorted(place.glob("*.xlsx")) if place.is_dir() else [place]
    lines = []
    for path in paths:
        with contextlib.suppress(OSError):
            found = another_branch(path, path.read_bytes())
            lines += [f"{'Warning' if problem.severe else 'Note'}: {line(problem)}" for problem in found]
    return lines
