"""Putting a new workbook in the place of the old one, so that at every moment one of the two is whole."""

from __future__ import annotations

import contextlib
import datetime
import errno
import hashlib
import os
import shutil
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from stillroom.errors import CouldNotWrite
from stillroom.household.results.commands import Receipt
from stillroom.workbook.ooxml.edits import Written
from stillroom.workbook.ooxml.verify import package as verify

# The dated copies of a workbook: the file as it was before a save, the last two of ours kept.

KEPT = 2


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
    beside = target.with_name(target.name + "-new")
    beside.write_text("".join(f"{digest} {name}\n" for digest, name in entries), encoding="utf-8")
    beside.replace(target)


def keep_copy(path: Path, copy: Path, digest: str) -> None:
    """
    Keep the file as it is under its dated name, entering it in the list first; raises OSError.

    A second name for the same bytes is made where the disk can do that; elsewhere the bytes are copied.
    """
    write_list(path, [*listed(path), (digest, copy.name)])
    reached("copy listed")
    try:
        os.link(path, copy)
    except FileExistsError:
        raise
    except OSError:
        beside = copy.with_name(f".{copy.name}.copying")
        try:
            shutil.copy2(path, beside)
            with beside.open("rb+") as file:
                os.fsync(file.fileno())
            beside.rename(copy)
        finally:
            beside.unlink(missing_ok=True)


def forget_copy(path: Path, copy: Path | None) -> None:
    """Take back a copy kept for a save that came to nothing, and list entries without a file; raises OSError."""
    if copy is not None:
        copy.unlink(missing_ok=True)
    write_list(path, [(digest, name) for digest, name in listed(path) if os.path.lexists(path.with_name(name))])


def clean_up(path: Path) -> None:
    """
    Put right what a killed save can leave: a copy that is only a second name of the file itself, and half-made copies.

    Only files that the list names as ours are touched.
    """
    entries = listed(path)
    kept = []
    with contextlib.suppress(OSError):
        list_name(path).with_name(list_name(path).name + "-new").unlink(missing_ok=True)
    for digest, name in entries:
        copy = path.with_name(name)
        with contextlib.suppress(OSError):
            copy.with_name(f".{name}.copying").unlink(missing_ok=True)
            if copy.samefile(path):
                copy.unlink()
                continue
        if os.path.lexists(copy):
            kept.append((digest, name))
    if kept != entries:
        with contextlib.suppress(OSError):
            write_list(path, kept)


def drop_old_copies(path: Path) -> None:
    """Take away all but the last two copies; one that was changed since is left alone and forgotten."""
    entries = [(digest, name) for digest, name in listed(path) if os.path.lexists(path.with_name(name))]
    for digest, name in entries[:-KEPT]:
        copy = path.with_name(name)
        with contextlib.suppress(OSError):
            if copy.is_file() and not copy.is_symlink() and hashlib.sha256(copy.read_bytes()).hexdigest() == digest:
                copy.unlink()
    with contextlib.suppress(OSError):
        write_list(path, entries[-KEPT:])


_REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your share of the disk is full",
    errno.EACCES: "you may not write there; choose another folder",
    errno.EPERM: "you may not write there; choose another folder",
    errno.EROFS: "that disk can only be read; choose another folder",
    errno.EBUSY: "another program holds the file",
    errno.EEXIST: "a file of that name is there; name a folder",
    errno.ENOTDIR: "this is a file; name a folder",
    errno.EISDIR: "a folder has this name; move the folder or choose another name",
    errno.ENAMETOOLONG: "the name is too long",
    errno.ETXTBSY: "another program holds the file",
    errno.EXDEV: "this folder cannot replace a file in one step",
    errno.ENOTSUP: "this folder cannot replace a file in one step",
    errno.ENOENT: "there is no such folder",
}
_WINDOWS_REASONS = {
    5: "you may not write there, or another program holds the file",
    32: "another program holds the file",
}
_WINDOWS_REASONS |= {33: "another program holds the file", 112: "the disk is full", 39: "the disk is full"}


