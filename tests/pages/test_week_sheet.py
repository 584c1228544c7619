"""The week sheet: what, how many, how long and by whose word, on one sheet; this morning's list; the clock beside it."""

import datetime
import re

import pytest
from tests.pages.read_back import ATTACKS, pdf_words, sound_html
from tests.small_kitchen import FRIDAY, KITCHEN

from stillroom.app.print import papers, standing_of
from stillroom.handbook.cautions import Caution, PageCautions
from stillroom.handbook.jars import TABLESPOONS, in_cups_and_spoons
from stillroom.household.records import Crop, Household, Ingredient, Kitchen, Lot, PlanLine, Preserve, RecordRow
from stillroom.household.results.clock import Step
from stillroom.reports.print.document import A4, LETTER
from stillroom.reports.print.html import html_page
from stillroom.reports.print.lists import clock_sheet
from stillroom.reports.print.pdf import pdf_page
from stillroom.reports.print.week import (
    SheetDay,
    SheetLine,
    ThisMorning,
    takes_text,
    this_morning_of,
    week_sheet,
)

NOW = datetime.datetime(2026, 8, 14, 6, 0, tzinfo=datetime.UTC)
JUICE = SheetLine("tomato juice, quart", "7 quart jars", "1 load", "23 lb plum tomato", "45 min", "Guide 3, p. 5")
CARE = PageCautions((), (Caution("one", "Every jar of tomatoes takes acid.", "Guide 3", "tomato"),))
NO_CARE = PageCautions()


def week(lines, days=7, **more):
    """A week with the same lines every day."""
    several = [SheetDay(FRIDAY + datetime.timedelta(days=number), tuple(lines)) for number in range(days)]
    return week_sheet("kitchen", several, {}, CARE, **more)


def html_and_pdf(paper, size=LETTER):
    """The words of the page in HTML and in PDF, and how many sheets it takes."""
    found = pdf_page(paper, size)
    return sound_html(html_page(paper, size, kept=found.kept)), " ".join(pdf_words(found.content)), found


def test_a_planned_workbook_has_it_on_one_sheet_with_times_sources_and_boxes(planned_kitchen):
    """Seven quarts with their lemon juice, the minutes for this altitude, their source, boxes, the cautions."""
    paper = papers(standing_of(planned_kitchen, NOW))[1]
    html = html_page(paper, LETTER)
    said, printed, found = html_and_pdf(paper)
    assert found.sheets == 1
    for words in (said, printed):
        assert "tomato juice, quart" in words
        assert re.search(r"(7|14) ?jars", words)
        assert "bottled lemon juice (2 tbsp in each)" in words
        assert "40 min [1]" in words
        assert "Times from" in words
        assert re.search(r"\[1\] Guide 3", words)
        assert "for 500 ft" in words
        assert "Cautions" in words
    assert html.count('class="box"') >= 1
    assert html.count('class="write"') >= 1


@pytest.mark.parametrize("attack", ATTACKS)
@pytest.mark.parametrize("field", ["name", "takes", "process", "source", "warning", "note"])
def test_whatever_was_typed_is_shown_and_never_run(field, attack):
    """A crop called <script> stands there as words, in each field of a line."""
    line = SheetLine(**({"name": "juice", "amount": "7 jars"} | {field: attack}))
    paper = week_sheet(
        attack, [SheetDay(FRIDAY, (line,))], {}, PageCautions((), (Caution("one", attack, attack, "own"),)), attack
    )
    text = html_page(paper, A4)
    sound_html(text)
    assert "<script" not in text
    assert "onerror=alert(1)>" not in text


@pytest.mark.parametrize(("size", "lines"), [(LETTER, 3), (A4, 3), (LETTER, 1)])
def test_an_ordinary_week_is_on_one_sheet(size, lines):
    """Seven days of three things each, in capitals of at least three millimetres (11.5 points of DejaVu)."""
    _, printed, found = html_and_pdf(week([JUICE] * lines), size)
    assert found.sheets == 1
    assert found.sizes["main"] >= 11.5
    assert printed.count("tomato juice, quart") == 7 * lines
    assert printed.count("45 min [1]") == 7 * lines


def test_a_week_too_full_for_the_smallest_type_takes_a_second_sheet():
    """Seven days of eight things each; nothing is lost."""
    _, printed, found = html_and_pdf(week([JUICE] * 8))
    assert found.sheets == 2
    assert printed.count("tomato juice, quart") == 56


def test_days_of_nothing_are_said_and_have_nothing_to_tick():
    """A week with nothing in it is still a page."""
    said, printed, _ = html_and_pdf(week([]))
    assert "Nothing to put up." in said
    assert "Nothing to put up." in printed
    some = week_sheet(
        "kitchen", [SheetDay(FRIDAY, (JUICE,)), SheetDay(FRIDAY + datetime.timedelta(days=1), ())], {}, NO_CARE
    )
    html = html_page(some, A4)
    assert "nothing to put up" in sound_html(html)
    assert html.count('<span class="box">') == html.count('<span class="write">') == 1


def test_crop_taken_out_or_frozen_whole_is_counted_by_weight():
    """The weight stands where the number of jars stands for others."""
    said, printed, _ = html_and_pdf(week([SheetLine("thaw: plum tomato", "2¾ lb", takes="for juice")], days=1))
    assert "2¾ lb thaw plum tomato" in " ".join(said.replace("lbthaw", "lb thaw").split())
    assert "2¾ lb thaw plum tomato" in printed


