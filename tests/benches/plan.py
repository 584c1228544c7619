"""
How fast and how well it plans: the four demo households and varied households of full size.

    python3 tests/bench.py plan [--count 50] [--each] [--scores FILE]

Every household is the same in every run. A varied one carries a real former plan: the same household is planned one to
three days earlier, each lot 15 % more or less at random, and the lines of that plan stand in the workbook. Printed: for
each demo the aims with value, bound, gap and seconds; for the varied ones a line each and the aims summed up; the share
under five seconds; the whole `plan` command on the glut; and what its imports cost. `--each` prints the aims of every
varied household too.
"""

from __future__ import annotations

import argparse
import contextlib
import dataclasses
import datetime
import random
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.benches.scores import Score, write_scores
from tests.planning.varied import sizes, varied

from stillroom.app.plan import read_workbook
from stillroom.household.audit import violated_constraints
from stillroom.household.journal.events import still_to_do
from stillroom.household.plan import ObjectiveResult, Plan
from stillroom.household.records import Household
from stillroom.planning.solve import plan

ROOT = Path(__file__).resolve().parents[2]
GOAL_SECONDS = 5.0
LIBRARIES = ("pandas", "pint", "openpyxl", "lxml", "pulp", "highspy", "numpy", "rich", "typer", "stillroom")


def main(words: Sequence[str] | None = None) -> int:
    """Run the whole bench; 1 when some plan broke a constraint, else 0."""
    parser = argparse.ArgumentParser(description="Time the plan on the demos and on varied households.")
    parser.add_argument("--count", type=int, default=50, help="how many varied households (50)")
    parser.add_argument("--each", action="store_true", help="print the aims of every varied household")
    parser.add_argument("--scores", type=Path, help="also write the figures there, for the scoreboard")
    chosen = parser.parse_args(words)
    timed_plan(varied(0))  # the first plan of a program also pays for imports; it is not counted
    broken = demos()
    broken_too, scores = many(chosen.count, each=chosen.each)
    broken += broken_too
    if chosen.scores:
        write_scores(chosen.scores, scores)
    whole_command()
    imports()
    return 1 if broken else 0


def demos() -> int:
    """Plan each demo workbook as it lies; gives how many plans broke a constraint."""
    broken = 0
    for path in sorted((ROOT / "demo").glob("*.xlsx")):
        household = still_to_do(read_workbook(path, datetime.date(2026, 8, 15)).household)
        found, seconds = timed_plan(household)
        print(f"\n{path.stem}: {size_words(household)}; {seconds:.2f} s")
        print_objectives(found.objectives)
        broken += said_broken(household, found)
    return broken


def many(count: int, *, each: bool) -> tuple[int, list[Score]]:
    """
    Plan the varied households, a line each, then the objectives summed up; gives how many plans broke a constraint, and
    lines for the scoreboard.
    """
    print(f"\n{count} varied households, each with a real former plan: {size_words(varied(0))}")
    taken: list[float] = []
    objectives: dict[str, list[ObjectiveResult]] = {}
    broken = 0
    for seed in range(count):
        household = with_former_plan(seed)
        found, seconds = timed_plan(household)
        taken.append(seconds)
        for objective in found.objectives:
            objectives.setdefault(objective.name, []).append(objective)
        unproved = [f"{objective.name} {objective.gap:.2%}" for objective in found.objectives if not objective.proved]
        print(
            f"  {seed:3}  {seconds:6.2f} s  {'not proved: ' + ', '.join(unproved) if unproved else 'all proved'}",
            flush=True,
        )
        if each:
            print_objectives(found.objectives)
        broken += said_broken(household, found)
    if not taken:
        return broken, []
    print_many(taken, objectives)
    return broken, as_scores(taken, objectives, broken)


def as_scores(taken: list[float], objectives: dict[str, list[ObjectiveResult]], broken: int) -> list[Score]:
    """The varied households as lines of the scoreboard."""
    quick = sum(seconds < GOAL_SECONDS for seconds in taken)
    late = {
        name: [objective.gap for objective in results if not objective.proved] for name, results in objectives.items()
    }
    unproved = ", ".join(
        f"{name} in {len(gaps)} (at most {max(gaps):.1%} apart)" for name, gaps in late.items() if gaps
    )
    words = f"{len(taken)} varied households with a former plan"
    seconds = f"median {statistics.median(taken):.1f} s, worst {max(taken):.1f} s; {quick} ({quick / len(taken):.0%}) under {GOAL_SECONDS:g} s"
    return [
        Score("plan", f"{words}: seconds", "", seconds, "90 % under 5 s", quick >= 0.9 * len(taken)),
        Score("plan", f"{words}: aims not proved", "", unproved or "none", "none", not unproved),
        Score("plan", f"{words}: plans that fail the audit", "", str(broken), "none", broken == 0),
    ]