def reached(step: str) -> None:
    """Mark a step of a save; it does nothing, and the tests stop the program here."""


def save_workbook(
    source_path: Path, source: bytes, written: Written, out: Path | None, today: datetime.datetime | None
) -> Receipt:
    """
    Save; raises CouldNotWrite with nothing changed.

    ``out`` None, or the workbook itself, replaces it and keeps a dated copy. Steps: look for locks, compare with what
    was read, write beside, flush, verify, compare again, keep the dated copy, replace, flush the folder, drop old
    copies.
    """
    target = Path(os.path.realpath(source_path if out is None else out))
    in_place = out is None or (target.exists() and source_path.exists() and target.samefile(source_path))
    with _plain_reasons(target):
        if in_place:
            return _replace(target, source, written, today or datetime.datetime.now())
        return _write_out(target, source, written)


@contextlib.contextmanager
def _plain_reasons(target: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise CouldNotWrite(f"{target.name}: {why_not(error)}; nothing was changed") from error


def why_not(error: OSError) -> str:
    """
    Say why the system refused to read or write a file or a folder.

    >>> why_not(FileExistsError(errno.EEXIST, "File exists")), why_not(OSError("odd"))
    ('a file of that name is there; name a folder', 'odd')
    """
    windows = _WINDOWS_REASONS.get(getattr(error, "winerror", None) or 0)
    return windows or _REASONS.get(error.errno or 0) or error.strerror or str(error) or "the system refused"


def _receipt(target: Path, written: Written, backup: Path | None, *, saved: bool) -> Receipt:
    package = written.package
    names = [member.name for member in package.container.members]
    touched = set(package.changed) | package.dropped
    return Receipt(
        path=target,
        members_kept=sum(name not in touched for name in names),
        members_changed=tuple(name for name in names if name in package.changed),
        members_added=tuple(package.added),
        cells_written=written.cells_written,
        results_cleared=written.results_cleared,
        backup=backup,
        members_dropped=tuple(sorted(package.dropped)),
        cleared_to_be_safe=written.cleared_to_be_safe,
        written=saved,
    )


def _replace(target: Path, source: bytes, written: Written, today: datetime.datetime) -> Receipt:
    clean_up(target)
    if not written.changed:
        with contextlib.suppress(OSError):
            _take_lock(target)[1].close()
            beside_name(target).unlink(missing_ok=True)
        return _receipt(target, written, None, saved=False)
    _refuse_locked(target)
    reached("locks looked for")
    _refuse_changed(target, source)
    reached("compared with what was read")
    beside, file = _take_lock(target)
    copy: Path | None = None
    try:
        with file:
            reached("lock taken")
            new = _write(file, written, target)
            _verify(source, new, written, target)
            _refuse_locked(target)
            _refuse_changed(target, source)
            reached("compared again")
            name = copy_name(target, today)
            keep_copy(target, name, hashlib.sha256(source).hexdigest())
            copy = name
            reached("copy kept")
            _put_in_place(file, beside, target)
    except BaseException:
        with contextlib.suppress(OSError):
            if beside.exists():  # else the new file is in its place
                forget_copy(target, copy)
                beside.unlink()
        raise
    reached("replaced")
    _flush_folder(target)
    reached("folder flushed")
    drop_old_copies(target)
    reached("old copies dropped")
    return _receipt(target, written, copy, saved=True)


def _write_out(target: Path, source: bytes, written: Written) -> Receipt:
    _refuse_locked(target)
    beside, file = _take_lock(target)
    try:
        with file:
            reached("lock taken")
            new = _write(file, written, None)
            _verify(source, new, written, target)
            _put_in_place(file, beside, target)
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)
        raise
    reached("replaced")
    _flush_folder(target)
    return _receipt(target, written, None, saved=True)


def _put_in_place(file: IO[bytes], beside: Path, target: Path) -> None:
    if os.name == "nt":
        file.close()  # Windows does not rename an open file
    beside.replace(target)


