"""The commands end to end on a small workbook built here: exit codes, JSON, what is written and what is not."""

import hashlib
import io
import itertools
import json
import os
import pty
import re
import resource
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from tests import forked
from tests.small_kitchen import FRIDAY, build

from stillroom import __version__
from stillroom.cli import output as saying
from stillroom.cli import run
from stillroom.cli.program import ORDER
from stillroom.errors import NoPlanInTime

ENTRY = {"table", "rows", "stocks", "receipt", "messages"}
"""The keys of what an entry of the journal prints as JSON."""


def digest(path):
    """Hash of a file's bytes."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def command(*words, **more):
    """Run the installed command in its own process."""
    program = [sys.executable, "-m", "stillroom", *map(str, words)]
    return subprocess.run(program, capture_output=True, text=True, timeout=120, check=False, **more)


def said_json(capsys):
    """The one object on standard output."""
    return json.loads(capsys.readouterr().out)


# ---------------------------------------------------------------- plan


def test_plan_writes_the_plan_into_the_workbook_and_says_it(kitchen, capsys):
    """60 lb of tomatoes make the 14 quarts that are wanted in two loads."""
    assert run(["plan", str(kitchen)]) == 0
    text = capsys.readouterr().out
    assert "tomato juice, quart" in text
    assert "Filled: juice." in text
    assert "Saved in kitchen.xlsx. Everything else in your workbook is unchanged." in " ".join(text.split())
    assert max(map(len, text.splitlines())) <= 80
    sheet = load_workbook(kitchen)["Plan"]
    made = [row[3].value for row in sheet.iter_rows(min_row=2) if row[2].value == "tomato juice, quart"]
    assert sum(made) == 14
    assert list(kitchen.parent.glob("kitchen.before-*.xlsx"))


def test_planning_again_writes_nothing_and_says_so(kitchen, capsys):
    """The file keeps its bytes; the plan is said all the same."""
    run(["plan", str(kitchen)])
    first = capsys.readouterr().out
    before = digest(kitchen)
    assert run(["plan", str(kitchen)]) == 0
    again = capsys.readouterr().out
    assert digest(kitchen) == before
    assert "Nothing changed since the last plan, so the file was not saved again." in " ".join(again.split())
    assert again.split("Nothing changed")[0] == first.split("Saved in")[0]


def test_two_copies_planned_apart_get_the_same_bytes(kitchen, tmp_path):
    """Same workbook, same plan, same file."""
    other = tmp_path / "other.xlsx"
    other.write_bytes(kitchen.read_bytes())
    run(["plan", str(kitchen)])
    run(["plan", str(other)])
    assert digest(kitchen) == digest(other)


def test_a_changed_input_is_planned_anew(kitchen, capsys):
    """The hens got half of the tomatoes; a Fix of 0 and a number in Made are inputs as well."""
    run(["plan", str(kitchen)])
    for sheet, cell, value in (("Harvest", "C2", 30), ("Plan", "J6", 0), ("Plan", "K6", 3)):
        before = digest(kitchen)
        book = load_workbook(kitchen)
        book[sheet][cell] = value
        book.save(kitchen)
        capsys.readouterr()
        assert run(["plan", str(kitchen)]) == 0
        assert "Saved in" in capsys.readouterr().out
        assert digest(kitchen) != before


def test_out_writes_a_copy_and_leaves_the_file_alone(kitchen, tmp_path):
    """Also when the file holds its plan already."""
    before = digest(kitchen)
    copy = tmp_path / "copy.xlsx"
    assert run(["plan", str(kitchen), "--out", str(copy)]) == 0
    assert digest(kitchen) == before
    assert "Plan" in load_workbook(copy).sheetnames
    again = tmp_path / "again.xlsx"
    assert run(["plan", str(copy), "--out", str(again)]) == 0
    assert digest(again) == digest(copy)


def test_json_is_one_object_and_nothing_else(kitchen, capsys):
    """Tables, aims in the order solved, receipt; a second time it says that nothing was written."""
    assert run(["plan", str(kitchen), "--json"]) == 0
    found = said_json(capsys)
    assert set(found) == {
        "plan",
        "coverage",
        "space",
        "crop_use",
        "shopping",
        "season_so_far",
        "timetable",
        "messages",
        "errors",
        "objectives",
        "receipt",
        "changes",
    }
    assert sum(row["make"] for row in found["plan"]) == pytest.approx(14)
    assert found["coverage"][0]["covered"] == 1
    names = [objective["name"] for objective in found["objectives"]]
    assert names == ["fixed lines", "targets 2", "money", "effort"]
    assert found["receipt"]["written"] is True
    run(["plan", str(kitchen), "--json"])
    again = said_json(capsys)
    assert again["receipt"]["written"] is False
    assert [one | {"seconds": 0} for one in found["objectives"]] == [
        one | {"seconds": 0} | about(one, "value", "bound") | {"parts": [part | about(part, "value") for part in parts]}
        for one in again["objectives"]
        for parts in [one["parts"]]
    ]
    for name in ("plan", "coverage", "space", "crop_use", "shopping", "messages"):
        assert again[name] == found[name], name


def about(figures, *names):
    """These figures but for rounding."""
    return {name: pytest.approx(figures[name]) for name in names}


def test_limits_beside_a_plan_are_in_its_json(kitchen, capsys):
    """The table was filled in the workbook, and the JSON had no such key."""
    assert run(["plan", str(kitchen), "--bottlenecks", "--json"]) == 0
    bottlenecks = said_json(capsys)["bottlenecks"]
    assert bottlenecks
    assert {"bottleneck", "used", "of", "unit", "one_more", "would_give", "worth_it"} <= set(bottlenecks[0])
    assert [row["bottleneck"] for row in bottlenecks] == [
        row[0].value for row in load_workbook(kitchen)["Bottlenecks"].iter_rows(min_row=6) if row[0].value
    ]


# ---------------------------------------------------------------- what goes wrong


def test_problems_in_the_workbook_are_all_listed_and_exit_1(tmp_path, capsys):
    """On the error stream, each with its cell and cure; the file keeps its bytes."""
    path = build(tmp_path / "k.xlsx", without={("Harvest", "Amount"), ("Lids", "On hand")})
    before = digest(path)
    assert run(["plan", str(path)]) == 1
    error = capsys.readouterr().err
    assert "Fix these 2 things first:" in error
    assert "Harvest!C2: " in error
    assert "Lids!B2: " in error
    assert digest(path) == before
    assert run(["plan", str(path), "--json"]) == 1
    problems = said_json(capsys)["problems"]
    assert [problem["where"] for problem in problems] == ["Harvest!C2", "Lids!B2"]
    assert all(problem.keys() >= {"where", "what", "fix", "kind", "field", "stops"} for problem in problems)
    assert all(problem["what"] and problem["fix"] and problem["stops"] for problem in problems)


def test_check_lists_problems_without_planning(tmp_path, kitchen, capsys):
    """Exit 1 when any stops the plan, 0 when none does."""
    assert run(["check", str(kitchen)]) == 0
    assert capsys.readouterr().out.splitlines()[-1] == "No errors. Next: stillroom plan kitchen.xlsx"
    path = build(tmp_path / "k.xlsx", without={("Harvest", "Amount")})
    assert run(["check", str(path)]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert any(line.startswith("Error: ") and line.endswith("(Harvest, cell C2)") for line in lines)
    assert lines[-1] == "Fix the errors above, then run: stillroom plan"


@pytest.mark.parametrize("content", [None, b"", b"not a workbook", b"PK\x03\x04 nearly"])
def test_what_is_no_workbook_is_refused_in_words(tmp_path, capsys, content):
    """Missing, empty, something else: exit 1 and a sentence."""
    path = tmp_path / "k.xlsx"
    if content is not None:
        path.write_bytes(content)
    assert run(["plan", str(path), "--json"]) == 1
    assert said_json(capsys)["problems"]
    assert run(["check", str(path)]) == 1
    assert "k.xlsx" in capsys.readouterr().err


@pytest.mark.parametrize("words", [["plan"], ["adopt"], ["suppose", "lids +4"]])
def test_a_copy_never_takes_the_place_of_something_else(kitchen, tmp_path, capsys, words):
    """A workbook of the household's own under that name was written over, and no copy of it was kept."""
    book = Workbook()
    book.active["A1"] = "the hens"
    book.save(tmp_path / "hens.xlsx")
    (tmp_path / "notes.xlsx").write_text("no workbook at all")
    for name in ("hens.xlsx", "notes.xlsx"):
        before = digest(tmp_path / name)
        assert run([words[0], str(kitchen), *words[1:], "--out", str(tmp_path / name)]) == 3
        assert f"{name} is there already and may hold something of your own" in capsys.readouterr().err
        assert digest(tmp_path / name) == before


