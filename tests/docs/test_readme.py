"""README.md shows what the program really says, names every command, and its set-up is two commands."""

from __future__ import annotations

import io
import re
from importlib.metadata import version
from pathlib import Path

import pytest
import typer
from PIL import Image, ImageChops
from tests.docs import refresh
from tests.docs.blocks import blocks, marked, page_text
from tests.docs.conftest import ROOT, Shell
from tests.small_kitchen import build

from stillroom.app.day import clock_of
from stillroom.app.print import shown_of
from stillroom.cli import app

PAGE = "README.md"
SET_UP = "python3 demo/run.py\npython3 tests/run.py\n"


def part(name: str) -> str:
    """A marked part of the page as it stands."""
    found = marked(name).search(page_text(PAGE))
    assert found is not None, f"README.md has no part marked {name!r}"
    return found[2]


def test_the_job_stands_on_top_in_one_paragraph_before_any_command():
    title, sentence, first, *_ = page_text(PAGE).split("\n\n")
    assert title == "# stillroom"
    assert sentence.count(".") == 1
    assert len(first.split()) > 60
    assert "`" not in first


def test_the_set_up_is_exactly_two_commands():
    assert next(blocks(PAGE, "sh")).text == SET_UP


def test_planning_your_own_is_four_commands_within_300_words():
    before, after = page_text(PAGE).split("## Plan your own\n")
    assert len(before.split()) < 300
    assert after.index("```sh") < after.index("\n## ")
    _, begin = blocks(PAGE, "sh")
    assert len(begin.text.splitlines()) == 4


@pytest.fixture(scope="module")
def glut(shell: Shell) -> str:
    """What the first command of the page says: the plan of the glut."""
    done = shell(SET_UP.splitlines()[0])
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_the_plan_shown_is_the_one_that_is_made(glut: str):
    """With another version of the solver another plan may be as good: then only what every plan shows is asked for."""
    shown, made = part("plan of the glut"), refresh.plan_part(glut)
    if f"HiGHS {version('highspy')} " in shown:
        assert shown == made, "run: python tests/docs/refresh.py"
    for text in (shown, made):
        for section in ("FIRST DAY", "WINTER LIST", "TO BUY", "Saved in"):
            assert f"\n{section}" in text


def test_the_pictures_shown_are_of_that_plan(glut: str, tree: Path, monkeypatch: pytest.MonkeyPatch):
    """Drawn anew, they look like those that lie there, to a hundredth of the dots; the two sheets are not made anew."""
    monkeypatch.syspath_prepend(ROOT / "demo")
    import pictures

    planned = tree / "demo" / "out" / pictures.HOUSEHOLD.name
    for name, content in pictures.drawn(shown_of(clock_of(planned, pictures.DAY))).items():
        with Image.open(io.BytesIO(content)) as now, Image.open(pictures.FOLDER / f"{name}.png") as there:
            assert now.size == there.size, "run python demo/pictures.py"
            away = ImageChops.difference(now.convert("L"), there.convert("L")).point(lambda shade: 255 * (shade > 60))
            assert away.histogram()[255] < 0.01 * now.width * now.height, "run python demo/pictures.py"


def test_no_date_of_the_clock_is_shown():
    assert not re.search(r"\.before-\d", part("plan of the glut"))


def test_what_is_shown_fits_a_screen_of_80_columns():
    for block in blocks(PAGE, "text"):
        assert [line for line in block.text.splitlines() if len(line) > 80] == []


@pytest.mark.parametrize("name", ["commands", "figures"])
def test_a_table_made_from_the_program_is_as_it_would_be_made_now(name: str):
    assert part(name) == refresh.PARTS[name](), "run: python tests/docs/refresh.py"


