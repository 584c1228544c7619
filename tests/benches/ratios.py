"""
Cost as ratios, held against a stored table: `python3 tests/bench.py ratios [--write]`.

Seconds differ from machine to machine; what one piece of work costs beside another hardly does. Each ratio here has our
work above and a yardstick below, both processor seconds of one run, the least of some rounds: HiGHS in the same plan,
openpyxl on the same file, a loop of plain Python. `ratios.toml` keeps what they were and how many times as much is let
pass; a test of every run compares. `--write` stores what is measured now and leaves the margins as they are.
"""

from __future__ import annotations

import argparse
import datetime
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from tests.benches.speed import Recorder
from tests.planning.grown import grown
from tests.workbook import measured

from stillroom.app.plan import checked_clock, read_workbook
from stillroom.household.audit import violated_constraints
from stillroom.household.journal.events import still_to_do
from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.planning.solve import build, plan
from stillroom.timetable.schedule import sessions_of_plan

ROOT = Path(__file__).resolve().parents[2]
TABLE = Path(__file__).with_suffix(".toml")
GLUT = ROOT / "demo" / "tomato_glut.xlsx"
TODAY = datetime.date(2026, 8, 15)
MARGIN = 2.0
"""How many times the stored ratio a new one may be, where the table does not say."""


@dataclass(frozen=True)
class Ratio:
    """One ratio: what is above, what below, in words; and how both are measured, in seconds."""

    above: str
    below: str
    measured: Callable[[], tuple[float, float]]


@dataclass(frozen=True)
class Compared:
    """A ratio as it is now and as it is stored."""

    name: str
    now: float
    stored: float
    margin: float

    @property
    def holds(self) -> bool:
        """Whether it is within its margin; a lower one always is."""
        return self.now <= self.stored * self.margin

    def line(self) -> str:
        """
        The ratio in a line.

        >>> Compared("reading", 0.3, 0.1, 2).line()
        'reading: 0.3, stored 0.1, at most 2 times that: COSTS TOO MUCH'
        """
        words = "holds" if self.holds else "COSTS TOO MUCH"
        return f"{self.name}: {self.now:.3g}, stored {self.stored:.3g}, at most {self.margin:g} times that: {words}"


def main(words: Sequence[str] | None = None) -> int:
    """Measure every ratio and print it beside the stored one; 1 when one is over its margin."""
    parser = argparse.ArgumentParser(description="Cost as ratios, held against what they were.")
    parser.add_argument("--write", action="store_true", help="store what is measured now in ratios.toml")
    chosen = parser.parse_args(words)
    table = stored() if TABLE.exists() else {}
    now: dict[str, float] = {}
    holds = True
    for name, ratio in RATIOS.items():
        above, below = ratio.measured()
        now[name] = above / below
        print(f"{name}: {ratio.above} {above * 1000:.1f} ms over {ratio.below} {below * 1000:.1f} ms = {now[name]:.3g}")
        if name in table:
            compared = Compared(name, now[name], *table[name])
            print(f"  {compared.line()}", flush=True)
            holds &= compared.holds
    if chosen.write:
        TABLE.write_text(as_table(now, table), encoding="utf-8")
        return 0
    return 0 if holds else 1


def stored() -> dict[str, tuple[float, float]]:
    """The stored ratios with their margins, by name."""
    table = tomllib.loads(TABLE.read_text(encoding="utf-8"))
    return {name: (float(row["ratio"]), float(row.get("margin", MARGIN))) for name, row in table.items()}


def as_table(now: dict[str, float], before: dict[str, tuple[float, float]]) -> str:
    """The table to be stored."""
    lines = ["# Made by `python3 tests/bench.py ratios --write`; the margins are typed by hand.", ""]
    for name, ratio in now.items():
        _, margin = before.get(name, (0.0, MARGIN))
        about = f"# {RATIOS[name].above} over {RATIOS[name].below}"
        lines += [about, f"[{name}]", f"ratio = {ratio:.3g}", f"margin = {margin:g}", ""]
    return "\n".join(lines[:-1]) + "\n"