@pytest.mark.parametrize("words", [["plan"], ["adopt"], ["suppose", "lids +4"]])
def test_another_households_workbook_is_replaced_only_when_told_and_a_copy_is_kept(kitchen, tmp_path, words):
    """It has tables of ours, and was taken for a former copy."""
    neighbor = build(tmp_path / "neighbor.xlsx")
    before = digest(neighbor)
    asked = [words[0], str(kitchen), *words[1:], "--out", str(neighbor)]
    assert run(asked) == 3
    assert digest(neighbor) == before
    assert run([*asked, "--replace"]) == 0
    assert digest(neighbor) != before
    assert [digest(path) for path in tmp_path.glob("neighbor.before-*.xlsx")] == [before]
    assert run(asked) == 0


@pytest.mark.parametrize("as_tables", [True, False])
def test_what_a_command_wrote_is_never_called_an_older_copy(kitchen, capsys, as_tables):
    """After `limits --write`, `adopt`, or an entry in a workbook without table definitions it was, by the next one."""
    workbook = load_workbook(kitchen)
    if not as_tables:
        for sheet in workbook:
            sheet.tables.clear()
    workbook.save(kitchen)
    assert run(["plan", str(kitchen)]) == 0
    if not as_tables:
        workbook = load_workbook(kitchen)
        for sheet in workbook:
            sheet.tables.clear()
        workbook.save(kitchen)
        kitchen.with_name(".kitchen.xlsx.copies").unlink()
    lived = [
        ["bottlenecks", "--write"],
        ["adopt"],
        ["weigh", "plum tomato", "5lb"],
        ["made", "tomato juice, quart", "2"],
    ]
    for name, *words in lived:
        capsys.readouterr()
        assert run([name, str(kitchen), *words]) == 0, capsys.readouterr().err
        assert run(["check", str(kitchen)]) == 0
        said = capsys.readouterr()
        assert "nother copy" not in said.out + said.err, name


