"""Putting files in place: kills, full disks, planted links, and what is remembered of what was put."""

from __future__ import annotations

import errno
import json
import os
import signal
import textwrap
import time
from pathlib import Path

import pytest
from tests import forked

from stillroom.errors import CouldNotWrite
from stillroom.workbook.ooxml.files import outputs
from stillroom.workbook.ooxml.files import put as put_module
from stillroom.workbook.ooxml.files.outputs import LIST, is_ours, put_output, refuse_strangers, remembered
from stillroom.workbook.ooxml.files.put import alone, machine, put

STEPS = ["opened beside", "written", "mode kept", "flushed", "replaced", "folder flushed"]


def writing(content):
    return lambda file: file.write(content)


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_every_step_is_told_in_order(tmp_path):
    seen = []
    put(tmp_path / "a.txt", writing(b"new"), at=seen.append)
    assert seen == STEPS


@pytest.mark.parametrize("step", STEPS[:-2])
@pytest.mark.parametrize("error", [OSError(errno.ENOSPC, "full"), KeyboardInterrupt()])
def test_a_failure_at_any_step_leaves_the_old_file_and_nothing_beside(tmp_path, step, error):
    path = tmp_path / "a.txt"
    path.write_bytes(b"old")

    def fail(reached):
        if reached == step:
            raise error

    with pytest.raises(type(error)):
        put(path, writing(b"new"), at=fail)
    assert (path.read_bytes(), names(tmp_path)) == (b"old", ["a.txt"])


KILLED = """
    import os, signal, sys
    from pathlib import Path
    from stillroom.workbook.ooxml.files import outputs
    from stillroom.workbook.ooxml.files.put import put
    def killed(step):
        if step == sys.argv[2]:
            os.kill(os.getpid(), signal.SIGKILL)
    outputs.put = lambda *words, **more: put(*words, **more, at=killed)
    outputs.put_output(Path(sys.argv[1]), lambda file: file.write(b"new"))
"""


@pytest.mark.parametrize("step", STEPS)
def test_after_a_kill_a_whole_file_of_ours_is_there_and_the_next_run_cleans_up(tmp_path, step):
    path = tmp_path / "a.txt"
    put_output(path, writing(b"old"))
    assert forked.command([str(path), step], code=textwrap.dedent(KILLED)).code == -signal.SIGKILL
    assert path.read_bytes() in (b"old", b"new")
    put_output(path, writing(b"newer"))
    assert (path.read_bytes(), names(tmp_path)) == (b"newer", [LIST, "a.txt"])


def test_a_command_that_writes_nothing_clears_what_a_killed_one_left_too(tmp_path):
    """The killed one may have done all there was to do."""
    path = tmp_path / "kitchen.xlsx"
    path.write_bytes(b"ours")
    left = tmp_path / f".stillroom-{2**31 - 1}-{machine()}456789abcdef.new"
    left.write_bytes(b"half")
    with alone(path):
        assert not left.exists()
    assert [one.name for one in tmp_path.iterdir()] == ["kitchen.xlsx"]


def test_mode_of_the_file_is_kept_and_a_new_one_gets_that_of_a_new_file(tmp_path):
    path = tmp_path / "a.txt"
    before = os.umask(0o027)
    try:
        put_output(path, writing(b"1"))
    finally:
        os.umask(before)
    assert path.stat().st_mode & 0o777 == 0o640
    path.chmod(0o604)
    put_output(path, writing(b"2"))
    assert path.stat().st_mode & 0o777 == 0o604


def test_only_our_own_unchanged_bytes_and_empty_files_are_replaced(tmp_path):
    path = tmp_path / "week.html"
    path.write_bytes(b"")
    assert put_output(path, writing(b"1")) is None
    assert put_output(path, writing(b"2")) is None
    path.write_bytes(b"notes")
    with pytest.raises(CouldNotWrite, match=r"week\.html is there already"):
        put_output(path, writing(b"3"))
    assert path.read_bytes() == b"notes"
    path.write_bytes(b"3")  # the same bytes: nothing is lost
    assert put_output(path, writing(b"3")) is None
    path.unlink()
    path.symlink_to(tmp_path / "else")
    with pytest.raises(CouldNotWrite):
        refuse_strangers([path])
    copy = put_output(path, writing(b"4"), replace=True)
    assert copy.is_symlink()
    assert path.read_bytes() == b"4"
    assert not (tmp_path / "else").exists()


