"""Files that can be made again from a workbook: only bytes that we put there ourselves are replaced."""

from __future__ import annotations

import contextlib
import datetime
import hashlib
import json
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import IO

from stillroom.errors import CouldNotWrite
from stillroom.workbook.ooxml.files.copies import copy_bytes, copy_name, keep_last, last_name
from stillroom.workbook.ooxml.files.put import NO_FOLLOW, put

# What we put into a folder, in a small hidden file of it: a line for each time, with the digest of the bytes, the name
# and what it was made of. A line is added before the file is moved into place, so that after a kill the bytes of one of
# the last two of a name are there.

LIST = ".stillroom"
LAST, MOST_LINES = 2, 2000


Known = Mapping[str, Sequence[tuple[str, str]]]
"""What we put into a folder: by the name of a file the digest of its bytes, and what it was made of."""


def digest_of(content: bytes) -> str:
    """Give the digest of a file's bytes, in hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def remembered(folder: Path) -> Known:
    """Read what we put into a folder, the last one last. Odd lines are passed over."""
    found: dict[str, list[tuple[str, str]]] = {}
    with contextlib.suppress(OSError, UnicodeDecodeError):
        descriptor = os.open(folder / LIST, os.O_RDONLY | NO_FOLLOW)
        with os.fdopen(descriptor, encoding="ascii") as file:
            for line in file:
                with contextlib.suppress(ValueError):
                    digest, name, made_of = map(str, json.loads(line))
                    found.setdefault(name, []).append((digest, made_of))
    return found


def remember(path: Path, digest: str, made_of: str = "") -> None:
    """Add to the list of the folder that a file gets these bytes, and what they are made of; raises OSError."""
    flags = os.O_WRONLY | os.O_APPEND | os.O_CREAT | NO_FOLLOW
    with os.fdopen(os.open(path.with_name(LIST), flags, 0o666), "ab") as file:
        line = json.dumps([digest, path.name, made_of])
        file.write(f"\n{line}\n".encode("ascii"))  # a line that was cut short ends here
    known = remembered(path.parent)
    if sum(map(len, known.values())) > MOST_LINES + LAST * len(known):
        shorten(path.parent)


def shorten(folder: Path) -> None:
    """Write the list of a folder anew with the last digests of each name only; raises OSError."""
    entries = [(digest, name, of) for name, puts in remembered(folder).items() for digest, of in puts[-LAST:]]
    content = "".join(f"{json.dumps(entry)}\n" for entry in entries).encode("ascii")
    put(folder / LIST, lambda file: file.write(content), like=folder / LIST)


def is_ours(path: Path, known: Known | None = None, made_of: str | None = None) -> bool:
    """
    Whether a file has the bytes that we last put there; a link to another never has. Raises OSError.

    With `made_of` whether they were made of that.
    """
    puts = (remembered(path.parent) if known is None else known).get(path.name, ())[-LAST:]
    if not puts or path.is_symlink() or not path.is_file():
        return False
    digest = digest_of(path.read_bytes())
    return any(one == digest and made_of in (None, of) for one, of in puts)


def refuse_strangers(paths: Iterable[Path]) -> None:
    """
    Raise CouldNotWrite, naming it, for the first path where something stands that is not ours unchanged.

    An empty file may be replaced.
    """
    folders: dict[Path, Known] = {}
    for path in paths:
        known = folders.setdefault(path.parent, remembered(path.parent))
        if path.is_dir():
            msg = f"{path} is a folder; choose another name, or move it away"
            raise CouldNotWrite(msg)
        if os.path.lexists(path) and not _is_empty(path) and not is_ours(path, known):
            raise CouldNotWrite(stranger_words(path))


def stranger_words(path: Path) -> str:
    """Say that a file is in the way, and each way out."""
    return (
        f"{path} is there already and may hold something of your own, so it was left as it is. Choose another "
        "place, move the file away, or add --replace: a dated copy of it is then kept"
    )


def _is_empty(path: Path) -> bool:
    return path.is_file() and not path.is_symlink() and not path.stat().st_size


def put_output(
    path: Path,
    fill: Callable[[IO[bytes]], object],
    *,
    replace: bool = False,
    check: Callable[[bytes], None] = lambda _: None,
    today: datetime.datetime | None = None,
    made_of: str = "",
) -> Path | None:
    """
    Put a file that can be made again from a workbook; gives the dated copy of what stood there, if that was needed.

    `check` is given the new bytes and may refuse them. What is not ours unchanged is refused, or with `replace` kept
    as a dated copy, which is never dropped; `made_of` is remembered. Raises OSError and CouldNotWrite; nothing was
    changed then.
    """
    copies: list[Path] = []

    def ready(new: bytes) -> None:
        check(new)
        if os.path.lexists(path) and not path.is_dir() and not _is_same(path, new):
            try:
                refuse_strangers([path])
            except CouldNotWrite:
                if not replace:
                    raise
                copies.append(keep_beside(path, today or datetime.datetime.now()))
        if not (_is_same(path, new) and is_ours(path, made_of=made_of)):
            remember(path, digest_of(new), made_of)

    def undo() -> None:
        for copy in copies:
            if os.path.lexists(path):
                copy.unlink()

    like = path if path.is_file() and not path.is_symlink() else None
    put(path, fill, like=like, ready=ready, undo=undo)
    with contextlib.suppress(OSError):
        if last_name(path).is_file():  # a workbook that our commands wrote into, replaced because they were told to
            keep_last(path, path.read_bytes())
    return copies[0] if copies else None


def _is_same(path: Path, new: bytes) -> bool:
    return path.is_file() and not path.is_symlink() and path.read_bytes() == new


def keep_beside(path: Path, today: datetime.datetime) -> Path:
    """Keep a file, or a link as the link it is, under a dated name as well; raises OSError."""
    copy = copy_name(path, today)
    if path.is_symlink():
        copy.symlink_to(path.readlink())
        return copy
    copy_bytes(path, copy)
    return copy
