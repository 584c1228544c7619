"""The command `open`: where it listens, what it says, and what it says when it cannot."""

from __future__ import annotations

import io
import socket
import sys

import pytest
import uvicorn

from stillroom.cli import run
from stillroom.errors import CommandWrong
from stillroom.web import serve


@pytest.fixture
def opened(monkeypatch):
    """What the command would serve, and where it would listen; it stops at once."""
    found = {}

    def stop_at_once(self, sockets):
        found["at"] = [one.getsockname() for one in sockets]
        found["app"] = self.config.app
        for one in sockets:
            one.close()
        raise KeyboardInterrupt

    monkeypatch.setattr(uvicorn.Server, "run", stop_at_once)
    monkeypatch.setattr(serve, "own_address", lambda: "127.0.0.2")
    return found


@pytest.fixture
def port():
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


def test_it_listens_to_this_machine_alone_and_opens_the_browser(workbook, opened, port, monkeypatch, capsys):
    shown = []
    monkeypatch.setattr("webbrowser.open", shown.append)
    assert run(["open", str(workbook), "--port", str(port)]) == 0
    assert opened["at"] == [("127.0.0.1", port)]
    assert [f"/?key={opened['app'].pairing.key}" in one for one in shown] == [True]
    assert shown[0] in capsys.readouterr().out
    assert opened["app"].hosts == {f"127.0.0.1:{port}", f"localhost:{port}"}


def test_shared_it_shows_the_code_its_picture_and_what_plain_http_means(workbook, opened, port, capsys):
    assert run(["open", str(workbook), "--share", "--no-browser", "--port", str(port)]) == 0
    said = capsys.readouterr().out
    assert opened["at"] == [("127.0.0.1", port), ("127.0.0.2", port)]
    assert f"http://127.0.0.2:{port} and the code {opened['app'].pairing.code}" in said
    assert "█" in said
    assert "not encrypted" in said


def test_a_port_that_is_taken_gets_another(workbook, opened, port):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", port))
        taken.listen()
        assert run(["open", str(workbook), "--no-browser", "--port", str(port)]) == 0
    assert opened["at"][0][1] != port


def test_without_the_packages_it_says_how_to_install_them(workbook, monkeypatch, capsys):
    monkeypatch.delitem(sys.modules, "stillroom.web.serve")
    monkeypatch.setitem(sys.modules, "uvicorn", None)
    assert run(["open", str(workbook)]) == CommandWrong.exit_code
    assert "needs uvicorn too. Run: python -m pip install 'stillroom[kitchen]'" in capsys.readouterr().err


def test_what_is_no_workbook_is_refused_and_nothing_is_left_beside_it(tmp_path, opened, port, capsys):
    assert run(["open", str(tmp_path / "none.xlsx"), "--no-browser", "--port", str(port)]) == 1
    assert "none.xlsx" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_page_that_is_open_already_is_not_opened_twice(workbook, page, opened, port, capsys):
    assert run(["open", str(workbook), "--no-browser", "--port", str(port)]) == 3
    assert "its kitchen page is open already" in capsys.readouterr().err


def test_without_a_workbook_the_page_asks_for_one(opened, port, tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", port))
        taken.listen()
        assert run(["open", "--no-browser", "--port", str(port)]) == 0
    assert opened["app"].home == tmp_path
    assert opened["app"].other == f"http://127.0.0.1:{port}/"
    assert f"/?key={opened['app'].pairing.key}" in capsys.readouterr().out


def test_it_is_not_shared_before_a_workbook_is_chosen(capsys):
    assert run(["open", "--share"]) == CommandWrong.exit_code
    assert "--share goes with a workbook" in capsys.readouterr().err


def test_whoever_reads_a_pipe_has_the_address_while_the_page_runs(workbook, opened, port, monkeypatch):
    pipe = io.TextIOWrapper(io.BytesIO())
    seen = []
    monkeypatch.setattr(sys, "stdout", pipe)
    monkeypatch.setattr("webbrowser.open", lambda own: seen.append(own.encode() in pipe.buffer.getvalue()))
    assert run(["open", str(workbook), "--port", str(port)]) == 0
    assert seen == [True]
