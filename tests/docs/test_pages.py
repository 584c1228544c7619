"""All pages: links and files they name are there, every block is of a kind that a test runs, no words from outside."""

from __future__ import annotations

import re
import subprocess

import pytest
from tests.docs.blocks import PAGES, apply_change, blocks, marked, page_text, without_blocks
from tests.docs.conftest import ROOT, Shell

KINDS = {"sh", "text", "diff", "lp"}
"""Shell is run; diffs are applied; the LP file is compared; text is a picture or the program's own words."""

NOT_RUN = {
    "python3 demo/run.py": "the tests of README.md run it",
    "python3 tests/run.py": "this is one of the tests that it runs",
}

FORBIDDEN = (
    r"(?<!\w)/work\b", r"(?<!\w)/tmp\b", r"/root\b", r"/home/", r"/Users/", r"[A-Z]:\\Users",
    r"pypi\.org", r"pythonhosted", r"index-url", r"github\.com", r"gitlab\.com", r"https?://", r"\blocalhost\b",
    r"\bagents?\b", r"\bbrief\b", r"design\.md", r"\bissue \d", r"\bTODO\b", r"\bXXX\b",
)  # fmt: skip

TOP_LEVEL = {
    ".ci", ".github", ".gitignore", "DEVELOPERS.md", "LICENSE", "README.md", "demo", "pyproject.toml", "shared", "src", "tests",
    "workbook_templates",
}  # fmt: skip


@pytest.mark.parametrize("page", PAGES)
def test_every_block_says_what_it_is(page: str):
    assert {str(block) for block in blocks(page) if block.language not in KINDS} == set()
    assert page_text(page).count("\n```") % 2 == 0
    assert len(list(blocks(page))) == page_text(page).count("\n```") // 2


@pytest.mark.parametrize("page", PAGES)
def test_every_link_leads_to_a_file_of_the_tree(page: str):
    links = re.findall(r"\]\(([^)]+)\)", without_blocks(page))
    assert links or page not in ("README.md", "DEVELOPERS.md")
    folder = (ROOT / page).parent
    assert [link for link in links if not (folder / link.split("#")[0]).exists()] == []


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md", "shared/docs/adding.md"])
def test_every_file_that_is_named_is_there(page: str):
    """Names with a folder in `code`, from the root or from `src/stillroom`; bare names of Python files anywhere."""
    prose = marked("commands").sub("", without_blocks(page))  # the examples there name workbooks of nobody's
    named = {word for code in re.findall(r"`([^`\n]+)`", prose) for word in code.split()}
    named |= {word for block in blocks(page, "sh") for word in block.text.split() if "/" in word}
    missing = []
    for word in sorted(named):
        if not re.fullmatch(r"\.?[\w./-]+\.(?:py|md|toml|csv|xlsx|lp)|[\w-]+/[\w./-]+/?|[\w-]+/", word):
            continue
        if word.startswith((".venv", "demo/out")) or word in MADE_BY_HAND:
            continue
        places = (ROOT / word, ROOT / "src" / "stillroom" / word)
        anywhere = "/" not in word and any(ROOT.glob(f"src/**/{word}"))
        if not any(place.exists() for place in places) and not anywhere:
            missing.append(word)
    assert missing == []


MADE_BY_HAND = {
    "kitchen.xlsx",
    "kitchen.before-2026-08-15-0900.xlsx",
    "planned.xlsx",
    "garden.xlsx",
    "tests/planning/golden/loads_a_day.lp",
}
"""Files that are made by following the page: the household's workbooks, and the golden of the example."""


def test_the_diagram_of_packages_shows_every_package_and_no_other():
    picture = next(blocks("DEVELOPERS.md", "text")).text
    packages = {path.parent.name for path in (ROOT / "src" / "stillroom").glob("*/__init__.py")}
    assert set(re.findall(r"(\w+)/(?=\s)", picture)) == packages


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("words", FORBIDDEN)
def test_a_page_speaks_of_the_project_alone(page: str, words: str):
    assert re.findall(words, page_text(page), re.IGNORECASE) == []


def test_lines_of_prose_fit_the_width_of_the_code():
    for page in PAGES:
        for line in without_blocks(page).splitlines():
            assert len(line) <= 120 or line.startswith(("|", "![")), (
                f"{page}: {line}"
            )  # tables and pictures stand in one line


def test_the_commands_of_the_page_for_developers_run(shell: Shell):
    lines = [line for block in blocks("DEVELOPERS.md", "sh") for line in block.text.splitlines()]
    assert lines
    for line in lines:
        if line not in NOT_RUN:
            done = shell(line)
            assert done.returncode == 0, f"{line}\n{done.stdout}{done.stderr}"
            assert "no tests ran" not in done.stdout


def test_the_bench_says_what_it_takes(shell: Shell):
    assert "--count" in shell("python3 tests/bench.py plan --help").stdout
    done = shell("python3 tests/bench.py nothing")
    assert (done.returncode, "plan" in done.stdout) == (2, True)


def test_commands_in_tables_and_prose_name_scripts_that_are_there():
    for page in PAGES:
        for script in re.findall(r"`python3? ([\w/]+\.py)", page_text(page)):
            assert (ROOT / script).exists(), f"{page}: {script}"


def test_a_change_that_no_longer_fits_the_code_is_noticed(tmp_path):
    (tmp_path / "src" / "stillroom" / "household").mkdir(parents=True)
    block = next(block for block in blocks("shared/docs/adding.md", "diff") if "records.py" in block.text)
    (tmp_path / "src" / "stillroom" / "household" / "records.py").write_text("# something else\n")
    with pytest.raises(AssertionError, match=r"stand 0 times in records\.py"):
        apply_change(block, tmp_path)


def test_the_tree_has_only_the_agreed_entries_at_its_top():
    """What `.gitignore` names is not of the tree."""
    if (ROOT / ".git").exists():
        command = ["git", "ls-files", "--cached", "--others", "--exclude-standard"]
        listed = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False).stdout.splitlines()
        found = {line.strip('"').split("/")[0] for line in listed if (ROOT / line.strip('"')).exists()}
    else:
        ignored = {line.strip("/") for line in (ROOT / ".gitignore").read_text().splitlines()}
        found = {path.name for path in ROOT.iterdir() if path.name not in ignored}
    assert found - TOP_LEVEL == set()
    assert TOP_LEVEL - found == set()