def print_many(taken: list[float], objectives: dict[str, list[ObjectiveResult]]) -> None:
    """Say the seconds and the objectives of many households in one table."""
    quick = sum(seconds < GOAL_SECONDS for seconds in taken)
    print(f"\nseconds: median {statistics.median(taken):.2f}, worst {max(taken):.2f}; ", end="")
    print(f"{quick} of {len(taken)} ({quick / len(taken):.0%}) under {GOAL_SECONDS:g} s")
    print(f"{'aim':13}{'had it':>7}{'proved':>8}{'median gap':>12}{'worst gap':>11}{'median s':>10}{'worst s':>9}")
    for name, results in objectives.items():
        gaps, seconds = [objective.gap for objective in results], [objective.seconds for objective in results]
        print(
            f"{name:13}{len(results):7}{sum(objective.proved for objective in results):8}{statistics.median(gaps):12.3%}"
            f"{max(gaps):11.3%}{statistics.median(seconds):10.2f}{max(seconds):9.2f}"
        )


def with_former_plan(seed: int) -> Household:
    """A varied household whose workbook holds the plan made of it one to three days earlier, lots varied by 15 %."""
    chance = random.Random(f"former plan {seed}")
    now = varied(seed)
    first_day = now.kitchen.first_day - datetime.timedelta(days=chance.randint(1, 3))
    earlier = dataclasses.replace(
        now,
        kitchen=dataclasses.replace(now.kitchen, first_day=first_day),
        lots=tuple(dataclasses.replace(lot, kg=round(lot.kg * chance.uniform(0.85, 1.15), 2)) for lot in now.lots),
        plan_lines=(),
    )
    return varied(seed, former=plan(earlier))


def timed_plan(household: Household) -> tuple[Plan, float]:
    """Plan a settled household; gives the plan and its seconds of the processor."""
    began = time.process_time()
    found = plan(household)
    return found, time.process_time() - began


def said_broken(household: Household, found: Plan) -> int:
    """Say what the audit finds in a plan; 1 when it finds anything."""
    sentences = violated_constraints(household, found)
    for sentence in sentences[:5]:
        print(f"       BROKEN: {sentence}")
    return 1 if sentences else 0


def print_objectives(objectives: Sequence[ObjectiveResult]) -> None:
    """Print the objectives of one plan."""
    print(f"  {'aim':13}{'value':>10} {'unit':12}{'bound':>10}{'gap':>9}  proved{'seconds':>9}")
    for objective in objectives:
        proved = "yes" if objective.proved else f"no ({objective.stopped})"
        print(
            f"  {objective.name:13}{objective.value:10.3f} {objective.unit:12}{objective.bound:10.3f}{objective.gap:9.3%}  {proved:6}{objective.seconds:9.2f}"
        )


def size_words(household: Household) -> str:
    """How large a household is, in words."""
    return ", ".join(f"{number} {what}" for what, number in sizes(household).items())


def whole_command(times: int = 3) -> None:
    """Time the whole `plan` command on the glut, from the shell and back."""
    taken = []
    for _ in range(times):
        with planned_copy() as command:
            began = time.perf_counter()
            run_aloud(command)
            taken.append(time.perf_counter() - began)
    each = ", ".join(f"{seconds:.2f}" for seconds in taken)
    print(f"\nthe whole plan command on tomato_glut, {times} times: {each} s")


def imports() -> None:
    """Say what the imports of the plan command cost, from Python's own record of them."""
    with planned_copy("-X", "importtime") as command:
        record = run_aloud(command)
    costs = dict(import_costs(record))
    print("what its imports cost (milliseconds, each without those of the others listed):")
    for name in LIBRARIES:
        print(f"  {name:10} {f'{costs[name]:7.0f}' if name in costs else 'not imported'}")
    print(f"  {'the rest':10} {costs['']:7.0f}")


def import_costs(record: str) -> Iterator[tuple[str, float]]:
    """
    Milliseconds by library, the last one ("") all others, out of what `-X importtime` writes.

    Python gives each module's own time, so the sums of the libraries add up to the whole.
    """
    found: dict[str, float] = {"": 0.0}
    for line in record.splitlines():
        parts = line.removeprefix("import time:").split("|")
        if len(parts) != 3 or not parts[0].strip().isdigit():
            continue
        library = parts[2].strip().split(".")[0]
        key = library if library in LIBRARIES else ""
        found[key] = found.get(key, 0.0) + int(parts[0]) / 1000
    yield from found.items()


@contextlib.contextmanager
def planned_copy(*options: str) -> Iterator[list[str]]:
    """The command that plans a fresh copy of the glut, in a folder of its own that is taken away again."""
    with tempfile.TemporaryDirectory(prefix="stillroom-bench-") as folder:
        copy = Path(folder) / "tomato_glut.xlsx"
        shutil.copyfile(ROOT / "demo" / "tomato_glut.xlsx", copy)
        yield [sys.executable, *options, "-m", "stillroom", "plan", str(copy)]


def run_aloud(command: list[str]) -> str:
    """Run a command; gives what it said on its error stream, and ends the bench with that when it failed."""
    done = subprocess.run(command, capture_output=True, check=False, text=True)
    if done.returncode:
        sys.exit(f"the plan command ended with {done.returncode}: {done.stderr.strip()[:500]}")
    return done.stderr


if __name__ == "__main__":
    sys.exit(main())
