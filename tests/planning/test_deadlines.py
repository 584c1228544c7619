"""How long a line can wait: small kitchens worked out by hand, and every promise kept when it is planned again in full."""

import datetime
import json

import pytest
from openpyxl import load_workbook
from tests.benches.deadlines import promises
from tests.planning.any_kitchen import any_kitchen
from tests.small_kitchen import FRIDAY, KITCHEN, WEEKDAYS, build

from stillroom.app.fit_day import latest_begin, tightened
from stillroom.app.plan import audited_plan, read_workbook
from stillroom.cli import run
from stillroom.household.results.deadlines import else_words, loss_words, stop_words, stops_to_show, until_words
from stillroom.planning.deadlines import find_deadlines

SATURDAY, SUNDAY = FRIDAY + datetime.timedelta(days=1), FRIDAY + datetime.timedelta(days=2)
JUICE = "tomato juice, quart"
FOUR_HOURS = dict.fromkeys(WEEKDAYS, 4)
SAMPLE = (37, 98, 116)


def kitchen(path, *, hands=FOUR_HOURS, keeps=4, weeks=0, wanted=7, **more):
    """The small kitchen: 60 lb on Friday that keep so long, three days, seven quarts of juice wanted."""
    settings = [row for row in KITCHEN["Kitchen"] if row["Setting"] != "weeks planned roughly"]
    return build(
        path,
        Kitchen=[*settings, {"Setting": "weeks planned roughly", "Value": weeks}],
        Hours=[{"What": "hands"} | hands, *KITCHEN["Hours"][1:]],
        Crops=[{"Crop": "plum tomato", "Keeps days": keeps, "Unit": "lb"}],
        **{"Winter list": [{"Target": "juice", "Wanted": wanted, "Unit": "quart"}]} | more,
    )


def found_in(path, days=3):
    """The household, its plan and the deadlines."""
    household, plan = audited_plan(read_workbook(path, FRIDAY))
    return household, plan, find_deadlines(household, plan, tightened, latest_begin, days)


def test_juice_waits_as_long_as_its_tomatoes_keep(tmp_path):
    """Picked on Friday, kept two days: Sunday is past it, Saturday is the last day."""
    household, _, found = found_in(kitchen(tmp_path / "k.xlsx", keeps=1))
    (line,) = found.lines
    assert (line.day, line.name, line.until) == (FRIDAY, JUICE, SATURDAY)
    assert else_words(household, line) == "lost: 7 quarts of juice, 23 lb plum tomato"


def test_juice_cannot_wait_for_a_day_without_hands(tmp_path):
    """The tomatoes keep past the last day, so they are not lost by then."""
    hands = dict.fromkeys(WEEKDAYS, 4) | {"Sat": 0, "Sun": 0}
    household, _, found = found_in(kitchen(tmp_path / "k.xlsx", hands=hands))
    (line,) = found.lines
    assert (line.until, until_words(household, line)) == (FRIDAY, "today 9:45 AM")
    (stop,) = found.stops
    assert (stop.done, stop_words(household, stop)) == (
        (),
        "Before anything is begun: stopping costs up to 7 quarts of juice.",
    )


def test_a_day_that_goes_by_loses_its_own_jars_and_not_those_of_a_later_day(tmp_path):
    """Tomatoes of Friday and of Sunday make seven quarts each, and nobody works on Saturday."""
    hands = dict.fromkeys(WEEKDAYS, 4) | {"Sat": 0}
    lots = [{"Picked on": day, "Crop": "plum tomato", "Amount": 23, "Unit": "lb"} for day in (FRIDAY, SUNDAY)]
    lots[1]["Weighed or expected"] = "expected"
    path = kitchen(tmp_path / "k.xlsx", hands=hands, keeps=1, wanted=14, Harvest=lots)
    household, _, found = found_in(path)
    assert [(line.day, line.until) for line in found.lines] == [(FRIDAY, FRIDAY), (SUNDAY, SUNDAY)]
    assert else_words(household, found.lines[0]) == "lost: 7 quarts of juice, 23 lb plum tomato"


def test_what_can_be_done_on_any_day_or_in_a_week_has_no_deadline(tmp_path):
    household, _, found = found_in(kitchen(tmp_path / "k.xlsx", keeps=14, weeks=1))
    (line,) = found.lines
    assert (line.until, until_words(household, line), else_words(household, line)) == (None, "after Aug 16", "")
    shown = stops_to_show(found.stops, FRIDAY)
    assert [stop_words(household, one) for one in shown] == ["Before anything is begun you may stop: nothing is lost."]


def test_the_plan_itself_is_not_asked_to_buy_more(tmp_path):
    """Lids for one load only and none bought: waiting and doing it twice is no way out."""
    path = build(tmp_path / "k.xlsx", Lids=[{"Lid": "lid", "On hand": 7, "Can buy": "yes", "Price": 1}])
    household, plan, found = found_in(path)
    bought = sum(plan.buy_lids.values())
    assert all(one.loss.targets.get("juice", 0.0) <= 14 for one in found.lines)
    assert sum(audited_plan(read_workbook(path, FRIDAY))[1].buy_lids.values()) == bought
    assert household.lids[0].on_hand == 7


@pytest.mark.parametrize("number", SAMPLE)
def test_begun_on_its_last_day_nothing_is_lost_and_after_it_no_more_than_stated(number):
    """A fixed sample of random kitchens; `bench.py deadlines` asks two hundred."""
    asked = promises(any_kitchen(number, fixed=False))
    assert asked
    assert [one for one in asked if one.broken] == []


def test_the_command_shows_and_writes_what_can_wait(tmp_path, capsys):
    path = kitchen(tmp_path / "kitchen.xlsx", keeps=1)
    assert run(["tonight", str(path), "--write"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    for words in ("Sat Aug 15", "lost: 7 quarts of juice", "Before anything is begun you may stop", "never cut short"):
        assert words in said
    assert "There is no plan in the workbook yet" in said
    assert "has changed" not in said
    rows = [row[:3] for row in load_workbook(path)["Can wait"].iter_rows(values_only=True)]
    at = rows.index(("Day", "Preserve", "Can wait until"))
    assert rows[at + 1][1:] == (JUICE, "Sat Aug 15 9:45 AM")
    assert run(["tonight", str(path), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["lines"][0]["can_wait_until"] == "2026-08-15"
    assert found["lines"][0]["begin_by"] == "2026-08-15T09:45:00"
    assert found["lines"][0]["lost_targets"] == [{"target": "juice", "amount": 7, "unit": "quart"}]


def test_each_day_says_where_one_may_stop(tmp_path):
    """Seven quarts a day: hours for one load, and 46 lb that keep until tomorrow."""
    hands = dict.fromkeys(WEEKDAYS, 2.2)
    household, plan, found = found_in(kitchen(tmp_path / "k.xlsx", hands=hands, keeps=1, wanted=14))
    days = [period.first_day for period in plan.periods if plan.make.get((JUICE, period.number), 0.0) > 0]
    assert len(days) == 2
    for day in days:
        (stop,) = stops_to_show(found.stops, day)
        assert stop_words(household, stop).startswith(
            "Before anything is begun: stopping costs up to 7 quarts of juice"
        )


def test_loss_words_name_what_is_lost(tmp_path):
    household, _, found = found_in(kitchen(tmp_path / "k.xlsx", keeps=1))
    assert loss_words(household, found.lines[0].loss) == "7 quarts of juice, 23 lb plum tomato"
