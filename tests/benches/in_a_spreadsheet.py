"""
The same week solved by LibreOffice's own linear solver: `python3 tests/bench.py in_a_spreadsheet [--limit SECONDS]`.

What a household could do without this project: a sheet with a cell for every decision, a formula for every rule, and
*Tools, Solver*. The programme is ours, row by row, written as formulas; the aim is that of the first importance; whole
numbers are asked for where ours has them. LibreOffice is driven headless by its own interface (UNO, from the system's
Python: Debian's python3-uno), with each linear solver it brings. Ours is timed with building, hand-over and reading
back.
"""

from __future__ import annotations

import argparse
import dataclasses
import datetime
import json
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import openpyxl
from tests.benches.scores import Score, write_scores

from stillroom.app.plan import read_workbook
from stillroom.household.journal.events import still_to_do
from stillroom.household.records import Household
from stillroom.planning.highs import HighsSession, SolveSettings
from stillroom.planning.objectives import OBJECTIVES
from stillroom.planning.solve import build

ROOT = Path(__file__).resolve().parents[2]
DRIVER = Path(__file__).with_name("_libreoffice_solver.py")
SYSTEM_PYTHON = "/usr/bin/python3"
SOLVERS = ("CoinMPSolver", "LpsolveSolver")


def main(words: Sequence[str] | None = None) -> int:
    """Solve each size with ours and with LibreOffice's; 0 always."""
    parser = argparse.ArgumentParser(description="Solve the same rows in a spreadsheet.")
    parser.add_argument("--limit", type=float, default=300.0, help="seconds that LibreOffice is given for each (300)")
    parser.add_argument("--scores", type=Path, help="also write the figures there, for the scoreboard")
    chosen = parser.parse_args(words)
    scores = [score for name, household in sizes() for score in compared(name, household, chosen.limit)]
    if chosen.scores:
        write_scores(chosen.scores, scores)
    return 0


def sizes() -> list[tuple[str, Household]]:
    """A week and a season of two demo households."""
    found = []
    for name in ("jar_shortage", "tomato_glut"):
        path = ROOT / "demo" / f"{name}.xlsx"
        season = still_to_do(read_workbook(path, datetime.date(2026, 8, 15)).household)
        week = dataclasses.replace(season, kitchen=dataclasses.replace(season.kitchen, weeks_after_that=0))
        found += [(f"{name}, 7 days", week), (f"{name}, 7 days and 8 weeks", season)]
    return found


def compared(name: str, household: Household, limit: float) -> list[Score]:
    """Ours and LibreOffice's on the same rows."""
    began = time.monotonic()
    facts, decide = build(household)
    solver = HighsSession(decide.model)
    objective = next(objective for objective in OBJECTIVES if objective.name == "targets 1")
    costs = solver.vector(objective.terms(facts, decide))
    solver.set_objective(costs, maximize=True)
    ours = solver.run(
        None, SolveSettings(objective.gap, objective.absolute_gap, objective.patient_gap, 20, objective.node_limit)
    )
    seconds = time.monotonic() - began
    rows = list(decide.model.constraint_rows().values())
    print(
        f"\n{name}: {len(solver.columns):,} decisions, {len(rows):,} rows; ours {ours.value:.4f} in {seconds:.2f} s",
        flush=True,
    )
    scores = []
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        workbook = Path(folder) / "week.xlsx"
        task = sheet(workbook, decide.model, rows, costs)
        for kind in SOLVERS:
            said = by_libreoffice(Path(folder), workbook, task, kind, limit)
            scores.append(score(name, kind, said, ours.value, seconds))
            print(f"  {kind}: {scores[-1].figure}", flush=True)
    return scores


def score(name: str, kind: str, said: dict[str, Any], ours: float, seconds: float) -> Score:
    """What LibreOffice made of it, as a line of the scoreboard."""
    if "failed" in said:
        figure, met = f"ours {seconds:.2f} s; LibreOffice {said['failed']}", True
    else:
        equal = abs(said["value"] - ours) <= 1e-4 * max(1.0, abs(ours))
        times = said["seconds"] / seconds
        figure = f"ours {seconds:.2f} s; LibreOffice {said['seconds']:.1f} s, {times:.0f} times; " + (
            "equal" if equal else f"value {said['value']:.4f} against {ours:.4f}"
        )
        met = times >= 20
    return Score(
        "speed", f"{name}, first importance", f"LibreOffice's {kind}", figure, "20 times faster, or it fails", met
    )


def sheet(path: Path, programme: Any, rows: Sequence[Any], costs: dict[int, float]) -> dict[str, Any]:
    """Write variables and constraints as a sheet; what the driver has to know of it."""
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    place = {name: number + 1 for number, name in enumerate(programme.variables)}
    for name, number in place.items():
        page.cell(number, 1, name)
        page.cell(number, 2, 0)
    limits: list[tuple[int, str, float]] = []
    for number, row in enumerate(rows, 1):
        terms = "+".join(f"{coefficient!r}*$B${place[variable.name]}" for coefficient, variable in row.terms)
        page.cell(number, 4, "=" + terms.replace("+-", "-"))
        limits.append((number, row.sense, row.bound))
    names = list(programme.variables)
    page.cell(1, 6, "=" + "+".join(f"{cost!r}*$B${place[names[column]]}" for column, cost in costs.items()))
    most = [(place[name], v.most) for name, v in programme.variables.items() if v.most is not None]
    book.save(path)
    return {
        "variables": len(place),
        "limits": limits,
        "most": most,
        "whole": [place[name] for name in names if programme.variables[name].whole],
    }


def by_libreoffice(folder: Path, workbook: Path, task: dict[str, Any], kind: str, limit: float) -> dict[str, Any]:
    """Solve in a LibreOffice of its own; the value and the seconds of solving, or why there is none."""
    if shutil.which("soffice") is None:
        return {"failed": "is not installed"}
    if subprocess.run([SYSTEM_PYTHON, "-c", "import uno"], capture_output=True, check=False).returncode:
        return {"failed": "cannot be driven: python3-uno is not installed"}
    copy = workbook.with_name(f"{kind}.xlsx")  # an office that was ended leaves its lock behind
    shutil.copyfile(workbook, copy)
    (folder / "task.json").write_text(json.dumps(task | {"solver": kind, "limit": limit, "workbook": str(copy)}))
    command = [SYSTEM_PYTHON, str(DRIVER), str(folder / "task.json"), str(folder / f"profile {kind}")]
    try:
        ran = subprocess.run(command, capture_output=True, text=True, timeout=limit + 60, check=False)
    except subprocess.TimeoutExpired:
        subprocess.run(["pkill", "-f", f"stillroom-{kind}"], check=False)
        return {"failed": f"had no answer in {limit:.0f} s"}
    lines = ran.stdout.strip().splitlines()
    found: dict[str, Any] = json.loads(lines[-1]) if lines else {"failed": f"ended with {ran.stderr.strip()[-200:]}"}
    return found


if __name__ == "__main__":
    sys.exit(main())
