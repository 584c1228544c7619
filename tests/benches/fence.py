"""
The safety fence under attack: ten thousand households, none of which may be planned below the tables.

Random households of fixed seeds, the same choices made by hypothesis, and the ones written by hand; all judged by the
checker of tests/handbook, which reads the CSV files on its own. `python3 tests/bench.py fence [HOUSEHOLDS]`.
"""

from __future__ import annotations

import random
import sys
import time

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.handbook.attack import besieged, fence_held
from tests.handbook.by_hand import BY_HAND, fence_held_by_hand

HOUSEHOLDS = 10_000
BY_HYPOTHESIS = 1_000
FIRST_SEED = 1_000
"""Not the seeds of the tests."""


def at_random(households: int) -> tuple[int, list[str]]:
    """Attack with households of fixed seeds; gives how many were planned at all, and what came through."""
    planned, through = 0, []
    for seed in range(FIRST_SEED, FIRST_SEED + households):
        found, went = fence_held(besieged(random.Random(seed)))
        planned += went
        through += [f"seed {seed}: {fault}" for fault in found]
    return planned, through


def by_hypothesis() -> tuple[int, list[str]]:
    """The same with the choices made by hypothesis; gives how many were planned, and what came through."""
    planned, through = 0, []

    @given(st.randoms(use_true_random=False))
    @settings(
        max_examples=BY_HYPOTHESIS, deadline=None, derandomize=True, database=None,
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    def attacked(rng):
        nonlocal planned
        found, went = fence_held(besieged(rng))
        planned += went
        through.extend(f"hypothesis: {fault}" for fault in found)

    attacked()
    return planned, through


def main(households: str = str(HOUSEHOLDS)) -> int:
    """Attack in all three ways and say what came of it; 1 when anything came through."""
    began = time.perf_counter()
    rounds = [("random households", int(households), *at_random(int(households)))]
    rounds.append(("households chosen by hypothesis", BY_HYPOTHESIS, *by_hypothesis()))
    wrong = [f"{name}: {fault}" for name in sorted(BY_HAND) for fault in fence_held_by_hand(name)]
    allowed = sum(must is not None for _, must in BY_HAND.values())
    rounds.append(("attacks written by hand", len(BY_HAND), allowed, wrong))
    print(f"{'attack':34}{'tried':>8}{'planned':>9}{'below the table':>17}")
    for name, tried, planned, through in rounds:
        print(f"{name:34}{tried:>8,}{planned:>9,}{len(through):>17}")
    faults = [fault for *_, through in rounds for fault in through]
    print("\n".join(faults[:20]))
    print(f"{time.perf_counter() - began:.1f} s")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