def test_a_plan_of_weeks_only_says_so():
    said, _, _ = html_and_pdf(week_sheet("kitchen", [], {}, NO_CARE))
    assert "Nothing planned in detail" in said
    assert "no days planned in detail" in said


@pytest.fixture
def morning():
    """A household in the morning: ripe and less ripe tomatoes, one lot frozen weeks ago, jars made yesterday."""
    lots = (
        Lot("tomato", FRIDAY - datetime.timedelta(days=4), 10.0),
        Lot("tomato", FRIDAY - datetime.timedelta(days=2), 20.0),
        Lot("tomato", FRIDAY - datetime.timedelta(days=1), 30.0),
        Lot("tomato", FRIDAY - datetime.timedelta(days=40), 5.0, frozen_on=FRIDAY - datetime.timedelta(days=40)),
    )
    juice = Preserve("juice", "boiling-water canned", "jar", ingredients=(Ingredient("tomato", "crop", 1.5, True),))
    home = Household(
        Kitchen(FRIDAY),
        crops=(Crop("tomato", 4.0, unit="kg", may_be_frozen_whole=True),),
        lots=lots,
        preserves=(juice,),
        record=(RecordRow(FRIDAY - datetime.timedelta(days=1), "juice", 7.0, 1.0),),
        plan_lines=(PlanLine(FRIDAY, 1, "juice", 4.0),),
    )
    return this_morning_of(home, home)


def test_this_morning_says_what_cannot_wait_what_thaws_and_what_is_put_away(morning):
    """Worked by hand: 10 kg on their last day, of which four jars take 6; one jar of yesterday did not seal."""
    first, *rest = morning.tasks
    assert first == "Use today: 10 kg tomato (plan uses 6 kg, 4 kg surplus: freeze whole, eat, or give away)."
    assert any("in the freezer was due" in line for line in rest)
    assert any("7 juice from yesterday: take off the bands, check every seal" in line for line in rest)
    assert any("1 of them did not seal" in line for line in rest)
    assert morning.soon == ("tomato: 20 kg by Sun Aug 16",)


def test_this_morning_stands_first_with_a_box_before_each_task(morning):
    said, printed, _ = html_and_pdf(week([JUICE], morning=morning))
    for words in (said, printed):
        assert words.index("This morning") < words.index("Use today") < words.index("tomato juice, quart")
    assert html_page(week([JUICE], days=1, morning=morning), A4).count("<li><span") == len(morning.tasks)
    assert "This morning" not in html_and_pdf(week([JUICE], morning=ThisMorning()))[0]


def test_the_clock_says_each_step_with_its_end_and_the_next_day():
    """A step over midnight, one of a moment, one with equipment and two pairs of hands."""
    at = datetime.datetime.combine(FRIDAY, datetime.time(8))
    hour = datetime.timedelta(hours=1)
    steps = [
        Step(at, at + hour, "prepare", "wash and prepare", "juice", 1, 2, persons=("A", "B")),
        Step(at + hour, at + hour, "empty", "take out", "apples"),
        Step(at + hour, at + 20 * hour, "run", "dry", "apples", equipment=("dryer",)),
    ]
    said, printed, _ = html_and_pdf(clock_sheet("kitchen", {}, {FRIDAY: steps}))
    for words in (said, printed):
        assert re.search(r"8:00–9:00 AM ?A, B ?load 1 of 2: wash and prepare ?juice", words)
        assert re.search(r"9:00 AM ?take out ?apples", words)
        assert re.search(r"9:00–4:00 AM ?dry, until Sat Aug 15 4:00 AM \(in dryer\) ?apples", words)


def test_the_clock_of_a_workbook_is_a_page_of_its_own(planned_kitchen):
    paper = papers(standing_of(planned_kitchen, NOW))[2]
    said, printed, _ = html_and_pdf(paper)
    assert "By the clock from Friday, August 14, 2026" in said
    assert "process 40 min; start timing when the water is at a full boil" in printed


def test_measures_are_never_less_than_the_recipe():
    """From a tenth of a spoon to a gallon, what is said is at least what is asked, and at most half a spoon over."""
    for tenths in range(1, 2560):
        asked = tenths / 10
        said = in_cups_and_spoons(asked)
        total = sum(size(words) for words in said.split(" and "))
        assert asked - 1e-6 <= total < asked + 0.5 + 1e-6, said


def size(words):
    """Tablespoons in "1¼ cups"."""
    amount, unit = words.split()
    whole = re.match(r"\d*", amount)[0]
    fraction = {"": 0.0, "¼": 0.25, "½": 0.5, "¾": 0.75}[amount[len(whole) :]]
    return (float(whole or 0) + fraction) * TABLESPOONS[unit.removesuffix("s") if unit == "cups" else unit]


def test_crops_are_said_in_their_own_unit_and_preserves_by_number():
    """Six pounds of plums and two broths for four jars."""
    lines = (Ingredient("plum", "crop", 1.5 * 0.45359237), Ingredient("broth", "preserve", 0.5))
    home = Household(Kitchen(FRIDAY), crops=(Crop("plum", 5.0),))
    item = Preserve("soup", "frozen", "tub", ingredients=lines)
    assert takes_text(home, item, 4) == "6 lb plum, 2 broth"


def test_the_small_workbook_is_what_these_tests_think():
    """The recipe of the test kitchen takes two tablespoons a quart (the published dose)."""
    assert KITCHEN["Ingredients"][1]["Amount each"] == 2
