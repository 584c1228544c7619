"""
How long `bottlenecks` and `suppose` take on the four demo households, and why every limit is planned again.

    python3 tests/bench.py limits [--one] [--varied COUNT]

Printed for each demo: seconds of this process's processor for the full plan and for the limits on one process, seconds
by the clock on two (`--one`: on one only), each limit in the order of its shadow price with its true place by planning
again, and the rank correlation of the two (Spearman, ties by their middle rank): 1 would mean that the shadow price
alone ranks as well. Then the seconds of one case and of three cases of `suppose`. On a machine at rest the whole
command takes about the plan and half of the limits.

`--varied 50` does the same for fifty varied households of full size in place of the demos, without `suppose`, and holds
the answers to what must always be so: no more of anything makes the list worse, no less of it better, each pair helps,
and no change at all is the plan itself. (Every plan inside is audited in any case; one that broke a rule would end it.)
"""

from __future__ import annotations

import argparse
import datetime
import multiprocessing
import os
import statistics
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from stillroom.app.parallel import import_early
from stillroom.app.plan import read_workbook
from stillroom.app.questions.suppose import suppose
from stillroom.household.journal.events import still_to_do
from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.household.results.bottlenecks import BottlenecksFound
from stillroom.planning.bottlenecks import find_bottlenecks
from stillroom.planning.solve import plan
from stillroom.planning.why import plan_cases

ROOT = Path(__file__).resolve().parents[2]
TODAY = datetime.date(2026, 8, 15)


def main(words: Sequence[str] | None = None) -> int:
    """Run the whole bench; 1 when one process and two gave different answers or a property does not hold, else 0."""
    parser = argparse.ArgumentParser(description="Time limits and suppose on the demos.")
    parser.add_argument("--one", action="store_true", help="on one process only")
    parser.add_argument("--varied", type=int, default=0, metavar="COUNT", help="so many varied households instead")
    chosen = parser.parse_args(words)
    print(f"load of the machine before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    wrong = varied_households(chosen.varied) if chosen.varied else demos(two=not chosen.one)
    print(f"load of the machine after: {os.getloadavg()[0]:.1f}")
    return 1 if wrong else 0


def demos(*, two: bool) -> int:
    """The four demo households; gives how many of them two processes answered otherwise than one."""
    different = 0
    for path in sorted((ROOT / "demo").glob("*.xlsx")):
        different += bottlenecks_of(path, two=two)
        for changes in (["quart jars +24"], ["quart jars +24", "vs", "hands Sat 0", "vs", "freezer +20 L"]):
            began = time.perf_counter()
            suppose(path, changes, TODAY, lambda _: None, workers=two)
            print(f"  suppose, {1 + changes.count('vs')} case(s): {time.perf_counter() - began:.1f} s by the clock")
    return different


def bottlenecks_of(path: Path, *, two: bool) -> int:
    """Find the limits of one demo and print them; 1 when two processes found something else than one."""
    household = still_to_do(read_workbook(path, TODAY).household)
    began = time.process_time()
    at_hand = plan(household)
    planned = time.process_time()
    alone = find_bottlenecks(household, at_hand)
    found = time.process_time()
    print(
        f"\n{path.stem}: plan {planned - began:.1f} s, limits on one process {found - planned:.1f} s of processor",
        end="",
    )
    same = True
    if two:
        with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as executor:
            for _ in range(2):
                executor.submit(import_early).result()
            clock = time.perf_counter()
            spread = find_bottlenecks(household, at_hand, executor)
            print(f", on two {time.perf_counter() - clock:.1f} s by the clock", end="")
        same = spread.held == alone.held
    print("" if same else "; TWO PROCESSES FOUND SOMETHING ELSE")
    print_ranks(alone)
    return 0 if same else 1


def print_ranks(found: BottlenecksFound) -> None:
    """Each limit with its place by shadow price and by true gain, and how far the two agree."""
    held = sorted(found.held, key=lambda one: one.shadow, reverse=True)
    by_price, by_gain = both_ranks(found)
    for one, price, gain in zip(held, by_price, by_gain, strict=True):
        print(f"    {one.bottleneck.step_words:58} by price {price:4.1f}, by gain {gain:4.1f}")
    print(f"  rank correlation of shadow price and gain over {len(held)} limits: {correlation(by_price, by_gain)}")


def both_ranks(found: BottlenecksFound) -> tuple[list[float], list[float]]:
    """The places of the limits by shadow price and by gain, in the order of the price."""
    held = sorted(found.held, key=lambda one: one.shadow, reverse=True)
    gains = [tuple(round(figure, 3) for figure in one.one_more.rank()) for one in held]
    return ranks([one.shadow for one in held]), ranks(gains)


def varied_households(count: int) -> int:
    """Varied households of full size; gives in how many of them something does not hold."""
    from tests.planning.varied import all_varied

    wrong, seconds, agreement = 0, [], []
    for seed, household in all_varied(count):
        at_hand = plan(household)
        began = time.process_time()
        found = find_bottlenecks(household, at_hand)
        seconds.append(time.process_time() - began)
        said = what_does_not_hold(household, at_hand, found)
        wrong += bool(said)
        agreed = correlation(*both_ranks(found))
        if agreed != "not defined":
            agreement.append(float(agreed))
        helping = sum(one.one_more.helps for one in found.held)
        print(
            f"  household {seed:2}: {len(found.held):2} limits, {helping} help, {seconds[-1]:5.1f} s of processor, "
            f"rank correlation {agreed}; {'; '.join(said) or 'all holds'}",
            flush=True,
        )
    print(f"seconds of processor: median {statistics.median(seconds):.1f}, most {max(seconds):.1f}")
    if agreement:
        print(f"rank correlation: median {statistics.median(agreement):.2f}, least {min(agreement):.2f}")
    return wrong


def what_does_not_hold(household: Household, at_hand: Plan, found: BottlenecksFound) -> list[str]:
    """What must always be so and is not."""
    said = []
    for one in found.held:
        if one.one_more.hurts:
            said.append(f"{one.bottleneck.step_words} makes the list worse")
        if one.one_less is not None and one.one_less.helps:
            said.append(f"{one.bottleneck.less_words} the list would be better")
        if one.with_other is not None and not one.with_other[1].helps:
            said.append(f"{one.bottleneck.step_words} with {one.with_other[0].step_words} gives nothing")
    if plan_cases(household, at_hand, [household]) != (at_hand,):
        said.append("no change is not the plan itself")
    return said


def ranks(figures: Sequence[tuple[float, ...]]) -> list[float]:
    """The place of each figure, the greatest first; equal ones share their middle place."""
    ordered = sorted(figures, reverse=True)
    return [ordered.index(figure) + (ordered.count(figure) + 1) / 2 for figure in figures]


def correlation(one: Sequence[float], other: Sequence[float]) -> str:
    """Spearman's rank correlation in words."""
    if len(set(one)) < 2 or len(set(other)) < 2:
        return "not defined"
    return f"{statistics.correlation(one, other):.2f}"


if __name__ == "__main__":
    raise SystemExit(main())
