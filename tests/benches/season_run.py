"""
Whole invented seasons lived in a workbook, against a ledger of plain sums: what the tests run once, many times.

    python3 tests/bench.py season_run [--seasons 10] [--weeks 12] [--kills 6]

Each season is weighed, planned every three days, made, miscounted and counted again; planning is killed at random
points and run again. At every plan nothing typed may be lost, stocks and every pound must be as by hand, nothing may
stand twice. At the end the workbook is opened in LibreOffice where that is installed. Printed: plans, records,
seconds, and mismatches.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

from openpyxl import load_workbook
from tests.season.simulate import Season


def main() -> None:
    """Run the seasons, a line each, then the sums."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seasons", type=int, default=10)
    parser.add_argument("--weeks", type=int, default=12)
    parser.add_argument("--kills", type=int, default=6)
    asked = parser.parse_args()
    began = time.monotonic()
    plans = records = killed = mismatches = opened = 0
    for seed in range(asked.seasons):
        with tempfile.TemporaryDirectory() as folder:
            season = Season(Path(folder) / "kitchen.xlsx", seed, asked.kills).run(asked.weeks)
            opened += opens_in_libreoffice(season.path)
        figures = season.figures
        print(
            f"season {seed}: " + ", ".join(f"{name} {value}" for name, value in figures.items() if name != "said"),
            flush=True,
        )
        print("\n".join(season.mismatches[:5]), end="\n" if season.mismatches else "")
        plans, records = plans + season.plans, records + season.ledger.records
        killed, mismatches = killed + season.killed, mismatches + len(season.mismatches)
    seconds = time.monotonic() - began
    print(f"{plans} plans, {records} records, {killed} killed, {seconds:.0f} s, mismatches {mismatches}")
    print(f"opened in LibreOffice: {opened} of {asked.seasons}")


def opens_in_libreoffice(path: Path) -> bool:
    """Whether LibreOffice opens the workbook and finds as many rows in its record; no where it is not installed."""
    if shutil.which("soffice") is None:
        return False
    words = ["soffice", f"-env:UserInstallation=file://{path.parent}/profile", "--headless", "--convert-to"]
    words += ["xlsx:Calc MS Excel 2007 XML", "--outdir", str(path.parent / "out"), str(path)]
    subprocess.run(words, check=True, timeout=180, capture_output=True)
    counts = [
        sum(1 for cell in load_workbook(one)["Record"]["A"] if cell.value)
        for one in (path, path.parent / "out" / path.name)
    ]
    return counts[0] == counts[1]


if __name__ == "__main__":
    main()