def least(work: Callable[[], object], rounds: int) -> float:
    """Processor seconds of the quickest of some rounds."""
    seen = []
    for _ in range(rounds):
        began = time.process_time()
        work()
        seen.append(time.process_time() - began)
    return min(seen)


@cache
def glut() -> Household:
    """The household of the glut."""
    return still_to_do(read_workbook(GLUT, TODAY).household)


@cache
def planned() -> tuple[Plan, float, float]:
    """The plan of the glut, with the seconds of planning it and those of HiGHS within them."""
    with Recorder() as recorder:
        began = time.process_time()
        found = plan(glut())
        return found, time.process_time() - began, recorder.seconds


@cache
def loop_seconds() -> float:
    """Seconds of a million rounds of plain Python: how quick this machine is with it."""

    def loop() -> dict[int, float]:
        sums: dict[int, float] = {}
        for number in range(1_000_000):
            sums[number % 997] = sums.get(number % 997, 0.0) + number * 0.5
        return sums

    return least(loop, 3)


def planning() -> tuple[float, float]:
    """Planning over HiGHS in it."""
    _, taken, in_highs = planned()
    return taken, in_highs


def searching() -> tuple[float, float]:
    """HiGHS over the loop: whether the search has become longer."""
    return planned()[2], loop_seconds()


def building() -> tuple[float, float]:
    """Building a large model over the loop."""
    household = grown(60, 7, 8)
    return least(lambda: build(household), 2), loop_seconds()


def auditing() -> tuple[float, float]:
    """The audit over planning."""
    found, taken, _ = planned()
    return least(lambda: violated_constraints(glut(), found), 3), taken


def clock() -> tuple[float, float]:
    """Every day laid on the clock, and checked, over planning."""
    found, taken, _ = planned()
    sessions = sessions_of_plan(found)  # a household of its own each time, for the clock keeps its last answer
    return least(lambda: checked_clock(replace(glut()), sessions), 2), taken


def reading() -> tuple[float, float]:
    """Reading a workbook, checked and settled, over loading it."""
    from openpyxl import load_workbook

    return least(lambda: read_workbook(GLUT, TODAY), 5), least(lambda: load_workbook(GLUT), 3)


def writing() -> tuple[float, float]:
    """Writing a plan into a workbook over loading and saving it."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "out.xlsx"
        ours = least(lambda: measured.plan_by_splicing(GLUT, out), 9)
        return ours, least(lambda: measured.plan_by_loading(GLUT, out), 3)


def large_sheet() -> tuple[float, float]:
    """A thousand cells into a large sheet over loading and saving it; a tenth of the rows of the bench."""
    with tempfile.TemporaryDirectory() as folder:
        path, out = Path(folder) / "years.xlsx", Path(folder) / "out.xlsx"
        measured.make_household(path, rows=1_000)
        ours = least(lambda: measured.plan_by_splicing(path, out), 5)
        return ours, least(lambda: measured.plan_by_loading(path, out), 1)


RATIOS = {
    "planning": Ratio("planning the glut", "HiGHS in it", planning),
    "searching": Ratio("HiGHS on the glut", "a loop of plain Python", searching),
    "building": Ratio("building 60 preserves x 15 periods", "a loop of plain Python", building),
    "auditing": Ratio("the audit of that plan", "planning it", auditing),
    "clock": Ratio("its days on the clock", "planning it", clock),
    "reading": Ratio("reading the glut", "loading it with openpyxl", reading),
    "writing": Ratio("a plan into the glut", "loading and saving it with openpyxl", writing),
    "writing_large": Ratio("the same beside ten sheets of 1,000 rows", "loading and saving it", large_sheet),
}
"""Every ratio that is kept."""


if __name__ == "__main__":
    sys.exit(main())