def test_a_copy_put_over_the_workbook_is_said_before_anything_else_by_every_command(kitchen, capsys, tmp_path):
    """With both names and what to do, on standard error, so that JSON stays JSON; the copy that is named stays."""
    stale = kitchen.read_bytes()
    for amount in ("4lb", "5lb"):
        assert run(["weigh", str(kitchen), "plum tomato", amount]) == 0
    ours = kitchen.read_bytes()
    kitchen.write_bytes(stale)
    assert run(["weigh", str(kitchen), "plum tomato", "6lb"]) == 0
    [named] = [path.name for path in tmp_path.glob("kitchen.before-*.xlsx") if path.read_bytes() == ours]
    line = (
        f"Warning: kitchen.xlsx: Another copy has taken the place of this workbook and lacks what stillroom last wrote there. That is kept as {named}. "
        f"Bring both together: stillroom merge kitchen.xlsx {named}.\n"
    )
    capsys.readouterr()
    for name, *words in (
        ["check"],
        ["today"],
        ["stock", "--json"],
        ["weigh", "plum tomato", "7lb", "--json"],
        ["labels", "--out", str(tmp_path / "paper")],
    ):
        run([name, str(kitchen), *words])
        said = capsys.readouterr()
        assert said.err.startswith(line), name
        assert "--json" not in words or json.loads(said.out)
    kitchen.with_name(named).rename(tmp_path / "paper" / named)
    assert run(["today", str(kitchen)]) == 0
    assert capsys.readouterr().err == ""


def test_one_plan_line_in_two_rows_of_the_record_is_said(tmp_path, capsys):
    """As when both persons had it put there, and one typed the other's rows in as well."""
    day = {"Date": FRIDAY, "Preserve": "tomato juice, quart", "Made": 7}
    notes = ("[plan 0a1b2c3d]", "thick [plan 9e8d7c6b]", "good [plan 0a1b2c3d]")
    path = build(tmp_path / "k.xlsx", Record=[day | {"Note": note} for note in notes])
    assert run(["check", str(path)]) == 0
    assert (
        "Record A2 and A4 are the same plan line, and both count. Delete one of the two rows. (Record, cell A4)"
        in capsys.readouterr().out
    )


def test_a_copy_takes_the_place_of_a_former_one(kitchen, tmp_path):
    copy = tmp_path / "planned.xlsx"
    for _ in range(2):
        assert run(["plan", str(kitchen), "--out", str(copy)]) == 0


def test_a_file_that_may_not_be_read_is_refused_as_one_that_is_not_there(kitchen, monkeypatch, capsys):
    """It was called a wrong command line, exit 2."""

    def refused(path):
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr("os.access", lambda *_, **__: False)
    monkeypatch.setattr(Path, "read_bytes", refused)
    assert run(["plan", str(kitchen), "--json"]) == 1
    assert "cannot be read" in said_json(capsys)["problems"][0]["what"]


