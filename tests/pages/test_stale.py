"""Whether a plan that stands in a workbook is said to be an older one, and only when it is."""

import datetime

import pytest
from openpyxl import load_workbook
from tests.small_kitchen import FRIDAY, KITCHEN, build

from stillroom.app.day import CHANGED, stale_words
from stillroom.app.plan import read_workbook
from stillroom.cli import run


def said(path, today=FRIDAY):
    """What is said of the plan in a workbook."""
    return stale_words(read_workbook(path, today))


def test_a_plan_made_with_a_time_limit_holds_as_any_other(kitchen, capsys):
    """`day` and `pages` said that the workbook had changed, right after it was planned."""
    assert run(["plan", str(kitchen), "--time-limit", "300"]) == 0
    assert said(kitchen) == ""
    capsys.readouterr()
    assert run(["today", str(kitchen)]) == 0
    assert CHANGED not in capsys.readouterr().out


@pytest.mark.parametrize("words", [(), ("--time-limit", "300")])
def test_what_is_typed_anew_makes_it_an_older_one_everywhere(kitchen, tmp_path, capsys, words):
    """`today` and `labels` said nothing of it."""
    assert run(["plan", str(kitchen), *words]) == 0
    workbook = load_workbook(kitchen)
    workbook["Harvest"]["C2"] = 44
    workbook.save(kitchen)
    assert said(kitchen) == CHANGED
    for command in (("today", str(kitchen)), ("labels", str(kitchen), "--out", str(tmp_path / "paper"))):
        capsys.readouterr()
        assert run(list(command)) == 0
        assert CHANGED in " ".join(capsys.readouterr().out.split())


def test_an_answer_typed_over_makes_it_another_plan(kitchen):
    assert run(["plan", str(kitchen)]) == 0
    workbook = load_workbook(kitchen)
    sheet = workbook["Plan"]
    row = next(row for row in sheet.iter_rows(min_row=2) if row[2].value == "tomato juice, quart")
    row[3].value = 3
    workbook.save(kitchen)
    assert said(kitchen) == CHANGED


def test_a_new_day_alone_is_said_as_that(tmp_path):
    """Nothing in the workbook changed: its first day is blank, and the sun rose."""
    settings = [row for row in KITCHEN["Kitchen"] if row["Setting"] != "first day"]
    path = build(tmp_path / "kitchen.xlsx", Kitchen=settings)
    assert run(["plan", str(path)]) == 0
    today = datetime.date.today()
    assert said(path, today) == ""
    words = said(path, today + datetime.timedelta(days=1))
    assert words.startswith("This plan begins on ")
    assert words.endswith("plan again to begin with the first day of now.")
