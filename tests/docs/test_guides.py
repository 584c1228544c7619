"""Every command of the pages in shared/docs is run, line by line, in a folder with a planned demo workbook."""

from __future__ import annotations

import json
import re
import shlex
import shutil
from pathlib import Path

import pytest
import typer
from tests.docs.blocks import GUIDES, blocks, page_text
from tests.docs.conftest import ROOT, Shell

from stillroom.cli import app
from stillroom.errors import CommandWrong, CouldNotWrite, NoPlanInTime, WorkbookRefused

ACTED_OUT = "shared/docs/adding.md"
"""Its blocks are the worked example, which test_developers.py runs in a copy of the tree."""

LINES = {
    page: [line for block in blocks(page, "sh") for line in block.text.splitlines()]
    for page in GUIDES
    if page != ACTED_OUT and any(blocks(page, "sh"))
}


@pytest.fixture(scope="module")
def planned(shell: Shell, tree: Path) -> Path:
    """The tomato glut with its plan: made once, so that each page begins with a plan in its workbook."""
    path = tree / "planned_glut.xlsx"
    shutil.copyfile(ROOT / "demo" / "tomato_glut.xlsx", path)
    done = shell(f"stillroom plan {path.name}")
    assert done.returncode == 0, done.stderr
    return path


@pytest.mark.parametrize("page", LINES)
def test_every_command_of_a_page_runs(page: str, planned: Path, shell: Shell, tree: Path):
    folder = tree / Path(page).stem
    (folder / "kitchens").mkdir(parents=True)
    for copy in (folder / "kitchen.xlsx", folder / "kitchens" / "kitchen.xlsx"):
        shutil.copyfile(planned, copy)
    for line in LINES[page]:
        assert line.startswith("stillroom "), f"{page}: {line}"
        done = shell(f"cd {shlex.quote(str(folder))} && {line}")
        assert done.returncode == 0, f"{page}: {line}\n{done.stdout}{done.stderr}"


@pytest.mark.parametrize("page", GUIDES)
def test_a_page_names_only_commands_that_exist(page: str):
    named = set(re.findall(r"(?:^|`)stillroom ([a-z][\w-]*)", page_text(page), re.MULTILINE))
    assert named <= set(typer.main.get_command(app).commands)


def test_the_page_of_json_lists_the_keys_of_a_plan(planned: Path, shell: Shell):
    shown = json.loads(shell(f"stillroom plan {planned.name} --json").stdout)
    rows = dict(
        re.findall(r"^\| `(\w+)` \| (.+?) \|$", page_text("shared/docs/json.md").split("## Other")[0], re.MULTILINE)
    )
    assert set(rows) == set(shown)
    for name, value in shown.items():
        keys = set(value[0]) if isinstance(value, list) and value else set(value)
        if keys:
            assert set(re.findall(r"`(\w+)`", rows[name])) == keys, name


def test_the_page_of_errors_lists_every_exit_code():
    page = page_text("shared/docs/troubleshooting.md")
    listed = {int(code) for code in re.findall(r"^\| (\d) \|", page, re.MULTILINE)}
    assert listed == {0, *(error.exit_code for error in (WorkbookRefused, CommandWrong, CouldNotWrite, NoPlanInTime))}