@pytest.mark.parametrize(
    "words",
    [
        ["nonsense"],
        ["plan"],
        ["plan", "a.xlsx", "--nonsense"],
        ["plan", "a.xlsx", "--time-limit", "soon"],
        ["plan", "a.xlsx", "--time-limit", "-1"],
        ["check", "a.xlsx", "b.xlsx"],
        ["start", "kitchen.txt"],
        ["handbook", "--altitude", "3 lb"],
        ["handbook", "tomato", "--altitude", "1500"],
        ["plan", "a.xlsx", "--out", "b.ods"],
        ["plan", "a.xlsx", "--out", "b.xlsm"],
        ["adopt", "a.xlsx", "--out", "b"],
        ["suppose", "a.xlsx", "lids +4", "--out", "b.xls"],
    ],
)
def test_a_wrong_command_line_is_exit_2(words, capsys):
    """In words, and as JSON where that was asked for."""
    assert run(words) == 2
    captured = capsys.readouterr()
    assert captured.err.strip()
    assert captured.out == ""
    assert run([*words, "--json"]) == 2
    assert "error" in said_json(capsys)


def test_a_file_that_is_open_elsewhere_is_exit_3_and_nothing_changes(kitchen, capsys):
    """The other program's lock file says so."""
    lock = kitchen.with_name(f".~lock.{kitchen.name}#")
    lock.write_text("somebody")
    before = digest(kitchen)
    assert run(["plan", str(kitchen)]) == 3
    assert "open in another program" in capsys.readouterr().err
    assert digest(kitchen) == before
    assert run(["plan", str(kitchen), "--json"]) == 3
    assert "open in another program" in said_json(capsys)["error"]


def test_a_copy_that_cannot_be_written_is_exit_3(kitchen, tmp_path, capsys):
    """There is no such folder."""
    assert run(["plan", str(kitchen), "--out", str(tmp_path / "nowhere" / "k.xlsx")]) == 3
    assert "Nothing was changed." in capsys.readouterr().err


def test_what_was_written_before_a_file_could_not_be_is_named(kitchen, tmp_path, capsys):
    """The model is written first, and its table is in the way of a file of the household's own."""
    (tmp_path / "csv").mkdir()
    (tmp_path / "csv" / "plan.csv").write_text("mine")
    words = ["plan", str(kitchen), "--csv", str(tmp_path / "csv"), "--model", str(tmp_path / "first.mps")]
    assert run(words) == 3
    said = capsys.readouterr().err
    assert said.endswith("Written before that: first.mps.\n")
    assert "othing was changed" not in said
    assert run(["plan", str(kitchen), "--csv", str(tmp_path / "csv")]) == 3
    assert capsys.readouterr().err.endswith("Nothing was changed.\n")


def test_many_files_written_before_are_named_by_their_folder(kitchen, tmp_path, capsys):
    """The tables are written before the copy."""
    words = ["plan", str(kitchen), "--csv", str(tmp_path / "csv"), "--out", str(tmp_path / "nowhere" / "k.xlsx")]
    assert run(words) == 3
    assert re.search(r"Written before that: \d+ files in \S*csv\.\n$", capsys.readouterr().err)


def test_ctrl_c_after_a_file_was_written_names_it(kitchen, monkeypatch, capsys):
    """It comes while the workbook is already in its place."""

    def stopped(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("stillroom.workbook.ooxml.save.keep_last", stopped)
    before = digest(kitchen)
    assert run(["plan", str(kitchen)]) == 130
    assert digest(kitchen) != before
    assert capsys.readouterr().err == "Stopped. Written before that: kitchen.xlsx.\n"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="the system has no device that is full")
