"""
What a plan for all seasons costs and what it is worth, on the four demo households and on fifty random ones.

    python3 tests/bench.py hedge [--demo NAME] [--count 50]

Printed for each demo household: seconds of the plain plan, of the hedged one and how many times as long that is; every
aim over the seasons with value, bound and gap; then fixed lines, needs, money and crop fed three ways (hedged, first
two days as the plan for the likely harvest has them, the season known beforehand), with what hedging and knowing are
worth, and how many more of each need hedging gives in each season. For the random small households: how many keep what
must hold (hedged never worse than planned for one harvest, never better than knowing), and in how many hedging gains
anything at all; the same for random questions whose answer is known by trying every number. The demo households expect
their lots 30 % more or less.
"""

from __future__ import annotations

import argparse
import dataclasses
import datetime
import os
import time
from collections.abc import Sequence
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, settings
from tests.hedge.tiny import tubs_to_keep
from tests.hedge.unsure import at_least_as_good, near, no_better_than_knowing, with_an_unsure_harvest
from tests.planning.strategies import households

from stillroom.app.plan import read_workbook
from stillroom.household.audit import violated_constraints
from stillroom.household.journal.events import still_to_do
from stillroom.household.records import Household
from stillroom.household.results.messages import worth_words
from stillroom.household.scenarios import harvest_cases, uncertain
from stillroom.planning.solve import plan
from stillroom.planning.stochastic.solve import hedged_plan
from stillroom.planning.stochastic.value import hedge_value

ROOT = Path(__file__).resolve().parents[2]
TODAY = datetime.date(2026, 8, 15)


def main(words: Sequence[str] | None = None) -> int:
    """Run the whole bench; 1 when something that must hold does not, else 0."""
    parser = argparse.ArgumentParser(description="Cost and value of planning for all seasons together.")
    parser.add_argument("--demo", help="one demo household only, by the name of its file; none: none of them")
    parser.add_argument("--count", type=int, default=50, help="random households (50)")
    chosen = parser.parse_args(words)
    print(f"load of the machine before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    wrong = 0
    for path in sorted((ROOT / "demo").glob("*.xlsx")):
        if chosen.demo in (None, path.stem):
            wrong += demo(path)
    wrong += random_ones(chosen.count) if chosen.count else 0
    print(f"load of the machine after: {os.getloadavg()[0]:.1f}")
    return 1 if wrong else 0


def demo(path: Path) -> int:
    """Print one demo household; how many plans of it break a constraint."""
    household = still_to_do(read_workbook(path, TODAY).household)
    household = dataclasses.replace(household, kitchen=dataclasses.replace(household.kitchen, plan_for="all harvests"))
    began, worked = time.perf_counter(), time.process_time()
    plan(household)
    plain, plain_work = time.perf_counter() - began, time.process_time() - worked
    began, worked = time.perf_counter(), time.process_time()
    found = hedged_plan(household)
    hedged, hedged_work = time.perf_counter() - began, time.process_time() - worked
    wrong = len(violated_constraints(household, found))
    print(
        f"\n{path.stem}: {len(uncertain(household))} uncertain lots; plain {plain:.1f} s ({plain_work:.1f} s of work),"
    )
    print(f"  hedged {hedged:.1f} s ({hedged_work:.1f} s of work): {hedged_work / plain_work:.1f} times the work")
    for objective in found.hedge.objectives if found.hedge else ():
        proved = "proved" if objective.proved else f"not proved ({objective.stopped})"
        print(
            f"  {objective.name:14} {objective.value:10.4f} bound {objective.bound:10.4f} gap {objective.gap:7.3%} {proved}, {objective.seconds:.1f} s"
        )
    worth(household)
    return wrong


def worth(household: Household) -> None:
    """Print what hedging and knowing are worth, objective by objective, and the targets of each season."""
    value = hedge_value(household)
    print("                      hedged  one harvest    foresight   of hedging   of knowing")
    for objective in value.objectives:
        figures = (
            objective.hedged,
            objective.one_harvest,
            objective.foresight,
            objective.of_hedging,
            objective.of_knowing,
        )
        print(f"  {objective.name:12}" + "".join(f"{figure:13.4f}" for figure in figures) + f" {objective.unit}")
    for words in worth_words(value.more()):
        print(f"  hedged against one harvest: {words}")


def random_ones(count: int) -> int:
    """Try random small households; how many of them break what must hold."""
    figures = {"tried": 0, "hedging gains": 0, "wrong": 0}

    @settings(
        max_examples=20 * count,
        deadline=None,
        derandomize=True,
        database=None,
        phases=(Phase.generate,),
        suppress_health_check=list(HealthCheck),
    )
    @given(households(fixed=False))
    def one(typed: Household) -> None:
        household = with_an_unsure_harvest(typed)
        if figures["tried"] >= count or len(harvest_cases(household)) == 1:
            return
        value = hedge_value(household)
        figures["tried"] += 1
        figures["hedging gains"] += any(
            objective.of_hedging > near(objective) for objective in value.objectives if objective.name[:5] == "targets"
        )
        figures["wrong"] += not (at_least_as_good(value) and no_better_than_knowing(value))

    one()
    print("\nrandom households: " + ", ".join(f"{name} {number}" for name, number in figures.items()))
    return figures["wrong"] + tubs(count)


def tubs(count: int) -> int:
    """Ask so many times how many tubs to keep, where the answer is known; how many answers are wrong."""
    gains = wrong = 0
    for seed in range(count):
        question = tubs_to_keep(seed)
        value = next(
            objective for objective in hedge_value(question.household()).objectives if objective.name == "targets 1"
        )
        tried = (question.hedged(), question.one_harvest(), question.foresight())
        found = (value.hedged, value.one_harvest, value.foresight)
        wrong += any(abs(one - other) > max(3e-4, 3e-4 * other) for one, other in zip(found, tried, strict=True))
        gains += value.of_hedging > 0.01
    print(
        f"tubs kept for a later harvest, against trying every number: asked {count}, hedging gains {gains}, wrong {wrong}"
    )
    return wrong


if __name__ == "__main__":
    raise SystemExit(main())
