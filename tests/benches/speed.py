"""
How fast: `python3 tests/bench.py speed [--quick] [--scores FILE] [--picture FILE.png]`.

Printed, each in one run on this machine: what building, handing over and reading back cost on top of HiGHS alone, which
solves the same rows for the same aims from files in the MPS format; a community kitchen of 200 preserves; how cost
grows with preserves and with periods, with the exponent; the stocks of a long record; the whole `plan` command, cold
and warm, beside its imports and HiGHS; the most memory of each. Seconds are those of the processor, which other work on
the machine disturbs least; wall seconds stand beside them where a person waits. `--quick` leaves out the two largest
sizes.
"""

from __future__ import annotations

import argparse
import datetime
import json
import math
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import highspy
from tests.benches.scores import Score, write_scores
from tests.household.long_record import long_record
from tests.planning.grown import grown

from stillroom.app.plan import read_workbook
from stillroom.household.journal.events import still_to_do
from stillroom.household.journal.stocks import settle, stock_cards
from stillroom.household.records import Household
from stillroom.planning import highs as effort_of
from stillroom.planning import highs as handover
from stillroom.planning.solve import build, plan

ROOT = Path(__file__).resolve().parents[2]
GLUT = ROOT / "demo" / "tomato_glut.xlsx"
TODAY = datetime.date(2026, 8, 15)
BY_PRESERVES = ((25, 7, 8), (50, 7, 8), (100, 7, 8), (200, 7, 8), (400, 7, 8))
BY_PERIODS = ((40, 7, 3), (40, 7, 8), (40, 7, 23), (40, 7, 38), (40, 7, 53))
COMMUNITY = (200, 7, 24)
LONG_RECORD = (5000, 2000, 400)
LARGEST_PLANNED = 200
"""Preserves above which only the building is timed: a plan of 400 takes HiGHS more than five minutes."""


def main(words: Sequence[str] | None = None) -> int:
    """Run the whole bench; 0 always, for a bench measures and does not judge."""
    parser = argparse.ArgumentParser(description="Time building, solving and the whole command.")
    parser.add_argument("--quick", action="store_true", help="leave out the two largest sizes")
    parser.add_argument("--scores", type=Path, help="also write the figures there, for the scoreboard")
    parser.add_argument("--picture", type=Path, help="also draw how cost grows, as PNG")
    parser.add_argument("--one", help="one size in a process of its own, as 200x7x24 (used by the bench itself)")
    chosen = parser.parse_args(words)
    if chosen.one:
        print(json.dumps(one_size(*map(int, chosen.one.split("x")))))
        return 0
    scores = [*overheads(), community(), *growth(chosen.picture, quick=chosen.quick), stocks(), *whole_command()]
    if chosen.scores:
        write_scores(chosen.scores, scores)
    return 0


# On top of HiGHS alone


@dataclass
class Recorded:
    """The model and the options of one run of HiGHS, so that it can be run again by itself."""

    path: Path
    start: tuple[float, ...] | None
    effort: effort_of.SolveSettings
    presolve: str


class Recorder:
    """Stands in for the one call of HiGHS: counts its seconds, and writes each model when given a folder."""

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = folder
        self.seconds = 0.0
        self.runs: list[Recorded] = []
        self.before = handover.HighsSession._run

    def __enter__(self) -> Recorder:
        recorder = self

        def run(
            solver: handover.HighsSession, start: Any, effort: effort_of.SolveSettings, seconds: float | None
        ) -> effort_of.Outcome:
            if recorder.folder is not None:
                path = recorder.folder / f"{len(recorder.runs)}.mps"
                solver.highs.writeModel(str(path))
                presolve = solver.highs.getOptionValue("presolve")[1]
                recorder.runs.append(Recorded(path, start, effort, presolve))
            began = time.process_time()
            outcome = recorder.before(solver, start, effort, seconds)
            recorder.seconds += time.process_time() - began
            return outcome

        handover.HighsSession._run = run  # type: ignore[method-assign]
        return self

    def __exit__(self, *_: object) -> None:
        handover.HighsSession._run = self.before  # type: ignore[method-assign]


