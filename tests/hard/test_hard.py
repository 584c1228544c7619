"""A little of what `tests/bench.py hard` does at length: random workbooks, two commands at once, a full disk."""

from __future__ import annotations

import pytest
from tests.hard import branches, ordeal, troubles
from tests.small_kitchen import build

from stillroom.cli.program import ORDER


def test_random_workbooks_end_in_words_and_lose_nothing(tmp_path):
    wrong, codes = [], []
    for number in range(12):
        found, code = ordeal.complaints(number, tmp_path)
        wrong += found
        codes.append(code)
    assert wrong == []
    assert {0, 1} <= set(codes)


def test_of_two_commands_at_once_none_loses_the_other_s_work(tmp_path):
    assert troubles.two_at_once(build(tmp_path / "kitchen.xlsx"), rounds=2) == []


def test_a_disk_that_fills_at_any_byte_leaves_the_file_as_it_was(tmp_path):
    assert troubles.full_disk(build(tmp_path / "kitchen.xlsx"), steps=3) == []


@pytest.mark.parametrize(("name", "share"), [("start", 0.3), ("pages", 0.4), ("plan-all", 0.2)])
def test_a_disk_that_fills_leaves_every_file_as_it_was_or_new_and_whole(tmp_path, name, share):
    """All commands at all sizes are the bench's."""
    assert not troubles.full_disk_of(tmp_path / "home", name, share)


@pytest.mark.parametrize("name", ["plan --out", "made"])
def test_a_kill_leaves_every_file_as_it_was_or_new_and_whole(tmp_path, name):
    """All commands at many moments are the bench's."""
    assert not troubles.stopped_at_any_moment(tmp_path / "home", name, 1)


def test_the_bench_has_every_command_that_writes():
    tried = {words[0] for words in troubles.COMMANDS.values()}
    assert tried | set(troubles.ONLY_READ) | set(troubles.SERVES) == set(ORDER)
    assert not tried & set(troubles.ONLY_READ)


@pytest.mark.parametrize(("name", "output"), [("plan --out", "csv/plan.csv"), ("labels", "paper/labels.html")])
def test_own_files_and_links_in_the_way_are_kept(tmp_path, name, output):
    """All outputs of all commands are the bench's."""
    assert not troubles.own_file_in_the_way(tmp_path / "one", name, output, replace=False)
    assert not troubles.link_in_the_way(tmp_path / "two", name, output, replace=True)


@pytest.mark.parametrize("seed", [1, 4, 6, 11, 14, 19])
def test_in_a_history_of_two_copies_every_branch_is_noticed_and_no_weighing_lost(tmp_path, seed):
    """200 longer ones, some of them through LibreOffice, are the bench's."""
    assert branches.complaints(seed, tmp_path, steps=7) == []


def test_a_branch_that_is_not_noticed_would_be(tmp_path, monkeypatch):
    monkeypatch.setattr(branches, "another_branch", lambda *_: ())
    assert any(
        "is not noticed" in line for seed in (1, 4) for line in branches.complaints(seed, tmp_path / str(seed), steps=7)
    )


def test_a_traceback_and_a_changed_file_would_be_noticed(tmp_path, monkeypatch):
    def broken(words):
        raise RuntimeError(words)

    monkeypatch.setattr(ordeal, "run", broken)
    wrong, _ = ordeal.complaints(5, tmp_path)
    assert any("ends in a traceback" in line for line in wrong)
