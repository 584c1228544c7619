"""The pictures of the README: there, small, made of the demo, and named with words for those who cannot see them."""

import io
import re
import shutil
import sys
from pathlib import Path

import pytest
from PIL import Image, ImageChops

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


@pytest.mark.slow
def test_what_is_drawn_is_of_the_demo_as_it_is(maker, tmp_path):
    """Planned anew, they look like those that lie there, to a hundredth of the dots; the two sheets are not made anew."""
    from stillroom.app.day import clock_of
    from stillroom.app.plan import read_workbook
    from stillroom.app.print import shown_of
    from stillroom.app.write_plan import plan_workbook

    copy = tmp_path / maker.HOUSEHOLD.name
    shutil.copyfile(maker.HOUSEHOLD, copy)
    plan_workbook(read_workbook(copy, maker.DAY))
    for name, content in maker.drawn(shown_of(clock_of(copy, maker.DAY))).items():
        with Image.open(io.BytesIO(content)) as now, Image.open(FOLDER / f"{name}.png") as there:
            assert now.size == there.size, "run python demo/pictures.py"
            away = ImageChops.difference(now.convert("L"), there.convert("L")).point(lambda shade: 255 * (shade > 60))
            assert away.histogram()[255] < 0.01 * now.width * now.height, "run python demo/pictures.py"
