"""`stillroom pages`: the week sheet is valid, closed HTML that escapes what was typed; the calendar is read back twice."""

import datetime
import re
from html.parser import HTMLParser

import html5lib
import icalendar
import pytest
import vobject
from tests.test_command_line import FRIDAY, KITCHEN, build

from stillroom.command_line import run
from stillroom.household.records import Crop, Household, Ingredient, Kitchen, Preserve
from stillroom.pages.calendar_file import calendar_file
from stillroom.pages.week_sheet import week_sheet
from stillroom.pages.week_sheet_lines import SheetDay, SheetLine, takes_words
from stillroom.pages.week_sheet_measures import TABLESPOONS, in_cups_and_spoons

STAMP = datetime.datetime(2026, 8, 14, 6, 0, tzinfo=datetime.UTC)
ATTACK = '<script>alert("plums")</script>&'


@pytest.fixture
def paper(tmp_path):
    """The folder of pages of a small planned workbook."""
    kitchen = build(tmp_path / "kitchen.xlsx")
    assert run(["plan", str(kitchen)]) == 0
    assert run(["pages", str(kitchen), "--out", str(tmp_path / "paper")]) == 0
    return tmp_path / "paper"


def events(path):
    """Every event of a calendar file by its summary."""
    calendar = icalendar.Calendar.from_ical(path.read_bytes())
    return {str(event["summary"]): event for event in calendar.walk("VEVENT")}


class Links(HTMLParser):
    """Collects everything that would be fetched from somewhere else, and every script."""

    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attrs):
        self.found += [(tag, value) for name, value in attrs if name in ("src", "href", "action", "data")]
        self.found += [(tag, "")] if tag in ("script", "iframe", "object", "link", "img") else []


def test_the_week_sheet_is_valid_and_refers_to_nothing_outside(paper):
    """Strict parsing raises for anything that is not HTML; no link, script or picture from elsewhere."""
    text = (paper / "week.html").read_text(encoding="utf-8")
    html5lib.HTMLParser(strict=True).parse(text)
    links = Links()
    links.feed(text)
    assert links.found == []
    assert "url(" not in text
    assert "@import" not in text


def test_the_week_sheet_says_what_how_many_how_long_and_by_whose_word(paper):
    """Seven quarts with their lemon juice, the minutes for this altitude, their source, a box to tick, the cautions."""
    text = (paper / "week.html").read_text(encoding="utf-8")
    assert "tomato juice, quart" in text
    assert re.search(r"(7|14) quart jars", text)
    assert "bottled lemon juice (2 tbsp to each)" in text
    assert "40 min [1]" in text
    assert re.search(r"<ol class=\"small\">\s*<li>[^<]*Guide 3", text)
    assert text.count('class="box"') >= 1
    assert "times for 500 ft above the sea" in text
    assert "Take care" in text
    assert "by the clock" in text


@pytest.mark.parametrize("field", ["name", "amount", "takes", "process", "source", "warning", "note"])
def test_whatever_was_typed_is_shown_and_never_run(field):
    """A crop called <script> stands there as words."""
    line = SheetLine(**({"name": "juice", "amount": "7 jars"} | {field: ATTACK}))
    text = week_sheet(ATTACK, [SheetDay(FRIDAY, (line,))], {}, {}, [(ATTACK, ATTACK)], ATTACK)
    html5lib.HTMLParser(strict=True).parse(text)
    assert "<script" not in text
    assert "&lt;script&gt;alert(&quot;plums&quot;)&lt;/script&gt;&amp;" in text


def test_a_week_with_nothing_planned_is_still_a_page():
    text = week_sheet("kitchen", [SheetDay(FRIDAY, ())], {}, {}, [])
    html5lib.HTMLParser(strict=True).parse(text)
    assert "Nothing has to be put up." in text


def test_the_calendar_is_read_by_two_libraries_alike(paper):
    """Floating times, the same summaries and beginnings by either."""
    text = (paper / "calendar.ics").read_text(encoding="utf-8")
    second = {event.summary.value: event.dtstart.value for event in vobject.readOne(text).vevent_list}
    first = {summary: event["dtstart"].dt for summary, event in events(paper / "calendar.ics").items()}
    assert first == second
    session = next(
        start for summary, start in first.items() if summary.startswith("tomato juice, quart: ") and "jar" in summary
    )
    assert isinstance(session, datetime.datetime)
    assert session.tzinfo is None