def test_output_that_cannot_be_written_is_exit_3(kitchen):
    """What is printed goes to a disk that is full; the workbook was written by then."""
    words = [sys.executable, "-m", "stillroom", "weigh", str(kitchen), "plum tomato", "3lb", "--on", "2026-08-14"]
    with Path("/dev/full").open("w") as full:
        ran = subprocess.run(words, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    wanted = (
        "Error: the output of this command could not be written: the disk is full. Written before that: kitchen.xlsx.\n"
    )
    assert (ran.returncode, ran.stderr) == (3, wanted)


def test_no_plan_in_time_is_exit_4(kitchen, monkeypatch, capsys):
    """Nothing is written then."""

    def never(*_):
        raise NoPlanInTime("no plan was found within the time limit")

    monkeypatch.setattr("stillroom.planning.solve.plan", never)
    before = digest(kitchen)
    assert run(["plan", str(kitchen), "--json", "--time-limit", "1"]) == 4
    assert said_json(capsys) == {"error": "no plan was found within the time limit"}
    assert digest(kitchen) == before


def test_a_plan_that_fails_its_audit_is_not_written(kitchen, monkeypatch, capsys):
    """It says what is broken."""
    monkeypatch.setattr("stillroom.app.plan.violated_constraints", lambda *_: ("more jars than there are",))
    before = digest(kitchen)
    assert run(["plan", str(kitchen)]) == 1
    assert "more jars than there are" in capsys.readouterr().err
    assert digest(kitchen) == before


def test_stopping_a_command_writes_nothing_and_shows_no_traceback(kitchen, monkeypatch, capsys):
    """The household pressed Ctrl-C while it was planned."""

    def stopped(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("stillroom.planning.solve.plan", stopped)
    before = digest(kitchen)
    assert run(["plan", str(kitchen)]) == 130
    assert capsys.readouterr().err == "Stopped. Nothing was changed.\n"
    assert digest(kitchen) == before


# ---------------------------------------------------------------- start, handbook, help


def test_start_makes_a_workbook_and_never_writes_over_one(tmp_path, capsys):
    """The second time it says that the file is there."""
    path = tmp_path / "new.xlsx"
    assert run(["start", str(path), "--people", "3", "--altitude", "1450ft"]) == 0
    assert "stillroom plan" in capsys.readouterr().out
    before = digest(path)
    assert run(["start", str(path)]) == 3
    assert capsys.readouterr().err.startswith(f"Error: {path} already exists;")
    assert digest(path) == before


def test_handbook_says_figures_with_their_source(capsys):
    """USDA AIB 539, Guide 3: tomato juice in quarts at 1,001 to 3,000 ft is 40 + 5 = 45 min."""
    assert run(["handbook", "tomato", "--altitude", "2300ft", "--jar", "quart"]) == 0
    text = capsys.readouterr().out
    lines = text.splitlines()
    first = next(number for number, line in enumerate(lines) if line.startswith("tomato juice, hot pack, quart "))
    assert lines[first].endswith(" 45 min")
    details = itertools.takewhile(lambda line: line.startswith("  "), lines[first + 1 :])
    assert list(details)[-1].endswith(" [1]")
    assert "[1] USDA" in text
    assert run(["handbook", "moonstones"]) == 0
    assert 'No handbook entry for "moonstones".' in capsys.readouterr().out


def test_handbook_says_which_jars_there_are_and_how_to_ask_for_less(capsys):
    """No half-pints of cucumbers are published; everything on tomatoes is some hundred rows."""
    assert run(["handbook", "cucumbers", "--jar", "half-pint"]) == 0
    assert "The handbook has for cucumbers: boiling-water canned (pint, quart); fermented." in capsys.readouterr().out
    assert run(["handbook", "tomato"]) == 0
    assert "For your kitchen only: stillroom handbook tomato --altitude 2300ft" in capsys.readouterr().out
    assert run(["handbook", "tomato", "--altitude", "2300ft", "--jar", "quart"]) == 0
    assert "For your kitchen only" not in capsys.readouterr().out


@pytest.mark.parametrize("name", ORDER)
def test_every_command_explains_itself_with_an_example(name, capsys):
    """`--help` of each: plain names, no types and ranges of a library, no line cut off."""
    assert run([name, "--help"]) == 0
    text = capsys.readouterr().out
    assert f"Example: stillroom {name} " in text
    assert max(map(len, text.splitlines())) <= 80
    assert not re.search(
        r"[<>{}]|\.\.\. *$", re.sub(r"\[(CHANGE|THING)\]\.\.\.", "", text.partition("Example")[0]), re.MULTILINE
    )


def test_the_help_shows_the_daily_commands_first_and_cuts_none_off(capsys):
    """A line for each command, the whole of it."""
    assert run(["--help"]) == 0
    text = capsys.readouterr().out
    assert max(map(len, text.splitlines())) <= 80
    daily, more = text.partition("Every day:")[2].split("More:")
    assert [line.split()[0] for line in daily.splitlines() if line] == ["start", "plan", "today", "evening"]
    assert "..." not in more


@pytest.mark.parametrize("name", ["", *ORDER])
def test_help_fits_a_terminal_of_40_columns(name, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "40")
    assert run([*name.split(), "--help"]) == 0
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 40


def test_the_tab_key_completes_commands_and_options():
    """A shell asks in the environment; `--install-completion` tells it to."""
    asked = os.environ | {"_STILLROOM_COMPLETE": "complete_bash", "COMP_WORDS": "stillroom pl", "COMP_CWORD": "1"}
    program = "import sys; sys.argv = ['stillroom']; from stillroom.cli import main; main()"
    ran = subprocess.run([sys.executable, "-c", program], env=asked, capture_output=True, text=True, check=False)
    assert ran.stdout.split() == ["plan-all", "plan"] or ran.stdout.split() == ["plan", "plan-all"]


def test_installing_completion_says_where_it_is(capsys, monkeypatch, tmp_path):
    monkeypatch.setattr("stillroom.cli.program.install", lambda prog_name: ("fish", tmp_path / f"{prog_name}.fish"))
    assert run(["--install-completion"]) == 0
    said = f"Saved in {tmp_path / 'stillroom.fish'}. In a new fish window, the Tab key completes commands and options."
    assert capsys.readouterr().out.strip() == said


def test_completion_that_cannot_be_installed_is_an_error(capsys, monkeypatch):
    def refuse(prog_name):
        raise PermissionError(13, "Permission denied", prog_name)

    monkeypatch.setattr("stillroom.cli.program.install", refuse)
    assert run(["--install-completion"]) == 3
    words = "Error: Your shell's settings could not be written: Permission denied. Nothing was changed.\n"
    assert capsys.readouterr().err == words


@pytest.mark.parametrize(
    "words",
    [["plan", "{}", "--out"], ["plan", "{}", "--model"], ["adopt", "{}", "--out"], ["suppose", "{}", "lid +4", "--out"], ["start"]],
)  # fmt: skip
def test_a_folder_typed_for_a_file_is_named(words, kitchen, tmp_path, capsys):
    before = digest(kitchen)
    (tmp_path / "paper").mkdir()
    assert run([*(word.format(kitchen) for word in words), str(tmp_path / "paper")]) == 2
    assert capsys.readouterr().err.startswith(f"Error: {tmp_path / 'paper'} is a folder. Type a file name too, such as")
    assert digest(kitchen) == before


def test_check_and_plan_list_which_cells_changed_since_the_last_plan(planned_kitchen, capsys):
    book = load_workbook(planned_kitchen)
    book["Harvest"]["C2"], book["Winter list"]["B2"] = 70, None
    book["Winter list"]["B2"] = 21
    book.save(planned_kitchen)
    assert run(["check", str(planned_kitchen)]) == 0
    told = [line for line in capsys.readouterr().out.splitlines() if line.startswith("Changed since the last plan: ")]
    cells = ["Harvest C2: Amount of Fri Aug 14, plum tomato was 60 and is 70.", "Winter list B2: Wanted of juice was 14 and is 21."]  # fmt: skip
    assert told == [f"Changed since the last plan: {cell}" for cell in cells]
    assert run(["check", str(planned_kitchen), "--json"]) == 0
    assert said_json(capsys)["changed_since_the_last_plan"] == cells
    assert run(["plan", str(planned_kitchen)]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert all(cell in text for cell in cells)
    assert run(["check", str(planned_kitchen)]) == 0
    assert "Changed since" not in capsys.readouterr().out


WAIT = {
    "check": [], "today": [], "day": [], "stock": [], "yields": [], "winter": [], "weigh": ["plum tomato", "3lb"], "adopt": [],
    "pages": ["--out", "paper", "--only", "calendar"], "labels": ["--out", "paper"],
    "made": ["tomato juice, quart", "1", "--used", "3lb"], "ate": ["tomato juice, quart", "1"], "bought": ["lid", "2"],
    "undo": [], "eat-first": [], "review": [], "merge": ["theirs.xlsx"],
}  # fmt: skip


@pytest.mark.parametrize("name", WAIT)
def test_every_command_that_reads_a_workbook_shows_on_a_terminal_that_it_is_at_work(
    name, planned_kitchen, capsys, monkeypatch
):
    """The spinner itself is tested with the pages; a large workbook takes seconds to read."""
    shown = []
    monkeypatch.setattr("stillroom.reports.terminal.lists.Waiting.__enter__", lambda self: shown.append(self) or self)
    monkeypatch.chdir(planned_kitchen.parent)
    shutil.copyfile(planned_kitchen, "theirs.xlsx")
    run([name, str(planned_kitchen), *WAIT[name]])
    assert len(shown) == (2 if name == "merge" else 1), capsys.readouterr().err


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("count", "stock"), ("learned", "yields"), ("limits", "bottlenecks"), ("plann", "plan"), ("Today", "today")],
)
def test_a_former_or_misspelt_command_gets_the_one_that_is_meant(typed, meant, capsys):
    """No aliases: exit 2, and nothing is run."""
    assert run([typed, "kitchen.xlsx"]) == 2
    assert f'Did you mean "{meant}"?' in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["start", "k.xlsx", "--people", "many"], "--people takes a number, such as 4."),
        (["plan", "k.xlsx", "--time-limit", "0"], "--time-limit takes a number at least 0.1, such as 60."),
        (["season", "k.xlsx", "--draws", "1.5"], "--draws takes a whole number, such as 200."),
        (["labels", "k.xlsx", "--out", "d", "--days", "400"], "--days takes a number from 1 to 366, such as 7."),
    ],
)
def test_a_wrong_number_gets_an_example_of_its_own_option(words, hint, capsys):
    """No words of a library."""
    assert run(words) == 2
    assert capsys.readouterr().err.strip() == f"Error: {hint}"


