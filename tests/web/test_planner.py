"""Planning on the page: nothing is written before it is kept, and only into the workbook it was made for."""

from __future__ import annotations

import os
import threading
import time
from multiprocessing.connection import Connection

import pytest
from tests.small_kitchen import FRIDAY, build
from tests.web.asks import TOMATO, came_in, device, opened

from stillroom.app import journal as entries
from stillroom.app.plan import read_workbook
from stillroom.web import planner
from stillroom.web.planner import FAILED, IDLE, KEEPING, KEPT, READY, RUNNING, SAME

SECONDS = 90


def waited(page, *states):
    """Wait until planning is in one of these states."""
    until = time.monotonic() + SECONDS
    while page.planner.now.state not in states:
        assert time.monotonic() < until, page.planner.now
        assert page.planner.now.state in (RUNNING, KEEPING), page.planner.now
        time.sleep(0.02)
    return page.planner.now


@pytest.fixture
def in_a_thread(monkeypatch):
    """Plan in a thread of this process: only how it is started is another."""

    class Context:
        @staticmethod
        def Pipe():  # noqa: N802 - as multiprocessing calls it
            return planner.multiprocessing.Pipe()

        @staticmethod
        def Process(target, args, daemon):  # noqa: N802
            theirs, *rest = args
            args = (Connection(os.dup(theirs.fileno())), *rest)  # the planner closes its own

            class Work(threading.Thread):
                def kill(self):
                    """A thread ends when its pipe is closed."""

                def join(self, timeout=None):
                    """Nobody waits for it."""

            return Work(target=target, args=args, daemon=daemon)

    monkeypatch.setattr(planner.multiprocessing, "get_context", lambda _: Context)


def test_a_plan_is_made_in_another_process_with_what_waits_and_written_when_kept(workbook):
    page = opened(workbook)
    tablet = device(page)
    try:
        before = workbook.read_bytes()
        lock = workbook.with_name(f".~lock.{workbook.name}#")
        lock.write_text("someone")
        tablet.came("40")
        assert tablet.form("/plan/start", back="/plan").headers["location"] == "/plan"
        assert page.planner.now.state == RUNNING
        tablet.form("/plan/start", back="/plan")  # one at a time: the second tap begins nothing
        found = waited(page, READY)
        assert workbook.read_bytes() == before
        assert any(step.startswith("planning: ") for step in found.steps)
        assert tablet.form("/plan/keep", back="/plan").status == 503  # still open elsewhere
        assert page.planner.now.state == READY
        lock.unlink()
        assert tablet.form("/plan/keep", back="/plan").status == 303
        waited(page, KEPT)
        assert "is in your workbook" in tablet.open("/plan")
        assert came_in(workbook) == [60, 40]
        assert page.keeper.seen().look.morning.note == ""
    finally:
        page.close()


def test_a_plan_is_not_written_into_a_workbook_that_changed_since(workbook, page, tablet, in_a_thread):
    tablet.came("40")
    tablet.form("/plan/start")
    waited(page, READY)
    page.keeper.turn()
    entries.weigh(workbook, TOMATO, "7 lb", None, FRIDAY)
    tablet.form("/plan/keep")
    assert waited(page, FAILED).words == planner.CHANGED
    assert page.keeper.seen().look.morning.note


def test_a_plan_that_is_left_is_not_written(workbook, page, tablet, in_a_thread):
    before = workbook.read_bytes()
    tablet.form("/plan/start")
    assert waited(page, SAME).words == "The plan in your workbook is up to date."
    tablet.form("/plan/start", after=str(FRIDAY))
    found = waited(page, READY)
    assert found.changes
    said = tablet.open("/plan")
    assert all(words in said for change in found.changes for words in change)
    tablet.form("/plan/leave")
    assert page.planner.now.state == IDLE
    tablet.form("/plan/keep")
    assert (page.planner.now.state, workbook.read_bytes()) == (IDLE, before)


def test_a_day_that_is_over_moves_the_first_day(workbook, page, tablet, in_a_thread):
    tablet.made()
    tablet.form("/plan/start", after=str(FRIDAY))
    waited(page, READY)
    tablet.form("/plan/keep")
    waited(page, KEPT)
    kitchen = read_workbook(workbook, FRIDAY).typed.kitchen
    assert kitchen.first_day.day == FRIDAY.day + 1


def test_a_workbook_with_errors_gets_no_plan_and_it_is_said_why(tmp_path, in_a_thread):
    path = build(tmp_path / "kitchen.xlsx", Crops=[{"Crop": "plum tomato", "Keeps days": "soon", "Unit": "lb"}])
    page = opened(path)
    try:
        tablet = device(page)
        tablet.form("/plan/start")
        assert "Crops!C2" in waited(page, FAILED).words
        assert "Crops!C2" in tablet.open("/workbook")
    finally:
        page.close()


def test_progress_is_told_until_there_is_something_to_answer(page, tablet, in_a_thread):
    tablet.form("/plan/start", after=str(FRIDAY))
    told = tablet.send("GET", "/plan/events")
    assert told.headers["content-type"].startswith("text/event-stream")
    assert '"state": "ready"' in told.text.strip().splitlines()[-1]
    assert "planning: " in told.text


def test_a_planner_that_dies_says_so(page, tablet):
    tablet.form("/plan/start", after=str(FRIDAY))
    page.planner._process.kill()
    assert "ended before" in waited(page, FAILED).words


def test_pictures_are_given_by_their_names_alone(page, tablet):
    assert 'src="/picture/jars"' in tablet.open("/winter")
    answer = tablet.send("GET", "/picture/jars")
    assert (answer.status, answer.headers["content-type"]) == (200, "image/png")
    assert tablet.send("GET", "/picture/page.css").status == 404
