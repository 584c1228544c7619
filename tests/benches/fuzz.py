"""
Twice ten thousand damaged workbooks: `python3 tests/bench.py fuzz [--count 100000] [--from 0]`.

Each is a workbook of the corpus, then one made by hand with something of everything, with bytes, attributes or records
bent. Moving or writing into it has to be refused by name or come out right: no traceback, nothing over five seconds, no
change of the source. A case is known by its number.
"""

from __future__ import annotations

import argparse
import itertools
import multiprocessing
import random
import sys
import tempfile
import time
import warnings
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from tests.workbook.corpus import mutations
from tests.workbook.engine import test_fuzz
from tests.workbook.engine.conftest import Hand


def main(words: Sequence[str] | None = None) -> int:
    """Run the cases on every core; 1 when one came out wrong, else 0."""
    parser = argparse.ArgumentParser(description="Move into damaged workbooks.")
    parser.add_argument("--count", type=int, default=10_000, help="how many of each (10,000)")
    parser.add_argument("--from", type=int, default=0, dest="first", help="the number of the first case (0)")
    chosen = parser.parse_args(words)
    began = time.monotonic()
    counts: Counter[str] = Counter()
    slowest = 0.0
    with multiprocessing.Pool() as pool:
        numbers = range(chosen.first, chosen.first + chosen.count)
        cases = (pool.imap_unordered(case, numbers, 50) for case in (one_case, case_by_hand))
        for number, found, about, seconds in itertools.chain.from_iterable(cases):
            counts[found] += 1
            slowest = max(slowest, seconds)
            if found not in ("written", "refused", "stopped"):
                print(f"case {number}: {about}: {found}", flush=True)
    wrong = sum(counts.values()) - counts["written"] - counts["refused"] - counts["stopped"]
    print(f"{2 * chosen.count:,} damaged workbooks in {time.monotonic() - began:.0f} s: {counts['written']:,} written and read back right, "
          f"{counts['refused']:,} refused by name, {counts['stopped']:,} stopped by the check before anything was written, {wrong} wrong; the slowest took {slowest:.2f} s of work")  # fmt: skip
    return 1 if wrong else 0


def one_case(number: int) -> tuple[int, str, str, float]:
    """The outcome of one case, with what was done to the workbook."""
    about, data = mutations.damaged(random.Random(number))
    began = time.process_time()  # its own work, however busy the machine is with other things
    with tempfile.TemporaryDirectory() as folder:
        try:
            found = mutations.outcome(data, Path(folder))
        except BaseException as error:
            found = f"{type(error).__name__}: {error}"[:300]
    return number, found, about, time.process_time() - began


def case_by_hand(number: int) -> tuple[int, str, str, float]:
    """The outcome of one case of the workbook made by hand."""
    warnings.filterwarnings("ignore", "Duplicate name")
    hand = Hand()
    began = time.process_time()
    with tempfile.TemporaryDirectory() as folder:
        try:
            found = test_fuzz.one_case(random.Random(f"2 {number}"), hand, test_fuzz.rich(hand), Path(folder))
        except BaseException as error:
            found = f"{type(error).__name__}: {error}"[:300]
    return number, found, "made by hand", time.process_time() - began


if __name__ == "__main__":
    sys.exit(main())
