"""Put files in their place whole or not at all, one command of ours at a time."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import re
import secrets
import socket
import time
from collections.abc import Callable, Iterator
from contextvars import ContextVar
from functools import cache
from pathlib import Path
from typing import IO

from stillroom.errors import CouldNotWrite

WAIT_SECONDS = 8.0
_LOOK_EVERY_SECONDS = 0.05
LOCKED_BYTE = 1 << 30
"""On Windows a locked byte cannot be read by others, so it is one far behind the end of the file."""
_OURS = re.compile(rb"(stillroom \d+\n)?")

_held: ContextVar[frozenset[Path]] = ContextVar("held", default=frozenset())
"""The workbooks that this command has for itself, so that a save within it does not wait for itself."""


def lock_name(path: Path) -> Path:
    """Name the small hidden file that is there while a command is at work on a workbook."""
    return path.with_name(f".{path.name}.in-use")


@contextlib.contextmanager
def alone(path: Path, *, wanted: bool = True) -> Iterator[None]:
    """
    Have a workbook for this command alone, from reading it to writing it, where `wanted`.

    Some seconds it waits for another command of ours.

    The system lets the lock go when its process ends, however it ends. Raises CouldNotWrite when the other takes
    longer. Where no lock can be had (a folder that may only be read, a disk without locks), there is none: what was
    read is compared with the file before it is replaced in any case.
    """
    if not wanted:
        yield
        return
    target = Path(os.path.realpath(path))
    with locked(target):
        clear_left_overs(target.parent)  # where this command comes to write nothing, too
        token = _held.set(_held.get() | {target})
        try:
            yield
        finally:
            _held.reset(token)


@contextlib.contextmanager
def locked(target: Path) -> Iterator[None]:
    """Hold the lock of a workbook, unless this command holds it already; raises CouldNotWrite."""
    descriptor = _wait_for(target) if target.is_file() and target not in _held.get() else None
    try:
        yield
    finally:
        if descriptor is not None:
            if WINDOWS:
                os.close(descriptor)  # an open file cannot be taken away there, and one that another holds neither
            with contextlib.suppress(OSError):
                lock_name(target).unlink()
            if not WINDOWS:
                os.close(descriptor)


def _wait_for(target: Path) -> int | None:
    until = time.monotonic() + WAIT_SECONDS
    while True:
        try:
            return _take(lock_name(target))
        except BlockingIOError:
            if time.monotonic() >= until:
                msg = f"{target.name} is in use by another run of stillroom; wait for it, then try again"
                raise CouldNotWrite(msg) from None
            time.sleep(_LOOK_EVERY_SECONDS)
        except OSError:
            return None


def _take(name: Path) -> int | None:
    """Open and lock the lock file; None where it is a file of somebody else's. Raises BlockingIOError while held."""
    descriptor = os.open(name, os.O_RDWR | os.O_CREAT | NO_FOLLOW | getattr(os, "O_NONBLOCK", 0), 0o666)
    try:
        _lock(descriptor)
        if not os.path.samestat(os.fstat(descriptor), name.lstat()):
            raise BlockingIOError  # whoever held it has taken it away meanwhile
        if not _OURS.fullmatch(os.read(descriptor, 100)):
            os.close(descriptor)
            return None
        with contextlib.suppress(OSError):  # on a full disk it is held all the same
            os.ftruncate(descriptor, 0)
            os.lseek(descriptor, 0, os.SEEK_SET)
            os.write(descriptor, f"stillroom {os.getpid()}\n".encode("ascii"))
    except FileNotFoundError:
        os.close(descriptor)
        raise BlockingIOError from None
    except BaseException:
        os.close(descriptor)
        raise
    return descriptor


def _lock(descriptor: int) -> None:
    """Lock an open file without waiting, until it is closed. Raises BlockingIOError where another process has it."""
    if WINDOWS:
        import msvcrt

        os.lseek(descriptor, LOCKED_BYTE, os.SEEK_SET)
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        except OSError as error:
            raise BlockingIOError from error
        os.lseek(descriptor, 0, os.SEEK_SET)
    else:
        import fcntl

        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


# The one way to put a file in its place: at every moment the old one or the new one is there, and whole.

WINDOWS = os.name == "nt"
_REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EFBIG: "the disk takes no file of that size",
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
    errno.ELOOP: "there is a link where a file should be",
}
_WINDOWS_REASONS = {
    5: "you may not write there, or another program holds the file",
    32: "another program holds the file",
}
_WINDOWS_REASONS |= {33: "another program holds the file", 112: "the disk is full", 39: "the disk is full"}


def why_not(error: OSError) -> str:
    """
    Say why the system refused to read or write a file or a folder.

    >>> why_not(FileExistsError(errno.EEXIST, "File exists")), why_not(OSError("odd"))
    ('a file of that name is there; name a folder', 'odd')
    """
    windows = _WINDOWS_REASONS.get(getattr(error, "winerror", None) or 0)
    return windows or _REASONS.get(error.errno or 0) or error.strerror or str(error) or "the system refused"