def overheads() -> list[Score]:
    """What the planner costs on top of HiGHS alone, on the glut and on sixty preserves in fifteen periods."""
    glut = still_to_do(read_workbook(GLUT, TODAY).household)
    print("on top of HiGHS alone (processor seconds, the less of three runs each)")
    return [overhead("the glut", glut), overhead("60 preserves x 15 periods", grown(60, 7, 8))]


def overhead(name: str, household: Household) -> Score:
    """Plan three times; then solve the same models, from the same starting points, with HiGHS by itself."""
    ours = min(processor_seconds(household) for _ in range(3))
    with tempfile.TemporaryDirectory() as folder, Recorder(Path(folder)) as recorder:
        plan(household)
        alone = min(sum(alone_seconds(run) for run in recorder.runs) for _ in range(3))
    share = ours / alone - 1
    print(
        f"  {name}: ours {ours:.2f} s, HiGHS alone {alone:.2f} s over {len(recorder.runs)} runs: {share:+.1%}",
        flush=True,
    )
    return Score("speed", f"build, hand-over and aims of {name}", f"HiGHS alone {alone:.2f} s", f"{ours:.2f} s, {share:+.1%}", "at most 10 % on top", share <= 0.10)  # fmt: skip


def processor_seconds(household: Household) -> float:
    """Seconds of the processor for a whole plan."""
    began = time.process_time()
    plan(household)
    return time.process_time() - began


def alone_seconds(run: Recorded) -> float:
    """Seconds of the processor that HiGHS by itself takes for one recorded run; reading the file is not counted."""
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.readModel(str(run.path))
    options = {
        "threads": 1, "parallel": "off", "random_seed": handover.SEED, "mip_allow_restart": False, "presolve": run.presolve,
        "primal_feasibility_tolerance": handover.FEASIBILITY, "mip_feasibility_tolerance": handover.FEASIBILITY,
        "mip_rel_gap": run.effort.gap, "mip_abs_gap": run.effort.absolute_gap, "mip_max_nodes": run.effort.node_limit,
        "mip_pscost_minreliable": run.effort.branching_trials, "mip_heuristic_effort": run.effort.heuristic_effort,
        "mip_pool_soft_limit": run.effort.cut_pool_limit,
    }  # fmt: skip
    options |= {f"mip_heuristic_run_{name}": name in run.effort.heuristics for name in effort_of.HEURISTICS}
    for option, value in options.items():
        highs.setOptionValue(option, value)
    began = time.process_time()
    if run.start is not None:
        solution = highspy.HighsSolution()
        solution.col_value = list(run.start)
        highs.setSolution(solution)
    highs.cbMipInterrupt += run.effort.patience()
    highs.run()
    return time.process_time() - began


# A community kitchen, and how cost grows


def one_size(preserves: int, days: int, weeks: int) -> dict[str, Any]:
    """Build and plan a household of one size; its figures, with the most memory of this process."""
    household = grown(preserves, days, weeks)
    began = time.process_time()
    _, decide = build(household)
    built = time.process_time() - began
    nonzeros = sum(len(row.terms) for row in decide.model.rows.values())
    began, wall = time.process_time(), time.monotonic()
    objectives = []
    with Recorder() as recorder:
        if preserves <= LARGEST_PLANNED:
            objectives = [
                (objective.name, objective.value, objective.bound, objective.gap, objective.proved)
                for objective in plan(household).objectives
            ]
    return {
        "size": (preserves, days, weeks), "build": built, "nonzeros": nonzeros, "columns": len(decide.model.variables),
        "plan": time.process_time() - began, "wall": time.monotonic() - wall, "highs": recorder.seconds, "objectives": objectives,
        "megabytes": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
    }  # fmt: skip


def apart(size: Sequence[int]) -> dict[str, Any]:
    """The figures of one size, from a process of its own."""
    words = [sys.executable, __file__, "--one", "x".join(map(str, size))]
    ran = subprocess.run(
        words, check=True, capture_output=True, text=True, cwd=ROOT, env=os.environ | {"PYTHONPATH": str(ROOT)}
    )
    found: dict[str, Any] = json.loads(ran.stdout.splitlines()[-1])
    return found


