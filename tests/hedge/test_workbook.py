"""A workbook that asks to be planned for all harvests: read, planned, written, said."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console
from tests.workbook.reader.making import FRIDAY, sound, write

from stillroom.app.plan import Reading, read_workbook
from stillroom.app.questions.hedge import hedging_of, words_of
from stillroom.app.write_plan import Planned, plan_workbook
from stillroom.reports.problems import sentences
from stillroom.reports.terminal.plan import plan_page

CORN_DAY = datetime.date(2026, 8, 18)


def content(plan_for: str | None, least: float = 30.0, most: float = 60.0) -> dict[str, Any]:
    """The sound household, short of corn: 40 lb are expected after tomorrow, `least` to `most`."""
    found = sound()
    found["Kitchen"][-1]["Value"] = plan_for
    found["Harvest"][2] |= {"Least": least, "Most": most}
    for item in found["Preserves"]:
        item |= {"Source": "a published table", "Smallest batch": 1}
        item["Include"] = "yes" if item["Preserve"] in ("corn, frozen", "tomato slices, dried") else "no"
    return found


def reading(tmp_path: Path, plan_for: str | None, **lots: float) -> Reading:
    """The workbook as it is read."""
    return read_workbook(write(tmp_path / "kitchen.xlsx", content(plan_for, **lots)), FRIDAY)


@pytest.fixture
def planned(tmp_path: Path) -> Planned:
    """The plan of a workbook that asks for all harvests."""
    return plan_workbook(reading(tmp_path, "all harvests"), tmp_path / "out.xlsx")


@pytest.mark.parametrize(
    ("typed", "meant"),
    [(None, "likely harvest"), ("Worst harvest", "worst harvest"), ("all harvests", "all harvests")],
)
def test_the_setting_is_read_and_a_blank_is_the_likely_harvest(tmp_path: Path, typed: str | None, meant: str) -> None:
    assert reading(tmp_path, typed).household.kitchen.plan_for == meant


def test_a_blank_setting_with_unsure_lots_is_said_once_and_a_typed_one_is_not(tmp_path: Path) -> None:
    """One lot of corn after tomorrow has a Least and a Most."""
    kind = "planned for likely harvest"
    said = [problem for problem in reading(tmp_path, None).problems if problem.kind == kind]
    assert [(problem.where, problem.is_error) for problem in said] == [("Kitchen!C12", False)]
    what, fix = sentences(said[0])
    assert what == "The plan uses the likely harvest."
    assert "type all harvests at plan for in Kitchen" in fix
    for typed, lots in (("likely harvest", {}), ("all harvests", {}), (None, {"least": 40.0, "most": 40.0})):
        assert kind not in {problem.kind for problem in reading(tmp_path, typed, **lots).problems}
    tables = plan_workbook(reading(tmp_path, None), tmp_path / "out.xlsx").tables
    rows = [row for row in tables["Messages"] if "likely harvest" in str(row["What"])]
    assert [row["Severity"] for row in rows] == ["Note"]


def test_any_other_word_is_a_problem_with_its_cell(tmp_path: Path) -> None:
    problems = reading(tmp_path, "every harvest").problems
    found = [problem for problem in problems if "every harvest" in sentences(problem)[0]]
    assert [(problem.where.partition("!")[0], problem.is_error) for problem in found] == [("Kitchen", True)]
    assert "all harvests" in sentences(found[0])[1]


def test_later_lines_say_how_much_they_may_come_to(planned: Planned) -> None:
    """
    40 lb of corn at 4.5 lb a bag, 30 to 60 lb: fewer bags in a poor season than are likely, or more in a good one.
    """
    corn = [row for row in planned.tables["Plan"] if "corn" in str(row["Preserve"]) and row.get("Likely")]
    assert corn
    for row in corn:
        assert str(row["Uses"]).endswith(str(row["Likely"]))
        assert ", most likely " in str(row["Likely"])
        assert row["Day"] >= CORN_DAY  # type: ignore[operator] - a day's cell holds a date


def test_today_and_tomorrow_have_no_range(planned: Planned) -> None:
    first = [row for row in planned.tables["Plan"] if row["Day"] <= FRIDAY + datetime.timedelta(days=1)]  # type: ignore[operator] - as above
    assert first
    assert all(row.get("Likely") is None for row in first)


def test_a_message_says_what_was_planned_for_and_what_hangs_on_it(planned: Planned) -> None:
    said = [str(row["What"]) for row in planned.tables["Messages"] if row["Where"] == "Harvest"]
    assert any(what.startswith("The plan fits a poor, a likely and a good harvest") for what in said)
    assert any("corn" in what and "in a poor one" in what for what in said)


def test_the_terminal_shows_the_range(planned: Planned) -> None:
    console = Console(width=100, record=True, file=None, no_color=True)
    with console.capture() as capture:
        console.print(plan_page(planned.tables, FRIDAY, planned.objectives))
    assert "most likely" in capture.get()


def test_without_the_setting_nothing_of_it_is_said(tmp_path: Path) -> None:
    found = plan_workbook(reading(tmp_path, None), tmp_path / "out.xlsx")
    assert all(row.get("Likely") is None for row in found.tables["Plan"])
    assert not [row for row in found.tables["Messages"] if str(row["What"]).startswith("The plan fits")]


def test_a_workbook_planned_for_all_harvests_is_left_alone_when_nothing_changed(tmp_path: Path) -> None:
    first = plan_workbook(reading(tmp_path, "all harvests"))
    again = plan_workbook(read_workbook(first.receipt.path, FRIDAY))
    assert again.unchanged


def test_what_hedging_is_worth_is_said_in_needs_and_points(tmp_path: Path) -> None:
    lines = words_of(hedging_of(write(tmp_path / "kitchen.xlsx", content("all harvests")), FRIDAY))
    assert [line.strip().split(" harvest:")[0] for line in lines[1:4]] == ["poor", "likely", "good"]
    assert any(line.strip().startswith("targets 1: ") and "points" in line for line in lines)


def test_a_sure_harvest_leaves_nothing_to_hedge(tmp_path: Path) -> None:
    sure = write(tmp_path / "kitchen.xlsx", content("all harvests", least=40.0, most=40.0))
    assert words_of(hedging_of(sure, FRIDAY)) == [
        "No lot after tomorrow has a Least or a Most, so there is nothing to compare."
    ]
