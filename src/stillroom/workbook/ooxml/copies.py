"""The dated copies of a workbook: the file as it was before a save, the last three of ours kept."""

from __future__ import annotations

import contextlib
import datetime
import hashlib
import os
from collections.abc import Callable
from pathlib import Path

from stillroom.workbook.ooxml.put import put

KEPT = 3
FOR_GOOD = "0" * 64
"""Stands in the list in place of the digest of a copy that is never dropped."""


def copy_name(path: Path, today: datetime.datetime) -> Path:
    """
    Give the first free name for a dated copy.

    >>> copy_name(Path("/nowhere/pantry.xlsx"), datetime.datetime(2026, 8, 14, 9, 30)).name
    'pantry.before-2026-08-14-0930.xlsx'
    """
    stamp = today.strftime("%Y-%m-%d-%H%M")
    copy = path.with_name(f"{path.stem}.before-{stamp}{path.suffix}")
    number = 2
    while os.path.lexists(copy):
        copy = path.with_name(f"{path.stem}.before-{stamp}-{number}{path.suffix}")
        number += 1
    return copy


def list_name(path: Path) -> Path:
    """Name the small hidden file that says which dated copies are ours."""
    return path.with_name(f".{path.name}.copies")


def listed(path: Path) -> list[tuple[str, str]]:
    """Read the list of our copies, oldest first: digest and name. Lines that make no sense are passed over."""
    try:
        text = list_name(path).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return []
    entries = [line.split(" ", 1) for line in text.splitlines() if " " in line]
    return [(digest, name) for digest, name in entries if len(digest) == 64 and name and Path(name).name == name]


def write_list(path: Path, entries: list[tuple[str, str]]) -> None:
    """Write the list of our copies in one step, or take it away when there are none; raises OSError."""
    target = list_name(path)
    if not entries:
        target.unlink(missing_ok=True)
        return
    content = "".join(f"{digest} {name}\n" for digest, name in entries).encode("utf-8")
    put(target, lambda file: file.write(content))


def keep_copy(path: Path, copy: Path, digest: str, at: Callable[[str], None] = lambda _: None) -> None:
    """
    Keep the file as it is under its dated name, entering it in the list first; raises OSError.

    A second name for the same bytes is made where the disk can do that; elsewhere the bytes are copied.
    """
    write_list(path, [*listed(path), (digest, copy.name)])
    at("copy listed")
    try:
        os.link(path, copy)
    except FileExistsError:
        raise
    except OSError:
        copy_bytes(path, copy)


def copy_bytes(path: Path, copy: Path) -> None:
    """Make a copy of a file with its mode and times under a name that is free; raises OSError."""
    content, status = path.read_bytes(), path.stat()
    put(copy, lambda file: file.write(content), like=path, fresh=True)
    with contextlib.suppress(OSError):
        os.utime(copy, ns=(status.st_atime_ns, status.st_mtime_ns))


def forget_copy(path: Path, copy: Path | None) -> None:
    """Take back a copy kept for a save that came to nothing, and list entries without a file; raises OSError."""
    if copy is not None:
        copy.unlink(missing_ok=True)
    write_list(path, [(digest, name) for digest, name in listed(path) if os.path.lexists(path.with_name(name))])


def clean_up(path: Path) -> None:
    """
    Put right what a killed save can leave: a copy that is only a second name of the file itself.

    Only files that the list names as ours are touched.
    """
    entries = listed(path)
    kept = []
    for digest, name in entries:
        copy = path.with_name(name)
        with contextlib.suppress(OSError):
            if copy.samefile(path):
                copy.unlink()
                continue
        if os.path.lexists(copy):
            kept.append((digest, name))
    if kept != entries:
        with contextlib.suppress(OSError):
            write_list(path, kept)


def keep_for_good(path: Path, copy: str) -> None:
    """Mark one of our copies as another branch, which no later save drops; raises OSError."""
    entries = [(FOR_GOOD if name == copy else digest, name) for digest, name in listed(path)]
    if entries != listed(path):
        write_list(path, entries)


def drop_old_copies(path: Path) -> None:
    """Take away all but the last three copies and other branches; one that was changed since is left and forgotten."""
    entries = [(digest, name) for digest, name in listed(path) if os.path.lexists(path.with_name(name))]
    branches = [entry for entry in entries if entry[0] == FOR_GOOD]
    ours = [entry for entry in entries if entry[0] != FOR_GOOD]
    for digest, name in ours[:-KEPT]:
        copy = path.with_name(name)
        with contextlib.suppress(OSError):
            if copy.is_file() and not copy.is_symlink() and hashlib.sha256(copy.read_bytes()).hexdigest() == digest:
                copy.unlink()
    stay = {*branches, *ours[-KEPT:]}
    with contextlib.suppress(OSError):
        write_list(path, [entry for entry in entries if entry in stay])
