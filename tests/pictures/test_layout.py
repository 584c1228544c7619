"""Every picture of every plan: nothing is cut off, no words lie over others, and what cannot be drawn is said."""

import pytest
from tests.pictures.kitchens import ACCENTS, LONG

from stillroom.reports.charts import pictures_of
from stillroom.reports.charts.canvas import Box, Line, Ribbon, Words, shortened, width_of, wrapped

NEAR = 0.6
"""Points by which letters may touch: their bounds hold the room for accents and tails."""


def overlap(one, other):
    """Whether two bounds lie over one another."""
    return (
        min(one[2], other[2]) - max(one[0], other[0]) > NEAR
        and min(one[3], other[3]) - max(one[1], other[1]) > 2 * NEAR
    )


def edges(mark):
    """The points of a mark that is not words."""
    if isinstance(mark, Box):
        return [(mark.left, mark.top), (mark.left + mark.width, mark.top + mark.height)]
    if isinstance(mark, Ribbon):
        return [(mark.left[0], mark.left[1]), (mark.right[0], mark.right[2])]
    assert isinstance(mark, Line)
    return list(mark.points)


def test_all_lies_on_the_paper(shown):
    """Every box, line and letter, with room for a hand's edge."""
    for picture in pictures_of(shown):
        wide, high = picture.drawing.width, picture.drawing.height
        for mark in picture.drawing.marks:
            if isinstance(mark, Words):
                left, top, right, bottom = mark.bounds
                assert left >= 2, (picture.name, mark.text)
                assert right <= wide - 2, (picture.name, mark.text)
                assert top >= 0, (picture.name, mark.text)
                assert bottom <= high, (picture.name, mark.text)
            else:
                for x, y in edges(mark):
                    assert -NEAR <= x <= wide + NEAR, (picture.name, mark)
                    assert -NEAR <= y <= high + NEAR, (picture.name, mark)


def test_no_words_lie_over_others(shown):
    """Also not where names have forty letters."""
    for picture in pictures_of(shown):
        words = [mark for mark in picture.drawing.marks if isinstance(mark, Words)]
        bounds = [mark.bounds for mark in words]
        for place, one in enumerate(bounds):
            for other in range(place + 1, len(bounds)):
                assert not overlap(one, bounds[other]), (picture.name, words[place].text, words[other].text)


def test_nothing_is_laid_over_words(shown):
    """A box that comes after words does not cover them."""
    for picture in pictures_of(shown):
        marks = picture.drawing.marks
        for place, mark in enumerate(marks):
            if isinstance(mark, Words):
                for later in marks[place + 1 :]:
                    if isinstance(later, Box):
                        box = (later.left, later.top, later.left + later.width, later.top + later.height)
                        assert not overlap(mark.bounds, box), (picture.name, mark.text)


def test_letters_are_large_enough(shown):
    """No letters under 7.5 points on a picture of 640: two millimeters high on a page."""
    sizes = {mark.size for picture in pictures_of(shown) for mark in picture.drawing.marks if isinstance(mark, Words)}
    assert min(sizes) >= 7.5


def test_every_picture_has_a_name_of_its_own_and_says_what_it_shows(shown):
    """The text alternative is a sentence or two, with a figure in it where anything is drawn."""
    pictures = pictures_of(shown)
    assert len({picture.name for picture in pictures}) == len(pictures)
    for picture in pictures:
        assert picture.alternative.rstrip().endswith("."), picture.name
        assert 15 < len(picture.alternative) < 900, picture.name
        assert picture.empty or any(sign.isdigit() for sign in picture.alternative), picture.name


@pytest.mark.parametrize("shown", ["nothing", "empty"], indirect=True)
def test_where_there_is_nothing_to_draw_it_is_said_and_no_chart_is_drawn(shown):
    """Words only: no bars and no axes. (The winter list of a plan that makes nothing has its shelf and what is short.)"""
    for picture in pictures_of(shown):
        if picture.empty:
            assert all(isinstance(mark, Words) for mark in picture.drawing.marks)
    empty = {picture.name for picture in pictures_of(shown) if picture.empty}
    assert {"freezer", "season_so_far"} <= empty
    assert shown.planned or {"winter_list", "jars_left", "where_it_goes"} <= empty


@pytest.mark.parametrize("name", [LONG, ACCENTS, "x" * 300, "a", "", "   "])
def test_words_are_never_wider_than_their_room(name):
    """Whatever is typed."""
    for room in (1.0, 10.0, 60.0, 178.0):
        assert width_of(shortened(name, room, 9.5), 9.5) <= room
        assert all(width_of(line, 9.5) <= room for line in wrapped(name, room, 9.5, 3))


def test_forty_letters_stand_in_two_lines_uncut():
    """In the room the winter list has for names."""
    assert "".join(wrapped(LONG[:40], 178.0, 9.5)).replace(" ", "") == LONG[:40].replace(" ", "")
