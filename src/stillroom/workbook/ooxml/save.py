"""Putting a new workbook in the place of the old one, so that at every moment one of the two is whole."""

from __future__ import annotations

import contextlib
import dataclasses
import datetime
import hashlib
import os
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from stillroom.errors import CouldNotWrite
from stillroom.household.results.commands import Receipt
from stillroom.workbook.ooxml.edits import Written
from stillroom.workbook.ooxml.files.copies import (
    begin_anew,
    clean_up,
    copy_name,
    drop_old_copies,
    forget_copy,
    history,
    keep_copy,
    keep_last,
    set_aside,
)
from stillroom.workbook.ooxml.files.outputs import put_output
from stillroom.workbook.ooxml.files.put import clear_left_overs, locked, put, why_not
from stillroom.workbook.ooxml.verify import package as verify


def reached(step: str) -> None:
    """Mark a step of a save; it does nothing, and the tests stop the program here."""


def save_workbook(
    source_path: Path,
    source: bytes,
    written: Written,
    out: Path | None,
    today: datetime.datetime | None,
    *,
    replace: bool = False,
    in_file: bytes | None = None,
) -> Receipt:
    """
    Save; raises CouldNotWrite with nothing changed.

    ``in_file`` is what stands in the file where that is not ``source``, which has verified edits of its own already.

    ``out`` None, or the workbook itself, replaces it and keeps a dated copy; any other file is written only where
    nothing is or what we last put there, or with ``replace``, which keeps a dated copy of it. Steps: look for locks,
    compare with what was read, write beside, flush, verify, compare again, keep another branch, keep the dated copy,
    replace, flush the folder, keep what was written, drop old copies.
    """
    target = Path(os.path.realpath(source_path if out is None else out))
    in_place = out is None or (target.exists() and source_path.exists() and target.samefile(source_path))
    with _plain_reasons(target):
        if in_place:
            with locked(target):
                return _replace(target, source, written, today or datetime.datetime.now(), in_file or source)
        if out == source_path:
            return _write_new(target, source, written, today or datetime.datetime.now())
        return _write_out(target, source, written, today, replace=replace)


@contextlib.contextmanager
def _plain_reasons(target: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise CouldNotWrite(f"{target.name}: {why_not(error)}") from error


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
        too_short=written.too_short,
    )


def _replace(target: Path, source: bytes, written: Written, today: datetime.datetime, in_file: bytes) -> Receipt:
    clean_up(target)
    if not written.changed and source == in_file:
        clear_left_overs(target.parent)
        return _receipt(target, written, None, saved=False)
    refuse_locked(target)
    reached("locks looked for")
    _refuse_changed(target, in_file)
    reached("compared with what was read")
    copy: list[Path] = []
    wrote: list[bytes] = []

    def ready(new: bytes) -> None:
        verify_new(source, new, written, target)
        refuse_locked(target)
        _refuse_changed(target, in_file)
        reached("compared again")
        set_aside(target, in_file, today)
        wrote.append(new)
        name = copy_name(target, today)
        keep_copy(target, name, hashlib.sha256(in_file).hexdigest(), reached)
        copy.append(name)
        reached("copy kept")

    def undo() -> None:
        forget_copy(target, copy[0] if copy else None)

    names = target.stat().st_nlink
    put(target, lambda file: _fill(file, written), like=target, ready=ready, undo=undo, at=reached)
    keep_last(target, wrote[0])
    reached("last kept")
    drop_old_copies(target, history(wrote[0]))
    reached("old copies dropped")
    return dataclasses.replace(_receipt(target, written, copy[0], saved=True), other_names=names - 1)


def _write_new(target: Path, source: bytes, written: Written, today: datetime.datetime) -> Receipt:
    """Write a workbook that was not there before; one that is there by now is left alone."""
    try:
        put(
            target,
            lambda file: _fill(file, written),
            ready=lambda new: verify_new(source, new, written, target),
            at=reached,
            fresh=True,
        )
    except FileExistsError:
        msg = f"{target} already exists; choose another name, or move that file first"
        raise CouldNotWrite(msg) from None
    begin_anew(target, today)
    return _receipt(target, written, None, saved=True)


def _write_out(
    target: Path, source: bytes, written: Written, today: datetime.datetime | None, *, replace: bool
) -> Receipt:
    refuse_locked(target)
    copy = put_output(
        target,
        lambda file: _fill(file, written),
        replace=replace,
        check=lambda new: verify_new(source, new, written, target),
        today=today,
    )
    return _receipt(target, written, copy, saved=True)


def _fill(file: IO[bytes], written: Written) -> None:
    """Write the new workbook piece by piece."""
    pieces = written.package.pieces()
    written.package.let_go()
    for number, piece in enumerate(pieces):
        file.write(piece)
        if number == len(pieces) // 2:
            file.flush()
            reached("half written")


def verify_new(source: bytes, new: bytes, written: Written, target: Path) -> None:
    """Raise CouldNotWrite when the new file differs from the old one in anything but what was to be written."""
    complaints = verify.complaints(source, new, written.claims)
    reached("verified")
    if complaints:
        raise CouldNotWrite(f"{target.name}: the check of the new file failed ({complaints[0]})")


def refuse_locked(target: Path) -> None:
    """Look for the lock files of office programs, and for a file that may only be read."""
    for lock in (f"~${target.name}", f".~lock.{target.name}#"):
        if os.path.lexists(target.with_name(lock)):
            raise CouldNotWrite(
                f"{target.name} is open in another program; close it there and try again "
                f"(if it is open nowhere, delete the left-over file {lock})"
            )
    if target.exists() and not target.stat().st_mode & 0o222:
        raise CouldNotWrite(f"{target.name} may only be read; allow writing to it first")
    if target.exists() and not os.access(target, os.W_OK):
        raise CouldNotWrite(f"{target.name}: you may not write to it")


def _refuse_changed(target: Path, source: bytes) -> None:
    now = target.read_bytes()
    if now != source:
        raise CouldNotWrite(f"{target.name} was changed by another program after it was read; run the command again")
