"""`season` and `plan-all` end to end on small workbooks: what is said, what is written, and what is not."""

from __future__ import annotations

import hashlib
import json
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from tests.small_kitchen import FRIDAY, KITCHEN, build

from stillroom.app import batch
from stillroom.app import season as season_way
from stillroom.cli import run
from stillroom.workbook.ooxml.files.outputs import LIST
from stillroom.workbook.ooxml.files.put import is_running

Said = pytest.CaptureFixture[str]


@pytest.fixture
def kitchen(tmp_path: Path) -> Path:
    """A workbook that expects 40 lb, 20 at least and 60 at most, on its second day, for 14 quarts at 3.25 lb each."""
    lot = {
        "Picked on": FRIDAY.replace(day=15),
        "Crop": "plum tomato",
        "Amount": 40,
        "Unit": "lb",
        "Weighed or expected": "expected",
        "Least": 20,
        "Most": 60,
    }
    return build(tmp_path / "kitchen.xlsx", Harvest=[lot])


def digest(path: Path) -> str:
    """The bytes of a file in short."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def as_json(capsys: Said) -> Any:
    """What was printed, read back."""
    return json.loads(capsys.readouterr().out)


def test_season_says_how_surely_each_need_is_met_and_writes_nothing(kitchen: Path, capsys: Said) -> None:
    before = digest(kitchen)
    assert run(["season", str(kitchen), "--draws", "12"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "HOW LIKELY EACH TARGET IS MET 12 simulated seasons" in said
    assert re.search(r"juice: met in \d+% of seasons \(95% interval \d+-\d+%\)", said)
    assert re.search(r"of 14 quarts in 9 of 10 seasons, \d+ in all", said)
    assert "These are assumptions." in said
    assert "every plan audited" in said
    assert digest(kitchen) == before
    assert sorted(path.name for path in kitchen.parent.iterdir()) == ["kitchen.xlsx"]


def test_season_as_json_is_the_same_but_for_the_seconds_and_has_only_plain_keys(kitchen: Path, capsys: Said) -> None:
    """
    Keys in lower snake case; no timing but `seconds`; names of targets are values, so that no key is a household's.
    """
    found = []
    for _ in range(2):
        assert run(["season", str(kitchen), "--draws", "5", "--seed", "9", "--json"]) == 0
        found.append(as_json(capsys))
    assert found[0].pop("seconds") >= 0
    found[1].pop("seconds")
    assert found[0].pop("workers") == found[1].pop("workers") == 1
    assert found[0] == found[1]
    assert found[0]["targets"][0]["target"] == "juice"
    assert [one["draw"] for one in found[0]["seasons"]] == [0, 1, 2, 3, 4]

    def keys(value: object) -> list[str]:
        if isinstance(value, dict):
            return [*value, *(key for inner in value.values() for key in keys(inner))]
        return [key for inner in value for key in keys(inner)] if isinstance(value, list) else []

    assert all(re.fullmatch(r"[a-z][a-z_]*", key) for key in keys(found[0]))
    assert not [key for key in keys(found[0]) if "second" in key or "time" in key]


def test_a_setting_changes_the_answer_over_the_same_seasons(kitchen: Path, capsys: Said) -> None:
    """Half of all evenings lost: never more than without, draw by draw, for the harvests are the same."""
    run(["season", str(kitchen), "--draws", "8", "--lost", "0", "--json"])
    never = as_json(capsys)
    run(["season", str(kitchen), "--draws", "8", "--lost", "0.5", "--json"])
    often = as_json(capsys)
    assert [one["harvest_kg"] for one in never["seasons"]] == [one["harvest_kg"] for one in often["seasons"]]
    amounts = [[one["filled"][0]["amount"] for one in found["seasons"]] for found in (never, often)]
    assert all(lost <= full for full, lost in zip(*amounts, strict=True))
    assert sum(amounts[1]) < sum(amounts[0])
    assert (never["assumed"]["lost_evening"], often["assumed"]["lost_evening"]) == (0.0, 0.5)


def test_the_picture_is_written_where_it_is_asked_for(kitchen: Path, tmp_path: Path, capsys: Said) -> None:
    folder = tmp_path / "new" / "pictures"
    assert run(["season", str(kitchen), "--draws", "4", "--out", str(folder)]) == 0
    assert "Picture written" in capsys.readouterr().out
    assert (folder / "kitchen_season.png").read_bytes().startswith(b"\x89PNG")
    svg = (folder / "kitchen_season.svg").read_text()
    assert "How likely each target is met" in svg
    assert "juice:" in svg
    assert run(["season", str(kitchen), "--draws", "1", "--out", str(folder), "--json"]) == 0
    names = [Path(path).name for path in json.loads(capsys.readouterr().out)["pictures"]]
    assert names == ["kitchen_season.png", "kitchen_season.svg"]
    (tmp_path / "file").write_text("")
    assert run(["season", str(kitchen), "--draws", "1", "--out", str(tmp_path / "file")]) == 3


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--draws", "0"], "--draws takes a number from 1 to 100,000"),
        (["--lost", "1.5"], "--lost 1.5 is not between 0 and 1"),
        (["--every", "0"], "--every takes a number from 1 to"),
        (["--workers", "0"], "--workers takes a number from 1 to 256, such as 2."),
        (["--workers", "2", "--cluster", "tcp://127.0.0.1:8786"], "give one of them"),
    ],
)
def test_figures_that_make_no_season_are_refused(kitchen: Path, capsys: Said, words: list[str], told: str) -> None:
    assert run(["season", str(kitchen), *words]) == 2
    assert told in capsys.readouterr().err


def test_a_workbook_that_is_stopped_has_no_season(tmp_path: Path, capsys: Said) -> None:
    path = build(tmp_path / "kitchen.xlsx", without={("Harvest", "Amount")})
    assert run(["season", str(path), "--json"]) == 1
    assert as_json(capsys)["problems"]


def test_two_processes_give_the_same_answer_as_one(kitchen: Path, capsys: Said) -> None:
    found = []
    for workers in ("1", "2"):
        assert run(["season", str(kitchen), "--draws", "6", "--workers", workers, "--json"]) == 0
        found.append(as_json(capsys))
    assert [one.pop("workers") for one in found] == [1, 2]
    assert found[0]["seasons"] == found[1]["seasons"]


# ---------------------------------------------------------------- a folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two sound workbooks, one with a blank amount, one that is no workbook, and what an office program leaves."""
    found = tmp_path / "kitchens"
    found.mkdir()
    build(found / "hill.xlsx")
    build(found / "mill.xlsx", without={("Harvest", "Amount")})
    (found / "notes.xlsx").write_text("no workbook")
    build(found / "river.xlsx")
    (found / "~$river.xlsx").write_text("open elsewhere")
    (found / "readme.txt").write_text("")
    return found


