"""Altitude and gauge: without them nothing is canned, and above the tables nothing either."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.errors import Problem
from stillroom.handbook.processes import DIAL_TOP_FT, TABLE_TOP_FT
from stillroom.handbook.safety.case import Case

GAUGES = ("dial", "weighted")


def altitude_problems(case: Case) -> Iterator[Problem]:
    """
    Canning needs the altitude, within the tables; pressure canning needs the gauge too. Told once for a workbook.

    Source: AIB 539 (1994), processing time; a band without an end ends at 10,000 ft, dial gauge tables at 8,000 ft.
    """
    if not case.canned:
        return
    kitchen = case.household.kitchen
    where = kitchen.where or case.preserve.where
    if kitchen.altitude_ft is None:
        yield Problem(
            where, "the altitude is not given, so nothing can be canned",
            "write it in Kitchen (altitude, ft or m); a map, a phone or the town hall knows it", "altitude missing",
        )  # fmt: skip
    elif not kitchen.altitude_ft <= TABLE_TOP_FT:
        yield Problem(
            where, f"the process tables end at {TABLE_TOP_FT:,} ft, and {_lies(kitchen.altitude_ft)}",
            "check the altitude; above the tables freeze or dry, and write no under Make for what is canned",
            "altitude above table",
        )  # fmt: skip
    if not case.pressure:
        return
    if kitchen.gauge not in GAUGES:
        yield Problem(
            kitchen.gauge_where or where,
            "the gauge of the pressure canner is not given, so nothing can be pressure canned",
            "write dial or weighted in Kitchen (gauge)",
            "gauge missing",
        )
    elif (
        kitchen.gauge == "dial"
        and kitchen.altitude_ft is not None
        and DIAL_TOP_FT < kitchen.altitude_ft <= TABLE_TOP_FT
    ):
        yield Problem(
            where, f"the tables for a dial gauge end at {DIAL_TOP_FT:,} ft, and {_lies(kitchen.altitude_ft)}",
            "use a weighted gauge, or freeze or dry", "altitude above table",
        )  # fmt: skip


def _lies(altitude_ft: float) -> str:
    return f"the kitchen lies at {altitude_ft:,.0f} ft"
