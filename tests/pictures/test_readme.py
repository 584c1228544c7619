"""The pictures of the README: there, small, and named with words; tests/docs/test_readme.py holds them against the demo."""

import re
import sys
from pathlib import Path

import pytest
from PIL import Image

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / "demo" / "pictures"
NAMES = {"winter_list.png", "where_it_goes.png", "day_1.png", "sheet_plan.png", "sheet_coverage.png"}


@pytest.fixture(scope="module")
def maker():
    """The script that makes them."""
    sys.path.insert(0, str(ROOT / "demo"))
    import pictures

    yield pictures
    sys.path.remove(str(ROOT / "demo"))


def test_they_are_there_and_small(maker):
    """Half a megabyte in all, none wider than a page."""
    assert {path.name for path in FOLDER.iterdir()} == NAMES
    assert {f"{name}.png" for name in (*maker.DRAWN, *maker.SHEETS)} == NAMES
    assert sum(path.stat().st_size for path in FOLDER.iterdir()) < 500_000
    for path in FOLDER.iterdir():
        with Image.open(path) as image:
            assert 800 <= image.width <= 1600, path.name
            assert image.height <= 1200, path.name


def test_the_readme_shows_only_what_is_there_with_words_beside_it():
    """Each with a text alternative that is a sentence."""
    for words, place in re.findall(r"!\[([^\]]*)\]\((demo/pictures/[^)]*)\)", (ROOT / "README.md").read_text()):
        assert (ROOT / place).is_file(), place
        assert len(words.split()) >= 6, place
