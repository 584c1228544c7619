"""
What was tapped on the page, kept beside the workbook until it is written into it: durable before a page says so.

A hidden SQLite file, for its owner alone, that one process holds as long as it runs. What is written stays in it a few
days, so that a page sent twice is entered once; it is no second truth.
"""

from __future__ import annotations

import datetime
import json
import os
import sqlite3
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from stillroom.app.record.entries import Entered
from stillroom.app.record.taps import UNDO, Outcome, Tapped
from stillroom.errors import CouldNotWrite

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
