"""`stillroom pages`: the calendar is read back by two libraries; the pages themselves are tested in tests/pages."""

import datetime
import re
import shutil

import icalendar
import pytest
import vobject
from tests.small_kitchen import FRIDAY, KITCHEN, build

from stillroom.cli import run
from stillroom.reports.calendar import calendar_file
from stillroom.workbook.ooxml.files.outputs import LIST

PAPER = ("--only", "sheets", "--only", "labels", "--only", "calendar")
"""All but the pictures, which are tested in tests/pictures."""
STAMP = datetime.datetime(2026, 8, 14, 6, 0, tzinfo=datetime.UTC)


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    """A folder with a small planned workbook and the folder of its pages, printed once."""
    folder = tmp_path_factory.mktemp("printed")
    kitchen = build(folder / "kitchen.xlsx")
    assert run(["plan", str(kitchen)]) == 0
    assert run(["pages", str(kitchen), "--out", str(folder / "paper"), *PAPER]) == 0
    return folder


@pytest.fixture
def paper(printed, tmp_path):
    """The folder of pages, in a folder of the test's own beside the workbook."""
    shutil.copytree(printed, tmp_path, dirs_exist_ok=True)
    return tmp_path / "paper"


def events(path):
    """Every event of a calendar file by its summary."""
    calendar = icalendar.Calendar.from_ical(path.read_bytes())
    return {str(event["summary"]): event for event in calendar.walk("VEVENT")}


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
    assert run(["pages", str(kitchen), "--out", str(paper), "--only", "calendar"]) == 0
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
    before = contents(paper)
    assert run(["pages", str(tmp_path / "kitchen.xlsx"), "--out", str(paper), *PAPER]) == 0
    assert contents(paper) == before
    assert {"calendar.ics", "week.html", "week.pdf"} <= {name for name, _ in before}


def contents(folder):
    """Every file in a folder and below it, without the moment that it was made and the list of what was written."""
    files = sorted(path for path in folder.rglob("*") if path.is_file() and path.name != LIST)
    return [(path.name, re.sub(rb"DTSTAMP:\w+", b"", path.read_bytes())) for path in files]


def test_without_a_plan_there_is_nothing_to_print(tmp_path, capsys):
    assert run(["pages", str(build(tmp_path / "k.xlsx")), "--out", str(tmp_path / "paper")]) == 1
    assert "there is no plan in k.xlsx yet; first: stillroom plan k.xlsx" in capsys.readouterr().err
    assert not (tmp_path / "paper").exists()


def test_a_folder_that_cannot_be_written_is_said(tmp_path, paper, capsys):
    """Exit 3; a file stands where the folder should."""
    (tmp_path / "file").write_text("here")
    assert run(["pages", str(tmp_path / "kitchen.xlsx"), "--out", str(tmp_path / "file"), "--only", "calendar"]) == 3
    assert "cannot be written to" in capsys.readouterr().err


def test_the_small_workbook_is_what_these_tests_think():
    """The recipe of the test kitchen takes two tablespoons a quart (the published dose)."""
    assert KITCHEN["Ingredients"][1]["Amount each"] == 2
