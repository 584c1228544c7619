"""Saving in place: locks, changes by others, dated copies, modes, links, kills and full disks."""

from __future__ import annotations

import datetime
import errno
import os
import re
import signal
import subprocess
import sys
import textwrap

import pytest

from stillroom.errors import CouldNotWrite
from stillroom.workbook.ooxml import save
from stillroom.workbook.ooxml import save as backups
from stillroom.workbook.ooxml.book import Book

STEPS = [
    "locks looked for", "compared with what was read", "lock taken", "opened beside", "half written", "written", "mode kept", "flushed", "verified",
    "compared again", "copy listed", "copy kept", "replaced", "folder flushed", "old copies dropped",
]  # fmt: skip


def edited(path, value=99):
    book = Book.open(path)
    book.set("Plan", 4, 4, value)
    return book


def names(path):
    return sorted(one.name for one in path.parent.iterdir() if not one.name.startswith("."))


def minute(number):
    return datetime.datetime(2026, 8, 14, 9, 30) + datetime.timedelta(minutes=number)


def test_a_dated_copy_is_kept_and_the_last_two_stay(plan_file):
    data = [plan_file.read_bytes()]
    for number in range(4):
        receipt = edited(plan_file, number + 50).save(today=minute(number))
        assert receipt.backup == plan_file.with_name(f"pantry.before-2026-08-14-093{number}.xlsx")
        assert receipt.backup.read_bytes() == data[-1]
        data.append(plan_file.read_bytes())
    assert names(plan_file) == [
        "pantry.before-2026-08-14-0932.xlsx",
        "pantry.before-2026-08-14-0933.xlsx",
        "pantry.xlsx",
    ]


def test_copies_that_are_not_ours_or_were_changed_since_are_never_touched(plan_file):
    theirs = plan_file.with_name("pantry.before-2020-01-01-0000.xlsx")
    theirs.write_bytes(b"theirs")
    taken = plan_file.with_name("pantry.before-2026-08-14-0930.xlsx")
    taken.write_bytes(b"also theirs")
    first = edited(plan_file, 1).save(today=minute(0))
    assert first.backup.name == "pantry.before-2026-08-14-0930-2.xlsx"
    first.backup.write_bytes(b"edited by the household")
    for number in range(1, 5):
        edited(plan_file, number + 50).save(today=minute(number))
    assert theirs.read_bytes() == b"theirs"
    assert taken.read_bytes() == b"also theirs"
    assert first.backup.read_bytes() == b"edited by the household"
    assert len(names(plan_file)) == 6


@pytest.mark.parametrize("lock", ["~$pantry.xlsx", ".~lock.pantry.xlsx#"])
def test_a_workbook_that_is_open_elsewhere_is_left_alone(plan_file, lock):
    data = plan_file.read_bytes()
    plan_file.with_name(lock).write_bytes(b"")
    with pytest.raises(CouldNotWrite, match=re.escape(lock)):
        edited(plan_file).save()
    assert plan_file.read_bytes() == data
    assert names(plan_file) in (["pantry.xlsx"], ["pantry.xlsx", lock], [lock, "pantry.xlsx"])


def test_a_workbook_that_another_program_changed_is_left_alone(plan_file, monkeypatch):
    book = edited(plan_file)
    data = plan_file.read_bytes()
    plan_file.write_bytes(data + b"")
    book.save()  # the same bytes again are no change
    book = edited(plan_file, 5)
    plan_file.write_bytes(data)
    with pytest.raises(CouldNotWrite, match="changed by another program"):
        book.save()
    assert plan_file.read_bytes() == data
    book = edited(plan_file, 7)

    def meddle(step):
        if step == "verified":
            plan_file.write_bytes(b"typed meanwhile")

    monkeypatch.setattr(save, "reached", meddle)
    with pytest.raises(CouldNotWrite, match="changed by another program"):
        book.save()
    assert plan_file.read_bytes() == b"typed meanwhile"