def test_lines_of_the_calendar_are_as_the_standard_has_them(paper):
    """RFC 5545, 3.1: lines end in CRLF and have at most 75 octets; every event has UID, DTSTAMP and DTSTART (3.6.1)."""
    content = (paper / "calendar.ics").read_bytes()
    assert content.endswith(b"\r\n")
    assert max(len(line) for line in content.split(b"\r\n")) <= 75
    assert b"\n" not in content.replace(b"\r\n", b"")
    for event in events(paper / "calendar.ics").values():
        assert {"UID", "DTSTAMP", "DTSTART", "SUMMARY"} <= set(event)


def test_taken_in_again_a_calendar_is_brought_up_to_date_and_not_doubled(tmp_path, paper):
    """After a new plan the same sessions have the same UIDs, each of them once, and a higher SEQUENCE."""
    before = events(paper / "calendar.ics")
    kitchen = tmp_path / "kitchen.xlsx"
    assert run(["weigh", str(kitchen), "plum tomato", "10lb", "--on", FRIDAY.isoformat()]) == 0
    assert run(["plan", str(kitchen)]) == 0
    assert run(["pages", str(kitchen), "--out", str(paper)]) == 0
    after = events(paper / "calendar.ics")
    uids = [str(event["uid"]) for event in after.values()]
    assert len(uids) == len(set(uids))
    same = {str(event["uid"]) for event in before.values()} & set(uids)
    assert same
    assert min(event["sequence"] for event in after.values()) > max(event["sequence"] for event in before.values())


def test_what_is_to_be_bought_stands_on_its_day():
    """A whole day, all of its things together."""
    rows = [
        {"Item": "regular lid", "Buy": 12, "Unit": "lid", "Needed by": FRIDAY},
        {"Item": "bottled lemon juice", "Buy": 1.5, "Unit": "cup", "Needed by": FRIDAY},
        {"Item": "salt", "Buy": 1, "Unit": "lb", "Needed by": None},
    ]
    content = calendar_file([], {}, rows, STAMP, 3)
    (event,) = icalendar.Calendar.from_ical(content).walk("VEVENT")
    assert str(event["summary"]) == "Buy by today: 12 regular lids; 1½ cups bottled lemon juice"
    assert event["dtstart"].dt == FRIDAY
    assert b"DTSTART;VALUE=DATE:20260814" in content


def test_the_same_plan_gives_the_same_files(tmp_path, paper):
    """But for the moment they were made."""
    before = [(path.name, re.sub(rb"DTSTAMP:\w+", b"", path.read_bytes())) for path in sorted(paper.iterdir())]
    assert run(["pages", str(tmp_path / "kitchen.xlsx"), "--out", str(paper)]) == 0
    assert before == [(path.name, re.sub(rb"DTSTAMP:\w+", b"", path.read_bytes())) for path in sorted(paper.iterdir())]
    assert [name for name, _ in before] == ["calendar.ics", "week.html"]


def test_without_a_plan_there_is_nothing_to_print(tmp_path, capsys):
    assert run(["pages", str(build(tmp_path / "k.xlsx")), "--out", str(tmp_path / "paper")]) == 1
    assert "there is no plan in k.xlsx yet; first: stillroom plan k.xlsx" in capsys.readouterr().err
    assert not (tmp_path / "paper").exists()


def test_a_folder_that_cannot_be_written_is_said(tmp_path, paper, capsys):
    """Exit 3; a file stands where the folder should."""
    (tmp_path / "file").write_text("here")
    assert run(["pages", str(tmp_path / "kitchen.xlsx"), "--out", str(tmp_path / "file")]) == 3
    assert "cannot be written to" in capsys.readouterr().err


def test_measures_are_never_less_than_the_recipe():
    """From a quarter of a teaspoon to a gallon, what is said is at least what is asked, and at most half a spoon over."""
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
    lines = (
        Ingredient("plum", "crop", 1.5 * 0.45359237),
        Ingredient("broth", "preserve", 0.5),
    )
    home = Household(Kitchen(FRIDAY), crops=(Crop("plum", 5.0),))
    item = Preserve("soup", "frozen", "tub", ingredients=lines)
    assert takes_words(home, item, 4) == "6 lb plum, 2 broth"


def test_the_small_workbook_is_what_these_tests_think():
    """The recipe of the test kitchen takes two tablespoons a quart (the published dose)."""
    assert KITCHEN["Ingredients"][1]["Amount each"] == 2
