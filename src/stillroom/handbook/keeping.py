"""How many months things keep: from the line, capped by the tables, and the best-by dates that follow."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import replace

from stillroom.errors import Problem
from stillroom.handbook.lines import lines
from stillroom.handbook.safety.case import Case
from stillroom.household.records import Preserve, ShelfRow

CANNED_MONTHS = 12.0
FROZEN_MONTHS = 12.0
FERMENTED_MONTHS = 6.0
"""Months of own recipes: NC State Extension FAQ; National Center for Home Food Preservation; as fermented pickles."""

COLD = ("fermented", "refrigerated")
DAYS_A_MONTH = 365.25 / 12


def months(case: Case) -> tuple[float | None, tuple[Problem, ...]]:
    """Give the months a preserve keeps: as typed, or from the table when blank, never more than the table's most."""
    default, most, source = _published(case)
    typed = case.preserve.keeps_months
    if typed is None:
        return default, ()
    if most is None or typed <= most:
        return typed, ()
    said = case.problem(
        "longer than it keeps",
        f"{typed:g} months typed, and the table says {most:g} ({source}); {most:g} is used",
        f"write {most:g} or less under Keeps months",
    )
    return most, (said,)


def _published(case: Case) -> tuple[float | None, float | None, str]:
    """Give the usual months, the most months, and their source; None where nothing is published."""
    line, preserve = case.line, case.preserve
    if preserve.way in ("dried", "refrigerated", "fermented") and preserve.kept_in == "freezer":
        return FROZEN_MONTHS, FROZEN_MONTHS, "National Center for Home Food Preservation, freezer shelf life"
    if line is not None:
        return line.keeps_months, line.keeps_months_most, line.source
    if case.canned:
        return CANNED_MONTHS, CANNED_MONTHS, "NC State Extension FAQ"
    if preserve.kept_in == "freezer":
        return FROZEN_MONTHS, FROZEN_MONTHS, "National Center for Home Food Preservation, freezer shelf life"
    if preserve.way == "fermented":
        return (
            FERMENTED_MONTHS,
            FERMENTED_MONTHS,
            "National Center for Home Food Preservation, fermented dill pickles; from memory",
        )
    if preserve.way == "dried":
        found = [
            line.keeps_months_most or 0.0
            for line in lines().values()
            if line.way == "dried" and line.foods & case.foods
        ]
        return (min(found), min(found), "the drying table") if found else (None, None, "")
    if preserve.way == "refrigerated":
        return _refrigerated(case)
    return None, None, ""


def _refrigerated(case: Case) -> tuple[float | None, float | None, str]:
    """Cap an own refrigerated preserve of one published food by that food's row; a mixture has no row of its own."""
    found = [
        line.keeps_months_most or 0.0
        for line in lines().values()
        if line.way == "refrigerated" and line.foods & case.foods and len(case.parts) == 1
    ]
    return (min(found), min(found), "the table of what is kept in the refrigerator") if found else (None, None, "")


def dated(
    rows: tuple[ShelfRow, ...], preserves: Mapping[str, Preserve], first_day: datetime.date
) -> Iterator[ShelfRow]:
    """
    Give the shelf with best-by dates filled in from the months; what is kept cold is never good for longer.

    What is kept cold and does not say when it was made is taken to be made on the first day at the latest.
    """
    for row in rows:
        preserve = preserves.get(row.preserve)
        cold = preserve is not None and preserve.way in COLD
        made_on = row.made_on or (first_day if cold else None)
        if preserve is None or preserve.keeps_months is None or made_on is None:
            yield row
            continue
        by_table = made_on + datetime.timedelta(days=round(preserve.keeps_months * DAYS_A_MONTH))
        if row.best_by is None or (cold and by_table < row.best_by):
            yield replace(row, best_by=by_table)
        else:
            yield row
