"""A workbook while its page is open: what was tapped goes into it, and it is read again when it changed."""

from __future__ import annotations

import contextlib
import datetime
import sqlite3
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from stillroom.app.record.taps import (
    Look,
    Outcome,
    Tapped,
    look,
    pour,
    refuse_unreadable,
    written_in,
)
from stillroom.errors import CommandWrong, CouldNotWrite, WorkbookRefused
from stillroom.reports.problems import line as sentence
from stillroom.web.journal import Journal, Kept

EVERY_SECONDS, AFTER_SECONDS = 3.0, 2.0
"""How often it is looked whether something waits, and how long after a tap: several go into one save."""
NOTHING = "; nothing was changed"
KEPT = "What you enter is kept, and written as soon as that is over."


@dataclass(frozen=True)
class Seen:
    """
    A look at the workbook: of which file and day, with which waiting entries; and why it could not be read, if so.

    `look` is then the one before, None where there was none. `known` are the ids of all entries that are in it.
    """

    mark: tuple[object, ...] = ()
    waiting: tuple[str, ...] = ()
    known: frozenset[str] = frozenset()
    look: Look | None = None
    refused: tuple[str, ...] = ()


class Keeper:
    """
    What all pages share: the journal, the last look at the workbook, and why entries have to wait.

    One thread at a time writes or reads the workbook; whoever comes meanwhile is shown the last look.
    """

    def __init__(self, path: Path, today: Callable[[], datetime.date] = datetime.date.today) -> None:
        refuse_unreadable(path)
        self.path, self.today = path, today
        self.journal = Journal(path)
        self.why_waiting = ""
        self._turn = threading.Lock()
        self._wake, self._ended = threading.Event(), threading.Event()
        self._thread: threading.Thread | None = None
        self._seen = Seen()
        self.turn()

    def start(self) -> None:
        """Begin to write what waits, every few seconds, in a thread of its own."""
        self._thread = threading.Thread(target=self._run, name="kitchen page", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Write what can be written, and let the journal go."""
        self._ended.set()
        self._wake.set()
        if self._thread is not None:
            self._thread.join()
        self.turn()
        self.journal.close()

    def _run(self) -> None:
        while not self._ended.is_set():
            if self._wake.wait(EVERY_SECONDS):
                self._ended.wait(AFTER_SECONDS)
            self._wake.clear()
            if not self._ended.is_set():
                with contextlib.suppress(OSError, sqlite3.Error, CouldNotWrite):  # a bad disk: tried again
                    self.turn()

    def turn(self) -> None:
        """Write what waits, and look at the workbook again where it changed."""
        with self._turn:
            self._settle()
            self._pour()
            self._look()

    def _pour(self) -> None:
        """Put what waits into the workbook; where that cannot be, it goes on waiting, and it is known why."""
        waiting, why = self.journal.waiting(), ""
        if waiting:
            try:
                outcomes = pour(self.path, waiting, self.today(), self.journal.about_to_write)
            except CouldNotWrite as error:
                why = f"{str(error).removesuffix(NOTHING)}. {KEPT}"
            except WorkbookRefused as refused:
                why = f"{sentence(refused.problems[0])} {KEPT}"
            else:
                self.journal.refuse({id_: one for id_, one in outcomes.items() if one.refused})
            self._settle()
        self.why_waiting = why  # only now: a page meanwhile shows why they waited until then

    def _settle(self) -> None:
        """Find out what was written; while the workbook cannot be read, that stays open."""
        ids = written_in(self.path)
        if ids:
            self.journal.settle(ids)

    def _look(self) -> None:
        waiting = self.journal.waiting()
        mark, ids = self._mark(), tuple(one.id for one in waiting)
        if (mark, ids) == (self._seen.mark, self._seen.waiting):
            return
        try:
            known = frozenset((*ids, *self.journal.written()))
            self._seen = Seen(mark, ids, known, look(self.path, waiting, self.today()))
        except WorkbookRefused as refused:
            self._seen = replace(self._seen, mark=mark, waiting=ids, refused=tuple(map(sentence, refused.problems)))
        except CouldNotWrite as error:
            self._seen = replace(self._seen, mark=mark, waiting=ids, refused=(str(error),))

    def _mark(self) -> tuple[object, ...]:
        """Return what a look depends on but for what waits: the file and the day."""
        try:
            now = self.path.stat()
        except OSError:
            return (self.today(),)
        return (now.st_ino, now.st_size, now.st_mtime_ns, self.today())

    def seen(self) -> Seen:
        """
        Return the workbook as it is, read again if another program changed it.

        What was tapped since is not in it before it is written, and while another thread reads or writes the workbook
        it is as it was just before: a page never waits for that.
        """
        if self._mark() != self._seen.mark and self._turn.acquire(blocking=False):
            try:
                self._look()
            finally:
                self._turn.release()
        return self._seen

    @property
    def known(self) -> frozenset[str]:
        """The ids of all entries that are in the last look."""
        return self._seen.known

    def enter(self, tapped: Tapped) -> Kept | None:
        """
        Keep what was tapped, and have it written soon; returns it as it is kept.

        Raises CommandWrong where the workbook would refuse it, with nothing kept, and CouldNotWrite.
        """
        known = self.journal.of_id(tapped.id)
        if known is not None:
            return known
        found = self.seen().look
        if found is None:
            msg = "the workbook cannot be read just now, so nothing can be checked against it; look under Workbook"
            raise CommandWrong(msg)
        outcome: Outcome = found.check(tapped)
        if outcome.refused:
            raise CommandWrong(" ".join(outcome.said))
        added = self.journal.add(tapped, outcome)
        self._wake.set()
        kept = self.journal.of_id(tapped.id)
        if not added and kept is None:
            msg = (
                f"{tapped.entered.name} was recorded just now, perhaps on another device; undo that to record it again"
            )
            raise CommandWrong(msg)
        return kept

    def take_back(self, id_: str, undo_id: str) -> bool:
        """Take an entry back, at once or with the next writing; never while it is being written."""
        with self._turn:
            done = self.journal.take_back(id_, undo_id)
        self._wake.set()
        return done

    def correct(self, id_: str, amount: str, name: str) -> bool:
        """Let an entry that was refused wait again, with another amount or name."""
        done = self.journal.correct(id_, amount, name)
        self._wake.set()
        return done