def test_every_command_of_the_help_is_in_the_page_and_no_other(shell: Shell):
    shown = shell("stillroom --help").stdout
    commands = re.findall(r"^  ([a-z][\w-]*)  +\S", shown.split("Every day:")[1], re.MULTILINE)
    assert commands
    assert sorted(re.findall(r"^\| `([\w-]+)` \|", part("commands"), re.MULTILINE)) == sorted(commands)
    assert set(commands) == set(typer.main.get_command(app).commands)


def test_every_command_named_anywhere_in_the_page_is_there():
    known = set(typer.main.get_command(app).commands)
    named = set(re.findall(r"(?:^|[`$] ?)stillroom ([a-z][\w-]*)", page_text(PAGE), re.MULTILINE))
    assert named
    assert named <= known


def test_the_four_uses_are_the_four_demo_households():
    uses = re.findall(r"`python3 demo/run.py (\w+)` \|", page_text(PAGE))
    assert len(uses) == 4
    assert set(uses) == {path.stem for path in (ROOT / "demo").glob("*.xlsx")}


def test_beginning_with_an_own_kitchen_goes_as_it_is_written(shell: Shell, tree: Path):
    """The blocks after the set-up, line by line: a new workbook is made, checked and planned."""
    _, *begin = blocks(PAGE, "sh")
    lines = [line for block in begin for line in block.text.splitlines()]
    assert "stillroom start kitchen.xlsx --people 4 --altitude 1450ft" in lines
    for line in lines:
        done = shell(line)
        assert done.returncode == 0, f"{line}\n{done.stdout}{done.stderr}"
    assert (tree / "kitchen.xlsx").exists()


def test_the_set_up_commands_run_and_a_name_plans_another_household(glut: str, shell: Shell, tree: Path):
    """The other household is the small kitchen, laid in place of the demo: which workbook is planned is what is asked."""
    assert "The plan is in demo/out/tomato_glut.xlsx" in glut
    assert (tree / "demo" / "out" / "tomato_glut.xlsx").exists()
    build(tree / "demo" / "shared_plan.xlsx")
    done = shell("python3 demo/run.py shared_plan")
    assert done.returncode == 0
    assert "tomato juice, quart" in done.stdout
    assert "The plan is in demo/out/shared_plan.xlsx" in done.stdout
    words_go_to_pytest = f"{SET_UP.splitlines()[1]} --version"  # without any it would run this test
    assert shell(words_go_to_pytest).returncode == 0


def test_the_examples_of_the_commands_have_the_options_they_use():
    known = typer.main.get_command(app).commands
    for command, example in re.findall(r"^\| `([\w-]+)` \|.*\| `(.+)` \|$", part("commands"), re.MULTILINE):
        options = {word for parameter in known[command].params if not parameter.hidden for word in parameter.opts}
        assert example.startswith(f"stillroom {command} ")
        for option in re.findall(r"--[\w-]+", example):
            assert option in options, f"{example}: {command} has no {option}"


def test_the_sizes_stated_are_those_of_the_description():
    from stillroom.workbook.schema import tables

    words = " ".join(page_text(PAGE).split())
    stated = re.search(
        r"At most ([\d,]+) preserves, ([\d,]+) crops, ([\d,]+) lots, ([\d,]+) targets and ([\d,]+) rows", words
    )
    assert stated is not None
    names = ("Preserves", "Crops", "Harvest", "Winter list", "Record")
    assert [int(figure.replace(",", "")) for figure in stated.groups()] == [tables()[name].limit for name in names]


def test_the_promise_names_every_table_the_planner_owns_and_the_columns_that_are_the_households():
    from stillroom.workbook.schema import output_tables

    words = " ".join(page_text("shared/docs/your_own_workbook.md").split())
    stated = re.search(r"in the planner's tables: (.+?)\. In Plan the columns (.+?) are yours", words)
    assert stated is not None
    written = [table for table in output_tables() if not table.later]
    assert set(re.split(r", | and ", stated[1])) == {table.name for table in written}
    theirs = [column.heading for table in written for column in table.columns if column.owner == "household"]
    assert re.findall(r"\*([\w ]+)\*", stated[2]) == theirs