def beside_name(target: Path) -> Path:
    """Name the file that a workbook is written to before it takes its place."""
    return target.with_name(f".{target.name}.being-written")


def _take_lock(target: Path) -> tuple[Path, IO[bytes]]:
    """Open the file beside for us alone; what a killed save left there is written over."""
    beside = beside_name(target)
    descriptor = os.open(
        beside, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0), 0o600
    )
    file = os.fdopen(descriptor, "r+b")
    try:
        import fcntl
    except ImportError:
        return beside, file
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        file.close()
        raise CouldNotWrite(
            f"{target.name} is just being written by another run; wait for it, then try again"
        ) from None
    except OSError:
        pass  # a network folder without locks
    return beside, file


def _write(file: IO[bytes], written: Written, like: Path | None) -> bytes:
    """Write the new file, flushed to the disk, with the mode and owner of the old one; gives its bytes as read back."""
    file.truncate(0)
    reached("opened beside")
    pieces = written.package.pieces()
    written.package.let_go()
    for number, piece in enumerate(pieces):
        file.write(piece)
        if number == len(pieces) // 2:
            file.flush()
            reached("half written")
    file.flush()
    reached("written")
    if like is not None:
        _copy_mode(file.fileno(), like)
    elif hasattr(os, "fchmod"):
        os.fchmod(file.fileno(), _mode_of_new_files())
    reached("mode kept")
    os.fsync(file.fileno())
    reached("flushed")
    file.seek(0)
    return file.read()


def _mode_of_new_files() -> int:
    """
    Return the permissions that a new file gets, found by making one and removing it.

    The umask that decides them can only be read by setting it, for every thread of the process at once.
    """
    with tempfile.TemporaryDirectory() as folder:
        descriptor = os.open(Path(folder) / "new", os.O_CREAT | os.O_WRONLY, 0o666)
        try:
            return stat.S_IMODE(os.fstat(descriptor).st_mode)
        finally:
            os.close(descriptor)


def _copy_mode(descriptor: int, like: Path) -> None:
    status = like.stat()
    if hasattr(os, "fchown"):
        with contextlib.suppress(PermissionError):
            os.fchown(descriptor, -1, status.st_gid)
        with contextlib.suppress(PermissionError):
            os.fchown(descriptor, status.st_uid, -1)
    if hasattr(os, "fchmod"):
        os.fchmod(descriptor, status.st_mode & 0o7777)
    if hasattr(os, "listxattr"):
        with contextlib.suppress(OSError):
            for name in os.listxattr(like):
                with contextlib.suppress(OSError):
                    os.setxattr(descriptor, name, os.getxattr(like, name))


def _verify(source: bytes, new: bytes, written: Written, target: Path) -> None:
    complaints = verify.complaints(source, new, written.claims)
    reached("verified")
    if complaints:
        raise CouldNotWrite(f"{target.name}: the check of the new file failed ({complaints[0]}); nothing was changed")


def _refuse_locked(target: Path) -> None:
    """Look for the lock files of office programs, and for a file that may only be read."""
    for lock in (f"~${target.name}", f".~lock.{target.name}#"):
        if os.path.lexists(target.with_name(lock)):
            raise CouldNotWrite(
                f"{target.name} is open in another program; close it there and try again "
                f"(if it is open nowhere, delete the left-over file {lock}); nothing was changed"
            )
    if target.exists() and not target.stat().st_mode & 0o222:
        raise CouldNotWrite(f"{target.name} may only be read; allow writing to it first; nothing was changed")
    if target.exists() and not os.access(target, os.W_OK):
        raise CouldNotWrite(f"{target.name}: you may not write to it; nothing was changed")


def _refuse_changed(target: Path, source: bytes) -> None:
    now = target.read_bytes()
    if now != source:
        raise CouldNotWrite(
            f"{target.name} was changed by another program after it was read; "
            "run the command again; nothing was changed"
        )


def _flush_folder(target: Path) -> None:
    """Make the new name last through a power cut, where the system can."""
    with contextlib.suppress(OSError):
        descriptor = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
