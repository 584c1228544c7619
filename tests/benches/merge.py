"""
Merge random pairs of copies: `python3 tests/bench.py merge [--count 1000] [--office 20]`.

Each pair is merged in both directions and merged again, and compared with plain multisets of facts; `--office` pairs
go through LibreOffice between.
"""

from __future__ import annotations

import argparse
import multiprocessing
import shutil
import sys
import tempfile
import warnings
from collections.abc import Sequence
from pathlib import Path

from tests.hard import merges, round_trip


def main(words: Sequence[str] | None = None) -> int:
    """Merge; 1 when something came out otherwise, else 0."""
    parser = argparse.ArgumentParser(description="Merge random pairs of copies.")
    parser.add_argument("--count", type=int, default=1000, help="pairs (1,000)")
    parser.add_argument("--office", type=int, default=0, help="so many of them through LibreOffice (none)")
    chosen = parser.parse_args(words)
    with multiprocessing.Pool() as pool:
        pairs = [(seed, seed < chosen.office) for seed in range(chosen.count)]
        wrong = [line for lines in pool.imap_unordered(one_pair, pairs) for line in lines]
    print(f"{chosen.count} pairs of copies merged in both directions and again, {len(wrong)} wrong")
    for line in wrong:
        print(f"  {line}")
    return 1 if wrong else 0


def one_pair(pair: tuple[int, bool]) -> list[str]:
    """One pair, in a folder of its own."""
    warnings.simplefilter("ignore")
    seed, by_office = pair
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:

        def saved(path: Path) -> None:
            shutil.copyfile(round_trip.saved_by_libreoffice(path, Path(folder) / "office"), path)

        return merges.complaints(seed, Path(folder) / "pair", saved if by_office else None)


if __name__ == "__main__":
    sys.exit(main())
