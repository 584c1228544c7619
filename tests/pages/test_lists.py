"""The lists on paper: what to buy, what to wash, where everything is, what to eat first; each as HTML and PDF."""

import datetime
import re

import pytest
from tests.pages.read_back import ATTACKS, pdf_words, sound_html

from stillroom.household.records import Container, Crop, Household, Kitchen, Lid, Lot, Preserve, ShelfRow, Target
from stillroom.reports.print.document import A4
from stillroom.reports.print.html import html_page
from stillroom.reports.print.lists import eat_first_page, shelf_page, shopping_page, wash_page
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


def jars(*, quart="quart jar", lid="wide lid"):
    """A household with three sizes of jar, two kinds of lid, a jar without a lid of its own and a bag."""
    return Household(
        Kitchen(FRIDAY),
        containers=(
            Container(quart, "jar", 0.95, lid=lid),
            Container("pint jar", "jar", 0.47, lid=lid),
            Container("half-pint jar", "jar", 0.24, lid="small lid"),
            Container("clip jar", "jar", 1.0),
            Container("bag", "freezer bag", 1.0),
        ),
        lids=(Lid("small lid"), Lid(lid)),
        preserves=(
            Preserve("juice", "boiling-water canned", quart),
            Preserve("sauce", "boiling-water canned", quart),
            Preserve("salsa", "boiling-water canned", "pint jar"),
            Preserve("jam", "boiling-water canned", "half-pint jar"),
            Preserve("pickles", "refrigerated", "clip jar"),
            Preserve("peas", "frozen", "bag"),
        ),
    )


def made(number, preserve, make, length=1):
    """A row of the table Plan."""
    return {"Day": days(number), "Days": length, "Preserve": preserve, "Make": make, "Unit": "jar"}


def test_what_to_wash_stands_by_day_with_lids_and_bands():
    """
    Friday 14 quarts of juice, 7 of sauce, 18 pints, 6 half-pints, 2 clip jars, 30 bags; Saturday nothing; Sunday 1.

    By hand: 14 + 7 = 21 quart jars, 21 + 18 = 39 wide lids and as many bands; a clip jar takes neither, and neither
    bags, crop frozen whole nor a week planned roughly are washed for.
    """
    rows = [
        *(made(0, "juice", 14), made(0, "sauce", 7), made(0, "salsa", 18), made(0, "jam", 6)),
        *(made(0, "pickles", 2), made(0, "peas", 30), made(0, "freeze whole: tomato", 9)),
        *(made(2, "jam", 1), made(2, "sauce", 0), made(3, "juice", 99, 7)),
    ]
    for words in both(wash_page("kitchen", jars(), [FRIDAY, days(1), days(2)], rows)):
        assert words.index("Fri Aug 14") < words.index("Sat Aug 15") < words.index("Sun Aug 16")
        assert "wash on the evening of Thu Aug 13" in words
        friday, _, later = words.partition("Sat Aug 15")
        saturday, _, sunday = later.partition("Sun Aug 16")
        for count, name in (
            *((21, "quart jars"), (18, "pint jars"), (6, "half-pint jars"), (2, "clip jars")),
            *((6, "small lids"), (39, "wide lids"), (6, "bands (small lid)"), (39, "bands (wide lid)")),
        ):
            assert re.search(rf"(?<!\d){count} ?{re.escape(name)}", friday), name
        assert "No jars." in saturday
        assert "wash on" not in saturday
        assert re.search(r"1 ?half-pint jar ?1 ?small lid ?1 ?band \(small lid\)", sunday)
        assert "wide" not in sunday
        assert not re.search("99|30|bag|tomato", words)


def test_no_days_to_wash_for_is_said():
    for words in both(wash_page("kitchen", jars(), [], [])):
        assert "This plan has no days planned in detail." in words


def test_an_old_plan_is_said_on_the_page_of_jars():
    for words in both(wash_page("kitchen", jars(), [FRIDAY], [made(0, "juice", 1)], "It has changed since.")):
        assert "It has changed since." in words


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
    wash = wash_page(attack, jars(quart=attack, lid=attack), [FRIDAY], [made(0, "juice", 7)])
    for paper in (shopping_page(attack, rows), wash, shelf_page(attack, home), eat_first_page(attack, home)):
        text = html_page(paper, A4)
        sound_html(text)
        assert "<script" not in text
        assert pdf_page(paper, A4).sheets == 1
