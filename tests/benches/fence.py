"""
The safety fence under attack: names and mixtures by kind, and ten thousand households; none may be planned.

Names: each row of fence/attacks*.csv is tried in every line of its published food, and counts as planned if any plans
it; each of fence/sound*.csv counts as asked if the plain line of its food refuses it. The sets called `blind` were
written by people who had not seen the lists. When each was first tried, 3.2 to 3.6 % of its attacks were planned: that
is the share to expect of names that nobody thought of (`latest`: 21 of 665). Since then the lists have words of theirs.
A misspelled sound name is asked about on purpose, and counted apart.

Households: random ones of fixed seeds, the same choices made by hypothesis, and the ones written by hand; all judged by
the checker of tests/handbook, which reads the CSV files on its own.
`python3 tests/bench.py fence [HOUSEHOLDS]`; 0 tries the names only.
"""

from __future__ import annotations

import argparse
import math
import random
import sys
import time
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.handbook.attack import besieged, fence_held
from tests.handbook.by_hand import BY_HAND, fence_held_by_hand
from tests.handbook.trial import Trial, kitchens, planned, read_trials

HOUSEHOLDS = 10_000
BY_HYPOTHESIS = 1_000
FIRST_SEED = 1_000
"""Not the seeds of the tests."""


SETS = Path(__file__).parent / "fence"
CONFIDENCE = 0.95
NAMES_A_KITCHEN = 20
"""Foods and ingredients of a household, for the questions it is asked."""


def upper_bound(hits: int, tried: int) -> float:
    """Return the upper bound of a share at 95% confidence, one-sided (Clopper and Pearson)."""
    if hits == tried:
        return 1.0
    low, high = hits / tried, 1.0
    for _ in range(50):
        share = (low + high) / 2
        low, high = (share, high) if _at_most(hits, tried, share) > 1 - CONFIDENCE else (low, share)
    return high


def _at_most(hits: int, tried: int, share: float) -> float:
    """Return the chance of so many hits or fewer."""
    logs = (
        math.lgamma(tried + 1) - math.lgamma(n + 1) - math.lgamma(tried - n + 1)
        + n * math.log(share) + (tried - n) * math.log1p(-share)
        for n in range(hits + 1)
    )  # fmt: skip
    return sum(map(math.exp, logs))


def table_of(title: str, trials: Sequence[Trial], hits: list[Trial]) -> None:
    """Print how many of each kind were tried and hit, with the share and its upper bound."""
    by_kind: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for trial in trials:
        for kind in (trial.kind, "all"):
            by_kind[kind][0] += 1
            by_kind[kind][1] += trial in hits
    print(f"{title:34}{'tried':>8}{'hit':>6}{'share':>9}{'at most':>9}")
    for kind, (tried, hit) in by_kind.items():
        print(f"{kind:34}{tried:>8,}{hit:>6}{hit / tried:>9.2%}{upper_bound(hit, tried):>9.2%}")


def names() -> int:
    """Try both sets of names; gives how many attacks were planned."""
    attacks, sound = (
        [trial for path in sorted(SETS.glob(f"{name}*.csv")) for trial in read_trials(path)]
        for name in ("attacks", "sound")
    )
    went = [trial for trial in attacks if any(planned(kitchen) for kitchen in kitchens(trial))]
    asked = [trial for trial in sound if not planned(next(kitchens(trial)))]
    misspelled = [trial for trial in asked if trial.kind.startswith("misspell")]
    never = [trial for trial in asked if not any(planned(kitchen) for kitchen in kitchens(trial))]
    table_of("attacks planned", attacks, went)
    table_of("sound names asked about", sound, asked)
    print(f"asked and misspelled, which is right: {len(misspelled)}; asked and spelled: {len(asked) - len(misspelled)}")
    print(f"asked in every line of their food: {len(never)}")
    print(f"questions in a kitchen of {NAMES_A_KITCHEN} names: {len(asked) / len(sound) * NAMES_A_KITCHEN:.2f}")
    for trial in (*went, *asked):
        what = trial.item or trial.preserve or trial.ingredients
        print(f"  {'asked' if trial in asked else 'planned'}: {what} ({trial.row_food}) {trial.why}")
    return len(went)


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


def main(args: Sequence[str]) -> int:
    """Attack in all three ways and say what came of it; 1 when anything came through."""
    parser = argparse.ArgumentParser(prog="fence", description=__doc__.strip().split("\n", maxsplit=1)[0])
    parser.add_argument(
        "households", nargs="?", type=int, default=HOUSEHOLDS, help="random households; 0 tries the names only"
    )
    households = parser.parse_args(args).households
    began = time.perf_counter()
    went = names()
    if not households:
        print(f"{time.perf_counter() - began:.1f} s")
        return 1 if went else 0
    rounds = [("random households", households, *at_random(households))]
    rounds.append(("households chosen by hypothesis", BY_HYPOTHESIS, *by_hypothesis()))
    wrong = [f"{name}: {fault}" for name in sorted(BY_HAND) for fault in fence_held_by_hand(name)]
    allowed = sum(must is not None for _, must in BY_HAND.values())
    rounds.append(("attacks written by hand", len(BY_HAND), allowed, wrong))
    print(f"{'attack':34}{'tried':>8}{'planned':>9}{'below the table':>17}")
    for name, tried, went_through, through in rounds:
        print(f"{name:34}{tried:>8,}{went_through:>9,}{len(through):>17}")
    faults = [fault for *_, through in rounds for fault in through]
    print("\n".join(faults[:20]))
    print(f"{time.perf_counter() - began:.1f} s")
    return 1 if faults or went else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
