"""The model in a file: other solvers read it, and find what we find."""

from __future__ import annotations

import datetime
import subprocess
import sys
from pathlib import Path

import highspy
import pulp
import pytest
from tests import worked_examples as examples
from tests.hedge.tiny import jam_now_or_sauce_later
from tests.test_command_line import build as build_workbook

from stillroom.app.plan import read_workbook
from stillroom.cli import run
from stillroom.household.examples import tiny_household
from stillroom.household.journal.events import still_to_do
from stillroom.household.records import Household
from stillroom.planning.highs import HighsSession, SolveSettings
from stillroom.planning.model_file import first_model, write_first_model
from stillroom.planning.objectives import objectives_for
from stillroom.planning.solve import build, plan

DEMO = Path(__file__).resolve().parents[2] / "demo" / "jar_shortage.xlsx"


def a_demo() -> Household:
    return still_to_do(read_workbook(DEMO, datetime.date(2026, 8, 15)).household)


HOMES = {"tiny, with fixed lines": tiny_household, "jars of juice": examples.juice_by_the_load, "a demo": a_demo}


def ours(household: Household) -> tuple[int, int, float]:
    """Rows and columns as they are given to HiGHS, and the best value of the first objective that decides anything."""
    parameters, variables = build(household)
    solver = HighsSession(variables.model)
    objective = next(objective for objective in objectives_for(parameters) if objective.terms(parameters, variables))
    solver.set_objective(solver.vector(objective.terms(parameters, variables)), maximize=objective.maximize)
    outcome = solver.run(None, SolveSettings(node_limit=10_000))
    assert outcome.found
    return len(solver.rows), len(solver.columns), outcome.value


@pytest.mark.parametrize("ending", ["mps", "lp"])
@pytest.mark.parametrize("name", HOMES)
def test_highs_reads_the_model_back_and_finds_the_same_value(name, ending, tmp_path):
    household = HOMES[name]()
    rows, columns, value = ours(household)
    path = tmp_path / f"model.{ending}"
    with path.open("wb") as file:
        write_first_model(household, file, path.suffix)
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    assert highs.readModel(str(path)) == highspy.HighsStatus.kOk
    highs.run()
    assert (highs.getNumRow(), highs.getNumCol()) == (rows, columns)
    assert highs.getObjectiveValue() == pytest.approx(value, rel=1e-4, abs=1e-6)
    assert {highs.getColName(0)[1]} <= set(build(household)[1].model.variables)
    assert [one.name for one in tmp_path.iterdir()] == [path.name]


@pytest.mark.parametrize("solver", [pulp.HiGHS(msg=False), pulp.SCIP_PY(msg=False)], ids=lambda one: one.name)
def test_other_solvers_that_pulp_knows_check_the_model(solver):
    household = tiny_household()
    problem = first_model(household)
    assert problem.solve(solver) == pulp.LpStatusOptimal
    assert pulp.value(problem.objective) == pytest.approx(ours(household)[2], rel=1e-4, abs=1e-6)


def test_a_plan_for_several_harvests_has_them_all_in_its_model(tmp_path):
    """Hedged, ten tubs of jam are worth 3.5: the sum is in the docstring of the household."""
    path = tmp_path / "several.lp"
    household = jam_now_or_sauce_later()
    with path.open("wb") as file:
        write_first_model(household, file, path.suffix)
    text = path.read_text()
    assert text.startswith("\\* stillroom *\\")
    assert "poor." in text
    problem = first_model(household)
    problem.solve(pulp.HiGHS(msg=False))
    assert pulp.value(problem.objective) == pytest.approx(3.5)


@pytest.fixture
def kitchen(tmp_path):
    path = tmp_path / "kitchen.xlsx"
    build_workbook(path)
    return path


def test_plan_writes_the_model_beside_the_plan(kitchen, capfd):
    model = kitchen.with_name("juice.mps")
    assert run(["plan", str(kitchen), "--model", str(model), "--json"]) == 0
    assert "make.tomato_juice_quart" in model.read_text()
    assert "HiGHS" not in capfd.readouterr().out
    assert run(["plan", str(kitchen), "--model", str(model)]) == 0  # one of ours is replaced


@pytest.mark.parametrize(
    ("name", "code", "words"),
    [
        ("model.txt", 2, "model.txt should end in .mps or .lp"),
        ("none/model.mps", 3, "could not be written to"),
        ("mine.lp", 3, "may hold something of your own"),
    ],
)
def test_what_cannot_be_written_is_told_and_the_workbook_stays(name, code, words, kitchen, capsys):
    kitchen.with_name("mine.lp").write_text("Maximize\n")
    before = kitchen.read_bytes()
    assert run(["plan", str(kitchen), "--model", str(kitchen.parent / name)]) == code
    assert words in " ".join(capsys.readouterr().err.split())
    assert kitchen.read_bytes() == before
    assert kitchen.with_name("mine.lp").read_text() == "Maximize\n"


def test_highs_prints_nothing_and_standard_output_is_nobodys_to_close():
    """Its banner comes once in a process, the first time it is made: so this asks a process of its own."""
    code = (
        "import os; os.dup2 = None\n"
        "from stillroom.household.examples import tiny_household; from stillroom.planning.solve import plan\n"
        "plan(tiny_household())"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert (said.stdout, said.stderr) == ("", "")


def test_what_another_solver_did_before_in_the_same_process_stops_no_plan():
    """HiGHS shares its threads within a process, and refuses to solve with another number of them."""
    other = highspy.Highs()
    other.setOptionValue("output_flag", False)
    other.setOptionValue("threads", 2)
    highspy.Highs.resetGlobalScheduler(True)
    other.addVar(0.0, 1.0)
    other.run()
    assert plan(tiny_household()).made("kraut") == 4.0
