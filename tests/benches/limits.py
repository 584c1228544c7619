"""
How long `limits` and `suppose` take on the four demo households, and why every limit is planned again.

    python3 tests/bench.py limits [--one]

Printed for each demo: seconds of the full plan, of the limits on one process and on two (`--one`: on one only), each
limit in the order of its shadow price with its true place by planning again, and the rank correlation of the two
(Spearman, ties by their middle rank): 1 would mean that the shadow price alone ranks as well. Then the seconds of one
case and of three cases of `suppose`.
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

from stillroom.household.still_to_do import still_to_do
from stillroom.pages.suppose_way import suppose
from stillroom.pages.way import read_workbook
from stillroom.pages.workers import get_ready
from stillroom.planning.limits import find_limits
from stillroom.planning.solve import plan

ROOT = Path(__file__).resolve().parents[2]
TODAY = datetime.date(2026, 8, 15)


def main(words: Sequence[str] | None = None) -> int:
    """Run the whole bench; 1 when one process and two gave different answers, else 0."""
    parser = argparse.ArgumentParser(description="Time limits and suppose on the demos.")
    parser.add_argument("--one", action="store_true", help="on one process only")
    chosen = parser.parse_args(words)
    print(f"load of the machine before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    different = 0
    for path in sorted((ROOT / "demo").glob("*.xlsx")):
        different += limits_of(path, two=not chosen.one)
        for changes in (["quart jars +24"], ["quart jars +24", "vs", "hands Sat 0", "vs", "freezer +20 L"]):
            began = time.perf_counter()
            suppose(path, changes, TODAY, lambda _: None, workers=not chosen.one)
            print(f"  suppose, {1 + changes.count('vs')} case(s): {time.perf_counter() - began:.1f} s")
    print(f"load of the machine after: {os.getloadavg()[0]:.1f}")
    return 1 if different else 0


def limits_of(path: Path, *, two: bool) -> int:
    """Find the limits of one demo and print them; 1 when two processes found something else than one."""
    household = still_to_do(read_workbook(path, TODAY).household)
    began = time.perf_counter()
    at_hand = plan(household)
    planned = time.perf_counter()
    alone = find_limits(household, at_hand)
    found = time.perf_counter()
    print(f"\n{path.stem}: plan {planned - began:.1f} s, limits on one process {found - planned:.1f} s", end="")
    same = True
    if two:
        with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as executor:
            for _ in range(2):
                executor.submit(get_ready).result()
            began = time.perf_counter()
            spread = find_limits(household, at_hand, executor)
            print(f", on two {time.perf_counter() - began:.1f} s", end="")
        same = [(one.limit, one.one_more) for one in spread.held] == [(one.limit, one.one_more) for one in alone.held]
    print("" if same else "; TWO PROCESSES FOUND SOMETHING ELSE")
    held = sorted(alone.held, key=lambda one: one.shadow, reverse=True)
    by_price = ranks([one.shadow for one in held])
    by_gain = ranks([tuple(round(figure, 3) for figure in one.one_more.rank()) for one in held])
    for one, price, gain in zip(held, by_price, by_gain, strict=True):
        print(f"    {one.limit.step_words:58} by price {price:4.1f}, by gain {gain:4.1f}")
    print(f"  rank correlation of shadow price and gain over {len(held)} limits: {correlation(by_price, by_gain)}")
    return 0 if same else 1


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
