"""The file that opens the kitchen page with a double click, for each system."""

from __future__ import annotations

import configparser
import os
import runpy
import subprocess
import sys

import pytest

from stillroom.cli import entry_point, kitchen, run
from stillroom.cli.kitchen import launcher

ODD = ['/opt/my $tools "x" 100%/python', "-m", "stillroom", "open"]


def test_the_desktop_entry_gives_back_the_words():
    name, content = launcher("linux", ODD)
    entry = configparser.RawConfigParser(delimiters=("=",))
    entry.optionxform = str
    entry.read_string(content)
    exec_key = entry["Desktop Entry"]["Exec"]
    assert name.endswith(".desktop")
    assert exec_key == '"/opt/my \\\\$tools \\\\"x\\\\" 100%%/python" -m stillroom open'


@pytest.mark.skipif(os.name == "nt", reason="a script of another system")
def test_the_command_file_runs_just_these_words(tmp_path):
    show = tmp_path / "my $tools"
    show.write_text('#!/bin/sh\nprintf "%s|" "$@"\n')
    show.chmod(0o755)
    script = tmp_path / "x.command"
    script.write_text(launcher("darwin", [str(show), "-m", "stillroom", "open"])[1])
    assert (
        subprocess.run(["/bin/sh", script], capture_output=True, text=True, check=True).stdout == "-m|stillroom|open|"
    )


def test_the_windows_script_runs_just_these_words_without_a_window(tmp_path, monkeypatch):
    begun = []
    monkeypatch.setattr(subprocess, "Popen", lambda words, **given: begun.append((words, given["creationflags"])))
    monkeypatch.setattr(subprocess, "CREATE_NO_WINDOW", 0x08000000, raising=False)
    name, content = launcher("win32", ["C:\\my tools\\python.exe", "-m", "stillroom", "open"])
    script = tmp_path / name
    script.write_text(content)
    runpy.run_path(str(script))
    assert begun == [(["C:\\my tools\\python.exe", "-m", "stillroom", "open"], 0x08000000)]


def test_the_command_puts_the_one_of_this_system(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(sys, "platform", "linux")
    assert run(["open", "--launcher", str(tmp_path)]) == 0
    path = tmp_path / "Kitchen page.desktop"
    assert str(path) in capsys.readouterr().out
    assert sys.executable in path.read_text(encoding="utf-8")
    assert os.name == "nt" or os.access(path, os.X_OK)
    path.write_text("their own")
    assert run(["open", "--launcher", str(tmp_path)]) == 3
    assert path.read_text() == "their own"


def test_in_a_self_contained_folder_it_is_the_program_itself(tmp_path, monkeypatch):
    monkeypatch.setattr(sys, "frozen", True, raising=False)
    monkeypatch.setattr(sys, "platform", "darwin")
    monkeypatch.setattr(sys, "executable", "/opt/stillroom/stillroom")
    path = kitchen.put_launcher(tmp_path)
    assert path.read_text(encoding="utf-8") == "#!/bin/sh\nexec /opt/stillroom/stillroom open\n"


@pytest.fixture
def frozen(monkeypatch):
    """As in a self-contained folder; which words it runs."""
    ran = []
    monkeypatch.setattr(sys, "frozen", True, raising=False)
    monkeypatch.setattr("multiprocessing.freeze_support", lambda: ran.append("workers begin here"))
    monkeypatch.setattr(entry_point, "run", lambda words: ran.append(words) or 0)
    return ran


@pytest.mark.parametrize(("typed", "run"), [([], ["open"]), (["plan", "k.xlsx"], ["plan", "k.xlsx"])])
def test_a_double_click_on_a_self_contained_folder_opens_the_page(frozen, monkeypatch, typed, run):
    monkeypatch.setattr(sys, "argv", ["stillroom", *typed])
    with pytest.raises(SystemExit):
        entry_point.main()
    assert frozen == ["workers begin here", run]


def test_the_browser_does_not_get_the_libraries_of_the_folder(frozen, monkeypatch):
    monkeypatch.setattr(sys, "argv", ["stillroom"])
    monkeypatch.setenv("LD_LIBRARY_PATH", "/folder/_internal")
    monkeypatch.setenv("LD_LIBRARY_PATH_ORIG", "/their/own")
    with pytest.raises(SystemExit):
        entry_point.main()
    assert (os.environ["LD_LIBRARY_PATH"], "LD_LIBRARY_PATH_ORIG" in os.environ) == ("/their/own", False)
