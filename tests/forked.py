"""
Commands in processes forked from one that has the program loaded: cheap as a call, and as real as a command.

Such a process can be ended by a real signal, at any of its changes of files or at any moment, and have little room.
What the start of a command is, or what it imports, is asked of a fresh Python instead.
"""

from __future__ import annotations

import io
import multiprocessing
import os
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

COMMAND = "from stillroom.cli import main; main()"
"""What `python -m stillroom` runs."""

LOADED = (
    "stillroom.app.print",
    "stillroom.app.record.evening",
    "stillroom.planning.bottlenecks.search",
    "stillroom.planning.stochastic.solve",
    "stillroom.planning.why",
    "stillroom.reports.charts.render",
    "stillroom.workbook.starter.draw_chart",
    "stillroom.workbook.writer.plan",
    "pandas",
    "rich.table",
)
"""Modules that are loaded beside what reading a workbook loads."""

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
class Asked:
    """
    What is run: code with its words, in a folder, with these variables of the environment.

    `largest` is how many bytes a file may have, `cores` how many cores it sees: with one it starts no other process.
    Where it is watched, its changes of files in the folder are counted, and its temporary files go into `tmp` there.
    """

    words: tuple[str, ...]
    code: str
    folder: str
    environment: dict[str, str]
    stop: Stop | None = None
    largest: int | None = None
    cores: int | None = None
    watched: bool = False


@dataclass(frozen=True)
class Ending:
    """How a process ended: its exit code, or minus the signal; what it printed; its changes of files; how long it took."""

    code: int
    out: str
    err: str
    steps: int
    seconds: float
    left_running: bool


class Running:
    """A process that was begun."""

    def __init__(self, asked: Asked) -> None:
        self._asked, self._began = asked, time.monotonic()
        self._keeper = tempfile.TemporaryDirectory()
        self._process: Any = _context().Process(target=_child, args=(asked, self._keeper.name))  # type: ignore[attr-defined]
        self._process.start()

    def kill(self) -> None:
        """End it at once, whatever it does."""
        self._process.kill()

    def ended(self) -> Ending:
        """Wait for its end; kill it after five minutes."""
        stop = self._asked.stop
        if stop is not None and stop.step is None:
            self._process.join(stop.seconds)
            if self._process.is_alive():
                os.kill(self._process.pid, stop.signal)
        self._process.join(LONGEST_SECONDS)
        if self._process.is_alive():
            self._process.kill()
            self._process.join()
        seconds = time.monotonic() - self._began
        with self._keeper as kept:
            out, err, steps = (_text(Path(kept) / name) for name in ("out", "err", "steps"))
        left = self._asked.watched and _any_of_session(self._process.pid)
        return Ending(int(self._process.exitcode), out, err, int(steps or 0), seconds, left)


def begin(
    words: Sequence[str], *, code: str = COMMAND, cwd: Path | None = None, most_bytes: int | None = None
) -> Running:
    """Start a command, or other code with words; no file of it grows beyond so many bytes."""
    return Running(Asked(tuple(words), code, str(cwd or Path.cwd()), dict(os.environ), largest=most_bytes))


def command(
    words: Sequence[str], *, code: str = COMMAND, cwd: Path | None = None, most_bytes: int | None = None
) -> Ending:
    """Run a command, or other code with words, to its end."""
    return begin(words, code=code, cwd=cwd, most_bytes=most_bytes).ended()


def watched(
    folder: Path,
    words: Sequence[str],
    *,
    stop: Stop | None = None,
    largest: int | None = None,
    cores: int | None = None,
) -> Ending:
    """Run a command in a folder that is watched; stop it, or give it little room."""
    environment = os.environ | {"TMPDIR": str(folder / "tmp")}
    return Running(Asked(tuple(words), COMMAND, str(folder), environment, stop, largest, cores, True)).ended()


@cache
def _context() -> BaseContext:
    """Where processes are forked: it has read a workbook, and solved nothing, so it has one thread."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([*LOADED, "tests.hard.warm"])
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


def _child(asked: Asked, keeper: str) -> None:
    """Run what is asked, as a process of its own that a terminal began."""
    os.setsid()
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    for number, name in ((1, "out"), (2, "err")):
        os.dup2(os.open(Path(keeper) / name, os.O_WRONLY | os.O_CREAT, 0o600), number)
    os.chdir(asked.folder)
    os.environ.clear()
    os.environ.update(asked.environment)
    tempfile.tempdir = None
    sys.argv, sys.dont_write_bytecode = ["stillroom", *asked.words], True
    if asked.cores is not None:
        os.cpu_count = lambda: asked.cores  # type: ignore[assignment]
    signal.signal(signal.SIGINT, signal.default_int_handler)
    seen = _watch(asked.folder, asked.stop) if asked.watched else [0]
    said = [io.TextIOWrapper(io.FileIO(number, "w"), encoding="utf-8") for number in (1, 2)]
    sys.stdout, sys.stderr = said
    if asked.largest is not None:
        sys.stdout, sys.stderr = io.StringIO(), io.StringIO()  # the limit is not for what it prints
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (asked.largest, resource.RLIM_INFINITY))
    code = _done(asked.code)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    for stream, real in zip((sys.stdout, sys.stderr), said, strict=True):
        real.write(stream.getvalue() if isinstance(stream, io.StringIO) else "")
        real.flush()
    (Path(keeper) / "steps").write_text(str(seen[0]))
    os._exit(code)


def _done(source: str) -> int:
    """Run code in this process, as Python itself would; its exit code."""
    code: Any = 0
    try:
        exec(source, {"__name__": "__main__"})
    except SystemExit as end:
        code = end.code or 0
    except BaseException:
        traceback.print_exc()
        code = 1
    return code if isinstance(code, int) else 1


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
