"""The sign of life: only on a terminal, only after a while, gone at the end."""

import io
import time

import pytest
from rich.console import Console

from stillroom.reports.terminal import lists
from stillroom.reports.terminal.lists import Waiting


def console(*, terminal):
    """A console that writes into memory."""
    return Console(file=io.StringIO(), force_terminal=terminal, width=80)


def test_nothing_is_shown_before_a_second_has_passed():
    """A quick command stays quiet."""
    where = console(terminal=True)
    with Waiting(where, "reading"):
        pass
    assert where.file.getvalue() == ""


def test_into_a_pipe_nothing_is_shown_at_all(monkeypatch):
    """However long it takes."""
    monkeypatch.setattr(lists, "PATIENCE_SECONDS", 0.01)
    where = console(terminal=False)
    with Waiting(where, "reading"):
        time.sleep(0.1)
    assert where.file.getvalue() == ""


def test_on_a_terminal_it_says_what_is_being_done_and_goes(monkeypatch):
    """The words follow, brackets are only brackets, and the line is erased at the end."""
    monkeypatch.setattr(lists, "PATIENCE_SECONDS", 0.01)
    where = console(terminal=True)
    with Waiting(where, "reading [kitchen].xlsx") as sign:
        time.sleep(0.2)
        sign.update("planning: targets 1")
        time.sleep(0.2)
    text = where.file.getvalue()
    assert "reading [kitchen].xlsx" in text
    assert "planning: targets 1" in text
    assert text.endswith("\x1b[?25h\r\x1b[1A\x1b[2K") or text.rstrip("\r").endswith("\x1b[2K")


def test_it_goes_when_something_goes_wrong(monkeypatch):
    """The cursor comes back and the thread ends."""
    monkeypatch.setattr(lists, "PATIENCE_SECONDS", 0.01)
    where = console(terminal=True)

    def fail():
        with Waiting(where, "reading"):
            time.sleep(0.1)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        fail()
    assert "\x1b[?25h" in where.file.getvalue()
