"""
Seconds that pages take: every demo household on every kind of page, one after the other.

    python3 tests/bench.py pages [WORKBOOK ...] [--paper a4]

Without a workbook the four demo households are planned and printed. For each part the seconds on the clock and the
seconds of the processor are said: the second are those of a machine that has nothing else to do. For the sheets also on
how many pages they are and in how large a type.
"""

from __future__ import annotations

import argparse
import datetime
import sys
import tempfile
import time
from pathlib import Path

from stillroom.app.plan import read_workbook
from stillroom.app.print import MAKERS, papers, standing_of
from stillroom.app.write_plan import plan_workbook
from stillroom.reports.print.pdf import pdf_page

ROOT = Path(__file__).resolve().parent.parent.parent
DEMOS = ("tomato_glut", "jar_shortage", "freezer_against_canning", "shared_plan")
NOW = datetime.datetime(2026, 8, 14, 6, 0, tzinfo=datetime.UTC)


def timed(what):
    """What a call gives, its seconds on the clock and of the processor."""
    clock, work = time.perf_counter(), time.process_time()
    found = what()
    return found, time.perf_counter() - clock, time.process_time() - work


def print_pages(path: Path, folder: Path, paper: str | None) -> float:
    """Print everything of one workbook; the seconds of the processor in all."""
    standing, clock, work = timed(lambda: standing_of(path, NOW, paper))
    print(f"\n{path.stem}, {standing.size.name}\n{'reading, clock':34}{clock:8.2f}{work:8.2f}")
    whole = work
    for word, maker in MAKERS.items():
        (folder / path.stem).mkdir(exist_ok=True)
        written, clock, work = timed(lambda maker=maker: list(maker(standing, folder / path.stem)))
        size = sum(one.stat().st_size for one in written) / 1e6
        print(f"{word:34}{clock:8.2f}{work:8.2f}   {len(written)} files, {size:.2f} MB")
        whole += work
    for page in papers(standing):
        found, clock, work = timed(lambda page=page: pdf_page(page, standing.size))
        close = ", close" if found.sizes.close else ""
        words = f"{found.sheets} pages, {found.sizes['main']:.1f} points{close}, {found.kept} cautions kept"
        print(f"  {page.name:32}{clock:8.2f}{work:8.2f}   {words}")
    print(f"{'all of it':34}{'':8}{whole:8.2f}")
    return whole


def main() -> int:
    """Plan and print; say the seconds."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("workbooks", nargs="*", type=Path)
    asked.add_argument("--paper", choices=("a4", "letter"))
    words = asked.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        paths = words.workbooks
        if not paths:
            for demo in DEMOS:
                path = folder / f"{demo}.xlsx"
                path.write_bytes((ROOT / "demo" / path.name).read_bytes())
                plan_workbook(read_workbook(path, NOW.date()))
                paths.append(path)
        print(f"{'':34}{'clock s':>8}{'work s':>8}")
        for path in paths:
            print_pages(path, folder, words.paper)
    return 0


if __name__ == "__main__":
    sys.exit(main())
