"""A copy of the tree in which the pages' blocks are run: changes and new files never touch the tree itself."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("src", "tests", "demo", "shared", "workbook_templates", "pyproject.toml", "README.md", "DEVELOPERS.md")
LEFT_OUT = shutil.ignore_patterns("*.pyc.*", "*.egg-info", "out", ".*")
"""Bytecode comes along, but for what is just being written, so that the copy is not compiled again."""

ENVIRONMENT = '''\
"""Stands in for the page that makes an environment: in this copy of the tree the one at hand is used."""

import sys


def prepare(root, extras=""):
    return sys.executable
'''

Shell = Callable[[str], subprocess.CompletedProcess[str]]


@pytest.fixture(scope="module")
def tree(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A copy of the tree with the environment of this test run; one for each module of tests."""
    copy = tmp_path_factory.mktemp("stillroom")
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, copy / name, ignore=LEFT_OUT)
        else:
            shutil.copyfile(source, copy / name)
    (copy / "demo" / "environment.py").write_text(ENVIRONMENT)
    activate = copy / ".venv" / "bin" / "activate"
    activate.parent.mkdir(parents=True)
    activate.touch()
    yield copy
    shutil.rmtree(copy, ignore_errors=True)


@pytest.fixture(scope="module")
def shell(tree: Path) -> Shell:
    """Run one line of a shell block in the copy, with the Python of this test run; its output is captured."""
    words = tree / "words"
    words.mkdir()
    for name, module in (("python", ""), ("python3", ""), ("stillroom", "-m stillroom ")):
        (words / name).write_text(f'#!/bin/sh\nexec "{sys.executable}" {module}"$@"\n')
        (words / name).chmod(0o755)
    environment = os.environ | {
        "PATH": f"{words}{os.pathsep}{os.environ['PATH']}",
        "PYTHONPATH": str(tree / "src"),
        "COLUMNS": "80",
    }

    def run(line: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            ["/bin/sh", "-c", line], cwd=tree, env=environment, capture_output=True, text=True, check=False, timeout=300
        )

    return run
