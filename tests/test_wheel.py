"""What is installed from a wheel: every file that the program reads is among its package data."""

from __future__ import annotations

import tomllib
from pathlib import Path, PurePosixPath

import pytest

ROOT = Path(__file__).parents[1]
SETTINGS = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]
PACKAGE = ROOT / "src" / "stillroom"


def kept(folder: Path) -> list[Path]:
    """The files of a folder but for what Python leaves there."""
    return [one for one in sorted(folder.rglob("*")) if one.is_file() and "__pycache__" not in one.parts]


def matched(patterns: list[str], under: Path) -> set[Path]:
    """The files that patterns of setuptools find."""
    return {one for pattern in patterns for one in under.glob(pattern)}


def test_every_file_of_the_package_is_in_the_wheel():
    data = matched(SETTINGS["package-data"]["stillroom"], PACKAGE)
    missing = [one for one in kept(PACKAGE) if one.suffix != ".py" and one not in data]
    assert missing == []


def test_every_folder_with_code_is_a_package():
    folders = {one.parent for one in kept(PACKAGE) if one.suffix == ".py"}
    assert [one for one in folders if not (one / "__init__.py").is_file()] == []


@pytest.mark.parametrize("name", ["page.css", "kitchen.js", "icon.svg", "base.html", "problems.csv", "schema.toml"])
def test_what_a_page_and_a_plan_need_is_found_by_these_patterns(name):
    found = {one.name for one in matched(SETTINGS["package-data"]["stillroom"], PACKAGE)}
    assert name in found


def test_every_table_of_the_handbook_is_in_the_wheel_where_the_program_looks():
    from stillroom.handbook.tables import INSTALLED_UNDER

    (place, patterns), *others = SETTINGS["data-files"].items()
    assert not others
    assert PurePosixPath(place) == PurePosixPath(INSTALLED_UNDER.as_posix())
    assert set(kept(ROOT / "shared" / "handbook")) == matched(patterns, ROOT)
