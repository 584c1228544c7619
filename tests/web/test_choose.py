"""The page without a workbook: it lists the person's own, takes no path from a request, and makes a new one."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from tests.conftest import planned
from tests.web.asks import HOST, Device, device

from stillroom.app import answers
from stillroom.web.choose import Chooser, questions, told, workbooks


@pytest.fixture
def home(tmp_path):
    (tmp_path / "Documents").mkdir()
    return tmp_path


@pytest.fixture
def chooser(home):
    one = Chooser(home, hosts=(HOST,), other="http://127.0.0.1:8321/")
    yield one
    one.close()


@pytest.fixture
def person(chooser):
    one = Device(Asked(chooser))
    answer = one.send("GET", f"/?key={chooser.pairing.key}")
    assert (answer.status, answer.headers["location"]) == (303, "/")
    one.open("/")
    return one


class Asked:
    """A chooser as a device of the tests asks it."""

    def __init__(self, chooser):
        self.app, self.pairing = chooser, chooser.pairing


def files(path: Path) -> set[str]:
    return {one.name for one in path.rglob("*") if one.is_file()}


def test_own_workbooks_are_listed_those_planned_before_first(home):
    for name, age in (("a.xlsx", 3), ("Documents/b.xlsx", 2), ("c.xlsx", 1)):
        (home / name).write_bytes(b"x")
        os.utime(home / name, (1_700_000_000 - age, 1_700_000_000 - age))
    (home / ".a.xlsx.copies").write_bytes(b"")
    for name in (".hidden.xlsx", "~$a.xlsx", "a.before-2026-08-15-0900.xlsx", "notes.txt"):
        (home / name).write_bytes(b"x")
    (home / ".config").mkdir()
    (home / ".config" / "d.xlsx").write_bytes(b"x")
    (home / "e.xlsx").symlink_to(home / "a.xlsx")
    assert [one.name for one in workbooks(home)] == ["a.xlsx", "c.xlsx", "b.xlsx"]


def test_a_workbook_that_is_chosen_is_opened_in_the_same_place(home, chooser, person):
    (home / "Documents" / "kitchen.xlsx").write_bytes(planned())
    text = person.open("/")
    assert "in Documents" in text
    of = re.search(r'name="of" value="([^"]+)"', text)[1]
    assert person.post("/choose", {"token": person.token, "of": of}).status == 303
    assert "Came in" in person.open("/came")
    assert chooser.page.keeper.path == home / "Documents" / "kitchen.xlsx"
    assert Device(Asked(chooser)).send("GET", "/").status == 303, "another device still has to be paired"


@pytest.mark.parametrize("of", ["kitchen.xlsx", "../kitchen.xlsx", "/etc/passwd", "", "0" * 36])
def test_no_path_of_a_request_is_opened(home, chooser, person, of):
    (home / "kitchen.xlsx").write_bytes(planned())
    before = files(home)
    answer = person.post("/choose", {"token": person.token or token(person), "of": of})
    assert answer.status == 422
    assert "not in the list" in answer.text
    assert chooser.page is None
    assert files(home) == before


def token(person: Device) -> str:
    person.open("/new")
    return person.token


def test_what_is_no_workbook_is_refused_and_nothing_is_left_beside_it(home, chooser, person):
    (home / "odd.xlsx").write_bytes(b"no workbook")
    text = person.open("/")
    of = re.search(r'name="of" value="([^"]+)"', text)[1]
    answer = person.post("/choose", {"token": person.token, "of": of})
    assert answer.status == 422
    assert "odd.xlsx" in answer.text
    assert files(home) == {"odd.xlsx"}


def test_a_new_workbook_is_made_of_the_answers_and_opened(home, chooser, person):
    person.open("/new")
    (home / "Documents" / "kitchen.xlsx").write_bytes(b"of their own")
    given = answered(altitude="1450 ft", crops="tomatoes", people="2", **{"jars pint": "12", "jars quart": ""})
    answer = person.post("/make", {"token": person.token, **given})
    assert answer.status == 200
    assert "kitchen 2.xlsx" in answer.text
    assert "Crops: tomato." in answer.text
    assert "No altitude" not in answer.text
    assert "stillroom " not in answer.text, "nobody at a page types a command"
    assert (home / "Documents" / "kitchen.xlsx").read_bytes() == b"of their own"
    of = re.search(r'name="of" value="([^"]+)"', answer.text)[1]
    assert person.post("/choose", {"token": person.token, "of": of}).status == 303
    kitchen = chooser.page.keeper.seen().look.reading.typed.kitchen
    assert kitchen.altitude_ft == pytest.approx(1450)


def answered(**own: str) -> dict[str, str]:
    """The answers of a page that was sent as it came, but for some."""
    typed = questions(metric=False, typed={})["typed"]
    return {"units": "us", **typed, **own}


def test_an_answer_that_cannot_be_read_is_asked_again_with_all_that_was_typed(home, person):
    person.open("/new")
    answer = person.post("/make", {"token": person.token, **answered(people="none", crops="plums")})
    assert answer.status == 422
    assert "is not a number of people" in answer.text
    assert 'value="plums"' in answer.text
    assert files(home) == set()


def test_altitude_and_gauge_have_no_default(person):
    text = person.open("/new?units=metric")
    assert 'name="altitude" value=""' in text
    assert 'name="gauge" value="" checked' in text
    assert "half-liter jars" in text
    read = told(answered())
    assert (read.altitude, read.gauge) == (None, None)
    assert answers.filling(read).altitude is None


def test_only_this_machine_with_its_key_comes_in(chooser):
    stranger = Device(Asked(chooser))
    assert stranger.send("GET", "/new").status == 303
    assert stranger.post("/make", answered()).status == 403
    assert stranger.send("GET", "/?key=no").status == 303


def test_the_page_can_be_closed_from_this_machine_only(page):
    stopped = []
    page.stop = lambda: stopped.append(True)
    one = device(page)
    assert "/stop" in one.open("/workbook")
    one.client = "192.0.2.7"
    assert "/stop" not in one.open("/workbook")
    one.open("/came")
    assert one.form("/stop").status == 403
    assert not stopped
    one.client = "127.0.0.1"
    assert "is closed" in one.form("/stop").text
    assert stopped == [True]