@pytest.mark.parametrize(
    ("words", "keys"),
    [
        (["check"], {"file", "can_be_planned", "errors", "notes", "changed_since_the_last_plan"}),
        (["today"], {"day", "make", "lots", "problems"}),
        (["stock"], {"stocks", "season_so_far", "tally"}),
        (["yields"], {"yields"}),
        (["weigh", "plum tomato", "5lb"], ENTRY),
        (["made", "tomato juice, quart", "2"], ENTRY),
        (["ate", "tomato juice, quart", "1"], ENTRY),
        (["bought", "lid", "12"], ENTRY),
        (["adopt"], {"added", "found", "receipt"}),
    ],
)
def test_json_is_the_only_thing_on_standard_output(words, keys, kitchen, capsys):
    """One object, whatever the exit code."""
    assert run([words[0], str(kitchen), *words[1:], "--json"]) == 0
    assert keys <= set(said_json(capsys))
    assert run([words[0], str(kitchen) + "x", *words[1:], "--json"]) == 1
    assert "problems" in said_json(capsys)


def test_files_that_are_made_are_named_in_json(planned_kitchen, tmp_path, capsys):
    """A new workbook, pages and labels."""
    assert run(["start", str(tmp_path / "new.xlsx"), "--json"]) == 0
    assert "No altitude yet" in " ".join(said_json(capsys)["messages"])
    for name, *only in (("pages", "--only", "calendar"), ("labels",)):
        assert run([name, str(planned_kitchen), *only, "--out", str(tmp_path / name), "--json"]) == 0
        assert str(tmp_path / name) in " ".join(said_json(capsys)["messages"])


