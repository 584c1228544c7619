"""A second solver gives the same answers: SCIP from the rows HiGHS has, CBC from the problem that PuLP has."""

from __future__ import annotations

import datetime
import shutil
from pathlib import Path

import pulp
import pytest
from tests import worked_examples as examples
from tests.truth.second_opinion import DIFFERENT, EQUAL, NOTHING, OUT_OF_TIME, Answer, Opinion, opinions, verdict
from tests.truth.small_homes import small_home

from stillroom.app.plan import read_workbook
from stillroom.household.examples import tiny_household
from stillroom.household.journal.events import still_to_do
from stillroom.household.records import Household
from stillroom.planning.model import at_most
from stillroom.planning.model_file import pulp_problem
from stillroom.planning.objectives import OBJECTIVES, TARGETS
from stillroom.planning.solve import build

DEMOS = sorted((Path(__file__).resolve().parents[2] / "demo").glob("*.xlsx"))
CBC = shutil.which("cbc") or getattr(getattr(pulp.apis, "coin_api", None), "pulp_cbc_path", None)
"""The program of CBC: on the path, or the one that comes with PuLP 3.3."""

SECONDS = 60.0
MUSTS = TARGETS[0]


def household_of(path: Path) -> Household:
    """A demo household as it lies."""
    return still_to_do(read_workbook(path, datetime.date(2026, 8, 15)).household)


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_scip_fills_the_musts_of_a_demo_as_far_as_we_do(path: Path) -> None:
    rows = list(opinions(path.stem, household_of(path), SECONDS, ("fixed lines", "targets 1")))
    assert {row.verdict for row in rows} <= {EQUAL, NOTHING}
    (musts,) = (row for row in rows if row.objective == "targets 1")
    assert musts.verdict == EQUAL
    assert musts.apart <= 1e-4


@pytest.mark.parametrize("seed", range(6))
def test_scip_agrees_with_every_aim_of_a_small_household(seed: int) -> None:
    rows = list(opinions(f"small home {seed}", small_home(seed), SECONDS))
    assert {row.verdict for row in rows} <= {EQUAL, NOTHING}
    assert [row.objective for row in rows if row.verdict == EQUAL][:1] == [
        next(r.objective for r in rows if r.verdict != NOTHING)
    ]


def test_scip_agrees_with_every_aim_of_a_household_with_weeks_and_a_former_plan() -> None:
    rows = list(opinions("tiny", tiny_household(), SECONDS))
    assert [row.objective for row in rows] == [objective.name for objective in OBJECTIVES]
    assert {row.verdict for row in rows} == {EQUAL}


CASES = {
    "10 jars": examples.juice_by_the_load,
    "frozen for later": examples.freeze_now_cook_later,
    "a dryer over two days": examples.dryer_over_two_days,
    "soup of broth": examples.soup_takes_broth,
    "what money buys": examples.what_money_buys,
    "tiny": tiny_household,
}


@pytest.mark.skipif(CBC is None, reason="CBC is not there: it comes with PuLP 3.3, later ones need pulp[cbc]")
@pytest.mark.parametrize("name", CASES)
def test_cbc_reads_the_same_programme_from_pulp(name: str) -> None:
    """The model as PuLP has it given to CBC, which never meets our hand-over: the same points of the musts."""
    household = CASES[name]()
    parameters, variables = build(household)
    variables.model.add("every_fixed_line_is_kept", at_most([(1.0, short) for short in variables.short.values()], 1e-6))
    problem = pulp_problem(variables.model, MUSTS.terms(parameters, variables), maximize=True)
    assert problem.solve(pulp.COIN_CMD(path=CBC, msg=False, gapRel=1e-6, threads=1)) == pulp.LpStatusOptimal
    (musts,) = (row for row in opinions(name, household, SECONDS, ("targets 1",)) if row.objective == "targets 1")
    assert pulp.value(problem.objective) == pytest.approx(musts.first.value, rel=1e-4)


def answer(value: float, bound: float, ended: bool = True) -> Answer:
    return Answer(value, bound, ended, 0.0)


def test_a_plan_better_than_the_others_proof_is_a_contradiction() -> None:
    """Ours says that 10 points are the most there are, the other has 10.1; and the other way round; and for a least."""
    assert verdict(MUSTS, answer(10.0, 10.0), answer(10.1, 10.2, ended=False)) == DIFFERENT
    assert verdict(MUSTS, answer(10.1, 10.1), answer(10.0, 10.0)) == DIFFERENT
    effort = next(objective for objective in OBJECTIVES if objective.name == "effort")
    assert verdict(effort, answer(10.0, 10.0), answer(9.9, 9.8)) == DIFFERENT


def test_a_search_that_did_not_end_is_never_called_equal() -> None:
    assert verdict(MUSTS, answer(10.0, 10.0), answer(10.0, 10.0, ended=False)) == OUT_OF_TIME
    assert verdict(MUSTS, answer(10.0, 10.3, ended=False), answer(10.1, 10.1)) == OUT_OF_TIME


def test_values_within_the_gap_are_equal() -> None:
    one = Opinion("x", "targets 1", answer(9.9995, 10.0), answer(10.0, 10.0), "")
    assert verdict(MUSTS, one.first, one.second) == EQUAL
    assert one.apart == pytest.approx(5e-5)
