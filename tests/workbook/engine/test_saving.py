"""Saving in place: locks, changes by others, dated copies, modes, links, kills and full disks."""

from __future__ import annotations

import datetime
import errno
import os
import re
import signal
import sys
import textwrap
import types

import pytest
from tests import forked

from stillroom.errors import CouldNotWrite
from stillroom.household.results.commands import save_words
from stillroom.workbook.ooxml import save
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.files import put as lock
from stillroom.workbook.ooxml.files.put import machine
from stillroom.workbook.starter.start import start

STEPS = [
    "locks looked for", "compared with what was read", "opened beside", "half written", "written", "mode kept", "flushed", "verified",
    "compared again", "copy listed", "copy kept", "replaced", "folder flushed", "last kept", "old copies dropped",
]  # fmt: skip


def edited(path, value=99):
    book = Book.open(path)
    book.set("Plan", 4, 4, value)
    return book


def names(path):
    return sorted(one.name for one in path.parent.iterdir() if not one.name.startswith("."))


def left_beside(path):
    """Whatever of a save lies beside the file, but for the list of its copies and what was last written."""
    stays = (".copies", ".last")
    return [one.name for one in path.parent.iterdir() if one.name.startswith(".") and not one.name.endswith(stays)]


def minute(number):
    return datetime.datetime(2026, 8, 14, 9, 30) + datetime.timedelta(minutes=number)


