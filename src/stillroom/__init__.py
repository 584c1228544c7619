"""
Plan what to can, freeze, dry and store from a harvest.

For notebooks and scripts: `read` a workbook, `plan` it, look at the `frames`, and `write` the plan back.
"""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom import app as use_cases
from stillroom.version import VERSION

if TYPE_CHECKING:
    import pandas as pd

    from stillroom.app.plan import PlanFound, Reading
    from stillroom.household.results.commands import Receipt


__version__ = VERSION

__all__ = ["__version__", "frames", "plan", "read", "review", "write"]


def read(path: str | Path, today: datetime.date | None = None) -> Reading:
    """
    Read a workbook: its household, and every problem found in it. Nothing is written.

    `today` matters where the workbook has no first day; it is the day of the clock when left out. Raise
    WorkbookRefused when the file cannot be opened as a workbook at all.
    """
    return use_cases.plan.read_workbook(Path(path), today or datetime.date.today())


def plan(reading: Reading, time_limit_seconds: float | None = None) -> PlanFound:
    """
    Plan a workbook that was read, and audit the plan. Nothing is written.

    Raise WorkbookRefused with every problem that stops a plan, and NoPlanInTime.
    """
    return use_cases.plan.find_plan(reading, time_limit_seconds)


def write(path: str | Path, found: PlanFound, *, replace: bool = False) -> Receipt:
    """
    Write a plan into its workbook when `path` is that workbook, else into a copy at `path`; return what was written.

    Everything else in the workbook stays as it is, and a dated copy is kept of a file that is replaced. Raise
    CouldNotWrite, also where a copy would take the place of a file that is not as it was last written here; with
    `replace` a dated copy of that is kept.
    """
    book, copy = found.reading.book.path, Path(path)
    same = copy.resolve() == book.resolve()
    if not same:
        use_cases.files.refuse_copy(book, copy, replace=replace)
    return use_cases.write_plan.save_plan(found, None if same else copy, replace=replace)


def frames(found: PlanFound) -> dict[str, pd.DataFrame]:
    """
    Return every output table of a plan as a data frame, by the table's name, with the headings as columns.

    Dates are datetime64, numbers float64, whole numbers Int64 and text string; units are those of the workbook.
    """
    return use_cases.frames.frames(found.tables)


def review(reading: Reading) -> dict[str, pd.DataFrame]:
    """
    Return what the record of a workbook taught, as data frames by table: targets, crops, preserves, equipment, years.

    Also what was eaten by month and weighed by week. Nothing is planned or written.
    """
    return use_cases.year.review_frames(reading)
