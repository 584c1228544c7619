"""Two commands of ours at one workbook: the second waits for the first, and reads what that one wrote."""

from __future__ import annotations

import contextlib
import os
import re
import time
from collections.abc import Iterator
from contextvars import ContextVar
from pathlib import Path

from stillroom.errors import CouldNotWrite
from stillroom.workbook.ooxml.files.put import NO_FOLLOW, WINDOWS, clear_left_overs

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
