"""
Commands in processes forked from one that has imported the program: cheap as a call, and as real as a command.

Such a process can be ended by a real signal, at any of its changes of files or at any moment, and have little room.
"""

from __future__ import annotations

import io
import multiprocessing
import os
import pkgutil
import resource
import shutil
import signal
import sys
import tempfile
import threading
import time
import traceback
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from multiprocessing.context import BaseContext
from pathlib import Path
from typing import Any

import stillroom

LONGEST_SECONDS, LONG_AFTER_SECONDS = 300, 20
WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT
CHANGES = ("os.rename", "os.link", "os.symlink", "os.remove", "os.rmdir", "os.mkdir", "os.truncate", "os.utime")


@dataclass(frozen=True)
class Stop:
    """Which signal a command gets: at one of its changes of files, counted from 1, or else from the start; then wait."""

    signal: int
    step: int | None = None
    seconds: float = 0.0


@dataclass(frozen=True)
class Ending:
    """How a command ended: its exit code, or minus the signal; what it printed; its changes of files; how long it took."""

    code: int
    out: str
    err: str
    steps: int
    seconds: float
    left_running: bool


def run(
    folder: Path,
    words: Sequence[str],
    *,
    stop: Stop | None = None,
    largest: int | None = None,
    cores: int | None = None,
) -> Ending:
    """
    Run a command in a folder; its temporary files go into the folder `tmp` there.

    `largest` is how many bytes a file may have, `cores` how many cores it sees: with one it starts no other process.
    """
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as keeper:
        kept = Path(keeper)
        process: Any = _context().Process(  # type: ignore[attr-defined]
            target=_child, args=(str(folder), list(words), keeper, stop, largest, cores)
        )
        process.start()
        if stop is not None and stop.step is None:
            process.join(stop.seconds)
            if process.is_alive():
                os.kill(process.pid, stop.signal)
        process.join(LONGEST_SECONDS)
        if process.is_alive():
            process.kill()
            process.join()
        seconds = time.monotonic() - began
        texts = [_text(kept / name) for name in ("out", "err", "steps")]
        left = _any_of_session(process.pid)
        return Ending(int(process.exitcode), texts[0], texts[1], int(texts[2] or 0), seconds, left)


@cache
def _context() -> BaseContext:
    context = multiprocessing.get_context("forkserver")
    program = [
        one.name for one in pkgutil.walk_packages(stillroom.__path__, "stillroom.") if "__main__" not in one.name
    ]
    context.set_forkserver_preload(
        [
            __name__,
            "openpyxl",
            "lxml.etree",
            "pulp",
            "highspy",
            "rich.table",
            "pandas",
            "matplotlib.pyplot",
            *program,
            "tests.hard.warm",
        ]
    )
    return context


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8", errors="replace") if path.exists() else ""


def _any_of_session(session: int) -> bool:
    """Whether a process that a command began is still there long after it; looked up where there is /proc."""
    until = time.monotonic() + LONG_AFTER_SECONDS
    while True:
        found = False
        for each in Path("/proc").glob("[0-9]*/stat"):
            try:
                fields = each.read_text().rpartition(")")[2].split()
            except OSError:
                continue
            found |= fields[0] != "Z" and int(fields[3]) == session
        if not found or time.monotonic() > until:
            return found
        time.sleep(0.02)


def _child(
    folder: str, words: list[str], keeper: str, stop: Stop | None, largest: int | None, cores: int | None
) -> None:
    """Run the command, as a process of its own that a terminal began."""
    os.setsid()
    for number, name in ((1, "out"), (2, "err")):
        os.dup2(os.open(Path(keeper) / name, os.O_WRONLY | os.O_CREAT, 0o600), number)
    os.chdir(folder)
    os.environ["TMPDIR"] = str(Path(folder) / "tmp")
    tempfile.tempdir = None
    sys.dont_write_bytecode = True
    if cores is not None:
        os.cpu_count = lambda: cores  # type: ignore[assignment]
    signal.signal(signal.SIGINT, signal.default_int_handler)
    seen = _watch(folder, stop)
    said = (sys.stdout, sys.stderr)
    if largest is not None:
        sys.stdout, sys.stderr = io.StringIO(), io.StringIO()  # the limit is not for what it prints
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (largest, resource.RLIM_INFINITY))
    from stillroom.cli import run as run_words

    try:
        code = run_words(words)
    except BaseException:
        traceback.print_exc()
        code = 1
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    for stream, real in zip((sys.stdout, sys.stderr), said, strict=True):
        real.write(stream.getvalue() if isinstance(stream, io.StringIO) else "")
        real.flush()
    (Path(keeper) / "steps").write_text(str(seen[0]))
    os._exit(code)


def _watch(folder: str, stop: Stop | None) -> list[int]:
    """Count the changes of files in a folder, and send the signal at the one where this process is to be stopped."""
    seen = [0]

    def strike(seconds: float) -> None:
        time.sleep(seconds)
        os.kill(os.getpid(), stop.signal if stop is not None else 0)

    def hook(event: str, args: tuple[Any, ...]) -> None:
        if not (event in CHANGES or (event == "open" and isinstance(args[2], int) and args[2] & WRITES)):
            return
        place = os.fsdecode(args[0]) if isinstance(args[0], str | bytes | os.PathLike) else "/"
        if place.startswith("/") and not place.startswith(folder):
            return
        seen[0] += 1
        if stop is not None and stop.step == seen[0]:
            if stop.seconds:
                threading.Thread(target=strike, args=(stop.seconds,), daemon=True).start()
            else:
                strike(0.0)

    sys.addaudithook(hook)
    return seen


# A disk of its own, where this process may have one.

NEW_NAMESPACE, PRIVATE = 0x20000, (1 << 18) | (1 << 14)
"""CLONE_NEWNS; MS_PRIVATE and MS_REC."""


@cache
def may_mount() -> bool:
    """Whether this process can have disks that only it sees; it has to be asked before the first command."""
    import ctypes

    if not sys.platform.startswith("linux") or os.geteuid() != 0:
        return False
    libc = ctypes.CDLL(None, use_errno=True)
    return libc.unshare(NEW_NAMESPACE) == 0 and libc.mount(b"none", b"/", None, PRIVATE, None) == 0


def mount(folder: Path, size: int, *, again: bool = False) -> None:
    """Put a disk of so many bytes at a folder, or make the one that is there that large."""
    import ctypes

    libc = ctypes.CDLL(None, use_errno=True)
    remount = 32 if again else 0
    if libc.mount(b"none", os.fsencode(folder), b"tmpfs", remount, f"size={max(size, 4096)}".encode()):
        raise OSError(ctypes.get_errno(), os.strerror(ctypes.get_errno()), str(folder))


def unmount(folder: Path) -> None:
    """Take the disk away, with what is on it."""
    import ctypes

    ctypes.CDLL(None).umount2(os.fsencode(folder), 2)
    shutil.rmtree(folder, ignore_errors=True)