LEFT_OVER_SECONDS = 600.0
"""How old a half written file is that is surely left over, where nobody can say whether its process still runs."""
WAITS = (0.05, 0.1, 0.2, 0.3, 0.4)
"""Seconds between the tries to move a file over one that is being read."""
moved: list[Path] = []
"""The files that were put in their place, so that a command that fails or is stopped can name them."""
NO_FOLLOW = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)


def put(
    target: Path,
    fill: Callable[[IO[bytes]], object],
    *,
    like: Path | None = None,
    ready: Callable[[bytes], None] = lambda _: None,
    undo: Callable[[], None] = lambda: None,
    at: Callable[[str], None] = lambda _: None,
    fresh: bool = False,
) -> None:
    """
    Write a file beside its place, flush it to the disk and move it into place in one step; raises OSError.

    `fill` writes the content, `like` is the file whose mode and owner it gets, `ready` is given the bytes as read back
    just before the move and may refuse it, and `undo` takes back what `ready` did where nothing was moved; `at` is told
    each step. A `fresh` file never takes the place of another. Whatever happens, nothing is left beside it; what a
    killed run left is cleared away first.
    """
    clear_left_overs(target.parent)
    beside = target.with_name(f".stillroom-{os.getpid()}-{machine()}{secrets.token_hex(6)}.new")
    new: bytes | None = None
    file = os.fdopen(os.open(beside, os.O_RDWR | os.O_CREAT | os.O_EXCL | NO_FOLLOW, 0o600 if like else 0o666), "r+b")
    try:
        with file:
            at("opened beside")
            fill(file)
            file.flush()
            at("written")
            if like is not None:
                _copy_mode(file.fileno(), like)
            at("mode kept")
            os.fsync(file.fileno())
            at("flushed")
            file.seek(0)
            new = file.read()
            ready(new)
            if WINDOWS:
                file.close()  # Windows does not rename an open file
            moved.append(target)
            _move(beside, target, fresh=fresh)
    except BaseException:
        with contextlib.suppress(OSError):
            if not _is_in_place(beside, target, new):
                moved[:] = [one for one in moved if one is not target]
                undo()
        raise
    finally:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)
    at("replaced")
    flush_folder(target.parent)
    at("folder flushed")


def _is_in_place(beside: Path, target: Path, new: bytes | None) -> bool:
    """Whether a file was moved; where it is gone, but not to its place, somebody took it away."""
    is_beside = beside.exists()
    try:
        if is_beside:
            return target.exists() and beside.samefile(target)
        return target.is_file() and target.read_bytes() == new
    except OSError:
        return not is_beside  # its place has a name that is too long, or cannot be read just now


def _move(beside: Path, target: Path, *, fresh: bool) -> None:
    """Move a file into its place; a fresh one only where nothing is, by a second name where the disk has those."""
    if not fresh:
        _replace(beside, target)
        return
    try:
        os.link(beside, target)
    except FileExistsError:
        raise
    except OSError:
        if os.path.lexists(target):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST)) from None
        beside.rename(target)


def _replace(beside: Path, target: Path) -> None:
    """
    Move a file over another in one step.

    On Windows that is refused while anybody reads the other, as a page or a virus scanner does for a moment: it is
    tried again for about a second.
    """
    for wait in WAITS if WINDOWS else ():
        try:
            beside.replace(target)
        except PermissionError:
            time.sleep(wait)
        else:
            return
    beside.replace(target)


_LEFT_OVER = re.compile(r"\.stillroom-(\d+)-([0-9a-f]{4})[0-9a-f]{12}\.new")


@cache
def machine() -> str:
    """Return a mark of this machine: in a shared folder the number of a process of another one says nothing here."""
    return hashlib.sha256(socket.gethostname().encode()).hexdigest()[:4]


def clear_left_overs(folder: Path) -> None:
    """Clear away what a killed run left half written in a folder; nothing of a run that is still at work."""
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            found = _LEFT_OVER.fullmatch(entry.name)
            if found and entry.is_file(follow_symlinks=False) and _is_left_over(entry, int(found[1]), found[2]):
                with contextlib.suppress(OSError):
                    Path(entry).unlink()


def _is_left_over(entry: os.DirEntry[str], process: int, begun_on: str) -> bool:
    """Whether the run that began a file is over; Windows and other machines cannot be asked, so it has to be old."""
    if WINDOWS or begun_on != machine():
        return time.time() - entry.stat().st_mtime > LEFT_OVER_SECONDS
    return not is_running(process)


def is_running(process: int) -> bool:
    """Whether a process of that number runs on this machine; never asked on Windows, where asking would end it."""
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True


def _copy_mode(descriptor: int, like: Path) -> None:
    """Give an open file the owner, the permissions and the extended attributes of another."""
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


def flush_folder(folder: Path) -> None:
    """Make a new name last through a power cut, where the system can."""
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
