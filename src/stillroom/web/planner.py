"""Planning beside the pages: in a process of its own, one at a time; it can be stopped, and is written only if kept."""

from __future__ import annotations

import datetime
import multiprocessing
import signal
import threading
from collections.abc import Sequence
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path

from stillroom.app.files import alone
from stillroom.app.plan import PlanFound, Reading, find_plan
from stillroom.app.record.taps import Tapped, to_plan
from stillroom.app.write_plan import has_plan, line_changes, queue_plan
from stillroom.errors import CouldNotWrite, StillroomError, WorkbookRefused
from stillroom.reports.problems import line as sentence

IDLE, RUNNING, READY, SAME, KEEPING, KEPT, FAILED = "idle", "running", "ready", "same", "keeping", "kept", "failed"
KEEP = "keep"
CHANGED = "The workbook was changed since this plan was made. Plan again."


@dataclass(frozen=True)
class Planning:
    """How far a plan is: what was done so far, then what it changes line by line, or why there is none."""

    state: str = IDLE
    steps: tuple[str, ...] = ()
    changes: tuple[tuple[str, str, str], ...] = ()
    words: str = ""


class Planner:
    """Plans one workbook, at most once at a time."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.now = Planning()
        self._turn = threading.Lock()
        self._process: BaseProcess | None = None
        self._pipe: Connection | None = None

    def start(self, waiting: Sequence[Tapped], today: datetime.date, after: datetime.date | None = None) -> bool:
        """
        Begin to plan the workbook with what waits to be written, from the day after one that is over, if any.

        False while a plan is being made.
        """
        with self._turn:
            if self.now.state in (RUNNING, KEEPING):
                return False
            self._end()
            context = multiprocessing.get_context("spawn")
            self._pipe, theirs = context.Pipe()
            self._process = context.Process(
                target=work, args=(theirs, self.path, tuple(waiting), today, after), daemon=True
            )
            self.now = Planning(RUNNING)
            self._process.start()
            theirs.close()
            threading.Thread(target=self._listen, args=(self._pipe,), daemon=True).start()
            return True

    def _listen(self, pipe: Connection) -> None:
        while True:
            try:
                state, value = pipe.recv()
            except (EOFError, OSError):
                with self._turn:
                    if pipe is self._pipe and self.now.state in (RUNNING, KEEPING):
                        self.now = replace(self.now, state=FAILED, words="Planning ended before it was done.")
                return
            with self._turn:
                if pipe is not self._pipe:
                    return
                if state == RUNNING:
                    self.now = replace(self.now, steps=(*self.now.steps, value))
                elif state == READY:
                    self.now = replace(self.now, state=READY, changes=value[0], words=value[1])
                else:
                    self.now = replace(self.now, state=state, words=value)

    def keep(self) -> bool:
        """Write the plan that was found; False where there is none."""
        return self._answer(READY, KEEP, replace(self.now, state=KEEPING))

    def leave(self) -> None:
        """Stop planning, or drop the plan that was found; the workbook stays as it is."""
        with self._turn:
            if self.now.state != KEEPING:
                self._end()
                self.now = Planning()

    def _answer(self, state: str, word: str, now: Planning) -> bool:
        with self._turn:
            if self.now.state != state or self._pipe is None:
                return False
            try:
                self._pipe.send(word)
            except OSError:
                return False
            self.now = now
            return True

    def stop(self) -> None:
        """End the process at work, if any."""
        with self._turn:
            self._end()

    def _end(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.join()
        if self._pipe is not None:
            self._pipe.close()
        self._process = self._pipe = None


# In the process at work.


def work(
    pipe: Connection, path: Path, waiting: Sequence[Tapped], today: datetime.date, after: datetime.date | None
) -> None:
    """Plan a workbook, show what changes, and write it if it is to be kept; everything is said into the pipe."""
    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl+C stops the page, which ends this process
    try:
        reading = to_plan(path, waiting, today, after)
        if has_plan(reading):
            pipe.send((SAME, "The plan in your workbook is up to date."))
            return
        found = find_plan(reading, progress=lambda words: pipe.send((RUNNING, words)))
        rows = tuple(line_changes(found))
        pipe.send((READY, (rows, found.change)))
        while pipe.recv() == KEEP:
            try:
                state = KEPT if written(path, found, reading, today, after) else FAILED
                pipe.send((state, found.change if state == KEPT else CHANGED))
                return
            except CouldNotWrite as error:
                pipe.send((READY, (rows, str(error))))
    except WorkbookRefused as refused:
        pipe.send((FAILED, " ".join(sentence(one) for one in refused.problems[:3])))
    except StillroomError as error:
        pipe.send((FAILED, str(error)))
    except (EOFError, OSError):
        return


def written(path: Path, found: PlanFound, planned: Reading, today: datetime.date, after: datetime.date | None) -> bool:
    """Write a plan into its workbook, if that is still what was planned; whether it was. Raises CouldNotWrite."""
    with alone(path):
        fresh = to_plan(path, (), today, after)
        if (fresh.typed, fresh.moves) != (planned.typed, planned.moves):
            return False
        queue_plan(replace(found, reading=fresh))
        fresh.book.save()
    return True