def test_mode_and_times_of_the_copy_are_kept_and_links_are_followed(plan_file, tmp_path):
    plan_file.chmod(0o640)
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    link = folder / "link.xlsx"
    link.symlink_to(plan_file)
    before = plan_file.stat()
    receipt = edited(link).save(today=minute(0))
    assert link.is_symlink()
    assert receipt.path == plan_file
    assert receipt.backup.parent == plan_file.parent
    after = plan_file.stat()
    assert (after.st_mode, after.st_uid, after.st_gid) == (before.st_mode, before.st_uid, before.st_gid)
    assert receipt.backup.stat().st_mtime_ns == before.st_mtime_ns
    assert [one.name for one in folder.iterdir()] == ["link.xlsx"]


@pytest.mark.parametrize(("mask", "mode"), [(0o022, 0o644), (0o077, 0o600)])
def test_a_copy_has_the_mode_of_a_new_file_and_the_mask_of_the_process_is_left_alone(
    mask, mode, plan_file, tmp_path, monkeypatch
):
    before = os.umask(mask)
    try:
        with monkeypatch.context() as meanwhile:
            meanwhile.setattr("os.umask", lambda _: pytest.fail("it was changed for every thread"))
            edited(plan_file).save(tmp_path / "out.xlsx")
    finally:
        os.umask(before)
    assert (tmp_path / "out.xlsx").stat().st_mode & 0o7777 == mode


@pytest.mark.skipif(os.geteuid() != 0, reason="only root may give files away")
def test_the_owner_is_kept(plan_file):
    os.chown(plan_file, 1234, 2345)
    edited(plan_file).save(today=minute(0))
    assert (plan_file.stat().st_uid, plan_file.stat().st_gid) == (1234, 2345)


def test_a_file_or_folder_that_may_only_be_read_is_said(plan_file, tmp_path):
    plan_file.chmod(0o444)
    data = plan_file.read_bytes()
    with pytest.raises(CouldNotWrite, match="may only be read"):
        edited(plan_file).save()
    assert plan_file.read_bytes() == data
    plan_file.chmod(0o644)
    with pytest.raises(CouldNotWrite, match="no such folder"):
        edited(plan_file).save(tmp_path / "none" / "out.xlsx")


@pytest.mark.parametrize(
    ("code", "words"),
    [(errno.ENOSPC, "disk is full"), (errno.EDQUOT, "share of the disk"), (errno.EACCES, "may not write"), (errno.EROFS, "only be read"),
     (errno.EXDEV, "cannot replace"), (errno.EBUSY, "another program"), (errno.EIO, "Input/output")],
)  # fmt: skip
@pytest.mark.parametrize("step", ["lock taken", "half written", "flushed", "verified", "copy listed", "copy kept"])
def test_an_error_of_the_system_at_any_step_changes_nothing(plan_file, monkeypatch, code, words, step):
    data = plan_file.read_bytes()

    def fail(reached):
        if reached == step:
            raise OSError(code, os.strerror(code))

    monkeypatch.setattr(save, "reached", fail)
    monkeypatch.setattr(backups, "reached", fail)
    with pytest.raises(CouldNotWrite, match=words) as error:
        edited(plan_file).save(today=minute(0))
    assert "nothing was changed" in str(error.value)
    assert plan_file.read_bytes() == data
    assert names(plan_file) == ["pantry.xlsx"]
    assert not save.beside_name(plan_file).exists()


def test_a_real_full_disk_changes_nothing(plan_file):
    """The size of every file is limited to a few bytes in a process of its own."""
    data = plan_file.read_bytes()
    code = """
        import resource, signal, sys
        from pathlib import Path
        from stillroom.errors import CouldNotWrite
        from stillroom.workbook.ooxml.book import Book
        book = Book.open(Path(sys.argv[1])); book.set("Plan", 4, 4, 5)
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))
        try:
            book.save()
        except CouldNotWrite as error:
            print(error)
    """
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(code), str(plan_file)], capture_output=True, text=True, check=True
    )
    assert "nothing was changed" in done.stdout
    assert plan_file.read_bytes() == data
    assert names(plan_file) == ["pantry.xlsx"]


