"""Today with less time: what is made all the same, where the rest goes, what is lost; and that nothing is written."""

import json

import pytest
from tests.commands.planned_kitchen import planned_kitchen
from tests.commands.test_log_commands import said
from tests.season.household import BEANS, FROZEN, SAUCE

from stillroom.cli import run


@pytest.fixture(scope="module")
def kitchen(tmp_path_factory):
    """A workbook with work on its first day, all of it for crop that keeps no longer but the corn's."""
    return planned_kitchen(tmp_path_factory.mktemp("less"))


def less(capsys, kitchen, *words):
    """The answer as JSON."""
    return json.loads(said(capsys, "today", kitchen, "--less", *words, "--json"))


def test_without_the_pressure_canner_the_beans_are_lost_and_the_rest_stays(kitchen, capsys):
    before = kitchen.read_bytes()
    found = less(capsys, kitchen, "pressure canner")
    assert found["less"] == ["no pressure canner"]
    assert {one["name"]: one["amount"] for one in found["make"]}[FROZEN] == 10
    assert BEANS not in {one["name"] for one in found["make"]}
    assert [(one["name"], one["amount"], one["to"]) for one in found["moved"] if one["name"] == BEANS] == [
        (BEANS, 24, None)
    ]
    changes = {one["what"]: one["after"] - one["before"] for one in found["changes"]}
    assert changes["beans"] == pytest.approx(-24)
    assert changes["surplus"] == pytest.approx(24, abs=1)
    assert kitchen.read_bytes() == before


def test_with_fewer_hours_less_is_made_today_and_it_is_said_of_what(kitchen, capsys):
    text = said(capsys, "today", kitchen, "--less", "hands 7h", "pressure canner")
    assert "TODAY WITH LESS TIME Mon Jul 6, hands: 1 h instead of 8 h, no pressure canner" in text
    assert "MAKE TODAY" in text
    assert "LOST BY WAITING" in text
    made = {one["name"]: one["amount"] for one in less(capsys, kitchen, "hands 7h", "pressure canner")["make"]}
    assert made.get(SAUCE, 0) < 27


def test_nothing_moved_is_shown(kitchen, capsys):
    assert "MOVED Nothing. LOST BY WAITING Nothing." in said(capsys, "today", kitchen, "--less", "hands 0h")


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["--less", "hans 2h"], "did you mean hands?"),
        (["--less", "hands 9h"], "write hands alone for none"),
        (["hands 2h"], "write --less before"),
    ],
)
def test_what_there_is_not_less_of_is_2(kitchen, capsys, words, hint):
    assert run(["today", str(kitchen), *words]) == 2
    assert hint in " ".join(capsys.readouterr().err.split())