@pytest.mark.parametrize("workers", ["1", "2"])
def test_plan_all_plans_what_can_be_planned_and_lists_the_rest(
    folder: Path, tmp_path: Path, capsys: Said, workers: str
) -> None:
    """
    Exit 1, since two have no plan; the other two are written as `plan --out` writes them, the folder is untouched.
    """
    before = {path.name: digest(path) for path in folder.iterdir()}
    to = tmp_path / "planned"
    assert run(["plan-all", str(folder), "--out", str(to), "--workers", workers]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "PLANNED 2 of 4" in said
    assert re.search(r"hill\.xlsx \d+ 1 of 1", said)
    assert "mill.xlsx: Harvest!C2" in said
    assert "notes.xlsx:" in said
    assert "river.xlsx" in said
    assert sorted(path.name for path in to.iterdir()) == [LIST, "hill.xlsx", "river.xlsx"]
    assert {path.name: digest(path) for path in folder.iterdir()} == before
    alone = tmp_path / "alone.xlsx"
    assert run(["plan", str(folder / "hill.xlsx"), "--out", str(alone)]) == 0
    rows = [
        [[cell.value for cell in row] for row in load_workbook(path)["Plan"].iter_rows()]
        for path in (alone, to / "hill.xlsx")
    ]
    assert rows[0] == rows[1]


def test_plan_all_as_json_has_a_line_for_each_workbook(folder: Path, tmp_path: Path, capsys: Said) -> None:
    for name in ("mill.xlsx", "notes.xlsx"):
        (folder / name).unlink()
    assert run(["plan-all", str(folder), "--out", str(tmp_path / "planned"), "--workers", "1", "--json"]) == 0
    found = as_json(capsys)
    assert found["failed"] == 0
    assert [(one["file"], one["planned"], one["filled"], one["targets"]) for one in found["workbooks"]] == [
        ("hill.xlsx", True, 1, 1),
        ("river.xlsx", True, 1, 1),
    ]


def test_a_fault_of_ours_in_one_workbook_does_not_stop_the_others(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = batch.queue_found

    def faulty(reading: Any) -> Any:
        if "hill" in reading.book.path.name:
            raise ZeroDivisionError
        return real(reading)

    monkeypatch.setattr(batch, "queue_found", faulty)
    found = batch.plan_folder(folder, tmp_path / "planned", FRIDAY, 1, None, lambda _: None)
    [hill, *_, river] = found.done
    assert "ZeroDivisionError" in hill.problems[0]
    assert river.problems == ()
    assert found.failed == 3


def test_plan_all_never_writes_over_a_file_of_the_households_own(folder: Path, tmp_path: Path, capsys: Said) -> None:
    """
    What lies in the other folder under the same name is as it was last written, or it stays as it is.

    What was made was put into a planned copy, and the next plan-all took it away again.
    """
    to = tmp_path / "planned"
    to.mkdir()
    (to / "hill.xlsx").write_text("letters to the hill")
    words = ["plan-all", str(folder), "--out", str(to), "--workers", "1"]
    for _ in range(2):
        assert run(words) == 3
        said = "".join(capsys.readouterr().out.split())
        assert "planned/hill.xlsxistherealreadyandmayholdsomethingofyourown" in said
        assert re.search(r"river\.xlsx\d+1of1", said)
    assert (to / "hill.xlsx").read_text() == "letters to the hill"
    assert run(["made", str(to / "river.xlsx"), "tomato juice, quart", "3"]) == 0
    made = digest(to / "river.xlsx")
    build(folder / "river.xlsx", Harvest=[{**KITCHEN["Harvest"][0], "Amount": 41}])
    assert run(words) == 3
    assert digest(to / "river.xlsx") == made
    assert run([*words, "--replace"]) == 1
    assert made in {digest(path) for path in to.glob("river.before-*.xlsx")}
    assert len(list(to.glob("hill.before-*.xlsx"))) == 1


def test_plan_all_does_not_plan_again_what_it_planned_of_the_same_workbook(
    folder: Path, tmp_path: Path, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nor a dated copy, as if it were a household; a result that was taken away or whose workbook changed is planned."""
    words = ["plan-all", str(folder), "--out", str(tmp_path / "to"), "--workers", "1", "--json"]
    assert run(["plan", str(folder / "hill.xlsx")]) == 0
    assert list(folder.glob("hill.before-*.xlsx"))
    real, planned = batch.queue_found, list[str]()

    def counted(reading: Any) -> Any:
        planned.append(reading.book.path.name)
        return real(reading)

    monkeypatch.setattr(batch, "queue_found", counted)
    capsys.readouterr()
    assert run(words) == 1
    first = as_json(capsys)
    assert planned == ["hill.xlsx", "river.xlsx"]
    assert run(words) == 1
    again = as_json(capsys)
    assert planned == ["hill.xlsx", "river.xlsx"]
    assert [(one["file"], one["filled"], one["lines"]) for one in again["workbooks"]] == [
        (one["file"], one["filled"], one["lines"]) for one in first["workbooks"]
    ]
    (tmp_path / "to" / "hill.xlsx").unlink()
    build(folder / "river.xlsx", Harvest=[{**KITCHEN["Harvest"][0], "Amount": 41}])
    assert run(words) == 1
    assert planned[2:] == ["hill.xlsx", "river.xlsx"]


def test_plan_all_keeps_nothing_in_the_folder_for_what_is_temporary(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whole workbooks lay there after a kill; now a result is in its place before the next workbook is planned."""
    monkeypatch.setattr(tempfile, "mkdtemp", lambda *_, **__: pytest.fail("a folder was made"))
    to, there = tmp_path / "to", list[bool]()

    def look(_: str) -> None:
        there.append((to / "hill.xlsx").exists())

    batch.plan_folder(folder, to, FRIDAY, 1, None, look)
    assert any(there[:-1])


def test_workers_end_with_their_parent(folder: Path, tmp_path: Path) -> None:
    """However it ends: here it is killed while they plan."""
    code = (
        "import sys, threading, multiprocessing, time; from stillroom.cli import run\n"
        "def tell():\n"
        "    while len(found := multiprocessing.active_children()) < 2: time.sleep(0.05)\n"
        "    print(*(one.pid for one in found), flush=True)\n"
        "if __name__ == '__main__':\n"
        "    threading.Thread(target=tell, daemon=True).start()\n"
        "    run(sys.argv[1:])\n"
    )
    script = tmp_path / "all.py"
    script.write_text(code)
    words = [sys.executable, str(script), "plan-all", str(folder), "--out", str(tmp_path / "to"), "--workers", "2"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as parent:
        assert parent.stdout is not None
        workers = [int(word) for word in parent.stdout.readline().split()]
        time.sleep(1.0)
        parent.kill()
    until = time.monotonic() + 20
    while any(map(is_running, workers)) and time.monotonic() < until:
        time.sleep(0.1)
    assert len(workers) == 2
    assert not any(map(is_running, workers))


def test_plan_all_refuses_folders_that_make_no_sense(folder: Path, tmp_path: Path, capsys: Said) -> None:
    (tmp_path / "empty").mkdir()
    for words, told in (
        ([str(folder), "--out", str(folder)], "another folder"),
        ([str(tmp_path / "nowhere"), "--out", str(tmp_path / "to")], "is no folder"),
        ([str(tmp_path / "empty"), "--out", str(tmp_path / "to")], "there is no workbook"),
        ([str(folder), "--out", str(tmp_path / "to"), "--workers", "0"], "from 1 to 256"),
        (
            [str(folder), "--out", str(tmp_path / "to"), "--workers", "2", "--cluster", "tcp://127.0.0.1:8786"],
            "give one",
        ),
    ):
        assert run(["plan-all", *words]) == 2, words
        assert told in " ".join(capsys.readouterr().err.split())
    (tmp_path / "file").write_text("")
    assert run(["plan-all", str(folder), "--out", str(tmp_path / "file")]) == 3


def test_the_settings_on_the_command_line_are_those_of_the_way() -> None:
    """The defaults stand in two places; they may not part."""
    import inspect

    from stillroom.cli.questions import season

    typed = {name: one.default for name, one in inspect.signature(season).parameters.items()}
    asked = season_way.SeasonAsked()
    assert (typed["draws"], typed["seed"], typed["spread"], typed["together"]) == (
        asked.draws,
        asked.seed,
        asked.harvest_share,
        asked.together,
    )
    assert (typed["yield_spread"], typed["lost"], typed["every"]) == (
        asked.yield_spread,
        asked.lost_evening,
        asked.plan_every_days,
    )