def test_paper_goes_into_a_folder_of_the_workbooks_own_where_none_is_named(planned_kitchen, capsys):
    """Beside it, so that two workbooks in one folder do not write over each other's pages."""
    for words in (["pages", "--only", "calendar"], ["labels"]):
        assert run([words[0], str(planned_kitchen), *words[1:]]) == 0
    written = {path.name for path in (planned_kitchen.parent / "kitchen paper").iterdir()}
    assert {"calendar.ics", "labels.pdf", "labels.html"} <= written


def test_without_words_the_commands_are_listed(capsys):
    """And `--version` says the version."""
    assert run([]) == 0
    text = capsys.readouterr().out
    assert all(name in text for name in ("start", "check", "plan", "handbook"))
    assert run(["--version"]) == 0
    assert capsys.readouterr().out == f"stillroom {__version__}\n"


# ---------------------------------------------------------------- in its own process


def test_help_comes_at_once():
    """Nothing slow is imported for it: under half a second of processor, the best of three."""
    seconds = []
    for _ in range(3):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        assert command("--help").returncode == 0
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        seconds.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    assert min(seconds) < 0.5
    code = "import stillroom.cli, sys; print(sorted({'rich.table', 'pulp', 'highspy', 'openpyxl', 'lxml', 'pandas', 'pint'} & set(sys.modules)))"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert loaded.stdout == "[]\n"


def test_planning_imports_neither_pandas_nor_pint_nor_openpyxl(kitchen):
    """They cost more than the planning of a small workbook. A first plan draws its new charts with openpyxl."""
    assert run(["plan", str(kitchen)]) == 0
    book = load_workbook(kitchen)
    book["Harvest"]["C2"] = 30
    book.save(kitchen)
    code = (
        "import sys; from stillroom.cli import run; code = run(['plan', sys.argv[1], '--json']);"
        "print(sorted({'openpyxl', 'pandas', 'pint', 'numpy.testing'} & set(sys.modules)), file=sys.stderr); sys.exit(code)"
    )
    done = subprocess.run([sys.executable, "-c", code, str(kitchen)], capture_output=True, text=True, check=True)
    assert done.stderr == "[]\n"


