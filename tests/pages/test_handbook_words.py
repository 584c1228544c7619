"""What `handbook` says in the terminal and as JSON."""

from __future__ import annotations

import json

import pytest

from stillroom.errors import CommandWrong
from stillroom.reports.terminal.handbook import ask, handbook_json, handbook_page
from stillroom.reports.terminal.lists import plain_text


def said(**asked):
    """The page in plain text."""
    return plain_text(handbook_page(ask(**asked)))


def test_a_figure_has_its_source_and_cautions_that_fit():
    """AIB 539, Guide 3: 45 minutes a quart of juice at 1,001 to 3,000 ft."""
    text = said(food="tomato", altitude="2300ft", jar="quart")
    assert "1,001 to 3,000 ft   45 min\n" in text
    assert "within a few weeks [1]" in text.replace("\n  ", " ")
    assert "CAUTIONS" in text
    assert "Add acid to every jar of tomatoes, in either canner" in text
    assert "COMMON PRACTICE, NOT PUBLISHED" in text


def test_a_narrow_screen_never_breaks_a_figure():
    """At 60 letters the minutes stood letter under letter: 45, mi, n."""
    text = plain_text(handbook_page(ask(food="tomato", altitude="2300ft", jar="quart")), 60)
    assert "1,001 to 3,000 ft   45 min\n" in text
    assert max(map(len, text.splitlines())) <= 60


def test_what_is_no_height_is_told_as_one():
    """It was told to write a number and a unit, such as 53 lb."""
    with pytest.raises(CommandWrong, match="tall is not an altitude"):
        ask(altitude="tall")


def test_a_gauge_shows_its_rows_only():
    text = said(food="snap beans", gauge="weighted", altitude="440 m", jar="litre")
    assert "25 min at 15 lb" in text.replace("\n", " ")
    assert "dial" not in text.lower()


def test_what_is_from_memory_is_listed_with_the_rows_of_other_tables():
    text = said(status="memory")
    assert "sauerkraut" in text
    assert "OTHER ROWS" in text
    assert "storage time best quality (not verified)" in text.replace("\n  ", " ")


def test_above_the_tables_their_end_is_named():
    assert "end at 10,000 ft" in said(food="snap beans", altitude="3100 m")
    assert "end at 8,000 ft" in said(food="snap beans", altitude="8500ft")


def test_nothing_is_said_plainly():
    assert said(food="moonstones").strip() == 'No handbook entry for "moonstones".'


@pytest.mark.parametrize(
    "asked",
    [{"altitude": "3 lb"}, {"altitude": "99999ft"}, {"gauge": "water"}, {"jar": "bucket"}, {"status": "sure"}],
    ids=str,
)
def test_a_word_that_is_none_is_refused(asked):
    with pytest.raises(CommandWrong):
        ask(**asked)


def test_json_holds_figures_as_numbers_and_every_source():
    found = json.loads(handbook_json(ask(food="snap beans", altitude="1450ft", gauge="dial", jar="quart")))
    assert set(found) == {"not_safe", "handbook", "other", "practice", "cautions", "ends"}
    row = next(row for row in found["handbook"] if row["key"] == "green beans, raw pack, quart")
    assert (row["minutes"], row["pressure_lb"], row["gauge"], row["altitude_max_ft"]) == (25, 11, "dial", 2000)
    assert all(row["source"] for row in (*found["handbook"], *found["cautions"]))