def community() -> Score:
    """Two hundred preserves, forty crops and thirty-one periods."""
    seen = apart(COMMUNITY)
    proved = {name: ok for name, *_, ok in seen["objectives"]}
    print(
        f"\na community kitchen, 200 preserves, 40 crops, 31 periods: {seen['columns']:,} columns, {seen['nonzeros']:,} nonzeros"
    )
    for name, value, bound, gap, ok in seen["objectives"]:
        print(f"  {name:13} {value:12.3f}  bound {bound:12.3f}  {gap:8.3%}  {'proved' if ok else 'not proved'}")
    print(
        f"  {seen['plan']:.1f} s of the processor ({seen['wall']:.1f} s wall), HiGHS {seen['highs']:.1f} s of it; {seen['megabytes']:.0f} MB",
        flush=True,
    )
    sure = all(ok for name, ok in proved.items() if name.startswith("targets") or name == "effort")
    figure = (
        f"{seen['plan']:.1f} s; targets and effort {'proved' if sure else 'not all proved'}; {seen['megabytes']:.0f} MB"
    )
    return Score("speed", "community kitchen: 200 preserves, 40 crops, 31 periods", "", figure, "under 20 s, targets and effort proved", seen["plan"] < 20 and sure)  # fmt: skip


def growth(picture: Path | None, *, quick: bool) -> list[Score]:
    """How building and planning grow with preserves and with periods."""
    scores, drawn = [], {}
    for words, sizes in (("preserves", BY_PRESERVES), ("periods", BY_PERIODS)):
        print(f"\nhow cost grows with {words}")
        seen = [apart(size) for size in (sizes[:-2] if quick else sizes)]
        for row in seen:
            number = row["size"][0] if words == "preserves" else row["size"][1] + row["size"][2]
            row["at"] = number
            planned = f"plan {row['plan']:7.2f} s" if row["objectives"] else "not planned"
            print(
                f"  {number:4} {words}: {row['nonzeros']:9,} nonzeros, build {row['build']:6.2f} s, {planned}, {row['megabytes']:5.0f} MB",
                flush=True,
            )
        building = exponent([(row["nonzeros"], row["build"]) for row in seen])
        planning = exponent([(row["at"], row["plan"]) for row in seen if row["objectives"]])
        print(f"  build grows as nonzeros to the power {building:.2f}, the plan as {words} to the power {planning:.2f}")
        scores.append(Score("speed", f"build against nonzeros, more {words}", "", f"power {building:.2f}", "linear (at most 1.15)", building <= 1.15))  # fmt: skip
        scores.append(Score("speed", f"the whole plan against {words}", "", f"power {planning:.2f}", "printed"))
        drawn[words] = seen
    if picture is not None:
        draw(drawn, picture)
    return scores


def exponent(points: Sequence[tuple[float, float]]) -> float:
    """
    The power with which the second grows with the first: the slope of a line through their logarithms.

    >>> round(exponent([(1, 3), (2, 12), (4, 48)]), 6)
    2.0
    """
    across = [math.log(first) for first, _ in points]
    up = [math.log(max(second, 1e-6)) for _, second in points]
    mean_across, mean_up = sum(across) / len(across), sum(up) / len(up)
    over = sum((a - mean_across) * (u - mean_up) for a, u in zip(across, up, strict=True))
    return over / sum((a - mean_across) ** 2 for a in across)