@pytest.mark.parametrize("name", ["check", "today", "stock"])
def test_what_only_reads_does_not_import_the_solver(planned_kitchen, name):
    """It takes a third of the time that `check` takes."""
    code = (
        "import sys; from stillroom.cli import run; run(sys.argv[1:]);"
        "print(sorted({'highspy', 'numpy', 'pandas', 'pint'} & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, name, str(planned_kitchen)], capture_output=True, text=True, check=True
    )
    assert done.stderr == "[]\n"


def test_a_pipe_that_closes_early_is_no_error(planned_kitchen):
    """`stillroom plan kitchen.xlsx | head -1`."""
    line = f"'{sys.executable}' -m stillroom plan '{planned_kitchen}' | head -1"
    done = subprocess.run(["bash", "-o", "pipefail", "-c", line], capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stderr
    assert len(done.stdout.splitlines()) == 1


def test_a_narrow_alphabet_on_the_screen_is_no_error(planned_kitchen):
    """Fractions become question marks rather than a traceback."""
    done = command("plan", planned_kitchen, env=os.environ | {"PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0
    assert done.stderr == ""


def on_a_terminal(words, **environment):
    """What a command says on a terminal of 80 columns."""
    read, write = pty.openpty()
    env = {name: value for name, value in os.environ.items() if name != "NO_COLOR"}
    env |= {"TERM": "xterm-256color", "COLUMNS": "80"} | environment
    program = [sys.executable, "-m", "stillroom", *map(str, words)]
    child = subprocess.Popen(program, stdin=write, stdout=write, stderr=write, env=env)
    os.close(write)
    said = b""
    while True:
        try:
            part = os.read(read, 65536)
        except OSError:
            break
        if not part:
            break
        said += part
    os.close(read)
    return child.wait(), said.decode()


def test_a_terminal_gets_colour_or_weight_and_a_pipe_none(kitchen):
    """NO_COLOR takes the colour away, not the words."""
    code, text = on_a_terminal(["check", kitchen])
    assert code == 0
    assert "No errors. Next: stillroom plan kitchen.xlsx" in text
    code, text = on_a_terminal(["plan", kitchen])
    assert "\x1b[1m" in text
    assert "\x1b[3" not in on_a_terminal(["plan", kitchen], NO_COLOR="1")[1].replace("\x1b[3m", "")
    assert "\x1b" not in forked.command(["plan", str(kitchen)]).out


def test_a_file_with_an_odd_name_is_still_a_file(tmp_path):
    """Spaces, brackets and umlauts in its name."""
    path = build(tmp_path / "Großmutters [Küche] 2026.xlsx")
    done = forked.command(["plan", str(path)])
    assert done.code == 0
    assert Path(path).exists()
    assert "Großmutters [Küche] 2026.xlsx" in " ".join(done.out.split())


@pytest.mark.libreoffice
@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
def test_a_plan_that_libreoffice_has_opened_and_saved_is_still_the_plan(kitchen, tmp_path, capsys):
    """It shows what was written, saves it, and planning its copy again writes nothing."""
    run(["plan", str(kitchen), "--json"])
    first = said_json(capsys)
    profile = f"-env:UserInstallation=file://{tmp_path / 'profile'}"
    words = [
        "soffice",
        profile,
        "--headless",
        "--convert-to",
        "xlsx:Calc MS Excel 2007 XML",
        "--outdir",
        str(tmp_path / "saved"),
    ]
    subprocess.run([*words, str(kitchen)], check=True, capture_output=True, timeout=180)
    saved = tmp_path / "saved" / kitchen.name
    assert run(["plan", str(saved), "--json"]) == 0
    again = said_json(capsys)
    assert again["receipt"]["written"] is False
    assert again["plan"] == first["plan"]
    assert again["coverage"] == first["coverage"]


def test_a_long_sentence_is_wrapped_between_words_on_a_terminal_and_left_whole_in_a_pipe():
    """A terminal breaks a long line anywhere, also within the name of a file that is to be put back."""

    class Screen(io.StringIO):
        def isatty(self):
            return True

    words = "To undo: take that row out again, or put kitchen.before-2026-08-15-0930.xlsx back in place of the file."
    assert saying.fitted(words, io.StringIO()) == words
    screen = saying.fitted(words, Screen()).split("\n")
    assert max(map(len, screen)) <= 80
    assert " ".join(line.strip() for line in screen) == words
