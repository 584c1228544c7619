"""
What the other commands say of a workbook that is planned for all harvests, and the command that says what that is
worth.
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from openpyxl import load_workbook
from tests.hedge.test_workbook import content
from tests.hedge.tiny import jam_now_or_sauce_later
from tests.workbook.reader.making import FRIDAY, write

from stillroom.app.questions import bottlenecks
from stillroom.app.questions import hedge as hedge_way
from stillroom.app.questions import suppose as suppose_way
from stillroom.app.questions.hedge import Hedging, hedging_object, verdict, words_of
from stillroom.cli import run
from stillroom.household.scenarios import harvest_cases
from stillroom.planning.stochastic.value import ObjectiveValue, hedge_value

LIKELY = "Worked out for the likely harvest alone"


def workbook(tmp_path: Path, plan_for: str | None) -> Path:
    """A small workbook that may be planned for all harvests."""
    return write(tmp_path / "kitchen.xlsx", content(plan_for))


@pytest.mark.parametrize(
    ("plan_for", "whole"), [("all harvests", "all harvests"), ("worst harvest", "the worst harvest")]
)
def test_limits_are_those_of_the_likely_harvest_and_say_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], plan_for: str, whole: str
) -> None:
    path = workbook(tmp_path, plan_for)
    assert run(["bottlenecks", str(path), "--write"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert said.count(LIKELY) == 1
    assert f"the plan itself is for {whole}" in said
    column = [cell.value for cell in load_workbook(path)["Bottlenecks"]["A"]]
    assert [str(words).startswith(LIKELY) for words in column if words].count(True) == 1


def test_the_limits_of_a_hedged_workbook_are_those_of_the_same_one_planned_plainly(tmp_path: Path) -> None:
    hedged, plain = (
        bottlenecks.bottlenecks_of(workbook(tmp_path, plan_for), FRIDAY, lambda _: None, workers=False)
        for plan_for in ("all harvests", None)
    )
    assert hedged.plan.hedge is None
    assert hedged.likely
    assert not plain.likely
    assert [(one.bottleneck, one.one_more) for one in hedged.found.held] == [
        (one.bottleneck, one.one_more) for one in plain.found.held
    ]


def test_a_plan_for_all_harvests_may_fill_the_table_limits_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = workbook(tmp_path, "all harvests")
    assert run(["plan", str(path), "--bottlenecks", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["hedge"]["objectives"]
    column = [cell.value for cell in load_workbook(path)["Bottlenecks"]["A"]]
    assert any(str(words).startswith(LIKELY) for words in column)


def test_why_is_answered_for_the_likely_harvest_and_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["why", str(workbook(tmp_path, "all harvests")), "tomato slices, dried"]) == 0
    assert capsys.readouterr().out.strip().splitlines()[-1].startswith(LIKELY)
    assert run(["why", str(workbook(tmp_path, "likely harvest")), "tomato slices, dried"]) == 0
    assert LIKELY not in capsys.readouterr().out


def test_suppose_plans_a_case_for_all_harvests_and_the_workbook_as_it_asks(tmp_path: Path) -> None:
    changes = ["plan for all harvests", "vs", "freezer -5 L"]
    found = suppose_way.suppose(workbook(tmp_path, None), changes, FRIDAY, lambda _: None, workers=False)
    assert found.plan.hedge is None
    several, plain = found.plans
    assert several is not None
    assert plain is not None
    assert several.hedge is not None
    assert plain.hedge is None
    assert json.loads(suppose_way.suppose_json(found))["cases"][0]["planned_for_several_harvests"]


def test_suppose_says_which_plans_are_for_several_harvests(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = workbook(tmp_path, "all harvests")
    assert run(["suppose", str(path), "plan for likely harvest", "vs", "freezer -5 L"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Planned for several harvests: now, B" in said


def test_a_plan_as_json_has_the_aims_over_all_seasons_only_when_it_is_for_several(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["plan", str(workbook(tmp_path, "all harvests")), "--json"]) == 0
    hedge = json.loads(capsys.readouterr().out)["hedge"]
    assert {one["season"]: one["weight"] for one in hedge["seasons"]} == {"poor": 0.25, "likely": 0.5, "good": 0.25}
    assert hedge["days_decided_now"] == 2
    assert "targets 1" in [objective["name"] for objective in hedge["objectives"]]
    assert run(["plan", str(workbook(tmp_path, "likely harvest")), "--json"]) == 0
    assert "hedge" not in json.loads(capsys.readouterr().out)


def test_hedge_says_what_planning_for_all_harvests_is_worth(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = workbook(tmp_path, None)
    before = path.read_bytes()
    assert run(["hedge", str(path)]) == 0
    said = capsys.readouterr().out
    assert "A plan for all harvests, compared with a plan for the likely harvest:" in said
    assert "(chances: poor 25%, likely 50%, good 25%)" in said
    assert run(["hedge", str(path), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["messages"] == said.strip("\n").splitlines()
    assert {objective["name"] for objective in found["hedge"]["objectives"]} >= {"targets 1", "money", "surplus"}
    assert path.read_bytes() == before


def test_hedge_of_a_sure_harvest_says_that_there_is_nothing_to_compare(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path / "kitchen.xlsx", content(None, least=40.0, most=40.0))
    assert run(["hedge", str(path), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {
        "messages": [hedge_way.NOTHING_UNSURE],
        "hedge": None,
        "errors": [],
    }


def test_hedge_refuses_what_a_plan_would_refuse(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    broken = content(None)
    broken["Winter list"][0]["Wanted"] = None
    assert run(["hedge", str(write(tmp_path / "kitchen.xlsx", broken))]) == 1
    assert "Wanted" in capsys.readouterr().err


def test_jam_now_or_sauce_later_is_worth_what_a_pencil_says() -> None:
    """
    Hedged: 10 of jam in both seasons. For the likely harvest alone 2 of jam, and 8 of sauce if the tomatoes come.

    So hedging gives 8 of jam more in each season and takes 8 of sauce in the likely one (0.75 of all): 6 on average.
    """
    household = jam_now_or_sauce_later()
    found = Hedging(household, harvest_cases(household), hedge_value(household))
    assert found.expected() == {"jam": pytest.approx(8), "sauce": pytest.approx(-6)}
    hedge = hedging_object(found)["hedge"]
    assert isinstance(hedge, dict)
    objective = next(one for one in hedge["objectives"] if one["name"] == "targets 1")
    assert (objective["of_hedging"], objective["of_knowing"]) == (
        pytest.approx(0.4, abs=1e-3),
        pytest.approx(0.3, abs=1e-3),
    )
    assert words_of(found)[-1].startswith("It is worth doing")


def test_the_whole_answer_reads_as_plain_english() -> None:
    """Jam at 3.00 a jar at the store and sauce without a price; otherwise the household of the pencil above."""
    household = jam_now_or_sauce_later()
    targets = (replace(one, unit="jar", shop_price=3.0 if one.name == "jam" else None) for one in household.targets)
    household = replace(household, targets=tuple(targets))
    assert words_of(Hedging(household, harvest_cases(household), hedge_value(household))) == [
        "A plan for all harvests, compared with a plan for the likely harvest:",
        "  poor harvest: jam up 8",
        "  likely harvest: jam up 8, sauce down 8",
        "On average (chances: poor 25%, likely 75%):",
        "  more: 8 jars jam; less: 6 jars sauce; at the store that is $24.00 more, not counting what has no price: sauce",
        "  11 lb less surplus",
        "Points for filling the winter list, most important targets first:",
        "  targets 1: +0.40 points; knowing the harvest today would add +0.30",
        "This does not check that a day's work fits the clock, and does not compare hours of work.",
        "It is worth doing: in Kitchen, type all harvests at *plan for*.",
    ]


def test_the_verdict_goes_by_the_first_aim_in_which_the_plans_differ() -> None:
    def objective(importance: int, gain: float) -> ObjectiveValue:
        return ObjectiveValue("target", "points", True, 10.0 + gain, 10.0, 11.0, importance=importance)

    assert verdict([objective(1, 0.001), objective(2, 0.3)]).startswith("It is worth doing")
    assert verdict([objective(1, -0.1), objective(2, 0.3)]).startswith("It makes little difference")
    assert verdict([objective(1, 0.02), objective(2, 0.3)]).startswith("It makes little difference")
