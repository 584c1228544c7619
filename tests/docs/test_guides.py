"""Every command of the pages in shared/docs is run, line by line, in a folder with a planned demo workbook."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import zipfile
from io import BytesIO
from pathlib import Path

import pytest
import typer
from tests.docs.blocks import GUIDES, blocks, page_text
from tests.docs.conftest import ROOT

from stillroom.cli import app, run
from stillroom.errors import CommandWrong, CouldNotWrite, NoPlanInTime, WorkbookRefused
from stillroom.reports.json import snake
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.schema import output_tables

ACTED_OUT = "shared/docs/adding.md"
"""Its blocks are the worked example, which test_developers.py runs in a copy of the tree."""

LINES = {
    page: [line for block in blocks(page, "sh") for line in block.text.splitlines()]
    for page in GUIDES
    if page != ACTED_OUT and any(blocks(page, "sh"))
}


HORIZON = {"days planned in detail": 3, "weeks planned roughly": 2}
"""Days and weeks that are planned of the glut: its seven and eight take a minute more, and no other command."""

MADE = {
    "apples, root cellar",
    "chile salsa, pint",
    "green beans, quart",
    "sauerkraut, fermented",
    "sweet peppers, frozen",
    "tomato juice, pint",
    "tomato juice, quart",
    "tomatoes, dried",
}
"""Preserves that are included, one of every method: a season of all of them takes half a minute."""


def smaller(content: bytes) -> bytes:
    """The workbook with other days and weeks and fewer preserves, and every saved result of a formula kept."""
    book = Book(Path("glut.xlsx"), content)
    kitchen, preserves = book.table("Kitchen"), book.table("Preserves")
    typed = {cell.address: b"%d" % HORIZON[name.value] for name, cell, *_ in kitchen.rows if name.value in HORIZON}
    left_out = [cell.address for name, cell, *_ in preserves.rows if cell.value == "yes" and name.value not in MADE]
    never = next(cell.address for _, cell, *_ in preserves.rows if cell.value == "no")
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(content)) as before, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as after:
        for name in before.namelist():
            data = before.read(name)
            if name == kitchen.sheet_part:
                data = with_cells(data, typed)
            if name == preserves.sheet_part:
                no = re.search(rb'<c r="%b"[^>]*><v>([^<]*)' % never.encode(), data)[1]
                data = with_cells(data, dict.fromkeys(left_out, no))
            after.writestr(name, data)
    return out.getvalue()


def with_cells(data: bytes, values: dict[str, bytes]) -> bytes:
    """A sheet with other values in some of its cells."""
    assert values
    for address, value in values.items():
        data, count = re.subn(rb'(<c r="%b"[^>]*><v>)[^<]*' % address.encode(), rb"\g<1>%b" % value, data)
        assert count == 1
    return data


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The tomato glut with its plan: made once, so that each page begins with a plan in its workbook."""
    path = tmp_path_factory.mktemp("planned") / "planned_glut.xlsx"
    path.write_bytes(smaller((ROOT / "demo" / "tomato_glut.xlsx").read_bytes()))
    assert run(["plan", str(path)]) == 0
    return path


@pytest.mark.parametrize("page", LINES)
def test_every_command_of_a_page_runs(page: str, planned: Path, tmp_path: Path, monkeypatch, capsys):
    """In this process: the tests of README.md run commands in a shell."""
    (tmp_path / "kitchens").mkdir()
    for copy in (tmp_path / "kitchen.xlsx", tmp_path / "kitchens" / "kitchen.xlsx"):
        shutil.copyfile(planned, copy)
    monkeypatch.chdir(tmp_path)
    for line in LINES[page]:
        program, *words = shlex.split(line)
        assert program == "stillroom", f"{page}: {line}"
        code, said = run(words), capsys.readouterr()
        assert code == 0, f"{page}: {line}\n{said.out}{said.err}"


@pytest.mark.parametrize("page", GUIDES)
def test_a_page_names_only_commands_that_exist(page: str):
    named = set(re.findall(r"(?:^|`)stillroom ([a-z][\w-]*)", page_text(page), re.MULTILINE))
    assert named <= set(typer.main.get_command(app).commands)


def test_the_page_of_json_lists_the_keys_of_a_plan(planned: Path, tmp_path: Path, capsys):
    copy = shutil.copyfile(planned, tmp_path / "kitchen.xlsx")
    capsys.readouterr()
    run(["plan", str(copy), "--json"])
    shown = json.loads(capsys.readouterr().out)
    page = page_text("shared/docs/json.md").split("## Other")[0]
    rows = dict(re.findall(r"^\| `(\w+)` \| (.+?) \|$", page, re.MULTILINE))
    [several] = re.findall(r"^\| (`\w+`, .+?) \| the columns of that table;", page, re.MULTILINE)
    columns = {snake(table.name): {snake(heading) for heading in table.headings} for table in output_tables()}
    for name in re.findall(r"`(\w+)`", several):
        rows[name] = rows.get(name, "") + "".join(f"`{key}`" for key in columns[name])
    assert set(rows) == set(shown)
    for name, value in shown.items():
        keys = set(value[0]) if isinstance(value, list) and value else set(value)
        if keys:
            assert set(re.findall(r"`(\w+)`", rows[name])) == keys, name


def test_the_page_of_errors_lists_every_exit_code():
    page = page_text("shared/docs/troubleshooting.md")
    listed = {int(code) for code in re.findall(r"^\| (\d) \|", page, re.MULTILINE)}
    assert listed == {0, *(error.exit_code for error in (WorkbookRefused, CommandWrong, CouldNotWrite, NoPlanInTime))}
