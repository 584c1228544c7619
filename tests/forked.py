"""
Processes that tests start, stop and limit, forked from one that has the program loaded already.

Each is a process of its own like any other command, a hundredth of a second after it is asked for instead of a second.
What the start of a command is, or what it imports, is asked of a fresh Python instead.
"""

from __future__ import annotations

import atexit
import contextlib
import importlib
import io
import json
import os
import resource
import selectors
import signal
import subprocess
import sys
import tempfile
import traceback
from collections.abc import Sequence
from functools import cache
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
    "stillroom.workbook.starter.draw_chart",
    "stillroom.workbook.writer.plan",
)
"""Modules that are loaded beside what reading a workbook loads."""


class Running:
    """A process that was begun."""

    def __init__(self, words: Sequence[str], asked: dict[str, Any]) -> None:
        self._words = list(words)
        self._pid = _ask(asked | {"words": self._words})["pid"]

    def kill(self) -> None:
        """End it at once, whatever it does."""
        os.kill(self._pid, signal.SIGKILL)

    def ended(self) -> subprocess.CompletedProcess[str]:
        """Wait for its end; its exit code and what it said."""
        found = _ask({"wait": self._pid})
        return subprocess.CompletedProcess(self._words, found["code"], found["out"], found["err"])


def begin(
    words: Sequence[str], *, code: str = COMMAND, cwd: Path | None = None, most_bytes: int | None = None
) -> Running:
    """Start a command, or other code with words; no file of it grows beyond so many bytes."""
    return Running(words, {"code": code, "cwd": str(cwd or Path.cwd()), "most": most_bytes, "env": dict(os.environ)})


def command(
    words: Sequence[str], *, code: str = COMMAND, cwd: Path | None = None, most_bytes: int | None = None
) -> subprocess.CompletedProcess[str]:
    """Run a command, or other code with words, to its end."""
    return begin(words, code=code, cwd=cwd, most_bytes=most_bytes).ended()


def _ask(asked: dict[str, Any]) -> dict[str, Any]:
    """Send a line to the process that forks; its answer."""
    server = _server()
    assert server.stdin is not None
    assert server.stdout is not None
    server.stdin.write(json.dumps(asked) + "\n")
    server.stdin.flush()
    answer: dict[str, Any] = json.loads(server.stdout.readline())
    return answer


@cache
def _server() -> subprocess.Popen[str]:
    """The process that forks: it has read a workbook, and solved nothing, so it has one thread. It ends with this one."""
    from tests.small_kitchen import build

    with tempfile.TemporaryDirectory() as folder:
        kitchen = build(Path(folder) / "kitchen.xlsx")
        words = [sys.executable, "-P", __file__, str(kitchen)]
        server = subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        atexit.register(server.communicate)
        assert server.stdout is not None
        assert server.stdout.readline() == "ready\n"
    return server


# ---------------------------------------------------------------- in the process that forks


def _serve(kitchen: str) -> None:
    """Read a workbook once, then fork what the lines of standard input ask for."""
    from stillroom.cli import run

    with contextlib.redirect_stdout(io.StringIO()):
        assert run(["check", kitchen]) == 0
    for name in LOADED:
        importlib.import_module(name)
    print("ready", flush=True)
    pipes: dict[int, tuple[int, int]] = {}
    for line in sys.stdin:
        asked = json.loads(line)
        if "wait" in asked:
            answer = _waited(asked["wait"], pipes.pop(asked["wait"]))
        else:
            pid, read = _forked(asked)
            pipes[pid] = read
            answer = {"pid": pid}
        print(json.dumps(answer), flush=True)


def _forked(asked: dict[str, Any]) -> tuple[int, tuple[int, int]]:
    """Fork a process that runs what is asked; its number, and where its two streams are read."""
    out, err = os.pipe(), os.pipe()
    pid = os.fork()
    if not pid:
        for target, stream in enumerate((os.open(os.devnull, os.O_RDONLY), out[1], err[1])):
            os.dup2(stream, target)
        os.closerange(3, max(*out, *err) + 1)
        code = 1
        try:
            code = _done(asked)
        finally:
            os._exit(code)
    os.close(out[1])
    os.close(err[1])
    return pid, (out[0], err[0])


def _done(asked: dict[str, Any]) -> int:
    """Run what is asked in this process, as Python itself would; its exit code."""
    os.chdir(asked["cwd"])
    os.environ.clear()
    os.environ.update(asked["env"])
    if asked["most"] is not None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (asked["most"], asked["most"]))
    sys.argv = ["stillroom", *asked["words"]]
    sys.stdout, sys.stderr = (io.TextIOWrapper(io.FileIO(stream, "w"), encoding="utf-8") for stream in (1, 2))
    code: Any = 0
    try:
        exec(asked["code"], {"__name__": "__main__"})
    except SystemExit as end:
        code = end.code or 0
    except BaseException:
        traceback.print_exc()
        code = 1
    for stream in (sys.stdout, sys.stderr):
        stream.flush()
    return code if isinstance(code, int) else 1


def _waited(pid: int, read: tuple[int, int]) -> dict[str, Any]:
    """What a process said until its end, and its exit code."""
    said = dict.fromkeys(read, b"")
    with selectors.DefaultSelector() as ready:
        for stream in read:
            ready.register(stream, selectors.EVENT_READ)
        while ready.get_map():
            for key, _ in ready.select():
                part = os.read(key.fd, 65536)
                said[key.fd] += part
                if not part:
                    ready.unregister(key.fd)
                    os.close(key.fd)
    _, status = os.waitpid(pid, 0)
    out, err = (said[stream].decode(errors="replace") for stream in read)
    return {"code": os.waitstatus_to_exitcode(status), "out": out, "err": err}


if __name__ == "__main__":
    _serve(sys.argv[1])