def test_a_dated_copy_is_kept_and_the_last_three_stay(plan_file):
    data = [plan_file.read_bytes()]
    for number in range(5):
        receipt = edited(plan_file, number + 50).save(today=minute(number))
        assert receipt.backup == plan_file.with_name(f"pantry.before-2026-08-14-093{number}.xlsx")
        assert receipt.backup.read_bytes() == data[-1]
        data.append(plan_file.read_bytes())
    assert names(plan_file) == [
        "pantry.before-2026-08-14-0932.xlsx",
        "pantry.before-2026-08-14-0933.xlsx",
        "pantry.before-2026-08-14-0934.xlsx",
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
    assert len(names(plan_file)) == 7


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
@pytest.mark.parametrize("step", ["opened beside", "half written", "flushed", "verified", "copy listed", "copy kept"])
def test_an_error_of_the_system_at_any_step_changes_nothing(plan_file, monkeypatch, code, words, step):
    data = plan_file.read_bytes()

    def fail(reached):
        if reached == step:
            raise OSError(code, os.strerror(code))

    monkeypatch.setattr(save, "reached", fail)
    with pytest.raises(CouldNotWrite, match=words):
        edited(plan_file).save(today=minute(0))
    assert plan_file.read_bytes() == data
    assert names(plan_file) == ["pantry.xlsx"]
    assert not left_beside(plan_file)


def test_a_real_full_disk_changes_nothing(plan_file):
    """The size of every file is limited to a few bytes in a process of its own."""
    data = plan_file.read_bytes()
    code = """
        import sys
        from pathlib import Path
        from stillroom.errors import CouldNotWrite
        from stillroom.workbook.ooxml.book import Book
        book = Book.open(Path(sys.argv[1])); book.set("Plan", 4, 4, 5)
        try:
            book.save()
        except CouldNotWrite as error:
            print(error)
    """
    done = forked.command([str(plan_file)], code=textwrap.dedent(code), most_bytes=1000)
    assert done.code == 0
    assert done.out.startswith("pantry.xlsx: ")
    assert plan_file.read_bytes() == data
    assert names(plan_file) == ["pantry.xlsx"]


KILLED = """
    import os, signal, sys, datetime
    from pathlib import Path
    from stillroom.workbook.ooxml import save
    from stillroom.workbook.ooxml.files import put as lock
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
    done = forked.command([str(plan_file), step], code=textwrap.dedent(KILLED))
    assert done.code == -signal.SIGKILL, done.err
    replaced = STEPS.index(step) >= STEPS.index("replaced")
    assert plan_file.read_bytes() == (new if replaced else old)
    copies = [name for name in names(plan_file) if "before" in name]
    for copy in copies:
        assert plan_file.with_name(copy).read_bytes() == old
    edited(plan_file, 44).save(today=minute(5))
    assert not left_beside(plan_file)
    assert names(plan_file) == [
        *(["pantry.before-2026-08-14-0930.xlsx"] if replaced else []),
        "pantry.before-2026-08-14-0935.xlsx",
        "pantry.xlsx",
    ]
    left = sorted(one.name for one in plan_file.parent.iterdir() if one.name.startswith("."))
    assert left == [".pantry.xlsx.copies", ".pantry.xlsx.last"]
    assert plan_file.with_name(".pantry.xlsx.last").read_bytes() == plan_file.read_bytes()


def test_every_step_of_a_save_is_killed_at(plan_file, monkeypatch):
    seen = []
    monkeypatch.setattr(save, "reached", seen.append)
    edited(plan_file).save(today=minute(0))
    assert seen == STEPS
    assert len(STEPS) >= 12


def test_a_run_without_changes_cleans_up_after_a_killed_one(plan_file):
    done = forked.command([str(plan_file), "copy kept"], code=textwrap.dedent(KILLED))
    assert done.code == -signal.SIGKILL
    Book.open(plan_file).save()
    assert names(plan_file) == ["pantry.xlsx"]
    assert not left_beside(plan_file)


def test_two_runs_at_once_do_not_write_over_each_other(plan_file, monkeypatch):
    other = edited(plan_file, 1)

    def meanwhile(step):
        if step == "half written":
            monkeypatch.setattr(save, "reached", lambda _: None)
            monkeypatch.setattr(lock, "WAIT_SECONDS", 0.2)
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


def test_another_file_is_replaced_only_where_it_is_as_it_was_last_written(plan_file, tmp_path):
    """A neighbor's workbook under that name was replaced without a copy."""
    out = tmp_path / "out.xlsx"
    out.write_bytes(b"the neighbor's")
    with pytest.raises(CouldNotWrite, match=r"out\.xlsx is there already.*--replace"):
        edited(plan_file).save(out)
    assert out.read_bytes() == b"the neighbor's"
    receipt = edited(plan_file).save(out, minute(0), replace=True)
    assert receipt.backup == tmp_path / "out.before-2026-08-14-0930.xlsx"
    assert receipt.backup.read_bytes() == b"the neighbor's"
    assert Book.open(out).cell("Plan", 4, 4).value == 99
    assert edited(plan_file, 98).save(out).backup is None
    assert Book.open(out).cell("Plan", 4, 4).value == 98
    receipt = edited(plan_file).save(plan_file.parent / "." / "pantry.xlsx", today=minute(0))
    assert receipt.backup is not None


def test_a_file_that_our_own_commands_wrote_into_since_is_not_replaced(plan_file, tmp_path):
    """What was made was put into a planned copy; written again it was gone."""
    out = tmp_path / "out.xlsx"
    edited(plan_file, 1).save(out)
    edited(out, 2).save(today=minute(0))
    with pytest.raises(CouldNotWrite, match="may hold something of your own"):
        edited(plan_file, 3).save(out)
    assert Book.open(out).cell("Plan", 4, 4).value == 2


@pytest.mark.parametrize("step", ["opened beside", "half written", "flushed"])
def test_a_new_workbook_is_whole_or_not_there(step, tmp_path, monkeypatch):
    """And never in the place of one that came meanwhile."""
    path = tmp_path / "new.xlsx"

    def fail(reached):
        if reached == step:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(save, "reached", fail)
    with pytest.raises(CouldNotWrite, match=r"disk is full$"):
        start(path)
    assert not list(tmp_path.iterdir())
    monkeypatch.setattr(save, "reached", lambda reached: path.write_bytes(b"theirs") if reached == step else None)
    with pytest.raises(CouldNotWrite, match="already exists"):
        start(path)
    assert path.read_bytes() == b"theirs"
    assert [one.name for one in tmp_path.iterdir()] == [path.name]


def test_a_hard_link_that_is_split_is_said(plan_file):
    other = plan_file.with_name("other.xlsx")
    other.hardlink_to(plan_file)
    before = plan_file.read_bytes()
    receipt = edited(plan_file).save(today=minute(0))
    words = "pantry.xlsx had another name on this disk (hard link): that one is still as it was before."
    assert words in save_words(receipt)
    assert other.read_bytes() == before
    assert words not in save_words(edited(plan_file, 1).save(today=minute(1)))


def test_what_a_killed_run_left_is_cleared_away_and_nothing_else(plan_file):
    """A file of that form whose process runs is left alone, and so is whatever only looks like one."""
    done = forked.command([], code="import os; print(os.getpid())")
    gone, running = int(done.out), os.getppid()
    stays = [f".stillroom-{running}-{machine()}456789abcdef.new", f".stillroom-{gone}-0123.new", ".stillroom.new"]
    for name in (*stays, f".stillroom-{gone}-{machine()}456789abcdef.new"):
        plan_file.with_name(name).write_bytes(b"half")
    link = plan_file.with_name(f".stillroom-{gone}-{machine()}ba9876543210.new")
    link.symlink_to(plan_file)
    edited(plan_file).save(today=minute(0))
    assert sorted(left_beside(plan_file)) == sorted([*stays, link.name])


WAITS = """
    import sys
    from pathlib import Path
    from stillroom.workbook.ooxml.book import Book
    from stillroom.workbook.ooxml.files.put import alone
    path = Path(sys.argv[1])
    print("begun", flush=True)
    for _ in range(int(sys.argv[2])):
        with alone(path):
            book = Book.open(path)
            book.set("Plan", 4, 4, (book.cell("Plan", 4, 4).value or 0) + 1)
            book.save()
"""


def test_commands_at_once_wait_for_one_another_and_nothing_is_lost(plan_file):
    """Four processes add one three times each: the second reads what the first wrote."""
    edited(plan_file, 0).save(today=minute(0))
    running = [forked.begin([str(plan_file), "3"], code=textwrap.dedent(WAITS)) for _ in range(4)]
    said = [one.ended().err for one in running]
    assert said == [""] * 4
    assert Book.open(plan_file).cell("Plan", 4, 4).value == 12
    assert not left_beside(plan_file)


def test_a_lock_ends_with_its_process_and_a_file_of_anothers_is_no_lock(plan_file):
    mark = lock.lock_name(plan_file)
    mark.write_text("stillroom 999999\n")  # of a run that was killed
    with lock.alone(plan_file):
        assert mark.read_text() == f"stillroom {os.getpid()}\n"
    assert not mark.exists()
    mark.write_text("our diary")
    with lock.alone(plan_file):
        pass
    assert mark.read_text() == "our diary"
    mark.unlink()
    diary = plan_file.with_name("diary")
    diary.write_text("")
    mark.symlink_to(diary)
    with lock.alone(plan_file):
        edited(plan_file).save(today=minute(0))
    assert (mark.is_symlink(), diary.read_text()) == (True, "")


def test_the_lock_as_windows_has_it_is_held_let_go_and_taken_away(plan_file, monkeypatch):
    """A stand-in for its module locks by other means; what it refuses while a file is open is refused here too."""
    import fcntl

    def locking(descriptor, mode, count):
        assert (mode, count, os.lseek(descriptor, 0, os.SEEK_CUR)) == ("at once", 1, lock.LOCKED_BYTE)
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise PermissionError(errno.EACCES, "Permission denied") from None

    monkeypatch.setitem(sys.modules, "msvcrt", types.SimpleNamespace(locking=locking, LK_NBLCK="at once"))
    monkeypatch.setattr(lock, "WINDOWS", True)
    monkeypatch.setattr(lock, "WAIT_SECONDS", 0.0)
    mark = lock.lock_name(plan_file)
    with lock.alone(plan_file):
        assert mark.read_text() == f"stillroom {os.getpid()}\n"
        with pytest.raises(BlockingIOError):
            lock._take(mark)
    assert not mark.exists()
