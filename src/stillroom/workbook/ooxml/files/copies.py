"""
The dated copies of a workbook: the file as it was before a save, the last three kept and what is of another branch.

Beside the workbook lies, hidden, what we last wrote into it as well. If the file that stands there now does not descend
from that, somebody put another copy in its place: it is then kept under a dated name, and said until it is joined with
the workbook (or taken away, by whoever carried over what it has).
"""

from __future__ import annotations

import contextlib
import datetime
import glob
import hashlib
import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

from stillroom.errors import CouldNotWrite
from stillroom.workbook.ooxml.files.history import History, history
from stillroom.workbook.ooxml.files.lock import locked
from stillroom.workbook.ooxml.files.put import put

KEPT, LINE_BREAK = 3, "\n"
FOR_GOOD, APART = "0" * 64, "1" * 64
"""
Stand in the list in place of the digest of a copy that is never dropped.

An APART one is of a branch to be joined; what was put back, or begun anew, gave up the others.
"""


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
    """
    Read the list of our copies, oldest first: digest and name. Lines that make no sense are passed over.

    A name is any that the system has; a line break in one is written as the slash that no name has.
    """
    try:
        text = os.fsdecode(list_name(path).read_bytes())
    except (OSError, UnicodeDecodeError):
        return []
    entries = [line.replace("/", LINE_BREAK).split(" ", 1) for line in text.split(LINE_BREAK) if " " in line]
    return [(digest, name) for digest, name in entries if len(digest) == 64 and name and Path(name).name == name]


def write_list(path: Path, entries: list[tuple[str, str]]) -> None:
    """Write the list of our copies in one step, or take it away when there are none; raises OSError."""
    target = list_name(path)
    if not entries:
        target.unlink(missing_ok=True)
        return
    content = os.fsencode("".join(f"{digest} {name.replace(LINE_BREAK, '/')}\n" for digest, name in entries))
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


def drop_old_copies(path: Path, ids: History) -> None:
    """
    Take away all but the last three copies that a workbook with these ids descends from; none while branches are apart.

    One that was changed since is left and forgotten.
    """
    entries = [(digest, name) for digest, name in listed(path) if os.path.lexists(path.with_name(name))]
    joined = [(digest, name) for digest, name in entries if _is_in(path.with_name(name), ids)]
    old = [one for one in joined if one[0] not in (FOR_GOOD, APART)][:-KEPT]
    if any(one[0] == APART and one not in joined for one in entries):
        old = []
    for digest, name in old:
        copy = path.with_name(name)
        with contextlib.suppress(OSError):
            if copy.is_file() and not copy.is_symlink() and hashlib.sha256(copy.read_bytes()).hexdigest() == digest:
                copy.unlink()
    with contextlib.suppress(OSError):
        write_list(path, [one for one in entries if one not in old])


def _is_in(file: Path, ids: History) -> bool:
    """Whether the state of a file is among the ids."""
    own = history(file)
    return bool(own) and own[0] in ids


# Branches: what we last wrote into a workbook, where another copy is in its place.


class Branches(NamedTuple):
    """The copies to be joined with a workbook, the newest first; and what was written after a copy now put back."""

    apart: tuple[Path, ...] = ()
    given_up: Path | None = None


def last_name(path: Path) -> Path:
    """Name the small hidden file that has the bytes we last wrote into a workbook."""
    return path.with_name(f".{path.name}.last")


def keep_last(path: Path, content: bytes) -> None:
    """Keep the bytes that were just written; where there is no room for them, the ones before stay."""
    with contextlib.suppress(OSError):
        put(last_name(path), lambda file: file.write(content), like=path)


def branches_of(path: Path, content: bytes) -> Branches:
    """
    Give the branches of a workbook that was read as `content`.

    What we last wrote into it is first kept under a dated name, if the workbook does not descend from it; where that
    cannot be done (a folder that may only be read, a full disk), it is named where it is.
    """
    path = Path(os.path.realpath(path))
    if not (listed(path) or history(last_name(path))):
        return Branches()
    if _has_other(path, content):
        with contextlib.suppress(OSError, CouldNotWrite), locked(path):
            if _is_still(path, content):  # else one of our own commands is just writing
                set_aside(path, content, datetime.datetime.now())
    ids, entries = history(content), [(mark, path.with_name(name)) for mark, name in reversed(listed(path))]
    others = [(mark, copy, one) for mark, copy in entries if (one := history(copy)) and one[0] not in ids]
    apart = [(copy, one) for mark, copy, one in others if mark == APART]
    newest = [copy for copy, one in apart if not any(one[0] in other[1:] for _, other in apart)]
    left = _has_other(path, content) and _is_still(path, content)  # in this order: ours is written after the workbook
    if not _is_put_back(path, content):
        return Branches((*[last_name(path)] * left, *newest))
    if left:
        return Branches(tuple(newest), last_name(path))
    return Branches(tuple(newest), next((copy for mark, copy, _ in others if mark == FOR_GOOD), None))


def _has_other(path: Path, content: bytes) -> bool:
    """Whether the workbook does not descend from what we last wrote into it."""
    last = history(last_name(path))
    return bool(last) and last[0] not in history(content)


def _is_still(path: Path, content: bytes) -> bool:
    """Whether a workbook is as it was read."""
    try:
        return path.read_bytes() == content
    except OSError:
        return False


def _is_put_back(path: Path, content: bytes) -> bool:
    """Whether a workbook is the dated copy that the last write kept, as it was."""
    newest = [digest for digest, _ in listed(path) if digest not in (FOR_GOOD, APART)][-1:]
    return newest == [hashlib.sha256(content).hexdigest()]


def set_aside(path: Path, content: bytes, today: datetime.datetime) -> None:
    """
    Keep what we last wrote under a dated name, where a workbook that is locked does not descend from it.

    Raises OSError.
    """
    if _has_other(path, content):
        _keep_dated(path, FOR_GOOD if _is_put_back(path, content) else APART, today)


def begin_anew(path: Path, today: datetime.datetime) -> None:
    """Give up what stands in the list: the workbook of that name is a new one. The copies stay."""
    with contextlib.suppress(OSError):
        if last_name(path).is_file():
            _keep_dated(path, FOR_GOOD, today)
        if listed(path):
            write_list(path, [(FOR_GOOD if mark == APART else mark, name) for mark, name in listed(path)])


def _keep_dated(path: Path, mark: str, today: datetime.datetime) -> None:
    copy = copy_name(path, today)
    write_list(path, [*listed(path), (mark, copy.name)])
    last_name(path).rename(copy)


def common_ancestor(mine: Path, theirs: Path) -> Path | None:
    """
    Return the copy on the disk of the newest state that both workbooks descend from; None without one.

    Looked for among the dated copies of both, what we last wrote into them, and the two themselves. A copy in which
    somebody typed before it was kept is another state, and not taken for the one that was written.
    """
    both = set(history(theirs))
    found = {ids[0]: file for path in (theirs, mine) for file in _states(path) if (ids := history(file))}
    return next((found[one] for one in history(mine) if one in both and one in found), None)


def _states(path: Path) -> Iterator[Path]:
    path = Path(os.path.realpath(path))
    yield from sorted(path.parent.glob(f"{glob.escape(path.stem)}.before-*{path.suffix}"))
    yield last_name(path)
    yield path
