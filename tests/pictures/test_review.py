"""The pictures and the page of the review: true to their figures, nothing cut off."""

import pytest
from tests.household.three_seasons import three_seasons
from tests.pictures.kitchens import LONG
from tests.pictures.test_layout import edges, overlap
from tests.small_kitchen import FRIDAY

from stillroom.app.plan import read_workbook
from stillroom.app.year import review_of
from stillroom.cli import run
from stillroom.household.records import Crop
from stillroom.household.results.review import CropReview, Review, TargetReview, WorkReview
from stillroom.reports.charts.canvas import PLANNED, SHELF, SHORT, Box, Line, Words
from stillroom.reports.charts.season import review_pictures


def crowded(name):
    """Twelve of each, with long names."""
    many = range(12)
    targets = [
        TargetReview(f"{name} {n}", "quart", 20, 1e4, 7, 1, 0, 3, 2.0, (1.0, 3.0), None, 3.0, 0, 56, "", n > 8)
        for n in many
    ]
    crops = [
        CropReview(Crop(f"{name} {n}", 5), 3, 9e3, 0.4, 9, 0, 0, 99, 0.5 + n / 8, (0.4 + n / 8, 0.7 + n / 8), "")
        for n in many
    ]
    work = [WorkReview(f"{name} {n}", 9, 1e4, 0, (0.0, 0.001), ()) for n in many]
    return Review(FRIDAY, FRIDAY, 9, tuple(targets), tuple(crops), (), tuple(work), (), ())


EMPTY = Review(FRIDAY, None, 0, (), (), (), (), (), ())


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    """The workbook of three seasons."""
    return three_seasons(tmp_path_factory.mktemp("review") / "kitchen.xlsx")


@pytest.fixture(scope="module")
def seasons(path):
    """The review of it."""
    return review_of(read_workbook(path, FRIDAY))


def drawn(found):
    """The pictures by their names."""
    return {one.name: one for one in review_pictures(found)}


@pytest.mark.parametrize("found", [crowded("jar"), crowded(LONG)], ids=["short", "long"])
def test_all_lies_on_the_paper_and_no_words_lie_over_others(found):
    for picture in review_pictures(found):
        wide, high = picture.drawing.width, picture.drawing.height
        for mark in picture.drawing.marks:
            left, top, right, bottom = mark.bounds if isinstance(mark, Words) else (*edges(mark)[0], *edges(mark)[-1])
            assert min(left, right) >= 0 <= min(top, bottom), (picture.name, mark)
            assert max(left, right) <= wide, (picture.name, mark)
            assert max(top, bottom) <= high, (picture.name, mark)
        bounds = [mark.bounds for mark in picture.drawing.marks if isinstance(mark, Words)]
        near = [(one, other) for place, one in enumerate(bounds) for other in bounds[place + 1 : place + 6]]
        assert not any(overlap(one, other) for one, other in near), picture.name


def test_the_bars_of_a_target_are_as_long_as_its_amounts(seasons):
    """Juice: 20 wanted, 106 put up and 56 eaten; of the pints nothing is eaten, so there is no third bar."""
    boxes = [mark for mark in drawn(seasons)["review_targets"].drawing.marks if isinstance(mark, Box)][3:]
    assert [box.tone for box in boxes] == [SHORT, SHELF, PLANNED, SHORT, SHELF]
    wanted, put_up, eaten = (box.width for box in boxes[:3])
    assert (wanted / put_up, eaten / put_up) == (pytest.approx(20 / 106), pytest.approx(56 / 106))


def test_an_interval_is_drawn_where_it_lies_and_a_clear_difference_has_a_full_box(seasons):
    picture = drawn(seasons)["review_seals"]
    old, new = seasons.equipment
    field = [mark.points for mark in picture.drawing.marks if isinstance(mark, Line) and mark.thick == 1.6]
    (low, _), (high, _) = field[0]
    assert (high - low) / (field[1][1][0] - field[1][0][0]) == pytest.approx(
        (old.between[1] - old.between[0]) / (new.between[1] - new.between[0])
    )
    assert [mark.tone for mark in picture.drawing.marks if isinstance(mark, Box)] == [SHELF, SHORT]
    assert "23% more" in drawn(seasons)["review_varieties"].alternative


def test_without_records_the_pictures_say_so():
    assert all(one.empty for one in review_pictures(EMPTY))


def test_the_page_is_written_with_its_pictures(path, tmp_path, capsys):
    folder = tmp_path / "paper"
    assert run(["review", str(path), "--out", str(folder)]) == 0
    assert "3 pictures" in " ".join(capsys.readouterr().out.split())
    html = (folder / "review.html").read_text()
    assert html.count("<figure>") == 3
    for words in ("Never eaten", "56 quarts", "Check its rack", "of jars did not seal"):
        assert words in html
    assert (folder / "review.pdf").read_bytes().startswith(b"%PDF")
    names = {f"review_{what}.{ending}" for what in ("targets", "varieties", "seals") for ending in ("png", "svg")}
    assert {one.name for one in (folder / "pictures").iterdir()} - {".stillroom"} == names
