"""The worked examples of DEVELOPERS.md are acted out in a copy of the tree: the changes, the commands, the golden."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.docs.blocks import apply_change, blocks, page_text
from tests.docs.conftest import ROOT, Shell

PAGE = "shared/docs/adding.md"
STORY = "## Add an input column", "## What else is added the same way"


def in_the_story(line: int) -> bool:
    """Whether a line stands between the headings of the two worked examples and what follows them."""
    begins, ends = (page_text(PAGE)[: page_text(PAGE).index(heading)].count("\n") + 1 for heading in STORY)
    return begins < line < ends


@pytest.fixture(scope="module")
def changed(tree: Path, shell: Shell) -> list[str]:
    """Make every change of the two examples, then run their commands in order; gives what went wrong."""
    story = [block for block in blocks(PAGE) if in_the_story(block.line)]
    for block in story:
        if block.language == "diff":
            apply_change(block, tree)
    wrong = []
    for block in story:
        for line in block.text.splitlines() if block.language == "sh" else ():
            done = shell(line)
            if done.returncode:
                wrong.append(f"{line}\n{done.stdout[-3000:]}{done.stderr[-1000:]}")
    return wrong


def test_the_worked_examples_pass_every_test_they_name(changed: list[str]) -> None:
    assert changed == []


def test_the_golden_shown_is_the_one_that_is_made_and_no_other_changed(changed: list[str], tree: Path) -> None:
    made = tree / "tests" / "planning" / "golden"
    [shown] = blocks(PAGE, "lp")
    assert (made / "loads_a_day.lp").read_text() == shown.text
    before = {path.name: path.read_text() for path in (ROOT / "tests" / "planning" / "golden").glob("*.lp")}
    after = {path.name: path.read_text() for path in made.glob("*.lp") if path.stem != "loads_a_day"}
    assert after == before


def test_the_new_column_is_in_the_reference_page_and_in_the_starting_workbooks(
    changed: list[str], tree: Path, shell: Shell
) -> None:
    assert "| Most loads a day | number, 0 to 1,000 | no limit |" in (tree / "shared" / "reference.md").read_text()
    assert (
        "| Price | number | the planner's | Your price of one unit. |" in (tree / "shared" / "reference.md").read_text()
    )
    line = (
        "python -c \"import openpyxl; book = openpyxl.load_workbook('workbook_templates/starting_us.xlsx'); "
        "print(book['Equipment'].tables['Equipment'].column_names)\""
    )
    assert "'Most loads a day'" in shell(line).stdout


def test_forgetting_a_step_is_noticed(changed: list[str], tree: Path, shell: Shell) -> None:
    """Without its twin, its case or its golden a rule does not pass: the lists are held against one another."""
    for name, lost, found_by in (
        ("src/stillroom/household/audit/__init__.py", '    "loads_a_day": loads_a_day,\n', "test_goldens.py"),
        ("tests/planning/test_binding.py", '    "loads_a_day": lambda', "test_binding.py"),
    ):
        path = tree / name
        whole = path.read_text()
        kept = [line for line in whole.splitlines(keepends=True) if not line.startswith(lost.rstrip("\n"))]
        path.write_text("".join(kept))
        assert shell(f"python -m pytest -q -k 'twin or binds' tests/planning/{found_by}").returncode == 1
        path.write_text(whole)
