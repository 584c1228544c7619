"""The lists on paper: what to buy by when, where everything is, what to eat first; each as HTML and PDF."""

import datetime
import re

import pytest
from tests.pages.read_back import ATTACKS, pdf_words, sound_html

from stillroom.household.records import Crop, Household, Kitchen, Lot, Preserve, ShelfRow, Target
from stillroom.reports.print.document import A4
from stillroom.reports.print.html import html_page
from stillroom.reports.print.lists import eat_first_page, shelf_page, shopping_page
from stillroom.reports.print.pdf import pdf_page

FRIDAY = datetime.date(2026, 8, 14)


def days(number):
    """A day so many days after the first."""
    return FRIDAY + datetime.timedelta(days=number)


def both(paper):
    """The words of a page in HTML and in PDF."""
    return sound_html(html_page(paper, A4)), " ".join(pdf_words(pdf_page(paper, A4).content))


def household(*shelf, lots=(), targets=()):
    """A household with a shelf."""
    preserves = (
        Preserve("juice", "boiling-water canned", "quart jar"),
        Preserve("peas", "frozen", "tub", kept_in="freezer"),
    )
    crops = (Crop("tomato", 4.0, unit="kg", may_be_frozen_whole=True, frozen_keeps_weeks=4.0),)
    return Household(Kitchen(FRIDAY), crops=crops, preserves=preserves, shelf=shelf, lots=lots, targets=targets)


def test_what_to_buy_stands_by_day_with_cost_and_what_for():
    """Two days and one thing without a day; the sums are added by hand: 18 + 1.35 = 19.35, one without a price."""
    rows = [
        {"Item": "regular lid", "Buy": 78, "Unit": "lid", "Cost": 18.0, "Needed by": days(8), "For": "juice; jam"},
        {"Item": "lemon juice", "Buy": 1.5, "Unit": "cup", "Cost": 1.352941176, "Needed by": days(6), "For": "juice"},
        {"Item": "salt", "Buy": 2, "Unit": "kg", "Cost": None, "Needed by": None, "For": None},
        {"Item": "nothing", "Buy": 0, "Unit": "kg", "Cost": 5, "Needed by": days(6), "For": "juice"},
    ]
    for words in both(shopping_page("kitchen", rows)):
        assert words.index("Any day") < words.index("By Thu Aug 20") < words.index("By Sat Aug 22")
        assert re.search(r"1½ ?cups lemon juice ?(for juice ?\$1\.35|\$1\.35 for juice)", words)
        assert "for juice; jam" in words
        assert "Total: $19.35, and 1 without a price." in words
        assert "1.352941176" not in words
        assert "nothing" not in words


def test_nothing_to_buy_is_said():
    for words in both(shopping_page("kitchen", [])):
        assert "Nothing to buy." in words


def test_everything_stands_under_its_place_with_its_days():
    """The place that was typed, else the kind of place; what is past its day is marked."""
    home = household(
        ShelfRow("juice", 12, days(-300), days(65), "cellar, left"),
        ShelfRow("juice", 3, days(-500), days(-1), "cellar, left"),
        ShelfRow("peas", 4.5, None, None),
        ShelfRow("peas", 0, None, None, "nowhere"),
        lots=(Lot("tomato", days(-7), 12.25, frozen_on=days(-7)),),
    )
    for words in both(shelf_page("kitchen", home)):
        assert (
            words.index("Cellar, left") < words.index("Freezer (no place typed)") < words.index("Freezer: frozen whole")
        )
        assert "Oct 18, 2026" in words
        assert words.count("past its date") == 1
        assert "not known" in words
        assert "4½" in words
        assert re.search(r"12 kg ?tomato ?(Cook by )?Sep 4, 2026", words)
        assert "nowhere" not in words.casefold()


def test_an_empty_shelf_is_said():
    for words in both(shelf_page("kitchen", household())):
        assert "Nothing is on the shelf yet" in words


def test_what_to_eat_first_stands_by_its_day_with_its_place():
    """Soonest first; what keeps longer than 240 days is not on it; what is over is said by its need."""
    home = household(
        ShelfRow("juice", 5, days(-300), days(57), "pantry"),
        ShelfRow("peas", 2, None, days(-2), "chest"),
        ShelfRow("juice", 9, days(-1), days(364), "pantry"),
        lots=(Lot("tomato", days(-20), 3.0, frozen_on=days(-20)),),
        targets=(Target("juice", 6, 6, counts={"juice": 1.0}),),
    )
    for words in both(eat_first_page("kitchen", home)):
        assert words.index("peas") < words.index("juice")
        assert "past its date" in words
        assert re.search(r"Oct 10, 2026 ?(Days left )?57", words)
        assert "Aug 13, 2027" not in words
        assert "3 kg" in words
        assert "Aug 22, 2026" in words
        assert re.search(r"8 ?juice", words)
        assert "pantry" in words


def test_nothing_to_eat_first_is_said():
    for words in both(eat_first_page("kitchen", household())):
        assert "Nothing on the shelf is near its date" in words


@pytest.mark.parametrize("attack", ATTACKS)
def test_names_that_were_typed_never_run(attack):
    """In the lists as on the week sheet: items, places and what they are for."""
    rows = [{"Item": attack, "Buy": 1, "Unit": attack, "Cost": 1, "Needed by": FRIDAY, "For": attack}]
    home = household(ShelfRow(attack, 5, days(-300), days(57), attack), lots=())
    for paper in (shopping_page(attack, rows), shelf_page(attack, home), eat_first_page(attack, home)):
        text = html_page(paper, A4)
        sound_html(text)
        assert "<script" not in text
        assert pdf_page(paper, A4).sheets == 1
