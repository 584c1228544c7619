"""Household workbooks as pandas writes them, through both of its writers."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

import pandas as pd

FRAME = pd.DataFrame(
    {
        "hen": ["Agnes", "Berta", None],
        "eggs": [7, 9, 12],
        "paid": [2.5, None, 1e-9],
        "day": [datetime.datetime(2026, 8, 1), datetime.datetime(2026, 8, 2, 6, 30), None],
        "sold": [True, False, True],
    }
)


def one_frame(path: Path, engine: str) -> None:
    FRAME.to_excel(path, engine=engine, sheet_name="Hens")


def with_levels(path: Path, engine: str) -> None:
    table = FRAME.assign(week=[1, 1, 2]).pivot_table(
        index=["week", "hen"], columns="sold", values=["eggs", "paid"], aggfunc=["sum", "max"]
    )
    table.to_excel(path, engine=engine, freeze_panes=(3, 2))


def several(path: Path, engine: str) -> None:
    with pd.ExcelWriter(path, engine=engine, date_format="YYYY-MM-DD", datetime_format="DD.MM.YY HH:MM") as writer:
        FRAME.to_excel(writer, sheet_name="Plan", index=False, startrow=3, startcol=2)
        FRAME.T.to_excel(writer, sheet_name="turned", header=False)
        pd.DataFrame({"empty": []}).to_excel(writer, sheet_name="empty")


def cases() -> dict[str, Callable[[Path], None]]:
    """Every workbook of this kind by name."""
    return {
        f"pandas {make.__name__} by {engine}": (lambda path, make=make, engine=engine: make(path, engine))
        for make in (one_frame, with_levels, several)
        for engine in ("openpyxl", "xlsxwriter")
    }