def test_a_copy_is_taken_back_when_what_it_was_kept_for_comes_to_nothing(tmp_path, monkeypatch):
    path = tmp_path / "a.txt"
    path.write_bytes(b"theirs")

    def full(*_):
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(outputs, "remember", full)
    with pytest.raises(OSError, match="full"):
        put_output(path, writing(b"ours"), replace=True)
    assert (path.read_bytes(), names(tmp_path)) == (b"theirs", ["a.txt"])


def test_what_another_machine_is_writing_is_left_alone(tmp_path, monkeypatch):
    """In a shared folder: the number of a process there is that of none here."""
    others = tmp_path / f".stillroom-{2**31 - 1}-{int(machine(), 16) ^ 1:04x}456789abcdef.new"
    others.write_bytes(b"half")
    put(tmp_path / "a.txt", writing(b"new"))
    assert others.read_bytes() == b"half"
    monkeypatch.setattr(put_module, "LEFT_OVER_SECONDS", -1.0)
    put(tmp_path / "a.txt", writing(b"newer"))
    assert names(tmp_path) == ["a.txt"]


def test_what_was_taken_away_before_its_move_is_not_taken_for_written(tmp_path):
    path, undone = tmp_path / "a.txt", []
    path.write_bytes(b"old")
    put_module.moved.clear()

    def take_away(_):
        [beside] = tmp_path.glob(".stillroom-*.new")
        beside.unlink()

    with pytest.raises(FileNotFoundError):
        put(path, writing(b"new"), ready=take_away, undo=lambda: undone.append(path))
    assert (path.read_bytes(), undone, put_module.moved) == (b"old", [path], [])


def test_where_the_name_leaves_no_room_for_hidden_ones_the_file_is_put(tmp_path):
    path = tmp_path / ("n" * 251 + ".csv")
    assert put_output(path, writing(b"new")) is None
    assert path.read_bytes() == b"new"


def test_the_list_survives_lines_that_were_cut_short_and_stays_short(tmp_path, monkeypatch):
    path = tmp_path / 'odd "ñame"\n.txt'
    put_output(path, writing(b"1"), made_of="kitchen")
    with (tmp_path / LIST).open("ab") as file:
        file.write(b'\n["abc", "cut')
    put_output(tmp_path / "b.txt", writing(b"2"))
    assert is_ours(path)
    assert is_ours(path, made_of="kitchen")
    assert not is_ours(path, made_of="another")
    assert is_ours(tmp_path / "b.txt")
    monkeypatch.setattr(outputs, "MOST_LINES", 20)
    for number in range(60):
        put_output(tmp_path / "b.txt", writing(b"%d" % number))
    assert sum(map(len, remembered(tmp_path).values())) <= 24
    assert is_ours(path)
    assert is_ours(tmp_path / "b.txt")
    assert all(json.loads(line) for line in (tmp_path / LIST).read_text().split("\n") if line)


def test_on_windows_a_file_that_is_being_read_is_replaced_a_moment_later(tmp_path, monkeypatch):
    target, tries = tmp_path / "kitchen.xlsx", []
    target.write_bytes(b"old")
    replace = Path.replace

    def refused_twice(beside, to):
        tries.append(to)
        if len(tries) < 3:
            raise PermissionError(errno.EACCES, "Access is denied")
        return replace(beside, to)

    monkeypatch.setattr(put_module, "WINDOWS", True)
    monkeypatch.setattr(put_module, "WAITS", (0.0, 0.0, 0.0))
    monkeypatch.setattr(Path, "replace", refused_twice)
    put(target, lambda file: file.write(b"new"))
    assert (target.read_bytes(), len(tries)) == (b"new", 3)
    monkeypatch.setattr(put_module, "WAITS", ())
    tries.clear()
    with pytest.raises(PermissionError):
        put(target, lambda file: file.write(b"newer"))
    assert [one.name for one in tmp_path.iterdir()] == ["kitchen.xlsx"]
    assert target.read_bytes() == b"new"


def test_on_windows_only_an_old_left_over_is_cleared_away(tmp_path, monkeypatch):
    monkeypatch.setattr(put_module, "WINDOWS", True)
    monkeypatch.setattr(put_module, "is_running", None)
    fresh, old = (tmp_path / f".stillroom-999999-{digit * 16}.new" for digit in "ab")
    fresh.write_bytes(b"of a run at work")
    old.write_bytes(b"of a run that was killed")
    long_ago = time.time() - 2 * put_module.LEFT_OVER_SECONDS
    os.utime(old, (long_ago, long_ago))
    put_module.clear_left_overs(tmp_path)
    assert (fresh.exists(), old.exists()) == (True, False)
