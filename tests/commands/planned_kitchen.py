"""The small household with work on its first day, planned once for all tests that want the same harvest."""

import datetime
import functools
import tempfile
from pathlib import Path

from tests.season.household import START, build, with_first_day

from stillroom.cli import run

CLOCK = datetime.date(2027, 1, 31)
"""The real date of these evenings, far from the plan's days."""
LOTS = (("plum tomato", 60, 5), ("sweet corn", 20, 2), ("snap beans", 24, 3))
"""Crops with their pounds, and the days before the first day they were picked."""


@functools.cache
def planned_bytes(*more_lots: tuple[str, int, int]) -> bytes:
    """Return a workbook that was planned on its first day, with more lots than `LOTS` if wanted."""
    harvest = [
        {"Picked on": START - datetime.timedelta(days=days), "Crop": crop, "Amount": amount, "Unit": "lb"}
        for crop, amount, days in (*LOTS, *more_lots)
    ]
    with tempfile.TemporaryDirectory() as folder:
        path = build(Path(folder) / "kitchen.xlsx", Kitchen=with_first_day(), Harvest=harvest)
        assert run(["plan", str(path)]) == 0
        return path.read_bytes()


def planned_kitchen(folder: Path, *more_lots: tuple[str, int, int]) -> Path:
    """Return such a workbook in a folder."""
    path = folder / "kitchen.xlsx"
    path.write_bytes(planned_bytes(*more_lots))
    return path
