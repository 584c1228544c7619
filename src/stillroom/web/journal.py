"""
What was tapped on the page, kept beside the workbook until it is written into it: durable before a page says so.

A hidden SQLite file, for its owner alone, that one process holds as long as it runs. What is written stays in it a few
days, so that a page sent twice is entered once; it is no second truth.
"""

from __future__ import annotations

import contextlib
import datetime
import json
import os
import sqlite3
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from stillroom.app.record.entries import Entered
from stillroom.app.record.taps import (
    UNDO,
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

WAITING, POURING, WRITTEN, REFUSED, UNDONE = "waiting", "pouring", "written", "refused", "undone"
"""Where an entry is: about to be written, being written, in the workbook, refused by it, taken back or dropped."""
KEPT_DAYS = 7
MOST_SHOWN = 30
_TABLES = """
CREATE TABLE IF NOT EXISTS entry (
    number INTEGER PRIMARY KEY AUTOINCREMENT, id TEXT NOT NULL UNIQUE, kind TEXT NOT NULL, name TEXT NOT NULL,
    amount TEXT NOT NULL, day TEXT NOT NULL, failed TEXT, of_plan INTEGER NOT NULL, of TEXT,
    state TEXT NOT NULL, words TEXT NOT NULL, said TEXT NOT NULL, written_as TEXT, tapped_on TEXT NOT NULL
);
CREATE UNIQUE INDEX IF NOT EXISTS one_of_a_line ON entry (kind, name, day)
    WHERE of_plan AND state IN ('waiting', 'pouring');
CREATE TABLE IF NOT EXISTS device (cookie TEXT PRIMARY KEY, name TEXT NOT NULL, paired_on TEXT NOT NULL);
"""


@dataclass(frozen=True)
class Kept:
    """One entry of the journal: what was tapped, where it is, in words; `of` is the entry that it takes back."""

    tapped: Tapped
    state: str
    words: str
    said: tuple[str, ...]
    of: str | None = None


def journal_name(path: Path) -> Path:
    """Name the hidden file of a workbook's entries."""
    return path.with_name(f".{path.name}.entries")


class Journal:
    """The entries of one workbook that are on their way into it. Raises CouldNotWrite while another process has it."""

    def __init__(self, workbook: Path) -> None:
        path = journal_name(Path(os.path.realpath(workbook)))
        self._turn = threading.RLock()
        try:
            os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
            path.chmod(0o600)
            self._file = sqlite3.connect(path, timeout=1.0, isolation_level=None, check_same_thread=False)
            self._file.execute("PRAGMA locking_mode = EXCLUSIVE")
            self._file.execute("PRAGMA synchronous = EXTRA")
            self._file.execute("BEGIN EXCLUSIVE")
            for command in _TABLES.split(";"):
                self._file.execute(command)
            self._file.execute("COMMIT")
        except (OSError, sqlite3.Error) as error:
            busy = "locked" in str(error)
            why = "its kitchen page is open already; close that one first" if busy else f"{path.name}: {error}"
            msg = f"{workbook.name}: {why}; nothing was changed"
            raise CouldNotWrite(msg) from error

    def close(self) -> None:
        """Let the file go."""
        with self._turn:
            self._file.close()

    @contextmanager
    def _change(self) -> Iterator[sqlite3.Connection]:
        """Change the file, all of it or nothing; it is on the disk at the end of the block. Raises CouldNotWrite."""
        with self._turn:
            try:
                self._file.execute("BEGIN IMMEDIATE")
                yield self._file
                self._file.execute("COMMIT")
            except BaseException as error:
                if self._file.in_transaction:
                    self._file.execute("ROLLBACK")
                if isinstance(error, sqlite3.Error):
                    msg = f"what you entered could not be kept ({error}); nothing was changed"
                    raise CouldNotWrite(msg) from error
                raise

    def _kept(self, where: str, *values: object) -> list[Kept]:
        columns = "id, kind, name, amount, day, failed, of_plan, of, state, words, said"
        with self._turn:
            rows = self._file.execute(f"SELECT {columns} FROM entry WHERE {where}", values).fetchall()
        return [_kept(*row) for row in rows]

    # Entries

    def add(self, tapped: Tapped, outcome: Outcome, of: str | None = None) -> bool:
        """
        Keep what was tapped, on the disk when this returns; False where it is kept already, by its id or its line.

        Raises CouldNotWrite.
        """
        one = tapped.entered
        today = datetime.date.today()
        values = (tapped.id, one.kind, one.name, one.amount, str(one.day), one.failed, tapped.of_plan, of)
        command = (
            "INSERT OR IGNORE INTO entry (id, kind, name, amount, day, failed, of_plan, of, state, words, said,"
            f" tapped_on) VALUES ({', '.join('?' * 12)})"
        )
        with self._change() as file:
            added = file.execute(
                command, (*values, WAITING, outcome.words, json.dumps(outcome.said), str(today))
            ).rowcount
            old = str(today - datetime.timedelta(days=KEPT_DAYS))
            file.execute("DELETE FROM entry WHERE state IN ('written', 'undone') AND tapped_on < ?", (old,))
        return added > 0

    def of_id(self, id_: str) -> Kept | None:
        """Return the entry of this id."""
        return next(iter(self._kept("id = ?", id_)), None)

    def waiting(self) -> list[Tapped]:
        """Return what waits to be written, in the order it was tapped."""
        return [one.tapped for one in self._kept("state = ? ORDER BY number", WAITING)]

    def refused(self) -> list[Kept]:
        """Return what the workbook refused: to be corrected or dropped."""
        return self._kept("state = ? ORDER BY number", REFUSED)

    def latest(self) -> list[Kept]:
        """Return the latest entries that are waiting or written, the last one first."""
        shown = "state IN ('waiting', 'pouring', 'written') AND kind != ? ORDER BY number DESC LIMIT ?"
        return self._kept(shown, UNDO, MOST_SHOWN)

    def written(self) -> list[str]:
        """Return the ids of what is in the workbook."""
        return [one.tapped.id for one in self._kept("state = ?", WRITTEN)]

    def about_to_write(self, id_of_file: str, outcomes: Mapping[str, Outcome]) -> None:
        """Note, before they are written, the id that the workbook will have with these entries in it."""
        with self._change() as file:
            self._settle(file, outcomes)
            ids = [id_ for id_, one in outcomes.items() if not one.refused]
            file.executemany(
                "UPDATE entry SET state = ?, written_as = ? WHERE id = ?", [(POURING, id_of_file, id_) for id_ in ids]
            )

    def refuse(self, outcomes: Mapping[str, Outcome]) -> None:
        """Note why entries cannot be written."""
        with self._change() as file:
            self._settle(file, outcomes)

    @staticmethod
    def _settle(file: sqlite3.Connection, outcomes: Mapping[str, Outcome]) -> None:
        for id_, one in outcomes.items():
            if one.refused:
                file.execute("UPDATE entry SET state = ?, said = ? WHERE id = ?", (REFUSED, json.dumps(one.said), id_))
            else:
                file.execute(
                    "UPDATE entry SET words = ?, said = ? WHERE id = ?", (one.words, json.dumps(one.said), id_)
                )

    def settle(self, ids: Sequence[str]) -> None:
        """Find out what became of entries that were being written: `ids` are those the workbook has gone through."""
        with self._change() as file:
            rows = file.execute("SELECT id, written_as, kind, of FROM entry WHERE state = ?", (POURING,)).fetchall()
            for id_, written_as, kind, of in rows:
                done = written_as in ids
                state = (UNDONE if kind == UNDO else WRITTEN) if done else WAITING
                file.execute("UPDATE entry SET state = ? WHERE id = ?", (state, id_))
                if done and of is not None:
                    file.execute("UPDATE entry SET state = ? WHERE id = ?", (UNDONE, of))

    def take_back(self, id_: str, undo_id: str) -> bool:
        """Take an entry back: at once where it still waits, else as an entry of its own. False where it cannot be."""
        with self._change() as file:
            if file.execute(
                "UPDATE entry SET state = ? WHERE id = ? AND state IN ('waiting', 'refused')", (UNDONE, id_)
            ).rowcount:
                return True
            one = self.of_id(id_)
            if one is None or one.state != WRITTEN or self._kept("of = ? AND state = ?", id_, WAITING):
                return False
        entered = Entered(UNDO, one.words, "", one.tapped.entered.day)
        return self.add(Tapped(undo_id, entered), Outcome(one.words), of=id_)

    def correct(self, id_: str, amount: str, name: str) -> bool:
        """Let an entry that was refused wait again, with another name or amount."""
        command = "UPDATE OR IGNORE entry SET state = ?, amount = ?, name = ?, said = '[]' WHERE id = ? AND state = ?"
        with self._change() as file:
            return file.execute(command, (WAITING, amount, name, id_, REFUSED)).rowcount > 0

    # Devices

    def pair(self, cookie: str, name: str) -> None:
        """Keep a device that was paired; `cookie` is the digest of what it carries."""
        with self._change() as file:
            file.execute("INSERT OR REPLACE INTO device VALUES (?, ?, ?)", (cookie, name, str(datetime.date.today())))

    def is_paired(self, cookie: str) -> bool:
        """Whether a device was paired and not sent away since."""
        with self._turn:
            return self._file.execute("SELECT 1 FROM device WHERE cookie = ?", (cookie,)).fetchone() is not None

    def devices(self) -> list[tuple[str, datetime.date]]:
        """Return what is paired: its name, and since when."""
        with self._turn:
            rows = self._file.execute("SELECT name, paired_on FROM device ORDER BY rowid").fetchall()
        return [(name, datetime.date.fromisoformat(day)) for name, day in rows]

    def send_away(self, but: str = "") -> None:
        """Forget every device, but for one."""
        with self._change() as file:
            file.execute("DELETE FROM device WHERE cookie != ?", (but,))


def _kept(
    id_: str,
    kind: str,
    name: str,
    amount: str,
    day: str,
    failed: str | None,
    of_plan: int,
    of: str | None,
    state: str,
    words: str,
    said: str,
) -> Kept:
    entered = Entered(kind, name, amount, datetime.date.fromisoformat(day), failed)
    return Kept(Tapped(id_, entered, bool(of_plan)), state, words, tuple(json.loads(said)), of)


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