def draw(seen: dict[str, list[dict[str, Any]]], path: Path) -> None:
    """Draw seconds against size, both on logarithmic scales."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(7, 3.2), layout="constrained")
    FigureCanvasAgg(figure)
    for place, (words, rows) in enumerate(seen.items()):
        axes = figure.add_subplot(1, 2, place + 1)
        across = [row["at"] for row in rows]
        planned = [row for row in rows if row["objectives"]]
        axes.loglog(
            [row["at"] for row in planned], [row["plan"] for row in planned], "o-", color="#3f6b46", label="whole plan"
        )
        axes.loglog(across, [row["build"] for row in rows], "s--", color="#b3742c", label="build")
        axes.set_xticks(across, [str(number) for number in across])
        axes.minorticks_off()
        axes.set_xlabel(words)
        axes.set_ylabel("seconds")
        axes.legend(frameon=False)
    figure.savefig(path, dpi=110)


# The stocks of a long record


def stocks() -> Score:
    """Every storekeeper's card of a record of several years, beside taking that record off the stocks."""
    records, lots, preserves = LONG_RECORD
    household = long_record(records, lots, preserves)
    took = {}
    for count in (stock_cards, settle):
        began = time.process_time()
        count(household)
        took[count] = time.process_time() - began
    size = f"{records:,} records, {lots:,} lots, {preserves} preserves"
    print(f"\nstocks of {size}: cards {took[stock_cards]:.2f} s, settled {took[settle]:.2f} s", flush=True)
    figure = f"{took[stock_cards]:.2f} s"
    return Score("speed", f"stocks of {size}", "", figure, "under 2 s", took[stock_cards] < 2)


# The whole command


def whole_command() -> list[Score]:
    """The command `plan` on the glut, with nothing compiled and with everything compiled, beside imports and HiGHS."""
    with tempfile.TemporaryDirectory() as folder:
        cold = min(command_seconds(Path(folder), f"cold{n}")[0] for n in range(2))
        warm, megabytes = min(command_seconds(Path(folder), "warm") for _ in range(4))
        import_cold = min(import_seconds(Path(folder), f"imports{n}") for n in range(2))
        import_warm = min(import_seconds(Path(folder), "warm") for _ in range(4))
    household = still_to_do(read_workbook(GLUT, TODAY).household)
    solving = []
    for _ in range(3):
        with Recorder() as recorder:
            plan(household)
        solving.append(recorder.seconds)
    highs = min(solving)
    print(f"\nthe whole command on the glut (processor seconds); HiGHS {highs:.2f} s; {megabytes:.0f} MB")
    scores = []
    for words, ours, imports in (("cold", cold, import_cold), ("warm", warm, import_warm)):
        times = ours / (imports + highs)
        print(f"  {words}: {ours:.2f} s; imports {imports:.2f} s + HiGHS {highs:.2f} s: {times:.2f} times")
        scores.append(Score("speed", f"the whole command on the glut, {words}", f"imports {imports:.2f} s + HiGHS {highs:.2f} s", f"{ours:.2f} s, {times:.2f} times", "at most 1.3 times", times <= 1.3))  # fmt: skip
    scores.append(Score("speed", "most memory of the whole command on the glut", "", f"{megabytes:.0f} MB", "printed"))
    return scores


def command_seconds(folder: Path, compiled: str) -> tuple[float, float]:
    """Processor seconds and most megabytes of one `plan` of a copy of the glut; compiled files are kept in a folder."""
    workbook = folder / "glut.xlsx"
    shutil.copyfile(GLUT, workbook)
    words = ["-m", "stillroom", "plan", str(workbook), "--out", str(folder / "out.xlsx"), "--json"]
    (folder / "out.xlsx").unlink(missing_ok=True)
    return child_seconds(folder, compiled, words)


IMPORTS = "import stillroom.app.plan, stillroom.planning.solve, stillroom.household.audit, stillroom.reports.json, stillroom.cli"


def import_seconds(folder: Path, compiled: str) -> float:
    """Processor seconds of a process that imports what the command imports and ends."""
    return child_seconds(folder, compiled, ["-c", IMPORTS])[0]


def child_seconds(folder: Path, compiled: str, words: Sequence[str]) -> tuple[float, float]:
    """Processor seconds and most megabytes of a child of Python."""
    command = [sys.executable, "-X", f"pycache_prefix={folder / compiled}", *words]
    pid = os.fork()
    if pid == 0:
        with Path(os.devnull).open("w") as nowhere:
            os.dup2(nowhere.fileno(), 1)
        os.execv(sys.executable, command)
    _, status, used = os.wait4(pid, 0)
    if status:
        raise RuntimeError(f"the command ended with {status}: {' '.join(command)}")
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


if __name__ == "__main__":
    sys.exit(main())