KILLED = """
    import os, signal, sys, datetime
    from pathlib import Path
    from stillroom.workbook.ooxml import save
    from stillroom.workbook.ooxml.book import Book
    path = Path(sys.argv[1])
    def reached(step):
        if step == sys.argv[2]:
            os.kill(os.getpid(), signal.SIGKILL)
    book = Book.open(path)
    book.set("Plan", 4, 4, 99)
    save.reached = reached
    book.save(today=datetime.datetime(2026, 8, 14, 9, 30))
"""


@pytest.fixture(scope="session")
def new_bytes(tmp_path_factory, hand):
    path = hand.pack(tmp_path_factory.mktemp("new") / "pantry.xlsx", hand.plan_parts())
    old = path.read_bytes()
    edited(path).save(today=minute(0))
    return old, path.read_bytes()


@pytest.mark.parametrize("step", STEPS)
def test_after_a_kill_the_old_or_the_new_file_is_whole_and_the_next_run_cleans_up(plan_file, new_bytes, step):
    old, new = new_bytes
    assert plan_file.read_bytes() == old
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(KILLED), str(plan_file), step], capture_output=True, check=False
    )
    assert done.returncode == -signal.SIGKILL, done.stderr.decode()
    replaced = STEPS.index(step) >= STEPS.index("replaced")
    assert plan_file.read_bytes() == (new if replaced else old)
    copies = [name for name in names(plan_file) if "before" in name]
    for copy in copies:
        assert plan_file.with_name(copy).read_bytes() == old
    edited(plan_file, 44).save(today=minute(5))
    assert not save.beside_name(plan_file).exists()
    assert names(plan_file) == [
        *(["pantry.before-2026-08-14-0930.xlsx"] if replaced else []),
        "pantry.before-2026-08-14-0935.xlsx",
        "pantry.xlsx",
    ]
    left = sorted(one.name for one in plan_file.parent.iterdir() if one.name.startswith("."))
    assert left == [".pantry.xlsx.copies"]


def test_every_step_of_a_save_is_killed_at(plan_file, monkeypatch):
    seen = []
    monkeypatch.setattr(save, "reached", seen.append)
    monkeypatch.setattr(backups, "reached", seen.append)
    edited(plan_file).save(today=minute(0))
    assert seen == STEPS
    assert len(STEPS) >= 12


def test_a_run_without_changes_cleans_up_after_a_killed_one(plan_file):
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(KILLED), str(plan_file), "copy kept"], capture_output=True, check=False
    )
    assert done.returncode == -signal.SIGKILL
    Book.open(plan_file).save()
    assert names(plan_file) == ["pantry.xlsx"]
    assert not save.beside_name(plan_file).exists()


def test_two_runs_at_once_do_not_write_over_each_other(plan_file, monkeypatch):
    other = edited(plan_file, 1)

    def meanwhile(step):
        if step == "half written":
            monkeypatch.setattr(save, "reached", lambda _: None)
            with pytest.raises(CouldNotWrite, match="another run"):
                other.save()

    monkeypatch.setattr(save, "reached", meanwhile)
    edited(plan_file, 2).save(today=minute(0))
    assert Book.open(plan_file).cell("Plan", 4, 4).value == 2


def test_where_no_second_name_can_be_made_the_bytes_are_copied(plan_file, monkeypatch):
    def no_link(*_):
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(os, "link", no_link)
    data = plan_file.read_bytes()
    receipt = edited(plan_file).save(today=minute(0))
    assert receipt.backup.read_bytes() == data
    assert len(names(plan_file)) == 2


def test_writing_to_another_file_replaces_it_whole_and_keeps_no_copy(plan_file, tmp_path):
    out = tmp_path / "out.xlsx"
    out.write_bytes(b"before")
    receipt = edited(plan_file).save(out)
    assert receipt.backup is None
    assert Book.open(out).cell("Plan", 4, 4).value == 99
    assert names(plan_file) == ["out.xlsx", "pantry.xlsx"]
    receipt = edited(plan_file).save(plan_file.parent / "." / "pantry.xlsx", today=minute(0))
    assert receipt.backup is not None
